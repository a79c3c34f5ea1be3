use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;

fn wire(awg: i32, loop_mm: f64, current_a: f64) -> Input {
    Input {
        awg: Some(awg),
        diameter_mm: None,
        area_mm2: None,
        stranded: Some(false),
        loop_mm,
        current_a,
        current_meter: None,
        copper_c: None,
        most_drop_v: None,
        job: None,
        size: None,
    }
}

fn work_of(input: &Input) -> WireResult {
    run(input).unwrap().wire.unwrap()
}

fn near(got: f64, want: f64, within: f64) -> bool {
    (got - want).abs() <= within
}

/// One row: gauge, diameter mm, area mm², Ω/km at 20 °C, Ω per 1000 ft, the published Ω per 1000 ft
/// (a cable tester's table, read second-hand; 0 where it has none), A by 700 circular mil per A, A by
/// the chassis guide (from memory).
type Row = (i32, f64, f64, f64, f64, f64, f64, f64);

const ROWS: [Row; 17] = [
    (24, 0.5106, 0.2047, 84.2, 25.67, 25.67, 0.577, 3.5),
    (25, 0.4547, 0.1624, 106.2, 32.37, 32.37, 0.458, 2.7),
    (26, 0.4049, 0.1288, 133.9, 40.81, 40.81, 0.363, 2.2),
    (27, 0.3606, 0.1021, 168.9, 51.47, 51.47, 0.288, 1.7),
    (28, 0.3211, 0.0810, 212.9, 64.90, 64.90, 0.228, 1.4),
    (29, 0.2859, 0.0642, 268.5, 81.84, 81.83, 0.181, 1.2),
    (30, 0.2546, 0.0509, 338.6, 103.19, 103.2, 0.144, 0.86),
    (31, 0.2268, 0.0404, 426.9, 130.1, 0.0, 0.114, 0.70),
    (32, 0.2019, 0.0320, 538.3, 164.1, 0.0, 0.0903, 0.53),
    (33, 0.1798, 0.0254, 678.8, 206.9, 0.0, 0.0716, 0.43),
    (34, 0.1601, 0.0201, 856.0, 260.9, 0.0, 0.0568, 0.33),
    (35, 0.1426, 0.0160, 1079.0, 329.0, 0.0, 0.0450, 0.27),
    (36, 0.1270, 0.0127, 1361.0, 414.9, 0.0, 0.0357, 0.21),
    (37, 0.1131, 0.01005, 1716.0, 523.1, 0.0, 0.0283, 0.17),
    (38, 0.1007, 0.00797, 2164.0, 659.6, 0.0, 0.0225, 0.13),
    (39, 0.0897, 0.00632, 2729.0, 831.8, 0.0, 0.0178, 0.11),
    (40, 0.0799, 0.00501, 3441.0, 1049.0, 0.0, 0.0141, 0.09),
];

#[test]
fn every_row_of_the_wire_table_comes_out() {
    // Each figure within half a step of its last printed digit (414.9 was rounded twice: 414.849), the
    // published column within one step.
    for (awg, d, area, km, kft, published, careful, generous) in ROWS {
        let w = work_of(&wire(awg, 1000.0, 1.0));
        let ohm_kft = w.ohm_per_km.value * 0.3048;
        assert!(near(w.diameter_mm, d, 5.01e-5), "{awg}");
        let step = if area < 0.0101 { 5.01e-6 } else { 5.01e-5 };
        assert!(near(w.area_mm2, area, step), "{awg}: {}", w.area_mm2);
        assert!(near(w.ohm_per_km.value, km, if km >= 1000.0 { 0.51 } else { 0.051 }), "{awg}");
        let step = if kft >= 1000.0 {
            0.51
        } else if kft > 110.0 {
            0.06
        } else {
            0.0051
        };
        assert!(near(ohm_kft, kft, step), "{awg}: {ohm_kft}");
        assert!(
            published == 0.0 || near(ohm_kft, published, if awg == 30 { 0.05 } else { 0.015 }),
            "{awg}"
        );
        assert!(near(w.careful_a, careful, if careful < 0.1 { 5.1e-5 } else { 5.1e-4 }), "{awg}");
        assert!(near(w.generous_a.unwrap(), generous, 1e-9), "{awg}");
    }
}

