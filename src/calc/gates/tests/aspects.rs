//! Every check at clear, caution where it has one, danger and unlit.

use super::*;
use GateName::{Close, Cut, FirstPower, Order, Service};

/// Keys of every check of a conversion in which everything is wanted.
const KEYS: [(GateName, &[&str]); 5] = [
    (Order, &["survey", "load_test", "headroom", "mechanism", "layout", "pickup"]),
    (Cut, &["datums", "layout_chosen", "cut_list", "nothing_lost", "cautions"]),
    (
        FirstPower,
        &[
            "brush_a:rail_left",
            "brush_a:rail_right",
            "brush_b:rail_left",
            "brush_b:rail_right",
            "brush_a:frame",
            "brush_b:frame",
            "rail_left:rail_right",
            "lead:front lamp lead",
            "lead:speaker leads",
            "wiring",
            "winding",
            "probe_sheet",
            "insulation",
            "supply",
            "function_loads",
            "cards",
        ],
    ),
    (
        Close,
        &[
            "pickups",
            "headroom_all",
            "heat",
            "snags",
            "lights",
            "sound",
            "store",
            "tightest_curve",
            "coupler_height",
            "gauge",
            "nothing_pinched",
            "twins",
            "isolation_shell_on",
        ],
    ),
    (Service, &["sheet_read_back", "run_in", "weight_and_balance", "review"]),
];

#[test]
fn a_conversion_with_everything_proved_is_clear_at_every_check_of_every_gate() {
    for (gate, (name, keys)) in gates(&proved()).iter().zip(KEYS) {
        assert_eq!(gate.name, name);
        let found: Vec<&str> = gate.checks.iter().map(|c| c.key.as_str()).collect();
        assert_eq!(found, keys);
        for check in &gate.checks {
            assert_eq!(
                check.finding.aspect,
                Aspect::Clear,
                "{}: {}",
                check.key,
                check.finding.sentence
            );
            assert!(!check.judgeable && check.action.what.is_empty());
        }
        assert_eq!((gate.aspect, &gate.summary[..6]), (Aspect::Clear, "clear:"));
    }
}

#[test]
fn of_a_conversion_of_which_nothing_is_known_every_check_is_unlit() {
    for (gate, (_, keys)) in gates(&unknown()).iter().zip(KEYS) {
        let found: Vec<&str> = gate.checks.iter().map(|c| c.key.as_str()).collect();
        // Test cards have a check once one of the gate was done.
        let keys: Vec<&str> = keys.iter().copied().filter(|key| *key != "cards").collect();
        assert_eq!(found, keys);
        for check in &gate.checks {
            assert_eq!(check.finding.aspect, Aspect::Unlit, "{}", check.key);
            assert!(!check.action.what.is_empty() && check.action.minutes > 0, "{}", check.key);
            assert!(!check.judgeable && !check.why_not_judgeable.is_empty());
            assert!(!check.reads.is_empty() && !check.needs.is_empty() && !check.title.is_empty());
        }
    }
    let bare = gates(&Snapshot::empty(NOW, 0));
    assert!(bare.iter().all(|g| g.aspect == Aspect::Unlit));
    assert!(bare.iter().flat_map(|g| &g.checks).all(|c| c.finding.aspect == Aspect::Unlit));
}

/// Changes a proved conversion and looks at one check.
fn turned(gate: GateName, key: &str, change: impl FnOnce(&mut Snapshot)) -> Check {
    let mut s = proved();
    change(&mut s);
    find(&s, gate, key)
}

#[track_caller]
fn turns(gate: GateName, key: &str, to: Aspect, change: impl FnOnce(&mut Snapshot)) {
    let check = turned(gate, key, change);
    assert_eq!(check.finding.aspect, to, "{key}: {}", check.finding.sentence);
    assert!(!(check.judgeable && to == Aspect::Unlit));
}

fn test_of(s: &mut Snapshot) -> &mut LoadTest {
    s.load_test.as_mut().unwrap()
}

