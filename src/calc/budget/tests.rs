//! Check values, verdicts and properties of the current headroom.

use super::*;
use crate::units::Accuracy;
use proptest::prelude::*;

/// The check motor (common practice, no source): 12 V, 0.27 / 0.32 / 0.80 A, at a decoder voltage.
fn motor(decoder_output_v: f64) -> load::Input {
    load::Input {
        free_a: Some(0.27),
        slipping_a: Some(0.32),
        held_a: Some(0.80),
        decoder_output_v: Some(decoder_output_v),
        ..load::Input::at(12.0)
    }
}

/// A decoder of 1.0 A continuous, 1.5 A peak.
fn decoder() -> Ratings {
    Ratings {
        motor_continuous_a: Some(1.0),
        motor_peak_a: Some(1.5),
        motor_peak_s: Some(2.0),
        total_continuous_a: Some(1.0),
        function_a: Some(0.1),
        ..Ratings::default()
    }
}

fn bare() -> Input {
    Input { decoder: decoder(), ..Input::of(motor(12.0)) }
}

/// 60 mA of lamps on an output, 150 mA of sound.
fn lamps_and_sound() -> Vec<PlannedLoad> {
    let lamps = PlannedLoad::new("lamps", Kind::Lamp, Some(0.03));
    vec![
        PlannedLoad { count: 2, output: Some("white".to_owned()), ..lamps },
        PlannedLoad::new("sound", Kind::Sound, Some(0.15)),
    ]
}

fn rows(input: &Input) -> Vec<Row> {
    run(input).expect("allowed input").rows
}

fn row(input: &Input, rating: RatingKind, case: Option<Case>) -> Row {
    let all = rows(input);
    all.into_iter().find(|r| r.rating == rating && r.case == case).expect("the row")
}

const HELD: Option<Case> = Some(Case::Held);
const SLIPPING: Option<Case> = Some(Case::Slipping);
use RatingKind::{Function, MotorContinuous, MotorPeak, TotalContinuous};

/// Check values (common practice, no source): 0.80 A of 1.0 A leaves 20 %, 0.32 A leaves 68 %; the
/// mechanism is danger all the same.
#[test]
fn the_check_motor_holds_at_12_volts_though_its_mechanism_does_not() {
    let held = row(&bare(), MotorContinuous, HELD);
    assert!((held.headroom.expect("known").value - 0.20).abs() < 1e-12);
    assert_eq!(held.aspect, Aspect::Clear);
    let said = &held.finding.sentence;
    assert!(said.contains("takes 0.80\u{a0}A of") && said.contains("20\u{a0}% headroom"), "{said}");
    let slipping = row(&bare(), MotorContinuous, SLIPPING);
    assert!((slipping.headroom.expect("known").value - 0.68).abs() < 1e-12);
    assert_eq!(run(&bare()).expect("allowed").aspect, Aspect::Clear);
    let mechanism = load::run(&bare().load).expect("allowed").mechanism;
    assert_eq!(mechanism.aspect, Aspect::Danger);
}

/// Check value (common practice, no source): the same motor at 14.6 V with 60 mA of lamps and
/// 150 mA of sound takes 0.97333 + 0.21 A, over 1.0 A.
#[test]
fn the_check_motor_with_lamps_and_sound_is_over_at_14_volts_6() {
    let input = Input { loads: lamps_and_sound(), decoder: decoder(), ..Input::of(motor(14.6)) };
    let total = row(&input, TotalContinuous, HELD);
    assert!((total.demand.expect("known").value - 1.18333).abs() < 5e-6);
    assert_eq!(total.aspect, Aspect::Danger);
    let said = &total.finding.sentence;
    assert!(said.contains("1.19\u{a0}A, above") && said.contains("by 0.19\u{a0}A"), "{said}");
    let turn = &total.finding.would_change;
    assert!(turn.contains("0.90\u{a0}A or less") && turn.contains("1.32\u{a0}A or more"), "{turn}");
    let answer = run(&input).expect("allowed").answer();
    assert_eq!(answer.aspect, Aspect::Danger);
    assert_eq!(answer.sentence, *said);
}

