//! A chart: as wide as its place, so letters keep their size; what is drawn lies in a view of its own
//! that is stretched to the width.

use super::axes::{Axes, FOOT, HEIGHT, LEFT, RIGHT, TOP};
use super::{Key, Picture, tables};
use crate::calc::plot::{Chart, Line, Series};
use crate::draw::svg::{El, Path, line};

/// Width of the stretched view, user units.
const WIDE: f64 = 1000.0;

/// Draws a chart.
pub(super) fn picture(chart: &Chart) -> Picture {
    let axes = Axes::of(chart);
    Picture {
        title: chart.title.clone(),
        svg: svg(chart, &axes),
        words: tables::words(chart, &axes),
        lanes: Vec::new(),
        key: key(chart),
        tables: tables::all(chart, &axes),
    }
}

/// Class of a series: lines in a row differ by dash, so that one ink tells them apart.
fn class(chart: &Chart, series: &Series) -> String {
    match series.kind {
        Line::Band => "area".to_owned(),
        Line::Bars => "bars".to_owned(),
        Line::Step => "lvl".to_owned(),
        Line::Points => "dot".to_owned(),
        Line::Line => {
            let lines = chart.series.iter().filter(|s| s.kind == Line::Line);
            let nth = lines.take_while(|s| s.name != series.name).count();
            format!("ln l{}", nth % 3)
        }
    }
}

fn svg(chart: &Chart, axes: &Axes) -> String {
    let root = El::new("svg")
        .class("chart")
        .num("height", HEIGHT)
        .attr("role", "img")
        .attr("aria-label", &format!("{}. {}", chart.title, tables::words(chart, axes)))
        .children(&levels(axes))
        .children(&uprights(axes));
    let view = El::new("svg")
        .pct("x", LEFT)
        .num("y", TOP)
        .pct("width", RIGHT - LEFT)
        .num("height", FOOT - TOP)
        .attr("viewBox", &format!("0 0 {WIDE} {}", FOOT - TOP))
        .attr("preserveAspectRatio", "none");
    let drawn = chart.series.iter().filter(|s| s.kind != Line::Points);
    let view = drawn.fold(view, |v, s| v.child(&path(s, axes).el(&class(chart, s))));
    let dots = chart.series.iter().filter(|s| s.kind == Line::Points).flat_map(|s| &s.points);
    let dots: Vec<El> = dots
        .map(|p| {
            let dot = El::new("circle").class("dot").pct("cx", axes.left(p[0]));
            dot.num("cy", axes.top(p[1])).num("r", 4.0)
        })
        .collect();
    root.child(&view)
        .children(&limits(chart, axes))
        .children(&marks(chart, axes))
        .children(&dots)
        .children(&names(chart, axes))
        .render()
}

/// A series within the stretched view.
fn path(series: &Series, axes: &Axes) -> Path {
    let x = |p: &[f64; 2]| WIDE * axes.x.part(p[0]);
    let y = |p: &[f64; 2]| (FOOT - TOP) * (1.0 - axes.y.part(p[1]));
    let start = Path::new();
    match series.kind {
        Line::Line | Line::Points => {
            let mut points = series.points.iter();
            let first = points.next().map_or(start.clone(), |p| start.m(x(p), y(p)));
            points.fold(first, |path, p| path.l(x(p), y(p)))
        }
        Line::Step => series
            .points
            .chunks_exact(2)
            .fold(start, |path, pair| path.m(x(&pair[0]), y(&pair[0])).l(x(&pair[1]), y(&pair[1]))),
        Line::Bars => {
            let foot = (FOOT - TOP) * (1.0 - axes.y.part(0.0));
            series.points.iter().fold(start, |path, p| path.m(x(p), foot).l(x(p), y(p)))
        }
        Line::Band => {
            let mut low = series.points.iter();
            let first = low.next().map_or(start.clone(), |p| start.m(x(p), y(p)));
            let along = low.fold(first, |path, p| path.l(x(p), y(p)));
            series.high.iter().rev().fold(along, |path, p| path.l(x(p), y(p))).z()
        }
    }
}

/// Level hairlines with their figures standing on them at the left.
fn levels(axes: &Axes) -> Vec<El> {
    let mut out = Vec::new();
    for (i, (part, text)) in axes.y.ticks().into_iter().enumerate() {
        let y = FOOT - (FOOT - TOP) * part;
        let hair = El::new("line").class(if i == 0 { "axis" } else { "grid" });
        out.push(hair.pct("x1", 0.0).pct("x2", 100.0).num("y1", y).num("y2", y));
        out.push(El::new("text").class("q").num("x", 0.0).num("y", y - 4.0).text(&text));
    }
    out
}

