//! Ratings of the chosen decoder, and the loads planned on it.

use crate::choices;
use crate::db::{DecoderId, LoadId, Millis};
use serde::Serialize;

choices! {
    /// Where a value comes from.
    pub enum Basis = "origin" {
        Measured = "measured", "measured";
        DataSheet = "data_sheet", "data sheet";
        Guess = "guess", "guess";
    }
}

choices! {
    /// Kind of load.
    pub enum LoadKind = "kind of load" {
        Lamp = "lamp", "lamp";
        Led = "led", "LED";
        Sound = "sound", "sound amplifier";
        Smoke = "smoke", "smoke unit";
        Store = "store", "hold-up store charging";
        Other = "other", "something else";
    }
}

/// What the form says about a decoder. Milliamps and milliseconds; `None`: the sheet does not say.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DecoderDraft {
    /// The household's own name for it.
    pub name: String,
    /// Motor, continuous, mA.
    pub motor_continuous_ma: Option<i64>,
    /// Motor, peak, mA.
    pub motor_peak_ma: Option<i64>,
    /// How long the peak may last, ms.
    pub motor_peak_ms: Option<i64>,
    /// Everything together, continuous, mA.
    pub total_continuous_ma: Option<i64>,
    /// Each function output, mA.
    pub function_ma: Option<i64>,
    /// Where the ratings come from.
    pub basis: Basis,
    /// Which sheet, which issue.
    pub rated_for: String,
}

/// A decoder as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Decoder {
    /// Id.
    pub id: DecoderId,
    /// What the form says.
    #[serde(flatten)]
    pub draft: DecoderDraft,
    /// When last changed, ms.
    pub changed_at: Millis,
    /// Version.
    pub version: i64,
}

/// What the form says about a planned load.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LoadDraft {
    /// Name: front lamp.
    pub name: String,
    /// Kind.
    pub kind: LoadKind,
    /// Current of each, µA.
    pub each_ua: i64,
    /// How many.
    pub count: i64,
    /// Function output it hangs on; empty: none.
    pub output: String,
    /// Current as typed.
    pub typed: String,
    /// Where the current comes from.
    pub basis: Basis,
}

/// A planned load as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Load {
    /// Id.
    pub id: LoadId,
    /// What the form says.
    #[serde(flatten)]
    pub draft: LoadDraft,
    /// Version.
    pub version: i64,
}