fn ratings(s: &mut Snapshot) -> &mut Ratings {
    &mut s.decoder.as_mut().unwrap().ratings
}

#[test]
fn survey() {
    let key = "survey";
    turns(Order, key, Aspect::Unlit, |s| s.survey.truncate(5));
    turns(Order, key, Aspect::Unlit, |s| s.survey[0].value = " ".into());
    turns(Order, key, Aspect::Unlit, |s| forget(s, Observation::RunsSmoothly));
    turns(Order, key, Aspect::Caution, |s| answer(s, Observation::RunsSmoothly, false));
    let lacking = turned(Order, key, |s| s.survey.retain(|f| f.key != SurveyKey::Motor));
    assert_eq!(lacking.finding.sentence, "The survey lacks kind of motor.");
    assert_eq!((lacking.reads.as_str(), lacking.action.place), ("5 of 6 facts", Place::Survey));
}

#[test]
fn load_test() {
    let key = "load_test";
    turns(Order, key, Aspect::Unlit, |s| s.load_test = None);
    turns(Order, key, Aspect::Unlit, |s| test_of(s).test_v = None);
    turns(Order, key, Aspect::Unlit, |s| test_of(s).free_a = None);
    turns(Order, key, Aspect::Unlit, |s| test_of(s).held_a = None);
    // Slipping above held can't be: a reading is wrong.
    turns(Order, key, Aspect::Caution, |s| test_of(s).slipping_a = Some(measured(0.9, 12)));
    let refuse = |s: &mut Snapshot| {
        test_of(s).held_a = None;
        test_of(s).held_refused = Some(taken("r13", 13));
    };
    turns(Order, key, Aspect::Caution, refuse);
    turns(Order, key, Aspect::Unlit, |s| {
        refuse(s);
        test_of(s).winding_ohm = None;
    });
    // What can't be used of it hides nothing else.
    turns(FirstPower, "winding", Aspect::Clear, |s| test_of(s).free_a = Some(measured(45.0, 11)));
    turns(Order, "mechanism", Aspect::Clear, |s| test_of(s).held_a = Some(measured(45.0, 13)));
    // Not a reading that can be: refused by the calculation, told with the field.
    let refused = turned(Order, key, |s| test_of(s).held_a = Some(measured(45.0, 13)));
    assert_eq!(refused.finding.aspect, Aspect::Unlit);
    assert!(refused.finding.sentence.contains("held_a is 45, allowed is 0.001 to 20"));
    assert_eq!(find(&proved(), Order, key).readings.len(), 4);
}

#[test]
fn headroom_of_the_motor() {
    let key = "headroom";
    turns(Order, key, Aspect::Danger, |s| ratings(s).motor_peak_a = Some(0.5));
    turns(Order, key, Aspect::Danger, |s| ratings(s).motor_continuous_a = Some(0.35));
    turns(Order, key, Aspect::Caution, |s| ratings(s).motor_continuous_a = Some(0.8));
    turns(Order, key, Aspect::Unlit, |s| s.decoder = None);
    let no_peak = |s: &mut Snapshot| ratings(s).motor_peak_a = None;
    assert_eq!(turned(Order, key, no_peak).finding.aspect, Aspect::Clear, "continuous covers it");
    turns(Order, key, Aspect::Unlit, |s| {
        ratings(s).motor_peak_a = None;
        ratings(s).motor_continuous_a = Some(0.7);
    });
    turns(Order, key, Aspect::Unlit, |s| ratings(s).basis = Basis::Guess);
    turns(Order, key, Aspect::Unlit, |s| s.track_v = None);
    turns(Order, key, Aspect::Unlit, |s| s.track_v.as_mut().unwrap().basis = Basis::Guess);
    turns(Order, key, Aspect::Unlit, |s| test_of(s).held_a = None);
    turns(Order, key, Aspect::Unlit, |s| s.load_test = None);
    let clear = find(&proved(), Order, key);
    assert_eq!(
        (clear.reads.as_str(), clear.needs.as_str()),
        ("1.03\u{a0}A of 1.20\u{a0}A", "10\u{a0}% headroom")
    );
    assert!(clear.finding.inputs.iter().any(|i| i.name == "motor continuous, slipping"));
}