/// The same case step by step: what passes the held test, and what turns it.
#[test]
fn the_steps_show_where_a_passed_held_test_turns_to_danger() {
    let input = Input { loads: lamps_and_sound(), ..Input { decoder: decoder(), ..bare() } };
    let input = Input {
        load: load::Input { decoder_output_v: None, track_v: Some(16.0), ..input.load.clone() },
        ..input
    };
    let out = run(&input).expect("allowed");
    let steps = out.steps.clone().expect("all known");
    let told: Vec<(&str, Aspect)> =
        steps.stacks.iter().map(|s| (s.name.as_str(), s.aspect)).collect();
    let wanted = [
        ("held at the test’s 12.0\u{a0}V", Aspect::Clear),
        ("held at the decoder’s 14.6\u{a0}V", Aspect::Caution),
        ("with lamps", Aspect::Danger),
        ("with sound", Aspect::Danger),
    ];
    assert_eq!(told, wanted);
    let left: Vec<f64> = steps.stacks.iter().map(|s| s.left_at_worst.expect("known")).collect();
    for (ours, by_hand) in left.iter().zip([0.20, 0.026_667, -0.033_333, -0.183_333]) {
        assert!((ours - by_hand).abs() < 5e-6, "{left:?}");
    }
    assert_eq!(
        steps.says.replace('\u{a0}', " "),
        "The held test alone asks 0.80 A of 1.00 A: 20 % left, so it passes. It is danger with lamps."
            .replace("It is danger", "It is caution held at the decoder’s 14.6 V, danger")
    );
    let total = row(&input, TotalContinuous, HELD);
    assert_eq!(steps.stacks.last().map(|s| s.aspect), Some(total.aspect));
    assert_eq!(out.answer().plots.len(), 2);
    let nothing = Input { load: load::Input { held_a: None, ..input.load.clone() }, ..input };
    assert_eq!(run(&nothing).expect("allowed").steps, None);
}

/// What may be carried for ever may be carried for a moment.
#[test]
fn a_continuous_rating_that_holds_the_held_current_covers_a_missing_peak() {
    let with = |continuous: f64| Input {
        decoder: Ratings {
            motor_continuous_a: Some(continuous),
            motor_peak_a: None,
            motor_peak_s: None,
            ..decoder()
        },
        ..bare()
    };
    let enough = row(&with(0.80), MotorPeak, HELD);
    assert_eq!((enough.aspect, enough.rating_a), (Aspect::Clear, Some(0.80)));
    assert!(enough.finding.sentence.contains("which covers a peak too"), "{:?}", enough.finding);
    let short = row(&with(0.79), MotorPeak, HELD);
    assert_eq!((short.aspect, short.rating_a), (Aspect::Unlit, None), "the peak may be higher");
    // the meter's worst: 0.80 A may be 0.84 A
    let mut doubtful = with(0.80);
    doubtful.load.current_meter = Some(Accuracy { percent: 5.0, digits: 0.0, resolution: 0.01 });
    assert_eq!(row(&doubtful, MotorPeak, HELD).aspect, Aspect::Unlit);
    doubtful.decoder.motor_continuous_a = Some(0.85);
    assert_eq!(row(&doubtful, MotorPeak, HELD).aspect, Aspect::Clear);
    let guessed =
        Input { decoder: Ratings { basis: Basis::Guess, ..with(0.9).decoder }, ..with(0.9) };
    assert_eq!(row(&guessed, MotorPeak, HELD).aspect, Aspect::Unlit);
    let unread = Input { load: load::Input { held_a: None, ..bare().load }, ..with(5.0) };
    assert_eq!(row(&unread, MotorPeak, HELD).aspect, Aspect::Unlit);
}

