//! Cells, pairs, the next reading and the verdict.

use super::tell::{self, Read};
use super::{
    Ask, Cell, Input, IsolationReading, Outcome, Pair, PairFinding, Point, Position, SOURCE,
};
use crate::aspect::{Aspect, Finding};
use std::cmp::Reverse;

/// What a reading that counts amounts to.
fn read(outcome: Outcome, open_above_ohm: f64) -> Read {
    match outcome {
        Outcome::Open => Read::Open,
        Outcome::Joined => Read::Joined,
        Outcome::Ohms { value, lo, .. } if lo >= open_above_ohm => Read::High { value },
        Outcome::Ohms { value, lo, .. } => Read::Low { value, lo },
    }
}

/// Leads of the plan, then leads that only readings name: a danger on one of those still counts.
fn leads(input: &Input) -> Vec<String> {
    let mut names = input.function_leads.clone();
    for reading in &input.readings {
        for point in [&reading.a, &reading.b] {
            if let Point::Lead(name) = point
                && !names.contains(name)
            {
                names.push(name.clone());
            }
        }
    }
    names
}

fn planned(input: &Input, pair: &Pair) -> bool {
    !matches!(&pair.a, Point::Lead(name) if !input.function_leads.contains(name))
}

/// Every pair in every position that is needed or was read.
pub(super) fn cells(input: &Input) -> Vec<Cell> {
    let mut out = Vec::new();
    for pair in Pair::in_order(true, &leads(input)) {
        for position in Position::ALL {
            let motor = input.has_motor || !pair.a.is_brush();
            let needed = motor && planned(input, &pair) && position.needs(&pair, input.has_bogies);
            out.extend(cell(input, &pair, position, needed));
        }
    }
    out
}

/// One cell; `None` where nothing was read and nothing is needed.
fn cell(input: &Input, pair: &Pair, position: Position, needed: bool) -> Option<Cell> {
    let mut here: Vec<&IsolationReading> = input
        .readings
        .iter()
        .filter(|r| r.position == position && Pair::new(r.a.clone(), r.b.clone()) == *pair)
        .collect();
    if here.is_empty() && !needed {
        return None;
    }
    let worst = |r: &IsolationReading| read(r.outcome, input.open_above_ohm).aspect().rank();
    here.sort_by_key(|r| (r.stale, Reverse(r.taken_at_ms), Reverse(worst(r))));
    let newest = here.first().copied();
    let shown = newest.map(|r| read(r.outcome, input.open_above_ohm));
    let counts = newest.filter(|r| !r.stale).and(shown);
    let sentence = match (counts, shown) {
        (Some(read), _) => tell::counts(pair, position, read, input.open_above_ohm),
        (None, Some(old)) => tell::stale(pair, position, old),
        (None, None) => tell::missing(pair, position),
    };
    Some(Cell {
        pair: pair.clone(),
        position,
        needed,
        aspect: counts.map_or(Aspect::Unlit, Read::aspect),
        was_joined: counts.is_none() && shown.is_some_and(|r| r.aspect() == Aspect::Danger),
        reads: counts.map_or_else(|| "not measured".to_owned(), Read::word),
        reading: newest.map(|r| r.reading.clone()),
        others: here.iter().skip(1).map(|r| r.reading.clone()).collect(),
        sentence,
    })
}

/// Whether a cell has a say: where it's asked for, and needed or once joined.
fn has_say(input: &Input, cell: &Cell) -> bool {
    input.positions.contains(&cell.position)
        && (cell.needed || cell.was_joined || cell.aspect == Aspect::Danger)
}

/// One verdict per pair that counts.
pub(super) fn pairs(input: &Input, cells: &[Cell]) -> Vec<PairFinding> {
    Pair::in_order(true, &leads(input))
        .into_iter()
        .filter_map(|pair| {
            let mut of: Vec<&Cell> =
                cells.iter().filter(|c| c.pair == pair && has_say(input, c)).collect();
            of.sort_by_key(|c| Reverse(c.aspect.rank()));
            pair_finding(input, &pair, &of, cells)
        })
        .collect()
}

