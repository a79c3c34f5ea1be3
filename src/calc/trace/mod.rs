//! Trace: a logged current over time, cut into plateaus and searched for a regular swing.
//!
//! Answers: what does the mechanism draw on each steady stretch, and does the current swing once per
//! wheel turn (a bind, rods out of quarter).
//!
//! - inputs: the text of a log, two columns of time and current, 16 to 200 000 lines; how often the
//!   wheel turns, in Hz or from speed and wheel diameter;
//! - formula: steps by two windows of means ([`plateaus`]); swing by a Hann-windowed spectrum
//!   ([`spectrum`]);
//! - comes back: plateaus with mean, peak, ripple and length, swings with frequency and strength, an
//!   envelope for drawing, findings;
//! - errors: bad lines by number, fields outside their range by name;
//! - source: usual signal analysis; the limits of the swing are judgement, no source.

mod columns;
pub mod envelope;
mod input;
mod judge;
pub mod plateaus;
mod plots;
pub mod read;
pub mod sample;
pub mod spectrum;

use crate::aspect::Finding;
use crate::calc::read::read as json_input;
use crate::calc::registry::{Calculation, schema};
use crate::calc::{Answer, Bounded, Refusals, Value};
use crate::units::Interval;
use envelope::Column;
pub use input::Input;
use read::{BadLine, CurrentUnit, TimeUnit, Trace};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use spectrum::{Spectrum, Swing};
use std::ops::Range;

/// Greatest frequency searched when nothing else is said, Hz: above it lie commutator and mains.
pub const MOST_HZ: f64 = 20.0;
/// Plateaus told one by one.
pub const MOST_PLATEAUS: usize = 40;
/// Columns of the envelope when none are asked for.
pub const COLUMNS: u32 = 600;
/// Columns of the spectrum's drawing.
const SPECTRUM_COLUMNS: usize = 160;
/// Below this mean, A, a stretch counts as standing still.
pub const STILL_A: f64 = 0.01;
/// Least step when none is given: this share of the whole range, and not below [`LEAST_STEP_A`].
const STEP_SHARE: f64 = 0.05;
/// Least step when none is given, A.
const LEAST_STEP_A: f64 = 0.02;
/// Formula of the plateaus.
const FORMULA: &str = "step where the means of two neighbouring windows differ by the least step \
    and six times their noise; ripple from the 5 % to the 95 % point";
/// Formula of the swing.
const SWING_FORMULA: &str =
    "highest peak of the spectrum, straight trend taken off, Hann window; swing = 4·|X| / Σw";
/// Source of both.
const SOURCE: &str = "usual signal analysis; limits are judgement, no source";

/// A stretch of steady current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Plateau {
    /// Begin, s from the first sample.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
    /// Samples in it.
    pub samples: usize,
    /// Mean current, A; its bounds are those of the meter.
    pub mean_a: Bounded,
    /// Highest sample, A.
    pub peak_a: f64,
    /// Lowest sample, A.
    pub least_a: f64,
    /// From the 5 % to the 95 % point, A.
    pub ripple_a: f64,
    /// Band that could be searched for a swing, Hz; `None` where the stretch is too short.
    pub searched_hz: Option<Interval>,
    /// Strongest swing in the band.
    pub strongest: Option<Swing>,
    /// Swing at the wheel's turn; `None` where the turn is not known or outside the band.
    pub once_per_turn: Option<Swing>,
}

