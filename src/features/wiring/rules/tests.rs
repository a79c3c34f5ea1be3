use super::*;
use crate::features::wiring::gauge::Gauge;
use crate::features::wiring::model::{Draft, End, Joint, Place, State, tests::draft};
use crate::features::wiring::standard::Colour;

const ALL: Goals = Goals { motor: true, sound: false, lights: false, store: false };

fn wire(no: i64, terminal: Terminal, to: Place) -> Wire {
    let mut d = draft(terminal, to);
    if !to.is_one() {
        d.to.name = format!("tag {no}");
    }
    Wire::new(d, no, 0)
}

fn free(no: i64, from: Place, to: Place) -> Wire {
    let mut w = wire(no, Terminal::Free, to);
    w.draft.from = Some(End { place: from, name: String::new() });
    w
}

/// Track and motor by the standard, soldered and sleeved.
fn four() -> Vec<Wire> {
    vec![
        wire(1, Terminal::TrackRight, Place::RailRight),
        wire(2, Terminal::TrackLeft, Place::RailLeft),
        wire(3, Terminal::MotorPlus, Place::BrushA),
        wire(4, Terminal::MotorMinus, Place::BrushB),
    ]
}

fn amps(most_a: f64) -> Amps {
    Amps { most_a, what: "held".into() }
}

fn currents() -> Currents {
    Currents { motor: Some(amps(0.8)), rail: Some(amps(1.0)), ..Currents::default() }
}

fn found(wires: &[Wire], goals: Goals) -> Vec<Found> {
    findings(&Facts { wires, goals, currents: currents() })
}

fn with(more: impl IntoIterator<Item = Wire>) -> Vec<(Aspect, String)> {
    let mut wires = four();
    wires.extend(more);
    found(&wires, ALL).into_iter().map(|f| (f.finding.aspect, f.finding.sentence)).collect()
}

#[track_caller]
fn says(told: &[(Aspect, String)], aspect: Aspect, words: &str) {
    assert!(told.iter().any(|(a, s)| *a == aspect && s.contains(words)), "{words} in {told:#?}");
}

#[test]
fn track_and_motor_by_the_standard_break_no_rule() {
    assert_eq!(found(&four(), ALL), []);
}

#[test]
fn no_wire_is_not_a_good_list() {
    assert_eq!(found(&[], ALL), [], "the gate says it is unlit; nothing to find in an empty list");
    assert_eq!(next(ALL, &[]), Some(Terminal::TrackRight));
    assert_eq!(next(ALL, &four()), None);
}

#[test]
fn a_lead_that_is_wanted_and_not_written_is_unlit_by_name() {
    let goals = Goals { sound: true, lights: true, store: true, ..ALL };
    let told = found(&four(), goals);
    let unlit: Vec<&str> = told
        .iter()
        .filter(|f| f.finding.aspect == Aspect::Unlit)
        .map(|f| f.finding.sentence.as_str())
        .collect();
    for lead in ["common +", "front light", "speaker A", "speaker B", "store +", "store −"] {
        assert!(unlit.iter().any(|s| s.contains(lead)), "{lead} in {unlit:?}");
    }
    assert_eq!(next(goals, &four()), Some(Terminal::CommonPlus));
    let three = &four()[..3];
    assert!(found(three, ALL)[0].finding.sentence.contains("motor −"));
}

#[test]
fn a_lead_with_two_wires_is_caution_and_both_ends_are_told() {
    let told = with([wire(5, Terminal::MotorPlus, Place::Joint)]);
    says(&told, Aspect::Caution, "Motor + has 2 wires: 3 to brush A, 5 to joint, tag 5.");
}

#[test]
fn a_colour_that_differs_names_standard_and_row() {
    let mut wires = four();
    wires[2].draft.colour = Some(Colour::Green);
    let all = found(&wires, ALL);
    assert_eq!(all.len(), 1);
    let f = &all[0].finding;
    assert_eq!(f.aspect, Aspect::Caution);
    assert_eq!(f.sentence, "Wire 3 on motor + is green; the standard says orange.");
    assert!(f.source.contains("NMRA S-9.1.1") && f.source.contains("NEM 652 contact 1"));
    assert!(f.inputs.iter().any(|i| i.value.starts_with("orange: ")), "{:?}", f.inputs);
    // not looked at is no difference, nor is it clear that it agrees
    wires[2].draft.colour = None;
    assert_eq!(found(&wires, ALL), []);
}

