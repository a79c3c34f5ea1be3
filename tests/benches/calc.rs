//! How the calculations grow with their input, as ratios that hold on any machine.
//!
//! Run: `cargo bench --bench calc`. One line for each size: the time, and how many times longer it
//! takes than the size before. Ends with 1 where 100 000 samples take more than half a second, or
//! where something grows much faster than it should.

use std::hint::black_box;
use std::io::Write as _;
use std::process::ExitCode;
use std::time::{Duration, Instant};
use undershell::calc::trace::sample::Made;
use undershell::calc::{budget, gap, trace};

fn say(line: &str) {
    // nobody reads on when the output is closed
    let _ = writeln!(std::io::stdout(), "{line}");
}

/// Runs of each size; the fastest counts, so that a busy machine disturbs little.
const RUNS: u32 = 5;
/// Longest that 100 000 samples may take.
const MOST: Duration = Duration::from_millis(500);

fn fastest(mut work: impl FnMut()) -> Duration {
    let once = |work: &mut dyn FnMut()| {
        let started = Instant::now();
        work();
        started.elapsed()
    };
    (0..RUNS).map(|_| once(&mut work)).min().unwrap_or_default()
}

/// One calculation at several sizes; `most`: how much more than in proportion it may grow.
fn series<T>(
    name: &str,
    most: f64,
    inputs: &[(u32, T)],
    work: impl Fn(&T),
) -> (bool, Vec<Duration>) {
    say(name);
    let mut good = true;
    let mut before: Option<(u32, Duration)> = None;
    let mut times = Vec::new();
    for (size, input) in inputs {
        let took = fastest(|| work(input));
        let grown = before.map(|(smaller, time)| {
            (took.as_secs_f64() / time.as_secs_f64(), f64::from(*size) / f64::from(smaller))
        });
        let ratio = grown.map_or(String::new(), |(t, n)| format!("{t:.2} times for {n:.2} times"));
        say(&format!("  {size:>7}  {:>9.3} ms  {ratio}", took.as_secs_f64() * 1000.0));
        if grown.is_some_and(|(t, n)| t > n * most) {
            say("  grows too fast");
            good = false;
        }
        before = Some((*size, took));
        times.push(took);
    }
    (good, times)
}

/// A log of so many samples at 1 kHz: still, running with a swing, held.
fn log(samples: u32) -> serde_json::Result<trace::Input> {
    let length_s = f64::from(samples) / 1000.0;
    let stretches = [(0.1 * length_s, 0.0), (0.5 * length_s, 0.27), (0.4 * length_s, 0.80)];
    let made = Made {
        rate_hz: 1000.0,
        stretches: &stretches,
        swing: 0.2,
        swing_hz: 2.3,
        noise_a: 0.005,
        seed: 1,
    };
    let input = serde_json::json!({ "text": made.text(), "turn_hz": 2.3 });
    serde_json::from_value(input)
}

/// Sixteen wheels over so many dead lengths.
fn route(stretches: u32) -> serde_json::Result<gap::Input> {
    let wheels: Vec<_> = (0..16)
        .map(|i| {
            let rail = if i % 2 == 0 { "left" } else { "right" };
            serde_json::json!({ "position_mm": 7 * (i / 2), "rail": rail, "works": i % 5 != 0 })
        })
        .collect();
    let sequence: Vec<_> = (0..stretches)
        .map(|i| {
            let rail = ["left", "right", "both"][i as usize % 3];
            serde_json::json!({ "length_mm": 20 + i % 7, "rail": rail, "live_after_mm": 60 })
        })
        .collect();
    let input = serde_json::json!({ "wheels": wheels, "sequence": sequence });
    serde_json::from_value(input)
}

/// A motor and so many lamps that do not fit.
fn loads(count: u32) -> serde_json::Result<budget::Input> {
    let loads: Vec<_> = (0..count)
        .map(|i| {
            serde_json::json!({
                "name": format!("lamp {i}"), "kind": "lamp", "amps_a": 0.03,
                "output": format!("output {}", i % 8)
            })
        })
        .collect();
    let input = serde_json::json!({
        "load": { "test_v": 12, "free_a": 0.27, "slipping_a": 0.32, "held_a": 0.8, "track_v": 16 },
        "loads": loads,
        "decoder": {
            "motor_continuous_a": 1.0, "motor_peak_a": 1.5, "total_continuous_a": 1.0, "function_a": 0.1
        }
    });
    serde_json::from_value(input)
}

/// The inputs of every size.
fn inputs<T>(
    sizes: &[u32],
    make: impl Fn(u32) -> serde_json::Result<T>,
) -> serde_json::Result<Vec<(u32, T)>> {
    sizes.iter().map(|n| Ok((*n, make(*n)?))).collect()
}

fn main() -> serde_json::Result<ExitCode> {
    let logs = inputs(&[10_000, 100_000, 200_000], log)?;
    let (trace_good, times) = series("trace, samples", 4.0, &logs, |input| {
        black_box(trace::run(input).ok().map(|o| o.answer()));
    });
    let routes = inputs(&[50, 200, 500], route)?;
    let (gap_good, _) = series("gap, dead lengths", 3.0, &routes, |input| {
        black_box(gap::run(input).ok().map(|o| o.answer()));
    });
    let lamps = inputs(&[5, 20, 80], loads)?;
    let (budget_good, _) = series("budget, loads", 4.0, &lamps, |input| {
        black_box(budget::run(input).ok().map(|o| o.answer()));
    });
    let (ways_good, _) = series("budget with ways, loads", 6.0, &lamps, |input| {
        black_box(budget::run_with_ways(input).ok().map(|o| o.answer()));
    });
    let slow = times.get(1).is_some_and(|t| *t > MOST);
    if slow {
        say(&format!("100 000 samples take more than {} ms", MOST.as_millis()));
    }
    let good = trace_good && gap_good && budget_good && ways_good && !slow;
    Ok(if good { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
