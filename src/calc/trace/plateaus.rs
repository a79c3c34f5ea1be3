//! Finds the stretches of steady current between steps.
//!
//! Method: single spikes are taken out by a running median of five; at every sample the mean of the
//! window before is held against the mean of the window after (each as long as the shortest plateau
//! asked for); where the difference has a peak above both the least step and six times its own noise,
//! a step is noted; its place is then refined to the split of least squares; neighbours whose
//! means differ by less than the least step are joined again. The work grows in proportion to the
//! samples.
//!
//! Weaknesses: a plateau shorter than the window is not seen; a swing slower than the window counts
//! as steps; a ramp becomes a stair of steps.

use std::collections::VecDeque;
use std::ops::Range;

/// A step counts when it is this many times the noise of the two means.
const SIGMAS: f64 = 6.0;
/// Turns a median of absolute deviations into a standard deviation, for normal noise.
const MAD_TO_SIGMA: f64 = 1.4826;

/// How steps are found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Least step, A.
    pub step_a: f64,
    /// Shortest plateau, samples, at least 3.
    pub window: usize,
}

/// The value below which a share (0 to 1) of the values lies; 0 for an empty list.
pub fn quantile(values: &[f64], share: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let mut sorted = values.to_vec();
    let at = super::count_of(share * super::real(values.len() - 1) + 0.5).min(values.len() - 1);
    *sorted.select_nth_unstable_by(at, f64::total_cmp).1
}

/// Noise from sample to sample, A: the median absolute difference of neighbours. Steps and slow
/// swings hardly touch it.
pub fn noise_a(amps: &[f64]) -> f64 {
    let steps: Vec<f64> = amps.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    MAD_TO_SIGMA * quantile(&steps, 0.5) / std::f64::consts::SQRT_2
}

/// The plateaus as ranges of samples, in order, without holes.
pub fn find(amps: &[f64], rule: Rule) -> Vec<Range<usize>> {
    let calm = median_of_five(amps);
    let sums = Sums::of(&calm);
    let jumps = jumps(&sums, calm.len(), rule, noise_a(amps));
    let rough = peaks(&jumps, (rule.window / 2).max(1));
    let mut bounds = vec![0];
    for (i, at) in rough.iter().enumerate() {
        let low = bounds.last().copied().unwrap_or(0).max(at.saturating_sub(rule.window));
        let next = rough.get(i + 1).copied().unwrap_or(calm.len());
        let high = next.min(at + rule.window).min(calm.len());
        let refined = sums.best_split(low, high).unwrap_or(*at);
        if refined > bounds.last().copied().unwrap_or(0) {
            bounds.push(refined);
        }
    }
    bounds.push(calm.len());
    join(&sums, &bounds, rule.step_a)
}

/// Each sample replaced by the median of itself and two neighbours on either side; at the ends of
/// the five nearest the end.
fn median_of_five(amps: &[f64]) -> Vec<f64> {
    let Some(last) = amps.len().checked_sub(5) else { return amps.to_vec() };
    (0..amps.len())
        .map(|i| {
            let from = i.saturating_sub(2).min(last);
            let mut five = amps[from..from + 5].to_vec();
            five.sort_unstable_by(f64::total_cmp);
            five[2]
        })
        .collect()
}

/// Running sums of values and squares, so that any mean or spread takes one step.
struct Sums {
    sum: Vec<f64>,
    square: Vec<f64>,
}

impl Sums {
    fn of(values: &[f64]) -> Sums {
        let mut out = Sums { sum: vec![0.0], square: vec![0.0] };
        let (mut sum, mut square) = (0.0, 0.0);
        for v in values {
            sum += v;
            square += v * v;
            out.sum.push(sum);
            out.square.push(square);
        }
        out
    }

    fn mean(&self, range: &Range<usize>) -> f64 {
        (self.sum[range.end] - self.sum[range.start]) / super::real(range.len().max(1))
    }

    /// Sum of squares about the mean.
    fn spread(&self, range: &Range<usize>) -> f64 {
        let total = self.sum[range.end] - self.sum[range.start];
        let square = self.square[range.end] - self.square[range.start];
        (square - total * total / super::real(range.len().max(1))).max(0.0)
    }

    /// The split of `low..high` into two means with the least squares left over.
    fn best_split(&self, low: usize, high: usize) -> Option<usize> {
        let cost = |at: usize| self.spread(&(low..at)) + self.spread(&(at..high));
        (low + 1..high).min_by(|a, b| cost(*a).total_cmp(&cost(*b)))
    }
}

/// At every sample the difference of the means after and before; zero where it is no more than the
/// least step or the noise, and where either window would reach over an end.
fn jumps(sums: &Sums, len: usize, rule: Rule, noise: f64) -> Vec<f64> {
    let window = rule.window;
    let doubt = noise * (2.0 / super::real(window)).sqrt();
    let least = rule.step_a.max(SIGMAS * doubt);
    (0..len)
        .map(|i| {
            if i < window || len - i < window {
                return 0.0;
            }
            let jump = (sums.mean(&(i..i + window)) - sums.mean(&(i - window..i))).abs();
            if jump >= least { jump } else { 0.0 }
        })
        .collect()
}

/// Places whose value is above zero and the greatest within `reach` on either side (the first of
/// equals), by a sliding maximum.
fn peaks(values: &[f64], reach: usize) -> Vec<usize> {
    let mut out: Vec<usize> = Vec::new();
    let mut falling: VecDeque<usize> = VecDeque::new();
    for i in 0..values.len() + reach {
        if i < values.len() {
            while falling.back().is_some_and(|&b| values[b] < values[i]) {
                falling.pop_back();
            }
            falling.push_back(i);
        }
        let Some(centre) = i.checked_sub(reach) else { continue };
        while falling.front().is_some_and(|&f| f + reach < centre) {
            falling.pop_front();
        }
        let apart = out.last().is_none_or(|&last| last + reach < centre);
        if falling.front() == Some(&centre) && values[centre] > 0.0 && apart {
            out.push(centre);
        }
    }
    out
}

/// Joins neighbours whose means differ by less than the least step.
fn join(sums: &Sums, bounds: &[usize], step_a: f64) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    for pair in bounds.windows(2) {
        let next = pair[0]..pair[1];
        match out.last_mut() {
            Some(last) if (sums.mean(last) - sums.mean(&next)).abs() < step_a => {
                last.end = next.end;
            }
            _ => out.push(next),
        }
    }
    out
}
