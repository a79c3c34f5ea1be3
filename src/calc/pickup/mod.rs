//! The pickup map: which wheels reach their collection point, and what the ones that don't share.
//!
//! Answers: how many wheels pick up from each rail, over what wheelbase, which wheel is at fault, and
//! where to look first.
//! Inputs: wheels by side and axle, each open, unmeasured or with ohms (0 to 100 000 000 Ω, value and
//! bounds, steady or not while turned); two limits, 0.01 to 1 000 Ω.
//! Rule: a wheel works when the high end of its ohms is no more than `bad_above_ohm`; it's good when
//! that end is below `good_below_ohm` and the reading is steady. Wheels with a traction tyre or dead by
//! design don't count. What faulty wheels share is the least set of causes (one wheel, an axle, a side
//! of a vehicle, a vehicle, a side throughout) which covers every faulty wheel and no working one;
//! of equally small sets the one that overlaps least comes first.
//! What comes back: counts and wheelbase per rail, faults by name, causes, one finding per wheel and
//! one for the map. Unmeasured is unlit, a rail without a working wheel is danger, any fault caution.
//! Errors: refused fields; more than 128 wheels; two wheels of one name or one place.
//! Source: limits and groups are common practice, no source.
//! Worked example: `one_wheel_in_four_without_contact_is_named_with_side_and_axle`.

mod explain;
mod read;
#[cfg(test)]
mod tests;

use super::{Answer, Bounded, FieldRefusal, Refusals, Value, require, within};
use crate::aspect::Finding;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Most wheels of one map.
const MOST_WHEELS: usize = 128;
const SOURCE: &str = "common practice, no source";

/// Side of the model, looking forward.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Left rail.
    Left,
    /// Right rail.
    Right,
}

impl Side {
    /// Both, left first.
    pub const ALL: [Side; 2] = [Side::Left, Side::Right];

    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// What the meter showed between a wheel and its collection point.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum WheelState {
    /// Nobody measured it.
    #[default]
    Unmeasured,
    /// A number of ohms.
    Ohms {
        /// As read, Ω, 0 to 100 000 000.
        value: f64,
        /// Low end by the meter’s accuracy, Ω.
        lo: f64,
        /// High end by the meter’s accuracy, Ω.
        hi: f64,
        /// It stays put while the wheel is turned and wiggled.
        steady: bool,
    },
    /// Over range: no contact.
    Open,
}

/// One wheel of the map.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Name as people say it: `L2`. 1 to 40 letters, once each.
    pub id: String,
    /// Side, looking forward.
    pub side: Side,
    /// Axle, 1 at the front, 1 to 99.
    pub axle: u32,
    /// What shares a collector: `engine`, `tender`, `front bogie`. 1 to 60 letters.
    pub vehicle: String,
    /// Position along the model, mm from any one point, −10 000 to 10 000; `None`: not known.
    #[serde(default)]
    pub position_mm: Option<f64>,
    /// It wears a traction tyre and so can't pick up.
    #[serde(default)]
    pub traction_tyre: bool,
    /// It's insulated or has no wiper on purpose.
    #[serde(default)]
    pub dead_by_design: bool,
    /// Its latest reading.
    #[serde(default)]
    pub state: WheelState,
}

impl Wheel {
    /// Whether it's meant to pick up.
    pub fn fitted(&self) -> bool {
        !self.traction_tyre && !self.dead_by_design
    }
}

/// The map and its limits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Pickup map")]
pub struct Input {
    /// All wheels, those that aren't meant to pick up included.
    pub wheels: Vec<Wheel>,
    /// A wheel below this is good, Ω, 0.01 to 1 000.
    #[serde(default = "default_good_below_ohm")]
    pub good_below_ohm: f64,
    /// A wheel above this is bad, Ω, 0.01 to 1 000, no less than the other limit.
    #[serde(default = "default_bad_above_ohm")]
    pub bad_above_ohm: f64,
}

fn default_good_below_ohm() -> f64 {
    1.0
}

fn default_bad_above_ohm() -> f64 {
    2.0
}

impl Input {
    /// A map with the usual limits.
    pub fn of(wheels: Vec<Wheel>) -> Self {
        Input {
            wheels,
            good_below_ohm: default_good_below_ohm(),
            bad_above_ohm: default_bad_above_ohm(),
        }
    }
}

/// What one wheel counts as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Contact {
    /// Not meant to pick up.
    NotFitted,
    /// Not measured.
    Unmeasured,
    /// Works as wanted.
    Good,
    /// Works, with too many ohms or unsteady.
    Weak,
    /// Doesn't work.
    Faulty,
}

/// One wheel's verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WheelFinding {
    /// Name of the wheel.
    pub id: String,
    /// What it counts as.
    pub contact: Contact,
    /// The verdict; `None` for a wheel that isn't meant to pick up.
    pub finding: Option<Finding>,
}

/// One rail's count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Rail {
    /// Which.
    pub side: Side,
    /// Wheels that work.
    pub working: u32,
    /// Wheels that don't.
    pub faulty: u32,
    /// Wheels nobody measured.
    pub unmeasured: u32,
    /// Wheels meant to pick up.
    pub fitted: u32,
    /// Wheels on the map.
    pub listed: u32,
    /// Distance between the outermost working wheels of known position, mm; `None`: none known.
    pub wheelbase_mm: Option<f64>,
    /// Working wheels of unknown position: the wheelbase may be longer.
    pub positions_missing: u32,
}