/// ASTM B258 fixed points: 36 is 0.005 in, 0000 (number −3) is 0.46 in; 1.12293 from one gauge to the
/// next; six gauges halve the diameter.
#[test]
fn gauges_follow_their_fixed_points() {
    assert!(near(gauge::diameter_mm(36.0), 0.127, 1e-12));
    assert!(near(gauge::diameter_mm(-3.0), 0.46 * 25.4, 1e-9));
    assert!(near(gauge::diameter_mm(20.0) / gauge::diameter_mm(21.0), 1.12293, 5e-6));
    assert!(near(gauge::diameter_mm(24.0) / gauge::diameter_mm(30.0), 2.0, 0.006));
    for n in THICKEST..=THINNEST {
        assert!(near(gauge::gauge_of(gauge::diameter_mm(f64::from(n))), f64::from(n), 1e-9));
    }
}

/// Worked by hand: gauge 30, 0.5 m out and back, 1 A: 0.339 V. Gauge 34, 0.3 m loop, 1 A: 0.257 V.
/// Gauge 30 at 60 °C: 391.8 Ω/km.
#[test]
fn drops_of_the_worked_examples() {
    assert!(near(work_of(&wire(30, 1000.0, 1.0)).drop_v.value, 0.339, 5e-4));
    assert!(near(work_of(&wire(34, 300.0, 1.0)).drop_v.value, 0.257, 5e-4));
    let warm = Input { copper_c: Some(60.0), ..wire(30, 1000.0, 1.0) };
    assert!(near(work_of(&warm).ohm_per_km.value, 391.8, 0.06));
}

/// The hobby-laboratory table, every row: 0.05 mm² 1 A, 0.08 1.5 A, 0.15 2 A, 0.25 4 A.
#[test]
fn the_laboratory_table_is_read_downwards() {
    for (area, amps) in [(0.05, 1.0), (0.08, 1.5), (0.15, 2.0), (0.25, 4.0)] {
        assert_eq!(gauge::laboratory_a(area), Some(amps));
        assert!(gauge::laboratory_a(area - 0.001).is_none_or(|a| a < amps));
    }
    assert_eq!(work_of(&wire(30, 1.0, 0.1)).laboratory_a, Some(1.0));
    assert_eq!(work_of(&wire(31, 1.0, 0.1)).laboratory_a, None);
    assert_eq!(work_of(&wire(20, 1.0, 0.1)).laboratory_a, None);
}

/// Worked by hand: 1 A in gauge 36 is 78.9 A/mm²; ρ·J²/(c·density) = 31 K/s.
#[test]
fn a_thin_wire_warms_fast() {
    let w = work_of(&wire(36, 100.0, 1.0));
    assert!(near(w.density_a_mm2, 78.9, 0.1) && near(w.rise_k_per_s.value, 31.1, 0.2));
}

#[test]
fn the_guides_are_shown_as_the_range_they_are() {
    let aspect = |amps| run(&wire(30, 100.0, amps)).unwrap().answer().aspect;
    assert_eq!(aspect(0.14), Aspect::Clear);
    assert_eq!(aspect(0.5), Aspect::Caution);
    assert_eq!(aspect(1.01), Aspect::Danger);
    let answer = run(&wire(30, 100.0, 0.5)).unwrap().answer();
    assert!(answer.sentence.contains("0.14\u{a0}A to 1.00\u{a0}A"), "{}", answer.sentence);
}

