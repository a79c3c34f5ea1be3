//! The pickup map as a plan drawing: two rails, wheels on them, collectors between.

use super::{Map, Run, State, Wheel, real, runs};
use crate::aspect::Aspect;
use crate::draw::arm;
use crate::draw::svg::{El, Path, circle, label, line, num};

/// Width of an axle's column, user units (px at natural size).
const COLUMN: f64 = 58.0;
/// Room left and right of the columns.
const EDGE: f64 = 9.0;
/// Least width of a row, for the names of the rails.
const NARROWEST: f64 = 2.0 * EDGE + 3.0 * COLUMN;
/// Radius of a wheel.
const RADIUS: f64 = 21.0;
/// Heights within a row: rails and collectors.
const LEFT_RAIL: f64 = 88.0;
const RIGHT_RAIL: f64 = 188.0;
const COLLECTORS: (f64, f64) = (132.0, 144.0);
/// Distance of two lines of text.
const LINE: f64 = 14.0;
/// Height of one row.
const ROW: f64 = 280.0;

/// The map as a plan: front at the left, left rail above. Vehicles that do not fit beside each
/// other in `axles_per_row` columns (1 to 40; 6 fits a phone, 10 a printed page) go into rows.
/// Empty when the map has no wheel: the page says so in words.
pub fn plan_svg(map: &Map, axles_per_row: usize) -> String {
    if map.wheels().next().is_none() {
        return String::new();
    }
    let rows = rows(runs(map, axles_per_row), axles_per_row.clamp(1, 40));
    let columns = rows.iter().map(|r| r.iter().map(|run| run.axles.len()).sum()).max().unwrap_or(1);
    let width = (real(columns) * COLUMN + 2.0 * EDGE).max(NARROWEST);
    let height = real(rows.len().max(1)) * ROW;
    let mut parts = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        let axles: usize = row.iter().map(|run| run.axles.len()).sum();
        let wide = (real(axles) * COLUMN + 2.0 * EDGE).max(NARROWEST);
        parts.extend(draw_row(map, row, real(i) * ROW, wide, i == 0));
    }
    let root = El::new("svg")
        .class("pmap")
        .num("width", width)
        .num("height", height)
        .attr("viewBox", &format!("0 0 {} {}", num(width), num(height)))
        .attr("role", "img")
        .title("Pickup map")
        .desc(&map.words());
    root.children(&parts).render()
}

