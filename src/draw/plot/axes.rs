//! How values come to places: ranges, round steps, and units that fit the size.

use crate::calc::plot::Chart;
use crate::draw::bar::{decimals_of, step_up};
use crate::units::{Rounding, fixed};

/// Heights in px: top and foot of the plot.
pub(super) const TOP: f64 = 34.0;
/// Foot of the plot.
pub(super) const FOOT: f64 = 186.0;
/// Height of the whole drawing.
pub(super) const HEIGHT: f64 = 226.0;
/// Left and right end of the plot, percent of the width.
pub(super) const LEFT: f64 = 13.0;
/// Right end.
pub(super) const RIGHT: f64 = 98.0;

/// One axis: where it begins and ends, its round step, and the unit it is shown in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Axis {
    pub lo: f64,
    pub hi: f64,
    step: f64,
    scale: f64,
    pub unit: String,
}

impl Axis {
    /// An axis over values, with about so many steps. `round`: both ends are put on a step.
    fn over(range: (f64, f64), unit: &str, steps: f64, round: bool) -> Axis {
        let (scale, unit) = shown_in(range, unit);
        let (mut lo, mut hi) = (range.0 * scale, range.1 * scale);
        if hi <= lo {
            hi = lo + lo.abs().max(1.0) * 0.2;
        }
        let step = step_up((hi - lo) / steps);
        if round {
            lo = (lo / step + 1e-9).floor() * step;
            hi = ((hi / step - 1e-9).ceil() * step).max(lo + step);
        }
        Axis { lo, hi, step, scale, unit }
    }

    /// Where a value lies, 0 to 1.
    pub fn part(&self, value: f64) -> f64 {
        ((value * self.scale - self.lo) / (self.hi - self.lo)).clamp(0.0, 1.0)
    }

    /// Places with their figures, in the unit shown: share of the axis and text.
    pub fn ticks(&self) -> Vec<(f64, String)> {
        let decimals = decimals_of(self.step);
        let first = (self.lo / self.step - 1e-9).ceil();
        (0..=14u32)
            .map(|i| (first + f64::from(i)) * self.step)
            .take_while(|v| *v <= self.hi + self.step * 1e-6)
            .map(|v| {
                let part = (v - self.lo) / (self.hi - self.lo);
                (part.clamp(0.0, 1.0), fixed(v, decimals, Rounding::Nearest))
            })
            .collect()
    }

    /// A value as a figure with one decimal more than the steps, without unit.
    pub fn bare(&self, value: f64) -> String {
        let decimals = (decimals_of(self.step) + 1).min(4);
        fixed(value * self.scale, decimals, Rounding::Nearest)
    }

    /// A value as a figure with its unit.
    pub fn figure(&self, value: f64) -> String {
        format!("{}\u{a0}{}", self.bare(value), self.unit).trim_end_matches('\u{a0}').to_owned()
    }
}

/// The factor and unit values of this size are best read in.
fn shown_in(range: (f64, f64), unit: &str) -> (f64, String) {
    let most = range.0.abs().max(range.1.abs());
    let (factor, shown) = match unit {
        "s" if most >= 3.0 * 3600.0 => (1.0 / 3600.0, "h"),
        "s" if most >= 180.0 => (1.0 / 60.0, "min"),
        "s" if most > 0.0 && most < 0.5 => (1000.0, "ms"),
        "A" if most > 0.0 && most < 0.1 => (1000.0, "mA"),
        "mm" if most >= 3000.0 => (0.001, "m"),
        other => (1.0, other),
    };
    (factor, shown.to_owned())
}

/// Both axes of a chart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Axes {
    pub x: Axis,
    pub y: Axis,
}

impl Axes {
    /// From everything that is drawn.
    pub fn of(chart: &Chart) -> Axes {
        let points = || chart.series.iter().flat_map(|s| s.points.iter().chain(&s.high));
        let (x0, x1) = range(points().map(|p| p[0]));
        let x0 = if x0 > 0.0 && x0 < 0.3 * x1 { 0.0 } else { x0 };
        let levels = chart.limits.iter().map(|l| l.y);
        let (y0, y1) = range(points().map(|p| p[1]).chain(levels));
        let from_nought = chart.y_unit != "°C" && y0 > 0.0 && y0 < 0.6 * y1;
        let y0 = if from_nought { 0.0 } else { y0 };
        Axes {
            x: Axis::over((x0, x1), &chart.x_unit, 5.0, false),
            y: Axis::over((y0, y1), &chart.y_unit, 4.0, true),
        }
    }

    /// Place on the x axis, percent of the width.
    pub fn left(&self, x: f64) -> f64 {
        LEFT + (RIGHT - LEFT) * self.x.part(x)
    }

    /// Place on the y axis, px from the top.
    pub fn top(&self, y: f64) -> f64 {
        FOOT - (FOOT - TOP) * self.y.part(y)
    }
}

/// Least and greatest; 0 and 1 for none.
fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let good = values.filter(|v| v.is_finite());
    let ends = good.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
    if ends.0.is_finite() { ends } else { (0.0, 1.0) }
}
