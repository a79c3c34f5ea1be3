use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;

fn led(in_series: u32, forward_v: f64, wanted_a: f64) -> LightString {
    LightString {
        name: "headlamp".to_owned(),
        light: Light::Led { forward_v, spread_v: None, wanted_a, most_a: Some(0.025) },
        in_series,
        share: None,
        copies: None,
        fitted_ohm: None,
        tolerance_percent: None,
        resistor_w: None,
        returns_to: Some(Return::Common),
    }
}

fn lamp(rated_v: f64, rated_a: f64) -> LightString {
    LightString { light: Light::Lamp { rated_v, rated_a, cold_ratio: None }, ..led(1, 1.0, 1.0) }
}

/// The supply itself is given, so the drop is nought.
fn from_supply(supply_v: f64, series: Series, string: LightString) -> Input {
    Input {
        track_v: supply_v,
        voltage_meter: None,
        drop_v: Some(0.0),
        series,
        total_rating_a: Some(1.0),
        outputs: vec![LightOutput {
            name: "white".to_owned(),
            rating_a: Some(0.5),
            strings: vec![string],
        }],
    }
}

fn only(input: &Input) -> StringResult {
    run(input).unwrap().outputs[0].strings[0].clone()
}

fn near(got: f64, want: f64, within: f64) -> bool {
    (got - want).abs() <= within
}

/// One row: supply V, LEDs, forward V, wanted A, exact, E12, E24, E96 Ω, current mA, power mW.
type Row = (f64, u32, f64, f64, f64, [f64; 3], f64, f64);

/// The first row is a published example (read second-hand); the others are worked by hand from the
/// same relation and the IEC 60063 lists. Current and power are those with the E12 value.
const ROWS: [Row; 7] = [
    (5.0, 1, 2.0, 0.020, 150.0, [150.0, 150.0, 150.0], 20.0, 60.0),
    (12.0, 1, 3.2, 0.010, 880.0, [1000.0, 910.0, 887.0], 8.80, 77.4),
    (12.0, 1, 3.2, 0.020, 440.0, [470.0, 470.0, 442.0], 18.72, 164.8),
    (12.0, 3, 3.2, 0.010, 240.0, [270.0, 240.0, 243.0], 8.89, 21.3),
    (14.0, 1, 3.2, 0.005, 2160.0, [2200.0, 2200.0, 2210.0], 4.91, 53.0),
    (16.0, 1, 3.0, 0.010, 1300.0, [1500.0, 1300.0, 1300.0], 8.67, 112.7),
    (20.0, 1, 3.3, 0.010, 1670.0, [1800.0, 1800.0, 1690.0], 9.28, 154.9),
];

#[test]
fn every_row_of_the_published_table_comes_out() {
    for (supply_v, n, forward_v, wanted_a, exact, up, current_ma, power_mw) in ROWS {
        let string = only(&from_supply(supply_v, Series::E12, led(n, forward_v, wanted_a)));
        assert!(near(string.exact_ohm.unwrap(), exact, 0.05), "{exact}");
        let got = [string.e12_ohm, string.e24_ohm, string.e96_ohm].map(Option::unwrap);
        assert!(got.iter().zip(up).all(|(g, w)| near(*g, w, 1e-6)), "{exact}: {got:?}");
        assert!(near(string.current_a.value * 1000.0, current_ma, 0.0051), "{exact}");
        assert!(near(string.resistor_w.value * 1000.0, power_mw, 0.051), "{exact}");
    }
}

/// Common practice: 14 V track, 3.0 V LED and 1 kΩ give 9.6 mA and 0.09 W.
#[test]
fn the_drop_of_the_bridge_is_taken_off_the_track() {
    let mut input = from_supply(
        14.0,
        Series::E12,
        LightString { fitted_ohm: Some(1000.0), ..led(1, 3.0, 0.01) },
    );
    input.drop_v = None;
    let string = only(&input);
    assert!(
        near(string.current_a.value, 0.0096, 1e-9) && near(string.resistor_w.value, 0.092, 5e-4)
    );
}

