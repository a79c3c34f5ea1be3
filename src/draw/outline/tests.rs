use super::*;
use crate::draw::checks::{NASTY, assert_inside, assert_sound, attribute, tags};

const WHEELS: [&str; 20] = [
    "0-4-0",
    "0-6-0",
    "0-6-0T",
    "0-8-0",
    "2-6-0",
    "2-6-2",
    "4-4-0",
    "4-6-2",
    "2-8-2",
    "2-10-0",
    "0-4-2",
    "Bo-Bo",
    "Co-Co",
    "B-B",
    "A1A-A1A",
    "1Co-Co1",
    "Bo-Bo-Bo",
    "2-axle",
    "4-6-2+2-6-4",
    "1'C + 2'2'",
];

fn model(kind: Kind, length_mm: Option<f64>, wheels: &str) -> Model<'_> {
    Model { kind, length_mm, scale: 87.0, wheels }
}

fn circles(svg: &str) -> Vec<(f64, f64, f64)> {
    let all = tags(svg).unwrap();
    let of = |t: &crate::draw::checks::Tag, k: &str| attribute(t, k).unwrap().parse().unwrap();
    let wheel =
        |t: &&crate::draw::checks::Tag| t.name == "circle" && attribute(t, "class") != Some("t");
    all.iter().filter(wheel).map(|t| (of(t, "cx"), of(t, "cy"), of(t, "r"))).collect()
}

#[test]
fn every_kind_with_every_wheel_stands_inside_its_drawing() {
    for kind in Kind::ALL {
        for wheels in WHEELS {
            for length in [None, Some(40.0), Some(68.0), Some(108.0), Some(228.0), Some(400.0)] {
                let drawn = side(&model(kind, length, wheels), 1.28);
                assert_sound(&drawn.svg);
                assert_inside(&drawn.svg);
                assert_sound(&here(&model(kind, length, wheels)));
                assert!(drawn.height_mm > 15.0 && drawn.height_mm < 65.0, "{kind:?} {drawn:?}");
            }
        }
    }
}

#[test]
fn wheels_stand_on_the_rail_in_order_and_apart() {
    for kind in Kind::ALL {
        for wheels in WHEELS {
            let read = arrangement::parse(wheels).unwrap();
            let drawn = side(&model(kind, None, wheels), 1.0);
            let round = circles(&drawn.svg);
            let tender = kind == Kind::TenderEngine && read.vehicles.len() == 1;
            if kind != Kind::TenderEngine || read.vehicles.len() < 3 {
                assert_eq!(
                    round.len(),
                    read.axles() + if tender { 3 } else { 0 },
                    "{kind:?} {wheels}"
                );
            }
            for (_, cy, r) in &round {
                assert!((cy + r).abs() < 0.02, "{kind:?} {wheels}: a wheel off the rail");
            }
            for pair in round.windows(2) {
                let apart = pair[1].0 - pair[0].0 - pair[0].2 - pair[1].2;
                assert!(apart > 0.05, "{kind:?} {wheels}: wheels {apart} mm apart");
            }
        }
    }
}

#[test]
fn a_measured_length_is_drawn_as_measured_and_solid() {
    let drawn = side(&model(Kind::BonnetShunter, Some(108.0), "0-6-0"), 1.28);
    assert_eq!(
        (drawn.length_mm, drawn.assumed_length, drawn.assumed_wheels),
        (108.0, false, false)
    );
    // Outside value: the hand-drawn shelf page, 108 mm at 1.28 px per mm is 141 px with its edge.
    assert!(drawn.svg.contains(r#"width="141""#), "{}", drawn.svg);
    assert!(!drawn.svg.contains("guess"));
    assert_eq!(
        drawn.words.replace('\u{a0}', " "),
        "Side view, shunter, bonnet in front, 0-6-0, 108.0 mm over buffers."
    );
}

#[test]
fn what_nobody_measured_is_drawn_dashed_and_said() {
    let drawn = side(&model(Kind::Railcar, None, "what"), 1.0);
    assert!(drawn.assumed_length && drawn.assumed_wheels);
    assert_eq!(drawn.svg.matches(r#"class="guess""#).count(), 2);
    assert!(
        drawn.words.contains("length not measured") && drawn.words.contains("wheels not written")
    );
    for wrong in [0.0, -5.0, f64::NAN, f64::INFINITY, 9e9] {
        assert!(side(&model(Kind::Railcar, Some(wrong), "Bo"), 1.0).assumed_length);
    }
}

#[test]
fn a_scale_brings_the_same_prototype_to_its_size() {
    // 14.0 m at 1:87 and 1:160: 160.9 mm and 87.5 mm.
    let at =
        |scale| drawn_length_mm(&Model { kind: Kind::Railcar, length_mm: None, scale, wheels: "" });
    assert!((at(87.0) - 160.92).abs() < 0.01);
    assert!((at(160.0) - 87.5).abs() < 0.01);
    assert!((at(0.0) - at(87.0)).abs() < 1e-9);
    assert!((at(f64::NAN) - at(87.0)).abs() < 1e-9);
}

#[test]
fn one_scale_fits_the_longest_model() {
    assert!((one_scale(&[108.0, 132.0], 296.0) - 1.28).abs() < 1e-9);
    let px = one_scale(&[108.0, 400.0], 296.0);
    assert!(402.0 * px <= 296.0 + 1e-9);
    assert!((one_scale(&[], 296.0) - 1.28).abs() < 1e-9);
    assert!((one_scale(&[f64::NAN], 296.0) - 1.28).abs() < 1e-9);
}

#[test]
fn every_kind_looks_unlike_every_other_and_always_like_itself() {
    let all: Vec<String> =
        Kind::ALL.iter().map(|k| side(&model(*k, Some(120.0), "Bo-Bo"), 1.0).svg).collect();
    for (i, a) in all.iter().enumerate() {
        assert_eq!(*a, side(&model(Kind::ALL[i], Some(120.0), "Bo-Bo"), 1.0).svg);
        for b in &all[i + 1..] {
            assert_ne!(a, b);
        }
    }
}

#[test]
fn keys_are_stored_and_found_again() {
    for kind in Kind::ALL {
        assert_eq!(Kind::from_key(kind.key()), Some(kind));
        assert_eq!(serde_json::to_value(kind).unwrap(), kind.key());
    }
    assert_eq!(Kind::from_key("airship"), None);
}

#[test]
fn odd_wheels_do_no_harm() {
    for nasty in NASTY {
        let drawn = side(&model(Kind::Generic, Some(100.0), nasty), f64::NAN);
        assert_sound(&drawn.svg);
        assert!(drawn.assumed_wheels);
    }
}
