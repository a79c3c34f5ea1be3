//! The wheels of the pickup map.

use crate::choices;
use crate::db::WheelId;
use serde::Serialize;

choices! {
    /// Rail side, looking forward.
    pub enum Side = "side" {
        Left = "left", "left";
        Right = "right", "right";
    }
}

impl Side {
    /// `L` or `R`, as wheels are called on the map.
    pub fn letter(self) -> char {
        match self {
            Side::Left => 'L',
            Side::Right => 'R',
        }
    }
}

/// What is said about a wheel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// Rail side.
    pub side: Side,
    /// Axle, 1 at the front.
    pub axle: i64,
    /// What shares its collector: engine, tender, front bogie.
    pub vehicle: String,
    /// Distance back from the front axle, µm.
    pub position_um: Option<i64>,
    /// Has a traction tyre.
    pub traction_tyre: bool,
    /// Was never meant to pick up.
    pub dead_by_design: bool,
}

/// A wheel as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Wheel {
    /// Id.
    pub id: WheelId,
    /// What is said about it.
    #[serde(flatten)]
    pub draft: Draft,
    /// Version.
    pub version: i64,
}

impl Wheel {
    /// `L2`.
    pub fn label(&self) -> String {
        format!("{}{}", self.draft.side.letter(), self.draft.axle)
    }
}
