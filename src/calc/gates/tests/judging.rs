//! Judgements: what they pass, what they can't, when they lapse; passing a gate; tonight.

use super::*;
use GateName::{Close, FirstPower, Order};

fn sign(s: &mut Snapshot, gate: GateName, key: &str) {
    let check = find(s, gate, key);
    let judgement = attempt(&check, gate, "Ines", "It shunts four wagons.", NOW).unwrap();
    s.judgements.push(judgement);
}

/// Headroom with the motor held below what is wanted: caution.
fn tight() -> Snapshot {
    let mut s = proved();
    s.decoder.as_mut().unwrap().ratings.motor_continuous_a = Some(0.8);
    s
}

#[test]
fn a_judged_caution_counts_as_caution_never_as_clear() {
    let mut s = tight();
    assert_eq!(gates(&s)[0].aspect, Aspect::Caution);
    assert!(find(&s, Order, "headroom").blocks());
    sign(&mut s, Order, "headroom");
    let check = find(&s, Order, "headroom");
    assert_eq!((check.counts_as(), check.blocks()), (Aspect::Caution, false));
    assert_eq!(check.judgement.unwrap().person, "Ines");
    let gate = &gates(&s)[0];
    assert_eq!(
        (gate.aspect, gate.summary.as_str()),
        (Aspect::Caution, "caution: 1 judged, 5 clear")
    );
}

#[test]
fn a_judged_danger_of_advice_counts_as_caution() {
    for (key, change) in [
        (
            "headroom",
            (|s| s.decoder.as_mut().unwrap().ratings.motor_peak_a = Some(0.5)) as fn(&mut Snapshot),
        ),
        ("mechanism", |s| s.load_test.as_mut().unwrap().free_a = Some(measured(0.32, 11))),
    ] {
        let mut s = proved();
        change(&mut s);
        assert_eq!(find(&s, Order, key).counts_as(), Aspect::Danger);
        sign(&mut s, Order, key);
        let check = find(&s, Order, key);
        assert_eq!((check.finding.aspect, check.counts_as()), (Aspect::Danger, Aspect::Caution));
        assert_eq!(gates(&s)[0].aspect, Aspect::Caution);
    }
}

#[test]
fn a_danger_on_isolation_or_a_short_is_refused_with_the_reason() {
    for pair in Pair::in_order(true, &LEADS.map(str::to_owned)) {
        let mut s = proved();
        set_pair(&mut s, pair.a.clone(), pair.b.clone(), Position::InFrame, Outcome::Joined);
        let key = match &pair.a {
            Point::Lead(name) => format!("lead:{name}"),
            _ => pair.key(),
        };
        let check = find(&s, FirstPower, &key);
        let refusal = attempt(&check, FirstPower, "Ines", "I know better.", NOW).unwrap_err();
        assert_eq!(refusal.check, key);
        assert!(refusal.reason.contains("can’t be judged away"), "{}", refusal.reason);
        // A judgement slipped in all the same doesn't hold.
        s.judgements.push(Judgement {
            gate: FirstPower,
            check: key.clone(),
            aspect: Aspect::Danger,
            person: "Ines".into(),
            reason: "I know better.".into(),
            at_ms: NOW,
            fingerprint: check.fingerprint,
        });
        let check = find(&s, FirstPower, &key);
        assert!(check.judgement.is_none() && check.counts_as() == Aspect::Danger);
        set_pair(&mut s, pair.a.clone(), pair.b.clone(), Position::ShellOn, Outcome::Joined);
        assert!(find(&s, Close, "isolation_shell_on").why_not_judgeable.contains("judged away"));
    }
}

#[test]
fn other_dangers_and_unlit_and_clear_are_refused_too() {
    let mut s = proved();
    answer(&mut s, Observation::NothingPinched, false);
    let danger = find(&s, Close, "nothing_pinched");
    assert!(attempt(&danger, Close, "Ines", "x", NOW).unwrap_err().reason.contains("This danger"));
    forget(&mut s, Observation::NothingPinched);
    let unlit = find(&s, Close, "nothing_pinched");
    assert!(attempt(&unlit, Close, "Ines", "x", NOW).unwrap_err().reason.contains("isn’t known"));
    let clear = find(&s, Close, "gauge");
    assert!(attempt(&clear, Close, "Ines", "x", NOW).unwrap_err().reason.contains("It’s clear"));
}

