use super::read::Known;
use super::sample::Made;
use super::*;
use crate::aspect::Aspect;
use crate::units::Accuracy;
use proptest::prelude::*;

fn input(text: &str) -> Input {
    Input {
        text: text.to_owned(),
        time_unit: None,
        current_unit: None,
        time_column: None,
        current_column: None,
        sample_s: None,
        skip_bad_lines: false,
        current_meter: None,
        step_a: None,
        least_s: None,
        turn_hz: None,
        speed_mm_s: None,
        wheel_mm: None,
        swing_clear_below: None,
        swing_danger_above: None,
        columns: None,
    }
}

const RUN: Made<'_> = Made {
    rate_hz: 50.0,
    stretches: &[(2.0, 0.0), (20.0, 0.27), (5.0, 0.32), (1.5, 0.80), (4.0, 0.0)],
    swing: 0.0,
    swing_hz: 2.3,
    noise_a: 0.004,
    seed: 7,
};

fn near(got: f64, want: f64, within: f64) -> bool {
    (got - want).abs() <= within
}

/// `count` readings of 0.25 A, 10 a second, written by `line`.
fn log(count: usize, line: impl Fn(usize, f64) -> String) -> String {
    (0..count).map(|i| line(i, real(i) / 10.0) + "\n").collect()
}

fn read_of(text: &str) -> Trace {
    read::read(text, &Known::default()).unwrap()
}

#[test]
fn logs_are_read_as_loggers_write_them() {
    let cases = [
        log(20, |_, t| format!("{t},0.25")),
        log(20, |_, t| format!("{t};0,25").replace('.', ",")),
        log(20, |_, t| format!("{t}\t0.25")),
        log(20, |_, t| format!("{t} 0.25")),
        log(20, |_, t| format!("{t}  0,25").replace('.', ",")),
        log(20, |_, t| format!(" {t} , 0.25 ,")),
        "time (ms);current [mA]\n".to_owned() + &log(20, |_, t| format!("{};250", t * 1000.0)),
        "Time_ms\tI_mA\n".to_owned() + &log(20, |_, t| format!("{}\t250", t * 1000.0)),
        "\u{feff}sep=;\r\nt;I\r\ns;mA\r\n".to_owned()
            + &log(20, |_, t| format!("{t};250,0")).replace('\n', "\r\n"),
        "\"t/min\",\"I/A\"\n".to_owned() + &log(20, |_, t| format!("{},0.25", t / 60.0)),
        "# bench\n\nI [µA];n;t [µs]\n".to_owned()
            + &log(20, |i, t| format!("250000;{i};{:.0}", t * 1e6)),
        "time,current_A\n".to_owned()
            + &log(20, |_, t| format!("2026-03-01T10:02:{:04.1}Z,0.25", 50.0 + t)),
        log(20, |_, t| format!("{t},2.5e-1")).replace('\n', "\r"),
    ];
    for text in cases {
        let trace = read_of(&text);
        assert_eq!(trace.amps.len(), 20, "{text}");
        assert!(trace.amps.iter().all(|a| near(*a, 0.25, 1e-12)), "{text}");
        let even = (0..20).zip(&trace.time_s).all(|(i, t)| near(*t, real(i) / 10.0, 1e-9));
        assert!(even, "{text}: {:?}", trace.time_s);
    }
}

#[test]
fn a_unit_that_is_not_given_is_said_to_be_assumed() {
    let bare = log(40, |_, t| format!("{t},0.25"));
    assert!(read_of(&bare).unit_assumed);
    let out = run(&input(&bare)).unwrap();
    assert!(
        out.findings.iter().any(|f| f.sentence.contains("current is taken as A and time as s"))
    );
    let named = "time_s,current_A\n".to_owned() + &bare;
    assert!(!read_of(&named).unit_assumed);
    let given = Known {
        time_unit: Some(TimeUnit::S),
        current_unit: Some(CurrentUnit::Ma),
        ..Known::default()
    };
    let trace = read::read(&bare, &given).unwrap();
    assert!(!trace.unit_assumed && near(trace.amps[0], 0.000_25, 1e-12));
}