/// Common practice: a 1.5 V 30 mA lamp on 14 V track wants about 400 Ω, 0.3 to 0.4 W: half a watt or
/// more. Exactly (12.6 − 1.5)/0.03 = 370 Ω, 390 Ω in E12.
#[test]
fn a_lamp_of_lower_voltage_gets_its_resistor() {
    let mut input = from_supply(14.0, Series::E12, lamp(1.5, 0.03));
    input.drop_v = None;
    let string = only(&input);
    assert!(near(string.exact_ohm.unwrap(), 370.0, 1e-9));
    assert!(near(string.resistor_ohm.unwrap(), 390.0, 1e-9));
    assert!(string.resistor_w.value > 0.3 && string.resistor_w.value < 0.4);
    assert!(string.rating_w.unwrap() >= 0.5);
    assert!(string.lamp_v.value < 1.5 && string.lamp_v.value > 1.3);
}

#[test]
fn a_lamp_at_its_own_voltage_needs_no_resistor_and_draws_tenfold_when_cold() {
    let string = only(&from_supply(12.0, Series::E12, lamp(12.0, 0.05)));
    assert_eq!((string.exact_ohm, string.resistor_ohm, string.rating_w), (None, None, None));
    assert!(near(string.current_a.value, 0.05, 1e-12));
    assert!(near(string.inrush_a, 0.5, 1e-9));
    let series = LightString { fitted_ohm: Some(24.0), ..lamp(12.0, 0.05) };
    let tamed = only(&from_supply(12.0, Series::E12, series));
    assert!(tamed.inrush_a < 0.28, "24 Ω − 10 % in series with a cold 24 Ω: about half");
}

#[test]
fn an_led_string_above_the_supply_is_danger_and_stays_dark() {
    let out = run(&from_supply(9.0, Series::E12, led(3, 3.2, 0.01))).unwrap();
    assert_eq!(out.answer().aspect, Aspect::Danger);
    assert!(out.answer().sentence.contains("stays dark"));
    assert_eq!(out.outputs[0].strings[0].resistor_ohm, None);
    assert!(near(out.total_a.hi, 0.0, 1e-15));
}

#[test]
fn far_ends_on_rail_frame_or_unknown_are_told_apart() {
    let aspect = |returns_to| {
        let string = LightString { returns_to, ..led(1, 3.2, 0.005) };
        run(&from_supply(12.0, Series::E24, string)).unwrap().answer().aspect
    };
    assert_eq!(aspect(Some(Return::Common)), Aspect::Clear);
    assert_eq!(aspect(Some(Return::Rail)), Aspect::Caution);
    assert_eq!(aspect(Some(Return::Frame)), Aspect::Danger);
    assert_eq!(aspect(None), Aspect::Unlit);
}

#[test]
fn a_string_to_a_rail_gets_one_diode_less_and_half_the_time() {
    let mut input = from_supply(
        14.0,
        Series::E12,
        LightString { returns_to: Some(Return::Rail), ..led(1, 3.0, 0.01) },
    );
    input.drop_v = None;
    let string = only(&input);
    assert!(near(string.supply_v.value, 13.3, 1e-12) && near(string.duty, 0.5, 1e-12));
}

#[test]
fn unknown_ratings_are_unlit() {
    let base = from_supply(12.0, Series::E24, led(1, 3.2, 0.005));
    let aspect = |input: &Input| run(input).unwrap().answer().aspect;
    assert_eq!(aspect(&base), Aspect::Clear);
    let mut no_output = base.clone();
    no_output.outputs[0].rating_a = None;
    let mut no_total = base.clone();
    no_total.total_rating_a = None;
    let mut no_led = base;
    no_led.outputs[0].strings[0].light =
        Light::Led { forward_v: 3.2, spread_v: None, wanted_a: 0.005, most_a: None };
    for input in [no_output, no_total, no_led] {
        assert_eq!(aspect(&input), Aspect::Unlit);
    }
}

