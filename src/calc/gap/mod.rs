//! Gap: how far the locomotive runs without supply over dead track.
//!
//! From wheel positions with working pickup on each rail and the dead stretches of a route (frog,
//! insulated crossing, dirt), the exact lengths of travel without contact on the left rail, on the
//! right rail, and on either (the decoder has no supply when either rail has none).
//!
//! Inputs: positions in mm along the locomotive, forward positive; stretches in mm along the route,
//! or a sequence of dead lengths; whether each wheel picks up, as read. A bad wheel counts as
//! missing. A wheel nobody measured counts as missing in the value and in the high bound, as good
//! in the low one. Formula: rail r is dead at travel x when every working wheel w of that rail
//! stands on dead rail, x + p_w ∈ D_r; so its dead travel is the intersection over the wheels of
//! the stretches moved back by p_w, and the supply is off on the union of both rails. Worked in
//! whole micrometres, so exact. Errors: positions and stretches outside their range, both or
//! neither kind of route. Source: geometry. Worked example: wheels at 0 and 30 mm over 50 mm of
//! dead rail: 20 mm of travel.

use super::answer::{Answer, Bounded, FieldRefusal, Refusals, require, within};
use super::plot::Plot;
use super::read::read;
use super::registry::{Calculation, schema};
use crate::aspect::Finding;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod findings;
mod input;
mod plots;
mod travel;
mod values;

pub use input::{DeadLength, Input, Rail, Rails, Stretch, Wheel};

/// The entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "gap",
    title: "Over dead track",
    question: "How far does the locomotive run without supply over the dead lengths of a route?",
    caution: "",
    example: r#"{"wheels": [
  {"position_mm": 0, "rail": "left", "works": true},
  {"position_mm": 0, "rail": "right", "works": true},
  {"position_mm": 30, "rail": "left", "works": false},
  {"position_mm": 30, "rail": "right", "works": true}],
 "dead": [{"from_mm": 100, "to_mm": 122, "rail": "left", "name": "frog"},
  {"from_mm": 140, "to_mm": 180, "rail": "right", "name": "insulated crossing"}],
 "speed": {"scale_mph": 30, "scale_ratio": 87.1}}"#,
    run: |json| read::<Input>(json).and_then(|input| run(&input)).map(|output| output.answer()),
    input_schema: schema::<Input>,
};

/// A piece of travel during which nothing changes, for the strip drawing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Segment {
    /// Travel at its start, mm: where position 0 of the locomotive stands on the route.
    pub from_mm: f64,
    /// Travel at its end, mm.
    pub to_mm: f64,
    /// Working wheels that stand on live left rail.
    pub left_wheels: usize,
    /// Working wheels that stand on live right rail.
    pub right_wheels: usize,
}

/// A piece of travel without contact.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Break {
    /// Travel at its start, mm.
    pub from_mm: f64,
    /// Travel at its end, mm.
    pub to_mm: f64,
    /// Which rails are without contact at some point of it.
    pub rail: Rails,
    /// The dead stretches the wheels stand on, by name.
    pub over: Vec<String>,
}

/// Travel without contact, of one rail or of the supply.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Travel {
    /// Longest piece, mm.
    pub longest_mm: Bounded,
    /// All pieces together, mm.
    pub total_mm: Bounded,
    /// Count of pieces, unmeasured wheels counted as missing.
    pub pieces: usize,
}

/// What the route does to the supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The route as stretches, ordered.
    pub dead: Vec<Stretch>,
    /// Left rail alone; `None`: no wheel picks up there.
    pub left: Option<Travel>,
    /// Right rail alone; `None`: no wheel picks up there.
    pub right: Option<Travel>,
    /// The supply: either rail without contact; `None`: a rail has no wheel that picks up.
    pub supply: Option<Travel>,
    /// Longest travel without supply when the locomotive is turned end for end, mm.
    pub turned_longest_mm: Option<f64>,
    /// Shortest travel with supply between two breaks, mm: what a store has to recharge in.
    pub least_live_mm: Option<f64>,
    /// Longest time without supply, s.
    pub longest_s: Option<f64>,
    /// Every break of the supply, in order.
    pub breaks: Vec<Break>,
    /// The whole travel in pieces, for the strip drawing.
    pub segments: Vec<Segment>,
    /// The verdicts.
    pub findings: Vec<Finding>,
    /// The locomotive over the dead lengths.
    pub plots: Vec<Plot>,
}

