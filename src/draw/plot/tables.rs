//! A chart in words and in numbers, for readers who cannot see it and for those who want the figures.

use super::Table;
use super::axes::Axes;
use crate::calc::plot::{Chart, Line, Series};

/// Rows of one table at most, and of readings.
const MOST_ROWS: usize = 12;
const MOST_READINGS: usize = 60;

/// The chart in a few sentences.
pub(super) fn words(chart: &Chart, axes: &Axes) -> String {
    let told: Vec<String> = chart.series.iter().map(|s| told(s, axes)).collect();
    let limits = chart.limits.iter().map(|l| format!("{} {}", l.label, axes.y.figure(l.y)));
    let marks = chart.marks.iter().map(|m| format!("{} {}", m.label, axes.x.figure(m.x)));
    let all: Vec<String> = told.into_iter().chain(limits).chain(marks).collect();
    if all.is_empty() {
        return "Nothing to draw.".to_owned();
    }
    format!("{}.", crate::draw::capital(&all.join("; ")))
}

/// One series: how it begins, ends, and its highest.
fn told(series: &Series, axes: &Axes) -> String {
    let all = || series.points.iter().chain(&series.high).map(|p| p[1]);
    let least = all().fold(f64::INFINITY, f64::min);
    let most = all().fold(f64::NEG_INFINITY, f64::max);
    let (Some(first), Some(last)) = (series.points.first(), series.points.last()) else {
        return format!("{}: nothing", series.name);
    };
    let between = format!(
        "between {} and {}, from {} to {}",
        axes.y.figure(least),
        axes.y.figure(most),
        axes.x.figure(first[0]),
        axes.x.figure(last[0])
    );
    match series.kind {
        Line::Points => format!("{}: {} {between}", series.name, series.points.len()),
        Line::Step => format!("{}: {} {between}", series.name, series.points.len() / 2),
        Line::Line => {
            let ends = (axes.y.figure(first[1]), axes.y.figure(last[1]));
            format!("{}: from {} to {}, {between}", series.name, ends.0, ends.1)
        }
        Line::Band => format!("{}: {between}", series.name),
        Line::Bars => {
            let top = series.points.iter().max_by(|a, b| a[1].total_cmp(&b[1])).unwrap_or(first);
            let at = axes.x.figure(top[0]);
            format!("{}: highest {} at {at}", series.name, axes.y.figure(top[1]))
        }
    }
}

/// A table for each series.
pub(super) fn all(chart: &Chart, axes: &Axes) -> Vec<Table> {
    chart.series.iter().map(|s| table(chart, s, axes)).collect()
}

fn table(chart: &Chart, series: &Series, axes: &Axes) -> Table {
    let head = |label: &str, unit: &str| {
        let text = if unit.is_empty() { label.to_owned() } else { format!("{label}, {unit}") };
        crate::draw::capital(&text)
    };
    let (x, y) = (head(&chart.x_label, &axes.x.unit), head(&chart.y_label, &axes.y.unit));
    let (heads, rows) = match series.kind {
        Line::Band => {
            let rows = thinned(&series.points, MOST_ROWS).into_iter().map(|i| {
                let (low, high) =
                    (series.points[i], series.high.get(i).copied().unwrap_or_default());
                vec![axes.x.bare(low[0]), axes.y.bare(low[1]), axes.y.bare(high[1])]
            });
            (vec![x, format!("{y}, low"), "High".to_owned()], rows.collect())
        }
        Line::Step => {
            let rows = series.points.chunks_exact(2).map(|pair| {
                vec![axes.x.bare(pair[0][0]), axes.x.bare(pair[1][0]), axes.y.bare(pair[0][1])]
            });
            (vec![format!("{x}, from"), "To".to_owned(), y], rows.collect())
        }
        kind => {
            let most = if kind == Line::Points { MOST_READINGS } else { MOST_ROWS };
            let rows = thinned(&series.points, most).into_iter();
            let rows = rows.map(|i| {
                let p = series.points[i];
                vec![axes.x.bare(p[0]), axes.y.bare(p[1])]
            });
            (vec![x, y], rows.collect())
        }
    };
    Table { caption: crate::draw::capital(&series.name), heads, rows }
}

/// Places of at most so many points: the first, the last, the highest, and even steps between.
fn thinned(points: &[[f64; 2]], most: usize) -> Vec<usize> {
    if points.len() <= most {
        return (0..points.len()).collect();
    }
    let step = points.len().div_ceil(most.saturating_sub(2).max(1));
    let highest = (0..points.len()).max_by(|a, b| points[*a][1].total_cmp(&points[*b][1]));
    let mut out: Vec<usize> = (0..points.len()).step_by(step).collect();
    out.extend(highest);
    out.push(points.len() - 1);
    out.sort_unstable();
    out.dedup();
    out
}
