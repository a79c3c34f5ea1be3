//! Each way is tried: at the value it gives the row turns, just short of it the row does not.

use super::*;
use crate::calc::budget::{Output, Ratings, run_with_ways};
use proptest::prelude::*;

/// The check motor (common practice, no source) at 16 V, with lamps and sound on a 1 A decoder.
fn check_case() -> Input {
    let motor = load::Input {
        free_a: Some(0.27),
        slipping_a: Some(0.32),
        held_a: Some(0.80),
        track_v: Some(16.0),
        ..load::Input::at(12.0)
    };
    let lamps = PlannedLoad::new("lamps", Kind::Lamp, Some(0.03));
    Input {
        loads: vec![
            PlannedLoad { count: 2, output: Some("white".to_owned()), ..lamps },
            PlannedLoad::new("sound", Kind::Sound, Some(0.15)),
        ],
        decoder: Ratings {
            motor_continuous_a: Some(1.0),
            motor_peak_a: Some(1.5),
            motor_peak_s: Some(2.0),
            total_continuous_a: Some(1.0),
            function_a: Some(0.05),
            ..Ratings::default()
        },
        ..Input::of(motor)
    }
}

/// The row a way is for.
fn row_of(out: &Output, way: &Way) -> Row {
    let nth = (0..out.rows.len()).find(|n| key_of(&out.rows, *n) == way.turns).unwrap();
    out.rows[nth].clone()
}

/// The aspect of the same row elsewhere; `None` where it is gone.
fn aspect_of(out: &Output, row: &Row) -> Option<Aspect> {
    let same = |r: &&Row| (r.rating, r.case, &r.output) == (row.rating, row.case, &row.output);
    out.rows.iter().find(same).map(|r| r.aspect)
}

/// Does a way to an input by its published figures alone, but to another value.
fn done(input: &Input, way: &Way, to: f64) -> Input {
    let mut out = input.clone();
    match way.change {
        Change::LowerVolts if out.load.decoder_output_v.is_some() => {
            out.load.decoder_output_v = Some(to);
        }
        Change::LowerVolts => out.load.track_v = Some(to),
        Change::LoadsOut => out.loads.retain(|l| !way.out.contains(&l.name)),
        Change::LesserLamps => {
            let total = way.turns.starts_with("total");
            let output = row_of(&run(input).unwrap(), way).output;
            for l in &mut out.loads {
                if matches!(l.kind, Kind::Lamp | Kind::Led) && (total || l.output == output) {
                    l.amps_a = l.amps_a.map(|a| a * to / way.from);
                }
            }
        }
        Change::FreerMechanism => {
            out.load.free_a = Some(to);
            out.load.slipping_a = out.load.slipping_a.map(|s| s - (way.from - to));
        }
        Change::HigherRating => {
            let row = row_of(&run(input).unwrap(), way);
            let decoder = &mut out.decoder;
            match row.rating {
                RatingKind::MotorPeak => decoder.motor_peak_a = Some(to),
                RatingKind::MotorContinuous => decoder.motor_continuous_a = Some(to),
                RatingKind::TotalContinuous => decoder.total_continuous_a = Some(to),
                RatingKind::Function => {
                    let output = row.output.clone().unwrap();
                    decoder.outputs.retain(|o| o.output != output);
                    decoder.outputs.push(OutputRating { output, rating_a: to });
                }
            }
        }
    }
    out
}

/// Asserts that every way turns its row, and that a little less of it does not.
fn assert_ways(input: &Input) -> usize {
    let out = run_with_ways(input).unwrap();
    for way in &out.ways {
        let row = row_of(&out, way);
        assert!(matches!(row.aspect, Aspect::Danger | Aspect::Caution), "{way:?}");
        let after = run(&done(input, way, way.to)).unwrap();
        let turned = aspect_of(&after, &row).unwrap_or(Aspect::Clear);
        assert_eq!(turned, Aspect::Clear, "{way:?}");
        assert_eq!(after.aspect, way.aspect_after, "{way:?}");
        if way.change == Change::LoadsOut {
            assert_fewest(input, way, &row);
        } else {
            let short = run(&done(input, way, short_of(way))).unwrap();
            assert_ne!(aspect_of(&short, &row), Some(Aspect::Clear), "{way:?}");
        }
    }
    out.ways.len()
}

/// A millionth short of what a way asks for.
fn short_of(way: &Way) -> f64 {
    let step = (1e-6 * way.to.abs()).min((way.from - way.to).abs());
    way.to + step * (way.from - way.to).signum()
}

/// No load of those left out can stay.
fn assert_fewest(input: &Input, way: &Way, row: &Row) {
    for back in &way.out {
        let rest = way.out.iter().filter(|n| *n != back).cloned().collect();
        let fewer = Way { out: rest, ..way.clone() };
        let after = run(&done(input, &fewer, way.to)).unwrap();
        assert_ne!(aspect_of(&after, row), Some(Aspect::Clear), "{back} can stay: {way:?}");
    }
}

