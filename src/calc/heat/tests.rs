use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;

fn input(points: &[(f64, f64)]) -> Input {
    Input {
        points: points.iter().map(|&(time_s, temp_c)| Point { time_s, temp_c }).collect(),
        ambient_c: Some(22.0),
        limit_c: Some(70.0),
        level_percent: 95.0,
        accuracy: None,
        loss_w: None,
        path_kelvin_per_watt: Vec::new(),
    }
}

fn aspect(output: &Output) -> Aspect {
    output.answer().aspect
}

/// The hand-worked rise T_a 22, dT 40, tau 10 min, to two decimals.
const RISE: [(f64, f64); 5] =
    [(0.0, 22.0), (300.0, 37.74), (600.0, 47.28), (1200.0, 56.59), (1800.0, 60.01)];

#[test]
fn the_hand_worked_rise_settles_and_passes_fifty_at_its_time() {
    let output = run(&Input { limit_c: Some(50.0), ..input(&RISE) }).unwrap();
    let curve = output.curve.as_ref().unwrap();
    assert!((curve.final_c.value - 62.0).abs() < 0.01);
    let at = curve.to_limit.unwrap().time_s.unwrap();
    assert!((at / 60.0 - 12.04).abs() < 0.01, "passes 50 at {} min", at / 60.0);
    assert_eq!(aspect(&output), Aspect::Danger);
}

#[test]
fn a_log_that_settles_below_the_limit_and_rises_no_more_is_clear() {
    let mut points = RISE.to_vec();
    points.extend([(2400.0, 61.27), (2700.0, 61.56)]);
    let output = run(&input(&points)).unwrap();
    assert_eq!(aspect(&output), Aspect::Clear, "{:?}", output.findings);
}

#[test]
fn stop_now_when_only_the_upper_end_passes_the_limit() {
    let noisy = [(0.0, 22.0), (300.0, 39.0), (600.0, 46.0), (900.0, 55.0), (1200.0, 55.0)];
    let output = run(&Input { limit_c: Some(66.0), ..input(&noisy) }).unwrap();
    let curve = output.curve.as_ref().unwrap();
    assert!(curve.final_c.value < 66.0 && curve.final_c.hi > 66.0, "{:?}", curve.final_c);
    assert_eq!(aspect(&output), Aspect::Danger);
    assert!(output.answer().sentence.starts_with("Stop now: it may settle"));
}

#[test]
fn three_readings_or_half_a_minute_are_unlit_even_when_cool() {
    let three = run(&input(&RISE[..3])).unwrap();
    assert!(three.curve.is_none());
    assert_eq!(aspect(&three), Aspect::Unlit);
    let early: Vec<(f64, f64)> = (0..6)
        .map(|k| 40.0 * f64::from(k))
        .map(|t| (t, 22.0 + 40.0 * (1.0 - (-t / 600.0_f64).exp())))
        .collect();
    let short = run(&input(&early)).unwrap();
    assert!(short.curve.is_none() && short.why_no_curve.contains("span"), "{short:?}");
    assert_eq!(aspect(&short), Aspect::Unlit);
}

#[test]
fn a_reading_above_the_limit_is_danger_without_any_fit() {
    let output = run(&input(&[(0.0, 22.0), (60.0, 71.0)])).unwrap();
    assert_eq!(aspect(&output), Aspect::Danger);
    let digits = Accuracy { percent: 0.0, digits: 20.0, resolution: 0.1 };
    let close = Input { accuracy: Some(digits), ..input(&[(0.0, 22.0), (60.0, 68.5)]) };
    assert_eq!(aspect(&run(&close).unwrap()), Aspect::Danger, "68.5 ± 2 may be above 70");
}

#[test]
fn no_log_at_all_and_no_limit_are_unlit() {
    assert_eq!(aspect(&run(&input(&[])).unwrap()), Aspect::Unlit);
    let no_limit = run(&Input { limit_c: None, ..input(&RISE) }).unwrap();
    assert_eq!(aspect(&no_limit), Aspect::Unlit);
}

/// Published worked examples on thermal resistance (application notes on cooling, two of them
/// found in more than one place): watts, K/W, ambient, result.
#[test]
fn thermal_resistances_by_table() {
    let table: [(f64, &[f64], f64, f64); 5] = [
        (3.5, &[65.0], 25.0, 252.5),
        (3.5, &[5.0, 1.0, 10.0], 25.0, 81.0),
        (2.0, &[60.0], 50.0, 170.0),
        (2.0, &[16.0], 50.0, 82.0),
        (5.0, &[3.0, 1.0, 8.0], 25.0, 85.0),
    ];
    for (watts, path, ambient, want) in table {
        assert!((steady_c(ambient, watts, path) - want).abs() < 1e-9, "{watts} W by {path:?}");
    }
    // Case temperature of the last one: all but the first step of the path.
    assert!((steady_c(25.0, 5.0, &[1.0, 8.0]) - 70.0).abs() < 1e-9);
}

