//! What a temperature log is drawn from.

use super::{Input, Output};
use crate::calc::plot::{Chart, Line, Plot};

/// Every second sample of the curve is enough for a drawing.
const EVERY: usize = 2;

/// Readings, fitted curve, band and limit.
pub(super) fn all(input: &Input, output: &Output) -> Vec<Plot> {
    if input.points.is_empty() {
        return Vec::new();
    }
    let mut chart = Chart::new(
        "Temperature since switching on",
        ("time since switching on", "s"),
        ("temperature", "°C"),
    );
    if let Some(curve) = &output.curve {
        let samples = || curve.samples.iter().step_by(EVERY);
        let band = format!("{}\u{a0}% band", crate::units::exact(input.level_percent));
        chart = chart
            .band(&band, samples().map(|s| [s.time_s, s.lo_c, s.hi_c]))
            .with("fitted curve", Line::Line, samples().map(|s| [s.time_s, s.temp_c]))
            .mark("passes the limit", curve.to_limit.and_then(|t| t.time_s));
        let end = curve.samples.last().map_or(0.0, |s| s.time_s);
        chart.marks.retain(|m| m.x <= end);
    }
    let readings = input.points.iter().map(|p| [p.time_s, p.temp_c]);
    let chart = chart.with("readings", Line::Points, readings).limit("limit", input.limit_c);
    chart.plot().into_iter().collect()
}