impl Plateau {
    /// Length, s.
    pub fn duration_s(&self) -> f64 {
        self.to_s - self.from_s
    }
}

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Samples read.
    pub samples: usize,
    /// Length of the log, s.
    pub duration_s: f64,
    /// Usual time between two samples (the median), s.
    pub interval_s: f64,
    /// Longest time between two samples, s, and where it begins, s.
    pub longest_gap_s: (f64, f64),
    /// Noise from sample to sample, A.
    pub noise_a: f64,
    /// Least step used, A.
    pub step_a: f64,
    /// Shortest plateau used, s.
    pub least_s: f64,
    /// How often the wheel turns, Hz, where known.
    pub turn_hz: Option<f64>,
    /// Unit the time was read in.
    pub time_unit: TimeUnit,
    /// Unit the current was read in.
    pub current_unit: CurrentUnit,
    /// Whether a unit was neither in the header nor given.
    pub unit_assumed: bool,
    /// Lines left out.
    pub skipped: Vec<BadLine>,
    /// How many plateaus were found; at most 40 of them are told.
    pub found: usize,
    /// The plateaus, in time order.
    pub plateaus: Vec<Plateau>,
    /// The trace cut down for drawing.
    pub envelope: Vec<Column>,
    /// Swing by frequency on the running stretch, Hz and A from lowest to highest, cut down for
    /// drawing; empty where no stretch can be searched.
    pub spectrum: Vec<[f64; 2]>,
    /// Verdicts.
    pub findings: Vec<Finding>,
}

/// Turns of a wheel per second: `f = v/(π·d)`, speed in mm/s and diameter in mm, both above 0.
pub fn wheel_turns_hz(speed_mm_s: f64, wheel_mm: f64) -> f64 {
    speed_mm_s / (std::f64::consts::PI * wheel_mm)
}

/// Works a trace out. The work grows as n·log n with the samples.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = input::refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let trace = read::read(&input.text, &input.known())?;
    let mut out = measure(input, trace);
    out.findings = judge::findings(input, &out);
    Ok(out)
}

/// Everything but the verdicts.
fn measure(input: &Input, trace: Trace) -> Output {
    let gaps: Vec<f64> = trace.time_s.windows(2).map(|w| w[1] - w[0]).collect();
    let interval_s = plateaus::quantile(&gaps, 0.5);
    let longest = gaps
        .iter()
        .zip(&trace.time_s)
        .fold((0.0, 0.0), |most, (gap, at)| if *gap > most.0 { (*gap, *at) } else { most });
    let duration_s = trace.time_s.last().copied().unwrap_or(0.0);
    let turn_hz =
        input.turn_hz.or_else(|| Some(wheel_turns_hz(input.speed_mm_s?, input.wheel_mm?)));
    let range = plateaus::quantile(&trace.amps, 0.99) - plateaus::quantile(&trace.amps, 0.01);
    let step_a = input.step_a.unwrap_or((STEP_SHARE * range).max(LEAST_STEP_A));
    let usual = (duration_s / 20.0).clamp(0.2, 1.0);
    // Over whole turns the mean of a swing is nothing, so it makes no steps.
    let whole = turn_hz.map_or(usual, |hz| (usual * hz).floor().max(1.0) / hz);
    let least_s = input.least_s.unwrap_or(whole.min(duration_s / 4.0));
    let window = count_of(least_s / interval_s).max(5);
    let ranges = plateaus::find(&trace.amps, plateaus::Rule { step_a, window });
    let told = ranges.iter().take(MOST_PLATEAUS);
    let of = Of { input, trace: &trace, interval_s, window, turn_hz };
    let plateaus: Vec<Plateau> = told.map(|range| plateau(&of, range)).collect();
    let spectrum = judge::running(&plateaus)
        .and_then(|(nth, _)| spectrum(&of, ranges.get(nth)?))
        .map(|s| s.curve(most_hz(turn_hz), SPECTRUM_COLUMNS))
        .unwrap_or_default();
    let columns = usize::try_from(input.columns.unwrap_or(COLUMNS)).unwrap_or(usize::MAX);
    Output {
        samples: trace.amps.len(),
        duration_s,
        interval_s,
        longest_gap_s: longest,
        noise_a: plateaus::noise_a(&trace.amps),
        step_a,
        least_s,
        turn_hz,
        time_unit: trace.time_unit,
        current_unit: trace.current_unit,
        unit_assumed: trace.unit_assumed,
        found: ranges.len(),
        plateaus,
        spectrum,
        envelope: envelope::envelope(&trace.time_s, &trace.amps, columns),
        skipped: trace.skipped,
        findings: Vec::new(),
    }
}