#[test]
fn loads_on_paper_can_fail_the_order_but_not_prove_it() {
    let on_paper = |s: &mut Snapshot| {
        for fact in &mut s.loads {
            fact.load.basis = Basis::DataSheet;
            fact.taken = None;
        }
    };
    let clear = turned(Order, "headroom", on_paper);
    assert_eq!(clear.finding.aspect, Aspect::Clear);
    assert!(
        clear.finding.sentence.contains("On paper only: front lamps, sound and store charging.")
    );
    turns(Close, "headroom_all", Aspect::Unlit, on_paper);
    turns(FirstPower, "function_loads", Aspect::Unlit, on_paper);
    let too_much = |s: &mut Snapshot| {
        on_paper(s);
        s.loads[1].load.amps_a = Some(0.5);
    };
    turns(Order, "headroom", Aspect::Danger, too_much);
    turns(Close, "headroom_all", Aspect::Danger, too_much);
    turns(Order, "headroom", Aspect::Unlit, |s| s.loads[1].load.amps_a = None);
}

#[test]
fn a_motor_that_cannot_be_held_is_caution_by_its_winding() {
    let refuse = |s: &mut Snapshot| {
        test_of(s).held_a = None;
        test_of(s).held_refused = Some(taken("r13", 13));
    };
    turns(Order, "headroom", Aspect::Caution, refuse);
    turns(Close, "headroom_all", Aspect::Caution, refuse);
    turns(Order, "headroom", Aspect::Danger, |s| {
        refuse(s);
        ratings(s).motor_peak_a = Some(0.5);
    });
    turns(Order, "headroom", Aspect::Unlit, |s| {
        refuse(s);
        test_of(s).winding_ohm = None;
    });
    turns(Close, "headroom_all", Aspect::Unlit, |s| {
        refuse(s);
        s.loads[1].load.basis = Basis::DataSheet;
    });
}

#[test]
fn mechanism() {
    let key = "mechanism";
    turns(Order, key, Aspect::Caution, |s| test_of(s).free_a = Some(measured(0.25, 11)));
    turns(Order, key, Aspect::Danger, |s| test_of(s).free_a = Some(measured(0.32, 11)));
    turns(Order, key, Aspect::Unlit, |s| test_of(s).free_a = None);
    turns(Order, key, Aspect::Unlit, |s| test_of(s).slipping_a = None);
    assert_eq!(find(&proved(), Order, key).reads, "39\u{a0}%");
}

#[test]
fn layout() {
    turns(Order, "layout", Aspect::Danger, |s| answer(s, Observation::PaperTried, false));
    let unlit = turned(Order, "layout", |s| forget(s, Observation::PaperTried));
    assert_eq!(unlit.finding.aspect, Aspect::Unlit);
    assert_eq!(
        unlit.finding.sentence,
        "No layout is known. The Space sheet will answer this; until then a dry fit with paper dummies can \
         be entered as seen."
    );
    let found = |aspect| {
        move |s: &mut Snapshot| s.worked_out.push(worked_out(Observation::PaperTried, aspect))
    };
    turns(Order, "layout", Aspect::Danger, found(Aspect::Danger));
    turns(Order, "layout", Aspect::Caution, found(Aspect::Caution));
    // Not decided within the limit: what paper says stands.
    turns(Order, "layout", Aspect::Clear, found(Aspect::Unlit));
    // Found by the sheet, but paper says no: the worse stands.
    turns(Order, "layout", Aspect::Danger, |s| {
        answer(s, Observation::PaperTried, false);
        s.worked_out.push(worked_out(Observation::PaperTried, Aspect::Clear));
    });
    turns(Order, "layout", Aspect::Clear, |s| {
        forget(s, Observation::PaperTried);
        s.worked_out.push(worked_out(Observation::PaperTried, Aspect::Clear));
    });
}