#[test]
fn usual_gauges_need_the_size_of_the_model() {
    let with = |awg, size| {
        let input = Input { job: Some(Job::Motor), size, ..wire(awg, 100.0, 0.01) };
        run(&input).unwrap().answer().aspect
    };
    assert_eq!(with(30, Some(Size::H0Oo)), Aspect::Clear);
    assert_eq!(with(34, Some(Size::H0Oo)), Aspect::Caution);
    assert_eq!(with(24, Some(Size::ZN)), Aspect::Caution);
    assert_eq!(with(30, None), Aspect::Unlit);
}

#[test]
fn without_a_wire_it_says_which_would_do_and_is_unlit() {
    let input = Input { awg: None, most_drop_v: Some(0.1), ..wire(30, 1000.0, 0.5) };
    let out = run(&input).unwrap();
    assert_eq!(out.answer().aspect, Aspect::Unlit);
    assert_eq!(out.choice.careful_awg, Some(24), "0.577 A by the table, 0.458 at 25");
    assert_eq!(out.choice.generous_awg, Some(32));
    assert_eq!(out.choice.drop_awg, Some(27), "0.2 Ω/m: 168.9 Ω/km, 212.9 at 28");
}

#[test]
fn an_unknown_lay_widens_the_bounds() {
    let with = |stranded| work_of(&Input { stranded, ..wire(30, 1000.0, 1.0) }).drop_v;
    assert!(with(None).hi > with(Some(false)).hi);
    assert!(with(None).lo <= with(Some(false)).value);
}

#[test]
fn sizes_are_given_once() {
    let two = Input { area_mm2: Some(0.05), ..wire(30, 100.0, 1.0) };
    assert_eq!(run(&two).unwrap_err()[0].field, "awg");
    assert_eq!(run(&wire(41, 100.0, 1.0)).unwrap_err()[0].allowed, "10 to 40");
    assert!((CALCULATION.run)(CALCULATION.example).is_ok());
}

proptest! {
    #[test]
    fn bounds_contain_what_can_be(
        awg in 10..=40i32, loop_mm in 1.0..1e5f64, amps in 0.01..10.0f64, percent in 0.0..5.0f64,
        off in -1.0..1.0f64, lay in 1.0..1.05f64,
    ) {
        let accuracy = Accuracy { percent, digits: 2.0, resolution: 0.001 };
        let told = work_of(&Input { current_meter: Some(accuracy), stranded: None, ..wire(awg, loop_mm, amps) });
        let real = work_of(&wire(awg, loop_mm * lay, amps + off * accuracy.spread(amps)));
        prop_assert!(told.drop_v.interval().contains(real.drop_v.value));
        prop_assert!(told.heat_w.interval().contains(real.heat_w.value));
        prop_assert!(told.resistance_ohm.interval().contains(real.resistance_ohm.value));
    }

    /// A thicker wire, or a greater drop that is accepted, never makes the aspect worse.
    #[test]
    fn a_raised_rating_never_worsens(
        awg in 11..=40i32, loop_mm in 1.0..1e5f64, amps in 0.01..10.0f64, most in 0.01..5.0f64, by in 1.0..2.0f64,
    ) {
        let with = |awg, most| {
            run(&Input { most_drop_v: Some(most), ..wire(awg, loop_mm, amps) }).unwrap().answer().aspect.rank()
        };
        prop_assert!(with(awg - 1, most) <= with(awg, most));
        prop_assert!(with(awg, most * by) <= with(awg, most));
    }

    #[test]
    fn diameter_and_area_name_the_same_wire(d in 0.08..2.58f64) {
        let by_d = work_of(&Input { awg: None, diameter_mm: Some(d), ..wire(30, 100.0, 1.0) });
        let by_a = work_of(&Input { awg: None, area_mm2: Some(gauge::area_mm2(d)), ..wire(30, 100.0, 1.0) });
        prop_assert!(near(by_d.awg, by_a.awg, 1e-9) && near(by_d.drop_v.value, by_a.drop_v.value, 1e-9));
    }
}