/// What every plateau of a trace is measured with.
struct Of<'a> {
    input: &'a Input,
    trace: &'a Trace,
    interval_s: f64,
    window: usize,
    turn_hz: Option<f64>,
}

/// A plateau without what lies next to a step.
fn calm(of: &Of<'_>, range: &Range<usize>) -> Range<usize> {
    let guard = (range.len() / 10).min(of.window / 4);
    let whole = of.trace.amps.len();
    let start = if range.start == 0 { 0 } else { range.start + guard };
    start..if range.end == whole { range.end } else { range.end - guard }
}

/// The spectrum of a plateau; `None` where it is too short.
fn spectrum(of: &Of<'_>, range: &Range<usize>) -> Option<Spectrum> {
    let calm = calm(of, range);
    let (time, amps) = (&of.trace.time_s[calm.clone()], &of.trace.amps[calm]);
    Spectrum::of(&even(time, amps, of.interval_s), of.interval_s)
}

/// Greatest frequency searched, Hz.
fn most_hz(turn_hz: Option<f64>) -> f64 {
    turn_hz.map_or(MOST_HZ, |turn| MOST_HZ.max(2.5 * turn))
}

/// Measures one plateau. Next to a step a tenth of it (at most a quarter of the window) is left out
/// of mean, ripple and spectrum; the peak counts every sample.
fn plateau(of: &Of<'_>, range: &Range<usize>) -> Plateau {
    let (time, amps) = (&of.trace.time_s, &of.trace.amps);
    let calm = &amps[calm(of, range)];
    let mean = calm.iter().sum::<f64>() / real(calm.len().max(1));
    let bounds = of.input.current_meter.map_or(Interval::exact(mean), |a| a.bounds(mean));
    let whole = &amps[range.clone()];
    let spectrum = spectrum(of, range);
    let high = most_hz(of.turn_hz);
    let searched_hz = spectrum
        .as_ref()
        .map(|s| (s.least_hz(), s.most_hz().min(high)))
        .filter(|(low, high)| low < high)
        .map(|(low, high)| Interval { lo: low, hi: high });
    let strongest = spectrum.as_ref().and_then(|s| s.strongest(0.0, high));
    let once_per_turn = spectrum.as_ref().zip(of.turn_hz).and_then(|(s, turn)| {
        let reach = (0.1 * turn).max(1.5 * s.resolution_hz());
        searched_hz.filter(|band| band.contains(turn))?;
        s.strongest(turn - reach, turn + reach)
    });
    Plateau {
        from_s: time[range.start],
        to_s: time[range.end.min(amps.len() - 1)],
        samples: range.len(),
        mean_a: Bounded::new(mean, bounds),
        peak_a: whole.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        least_a: whole.iter().copied().fold(f64::INFINITY, f64::min),
        ripple_a: plateaus::quantile(calm, 0.95) - plateaus::quantile(calm, 0.05),
        searched_hz,
        strongest,
        once_per_turn,
    }
}

/// The samples at even intervals: as they are where no gap is off by more than a tenth, else read
/// off straight lines between them (never more than twice as many).
fn even(time: &[f64], amps: &[f64], interval_s: f64) -> Vec<f64> {
    let is_even = time.windows(2).all(|w| ((w[1] - w[0]) - interval_s).abs() <= 0.1 * interval_s);
    let (Some(first), Some(last)) = (time.first(), time.last()) else { return Vec::new() };
    if is_even {
        return amps.to_vec();
    }
    let count = count_of((last - first) / interval_s).min(2 * time.len());
    let mut at = 0;
    (0..=count)
        .map(|i| {
            let t = first + interval_s * real(i);
            while at + 2 < time.len() && time[at + 1] < t {
                at += 1;
            }
            let next = (at + 1).min(time.len() - 1);
            let span = time[next] - time[at];
            let part = if span > 0.0 { ((t - time[at]) / span).clamp(0.0, 1.0) } else { 0.0 };
            amps[at] + part * (amps[next] - amps[at])
        })
        .collect()
}