#[test]
fn a_judgement_wants_a_name_and_a_reason() {
    let check = find(&tight(), Order, "headroom");
    for (person, reason) in [("", "why"), ("  ", "why"), ("Ines", " "), ("Ines", &"x".repeat(2001))]
    {
        assert_eq!(attempt(&check, Order, person, reason, NOW).unwrap_err().check, "");
    }
}

#[test]
fn a_judgement_lapses_when_a_value_it_rests_on_changes() {
    let changes: [fn(&mut Snapshot); 5] = [
        |s| s.load_test.as_mut().unwrap().held_a = Some(measured(0.74, 13)),
        |s| s.decoder.as_mut().unwrap().ratings.motor_continuous_a = Some(0.79),
        |s| s.track_v.as_mut().unwrap().value_v = 15.1,
        |s| s.loads[0].load.amps_a = Some(0.031),
        |s| s.thresholds.headroom_want_held = 0.11,
    ];
    for (i, change) in changes.into_iter().enumerate() {
        let mut s = tight();
        sign(&mut s, Order, "headroom");
        assert!(find(&s, Order, "headroom").judgement.is_some());
        change(&mut s);
        let check = find(&s, Order, "headroom");
        assert!(check.judgement.is_none(), "change {i}");
        assert_eq!(check.lapsed.unwrap().person, "Ines");
        assert!(gates(&s)[0].checks.iter().any(Check::blocks));
    }
}

#[test]
fn a_judgement_stands_while_only_time_passes_and_the_same_value_is_read_again() {
    let mut s = tight();
    sign(&mut s, Order, "headroom");
    s.now_ms += 400 * DAY;
    let held = s.load_test.as_mut().unwrap().held_a.as_mut().unwrap();
    held.taken = Taken { at_ms: NOW + DAY, ..taken("r99", 99) };
    assert!(find(&s, Order, "headroom").judgement.is_some());
}

#[test]
fn a_judgement_of_a_stale_reading_lapses_into_unlit() {
    let mut s = tight();
    sign(&mut s, Order, "headroom");
    s.alterations.push(alteration(AlterationKind::MotorChanged, NOW));
    let check = find(&s, Order, "headroom");
    assert_eq!(check.counts_as(), Aspect::Unlit);
    assert!(check.judgement.is_none() && check.lapsed.is_some());
}

#[test]
fn a_judgement_holds_for_its_own_gate_and_check_only_and_the_newest_is_shown() {
    let mut s = tight();
    sign(&mut s, Order, "headroom");
    assert!(find(&s, Close, "headroom_all").judgement.is_none());
    let mut later = s.judgements[0].clone();
    (later.person, later.at_ms) = ("Tomas".into(), NOW + 1);
    s.judgements.insert(0, later);
    assert_eq!(find(&s, Order, "headroom").judgement.unwrap().person, "Tomas");
}

#[test]
fn somebodys_word_for_what_a_sheet_will_work_out_takes_a_judgement() {
    let mut s = proved();
    answer(&mut s, Observation::ProbeSheetDone, true);
    let check = find(&s, FirstPower, "probe_sheet");
    assert_eq!((check.finding.aspect, check.judgeable), (Aspect::Caution, true));
    assert!(check.finding.sentence.contains("The Circuit sheet doesn’t work it out yet"));
    sign(&mut s, FirstPower, "probe_sheet");
    assert!(!find(&s, FirstPower, "probe_sheet").blocks());
    answer(&mut s, Observation::ProbeSheetDone, false);
    assert!(!find(&s, FirstPower, "probe_sheet").judgeable);
}

fn passed(gate: GateName) -> Passing {
    Passing { gate, at_ms: NOW, who: "Ines".into() }
}