/// Runs the calculation.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let speed = input.speed.mm_per_s("speed")?;
    let dead = route(input);
    let bad = travel::over(&counted(&input.wheels, false), &dead);
    let good = travel::over(&counted(&input.wheels, true), &dead);
    let between = |bad: &Option<Vec<travel::Piece>>, good: &Option<Vec<travel::Piece>>| {
        let (bad, good) = (bad.as_ref()?, good.as_ref()?);
        let (most, least) = (travel::longest(bad), travel::longest(good));
        let (all, some) = (travel::total(bad), travel::total(good));
        Some(Travel {
            longest_mm: Bounded { value: most, lo: least, hi: most },
            total_mm: Bounded { value: all, lo: some, hi: all },
            pieces: bad.len(),
        })
    };
    let turned = travel::over(&turned(&counted(&input.wheels, false)), &dead);
    let supply = between(&bad.supply, &good.supply);
    let pieces = bad.supply.unwrap_or_default();
    let mut output = Output {
        left: between(&bad.left, &good.left),
        right: between(&bad.right, &good.right),
        supply,
        turned_longest_mm: turned.supply.map(|p| travel::longest(&p)),
        least_live_mm: travel::least_between(&pieces),
        longest_s: speed.zip(supply).map(|(v, t)| t.longest_mm.value / v),
        breaks: travel::breaks(&pieces, &counted(&input.wheels, false), &dead),
        segments: travel::segments(&counted(&input.wheels, false), &dead),
        dead,
        findings: Vec::new(),
        plots: Vec::new(),
    };
    output.findings = findings::all(input, &output);
    output.plots = plots::all(input, &output);
    Ok(output)
}

/// The wheels that count: those that work, and the unmeasured ones when `hoped`.
fn counted(wheels: &[Wheel], hoped: bool) -> Vec<Wheel> {
    wheels.iter().filter(|w| w.works.unwrap_or(hoped)).copied().collect()
}

/// The locomotive turned end for end on the same route.
fn turned(wheels: &[Wheel]) -> Vec<Wheel> {
    wheels
        .iter()
        .map(|w| Wheel {
            position_mm: -w.position_mm,
            rail: if w.rail == Rail::Left { Rail::Right } else { Rail::Left },
            works: w.works,
        })
        .collect()
}

/// The route as ordered stretches.
fn route(input: &Input) -> Vec<Stretch> {
    let mut dead = input.dead.clone();
    let mut at = 0.0;
    for piece in &input.sequence {
        let end = at + piece.length_mm;
        let (rail, name) = (piece.rail, piece.name.clone());
        dead.push(Stretch { from_mm: at, to_mm: end, rail, name });
        at = end + piece.live_after_mm;
    }
    dead.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm).then(a.to_mm.total_cmp(&b.to_mm)));
    dead
}

/// Checks every field.
fn refuse(input: &Input) -> Refusals {
    let mut r = Refusals::new();
    let counts = [
        ("wheels", input.wheels.len(), 64),
        ("dead", input.dead.len(), 500),
        ("sequence", input.sequence.len(), 500),
    ];
    for (field, count, most) in counts {
        if count > most {
            r.push(FieldRefusal::new(field, count.to_string(), format!("at most {most}")));
        }
    }
    let one = input.dead.is_empty() != input.sequence.is_empty();
    require(&mut r, one, "dead", "both or neither", "either dead or sequence, not empty");
    for (i, w) in input.wheels.iter().enumerate() {
        within(&mut r, &format!("wheels.{i}.position_mm"), w.position_mm, -5000.0, 5000.0);
    }
    for (i, s) in input.dead.iter().enumerate() {
        within(&mut r, &format!("dead.{i}.from_mm"), s.from_mm, -1e6, 1e6);
        within(&mut r, &format!("dead.{i}.to_mm"), s.to_mm, s.from_mm.clamp(-1e6, 1e6), 1e6);
        name_fits(&mut r, &format!("dead.{i}.name"), &s.name);
    }
    for (i, s) in input.sequence.iter().enumerate() {
        within(&mut r, &format!("sequence.{i}.length_mm"), s.length_mm, 0.0, 1e5);
        within(&mut r, &format!("sequence.{i}.live_after_mm"), s.live_after_mm, 0.0, 1e5);
        name_fits(&mut r, &format!("sequence.{i}.name"), &s.name);
    }
    if let Some(carried) = input.carried_mm {
        within(&mut r, "carried_mm", carried, 0.0, 1e6);
    }
    input.speed.refuse(&mut r, "speed");
    r
}

/// Names are short.
fn name_fits(r: &mut Refusals, field: &str, name: &str) {
    require(r, name.chars().count() <= 80, field, "a longer text", "at most 80 characters");
}

impl Output {
    /// The answer as every face shows it.
    pub fn answer(&self) -> Answer {
        Answer::new("gap", values::of(self), self.findings.clone()).drawn(self.plots.clone())
    }
}

#[cfg(test)]
mod tests;