/// A fault, named as people say it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Fault {
    /// Name of the wheel.
    pub wheel: String,
    /// `Wheel L2: left side, axle 2 from the front, reads open.`
    pub sentence: String,
}

/// What a cause lies in.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum CauseKind {
    /// One side throughout: the common lead to the decoder terminal.
    Lead,
    /// A whole vehicle: its lead or plug.
    Vehicle,
    /// One side of one vehicle: its collector or lead.
    VehicleSide,
    /// Both wheels of one axle.
    Axle,
    /// One wheel.
    Wheel,
}

/// One cause and the faulty wheels it covers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Cause {
    /// What it lies in.
    pub kind: CauseKind,
    /// Names of the faulty wheels it covers, in the order of the map.
    pub wheels: Vec<String>,
    /// What they share and where to look.
    pub sentence: String,
}

/// A set of causes which covers every faulty wheel and no working one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Explanation {
    /// The causes, widest first.
    pub causes: Vec<Cause>,
    /// All of it in words.
    pub sentence: String,
}

/// What the map says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Left rail.
    pub left: Rail,
    /// Right rail.
    pub right: Rail,
    /// One verdict per wheel, in the order of the map.
    pub wheels: Vec<WheelFinding>,
    /// The faults, in the order of the map.
    pub faults: Vec<Fault>,
    /// The simplest explanations, all equally simple; at most six. Empty without a fault.
    pub explanations: Vec<Explanation>,
    /// The verdict on the map.
    pub finding: Finding,
}

/// Reads the map. See the head of this file.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refused = refusals(input);
    if !refused.is_empty() {
        return Err(refused);
    }
    let map = read::Map::of(input);
    let [left, right] = Side::ALL.map(|side| map.rail(side));
    let faults = map.faults();
    let explanations = explain::explanations(&map);
    let wheels = map.wheel_findings();
    let finding = map.overall([left, right], &faults, &explanations);
    Ok(Output { left, right, wheels, faults, explanations, finding })
}

impl Output {
    /// The result in the common shape.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        for rail in [self.left, self.right] {
            let side = rail.side.word();
            for (name, count) in [("working", rail.working), ("fitted", rail.fitted)] {
                values.push(
                    Value::new(
                        &format!("{side}_{name}"),
                        &format!("Wheels {name}, {side} rail"),
                        Bounded::exact(count.into()),
                        "",
                    )
                    .by("a count", SOURCE),
                );
            }
            if let Some(base) = rail.wheelbase_mm {
                values.push(
                    Value::new(
                        &format!("{side}_wheelbase_mm"),
                        &format!("Pickup wheelbase, {side} rail"),
                        Bounded::exact(base),
                        "mm",
                    )
                    .by("outermost working wheels", SOURCE),
                );
            }
        }
        let wheels = self.wheels.iter().filter_map(|w| w.finding.clone());
        let findings = std::iter::once(self.finding.clone()).chain(wheels).collect();
        Answer::new("pickup", values, findings)
    }
}

fn refusals(input: &Input) -> Refusals {
    let mut out = Refusals::new();
    within(&mut out, "good_below_ohm", input.good_below_ohm, 0.01, 1000.0);
    within(&mut out, "bad_above_ohm", input.bad_above_ohm, 0.01, 1000.0);
    require(
        &mut out,
        input.good_below_ohm <= input.bad_above_ohm,
        "good_below_ohm",
        "more than bad_above_ohm",
        "no more than bad_above_ohm",
    );
    if input.wheels.len() > MOST_WHEELS {
        let given = input.wheels.len().to_string();
        out.push(FieldRefusal::new("wheels", given, format!("at most {MOST_WHEELS} wheels")));
        return out;
    }
    let (mut names, mut places) = (BTreeSet::new(), BTreeSet::new());
    for (i, wheel) in input.wheels.iter().enumerate() {
        let at = |field: &str| format!("wheels.{i}.{field}");
        refuse_wheel(&mut out, wheel, &at);
        let once = names.insert(wheel.id.as_str());
        require(&mut out, once, &at("id"), &wheel.id, "each name once");
        let place = (wheel.vehicle.as_str(), wheel.axle, wheel.side);
        let given = format!("{} wheel of axle {} again", wheel.side.word(), wheel.axle);
        require(&mut out, places.insert(place), &at("axle"), &given, "each place once");
    }
    out
}

fn refuse_wheel(out: &mut Refusals, wheel: &Wheel, at: &dyn Fn(&str) -> String) {
    let letters = |text: &str, most| (1..=most).contains(&text.trim().chars().count());
    require(out, letters(&wheel.id, 40), &at("id"), &wheel.id, "1 to 40 letters");
    require(out, letters(&wheel.vehicle, 60), &at("vehicle"), &wheel.vehicle, "1 to 60 letters");
    within(out, &at("axle"), wheel.axle.into(), 1.0, 99.0);
    if let Some(position) = wheel.position_mm {
        within(out, &at("position_mm"), position, -10_000.0, 10_000.0);
    }
    if let WheelState::Ohms { value, lo, hi, .. } = wheel.state {
        let before = out.len();
        within(out, &at("state.ohms.value"), value, 0.0, 1e8);
        within(out, &at("state.ohms.lo"), lo, -1e8, 1e8);
        within(out, &at("state.ohms.hi"), hi, 0.0, 1e9);
        let ordered = out.len() > before || (lo <= value && value <= hi);
        require(out, ordered, &at("state.ohms"), "ends in the wrong order", "lo ≤ value ≤ hi");
    }
}