#[test]
fn each_rule_has_its_aspect_above_and_below_the_wanted_headroom() {
    let with = |motor_continuous_a, motor_peak_a, total_continuous_a| Input {
        decoder: Ratings {
            motor_continuous_a: Some(motor_continuous_a),
            motor_peak_a: Some(motor_peak_a),
            total_continuous_a: Some(total_continuous_a),
            ..decoder()
        },
        ..bare()
    };
    let aspect = |input: &Input, rating, case| row(input, rating, case).aspect;
    let input = with(0.7, 0.7, 0.7);
    assert_eq!(aspect(&input, MotorPeak, HELD), Aspect::Danger);
    assert_eq!(aspect(&input, MotorContinuous, HELD), Aspect::Caution);
    assert_eq!(aspect(&input, MotorContinuous, SLIPPING), Aspect::Clear);
    assert_eq!(aspect(&input, TotalContinuous, HELD), Aspect::Danger);
    let input = with(0.85, 0.80, 0.85);
    assert_eq!(aspect(&input, MotorPeak, HELD), Aspect::Clear, "exactly the rating is not above");
    assert_eq!(aspect(&input, MotorContinuous, HELD), Aspect::Caution);
    assert_eq!(aspect(&input, TotalContinuous, HELD), Aspect::Caution);
    let input = with(0.35, 0.35, 0.35);
    assert_eq!(aspect(&input, MotorContinuous, SLIPPING), Aspect::Caution);
    assert_eq!(aspect(&input, TotalContinuous, SLIPPING), Aspect::Clear);
    let input = with(0.30, 0.35, 0.30);
    assert_eq!(aspect(&input, MotorContinuous, SLIPPING), Aspect::Danger);
    assert_eq!(aspect(&input, TotalContinuous, SLIPPING), Aspect::Caution);
}

#[test]
fn where_slipping_governs_held_stays_shown_and_costs_at_most_a_caution() {
    let input = Input { governing: Case::Slipping, ..bare() };
    let lower = |input: &Input, amps| {
        let (motor_continuous_a, total_continuous_a) = (Some(amps), Some(amps));
        Input {
            decoder: Ratings { motor_continuous_a, total_continuous_a, ..decoder() },
            ..input.clone()
        }
    };
    let near = lower(&input, 0.82);
    assert_eq!(row(&near, MotorContinuous, HELD).aspect, Aspect::Clear);
    assert_eq!(row(&near, TotalContinuous, HELD).aspect, Aspect::Clear);
    let over = lower(&input, 0.7);
    assert_eq!(row(&over, MotorContinuous, HELD).aspect, Aspect::Caution);
    assert_eq!(row(&over, TotalContinuous, HELD).aspect, Aspect::Caution);
    assert_eq!(row(&lower(&bare(), 0.7), TotalContinuous, HELD).aspect, Aspect::Danger);
    assert_eq!(row(&lower(&input, 0.3), TotalContinuous, SLIPPING).aspect, Aspect::Danger);
}

#[test]
fn a_function_output_over_its_own_rating_is_danger() {
    let input = Input { loads: lamps_and_sound(), ..bare() };
    assert_eq!(row(&input, Function, None).aspect, Aspect::Clear);
    let own = vec![OutputRating { output: "white".to_owned(), rating_a: 0.05 }];
    let input = Input { decoder: Ratings { outputs: own, ..decoder() }, ..input };
    let white = row(&input, Function, None);
    assert_eq!((white.output.as_deref(), white.rating_a), (Some("white"), Some(0.05)));
    assert_eq!(white.aspect, Aspect::Danger);
}

#[test]
fn what_is_missing_is_unlit_and_named() {
    let input = Input { decoder: Ratings::default(), ..bare() };
    assert!(rows(&input).iter().all(|r| r.aspect == Aspect::Unlit));
    let peak = row(&input, MotorPeak, HELD).finding;
    assert_eq!(peak.sentence, "Not known: the motor peak rating is not given.");
    let mut input = bare();
    input.load.held_a = None;
    let held = row(&input, MotorPeak, HELD);
    assert_eq!(
        (held.aspect, held.missing.as_slice()),
        (Aspect::Unlit, &["the held current".to_owned()][..])
    );
    let mut input = bare();
    input.load.decoder_output_v = None;
    assert_eq!(row(&input, MotorPeak, HELD).missing, ["the track voltage"]);
    assert_eq!(row(&input, MotorContinuous, SLIPPING).aspect, Aspect::Clear);
    let mut input = Input { loads: lamps_and_sound(), ..bare() };
    input.loads[1].amps_a = None;
    let total = row(&input, TotalContinuous, SLIPPING);
    assert_eq!((total.aspect, total.demand), (Aspect::Unlit, None));
    assert!(total.finding.would_change.contains("the current of sound"));
}