#[test]
fn pickup_before_ordering_and_before_closing() {
    let open = |ids: &'static [&str]| {
        move |s: &mut Snapshot| {
            for fact in s.wheels.iter_mut().filter(|f| ids.contains(&f.wheel.id.as_str())) {
                fact.wheel.state = WheelState::Open;
            }
        }
    };
    // Two working wheels a rail are enough to order, and the fault is named.
    let one = turned(Order, "pickup", open(&["L2"]));
    assert_eq!(one.finding.aspect, Aspect::Clear);
    assert!(one.finding.sentence.contains("left side, axle 2 from the front, reads open"));
    assert_eq!(one.reads, "5 of 6");
    turns(Close, "pickups", Aspect::Caution, open(&["L2"]));
    turns(Order, "pickup", Aspect::Caution, open(&["L2", "L3"]));
    for (gate, key) in [(Order, "pickup"), (Close, "pickups")] {
        turns(gate, key, Aspect::Danger, open(&["L1", "L2", "L3"]));
        turns(gate, key, Aspect::Unlit, |s| s.wheels[0].wheel.state = WheelState::Unmeasured);
        turns(gate, key, Aspect::Unlit, |s| s.wheels[0].taken = None);
        turns(gate, key, Aspect::Unlit, |s| s.wheels.clear());
        turns(gate, key, Aspect::Unlit, |s| s.wheels[0].wheel.id = "L2".into());
    }
}

/// Checks that a person answers, each with the aspect of a yes without a sheet, and of a no.
const ANSWERED: [(GateName, &str, Observation, Aspect, Aspect); 19] = {
    use Aspect::{Caution, Clear, Danger};
    [
        (Cut, "datums", Observation::DatumsRecorded, Caution, Danger),
        (Cut, "layout_chosen", Observation::LayoutChosen, Clear, Danger),
        (Cut, "cut_list", Observation::CutListMade, Caution, Danger),
        (Cut, "nothing_lost", Observation::NothingHeldIsLost, Clear, Danger),
        (Cut, "cautions", Observation::CautionsRead, Clear, Danger),
        (FirstPower, "probe_sheet", Observation::ProbeSheetDone, Caution, Danger),
        (FirstPower, "insulation", Observation::InsulationOnMetal, Clear, Danger),
        (FirstPower, "supply", Observation::SupplyLimited, Clear, Danger),
        (Close, "heat", Observation::HeatSettled, Caution, Danger),
        (Close, "lights", Observation::LightsProved, Clear, Caution),
        (Close, "sound", Observation::SoundProved, Clear, Caution),
        (Close, "store", Observation::StoreProved, Clear, Caution),
        (Close, "tightest_curve", Observation::TightestCurve, Clear, Danger),
        (Close, "coupler_height", Observation::CouplerHeightChecked, Clear, Caution),
        (Close, "gauge", Observation::GaugeChecked, Clear, Danger),
        (Close, "nothing_pinched", Observation::NothingPinched, Clear, Danger),
        (Service, "sheet_read_back", Observation::SheetReadBack, Caution, Danger),
        (Service, "run_in", Observation::RunInDone, Clear, Caution),
        (Service, "weight_and_balance", Observation::WeightAndBalance, Caution, Caution),
    ]
};

#[test]
fn what_a_person_answers() {
    for (gate, key, observation, yes, no) in ANSWERED {
        turns(gate, key, yes, |s| answer(s, observation, true));
        turns(gate, key, no, |s| answer(s, observation, false));
        turns(gate, key, Aspect::Unlit, |s| forget(s, observation));
        for aspect in [Aspect::Caution, Aspect::Danger] {
            turns(gate, key, aspect, |s| {
                forget(s, observation);
                s.worked_out.push(worked_out(observation, aspect));
            });
        }
    }
    turns(Service, "review", Aspect::Caution, |s| answer(s, Observation::ReviewWritten, true));
    turns(Service, "review", Aspect::Caution, |s| answer(s, Observation::ReviewWritten, false));
    turns(Service, "review", Aspect::Unlit, |s| forget(s, Observation::ReviewWritten));
}

