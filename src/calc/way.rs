//! A way to turn a verdict: the least change of one thing that makes it clear.

use crate::aspect::Aspect;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Change {
    /// Lower track voltage.
    LowerVolts,
    /// Loads left out.
    LoadsOut,
    /// Lamps that draw less.
    LesserLamps,
    /// A decoder of a higher rating.
    HigherRating,
    /// A mechanism that runs freer.
    FreerMechanism,
}

/// The least change of one thing that turns one verdict to clear, all else as it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Way {
    /// The verdict it turns: `total_continuous_held`.
    pub turns: String,
    /// What is changed.
    pub change: Change,
    /// The same in words: `track voltage`.
    pub what: String,
    /// What it is now, in `unit`.
    pub from: f64,
    /// What it has to be, in `unit`.
    pub to: f64,
    /// Unit.
    pub unit: String,
    /// Names of what is left out; empty otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub out: Vec<String>,
    /// The aspect of the whole answer when this alone is changed.
    pub aspect_after: Aspect,
    /// What to do, one sentence, figures rounded to the safe side.
    pub sentence: String,
}