/// A count as a number.
#[expect(clippy::cast_precision_loss, reason = "counts here stay far below 2^52")]
fn real(count: usize) -> f64 {
    count as f64
}

/// A number as a count, rounded down; nought below 0, the greatest count above all.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast rounds down and saturates, which is what is wanted"
)]
fn count_of(number: f64) -> usize {
    number as usize
}

impl Output {
    /// The answer as page, API and command line show it.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        let mut add = |name: &str, label: &str, v: Bounded, unit: &str, formula: &str| {
            values.push(Value::new(name, label, v, unit).by(formula, SOURCE));
        };
        let plain = Bounded::exact;
        for (i, p) in (1..).zip(&self.plateaus) {
            let at = |what: &str| format!("plateau_{i}_{what}");
            let label = |what: &str| format!("Plateau {i}: {what}");
            add(&at("mean_a"), &label("mean"), p.mean_a, "A", FORMULA);
            add(&at("peak_a"), &label("highest"), plain(p.peak_a), "A", FORMULA);
            add(&at("ripple_a"), &label("ripple"), plain(p.ripple_a), "A", FORMULA);
            add(&at("from_s"), &label("begins"), plain(p.from_s), "s", FORMULA);
            add(&at("duration_s"), &label("lasts"), plain(p.duration_s()), "s", FORMULA);
            for (kind, swing) in [("swing", p.strongest), ("turn", p.once_per_turn)] {
                let Some(s) = swing else { continue };
                let what = if kind == "turn" { "once per turn" } else { "strongest" };
                let (hz, a) = (at(&format!("{kind}_hz")), at(&format!("{kind}_a")));
                add(
                    &hz,
                    &label(&format!("{what} swing, how often")),
                    plain(s.hz),
                    "Hz",
                    SWING_FORMULA,
                );
                add(&a, &label(&format!("{what} swing")), plain(s.swing_a), "A", SWING_FORMULA);
                let (of, above) =
                    (at(&format!("{kind}_of_mean")), at(&format!("{kind}_above_floor")));
                add(
                    &of,
                    &label(&format!("{what} swing over mean")),
                    plain(s.of_mean),
                    "",
                    SWING_FORMULA,
                );
                add(
                    &above,
                    &label(&format!("{what} swing over noise")),
                    plain(s.above_floor),
                    "",
                    SWING_FORMULA,
                );
            }
        }
        add("plateaus", "Plateaus found", plain(real(self.found)), "", FORMULA);
        add("samples", "Samples", plain(real(self.samples)), "", FORMULA);
        add("duration_s", "Length of the log", plain(self.duration_s), "s", FORMULA);
        add("interval_s", "Usual time between samples", plain(self.interval_s), "s", FORMULA);
        add("noise_a", "Noise from sample to sample", plain(self.noise_a), "A", FORMULA);
        add("step_a", "Least step used", plain(self.step_a), "A", FORMULA);
        add("least_s", "Shortest plateau used", plain(self.least_s), "s", FORMULA);
        Answer::new("trace", values, self.findings.clone()).drawn(plots::all(self))
    }
}

/// Its entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "trace",
    title: "A logged current trace",
    question: "What does the mechanism draw on each steady stretch, and does it bind once per wheel turn?",
    caution: "Hold the motor for one to two seconds at most: a small winding burns in seconds.",
    example: sample::EXAMPLE,
    run: |json| Ok(run(&json_input(json)?)?.answer()),
    input_schema: schema::<Input>,
};

#[cfg(test)]
mod tests;
