//! Check values, verdicts and properties of the load test.

use super::bounds::{copper_ratio, seen};
use super::*;
use crate::aspect::Aspect;
use crate::units::Accuracy;
use proptest::prelude::*;

/// The check case (common practice, no source): 12 V, 0.27 / 0.32 / 0.80 A, 14.6 V on the decoder.
fn check_case() -> Input {
    Input {
        free_a: Some(0.27),
        slipping_a: Some(0.32),
        held_a: Some(0.80),
        track_v: Some(16.0),
        ..Input::at(12.0)
    }
}

fn out(input: &Input) -> Output {
    run(input).expect("allowed input")
}

fn near(value: Option<Bounded>, expected: f64, within: f64) {
    let value = value.expect("known");
    assert!((value.value - expected).abs() <= within, "{} is not {expected}", value.value);
    assert!(value.lo <= value.value && value.value <= value.hi);
}

fn meter(percent: f64, digits: f64, resolution: f64) -> Accuracy {
    Accuracy { percent, digits, resolution }
}

/// Arithmetic on the check case, worked by hand: 12/0.8; 0.27/0.32; 12 − 0.27·15; 0.27²·15;
/// 7.95·0.27; 12·0.27; 0.8·14.6/12.
#[test]
fn the_check_case_gives_its_hand_worked_values() {
    let o = out(&check_case());
    near(o.resistance_ohm, 15.0, 1e-12);
    near(o.friction_share, 0.84375, 1e-12);
    near(o.back_emf_free_v, 7.95, 1e-12);
    near(o.copper_loss_free_w, 1.0935, 1e-12);
    near(o.friction_power_w, 2.1465, 1e-12);
    near(o.input_free_w, 3.24, 1e-12);
    near(o.decoder_output_v, 14.6, 1e-12);
    near(o.held_at_output_a, 0.97333, 5e-6);
    near(o.slipping_at_output_a, 0.32, 0.0);
    assert_eq!(o.brush_and_contact_ohm, None);
    assert_eq!(o.held_stand_in_a, None);
    assert_eq!(o.held, None);
}

#[test]
fn a_mechanism_that_eats_84_percent_is_danger_and_says_what_would_clear_it() {
    let o = out(&check_case());
    assert_eq!(o.mechanism.aspect, Aspect::Danger);
    assert!(o.mechanism.sentence.contains("84\u{a0}%"), "{}", o.mechanism.sentence);
    assert!(
        o.mechanism.would_change.starts_with("A free current below 0.16\u{a0}A"),
        "{}",
        o.mechanism.would_change
    );
    let clear = out(&Input { free_a: Some(0.159), ..check_case() });
    assert_eq!(clear.mechanism.aspect, Aspect::Clear);
    let exactly = out(&Input { free_a: Some(0.16), ..check_case() });
    assert_eq!(exactly.mechanism.aspect, Aspect::Caution);
    let limit = out(&Input { free_a: Some(0.24), ..check_case() });
    assert_eq!(limit.mechanism.aspect, Aspect::Caution);
}

/// Operating points of the check motor by hand: R 15 Ω; slipping at 0.32 A: E = 12 − 4.8 = 7.2 V,
/// 0.32² × 15 = 1.536 W, 7.2 × 0.32 = 2.304 W, 12 × 0.32 = 3.84 W; cruising at 0.30 A: E 7.5 V.
#[test]
fn operating_points_stand_for_cruising_and_slipping() {
    let o = out(&Input { cruise_a: Some(0.30), ..check_case() });
    let names: Vec<&str> = o.points.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["cruise", "slipping"]);
    let value = |b: Option<Bounded>| b.expect("known").value;
    assert!((value(o.points[0].back_emf_v) - 7.5).abs() < 1e-9);
    let slipping = &o.points[1];
    for (ours, by_hand) in [
        (slipping.back_emf_v, 7.2),
        (slipping.copper_loss_w, 1.536),
        (slipping.shaft_power_w, 2.304),
        (slipping.input_w, 3.84),
    ] {
        assert!((value(ours) - by_hand).abs() < 1e-9, "{ours:?} {by_hand}");
    }
    let unread = out(&Input { slipping_a: None, ..check_case() });
    assert!(unread.points.is_empty());
}