#[test]
fn a_forecast_is_danger_when_it_fails_and_unlit_when_it_holds() {
    let forecast = |watts: f64| {
        run(&Input { loss_w: Some(watts), path_kelvin_per_watt: vec![60.0], ..input(&[]) }).unwrap()
    };
    assert_eq!(aspect(&forecast(2.0)), Aspect::Danger);
    assert_eq!(aspect(&forecast(0.5)), Aspect::Unlit);
}

#[test]
fn the_soak_rule_reads_between_two_readings() {
    let output = run(&input(&[(0.0, 40.0), (400.0, 48.0), (600.0, 50.0)])).unwrap();
    assert!((output.soak_rise_k.unwrap().value - 4.0).abs() < 1e-12);
    assert!(output.findings.iter().any(|f| f.aspect == Aspect::Caution));
}

#[test]
fn readings_out_of_order_are_refused_by_name() {
    let refused = run(&input(&[(0.0, 22.0), (60.0, 30.0), (60.0, 31.0)])).unwrap_err();
    assert_eq!(refused[0].field, "points.2.time_s");
    let refused = run(&input(&[(0.0, f64::NAN)])).unwrap_err();
    assert_eq!(refused[0].field, "points.0.temp_c");
}

#[test]
fn the_example_runs_and_unknown_fields_are_refused() {
    assert!((CALCULATION.run)(CALCULATION.example).unwrap().values.len() > 5);
    assert!((CALCULATION.run)(r#"{"limit": 70}"#).is_err());
}

proptest! {
    #[test]
    fn bounds_contain_the_value_and_exact_points_give_their_curve_back(
        ambient in 5.0..35.0_f64, rise in 5.0..90.0_f64, tau in 60.0..3000.0_f64,
        spans in 0.7..5.0_f64, count in 6_u32..40, fitted: bool,
    ) {
        let points: Vec<(f64, f64)> = (0..count)
            .map(|k| spans * tau * f64::from(k) / f64::from(count - 1))
            .map(|t| (t, ambient - rise * (-t / tau).exp_m1()))
            .collect();
        let given = Input { ambient_c: (!fitted).then_some(ambient), ..input(&points) };
        let output = run(&given).unwrap();
        let curve = output.curve.as_ref().unwrap();
        prop_assert!((curve.final_c.value - ambient - rise).abs() < 1e-3 * rise);
        prop_assert!((curve.tau_s.value / tau - 1.0).abs() < 1e-3);
        for v in output.answer().values {
            prop_assert!(v.lo <= v.value && v.value <= v.hi, "{v:?}");
        }
        for s in &curve.samples {
            prop_assert!(s.lo_c <= s.temp_c && s.temp_c <= s.hi_c);
        }
    }

    #[test]
    fn a_higher_limit_never_worsens_the_aspect(
        noise in prop::collection::vec(-2.0..2.0_f64, 8), a in 30.0..120.0_f64, b in 30.0..120.0_f64,
    ) {
        let points: Vec<(f64, f64)> = noise.iter().enumerate().map(|(k, n)| {
            let t = 240.0 * f64::from(u8::try_from(k).unwrap());
            (t, 22.0 - 40.0 * (-t / 600.0).exp_m1() + n)
        }).collect();
        let at = |limit: f64| aspect(&run(&Input { limit_c: Some(limit), ..input(&points) }).unwrap());
        prop_assert!(at(a.max(b)).rank() <= at(a.min(b)).rank());
    }

    #[test]
    fn any_log_is_worked_without_a_number_that_is_not_one(
        temps in prop::collection::vec(-50.0..400.0_f64, 0..12), step in 0.01..5000.0_f64, known: bool,
    ) {
        let points: Vec<(f64, f64)> = temps.iter().enumerate()
            .map(|(k, t)| (step * f64::from(u8::try_from(k).unwrap()), *t)).collect();
        let given = Input { ambient_c: known.then_some(20.0), ..input(&points) };
        for v in run(&given).unwrap().answer().values {
            prop_assert!(v.value.is_finite() && v.lo.is_finite() && v.hi.is_finite(), "{v:?}");
            prop_assert!(v.lo <= v.value && v.value <= v.hi, "{v:?}");
        }
    }
}
