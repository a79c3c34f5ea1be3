//! The regular swing of a stretch of current: how often and how strong.
//!
//! Method: the straight trend is taken off, a Hann window laid over, the stretch padded with zeros
//! to at least twice its length, and the peak of its spectrum placed by a parabola through the
//! logarithms of the three bins around it. The swing is twice the amplitude, `2·2|X|/Σw`. The noise
//! floor is the median of the band; a peak counts when it stands six times above it (pure noise does
//! so less than once in ten million stretches).

use realfft::RealFftPlanner;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Fewest samples a spectrum is made of.
pub const LEAST_SAMPLES: usize = 64;
/// Fewest turns a stretch must hold for a frequency to count.
pub const LEAST_TURNS: f64 = 3.0;
/// A peak this many times above the floor stands out.
const STANDS_OUT: f64 = 6.0;
/// Greatest ratio told, where the floor is nothing.
const MOST_RATIO: f64 = 1e6;

/// A regular swing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Swing {
    /// How often, Hz.
    pub hz: f64,
    /// From lowest to highest, A.
    pub swing_a: f64,
    /// The same as a share of the mean current.
    pub of_mean: f64,
    /// Times it stands above the noise floor, at most a million.
    pub above_floor: f64,
    /// Whether it stands out: at least six times.
    pub stands_out: bool,
}

/// A spectrum of one stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    /// Power of each bin.
    power: Vec<f64>,
    /// Width of a bin, Hz.
    bin_hz: f64,
    /// Turns |X| into an amplitude in A.
    scale: f64,
    /// Mean current, A.
    mean_a: f64,
    /// Length of the stretch, s.
    duration_s: f64,
}

impl Spectrum {
    /// The spectrum of evenly spaced samples; `None` below 64 samples or without a length in time.
    pub fn of(amps: &[f64], interval_s: f64) -> Option<Spectrum> {
        if amps.len() < LEAST_SAMPLES || interval_s <= 0.0 {
            return None;
        }
        let padded = (2 * amps.len()).next_power_of_two();
        let (mut wave, weight) = prepared(amps);
        wave.resize(padded, 0.0);
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(padded);
        let mut bins = transform.make_output_vec();
        transform.process(&mut wave, &mut bins).ok()?;
        Some(Spectrum {
            power: bins.iter().map(|x| x.re * x.re + x.im * x.im).collect(),
            bin_hz: 1.0 / (interval_s * super::real(padded)),
            scale: 2.0 / weight,
            mean_a: amps.iter().sum::<f64>() / super::real(amps.len()),
            duration_s: interval_s * super::real(amps.len()),
        })
    }

    /// Least frequency that can be told, Hz: three turns in the stretch.
    pub fn least_hz(&self) -> f64 {
        LEAST_TURNS / self.duration_s
    }

    /// Greatest frequency that can be told, Hz: 0.9 of half the sampling rate.
    pub fn most_hz(&self) -> f64 {
        0.9 * self.bin_hz * super::real(self.power.len().saturating_sub(1))
    }

    /// Width within which two frequencies cannot be told apart, Hz.
    pub fn resolution_hz(&self) -> f64 {
        1.0 / self.duration_s
    }

    /// The strongest swing between two frequencies, held against the noise of the whole band the
    /// stretch can tell up to 20 Hz or `high_hz`. `None` where the band is empty or nothing swings.
    pub fn strongest(&self, low_hz: f64, high_hz: f64) -> Option<Swing> {
        let bins = self.bins(low_hz, high_hz)?;
        let at = bins.max_by(|a, b| self.power[*a].total_cmp(&self.power[*b]))?;
        let (shift, power) = self.summit(at);
        if power <= 0.0 {
            return None;
        }
        let floor = self.floor(high_hz);
        let ratio = if floor > 0.0 { (power.sqrt() / floor).min(MOST_RATIO) } else { MOST_RATIO };
        let swing_a = 2.0 * self.scale * power.sqrt();
        Some(Swing {
            hz: (super::real(at) + shift) * self.bin_hz,
            swing_a,
            of_mean: if self.mean_a.abs() > 0.0 { swing_a / self.mean_a.abs() } else { 0.0 },
            above_floor: ratio,
            stands_out: ratio >= STANDS_OUT && self.is_summit(at),
        })
    }

    /// The spectrum up to a frequency, Hz, in at most `columns` columns of equal width: the middle of
    /// each, Hz, and the strongest swing in it, A from lowest to highest.
    pub fn curve(&self, high_hz: f64, columns: usize) -> Vec<[f64; 2]> {
        let Some(bins) = self.bins(0.0, high_hz) else { return Vec::new() };
        let each = (bins.end() - bins.start()) / columns.max(1) + 1;
        let (first, last) = (*bins.start(), *bins.end());
        (first..=last)
            .step_by(each)
            .map(|from| {
                let to = (from + each - 1).min(last);
                let most = self.power[from..=to].iter().copied().fold(0.0, f64::max);
                let middle = super::real(from + to) / 2.0;
                [middle * self.bin_hz, 2.0 * self.scale * most.sqrt()]
            })
            .collect()
    }

    /// The bins of a band, without the two outermost.
    fn bins(&self, low_hz: f64, high_hz: f64) -> Option<std::ops::RangeInclusive<usize>> {
        let low = super::count_of((low_hz.max(self.least_hz()) / self.bin_hz).ceil()).max(1);
        let high = super::count_of(high_hz.min(self.most_hz()) / self.bin_hz);
        let high = high.min(self.power.len().checked_sub(2)?);
        (low <= high).then_some(low..=high)
    }

    /// Median magnitude of the band.
    fn floor(&self, high_hz: f64) -> f64 {
        let Some(bins) = self.bins(0.0, high_hz.max(super::MOST_HZ)) else { return 0.0 };
        super::plateaus::quantile(&self.power[bins], 0.5).sqrt()
    }

    /// Whether a bin is higher than both neighbours, so that a slope at the edge of the band does
    /// not count.
    fn is_summit(&self, at: usize) -> bool {
        self.power[at] >= self.power[at - 1] && self.power[at] >= self.power[at + 1]
    }

    /// Place (in bins from `at`, within one half) and power of the summit, by a parabola through
    /// three logarithms.
    fn summit(&self, at: usize) -> (f64, f64) {
        let [l, m, r] = [at - 1, at, at + 1].map(|i| self.power[i].max(f64::MIN_POSITIVE).ln());
        let bend = l - 2.0 * m + r;
        if bend >= 0.0 {
            return (0.0, self.power[at]);
        }
        let shift = (0.5 * (l - r) / bend).clamp(-0.5, 0.5);
        (shift, (m - 0.25 * (l - r) * shift).exp())
    }
}

/// The samples without their straight trend and under a Hann window, and the sum of the window.
fn prepared(amps: &[f64]) -> (Vec<f64>, f64) {
    let n = super::real(amps.len());
    let middle = (n - 1.0) / 2.0;
    let mean = amps.iter().sum::<f64>() / n;
    let places = || (0..amps.len()).map(super::real);
    let (mut cross, mut square) = (0.0, 0.0);
    for (x, a) in places().zip(amps) {
        cross += (x - middle) * (a - mean);
        square += (x - middle) * (x - middle);
    }
    let slope = if square > 0.0 { cross / square } else { 0.0 };
    let mut weight = 0.0;
    let wave = places()
        .zip(amps)
        .map(|(x, a)| {
            let window = 0.5 - 0.5 * (std::f64::consts::TAU * x / n).cos();
            weight += window;
            window * (a - mean - slope * (x - middle))
        })
        .collect();
    (wave, weight)
}