/// 8.8 mA as read; with a resistor 10 % low 9.78 mA. An output of 9 mA is danger by the bad end.
#[test]
fn a_rating_is_held_against_the_bad_end() {
    let mut input = from_supply(12.0, Series::E12, led(1, 3.2, 0.01));
    input.outputs[0].rating_a = Some(0.009);
    let out = run(&input).unwrap();
    assert!(out.total_a.value < 0.009 && near(out.total_a.hi, 0.0088 / 0.9, 1e-9));
    assert_eq!(out.answer().aspect, Aspect::Danger);
}

#[test]
fn copies_and_branches_add_up() {
    let string = LightString { copies: Some(4), share: Some(2), ..led(1, 3.2, 0.005) };
    let out = run(&from_supply(12.0, Series::E96, string)).unwrap();
    let one = &out.outputs[0].strings[0];
    assert!(near(one.exact_ohm.unwrap(), 880.0, 1e-9), "two branches of 5 mA behind one resistor");
    assert!(near(out.total_a.value, 4.0 * one.current_a.value, 1e-12));
    assert!(near(one.branch_a.hi, one.current_a.hi, 1e-12), "one branch may take it all");
    assert!(
        out.findings
            .iter()
            .any(|f| f.aspect == Aspect::Caution && f.sentence.contains("one resistor"))
    );
}

#[test]
fn a_resistor_is_rated_at_least_twice_its_heat() {
    assert_eq!(strings::rating_w(0.125), Some(0.25));
    assert_eq!(strings::rating_w(0.126), Some(0.5));
    assert_eq!(strings::rating_w(2.6), None);
    let aspect = |resistor_w| {
        let string = LightString { resistor_w: Some(resistor_w), ..led(1, 3.2, 0.02) };
        let out = run(&from_supply(12.0, Series::E12, string)).unwrap();
        out.findings.iter().find(|f| f.sentence.contains("rated")).unwrap().aspect
    };
    assert_eq!(aspect(0.5), Aspect::Clear);
    assert_eq!(aspect(0.25), Aspect::Caution);
    assert_eq!(aspect(0.125), Aspect::Danger);
}

#[test]
fn the_sentence_names_the_resistor_and_its_bands() {
    let out = run(&from_supply(12.0, Series::E24, led(1, 3.2, 0.01))).unwrap();
    let lit = out.findings.iter().find(|f| f.sentence.starts_with("headlamp: fit")).unwrap();
    assert!(lit.sentence.contains("910.0\u{a0}Ω (white brown brown gold)"), "{}", lit.sentence);
    assert!(
        lit.inputs
            .iter()
            .any(|n| n.name == "five bands" && n.value.starts_with("white brown black black gold"))
    );
}

