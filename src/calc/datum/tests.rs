use super::*;
use crate::units::{Wanted, parse};
use proptest::prelude::*;

const CALIPER: Accuracy = Accuracy { percent: 0.0, digits: 2.0, resolution: 0.01 };

fn one(mm: f64) -> Lengths {
    Lengths { mm: vec![mm], accuracy: Some(CALIPER) }
}

fn aspect(before: f64, after: f64) -> Aspect {
    still_true(&one(before), &one(after), 0.3).aspect
}

/// By hand: two steps of 0.01 mm each way on two readings are ± 0.04 mm.
#[test]
fn a_height_is_still_true_within_its_tolerance_at_the_bad_end() {
    assert_eq!(aspect(12.2, 12.2), Aspect::Clear);
    assert_eq!(aspect(12.2, 12.45), Aspect::Clear);
    assert_eq!(aspect(12.2, 12.47), Aspect::Caution);
    assert_eq!(aspect(12.2, 11.9), Aspect::Caution);
    assert_eq!(aspect(12.2, 11.8), Aspect::Danger);
    let d = difference(&one(12.2), &one(12.45), 0).unwrap();
    assert!((d.lo - 0.21).abs() < 1e-9 && (d.hi - 0.29).abs() < 1e-9);
}

#[test]
fn two_instruments_add_up_and_an_unknown_one_is_taken_at_its_word() {
    let rule = Accuracy { percent: 0.0, digits: 1.0, resolution: 0.5 };
    let before = Lengths { mm: vec![10.0], accuracy: Some(rule) };
    let d = difference(&before, &one(10.0), 0).unwrap();
    assert!((d.hi - 0.52).abs() < 1e-9 && (d.lo + 0.52).abs() < 1e-9);
    assert_eq!(still_true(&before, &one(10.0), 0.3).aspect, Aspect::Caution);
    let plain = |mm| Lengths { mm: vec![mm], accuracy: None };
    assert_eq!(still_true(&plain(10.0), &plain(10.25), 0.3).aspect, Aspect::Clear);
}

#[test]
fn a_place_is_judged_on_its_worst_axis_and_never_against_a_length() {
    let place = |x, y, z| Lengths { mm: vec![x, y, z], accuracy: None };
    let before = place(20.0, -8.0, 3.0);
    assert_eq!(still_true(&before, &place(20.1, -8.1, 3.0), 0.3).aspect, Aspect::Clear);
    assert_eq!(still_true(&before, &place(20.0, -8.0, 3.5), 0.3).aspect, Aspect::Danger);
    assert_eq!(still_true(&before, &one(20.0), 0.3).aspect, Aspect::Unlit);
    assert_eq!(still_true(&one(20.0), &before, 0.3).aspect, Aspect::Unlit);
    assert_eq!(before.words(), "x 20.0, y −8.0, z 3.0\u{a0}mm");
}

/// NEM 303 (2015): H0 12.2 ± 0.5; S 16.5 + 0.5 − 0.6.
#[test]
fn buffers_are_held_against_the_standard_of_their_size() {
    let of = |scale, mm| {
        against_standard(What::BufferHeight, From::RailTop, scale, &one(mm)).map(|f| f.aspect)
    };
    assert_eq!(of("H0", 12.2), Some(Aspect::Clear));
    assert_eq!(of("H0", 12.69), Some(Aspect::Caution), "the caliper can’t tell at the edge");
    assert_eq!(of("H0", 11.0), Some(Aspect::Caution));
    assert_eq!(of("S", 15.95), Some(Aspect::Clear));
    assert_eq!(of("OO", 12.2), None, "the standard has no such size");
    assert!((tolerance_mm(What::BufferHeight, "S") - 0.5).abs() < 1e-12);
    assert!((tolerance_mm(What::ScrewPlace, "H0") - 0.3).abs() < 1e-12);
    let other = against_standard(What::CouplerHeight, From::RailTop, "H0", &one(12.2));
    assert!(other.is_none());
}

/// The heights of NEM 303 times the scale are the prototype's 1 056 to 1 100 mm (worked out beside the
/// standard's own figures); 49 CFR 231.31 at 1:87.1 gives 9.19 to 10.06 mm.
#[test]
fn heights_of_the_standards_fit_the_prototype() {
    let ratios = [220.0, 160.0, 120.0, 87.0, 64.0, 45.0, 32.0, 22.5];
    for (buffer, ratio) in BUFFERS.iter().zip(ratios) {
        let prototype = buffer.height_mm * ratio;
        assert!((1050.0..=1105.0).contains(&prototype), "{}: {prototype}", buffer.scale);
    }
    assert!(coupler_note(Some(87.1)).contains("9.2\u{a0}mm to 10.1\u{a0}mm"));
    assert!(coupler_note(None).is_empty() && coupler_note(Some(0.0)).is_empty());
}

#[test]
fn keys_come_back() {
    for w in What::ALL {
        assert_eq!(What::from_key(w.key()), Some(*w));
        assert_eq!(serde_json::to_value(w).unwrap(), w.key());
    }
    assert!(What::from_key("shine").is_none() && From::from_key("moon").is_none());
    assert_eq!(End::from_key("rear"), Some(End::Rear));
}

proptest! {
    /// Typed in inches, thou or millimetres it is the same length, and stays true against itself.
    #[test]
    fn units_do_not_move_a_datum(thou in 1i32..4000) {
        let wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 0.0, most: 3000.0 };
        let inches = f64::from(thou) / 1000.0;
        let a = parse(&format!("{thou} thou"), &wanted).unwrap();
        let b = parse(&format!("{inches} in"), &wanted).unwrap();
        let c = parse(&format!("{} mm", f64::from(thou) * 0.0254), &wanted).unwrap();
        prop_assert!((a - b).abs() < 1e-9 && (a - c).abs() < 1e-9);
        prop_assert_eq!(still_true(&one(a), &one(b), 0.3).aspect, Aspect::Clear);
    }

    /// A bigger move is never better, and the sign does not matter.
    #[test]
    fn further_off_is_never_better(before in 1.0f64..50.0, d in 0.0f64..2.0, more in 0.0f64..2.0) {
        let at = |x: f64| aspect(before, before + x).rank();
        prop_assert!(at(d) <= at(d + more));
        prop_assert_eq!(aspect(before, before + d), aspect(before + d, before));
    }
}