#[test]
fn one_colour_for_two_jobs_is_caution_and_for_one_job_not() {
    let mut green = wire(5, Terminal::Function1, Place::Lamp);
    let common = wire(6, Terminal::CommonPlus, Place::LampPlus);
    assert!(!with([green.clone(), common.clone()]).iter().any(|(_, s)| s.contains("jobs")));
    green.draft.colour = Some(Colour::Grey);
    says(
        &with([green, common]),
        Aspect::Caution,
        "Grey is used for 2 jobs: motor − (4), function 1 (5)",
    );
    let mut speaker = [Terminal::SpeakerA, Terminal::SpeakerB].map(|t| wire(5, t, Place::Speaker));
    for one in &mut speaker {
        one.draft.colour = Some(Colour::Brown);
    }
    assert!(!with(speaker).iter().any(|(_, s)| s.contains("jobs")));
}

#[test]
fn a_free_wire_in_a_colour_that_is_spoken_for_is_caution_unless_it_goes_on() {
    let mut blue = free(6, Place::Joint, Place::LampPlus);
    blue.draft.colour = Some(Colour::Blue);
    says(&with([blue.clone()]), Aspect::Caution, "Wire 6 is free and blue");
    let common = wire(5, Terminal::CommonPlus, Place::Joint);
    blue.draft.from = Some(common.draft.to.clone());
    assert!(!with([common, blue]).iter().any(|(_, s)| s.contains("spoken for")));
}

/// Every pair that may never be joined, each with wires that join it.
#[test]
fn points_that_may_never_be_joined_are_danger() {
    use Place as P;
    use Terminal as T;
    let rows: &[(&[Wire], &str)] = &[
        (
            &[free(5, P::RailRight, P::BrushA)],
            "Motor + is joined to the right rail by wires 1, 3 and 5.",
        ),
        (
            &[free(5, P::RailLeft, P::BrushB)],
            "Motor − is joined to the left rail by wires 2, 4 and 5.",
        ),
        (&[free(5, P::Frame, P::BrushA)], "Motor + is joined to the frame by wires 3 and 5."),
        (&[wire(5, T::MotorMinus, P::Frame)], "Motor − is joined to the frame"),
        (&[wire(5, T::CommonPlus, P::RailRight)], "Common + is joined to the right rail"),
        (&[wire(5, T::CommonPlus, P::Frame)], "Common + is joined to the frame by wire 5."),
        (&[wire(5, T::SpeakerA, P::Frame)], "Speaker A is joined to the frame"),
        (&[wire(5, T::SpeakerB, P::RailLeft)], "Speaker B is joined to the left rail"),
        (&[wire(5, T::StoreMinus, P::RailLeft)], "is joined to the left rail by wires 2 and 5."),
        (&[wire(5, T::StorePlus, P::RailRight)], "Store + is joined to the right rail"),
        (&[wire(5, T::Ground, P::RailLeft)], "ground is joined to the left rail"),
        (&[wire(5, T::LightFront, P::Frame)], "Front light is joined to the frame"),
        (
            &[free(5, P::RailRight, P::RailLeft)],
            "right rail by wires 1, 2 and 5. It shorts the track",
        ),
        (&[free(5, P::BrushA, P::BrushB)], "It shorts the motor"),
        (
            &[wire(5, T::MotorPlus, P::Speaker), wire(6, T::SpeakerA, P::Speaker), {
                let mut on = free(7, P::Speaker, P::Speaker);
                on.draft.from.as_mut().unwrap().name = "tag 5".into();
                on.draft.to.name = "tag 6".into();
                on
            }],
            "one burns the other",
        ),
    ];
    for (more, sentence) in rows {
        let told = with(more.iter().cloned());
        says(&told, Aspect::Danger, sentence);
        let mut wires = four();
        wires.extend(more.iter().cloned());
        let first = &found(&wires, ALL)[0];
        assert!(first.short && first.counts, "{sentence}: a short is told first");
        // taken out, it is no longer counted
        for w in wires.iter_mut().skip(4) {
            w.draft.state = State::Removed;
        }
        assert_eq!(found(&wires, ALL), [], "{sentence}");
    }
}

