//! What a trace is drawn from.

use super::Output;
use crate::calc::plot::{Chart, Line, Plot};

/// Lowest and highest current with the plateaus, and the spectrum of the running stretch.
pub(super) fn all(out: &Output) -> Vec<Plot> {
    let middle = |from: f64, to: f64| f64::midpoint(from, to);
    let columns = out.envelope.iter().map(|c| [middle(c.from_s, c.to_s), c.lo_a, c.hi_a]);
    let levels =
        out.plateaus.iter().flat_map(|p| [[p.from_s, p.mean_a.value], [p.to_s, p.mean_a.value]]);
    let current = Chart::new("Current over time", ("time", "s"), ("current", "A"))
        .band("lowest to highest", columns)
        .with("plateaus", Line::Step, levels)
        .plot();
    let swing = Chart::new("Swing on the running stretch", ("how often", "Hz"), ("swing", "A"))
        .with("swing", Line::Bars, out.spectrum.iter().copied())
        .mark("wheel turn", out.turn_hz)
        .plot();
    current.into_iter().chain(swing).collect()
}
