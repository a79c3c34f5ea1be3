//! The isolation walk: nothing from either rail, or from the frame, may reach a motor brush.
//!
//! Answers: which pairs of points are proved apart by readings, which are joined, what to measure next.
//! Inputs: readings between two points in one of four positions of the model, each open, joined or with
//! ohms (0 to 10 000 000 000 Ω, value and bounds); names of the function leads; the limit above which a
//! pair counts as open, 1 000 to 100 000 000 Ω.
//! Rule: of each pair and position the newest reading that isn't stale counts. Joined, or ohms whose low
//! end is below the limit, is danger; open, or ohms all above it, is clear; no reading, or only stale
//! ones, is unlit. A pair is as bad as the worst of the positions asked for: where the pair is needed,
//! and where it isn't but was read as joined. A reading is proof, a plan isn't.
//! Needed: each brush to each rail, each brush to the frame, rail to rail, and each function lead to
//! frame and both rails; in the frame and with the shell on all of them, with the bogies swung the pairs
//! without leads, with the motor bare only brush to frame (then the motor's own case).
//! What comes back: a cell per pair and position, a verdict per pair with what it means, the next
//! reading to take with what to expect, one verdict for the positions asked for.
//! Errors: refused fields. A reading between points that aren't a pair of the walk (brush to brush, rail
//! to frame) is left out of the verdict.
//! Source: common practice, no source (over 1 MΩ counts as open; a meter shows over-range).
//! Worked example: `a_brush_on_a_rail_is_danger_and_says_what_first_power_would_do`.

mod judge;
mod point;
mod tell;
#[cfg(test)]
mod tests;

pub use point::{Pair, Point, Position};
pub use tell::{meaning, title};

use super::{Answer, Bounded, FieldRefusal, Refusals, Value, require, within};
use crate::aspect::{Aspect, Finding};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

const SOURCE: &str = "common practice, no source";
/// Most readings of one walk.
const MOST_READINGS: usize = 10_000;
/// Most function leads.
const MOST_LEADS: usize = 64;

/// What the meter showed between two points.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Outcome {
    /// Over range.
    Open,
    /// The beep, without a number.
    Joined,
    /// A number of ohms.
    Ohms {
        /// As read, Ω, 0 to 10 000 000 000.
        value: f64,
        /// Low end by the meter’s accuracy, Ω.
        lo: f64,
        /// High end by the meter’s accuracy, Ω.
        hi: f64,
    },
}

/// One reading of the walk.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IsolationReading {
    /// One probe: `brush_a`, `rail_left`, `frame` or a lead by its name.
    pub a: Point,
    /// The other probe; not the same point.
    pub b: Point,
    /// State of the model.
    pub position: Position,
    /// What the meter showed.
    pub outcome: Outcome,
    /// Id of the reading, kept with the verdict.
    pub reading: String,
    /// When, ms since 1970 UTC.
    pub taken_at_ms: i64,
    /// Something it rests on changed after it.
    #[serde(default)]
    pub stale: bool,
}

/// The walk so far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Isolation")]
pub struct Input {
    /// All readings, old ones included.
    pub readings: Vec<IsolationReading>,
    /// Bogies, trucks or pony wheels swing.
    #[serde(default)]
    pub has_bogies: bool,
    /// A motor is in the model. Without one there are no brushes to measure.
    #[serde(default = "default_has_motor")]
    pub has_motor: bool,
    /// Names of the function and speaker leads planned, once each.
    #[serde(default)]
    pub function_leads: Vec<String>,
    /// The positions the verdict is wanted for, at least one.
    #[serde(default = "default_positions")]
    pub positions: Vec<Position>,
    /// At or above this a pair counts as open, Ω, 1 000 to 100 000 000.
    #[serde(default = "default_open_above_ohm")]
    pub open_above_ohm: f64,
}

fn default_has_motor() -> bool {
    true
}

fn default_positions() -> Vec<Position> {
    vec![Position::InFrame]
}

fn default_open_above_ohm() -> f64 {
    1_000_000.0
}

impl Input {
    /// A walk with the usual limit, a motor, no bogies and no leads, asked for in the frame.
    pub fn of(readings: Vec<IsolationReading>) -> Self {
        Input {
            readings,
            has_bogies: false,
            has_motor: true,
            function_leads: Vec::new(),
            positions: default_positions(),
            open_above_ohm: default_open_above_ohm(),
        }
    }
}

/// One pair in one position.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Cell {
    /// The pair.
    pub pair: Pair,
    /// The position.
    pub position: Position,
    /// Whether a reading is needed here, whatever positions are asked for.
    pub needed: bool,
    /// Its aspect.
    pub aspect: Aspect,
    /// Only stale readings, and the newest of them wasn't open.
    pub was_joined: bool,
    /// `open`, `0.4 Ω`, `not measured`.
    pub reads: String,
    /// Id of the reading that counts, or of the newest stale one.
    pub reading: Option<String>,
    /// Ids of all other readings of this place, newest first.
    pub others: Vec<String>,
    /// One sentence.
    pub sentence: String,
}