/// Handbook-style motor (arithmetic run for this project): 12 V, 20 Ω, free 0.02 A: held 0.60 A;
/// winding at 100 °C 26.288 Ω, held 0.4565 A.
#[test]
fn a_hot_winding_draws_less() {
    assert!((20.0 * copper_ratio(20.0, 100.0) - 26.288).abs() < 1e-9);
    assert!((12.0 / (20.0 * copper_ratio(20.0, 100.0)) - 0.4565).abs() < 5e-5);
    let o = out(&Input {
        free_a: Some(0.02),
        held_a: Some(0.60),
        decoder_output_v: Some(12.0),
        ..Input::at(12.0)
    });
    near(o.resistance_ohm, 20.0, 1e-9);
    near(o.held_hot_at_output_a, 0.60 / 1.2358, 1e-9);
}

/// Worked example of a formula page, read second-hand: 1.21 Ω at 20 °C is 1.472 Ω at 75 °C.
#[test]
fn copper_warms_as_published() {
    assert!((1.21 * copper_ratio(20.0, 75.0) - 1.4715).abs() < 5e-5);
}

/// A motor read warm draws more when cold; one read in the cold is not made better.
#[test]
fn cold_is_the_worst_case_for_the_decoder() {
    let at = |winding_c| {
        let input = Input { winding_c, decoder_output_v: Some(12.0), ..check_case() };
        out(&input).held_at_output_a.expect("known").value
    };
    assert!((at(20.0) - 0.80).abs() < 1e-12);
    assert!((at(60.0) - 0.80 * (1.0 + 0.00393 * 40.0)).abs() < 1e-12);
    assert!((at(5.0) - 0.80).abs() < 1e-12);
}

#[test]
fn a_held_test_at_a_lower_voltage_tells_the_same_motor() {
    let o = out(&Input { held_a: Some(0.40), held_test_v: Some(6.0), ..check_case() });
    near(o.resistance_ohm, 15.0, 1e-12);
    near(o.held_at_output_a, 0.97333, 5e-6);
    near(o.back_emf_free_v, 7.95, 1e-12);
    near(o.friction_power_w, 2.1465, 1e-12);
    assert_eq!(o.plausibility.aspect, Aspect::Clear);
}

#[test]
fn a_motor_that_does_not_stall_gets_a_stand_in_from_its_winding() {
    let refused = Input { held_a: None, held_refused: true, ..check_case() };
    let o = out(&refused);
    let held = o.held.expect("a finding");
    assert_eq!(held.aspect, Aspect::Unlit);
    assert!(held.sentence.starts_with("The motor could not be made to stall"));
    assert!(held.would_change.contains("winding by ohmmeter"));
    assert_eq!((o.held_at_output_a, o.held_stand_in_a), (None, None));
    let o = out(&Input { winding_ohm: Some(14.6), ..refused });
    near(o.held_stand_in_a, 1.0, 1e-12);
    let held = o.held.expect("a finding");
    assert_eq!(held.aspect, Aspect::Unlit);
    assert!(held.sentence.contains("stands in for it: at most 1.00\u{a0}A"), "{}", held.sentence);
}

/// Hand-worked: 15 Ω from 0.80 A; 12.0 Ω is 25 % apart, 11.9 Ω is 26 %, 13.6 Ω leaves 1.4 Ω.
#[test]
fn the_winding_agrees_to_a_quarter() {
    let with = |ohm| out(&Input { winding_ohm: Some(ohm), ..check_case() });
    assert_eq!(with(12.0).winding_agrees.aspect, Aspect::Clear);
    assert_eq!(with(11.9).winding_agrees.aspect, Aspect::Caution);
    assert_eq!(with(21.0).winding_agrees.aspect, Aspect::Caution);
    near(with(13.6).brush_and_contact_ohm, 1.4, 1e-12);
    near(with(12.0).disagreement, 0.25, 1e-12);
    assert_eq!(out(&check_case()).winding_agrees.aspect, Aspect::Unlit);
    let wide =
        Input { winding_ohm: Some(12.4), ohm_meter: Some(meter(5.0, 0.0, 0.1)), ..check_case() };
    assert_eq!(out(&wide).winding_agrees.aspect, Aspect::Caution);
}

#[test]
fn readings_in_the_wrong_order_are_a_caution_that_names_the_doubtful_one() {
    let says = |free, slipping, held| {
        let (free_a, slipping_a, held_a) = (Some(free), Some(slipping), Some(held));
        out(&Input { free_a, slipping_a, held_a, ..check_case() }).plausibility
    };
    assert_eq!(says(0.27, 0.32, 0.80).aspect, Aspect::Clear);
    let both = says(0.40, 0.32, 0.80);
    assert_eq!(both.aspect, Aspect::Caution);
    assert!(both.sentence.contains("one of these readings is wrong, free or slipping"));
    let held = says(0.27, 0.32, 0.10).sentence;
    assert!(held.contains("most likely the held current"), "{held}");
    let free = says(0.90, 0.32, 0.80).sentence;
    assert!(free.contains("most likely the free current"), "{free}");
    let slipping = says(0.27, 0.9, 0.80).sentence;
    assert!(slipping.contains("slipping or held"), "{slipping}");
    let all = says(0.9, 0.5, 0.1).sentence;
    assert!(all.contains("free, slipping or held"), "{all}");
}