#[test]
fn columns_can_be_given_and_the_time_left_out() {
    let wide = log(20, |i, t| format!("{i},{t},12.0,0.25"));
    let known = Known { time_column: Some(2), current_column: Some(4), ..Known::default() };
    assert!(near(read::read(&wide, &known).unwrap().time_s[19], 1.9, 1e-12));
    assert!(read::read(&wide, &Known::default()).is_err(), "four columns and no header");
    let single = log(20, |_, _| "0,25".to_owned());
    let known = Known { sample_s: Some(0.1), ..Known::default() };
    let trace = read::read(&single, &known).unwrap();
    assert!(near(trace.time_s[19], 1.9, 1e-12) && near(trace.amps[3], 0.25, 1e-12));
}

#[test]
fn a_bad_line_is_named_by_number_with_what_was_wrong() {
    let good = |_: usize, t: f64| format!("{t};0.25");
    let broken = |at: usize, line: &str| {
        let text = log(300, |i, t| if i == at { line.to_owned() } else { good(i, t) });
        input(&("time_s;current_A\n".to_owned() + &text))
    };
    for (line, wanted) in [
        ("4.0;abc", "a current in A, such as 0.35"),
        ("4.0", "2 columns parted by semicolon"),
        ("4.0;0.25;9", "2 columns parted by semicolon"),
        ("x;0.25", "a time in s, such as 12.5, or a clock such as 10:02:31.5"),
        ("3.9;0.25", "a time after that of the line before, 3.9 s"),
        ("4.0;OL", "a reading; the meter was over its range"),
        ("4.0;250", "at most 50 A; if the column is in mA, say so"),
        ("4.0;inf", "a current in A, such as 0.35"),
        ("4.0;1.234,5", "a current in A, such as 0.35"),
    ] {
        let refused = run(&broken(40, line)).unwrap_err();
        assert_eq!(refused.len(), 1, "{refused:?}");
        assert_eq!(refused[0].given, format!("line 42: {line}"));
        assert_eq!(refused[0].allowed, wanted);
    }
    let mut lenient = broken(40, "4.0;abc");
    lenient.skip_bad_lines = true;
    let out = run(&lenient).unwrap();
    assert_eq!((out.samples, out.skipped[0].line), (299, 42));
    assert!(out.findings.iter().any(|f| f.sentence.contains("the first is line 42")));
}

#[test]
fn many_bad_lines_are_counted_and_too_many_cannot_be_skipped() {
    let text = log(300, |i, t| if i % 10 == 3 { "?".to_owned() } else { format!("{t};0.25") });
    let mut asked = input(&text);
    asked.skip_bad_lines = true;
    let refused = run(&asked).unwrap_err();
    assert_eq!(refused.len(), 21);
    assert_eq!(refused[20].given, "30 bad lines");
}

#[test]
fn limits_of_the_text_hold() {
    for text in ["", "   \n", "time;current\n", "1;2\n2;3\n"] {
        assert_eq!(run(&input(text)).unwrap_err()[0].field, "text", "{text:?}");
    }
    let long = log(read::MOST_SAMPLES + 10, |_, t| format!("{t};0"));
    assert!(run(&input(&long)).unwrap_err()[0].given.ends_with("lines"));
    let part = Input { speed_mm_s: Some(100.0), ..input(&RUN.text()) };
    assert_eq!(run(&part).unwrap_err()[0].field, "speed_mm_s");
}

#[test]
fn the_plateaus_of_a_bench_run_are_found() {
    let mut asked = input(&RUN.text());
    asked.step_a = Some(0.03);
    asked.least_s = Some(1.0);
    let out = run(&asked).unwrap();
    let wanted = [(0.0, 0.0), (2.0, 0.27), (22.0, 0.32), (27.0, 0.80), (28.5, 0.0)];
    assert_eq!(out.found, wanted.len(), "{:?}", out.plateaus);
    for (plateau, (from_s, mean_a)) in out.plateaus.iter().zip(wanted) {
        assert!(near(plateau.from_s, from_s, 0.021), "{plateau:?}");
        assert!(near(plateau.mean_a.value, mean_a, 0.002), "{plateau:?}");
        assert!(near(plateau.ripple_a, 3.29 * 0.004, 0.003), "3.29 sigma: {plateau:?}");
        assert!(plateau.peak_a >= plateau.mean_a.value);
    }
}

