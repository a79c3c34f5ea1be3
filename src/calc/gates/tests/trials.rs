//! Checks on test cards and datums.

use super::*;
use crate::calc::datum::{End, What};
use GateName::{Close, Cut, FirstPower, Order};

fn datum(no: i64, what: What, end: End, after_of: Option<i64>, mm: f64) -> DatumFact {
    let lengths_mm = if what.is_place() { vec![mm, 0.0, 3.0] } else { vec![mm] };
    let taken = Taken { at_ms: READ + no, ..taken(&format!("d{no}"), no) };
    DatumFact {
        what,
        name: String::new(),
        end,
        from: what.usual_from(),
        after: after_of.is_some(),
        before_no: after_of,
        lengths_mm,
        accuracy: None,
        tolerance_mm: 0.3,
        taken,
    }
}

/// All that is wanted before cutting.
fn measured_before() -> Vec<DatumFact> {
    vec![
        datum(1, What::CouplerHeight, End::Front, None, 9.9),
        datum(2, What::BufferHeight, End::Rear, None, 12.2),
        datum(3, What::BodyHeight, End::Front, None, 42.0),
        datum(4, What::ScrewPlace, End::Neither, None, 20.0),
    ]
}

fn with_datums() -> Snapshot {
    let mut s = proved();
    s.seen.retain(|x| x.observation != Observation::DatumsRecorded);
    s.worked_out.retain(|x| x.observation != Observation::DatumsRecorded);
    s.datums = measured_before();
    for f in s.survey.iter_mut().filter(|f| f.key == SurveyKey::Scale) {
        f.value = "H0, 1:87".into();
    }
    s
}

#[test]
fn datums_are_recorded_when_nothing_a_cut_can_move_is_missing() {
    let mut s = with_datums();
    assert_eq!(aspect(&s, Cut, "datums"), Aspect::Clear);
    for i in 0..4 {
        let mut s = with_datums();
        s.datums.remove(i);
        let check = find(&s, Cut, "datums");
        assert_eq!(check.finding.aspect, Aspect::Unlit, "without {i}");
        assert_eq!((check.reads.as_str(), check.action.place), ("3 of 4", Place::Datums));
    }
    s.datums.clear();
    assert_eq!(aspect(&s, Cut, "datums"), Aspect::Unlit, "unlit until present");
    s.seen.push(seen(Observation::DatumsRecorded, true));
    let check = find(&s, Cut, "datums");
    assert_eq!((check.finding.aspect, check.judgeable), (Aspect::Caution, true), "a word only");
}

/// A new shell takes what was measured on the shell, new wheels every height over the rail, another
/// chassis the screw places; a cut takes nothing from before it.
#[test]
fn datums_go_stale_with_what_they_were_measured_on() {
    for (kind, wanted) in [
        (AlterationKind::ShellChanged, Aspect::Unlit),
        (AlterationKind::WheelsChanged, Aspect::Unlit),
        (AlterationKind::ChassisChanged, Aspect::Unlit),
        (AlterationKind::FrameCut, Aspect::Clear),
        (AlterationKind::MotorChanged, Aspect::Clear),
    ] {
        let mut s = with_datums();
        s.alterations.push(alteration(kind, NOW));
        assert_eq!(aspect(&s, Cut, "datums"), wanted, "{kind:?}");
    }
}

fn cut_and_measured(front: f64, rear: f64) -> Snapshot {
    let mut s = with_datums();
    s.alterations.push(alteration(AlterationKind::FrameCut, READ + 50));
    s.isolation.iter_mut().for_each(|f| f.taken.at_ms = READ + 90);
    s.cards.iter_mut().for_each(|f| f.taken.at_ms = READ + 90);
    s.datums.extend([
        datum(61, What::CouplerHeight, End::Front, Some(1), front),
        datum(62, What::BufferHeight, End::Rear, Some(2), rear),
        datum(63, What::BodyHeight, End::Front, Some(3), 42.0),
        datum(64, What::ScrewPlace, End::Neither, Some(4), 20.0),
    ]);
    s
}