/// Marks on the x axis; figures that would crowd the one before are left out.
fn uprights(axes: &Axes) -> Vec<El> {
    let mut out = Vec::new();
    let mut free_from = 0.0;
    for (part, text) in axes.x.ticks() {
        let x = LEFT + (RIGHT - LEFT) * part;
        let mark = El::new("line").class("axis").pct("x1", x).pct("x2", x);
        out.push(mark.num("y1", FOOT).num("y2", FOOT + 5.0));
        if x >= free_from {
            let class = if x > 95.0 { "q e" } else { "q m" };
            let at = if x > 95.0 { 100.0 } else { x };
            out.push(El::new("text").class(class).pct("x", at).num("y", FOOT + 19.0).text(&text));
            free_from = x + 11.0;
        }
    }
    out
}

/// What the axes are of, with the unit shown.
fn names(chart: &Chart, axes: &Axes) -> Vec<El> {
    let with_unit = |label: &str, unit: &str| {
        if unit.is_empty() { label.to_owned() } else { format!("{label}, {unit}") }
    };
    let y = with_unit(&chart.y_label, &axes.y.unit);
    let x = with_unit(&chart.x_label, &axes.x.unit);
    vec![
        El::new("text").class("b").num("x", 0.0).num("y", 12.0).text(&y),
        El::new("text").class("b e").pct("x", 100.0).num("y", HEIGHT - 4.0).text(&x),
    ]
}

/// Limits as heavy level lines with their names at the right end.
fn limits(chart: &Chart, axes: &Axes) -> Vec<El> {
    let mut out = Vec::new();
    for limit in chart.limits.iter().filter(|l| l.y.is_finite()) {
        let y = axes.top(limit.y);
        let text = format!("{} {}", limit.label, axes.y.figure(limit.y));
        let level = El::new("line").class("lim").pct("x1", LEFT).pct("x2", 100.0);
        out.push(level.num("y1", y).num("y2", y));
        let below = if y < TOP + 14.0 { y + 15.0 } else { y - 6.0 };
        out.push(El::new("text").class("e").pct("x", 100.0).num("y", below).text(&text));
    }
    out
}

/// Places on the x axis as dashed uprights with their names at the foot.
fn marks(chart: &Chart, axes: &Axes) -> Vec<El> {
    let mut out = Vec::new();
    for (i, mark) in chart.marks.iter().enumerate() {
        let x = axes.left(mark.x);
        let text = format!("{} {}", mark.label, axes.x.figure(mark.x));
        let upright = El::new("line").class("mark").pct("x1", x).pct("x2", x);
        out.push(upright.num("y1", TOP).num("y2", FOOT));
        let right = x > 60.0;
        let at = if right { x - 1.0 } else { x + 1.0 };
        let y = TOP + 12.0 + 16.0 * f64::from(u32::try_from(i).unwrap_or(0));
        let label = El::new("text").class(if right { "e" } else { "" }).pct("x", at).num("y", y);
        out.push(label.text(&text));
    }
    out
}

/// The key: only what occurs.
fn key(chart: &Chart) -> Vec<Key> {
    let root =
        || El::new("svg").class("chart").attr("viewBox", "0 0 34 18").attr("aria-hidden", "true");
    let entry = |series: &Series| {
        let class = class(chart, series);
        let sample = match series.kind {
            Line::Band => Path::new().m(1.0, 12.0).l(33.0, 7.0).l(33.0, 2.0).l(1.0, 7.0).z(),
            Line::Bars => Path::new()
                .m(9.0, 16.0)
                .l(9.0, 8.0)
                .m(17.0, 16.0)
                .l(17.0, 2.0)
                .m(25.0, 16.0)
                .l(25.0, 11.0),
            _ => Path::new().m(1.0, 9.0).l(33.0, 9.0),
        };
        let drawn = match series.kind {
            Line::Points => {
                El::new("circle").class("dot").num("cx", 17.0).num("cy", 9.0).num("r", 4.0)
            }
            _ => sample.el(&class),
        };
        Key { svg: root().child(&drawn).render(), words: series.name.clone() }
    };
    let mut out: Vec<Key> = chart.series.iter().map(entry).collect();
    let extra = |class: &str, from, to, words: &str| Key {
        svg: root().child(&line(class, from, to)).render(),
        words: words.to_owned(),
    };
    if !chart.limits.is_empty() {
        let words: Vec<&str> = chart.limits.iter().map(|l| l.label.as_str()).collect();
        out.push(extra("lim", (1.0, 9.0), (33.0, 9.0), &words.join(", ")));
    }
    if !chart.marks.is_empty() {
        let words: Vec<&str> = chart.marks.iter().map(|m| m.label.as_str()).collect();
        out.push(extra("mark", (17.0, 1.0), (17.0, 17.0), &words.join(", ")));
    }
    out
}
