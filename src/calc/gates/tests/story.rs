//! Staleness as a person meets it.

use super::*;
use crate::calc::gates::stale::{ReadingKind, affects};
use GateName::{Close, FirstPower, Order};

#[test]
fn a_changed_motor_says_which_day_and_what_to_repeat() {
    let mut s = proved();
    s.alterations.push(alteration(AlterationKind::MotorChanged, NOW - DAY));
    let check = find(&s, Order, "load_test");
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    assert!(
        check.finding.sentence.ends_with(
            "The motor was changed on 24\u{a0}Nov by Ines, after these readings (22\u{a0}Nov, 3 days ago): \
             repeat free, slipping and held."
        ),
        "{}",
        check.finding.sentence
    );
    assert_eq!(check.action.what, "Repeat free, slipping and held.");
    let stale: Vec<&str> =
        check.readings.iter().filter(|r| r.stale.is_some()).map(|r| r.what.as_str()).collect();
    assert_eq!(stale, ["free", "slipping", "held"]);
}

#[test]
fn a_reading_taken_after_the_alteration_counts_again() {
    let mut s = proved();
    s.alterations.push(alteration(AlterationKind::FrameCut, READ + 1));
    assert_eq!(aspect(&s, FirstPower, "brush_a:frame"), Aspect::Unlit);
    for fact in &mut s.isolation {
        fact.taken.at_ms = READ + 1;
    }
    assert_eq!(aspect(&s, FirstPower, "brush_a:frame"), Aspect::Clear);
    assert_eq!(aspect(&s, FirstPower, "insulation"), Aspect::Unlit);
}

#[test]
fn a_stale_danger_is_unlit_and_says_what_it_was() {
    let mut s = proved();
    set_pair(&mut s, Point::BrushA, Point::RailRight, Position::InFrame, Outcome::Joined);
    s.alterations.push(alteration(AlterationKind::BrushesTouched, NOW));
    let check = find(&s, FirstPower, "brush_a:rail_right");
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    assert!(
        check.finding.sentence.contains("read joined, by the beep in the frame"),
        "{}",
        check.finding.sentence
    );
}

const BRUSHES: [&str; 6] = [
    "brush_a:rail_left",
    "brush_a:rail_right",
    "brush_b:rail_left",
    "brush_b:rail_right",
    "brush_a:frame",
    "brush_b:frame",
];
const LEAD_CHECKS: [&str; 2] = ["lead:front lamp lead", "lead:speaker leads"];
const MOTOR: [&str; 5] = ["load_test", "headroom", "mechanism", "winding", "headroom_all"];

/// Checks that go unlit after an alteration of a proved conversion, row by row, without those of the shell.
const ROWS: [(AlterationKind, &[&[&str]]); 20] = [
    (
        AlterationKind::MotorChanged,
        &[&["survey"], &MOTOR, &BRUSHES, &["supply", "layout", "insulation", "run_in", "wiring"]],
    ),
    (AlterationKind::BrushesTouched, &[&MOTOR, &BRUSHES, &["insulation", "wiring"]]),
    (
        AlterationKind::MechanismWorked,
        &[
            &["survey", "load_test", "headroom", "mechanism", "headroom_all", "tightest_curve"],
            &BRUSHES,
        ],
    ),
    (
        AlterationKind::DecoderChanged,
        &[
            &BRUSHES,
            &LEAD_CHECKS,
            &[
                "headroom",
                "headroom_all",
                "function_loads",
                "layout",
                "layout_chosen",
                "insulation",
            ],
            &["supply", "lights", "sound", "store", "wiring"],
        ],
    ),
    (
        AlterationKind::JointRemade,
        &[
            &BRUSHES,
            &LEAD_CHECKS,
            &[
                "rail_left:rail_right",
                "pickup",
                "pickups",
                "insulation",
                "lights",
                "sound",
                "store",
                "wiring",
            ],
        ],
    ),
    (
        AlterationKind::PickupsWorked,
        &[&BRUSHES, &["rail_left:rail_right", "pickup", "pickups", "tightest_curve", "wiring"]],
    ),
    (
        AlterationKind::ChassisChanged,
        &[
            &BRUSHES,
            &LEAD_CHECKS,
            &MOTOR,
            &["survey", "layout", "layout_chosen", "nothing_lost"],
            &[
                "rail_left:rail_right",
                "pickup",
                "pickups",
                "insulation",
                "supply",
                "tightest_curve",
            ],
            &["coupler_height", "gauge", "run_in", "wiring"],
        ],
    ),
    (AlterationKind::FrameCut, &[&BRUSHES, &LEAD_CHECKS, &["rail_left:rail_right", "insulation"]]),
    (
        AlterationKind::ShellChanged,
        &[&["layout", "layout_chosen", "lights", "sound", "tightest_curve", "coupler_height"]],
    ),
    (
        AlterationKind::LampsChanged,
        &[&LEAD_CHECKS, &["headroom_all", "function_loads", "lights", "wiring"]],
    ),
    (
        AlterationKind::SpeakerChanged,
        &[&LEAD_CHECKS, &["headroom_all", "layout", "sound", "wiring"]],
    ),
    (AlterationKind::StoreChanged, &[&LEAD_CHECKS, &["headroom_all", "layout", "store", "wiring"]]),
    (
        AlterationKind::PartFitted,
        &[&BRUSHES, &LEAD_CHECKS, &["insulation", "lights", "sound", "store"]],
    ),
    (
        AlterationKind::WheelsChanged,
        &[
            &[
                "load_test",
                "headroom",
                "mechanism",
                "headroom_all",
                "rail_left:rail_right",
                "pickup",
            ],
            &["pickups", "tightest_curve", "coupler_height", "gauge", "isolation_shell_on"],
        ],
    ),
    (
        AlterationKind::RailWireChanged,
        &[&BRUSHES, &["rail_left:rail_right", "pickup", "pickups", "insulation"]],
    ),
    (AlterationKind::MotorWireChanged, &[&BRUSHES, &["insulation"]]),
    (AlterationKind::FunctionWireChanged, &[&LEAD_CHECKS, &["insulation", "lights"]]),
    (AlterationKind::SpeakerWireChanged, &[&LEAD_CHECKS, &["insulation", "sound"]]),
    (
        AlterationKind::StoreWireChanged,
        &[&LEAD_CHECKS, &["rail_left:rail_right", "insulation", "store"]],
    ),
    (
        AlterationKind::OtherWireChanged,
        &[&BRUSHES, &LEAD_CHECKS, &["rail_left:rail_right", "insulation"]],
    ),
];