#[test]
fn after_a_cut_every_height_and_screw_place_is_measured_again() {
    assert!(gates(&with_datums())[3].check("datums_hold").is_none(), "no cut, nothing to hold");
    let mut s = cut_and_measured(9.9, 12.2);
    assert_eq!(aspect(&s, Close, "datums_hold"), Aspect::Clear);
    assert_eq!(aspect(&s, Close, "coupler_height"), Aspect::Clear);
    s.datums.pop();
    let check = find(&s, Close, "datums_hold");
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    assert!(check.finding.sentence.contains("screw place"), "{}", check.finding.sentence);
    let moved = cut_and_measured(9.3, 12.2);
    let check = find(&moved, Close, "datums_hold");
    assert_eq!((check.finding.aspect, check.judgeable), (Aspect::Danger, true));
    assert_eq!(aspect(&moved, Close, "coupler_height"), Aspect::Danger);
    let mut twice = cut_and_measured(9.9, 12.2);
    twice.alterations.push(alteration(AlterationKind::FrameCut, NOW));
    assert_eq!(aspect(&twice, Close, "datums_hold"), Aspect::Unlit, "cut again, measure again");
}

/// NEM 303 (2015), H0: 12.2 ± 0.5 mm. A buffer within its tolerance of before may still be off it.
#[test]
fn a_buffer_off_the_standard_is_caution_though_it_has_not_moved() {
    let mut s = cut_and_measured(9.9, 11.4);
    s.datums[1].lengths_mm = vec![11.4];
    let check = find(&s, Close, "coupler_height");
    assert_eq!(check.finding.aspect, Aspect::Caution);
    assert!(check.finding.sentence.contains("11.7"), "{}", check.finding.sentence);
}

#[test]
fn twins_are_unlit_until_a_card_was_done_both_ways() {
    let mut s = proved();
    assert_eq!(aspect(&s, Close, "twins"), Aspect::Clear);
    s.cards.pop();
    let check = find(&s, Close, "twins");
    assert_eq!(check.finding.aspect, Aspect::Unlit);
    assert_eq!(check.action.place, Place::Card(CardName::Isolation));
    s.cards.push(done(CardName::Isolation, Shell::On, Aspect::Danger, 3));
    assert_eq!(aspect(&s, Close, "twins"), Aspect::Danger);
    s.cards.push(done(CardName::Swing, Shell::Off, Aspect::Clear, 4));
    assert_eq!(find(&s, Close, "twins").reads, "0 of 2");
    s.cards.clear();
    assert_eq!(aspect(&s, Close, "twins"), Aspect::Unlit, "none done is unlit, never clear");
    assert_eq!(aspect(&unknown(), Close, "twins"), Aspect::Unlit);
}

#[test]
fn a_card_that_proves_something_stands_in_place_of_a_word_and_a_danger_of_it_shows() {
    let mut s = proved();
    answer(&mut s, Observation::HeatSettled, true);
    assert_eq!(aspect(&s, Close, "heat"), Aspect::Caution, "somebody's word");
    s.cards.push(done(CardName::Soak, Shell::Off, Aspect::Clear, 5));
    assert_eq!(aspect(&s, Close, "heat"), Aspect::Caution, "the twin is missing");
    s.cards.push(done(CardName::Soak, Shell::On, Aspect::Clear, 6));
    assert_eq!(aspect(&s, Close, "heat"), Aspect::Clear);
    answer(&mut s, Observation::HeatSettled, false);
    assert_eq!(aspect(&s, Close, "heat"), Aspect::Danger, "a fresh no stands");
    let mut pinched = proved();
    pinched.cards.push(done(CardName::DryClose, Shell::On, Aspect::Danger, 7));
    assert_eq!(aspect(&pinched, Close, "nothing_pinched"), Aspect::Danger);
    let mut sheet = proved();
    sheet.cards.push(done(CardName::Soak, Shell::Off, Aspect::Danger, 8));
    assert_eq!(aspect(&sheet, Close, "heat"), Aspect::Danger, "worse than what a sheet worked out");
}

#[test]
fn a_card_that_went_wrong_stands_at_its_gate_until_it_is_done_again() {
    let mut s = proved();
    s.cards.push(done(CardName::Twist, Shell::Off, Aspect::Danger, 5));
    let check = find(&s, Order, "cards");
    assert_eq!((check.finding.aspect, check.judgeable), (Aspect::Danger, true));
    s.cards.push(done(CardName::Twist, Shell::Off, Aspect::Clear, 6));
    assert_eq!(aspect(&s, Order, "cards"), Aspect::Clear, "the newest counts");
    s.alterations.push(alteration(AlterationKind::WheelsChanged, NOW));
    assert_eq!(aspect(&s, Order, "cards"), Aspect::Unlit);
    let mut short = proved();
    short.cards[0] = done(CardName::Isolation, Shell::Off, Aspect::Danger, 1);
    assert!(!find(&short, FirstPower, "cards").judgeable, "a short can't be judged away");
    let mut half = proved();
    half.cards.push(done(CardName::Winding, Shell::Off, Aspect::Unlit, 5));
    assert!(gates(&half)[0].check("cards").is_none(), "half a card says nothing");
}