#[test]
fn readings_within_the_meters_bounds_of_the_right_order_are_not_doubted() {
    let input =
        Input { free_a: Some(0.33), current_meter: Some(meter(1.0, 3.0, 0.01)), ..check_case() };
    assert_eq!(out(&input).plausibility.aspect, Aspect::Clear);
    let exact = Input { current_meter: None, ..input };
    assert_eq!(out(&exact).plausibility.aspect, Aspect::Caution);
}

#[test]
fn a_reading_that_its_meter_cannot_tell_from_nothing_leaves_things_unknown() {
    let input = Input {
        free_a: Some(0.01),
        slipping_a: Some(0.02),
        current_meter: Some(meter(1.0, 3.0, 0.01)),
        ..check_case()
    };
    let o = out(&input);
    assert_eq!(o.friction_share, None);
    assert_eq!(o.mechanism.aspect, Aspect::Unlit);
    assert!(o.mechanism.sentence.contains("can't be told from nothing"));
}

#[test]
fn two_motors_read_together_are_alike_in_parallel() {
    let o = out(&Input { motors: 2, ..check_case() });
    near(o.resistance_ohm, 15.0, 1e-12);
    near(o.resistance_each_ohm, 30.0, 1e-12);
    assert_eq!(out(&check_case()).resistance_each_ohm, None);
}

#[test]
fn what_is_not_allowed_is_refused_with_its_field() {
    let fields = |input: Input| -> Vec<String> {
        run(&input).expect_err("refused").into_iter().map(|r| r.field).collect()
    };
    assert_eq!(fields(Input::at(0.0)), ["test_v"]);
    assert_eq!(fields(Input::at(f64::NAN)), ["test_v"]);
    assert_eq!(fields(Input { held_a: Some(-0.8), ..check_case() }), ["held_a"]);
    assert_eq!(fields(Input { motors: 0, ..check_case() }), ["motors"]);
    assert_eq!(fields(Input { held_refused: true, ..check_case() }), ["held_refused"]);
    let limits = Input { friction_clear_below: 0.8, ..check_case() };
    assert_eq!(fields(limits), ["friction_clear_below"]);
    let track = Input { track_v: Some(1.5), ..check_case() };
    assert_eq!(fields(track), ["track_v"]);
    let bad = Input { voltage_meter: Some(meter(60.0, -1.0, 0.0)), ..check_case() };
    let parts = ["voltage_meter.percent", "voltage_meter.digits", "voltage_meter.resolution"];
    assert_eq!(fields(bad), parts);
}

#[test]
fn an_answer_carries_only_what_is_known() {
    let answer = out(&Input::at(12.0)).answer();
    assert_eq!(answer.aspect, Aspect::Unlit);
    assert!(answer.values.is_empty());
    assert!(answer.findings.iter().all(|f| f.aspect == Aspect::Unlit));
}

/// A test within the ranges, some readings missing, meters of any kind.
fn any_input() -> impl Strategy<Value = Input> {
    let amps = || prop::option::weighted(0.9, 0.02..3.0f64);
    let gauge = || {
        let some = (0.0..5.0f64, 0.0..5.0f64, 0.001..0.01f64).prop_map(|(p, d, r)| Accuracy {
            percent: p,
            digits: d,
            resolution: r,
        });
        prop::option::of(some)
    };
    let volts = (2.0..20.0f64, prop::option::of(1.0..12.0f64), prop::option::of(8.0..22.0f64));
    let winding = (prop::option::of(2.0..200.0f64), 5.0..60.0f64);
    (volts, amps(), amps(), amps(), winding, (gauge(), gauge(), gauge())).prop_map(
        |((test_v, held_test_v, track_v), free_a, slipping_a, held_a, winding, meters)| Input {
            free_a,
            slipping_a,
            held_a,
            held_test_v,
            track_v,
            winding_ohm: winding.0,
            winding_c: winding.1,
            current_meter: meters.0,
            voltage_meter: meters.1,
            ohm_meter: meters.2,
            ..Input::at(test_v)
        },
    )
}