#[test]
fn each_alteration_turns_its_checks_unlit_and_no_other() {
    for (kind, keys) in ROWS {
        let mut want: Vec<&str> = keys.concat();
        // Work under the shell: what was read or seen with the shell on is to be repeated.
        if kind != AlterationKind::WheelsChanged {
            want.extend(["isolation_shell_on", "nothing_pinched", "twins"]);
        }
        // The run of the isolation card goes with the readings on the brushes.
        if want.contains(&BRUSHES[0]) {
            want.push("cards");
        }
        want.sort_unstable();
        let mut s = proved();
        s.alterations.push(alteration(kind, NOW));
        let after = all(&s);
        let mut unlit: Vec<&str> =
            after.iter().filter(|c| c.2 == Aspect::Unlit).map(|c| c.1.as_str()).collect();
        unlit.sort_unstable();
        assert_eq!(unlit, want, "{kind:?}");
        assert!(after.iter().all(|c| matches!(c.2, Aspect::Unlit | Aspect::Clear)), "{kind:?}");
    }
}

#[test]
fn what_a_sheet_worked_out_is_that_sheets_business() {
    assert!(affects(AlterationKind::FrameCut, ReadingKind::Seen(Observation::WeightAndBalance)));
    let mut s = proved();
    s.alterations.push(alteration(AlterationKind::FrameCut, NOW));
    assert_eq!(aspect(&s, GateName::Service, "weight_and_balance"), Aspect::Clear);
    s.worked_out.clear();
    assert_eq!(aspect(&s, GateName::Service, "weight_and_balance"), Aspect::Unlit);
}

#[test]
fn the_newest_of_two_alterations_is_named() {
    let mut s = proved();
    s.alterations = vec![
        alteration(AlterationKind::ShellChanged, NOW - 2 * DAY),
        alteration(AlterationKind::FrameCut, NOW - DAY),
    ];
    let check = find(&s, Close, "nothing_pinched");
    assert!(check.finding.sentence.contains("The frame was cut on 24\u{a0}Nov by Ines"));
    assert!(!check.finding.sentence.contains("shell was changed"));
}

/// Stale readings don't speak: neither a danger nor a caution stands on one.
#[test]
fn a_stale_fault_is_not_known_rather_than_bad() {
    let mut s = proved();
    for fact in &mut s.wheels {
        fact.wheel.state = WheelState::Open;
    }
    assert_eq!(aspect(&s, Close, "pickups"), Aspect::Danger);
    s.alterations.push(alteration(AlterationKind::PickupsWorked, NOW));
    assert_eq!(aspect(&s, Close, "pickups"), Aspect::Unlit);

    let mut s = proved();
    s.loads[0].load.amps_a = Some(0.11);
    assert_eq!(aspect(&s, FirstPower, "function_loads"), Aspect::Danger);
    s.alterations.push(alteration(AlterationKind::LampsChanged, NOW));
    assert_eq!(aspect(&s, FirstPower, "function_loads"), Aspect::Unlit);

    let mut s = proved();
    answer(&mut s, Observation::RunsSmoothly, false);
    for fact in &mut s.survey {
        fact.taken.at_ms = READ - DAY;
    }
    assert_eq!(aspect(&s, Order, "survey"), Aspect::Caution);
    s.alterations.push(alteration(AlterationKind::ChassisChanged, READ));
    assert_eq!(aspect(&s, Order, "survey"), Aspect::Unlit);
}

/// The order rests on loads as an estimate: a stale one is as good as a data sheet, and can still fail it.
#[test]
fn a_stale_load_counts_on_paper_for_the_order_and_not_at_all_for_closing() {
    let mut s = proved();
    s.alterations.push(alteration(AlterationKind::SpeakerChanged, NOW));
    let order = find(&s, Order, "headroom");
    assert_eq!(order.finding.aspect, Aspect::Clear);
    assert!(order.finding.sentence.contains("On paper only: sound."));
    assert_eq!(aspect(&s, Close, "headroom_all"), Aspect::Unlit);
    s.loads[1].taken = None;
    assert_eq!(aspect(&s, Order, "headroom"), Aspect::Clear);
    s.loads[1].load.amps_a = Some(0.5);
    assert_eq!(aspect(&s, Order, "headroom"), Aspect::Danger);
}

#[test]
fn a_load_from_a_data_sheet_is_never_shown_as_measured() {
    let mut s = proved();
    for fact in &mut s.loads {
        fact.load.basis = crate::calc::budget::Basis::DataSheet;
        fact.taken = None;
    }
    assert!(!s.loads.is_empty());
    let all = gates(&s);
    for fact in &s.loads {
        for check in all.iter().flat_map(|g| &g.checks) {
            for input in check.finding.inputs.iter().filter(|i| i.name == fact.load.name) {
                assert!(!input.value.contains("measured"), "{}: {input:?}", check.key);
            }
        }
    }
}