#[test]
fn spikes_are_peaks_and_no_plateaus() {
    let mut text = RUN.text().lines().map(str::to_owned).collect::<Vec<_>>();
    text[501] = "10.000000;3.2".to_owned();
    let asked = Input { step_a: Some(0.03), least_s: Some(1.0), ..input(&text.join("\n")) };
    let out = run(&asked).unwrap();
    assert_eq!(out.found, 5);
    assert!(near(out.plateaus[1].peak_a, 3.2, 1e-12));
    assert!(near(out.plateaus[1].mean_a.value, 0.27, 0.005));
}

#[test]
fn a_bind_once_per_wheel_turn_is_found_with_its_strength() {
    let made = Made { swing: 0.36, ..RUN };
    let asked =
        Input { turn_hz: Some(2.3), step_a: Some(0.04), least_s: Some(1.0), ..input(&made.text()) };
    let out = run(&asked).unwrap();
    let swing = out.plateaus[1].once_per_turn.unwrap();
    assert!(near(swing.hz, 2.3, 0.005) && near(swing.of_mean, 0.36, 0.01), "{swing:?}");
    let answer = out.answer();
    assert_eq!(answer.aspect, Aspect::Danger);
    assert!(answer.sentence.contains("once per wheel turn"), "{}", answer.sentence);
}

#[test]
fn a_swing_that_is_not_the_wheel_is_told_by_its_ratio() {
    let made = Made { swing: 0.2, swing_hz: 4.6, ..RUN };
    let asked = Input { turn_hz: Some(2.3), step_a: Some(0.04), ..input(&made.text()) };
    let answer = run(&asked).unwrap().answer();
    assert_eq!(answer.aspect, Aspect::Caution);
    assert!(answer.sentence.ends_with("2.00 to a wheel turn."), "{}", answer.sentence);
}

#[test]
fn no_swing_is_clear_only_where_the_turn_is_known_and_could_be_seen() {
    let with = |turn_hz| {
        run(&Input { turn_hz, step_a: Some(0.03), ..input(&RUN.text()) }).unwrap().answer().aspect
    };
    assert_eq!(with(Some(2.3)), Aspect::Clear);
    assert_eq!(with(None), Aspect::Unlit);
    assert_eq!(with(Some(40.0)), Aspect::Unlit, "above what 50 readings a second can show");
    assert_eq!(with(Some(0.05)), Aspect::Unlit, "one turn in the whole stretch");
    let by_speed = Input {
        speed_mm_s: Some(80.0),
        wheel_mm: Some(11.0),
        step_a: Some(0.03),
        ..input(&RUN.text())
    };
    let out = run(&by_speed).unwrap();
    assert!(near(out.turn_hz.unwrap(), 80.0 / (std::f64::consts::PI * 11.0), 1e-12));
}

#[test]
fn a_log_of_nothing_and_a_short_one_are_unlit() {
    let still = log(200, |_, t| format!("{t};0.0"));
    assert_eq!(run(&input(&still)).unwrap().answer().aspect, Aspect::Unlit);
    let short = log(20, |_, t| format!("{t};0.3"));
    assert_eq!(
        run(&Input { turn_hz: Some(2.0), ..input(&short) }).unwrap().answer().aspect,
        Aspect::Unlit
    );
}

#[test]
fn uneven_times_are_put_on_an_even_grid() {
    let made = Made { swing: 0.3, noise_a: 0.0, stretches: &[(20.0, 0.3)], ..RUN };
    let readings = made.readings();
    let kept: Vec<String> = (0..readings.len())
        .filter(|i| i % 3 != 1)
        .map(|i| format!("{},{}", readings[i].0, readings[i].1))
        .collect();
    let text = kept.join("\n");
    let asked = Input { turn_hz: Some(2.3), step_a: Some(0.2), ..input(&text) };
    let swing = run(&asked).unwrap().plateaus[0].once_per_turn.unwrap();
    assert!(near(swing.hz, 2.3, 0.01) && near(swing.of_mean, 0.3, 0.02), "{swing:?}");
}

#[test]
fn a_gap_in_the_log_is_told() {
    let text = log(200, |i, t| format!("{};0.3", if i < 100 { t } else { t + 4.0 }));
    let out = run(&input(&text)).unwrap();
    assert!(out.findings.iter().any(|f| f.sentence.contains("are missing from the log")));
}