/// One pair over the positions asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PairFinding {
    /// The pair.
    pub pair: Pair,
    /// `Brush A is off the right rail`.
    pub title: String,
    /// What the deciding cell reads.
    pub reads: String,
    /// `open, > 1 MΩ`.
    pub needs: String,
    /// Ids of the readings looked at, the deciding one first.
    pub readings: Vec<String>,
    /// What a join here means and where to look.
    pub meaning: String,
    /// The verdict.
    pub finding: Finding,
}

/// A reading to take.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Ask {
    /// The pair.
    pub pair: Pair,
    /// The position.
    pub position: Position,
    /// `Measure brush A to left rail, in the frame.`
    pub what: String,
    /// `open, > 1 MΩ`.
    pub expect: String,
    /// How to hold the probes and the model.
    pub how: String,
}

/// What the walk says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Every pair in every position that is needed or was read, by pair, then position.
    pub cells: Vec<Cell>,
    /// Every pair that counts for the positions asked for, in the order people work.
    pub pairs: Vec<PairFinding>,
    /// The readings to take, first one next. Joined pairs come last, to be repeated once mended.
    pub asks: Vec<Ask>,
    /// The verdict for the positions asked for.
    pub finding: Finding,
}

/// Judges the walk. See the head of this file.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refused = refusals(input);
    if !refused.is_empty() {
        return Err(refused);
    }
    let cells = judge::cells(input);
    let pairs = judge::pairs(input, &cells);
    let asks = judge::asks(input, &cells);
    let finding = judge::overall(input, &pairs);
    Ok(Output { cells, pairs, asks, finding })
}

impl Output {
    /// The result in the common shape.
    pub fn answer(&self) -> Answer {
        let count = |aspect: Aspect| {
            self.pairs.iter().filter(|p| p.finding.aspect == aspect).fold(0.0, |n, _| n + 1.0)
        };
        let values = [
            ("pairs_joined", "Pairs joined", Aspect::Danger),
            ("pairs_open", "Pairs open", Aspect::Clear),
            ("pairs_not_measured", "Pairs not measured", Aspect::Unlit),
        ]
        .map(|(name, label, aspect)| {
            Value::new(name, label, Bounded::exact(count(aspect)), "").by("a count", SOURCE)
        });
        let pairs = self.pairs.iter().map(|p| p.finding.clone());
        let findings = std::iter::once(self.finding.clone()).chain(pairs).collect();
        Answer::new("isolation", values.into(), findings)
    }
}

fn refusals(input: &Input) -> Refusals {
    let mut out = Refusals::new();
    within(&mut out, "open_above_ohm", input.open_above_ohm, 1e3, 1e8);
    require(&mut out, !input.positions.is_empty(), "positions", "none", "at least one position");
    for (field, given, most) in [
        ("readings", input.readings.len(), MOST_READINGS),
        ("function_leads", input.function_leads.len(), MOST_LEADS),
    ] {
        if given > most {
            out.push(FieldRefusal::new(field, given.to_string(), format!("at most {most}")));
        }
    }
    let mut names = BTreeSet::new();
    for (i, name) in input.function_leads.iter().enumerate() {
        let field = format!("function_leads.{i}");
        let named = matches!(Point::from(name.clone()), Point::Lead(_));
        require(&mut out, named, &field, name, "a name that isn’t one of the fixed points");
        let letters = (1..=60).contains(&name.trim().chars().count());
        require(&mut out, letters, &field, name, "1 to 60 letters");
        require(&mut out, names.insert(name), &field, name, "each name once");
    }
    for (i, reading) in input.readings.iter().enumerate() {
        let same = reading.a == reading.b;
        let allowed = "two different points";
        require(&mut out, !same, &format!("readings.{i}.b"), reading.b.key(), allowed);
        refuse_outcome(&mut out, &format!("readings.{i}.outcome.ohms"), reading.outcome);
    }
    out
}

fn refuse_outcome(out: &mut Refusals, field: &str, outcome: Outcome) {
    let Outcome::Ohms { value, lo, hi } = outcome else { return };
    let before = out.len();
    within(out, &format!("{field}.value"), value, 0.0, 1e10);
    within(out, &format!("{field}.lo"), lo, -1e10, 1e10);
    within(out, &format!("{field}.hi"), hi, 0.0, 1e11);
    let ordered = out.len() > before || (lo <= value && value <= hi);
    require(out, ordered, field, "ends in the wrong order", "lo ≤ value ≤ hi");
}