/// The same test with every reading moved inside its meter's bounds, and no meters: what a perfect
/// meter might have shown. `at` picks the place in the bounds, 0 to 1 each.
fn moved(input: &Input, at: &[f64; 7]) -> Input {
    let go = |value: f64, meter: Option<Accuracy>, at: f64| {
        let b = seen(value, meter);
        (b.lo + (b.hi - b.lo) * at).clamp(b.lo, b.hi)
    };
    let (amps, volts) = (input.current_meter, input.voltage_meter);
    Input {
        test_v: go(input.test_v, volts, at[0]),
        free_a: input.free_a.map(|v| go(v, amps, at[1])),
        slipping_a: input.slipping_a.map(|v| go(v, amps, at[2])),
        held_a: input.held_a.map(|v| go(v, amps, at[3])),
        held_test_v: input.held_test_v.map(|v| go(v, volts, at[4])),
        track_v: input.track_v.map(|v| go(v, volts, at[5])),
        winding_ohm: input.winding_ohm.map(|v| go(v, input.ohm_meter, at[6])),
        current_meter: None,
        voltage_meter: None,
        ohm_meter: None,
        ..input.clone()
    }
}

fn values(o: &Output) -> Vec<(String, f64, f64, f64)> {
    o.answer().values.into_iter().map(|v| (v.name, v.lo, v.value, v.hi)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// The bounds hold the value from any readings inside the meters' bounds; corners included.
    #[test]
    fn bounds_hold_every_reading_inside_the_meters(
        input in any_input(),
        at in prop::array::uniform7(prop_oneof![Just(0.0), Just(1.0), 0.0..1.0f64]),
    ) {
        let wide = work_out(&input);
        let narrow = values(&work_out(&moved(&input, &at)));
        for (name, lo, value, hi) in values(&wide) {
            prop_assert!(lo <= value && value <= hi);
            if let Some(other) = narrow.iter().find(|n| n.0 == name) {
                let slack = 1e-12 * other.2.abs().max(1.0);
                prop_assert!(lo - slack <= other.2 && other.2 <= hi + slack, "{name} {other:?}");
            }
        }
    }

    /// Nothing that is taken away makes anything clear, or lifts a danger or caution to clear.
    #[test]
    fn taking_a_reading_away_never_makes_anything_clear(input in any_input(), which in 0..5usize) {
        let mut less = input.clone();
        match which {
            0 => less.free_a = None,
            1 => less.slipping_a = None,
            2 => less.held_a = None,
            3 => less.winding_ohm = None,
            _ => less.track_v = None,
        }
        let (before, after) = (work_out(&input), work_out(&less));
        for (b, a) in [
            (before.mechanism, after.mechanism),
            (before.winding_agrees, after.winding_agrees),
            (before.plausibility, after.plausibility),
        ] {
            prop_assert!(a.aspect != Aspect::Clear || b.aspect == Aspect::Clear, "{b:?} {a:?}");
        }
    }

    /// More friction is never better, as long as the meter can tell the share at all.
    #[test]
    fn a_larger_friction_share_is_never_better(input in any_input(), more in 0.0..1.0f64) {
        let before = work_out(&input);
        let rank = before.mechanism.aspect.rank();
        let (free_a, slipping_a) = (input.free_a, input.slipping_a);
        let more_free = Input { free_a: free_a.map(|v| v + more), ..input.clone() };
        let less_slipping = slipping_a.map(|v| v / (1.0 + more));
        let less_slipping = Input { slipping_a: less_slipping, ..input };
        for after in [work_out(&more_free), work_out(&less_slipping)] {
            if before.friction_share.is_some() && after.friction_share.is_some() {
                prop_assert!(rank <= after.mechanism.aspect.rank());
            }
        }
    }

    /// The free current that the finding names as clear is clear, and a little more is not.
    #[test]
    fn the_current_that_would_clear_a_mechanism_does(input in any_input()) {
        let finding = work_out(&input).mechanism;
        prop_assume!(matches!(finding.aspect, Aspect::Caution | Aspect::Danger));
        let Some(rest) = finding.would_change.strip_prefix("A free current below ") else {
            return Ok(());
        };
        let number = rest.split('\u{a0}').next().and_then(|n| n.parse::<f64>().ok());
        let limit = number.expect("a number");
        let at = |free_a| work_out(&Input { free_a: Some(free_a), ..input.clone() }).mechanism.aspect;
        if limit > 0.0 {
            prop_assert_eq!(at(limit - 1e-6), Aspect::Clear);
        }
        prop_assert!(at(limit + 0.0101) != Aspect::Clear);
    }
}