#[test]
fn the_newest_answer_counts_and_a_no_of_the_same_moment() {
    let add = |yes, at_ms| {
        move |s: &mut Snapshot| {
            let mut one = seen(Observation::NothingPinched, yes);
            one.taken.at_ms = at_ms;
            s.seen.push(one);
        }
    };
    turns(Close, "nothing_pinched", Aspect::Danger, add(false, READ + 1));
    turns(Close, "nothing_pinched", Aspect::Danger, add(false, READ));
    turns(Close, "nothing_pinched", Aspect::Clear, add(false, READ - 1));
}

#[test]
fn the_supply_needs_its_amps() {
    let amps = |amps: Option<f64>| {
        move |s: &mut Snapshot| {
            for one in s.seen.iter_mut().filter(|o| o.observation == Observation::SupplyLimited) {
                one.amount = amps;
            }
        }
    };
    turns(FirstPower, "supply", Aspect::Clear, amps(Some(0.25)));
    turns(FirstPower, "supply", Aspect::Danger, amps(Some(0.26)));
    turns(FirstPower, "supply", Aspect::Unlit, amps(None));
    turns(FirstPower, "supply", Aspect::Unlit, amps(Some(0.0)));
    turns(FirstPower, "supply", Aspect::Unlit, amps(Some(f64::NAN)));
    turns(FirstPower, "supply", Aspect::Clear, |s| {
        s.thresholds.supply_limit_a = 0.5;
        amps(Some(0.5))(s);
    });
    let check = find(&proved(), FirstPower, "supply");
    assert_eq!(
        (check.reads.as_str(), check.needs.as_str()),
        ("0.15\u{a0}A", "0.25\u{a0}A or less")
    );
}

#[test]
fn each_isolation_pair_at_first_power() {
    let joined = Outcome::Ohms { value: 0.4, lo: 0.3, hi: 0.5 };
    for pair in Pair::in_order(true, &[]) {
        let key = pair.key();
        for position in [Position::InFrame, Position::BogiesSwung] {
            turns(FirstPower, &key, Aspect::Danger, |s| {
                set_pair(s, pair.a.clone(), pair.b.clone(), position, joined);
            });
            turns(FirstPower, &key, Aspect::Unlit, |s| {
                s.isolation.retain(|f| {
                    f.position != position || Pair::new(f.a.clone(), f.b.clone()) != pair
                });
            });
        }
    }
    for lead in LEADS {
        let key = format!("lead:{lead}");
        for other in [Point::Frame, Point::RailLeft, Point::RailRight] {
            turns(FirstPower, &key, Aspect::Danger, |s| {
                set_pair(
                    s,
                    Point::Lead(lead.into()),
                    other.clone(),
                    Position::InFrame,
                    Outcome::Joined,
                );
            });
            turns(FirstPower, &key, Aspect::Unlit, |s| {
                s.isolation.retain(|f| f.a.key() != lead || f.b != other);
            });
        }
    }
}

#[test]
fn a_joined_brush_names_reading_person_and_day() {
    let check = turned(FirstPower, "brush_a:rail_right", |s| {
        let ohms = Outcome::Ohms { value: 0.4, lo: 0.3, hi: 0.5 };
        set_pair(s, Point::BrushA, Point::RailRight, Position::InFrame, ohms);
    });
    assert_eq!(check.title, "Brush A is off the right rail");
    assert_eq!((check.reads.as_str(), check.needs.as_str()), ("0.4\u{a0}Ω", "open, > 1\u{a0}MΩ"));
    let reading = &check.readings[0];
    let origin =
        check.finding.inputs.iter().find(|i| i.name.contains(&reading.no.to_string())).unwrap();
    assert_eq!(origin.name, format!("reading {}: brush A to right rail in the frame", reading.no));
    assert_eq!(origin.value, "0.4\u{a0}Ω, 22\u{a0}Nov 21:38, Ines, multimeter 1, 3 days ago");
    assert_eq!(check.action.place, Place::Isolation);
    assert!(check.action.what.starts_with("Find what joins brush A to the right rail"));
}

