//! Exact travel without contact, in whole micrometres.

use super::{Break, Rail, Rails, Segment, Stretch, Wheel};

/// A piece of travel, µm, from its start up to but not with its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Piece {
    from: i64,
    to: i64,
}

/// Travel without contact per rail and of the supply; `None` where a rail has no wheel.
#[derive(Debug, Default)]
pub(super) struct Over {
    pub(super) left: Option<Vec<Piece>>,
    pub(super) right: Option<Vec<Piece>>,
    pub(super) supply: Option<Vec<Piece>>,
}

/// Millimetres as whole micrometres. Inputs are at most 1e8 mm together, far inside `i64`.
#[expect(clippy::cast_possible_truncation, reason = "checked inputs: |mm| < 1e8, so |µm| < 2^53")]
fn micro(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}

/// Micrometres as millimetres.
#[expect(clippy::cast_precision_loss, reason = "|µm| < 2^53")]
fn milli(micrometres: i64) -> f64 {
    micrometres as f64 / 1000.0
}

/// Works out a whole locomotive.
pub(super) fn over(wheels: &[Wheel], dead: &[Stretch]) -> Over {
    let left = rail(wheels, dead, Rail::Left);
    let right = rail(wheels, dead, Rail::Right);
    let supply = left.as_ref().zip(right.as_ref()).map(|(l, r)| {
        let mut both: Vec<Piece> = l.iter().chain(r).copied().collect();
        both.sort_unstable();
        merge(&both)
    });
    Over { left, right, supply }
}

/// One rail: the intersection over its wheels of the dead stretches moved back by their position.
fn rail(wheels: &[Wheel], dead: &[Stretch], rail: Rail) -> Option<Vec<Piece>> {
    let stretches = merged(dead, rail);
    let mut positions = wheels.iter().filter(|w| w.rail == rail).map(|w| micro(w.position_mm));
    let first = moved(&stretches, positions.next()?);
    Some(positions.fold(first, |so_far, p| both(&so_far, &moved(&stretches, p))))
}

/// The dead stretches of one rail, ordered, touching ones joined.
fn merged(dead: &[Stretch], rail: Rail) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = dead
        .iter()
        .filter(|s| s.rail.covers(rail))
        .map(|s| Piece { from: micro(s.from_mm), to: micro(s.to_mm) })
        .collect();
    pieces.sort_unstable();
    merge(&pieces)
}

/// Stretches as a wheel at a position meets them.
fn moved(stretches: &[Piece], position: i64) -> Vec<Piece> {
    stretches.iter().map(|s| Piece { from: s.from - position, to: s.to - position }).collect()
}

/// Joins ordered pieces that touch or overlap, and drops empty ones.
fn merge(pieces: &[Piece]) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    for &p in pieces.iter().filter(|p| p.to > p.from) {
        match out.last_mut() {
            Some(last) if p.from <= last.to => last.to = last.to.max(p.to),
            _ => out.push(p),
        }
    }
    out
}

/// Intersection of two ordered lists.
fn both(a: &[Piece], b: &[Piece]) -> Vec<Piece> {
    let (mut i, mut j, mut out) = (0, 0, Vec::new());
    while i < a.len() && j < b.len() {
        let (from, to) = (a[i].from.max(b[j].from), a[i].to.min(b[j].to));
        if to > from {
            out.push(Piece { from, to });
        }
        if a[i].to < b[j].to { i += 1 } else { j += 1 }
    }
    merge(&out)
}

/// Longest piece, mm; 0 for none.
pub(super) fn longest(pieces: &[Piece]) -> f64 {
    milli(pieces.iter().map(|p| p.to - p.from).max().unwrap_or(0))
}

/// All pieces together, mm.
pub(super) fn total(pieces: &[Piece]) -> f64 {
    milli(pieces.iter().map(|p| p.to - p.from).sum())
}

/// Shortest travel between two pieces, mm; `None` for fewer than two.
pub(super) fn least_between(pieces: &[Piece]) -> Option<f64> {
    pieces.windows(2).map(|w| w[1].from - w[0].to).min().map(milli)
}

/// Every break of the supply with its rails and what the wheels stand on.
pub(super) fn breaks(supply: &[Piece], wheels: &[Wheel], dead: &[Stretch]) -> Vec<Break> {
    let meets = |p: &Piece, list: &Option<Vec<Piece>>| {
        list.as_ref().is_some_and(|l| l.iter().any(|q| q.from < p.to && p.from < q.to))
    };
    let (left, right) = (rail(wheels, dead, Rail::Left), rail(wheels, dead, Rail::Right));
    let describe = |p: &Piece| {
        let rail = match (meets(p, &left), meets(p, &right)) {
            (true, true) => Rails::Both,
            (true, false) => Rails::Left,
            _ => Rails::Right,
        };
        let under = |s: &Stretch| {
            let (from, to) = (micro(s.from_mm), micro(s.to_mm));
            wheels.iter().filter(|w| s.rail.covers(w.rail) && rail.covers(w.rail)).any(|w| {
                let at = micro(w.position_mm);
                from < p.to + at && p.from + at < to
            })
        };
        let mut over: Vec<String> = Vec::new();
        for s in dead.iter().filter(|s| !s.name.is_empty() && under(s)) {
            if !over.contains(&s.name) {
                over.push(s.name.clone());
            }
        }
        Break { from_mm: milli(p.from), to_mm: milli(p.to), rail, over }
    };
    supply.iter().map(describe).collect()
}

/// The travel from the first wheel on dead rail to the last one off it, in pieces of equal count.
pub(super) fn segments(wheels: &[Wheel], dead: &[Stretch]) -> Vec<Segment> {
    let mut events: Vec<(i64, Rail, bool)> = Vec::new();
    for side in [Rail::Left, Rail::Right] {
        let stretches = merged(dead, side);
        for wheel in wheels.iter().filter(|w| w.rail == side) {
            for s in moved(&stretches, micro(wheel.position_mm)) {
                events.push((s.from, side, false));
                events.push((s.to, side, true));
            }
        }
    }
    events.sort_unstable_by_key(|e| e.0);
    let count = |side: Rail| wheels.iter().filter(|w| w.rail == side).count();
    let mut now = (count(Rail::Left), count(Rail::Right));
    let mut out: Vec<Segment> = Vec::new();
    let mut at = events.first().map_or(0, |e| e.0);
    for (x, side, live) in events {
        if x > at {
            push(&mut out, at, x, now);
            at = x;
        }
        let wheels_on = if side == Rail::Left { &mut now.0 } else { &mut now.1 };
        *wheels_on = if live { *wheels_on + 1 } else { wheels_on.saturating_sub(1) };
    }
    out
}

/// Adds a segment, joined to the one before when nothing changed.
fn push(out: &mut Vec<Segment>, from: i64, to: i64, (left_wheels, right_wheels): (usize, usize)) {
    let to_mm = milli(to);
    match out.last_mut() {
        Some(s) if (s.left_wheels, s.right_wheels) == (left_wheels, right_wheels) => {
            s.to_mm = to_mm;
        }
        _ => out.push(Segment { from_mm: milli(from), to_mm, left_wheels, right_wheels }),
    }
}