#[test]
fn a_frame_that_is_one_rail_breaks_no_rule_until_a_brush_is_on_it() {
    assert_eq!(with([free(5, Place::RailRight, Place::Frame)]), []);
    let both = [free(5, Place::RailRight, Place::Frame), free(6, Place::Frame, Place::BrushB)];
    says(
        &with(both),
        Aspect::Danger,
        "Motor − is joined to the right rail by wires 1, 4, 5 and 6.",
    );
}

#[test]
fn changed_over_track_leads_are_caution_not_a_short() {
    let mut wires = four();
    wires[0].draft.to.place = Place::RailLeft;
    wires[1].draft.to.place = Place::RailRight;
    let all = found(&wires, ALL);
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!((all[0].finding.aspect, all[0].wires.as_slice()), (Aspect::Caution, &[1, 2][..]));
}

#[test]
fn a_soldered_wire_without_a_sleeve_is_caution_once_it_is_in() {
    let mut wires = four();
    wires[3].draft.sleeved = false;
    assert_eq!(found(&wires, ALL)[0].finding.sentence, "Wire 4 is soldered without a sleeve.");
    wires[3].draft.joint = Joint::Plug;
    assert_eq!(found(&wires, ALL), []);
    wires[3].draft =
        Draft { joint: Joint::Solder, state: State::Planned, ..wires[3].draft.clone() };
    assert_eq!(found(&wires, ALL), []);
}

/// Chassis-wiring table (widely reprinted, from memory): AWG 28 1.4 A, 30 0.86 A, 36 0.21 A; laboratory table:
/// 0.05 mm² 1 A.
#[test]
fn a_wire_too_thin_for_its_current_is_named_with_both_figures() {
    let sized = |gauge: Option<Gauge>, motor: Option<Amps>| {
        let mut wires = four();
        wires[2].draft.gauge = gauge;
        let currents = Currents { motor, ..currents() };
        let all = findings(&Facts { wires: &wires, goals: ALL, currents });
        all.into_iter().find(|f| f.wires == [3])
    };
    assert_eq!(sized(Some(Gauge::Awg(30)), Some(amps(0.86))), None);
    let thin = sized(Some(Gauge::Awg(36)), Some(amps(0.8))).unwrap();
    assert_eq!(thin.finding.aspect, Aspect::Danger);
    assert!(thin.finding.sentence.contains("0.21\u{a0}A"), "{}", thin.finding.sentence);
    let between = sized(Some(Gauge::Awg(30)), Some(amps(0.95))).unwrap();
    assert_eq!(between.finding.aspect, Aspect::Caution);
    let area = sized(Some(Gauge::Area(20_000)), Some(amps(0.8))).unwrap();
    assert_eq!(area.finding.aspect, Aspect::Danger);
    // without a size or a current it is not known, never clear
    for unknown in [sized(None, Some(amps(0.8))), sized(Some(Gauge::Awg(24)), None)] {
        let unknown = unknown.unwrap();
        assert_eq!((unknown.finding.aspect, unknown.counts), (Aspect::Unlit, true));
    }
    let speaker = wire(5, Terminal::SpeakerA, Place::Speaker);
    let told = findings(&Facts { wires: &[speaker], goals: ALL, currents: currents() });
    let size = told.iter().find(|f| f.wires == [5]).unwrap();
    assert_eq!((size.finding.aspect, size.counts), (Aspect::Unlit, false));
}

#[test]
fn lengths_are_added_by_size_and_what_has_none_is_counted() {
    let mut wires = four();
    for w in &mut wires[..2] {
        w.draft.state = State::Planned;
    }
    wires[1].draft.length_um = None;
    wires[3].draft.gauge = None;
    wires.push(free(5, Place::Joint, Place::Lamp));
    wires[4].draft.state = State::Removed;
    let all = totals(&wires);
    let row = |g: Option<Gauge>| all.iter().find(|t| t.gauge == g).cloned().unwrap();
    let thick = row(Some(Gauge::Awg(28)));
    assert_eq!((thick.planned_um, thick.all_um, thick.without), (50_000, 100_000, 1));
    assert_eq!(thick.colours, ["red", "black"]);
    assert_eq!(row(None).all_um, 50_000);
    assert_eq!(Total::mm(1_000_001), "1001\u{a0}mm");
}