#[test]
fn isolation_with_the_shell_on() {
    let key = "isolation_shell_on";
    turns(Close, key, Aspect::Unlit, |s| s.isolation.retain(|f| f.position != Position::ShellOn));
    turns(Close, key, Aspect::Danger, |s| {
        set_pair(s, Point::BrushB, Point::Frame, Position::ShellOn, Outcome::Joined);
    });
    // What joins without the shell is a matter of first power, what joins with it one of closing.
    turns(FirstPower, "brush_b:frame", Aspect::Clear, |s| {
        set_pair(s, Point::BrushB, Point::Frame, Position::ShellOn, Outcome::Joined);
    });
    assert_eq!(find(&proved(), Close, key).reads, "13 of 13 open");
}

#[test]
fn a_walk_that_cannot_be_used_is_unlit_not_missing() {
    let mut s = proved();
    s.function_leads = vec!["frame".into()];
    for (gate, key) in [(FirstPower, "isolation"), (Close, "isolation_shell_on")] {
        let check = find(&s, gate, key);
        assert_eq!(check.finding.aspect, Aspect::Unlit);
        assert!(check.finding.sentence.contains("function_leads.0 is frame"));
    }
}

fn wire_finding(aspect: Aspect, short: bool) -> WireFinding {
    let finding = Finding::new(aspect, "Wire 2 is as found.").would_change("Another wire.");
    WireFinding { finding, short }
}

#[test]
fn wiring() {
    let key = "wiring";
    turns(FirstPower, key, Aspect::Unlit, |s| s.wiring.wires.clear());
    for state in [WireState::Planned, WireState::Done] {
        let check = turned(FirstPower, key, |s| s.wiring.wires[1].state = state);
        assert_eq!(check.finding.aspect, Aspect::Unlit, "{state:?} is never proved");
        assert!(check.finding.sentence.contains("wire 2, motor +"), "{}", check.finding.sentence);
        assert!(check.finding.would_change.starts_with("Prove wire 2, motor +."));
        assert_eq!(check.reads, "5 of 6 proved");
    }
    turns(FirstPower, key, Aspect::Unlit, |s| s.wiring.wires[0].proved = None);
    for (aspect, short, judgeable) in [
        (Aspect::Danger, true, false),
        (Aspect::Danger, false, true),
        (Aspect::Unlit, false, false),
        (Aspect::Caution, false, true),
    ] {
        let check =
            turned(FirstPower, key, |s| s.wiring.findings.push(wire_finding(aspect, short)));
        assert_eq!((check.finding.aspect, check.judgeable), (aspect, judgeable));
        assert!(check.finding.sentence.starts_with("Wire 2 is as found."));
    }
    // a caution does not hide what is not known, nor a plan a clash
    let check = turned(FirstPower, key, |s| {
        s.wiring.findings.push(wire_finding(Aspect::Caution, false));
        s.wiring.wires[1].state = WireState::Planned;
    });
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    let check = turned(FirstPower, key, |s| {
        s.wiring.findings.push(wire_finding(Aspect::Danger, true));
        s.wiring.wires[1].state = WireState::Planned;
    });
    assert_eq!(check.finding.aspect, Aspect::Danger);
}

