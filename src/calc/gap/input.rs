//! Wheels, and the dead lengths of a route.

use crate::calc::holdup::Speed;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A rail, looking forward in the direction of travel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Rail {
    /// Left rail.
    Left,
    /// Right rail.
    Right,
}

/// One rail or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Rails {
    /// Left rail only.
    Left,
    /// Right rail only.
    Right,
    /// Both rails.
    Both,
}

impl Rails {
    /// Whether it covers a rail.
    pub fn covers(self, rail: Rail) -> bool {
        matches!(
            (self, rail),
            (Rails::Both, _) | (Rails::Left, Rail::Left) | (Rails::Right, Rail::Right)
        )
    }
}

/// One wheel that should pick up.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Where it stands along the locomotive, mm, forward positive, −5000 to 5000.
    #[schemars(title = "Position", range(min = -5000.0, max = 5000.0))]
    pub position_mm: f64,
    /// Which rail it runs on.
    #[schemars(title = "Rail")]
    pub rail: Rail,
    /// Whether it picks up, as measured. Not given: not measured.
    #[serde(default)]
    #[schemars(title = "Picks up")]
    pub works: Option<bool>,
}

/// One dead stretch of the route.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stretch {
    /// Where it begins along the route, mm, −1 000 000 to 1 000 000.
    #[schemars(title = "Begins at", range(min = -1_000_000.0, max = 1_000_000.0))]
    pub from_mm: f64,
    /// Where it ends, mm, not before its beginning.
    #[schemars(title = "Ends at")]
    pub to_mm: f64,
    /// Which rail is dead.
    #[schemars(title = "Rail")]
    pub rail: Rails,
    /// What it is: frog, insulated crossing, dirt. At most 80 characters.
    #[serde(default)]
    #[schemars(title = "Name")]
    pub name: String,
}

/// One dead length in a sequence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeadLength {
    /// Its length, mm, 0 to 100 000.
    #[schemars(title = "Dead length", range(min = 0.0, max = 100_000.0))]
    pub length_mm: f64,
    /// Which rail is dead.
    #[schemars(title = "Rail")]
    pub rail: Rails,
    /// Live track after it, mm, 0 to 100 000.
    #[serde(default)]
    #[schemars(title = "Live track after it", range(min = 0.0, max = 100_000.0))]
    pub live_after_mm: f64,
    /// What it is. At most 80 characters.
    #[serde(default)]
    #[schemars(title = "Name")]
    pub name: String,
}

/// Wheels and a route.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Wheels and a route")]
pub struct Input {
    /// Wheels, at most 64.
    #[schemars(title = "Wheels")]
    pub wheels: Vec<Wheel>,
    /// Dead stretches by their place, in any order, at most 500. Give this or `sequence`.
    #[serde(default)]
    #[schemars(title = "Dead stretches")]
    pub dead: Vec<Stretch>,
    /// Dead lengths one after another, at most 500. Give this or `dead`.
    #[serde(default)]
    #[schemars(title = "Dead lengths in a row")]
    pub sequence: Vec<DeadLength>,
    /// Travel that a hold-up store carries the locomotive, mm, as measured, 0 to 1 000 000. Not
    /// given: none is counted on.
    #[serde(default)]
    #[schemars(title = "Carried by the store", range(min = 0.0, max = 1_000_000.0))]
    pub carried_mm: Option<f64>,
    /// Speed, for the time without supply.
    #[serde(default)]
    #[schemars(title = "Speed")]
    pub speed: Speed,
}