#[test]
fn a_gate_is_passed_when_the_ones_before_it_are_and_nothing_of_it_is_open() {
    let mut s = proved();
    assert_eq!(may_pass(&gates(&s), Order), Ok(()));
    let blocked = may_pass(&gates(&s), FirstPower).unwrap_err();
    assert_eq!(blocked.len(), 2);
    assert!(blocked[0].reason.contains("Order"));
    s.passings = vec![passed(Order), passed(GateName::Cut)];
    assert_eq!(may_pass(&gates(&s), FirstPower), Ok(()));
    answer(&mut s, Observation::ProbeSheetDone, true);
    set_pair(&mut s, Point::BrushA, Point::Frame, Position::InFrame, Outcome::Joined);
    let blocked = may_pass(&gates(&s), FirstPower).unwrap_err();
    let keys: Vec<&str> = blocked.iter().map(|b| b.check.as_str()).collect();
    assert_eq!(keys, ["brush_a:frame", "probe_sheet"]);
    assert!(may_pass(&[], Order).is_err());
}

#[test]
fn the_newest_passing_is_shown() {
    let mut s = proved();
    s.passings =
        vec![passed(Order), Passing { at_ms: NOW + 5, who: "Tomas".into(), ..passed(Order) }];
    assert_eq!(gates(&s)[0].passed.as_ref().unwrap().who, "Tomas");
}

#[test]
fn tonight_lists_danger_before_unlit_before_caution_of_the_first_gate_not_passed() {
    let mut s = proved();
    s.passings = vec![passed(Order), passed(GateName::Cut)];
    answer(&mut s, Observation::ProbeSheetDone, true);
    forget(&mut s, Observation::InsulationOnMetal);
    set_pair(&mut s, Point::BrushA, Point::RailRight, Position::InFrame, Outcome::Joined);
    s.isolation.retain(|f| f.b != Point::Frame);
    let steps = next_steps(&gates(&s));
    let told: Vec<(&str, Aspect, Place, usize)> =
        steps.iter().map(|s| (s.check.as_str(), s.aspect, s.place, s.more)).collect();
    assert_eq!(
        told,
        [
            ("brush_a:rail_right", Aspect::Danger, Place::Isolation, 0),
            ("brush_a:frame", Aspect::Unlit, Place::Isolation, 3),
            ("insulation", Aspect::Unlit, Place::Observation(Observation::InsulationOnMetal), 0),
            ("probe_sheet", Aspect::Caution, Place::Later, 0),
        ]
    );
    assert_eq!(steps[0].minutes, 25);
    assert_eq!(steps[1].minutes, 8);
    assert!(steps.iter().all(|s| s.gate == FirstPower && !s.what.is_empty() && !s.why.is_empty()));
    assert!(steps[3].judgeable && !steps[0].judgeable);
}

#[test]
fn a_danger_at_a_gate_already_passed_comes_first() {
    let mut s = proved();
    s.passings = [Order, GateName::Cut, FirstPower].map(passed).to_vec();
    set_pair(&mut s, Point::BrushA, Point::RailRight, Position::InFrame, Outcome::Joined);
    forget(&mut s, Observation::GaugeChecked);
    let steps = next_steps(&gates(&s));
    let told: Vec<(GateName, &str)> = steps.iter().map(|s| (s.gate, s.check.as_str())).collect();
    assert_eq!(told, [(FirstPower, "brush_a:rail_right"), (Close, "gauge")]);
}

#[test]
fn nothing_to_do_where_all_is_clear_and_passed() {
    let mut s = proved();
    s.passings = GateName::ALL.map(passed).to_vec();
    assert!(next_steps(&gates(&s)).is_empty());
}

#[test]
fn the_gates_answer_in_the_shape_of_every_calculation() {
    let answer = run(&proved()).unwrap().answer();
    assert_eq!((answer.aspect, answer.values.len()), (Aspect::Clear, 5));
    let mut s = tight();
    sign(&mut s, Order, "headroom");
    let answer = run(&s).unwrap().answer();
    assert_eq!(answer.aspect, Aspect::Caution);
    assert!(answer.sentence.starts_with("Order: Decoder carries the motor: "));
    assert!(answer.sentence.ends_with("Judged by Ines: “It shunts four wagons.”"));
    assert_eq!(run(&unknown()).unwrap().answer().aspect, Aspect::Unlit);
    s.offset_minutes = 2000;
    assert_eq!(run(&s).unwrap_err()[0].field, "offset_minutes");
}