/// Puts runs into rows of at most `most` axles.
fn rows(runs: Vec<Run<'_>>, most: usize) -> Vec<Vec<Run<'_>>> {
    let mut out: Vec<Vec<Run<'_>>> = Vec::new();
    for run in runs {
        let used = out.last().map_or(most, |row| row.iter().map(|r| r.axles.len()).sum());
        match out.last_mut() {
            Some(row) if used + run.axles.len() <= most => row.push(run),
            _ => out.push(vec![run]),
        }
    }
    out
}

fn draw_row(map: &Map, row: &[Run<'_>], y: f64, width: f64, first: bool) -> Vec<El> {
    let mut out = Vec::new();
    let front = if first { "\u{25c2} front" } else { "" };
    if !front.is_empty() {
        out.push(label("q", (EDGE, y + 13.0), front));
    }
    out.push(label("q e", (width - EDGE, y + 13.0), &map.left_lead));
    out.push(label("q e", (width - EDGE, y + ROW - 7.0), &map.right_lead));
    if !map.note.is_empty() && first {
        out.push(label("q", (EDGE, y + ROW - 7.0), &map.note));
    }
    for rail in [LEFT_RAIL, RIGHT_RAIL] {
        for side in [-2.0, 2.0] {
            let at = y + rail + side;
            out.push(line("rail", (2.0, at), (width - 2.0, at)));
        }
    }
    let mut x = EDGE;
    for run in row {
        let wide = real(run.axles.len()) * COLUMN;
        out.extend(vehicle(run, x, y, wide));
        for (i, axle) in run.axles.iter().enumerate() {
            let middle = x + COLUMN * (real(i) + 0.5);
            out.extend(wheel(&axle.left, middle, y, true));
            out.extend(wheel(&axle.right, middle, y, false));
        }
        x += wide;
    }
    out
}

/// The body between the rails, its name, and the two collectors its wheels work on.
fn vehicle(run: &Run<'_>, x: f64, y: f64, wide: f64) -> Vec<El> {
    let (from, to) = (x + 2.0, x + wide - 2.0);
    let (low, high) = (y + RIGHT_RAIL - 12.0, y + LEFT_RAIL + 12.0);
    let mut out = vec![
        line("side", (from, high), (to, high)),
        line("side", (from, low), (to, low)),
        line("col", (from + 4.0, y + COLLECTORS.0), (to - 4.0, y + COLLECTORS.0)),
        line("col", (from + 4.0, y + COLLECTORS.1), (to - 4.0, y + COLLECTORS.1)),
    ];
    let ends = [(run.first, from), (run.last, to)];
    for (shown, at) in ends {
        if shown {
            out.push(line("side", (at, high), (at, low)));
        }
    }
    if run.first && !run.name.is_empty() {
        // Between the links of the first two axles.
        let (class, at) = if run.axles.len() > 1 { ("q m", x + COLUMN) } else { ("q", from + 5.0) };
        out.push(label(class, (at, y + COLLECTORS.0 - 6.0), run.name));
    }
    out
}

/// A wheel, its link to the collector, what it reads, and its arm with the word.
fn wheel(w: &Wheel, x: f64, y: f64, left: bool) -> Vec<El> {
    let up = if left { 1.0 } else { -1.0 };
    let rail = y + if left { LEFT_RAIL } else { RIGHT_RAIL };
    let bus = y + if left { COLLECTORS.0 } else { COLLECTORS.1 };
    let mut out = link(w.state, (x, rail + up * RADIUS), (x, bus), up);
    let rim = match w.state {
        State::PicksUp | State::Open => "rim",
        State::Unmeasured => "rim unlit",
        State::DeadByDesign => "rim design",
    };
    out.push(circle(rim, (x, rail), RADIUS));
    if w.tyre {
        out.push(circle("tyre", (x, rail), RADIUS - 4.0));
    }
    out.push(label("m b", (x, rail + 5.5), &w.label));
    // What it reads in one or two lines, then the arm and its word.
    let lines = two_lines(&w.reads);
    let count = real(lines.len());
    let (first, word) = if left {
        let first = rail - RADIUS - 7.0 - LINE * (count - 1.0);
        (first, first - LINE)
    } else {
        let first = rail + RADIUS + 15.0;
        (first, first + LINE * count + 1.0)
    };
    for (i, text) in lines.iter().enumerate() {
        out.push(label("m", (x, first + LINE * real(i)), text));
    }
    out.extend(arm_and_word(w.aspect, x, word));
    out
}

fn arm_and_word(aspect: Aspect, x: f64, base: f64) -> [El; 2] {
    [
        arm::arm_at(aspect, (x - 28.0, base - 12.0), 15.0),
        label("s", (x - 12.0, base), aspect.word()),
    ]
}

/// The link from a wheel down (or up) to its collector.
fn link(state: State, from: (f64, f64), to: (f64, f64), up: f64) -> Vec<El> {
    let dot = circle("node", to, 2.6);
    match state {
        State::PicksUp => vec![line("col", from, to), dot],
        State::Unmeasured => vec![line("col unlit", from, to)],
        State::DeadByDesign => vec![],
        State::Open => {
            let (x, y) = from;
            let a = y + up * 8.0;
            let b = y + up * 15.0;
            vec![
                line("col", from, (x, a)),
                line("col", (x, b), to),
                Path::new().m(x - 6.0, a + 3.0).l(x + 6.0, a - 3.0).el("cut"),
                Path::new().m(x - 6.0, b + 3.0).l(x + 6.0, b - 3.0).el("cut"),
                dot,
            ]
        }
    }
}

/// A reading in one line, or in two where it is too long for a column.
fn two_lines(reads: &str) -> Vec<&str> {
    if reads.chars().count() <= 9 {
        return vec![reads];
    }
    let middle = reads.len() / 2;
    let spaces = reads.match_indices(' ').map(|(i, _)| i);
    match spaces.min_by_key(|i| i.abs_diff(middle)) {
        Some(i) => vec![&reads[..i], &reads[i + 1..]],
        None => vec![reads],
    }
}
