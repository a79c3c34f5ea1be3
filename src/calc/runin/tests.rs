use super::*;
use proptest::prelude::*;

const METER: Accuracy = Accuracy { percent: 1.0, digits: 0.0, resolution: 0.001 };

fn input(before: &[f64], after: &[f64]) -> Input {
    let side = |free: &[f64]| Run {
        test_v: 12.0,
        free_a: free.to_vec(),
        slipping_a: Vec::new(),
        start_v: Vec::new(),
    };
    Input {
        before: side(before),
        after: side(after),
        current_meter: Some(METER),
        voltage_meter: None,
        same_meter: None,
    }
}

fn change(input: &Input) -> Change {
    run(input).unwrap().changes[0]
}

/// Worked by hand: s = 0.01 A on both sides, n = 3: √(2·0.0001/3) = 0.008165 A, 4 degrees of freedom,
/// t = 2.776 (printed table): ± 0.02267 A.
#[test]
fn the_scatter_of_the_worked_example() {
    let c = change(&input(&[0.30, 0.32, 0.31], &[0.26, 0.27, 0.25]));
    assert!((c.change.value + 0.05).abs() < 1e-12);
    assert!((c.scatter.unwrap() - 0.02267).abs() < 1e-5);
    assert!((c.meter.unwrap() - 0.0057).abs() < 1e-12, "1 % of 0.31 and of 0.26");
    assert_eq!(c.verdict, Verdict::Improved);
}

/// Unequal counts and scatters, worked by hand: variances of the means 0.0002/2 and 0.00001/5, Welch's
/// 1.04 degrees of freedom: nearer to the table's 12.706 at 1 than to 4.303 at 2.
#[test]
fn few_readings_on_one_side_weigh_on_the_interval() {
    let c = change(&input(&[0.30, 0.32], &[0.26, 0.262, 0.264, 0.258, 0.256]));
    let error = (0.0002_f64 / 2.0 + 0.000_01 / 5.0).sqrt();
    let factor = c.scatter.unwrap() / error;
    assert!(factor > 11.0 && factor < 12.706, "{factor}");
}

#[test]
fn a_change_within_meter_and_scatter_is_not_told_apart() {
    let within = input(&[0.30, 0.32, 0.31], &[0.30, 0.31, 0.29]);
    assert_eq!(change(&within).verdict, Verdict::NotToldApart);
    assert_eq!(run(&within).unwrap().answer().aspect, Aspect::Unlit);
    let risen = input(&[0.26, 0.27, 0.25], &[0.30, 0.32, 0.31]);
    assert_eq!(run(&risen).unwrap().answer().aspect, Aspect::Caution);
}

#[test]
fn one_meter_for_both_tells_smaller_changes() {
    let mut one = input(&[0.300, 0.300], &[0.296, 0.296]);
    assert_eq!(change(&one).verdict, Verdict::NotToldApart);
    one.same_meter = Some(true);
    assert_eq!(change(&one).verdict, Verdict::Improved);
}

#[test]
fn whatever_is_not_known_is_unlit() {
    let fine = input(&[0.30, 0.30], &[0.20, 0.20]);
    let aspect = |i: &Input| run(i).unwrap().answer().aspect;
    assert_eq!(aspect(&fine), Aspect::Clear);
    let no_meter = Input { current_meter: None, ..fine.clone() };
    let single = input(&[0.30], &[0.20, 0.20]);
    let missing = input(&[0.30, 0.30], &[]);
    let mut other_voltage = fine;
    other_voltage.after.test_v = 9.0;
    for unknown in [no_meter, single, missing, other_voltage] {
        assert_eq!(aspect(&unknown), Aspect::Unlit, "{unknown:?}");
    }
}

#[test]
fn nothing_read_is_refused_and_the_example_runs() {
    assert_eq!(run(&input(&[], &[])).unwrap_err()[0].field, "before.free_a");
    assert_eq!(run(&input(&[-0.1], &[0.1])).unwrap_err()[0].field, "before.free_a.0");
    let answer = (CALCULATION.run)(CALCULATION.example).unwrap();
    assert!(answer.findings.iter().any(|f| f.aspect == Aspect::Clear));
}

proptest! {
    /// With no scatter, any true currents within the meter's accuracy differ by something inside the
    /// bounds.
    #[test]
    fn bounds_contain_what_can_be(
        before in 0.05..1.0f64, after in 0.05..1.0f64, percent in 0.0..5.0f64, same in any::<bool>(),
        off in prop::array::uniform4(-1.0..1.0f64),
    ) {
        let meter = Accuracy { percent, digits: 2.0, resolution: 0.01 };
        let mut asked = input(&[before; 2], &[after; 2]);
        asked.current_meter = Some(meter);
        asked.same_meter = Some(same);
        let gain = |i: usize| 1.0 + percent / 100.0 * off[if same { 0 } else { i }];
        let step = 0.02;
        let real = (after * gain(1) + off[2] * step) - (before * gain(0) + off[3] * step);
        let c = change(&asked);
        prop_assert!(c.change.lo - 1e-12 <= real && real <= c.change.hi + 1e-12);
    }

    /// A better meter never takes a verdict away.
    #[test]
    fn a_better_meter_never_tells_less(
        before in prop::collection::vec(0.1..0.5f64, 2..6), after in prop::collection::vec(0.1..0.5f64, 2..6),
        percent in 0.0..5.0f64, by in 0.0..1.0f64,
    ) {
        let told = |percent| {
            let mut asked = input(&before, &after);
            asked.current_meter = Some(Accuracy { percent, ..METER });
            change(&asked).verdict
        };
        let (coarse, fine) = (told(percent), told(percent * by));
        prop_assert!(coarse == Verdict::NotToldApart || coarse == fine);
    }
}