#[test]
fn fields_out_of_range_are_refused_by_their_path() {
    let mut input = from_supply(12.0, Series::E24, led(0, 3.2, 0.01));
    input.outputs[0].strings[0].tolerance_percent = Some(7.0);
    input.outputs[0].strings[0].fitted_ohm = Some(0.0);
    let fields: Vec<String> = run(&input).unwrap_err().into_iter().map(|r| r.field).collect();
    let at = "outputs.0.strings.0";
    assert_eq!(
        fields,
        [format!("{at}.in_series"), format!("{at}.fitted_ohm"), format!("{at}.tolerance_percent")]
    );
    let refused = (CALCULATION.run)(r#"{"track_v":12,"series":"e7","outputs":[]}"#).unwrap_err();
    assert_eq!(refused[0].field, "series");
}

#[test]
fn the_example_runs() {
    let answer = (CALCULATION.run)(CALCULATION.example).unwrap();
    assert_eq!(answer.calculation, "lights");
    assert!(answer.values.iter().any(|v| v.name == "output_2_string_1_current_a"));
}

proptest! {
    /// Any true supply, forward voltage and resistor within their ends gives a current, heat and
    /// lamp voltage within the ends that were told.
    #[test]
    fn bounds_contain_what_can_be(
        track_v in 6.0..24.0f64, percent in 0.0..3.0f64, forward_v in 1.5..3.6f64,
        spread_v in 0.0..0.4f64, wanted_a in 0.001..0.05f64, tolerance in prop::sample::select(vec![1.0, 5.0, 10.0]),
        lamp_share in 0.05..1.2f64, pick in prop::array::uniform3(-1.0..1.0f64), is_lamp in any::<bool>(),
    ) {
        let light = if is_lamp {
            Light::Lamp { rated_v: (lamp_share * track_v).max(0.5), rated_a: wanted_a, cold_ratio: None }
        } else {
            Light::Led { forward_v, spread_v: Some(spread_v), wanted_a, most_a: None }
        };
        let string = LightString { light, tolerance_percent: Some(tolerance), ..led(1, 1.0, 1.0) };
        let mut input = from_supply(track_v, Series::E24, string.clone());
        let accuracy = crate::units::Accuracy { percent, digits: 1.0, resolution: 0.01 };
        input.voltage_meter = Some(accuracy);
        let told = only(&input);
        let mut truth = input.clone();
        truth.track_v = track_v + pick[0] * accuracy.spread(track_v);
        truth.voltage_meter = None;
        let ohm = told.resistor_ohm.map(|r| r * (1.0 + pick[1] * tolerance / 100.0));
        let light = match light {
            Light::Led { forward_v, .. } => Light::Led {
                forward_v: forward_v + pick[2] * spread_v, spread_v: None, wanted_a, most_a: None },
            lamp @ Light::Lamp { .. } => lamp,
        };
        let real = LightString { light, ..string };
        let fed = supply(&truth, Some(Return::Common));
        let drawn = draw(fed, &real, ohm.unwrap_or(0.0), 0.0);
        prop_assert!(told.current_a.interval().contains(drawn.current_a.value));
        prop_assert!(told.resistor_w.interval().contains(drawn.resistor_w.value));
        prop_assert!(told.lamp_v.interval().contains(drawn.lamp_v.value));
    }

    /// The next value up never passes the wanted current, and the one below it in the list would.
    #[test]
    fn the_next_value_up_is_the_least_that_holds_the_current(ohm in 0.1..1e6f64) {
        for series in [Series::E6, Series::E12, Series::E24, Series::E48, Series::E96] {
            let up = series.next_up(ohm).unwrap().ohm();
            prop_assert!(up >= ohm * (1.0 - 1e-9));
            prop_assert!(series.values().all(|p| p.ohm() >= up || p.ohm() < ohm));
        }
    }

    /// A larger rating of LED, output, all outputs or resistor never makes the aspect worse.
    #[test]
    fn a_raised_rating_never_worsens(
        supply_v in 5.0..24.0f64, wanted_a in 0.001..0.03f64, most_a in 0.001..0.05f64,
        rating_a in 0.001..0.1f64, total_a in 0.001..0.1f64, resistor_w in 0.01..1.0f64, by in 1.0..5.0f64,
        which in 0..4usize,
    ) {
        let made = |up: [f64; 4]| {
            let mut string = led(1, 2.0, wanted_a);
            string.light = Light::Led { forward_v: 2.0, spread_v: None, wanted_a, most_a: Some((most_a * up[0]).min(3.0)) };
            string.resistor_w = Some(resistor_w * up[3]);
            let mut input = from_supply(supply_v, Series::E12, string);
            input.outputs[0].rating_a = Some(rating_a * up[1]);
            input.total_rating_a = Some(total_a * up[2]);
            run(&input).unwrap().answer().aspect.rank()
        };
        let mut up = [1.0; 4];
        up[which] = by;
        prop_assert!(made(up) <= made([1.0; 4]));
    }
}