#[test]
fn too_much_already_is_danger_though_something_is_missing() {
    let mut input = Input { loads: lamps_and_sound(), ..bare() };
    input.load.held_a = None;
    input.decoder.total_continuous_a = Some(0.2);
    let total = row(&input, TotalContinuous, HELD);
    assert_eq!(total.aspect, Aspect::Danger);
    assert!(total.finding.sentence.contains("at least 0.21\u{a0}A"), "{}", total.finding.sentence);
}

#[test]
fn a_hope_is_unlit_until_measured_and_a_computed_failure_shows_at_once() {
    for basis in [Basis::DataSheet, Basis::Guess] {
        let mut input = Input { loads: lamps_and_sound(), ..bare() };
        input.decoder.total_continuous_a = Some(2.0);
        input.loads[1].basis = basis;
        let total = row(&input, TotalContinuous, HELD);
        assert_eq!(total.aspect, Aspect::Unlit);
        let said = &total.finding.sentence;
        assert!(said.starts_with("Holds on paper; nobody measured sound."), "{said}");
        assert_eq!(row(&input, Function, None).aspect, Aspect::Clear);
        input.decoder.total_continuous_a = Some(1.0);
        assert_eq!(row(&input, TotalContinuous, HELD).aspect, Aspect::Danger);
        let input = Input { motor_basis: basis, ..bare() };
        assert_eq!(row(&input, MotorContinuous, SLIPPING).aspect, Aspect::Unlit);
    }
}

#[test]
fn ratings_from_a_data_sheet_count_and_guessed_ones_do_not() {
    for (basis, aspect) in [
        (Basis::Measured, Aspect::Clear),
        (Basis::DataSheet, Aspect::Clear),
        (Basis::Guess, Aspect::Unlit),
    ] {
        let input = Input { decoder: Ratings { basis, ..decoder() }, ..bare() };
        assert_eq!(run(&input).expect("allowed").aspect, aspect);
    }
}

#[test]
fn the_winding_stands_in_for_a_motor_that_does_not_stall_but_never_clears() {
    let mut input = bare();
    input.load.held_a = None;
    input.load.held_refused = true;
    input.load.winding_ohm = Some(15.0);
    let peak = row(&input, MotorPeak, HELD);
    assert!((peak.demand.expect("a stand-in").value - 0.80).abs() < 1e-12);
    assert_eq!(peak.aspect, Aspect::Unlit);
    input.load.winding_ohm = Some(7.0);
    assert_eq!(row(&input, MotorPeak, HELD).aspect, Aspect::Danger);
}

#[test]
fn the_bad_end_of_the_meters_bounds_decides() {
    let mut input = bare();
    input.load.current_meter = Some(Accuracy { percent: 1.0, digits: 3.0, resolution: 0.01 });
    input.decoder.motor_peak_a = Some(0.83);
    let peak = row(&input, MotorPeak, HELD);
    assert_eq!(peak.aspect, Aspect::Danger);
    assert!(peak.finding.sentence.contains("at worst"), "{}", peak.finding.sentence);
    input.decoder.motor_peak_a = Some(0.84);
    assert_eq!(row(&input, MotorPeak, HELD).aspect, Aspect::Clear);
}

#[test]
fn readings_that_cannot_all_be_right_are_a_caution_here_too() {
    let mut input = bare();
    input.load.slipping_a = Some(0.5);
    input.load.held_a = Some(0.4);
    let out = run(&input).expect("allowed");
    assert_eq!(out.readings.expect("a finding").aspect, Aspect::Caution);
    assert_eq!(out.aspect, Aspect::Caution);
}