/// By hand: held is 0.80 A × V/12 and stands with 0.21 A of loads against 0.90 A (1.0 A less 10 %):
/// V = 0.69 × 12 / 0.80 = 10.35 V at the motor, 11.75 V on the track.
#[test]
fn the_check_motor_fits_at_eleven_and_three_quarter_volts() {
    let input = check_case();
    assert_eq!(assert_ways(&input), 7);
    let ways = run_with_ways(&input).unwrap().ways;
    let volts = ways
        .iter()
        .find(|w| w.turns == "total_continuous_held" && w.change == Change::LowerVolts)
        .unwrap();
    assert!((volts.to - 11.75).abs() < 1e-6, "{volts:?}");
    assert_eq!(
        volts.sentence.replace('\u{a0}', " "),
        "Lower the track voltage from 16.0 V to 11.7 V or less."
    );
    // 0.9733 A held and 0.21 A of loads need 1.1833 / 0.9 = 1.3148 A of rating
    let rating = ways
        .iter()
        .find(|w| w.turns == "total_continuous_held" && w.change == Change::HigherRating)
        .unwrap();
    assert!((rating.to - 1.314_814_8).abs() < 1e-6, "{rating:?}");
    assert!(rating.sentence.contains("1.32\u{a0}A or more"), "{}", rating.sentence);
    // the held motor alone is above 0.90 A, so no load left out is enough
    assert!(
        !ways.iter().any(|w| w.turns == "total_continuous_held" && w.change == Change::LoadsOut)
    );
    // two lamps of 0.03 A on an output of 0.05 A
    let lamps =
        ways.iter().find(|w| w.turns == "function_1" && w.change == Change::LesserLamps).unwrap();
    assert!((lamps.to - 0.05).abs() < 1e-6, "{lamps:?}");
}

#[test]
fn the_smallest_load_that_is_enough_is_left_out() {
    let mut input = check_case();
    input.load.track_v = Some(13.0); // held 0.7733 A; 0.90 A leaves room for 0.1267 A of 0.21 A
    input.loads.push(PlannedLoad::new("smoke", Kind::Smoke, Some(0.12)));
    input.decoder.total_continuous_a = Some(1.2); // 1.08 A: 0.3067 A of 0.33 A
    let ways = run_with_ways(&input).unwrap().ways;
    let way = ways.iter().find(|w| w.change == Change::LoadsOut && w.turns.starts_with("total"));
    assert_eq!(way.map(|w| w.out.clone()), Some(vec!["lamps".to_owned()]));
    assert_ways(&input);
}

#[test]
fn a_mechanism_is_freed_until_the_slipping_current_fits() {
    let mut input = check_case();
    input.decoder.motor_continuous_a = Some(0.35); // slipping wants 20 %: 0.28 A
    let ways = run_with_ways(&input).unwrap().ways;
    let way = ways
        .iter()
        .find(|w| w.change == Change::FreerMechanism && w.turns == "motor_continuous_slipping");
    // 0.32 A must come down by 0.04 A, and 0.27 A free with it
    assert!((way.unwrap().to - 0.23).abs() < 1e-6, "{way:?}");
}

#[test]
fn what_is_clear_or_not_known_has_no_way() {
    let mut input = check_case();
    input.loads[1].amps_a = None;
    let out = run_with_ways(&input).unwrap();
    assert!(out.ways.iter().all(|w| !w.turns.starts_with("total")), "{:?}", out.ways);
    let bare = Input { loads: vec![], ..check_case() };
    let eased = Input {
        decoder: Ratings {
            motor_continuous_a: Some(5.0),
            motor_peak_a: Some(5.0),
            total_continuous_a: Some(5.0),
            ..Ratings::default()
        },
        ..bare
    };
    assert!(run_with_ways(&eased).unwrap().ways.is_empty());
}

#[test]
fn the_ways_stand_in_the_verdict_too() {
    let out = run_with_ways(&check_case()).unwrap();
    let answer = out.answer();
    assert_eq!(answer.ways, out.ways);
    let worst = &answer.findings[0];
    assert!(worst.would_change.contains("Lower the track voltage"), "{}", worst.would_change);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Any motor, loads and ratings: every way turns its row, a little less of it does not.
    #[test]
    fn every_way_turns_its_row_and_a_little_less_does_not(
        (free, over, held) in (0.02..0.4f64, 0.01..0.4f64, 0.3..2.0f64),
        volts in 9.0..22.0f64,
        loads in prop::collection::vec((0..4usize, 0.005..0.3f64, 1..4u32, 0..3usize), 0..5),
        (motor, peak, total, function) in (0.2..2.0f64, 0.3..3.0f64, 0.2..2.5f64, 0.02..0.4f64),
        slipping_governs in any::<bool>(),
    ) {
        let mut input = check_case();
        input.load.free_a = Some(free);
        input.load.slipping_a = Some(free + over);
        input.load.held_a = Some(held.max(free + over));
        input.load.track_v = Some(volts);
        input.loads = loads
            .into_iter()
            .enumerate()
            .map(|(n, (kind, amps, count, output))| PlannedLoad {
                count,
                output: [None, Some("white".to_owned()), Some("yellow".to_owned())][output].clone(),
                ..PlannedLoad::new(
                    &format!("load {n}"),
                    [Kind::Lamp, Kind::Led, Kind::Sound, Kind::Other][kind],
                    Some(amps),
                )
            })
            .collect();
        input.decoder.motor_continuous_a = Some(motor);
        input.decoder.motor_peak_a = Some(peak);
        input.decoder.total_continuous_a = Some(total);
        input.decoder.function_a = Some(function);
        input.governing = if slipping_governs { Case::Slipping } else { Case::Held };
        assert_ways(&input);
    }
}