#[test]
fn the_proof_of_a_wire_falls_with_what_it_rests_on() {
    let check = turned(FirstPower, "wiring", |s| {
        s.alterations.push(alteration(AlterationKind::MotorChanged, READ + DAY));
    });
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    assert!(check.finding.sentence.contains("wire 2, motor +"), "{}", check.finding.sentence);
    assert!(!check.finding.sentence.contains("wire 1"), "{}", check.finding.sentence);
    turns(FirstPower, "wiring", Aspect::Clear, |s| {
        s.alterations.push(alteration(AlterationKind::FrameCut, READ + DAY));
    });
}

#[test]
fn winding() {
    turns(FirstPower, "winding", Aspect::Caution, |s| {
        test_of(s).winding_ohm = Some(measured(40.0, 14));
    });
    turns(FirstPower, "winding", Aspect::Unlit, |s| test_of(s).winding_ohm = None);
    turns(FirstPower, "winding", Aspect::Unlit, |s| test_of(s).held_a = None);
    turns(FirstPower, "winding", Aspect::Unlit, |s| s.load_test = None);
    let check = find(&proved(), FirstPower, "winding");
    assert_eq!(check.reads, "16.2\u{a0}Ω");
    assert_eq!(check.needs, "13.2\u{a0}Ω to 21.9\u{a0}Ω");
}

#[test]
fn function_loads() {
    let key = "function_loads";
    turns(FirstPower, key, Aspect::Danger, |s| s.loads[0].load.amps_a = Some(0.11));
    turns(FirstPower, key, Aspect::Unlit, |s| s.loads[0].load.amps_a = None);
    turns(FirstPower, key, Aspect::Unlit, |s| s.loads[0].load.output = None);
    turns(FirstPower, key, Aspect::Unlit, |s| s.loads[0].taken = None);
    turns(FirstPower, key, Aspect::Unlit, |s| s.loads.clear());
    turns(FirstPower, key, Aspect::Unlit, |s| s.decoder = None);
    // What hangs on no function output has no part here.
    turns(FirstPower, key, Aspect::Clear, |s| s.loads[1].load.amps_a = None);
    // The motor has none either.
    turns(FirstPower, key, Aspect::Clear, |s| s.load_test = None);
}

#[test]
fn headroom_with_all_loads() {
    let key = "headroom_all";
    turns(Close, key, Aspect::Danger, |s| ratings(s).total_continuous_a = Some(1.0));
    turns(Close, key, Aspect::Caution, |s| ratings(s).total_continuous_a = Some(1.1));
    turns(Close, key, Aspect::Unlit, |s| ratings(s).total_continuous_a = None);
    for i in 0..3 {
        turns(Close, key, Aspect::Unlit, |s| s.loads[i].load.amps_a = None);
        turns(Close, key, Aspect::Unlit, |s| s.loads[i].taken = None);
        turns(Close, key, Aspect::Unlit, |s| {
            s.loads.remove(i);
        });
    }
    turns(Close, key, Aspect::Unlit, |s| s.track_v.as_mut().unwrap().basis = Basis::Guess);
    turns(Close, key, Aspect::Unlit, |s| s.load_test = None);
}

#[test]
fn snags() {
    let add = |blocks, severity| move |s: &mut Snapshot| s.snags.push(snag(31, blocks, severity));
    turns(Close, "snags", Aspect::Danger, add(Some(Close), Severity::Minor));
    turns(Close, "snags", Aspect::Danger, add(Some(FirstPower), Severity::Minor));
    turns(Close, "snags", Aspect::Clear, add(Some(Service), Severity::Minor));
    turns(Close, "snags", Aspect::Caution, add(None, Severity::Serious));
    turns(Close, "snags", Aspect::Clear, add(None, Severity::Minor));
    turns(Close, "snags", Aspect::Unlit, |s| forget(s, Observation::SnagsLookedOver));
    turns(Close, "snags", Aspect::Danger, |s| answer(s, Observation::SnagsLookedOver, false));
    turns(FirstPower, "snags", Aspect::Danger, add(Some(FirstPower), Severity::Minor));
    turns(Service, "snags", Aspect::Danger, add(Some(Close), Severity::Minor));
    let check = turned(FirstPower, "snags", add(Some(FirstPower), Severity::Grave));
    assert_eq!(
        check.finding.sentence,
        "1 open snag blocks this gate. Snag 31 (“Wiper is bent”, Ines, 22\u{a0}Nov)."
    );
    assert_eq!(
        (check.action.what.as_str(), check.action.place),
        ("Close snag 31: Wiper is bent.", Place::Snags)
    );
    let mut s = proved();
    add(Some(FirstPower), Severity::Minor)(&mut s);
    let order = &gates(&s)[0];
    assert!(order.check("snags").is_none());
}