#[test]
fn what_is_not_allowed_is_refused_with_its_field() {
    let mut input = Input { loads: lamps_and_sound(), ..bare() };
    input.load.test_v = 99.0;
    input.loads[0].count = 0;
    input.loads[1].amps_a = Some(-1.0);
    input.loads[1].name = " ".to_owned();
    input.decoder.total_continuous_a = Some(0.0);
    input.want_headroom_held = 0.95;
    let twice = OutputRating { output: "white".to_owned(), rating_a: 0.1 };
    input.decoder.outputs = vec![twice.clone(), twice];
    let fields: Vec<String> =
        run(&input).expect_err("refused").into_iter().map(|r| r.field).collect();
    assert_eq!(
        fields,
        [
            "load.test_v",
            "want_headroom_held",
            "loads.0.count",
            "loads.1.name",
            "loads.1.amps_a",
            "decoder.total_continuous_a",
            "decoder.outputs.1.output"
        ]
    );
}

fn any_basis() -> impl Strategy<Value = Basis> {
    prop_oneof![3 => Just(Basis::Measured), 1 => Just(Basis::DataSheet), 1 => Just(Basis::Guess)]
}

fn any_load() -> impl Strategy<Value = PlannedLoad> {
    let amps = prop::option::weighted(0.9, 0.0..0.5f64);
    let output = prop::option::of(prop_oneof!["white", "green"]);
    (amps, 1..4u32, output, any_basis(), any::<bool>()).prop_map(
        |(amps_a, count, output, basis, metered)| PlannedLoad {
            count,
            output,
            basis,
            meter: metered.then_some(Accuracy { percent: 1.0, digits: 2.0, resolution: 0.001 }),
            ..PlannedLoad::new("load", Kind::Other, amps_a)
        },
    )
}

fn any_ratings() -> impl Strategy<Value = Ratings> {
    let rating = || prop::option::weighted(0.9, 0.05..3.0f64);
    (rating(), rating(), rating(), rating(), prop::option::of(0.05..1.0f64), any_basis()).prop_map(
        |(motor_continuous_a, motor_peak_a, total_continuous_a, function_a, own, basis)| Ratings {
            motor_continuous_a,
            motor_peak_a,
            motor_peak_s: None,
            total_continuous_a,
            function_a,
            outputs: own
                .map(|rating_a| OutputRating { output: "white".to_owned(), rating_a })
                .into_iter()
                .collect(),
            basis,
        },
    )
}

prop_compose! {
    fn any_input()(
        free_a in prop::option::weighted(0.9, 0.02..1.0f64),
        slipping_a in prop::option::weighted(0.9, 0.1..1.0f64),
        held_a in prop::option::weighted(0.8, 0.3..3.0f64),
        winding_ohm in prop::option::of(4.0..40.0f64),
        track_v in prop::option::weighted(0.9, 10.0..20.0f64),
        metered in any::<bool>(),
        loads in prop::collection::vec(any_load(), 0..4),
        decoder in any_ratings(),
        motor_basis in any_basis(),
        slipping_governs in any::<bool>(),
        wanted in (0.0..0.5f64, 0.0..0.5f64),
    ) -> Input {
        let meter = Accuracy { percent: 1.5, digits: 3.0, resolution: 0.01 };
        Input {
            load: load::Input {
                free_a,
                slipping_a,
                held_a,
                winding_ohm,
                track_v,
                current_meter: metered.then_some(meter),
                ..load::Input::at(12.0)
            },
            motor_basis,
            loads,
            decoder,
            governing: if slipping_governs { Case::Slipping } else { Case::Held },
            want_headroom_held: wanted.0,
            want_headroom_slipping: wanted.1,
        }
    }
}