#[test]
fn a_hundred_thousand_samples_are_worked_out_whole() {
    let made = Made { rate_hz: 1000.0, stretches: &[(60.0, 0.3), (40.0, 0.5)], swing: 0.2, ..RUN };
    let out = run(&Input { turn_hz: Some(2.3), step_a: Some(0.1), ..input(&made.text()) }).unwrap();
    assert_eq!((out.samples, out.found, out.envelope.len()), (100_000, 2, 600));
    assert!(near(out.plateaus[0].once_per_turn.unwrap().hz, 2.3, 0.001));
}

#[test]
fn the_example_shows_a_bind() {
    let answer = (CALCULATION.run)(CALCULATION.example).unwrap();
    assert!(matches!(answer.aspect, Aspect::Caution | Aspect::Danger), "{}", answer.sentence);
    assert!(answer.sentence.contains("once per wheel turn"), "{}", answer.sentence);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// The envelope loses neither the highest nor the lowest reading and covers every sample.
    #[test]
    fn the_envelope_keeps_every_extreme(amps in prop::collection::vec(-1.0..2.0f64, 16..400), columns in 1..60usize) {
        let time: Vec<f64> = (0..amps.len()).map(|i| real(i) * 0.1).collect();
        let cut = envelope::envelope(&time, &amps, columns);
        let most = |v: &[f64]| v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let lows: Vec<f64> = cut.iter().map(|c| -c.lo_a).collect();
        let highs: Vec<f64> = cut.iter().map(|c| c.hi_a).collect();
        prop_assert!(near(most(&highs), most(&amps), 0.0));
        prop_assert!(near(most(&lows), most(&amps.iter().map(|a| -a).collect::<Vec<_>>()), 0.0));
        prop_assert!(cut.len() <= columns);
        for (t, a) in time.iter().zip(&amps) {
            prop_assert!(cut.iter().any(|c| c.from_s <= t + 1e-9 && *t <= c.to_s + 1e-9 && c.lo_a <= *a && *a <= c.hi_a));
        }
    }

    /// Plateaus cover the log without hole or overlap, and a true mean within the meter stays inside.
    #[test]
    fn plateaus_cover_the_log_and_bounds_contain(
        amps in prop::collection::vec(0.0..1.0f64, 16..300), percent in 0.0..5.0f64, off in -1.0..1.0f64,
    ) {
        let meter = Accuracy { percent, digits: 1.0, resolution: 0.001 };
        let text = log(amps.len(), |i, t| format!("{t};{}", amps[i]));
        let out = run(&Input { current_meter: Some(meter), ..input(&text) }).unwrap();
        prop_assert_eq!(out.plateaus.iter().map(|p| p.samples).sum::<usize>(), amps.len());
        prop_assert!(out.plateaus.windows(2).all(|w| w[0].to_s <= w[1].from_s + 1e-9));
        for p in &out.plateaus {
            let real = p.mean_a.value + off * meter.spread(p.mean_a.value);
            prop_assert!(p.mean_a.interval().contains(real));
        }
    }

    /// A higher limit for the swing never makes the aspect worse.
    #[test]
    fn a_raised_limit_never_worsens(swing in 0.0..1.0f64, limit in 0.02..1.0f64, by in 1.0..4.0f64, knows in any::<bool>()) {
        let made = Made { swing, stretches: &[(10.0, 0.3)], ..RUN };
        let text = made.text();
        let with = |by: f64| {
            let asked = Input {
                turn_hz: knows.then_some(2.3), swing_clear_below: Some(limit * by),
                swing_danger_above: Some(limit * 1.2 * by), step_a: Some(0.5), ..input(&text)
            };
            run(&asked).unwrap().answer().aspect
        };
        let (before, after) = (with(1.0), with(by));
        prop_assert!(after.rank() <= before.rank() || (!knows && after == Aspect::Unlit));
    }

    /// No text makes it fall over.
    #[test]
    fn any_text_is_read_or_refused(text in "[0-9.,;\t\n\r a-zA:µ−+-]{0,400}") {
        if let Err(refused) = run(&input(&text)) {
            prop_assert!(!refused.is_empty() && refused.iter().all(|r| !r.given.is_empty()));
        }
    }
}