#[test]
fn a_goal_that_is_not_wanted_has_no_check() {
    let absent = |change: fn(&mut Goals), gate: GateName, keys: &[&str]| {
        let mut s = proved();
        change(&mut s.goals);
        let gates = gates(&s);
        let gate = gates.iter().find(|g| g.name == gate).unwrap();
        for key in keys {
            assert!(gate.check(key).is_none(), "{key}");
        }
    };
    absent(|g| g.sound = false, Close, &["sound"]);
    absent(|g| g.lights = false, Close, &["lights"]);
    absent(|g| g.store = false, Close, &["store"]);
    absent(|g| g.motor = false, Order, &["load_test", "headroom", "mechanism"]);
    absent(|g| g.motor = false, FirstPower, &["winding", "brush_a:frame"]);
    absent(|g| g.motor = false, Close, &["headroom_all"]);
    let mut s = unknown();
    s.goals.lights = false;
    assert!(gates(&s)[2].check("function_loads").is_none());
}

#[test]
fn every_observation_has_its_words_and_is_asked_somewhere() {
    for observation in Observation::ALL {
        assert_eq!(Observation::from_key(observation.key()), Some(observation));
        assert_eq!(serde_json::to_value(observation).unwrap(), observation.key());
        assert!(observation.question().ends_with('?') && observation.how().ends_with('.'));
        assert!(observation.act().ends_with('.') && observation.act() != observation.how());
        assert!(observation.minutes() > 0 && !observation.no_says().is_empty());
        let asked = gates(&unknown()).into_iter().any(|g| {
            g.name == observation.gate()
                && g.checks
                    .iter()
                    .any(|c| c.action.place == Place::Observation(observation) || c.key == "survey"
                        // writing a review comes before saying that one was written
                        || (observation == Observation::ReviewWritten && c.action.place == Place::Review))
        });
        assert!(asked, "{observation:?}");
    }
    for gate in GateName::ALL {
        assert_eq!(GateName::from_key(gate.key()), Some(gate));
    }
}

#[test]
fn what_reads_joined_is_mended_before_the_rest_of_its_pair_is_measured() {
    let mut s = proved();
    let pair = Pair::new(Point::BrushA, Point::RailRight);
    s.isolation
        .retain(|f| Pair::new(f.a.clone(), f.b.clone()) != pair || f.position == Position::InFrame);
    for fact in &mut s.isolation {
        if Pair::new(fact.a.clone(), fact.b.clone()) == pair {
            fact.outcome = Outcome::Joined;
        }
    }
    let gates = gates(&s);
    let check = gates[2].check("brush_a:rail_right").unwrap();
    assert_eq!(check.finding.aspect, Aspect::Danger);
    assert!(
        check.action.what.starts_with("Find what joins brush A to the right rail"),
        "{check:?}"
    );
}

#[test]
fn without_a_rating_the_largest_demand_is_shown() {
    let mut s = proved();
    s.decoder = None;
    let gates = gates(&s);
    let reads = &gates[0].check("headroom").unwrap().reads;
    let slipping = s.load_test.unwrap().slipping_a.unwrap().value;
    let shown: f64 = reads.split('\u{a0}').next().unwrap().parse().unwrap();
    assert!(shown > slipping, "{reads}");
}