fn pair_finding(
    input: &Input,
    pair: &Pair,
    worst_first: &[&Cell],
    all: &[Cell],
) -> Option<PairFinding> {
    let worst = worst_first.first()?;
    let needs = tell::needs(input.open_above_ohm);
    let mut told = vec![worst.sentence.clone()];
    let others = worst_first.iter().skip(1).filter(|c| c.aspect != Aspect::Clear);
    told.extend(others.map(|cell| cell.sentence.clone()));
    if worst.aspect == Aspect::Danger {
        told.extend(through_winding(input, pair, worst, all));
        told.push(tell::meaning(pair));
    }
    let mut finding = Finding::new(worst.aspect, told.join(" "))
        .formula(format!(
            "joined, or ohms whose low end is below {}, is danger",
            tell::limit(input.open_above_ohm)
        ))
        .source(SOURCE)
        .would_change(tell::would_change(pair, worst));
    for cell in worst_first {
        finding = finding.input(cell.position.word(), cell.reads.clone());
    }
    Some(PairFinding {
        pair: pair.clone(),
        title: tell::title(pair),
        reads: worst.reads.clone(),
        needs,
        readings: worst_first.iter().filter_map(|c| c.reading.clone()).collect(),
        meaning: tell::meaning(pair),
        finding,
    })
}

/// A brush that reads more ohms than the other brush to the same point: the winding lies between.
fn through_winding(input: &Input, pair: &Pair, cell: &Cell, all: &[Cell]) -> Option<String> {
    let other = match pair.a {
        Point::BrushA => Point::BrushB,
        Point::BrushB => Point::BrushA,
        _ => return None,
    };
    let twin = Pair::new(other, pair.b.clone());
    let low = all
        .iter()
        .find(|c| c.pair == twin && c.position == cell.position && c.aspect == Aspect::Danger)?;
    (ohms_of(input, low)? < ohms_of(input, cell)?).then(|| tell::winding_hint(&twin))
}

/// What a cell reads in ohms, a beep as none; `None` for open or nothing.
fn ohms_of(input: &Input, cell: &Cell) -> Option<f64> {
    let id = cell.reading.as_ref()?;
    let reading =
        input.readings.iter().find(|r| r.reading == *id && r.position == cell.position)?;
    match reading.outcome {
        Outcome::Open => None,
        Outcome::Joined => Some(0.0),
        Outcome::Ohms { value, .. } => Some(value),
    }
}

/// The readings to take: first what nobody measured, by position, then what is to be mended.
pub(super) fn asks(input: &Input, cells: &[Cell]) -> Vec<Ask> {
    let mut wanted: Vec<&Cell> =
        cells.iter().filter(|c| has_say(input, c) && c.aspect != Aspect::Clear).collect();
    wanted.sort_by_key(|c| (c.aspect == Aspect::Danger, c.position));
    wanted
        .into_iter()
        .map(|cell| Ask {
            pair: cell.pair.clone(),
            position: cell.position,
            what: tell::ask(&cell.pair, cell.position, cell.aspect == Aspect::Danger),
            expect: tell::needs(input.open_above_ohm),
            how: tell::how(&cell.pair, cell.position),
        })
        .collect()
}

/// The verdict over all pairs that count.
pub(super) fn overall(input: &Input, pairs: &[PairFinding]) -> Finding {
    let of = |aspect: Aspect| pairs.iter().filter(move |p| p.finding.aspect == aspect);
    let (joined, missing) = (of(Aspect::Danger).count(), of(Aspect::Unlit).count());
    let aspect = Aspect::worst(pairs.iter().map(|p| p.finding.aspect));
    let where_read: Vec<&str> = input.positions.iter().map(|p| p.word()).collect();
    let open = format!("{} of {} pairs read open", pairs.len() - joined - missing, pairs.len());
    let sentence = match (pairs.iter().max_by_key(|p| p.finding.aspect.rank()), aspect) {
        (None, _) => "Nothing is to be measured in these positions.".to_owned(),
        (Some(_), Aspect::Clear) => {
            format!("All {} pairs read open, {}.", pairs.len(), where_read.join(" and "))
        }
        (Some(_), Aspect::Danger) => {
            of(Aspect::Danger).map(|p| p.finding.sentence.clone()).next().unwrap_or_default()
        }
        (Some(_), _) => format!("{open}, {missing} not measured, {}.", where_read.join(" and ")),
    };
    let change = match aspect {
        Aspect::Clear => "Any pair that reads below the limit.",
        Aspect::Danger => "The same two points read open on a later reading.",
        _ => "A reading of every pair that isn’t measured.",
    };
    Finding::new(aspect, sentence)
        .input("pairs joined", joined.to_string())
        .input("pairs not measured", missing.to_string())
        .input("pairs", pairs.len().to_string())
        .formula("a pair is as bad as its worst position; the walk is as bad as its worst pair")
        .source(SOURCE)
        .would_change(change)
}