/// The same input with one thing not known; the list of rows stays the same.
fn without(input: &Input, which: usize) -> Input {
    let mut less = input.clone();
    match which {
        0 => less.load.free_a = None,
        1 => less.load.slipping_a = None,
        2 => less.load.held_a = None,
        3 => less.load.winding_ohm = None,
        4 => less.load.track_v = None,
        5 => less.decoder.motor_continuous_a = None,
        6 => less.decoder.motor_peak_a = None,
        7 => less.decoder.total_continuous_a = None,
        8 => less.decoder.function_a = None,
        _ => less.loads.iter_mut().for_each(|l| l.amps_a = None),
    }
    less
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn a_rating_raised_never_worsens_an_aspect(
        input in any_input(), which in 0..5usize, by in 0.0..2.0f64
    ) {
        let mut more = input.clone();
        let d = &mut more.decoder;
        match which {
            0 => d.motor_continuous_a = d.motor_continuous_a.map(|v| v + by),
            1 => d.motor_peak_a = d.motor_peak_a.map(|v| v + by),
            2 => d.total_continuous_a = d.total_continuous_a.map(|v| v + by),
            3 => d.function_a = d.function_a.map(|v| v + by),
            _ => d.outputs.iter_mut().for_each(|o| o.rating_a += by),
        }
        for (before, after) in rows(&input).into_iter().zip(rows(&more)) {
            prop_assert!(after.aspect.rank() <= before.aspect.rank(), "{before:?} {after:?}");
        }
    }

    #[test]
    fn taking_an_input_away_never_makes_a_row_clear(input in any_input(), which in 0..10usize) {
        let (before, after) = (rows(&input), rows(&without(&input, which)));
        prop_assert_eq!(before.len(), after.len());
        for (before, after) in before.into_iter().zip(after) {
            // a peak below the continuous rating is no rating a sheet can give: the other covers it
            let covered = after.by_continuous && !before.by_continuous;
            let turned = after.aspect == Aspect::Clear && before.aspect != Aspect::Clear;
            prop_assume!(!(covered && before.aspect == Aspect::Danger));
            prop_assert!(!turned, "{before:?} {after:?}");
        }
    }

    /// Taking the whole answer: what was not clear does not become clear by knowing less.
    #[test]
    fn taking_an_input_away_never_makes_the_answer_clear(input in any_input(), which in 0..10usize) {
        let before = run(&input).expect("allowed").aspect;
        let after = run(&without(&input, which)).expect("allowed");
        prop_assume!(!after.rows.iter().any(|r| r.by_continuous) || before != Aspect::Danger);
        prop_assert!(after.aspect != Aspect::Clear || before == Aspect::Clear);
    }

    #[test]
    fn a_row_on_unmeasured_figures_is_unlit_or_danger(input in any_input()) {
        for row in rows(&input) {
            if !row.unmeasured.is_empty() || !row.missing.is_empty() || row.rating_a.is_none() {
                prop_assert!(matches!(row.aspect, Aspect::Unlit | Aspect::Danger));
            } else {
                prop_assert!(row.aspect != Aspect::Unlit);
            }
        }
    }

    /// Bounds of demand and headroom hold the value and any demand inside the meters' bounds.
    #[test]
    fn bounds_hold_every_reading_inside_the_meters(
        input in any_input(), at in prop_oneof![Just(0.0), Just(1.0), 0.0..1.0f64]
    ) {
        let go = |value: f64, meter: Option<Accuracy>| {
            let b = load::seen(value, meter);
            (b.lo + (b.hi - b.lo) * at).clamp(b.lo, b.hi)
        };
        let mut exact = input.clone();
        let amps = input.load.current_meter;
        exact.load.held_a = input.load.held_a.map(|v| go(v, amps));
        exact.load.slipping_a = input.load.slipping_a.map(|v| go(v, amps));
        exact.load.current_meter = None;
        for l in &mut exact.loads {
            l.amps_a = l.amps_a.map(|v| go(v, l.meter));
            l.meter = None;
        }
        for (wide, narrow) in rows(&input).into_iter().zip(rows(&exact)) {
            for (w, n) in [(wide.demand, narrow.demand), (wide.headroom, narrow.headroom)] {
                if let (Some(w), Some(n)) = (w, n) {
                    prop_assert!(w.lo <= w.value && w.value <= w.hi);
                    let slack = 1e-12 * n.value.abs().max(1.0);
                    prop_assert!(w.lo - slack <= n.value && n.value <= w.hi + slack);
                }
            }
        }
    }
}
