//! What surrounds a store: resistors, programming track, booster, and what was tried.

use super::input::one;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A resistor and what it is rated for.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Resistor {
    /// Resistance, Ω, 0.01 to 1 000 000. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Resistance", range(min = 0.01, max = 1_000_000.0))]
    pub ohm: Option<f64>,
    /// Power rating, W, 0.01 to 200. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Power rating", range(min = 0.01, max = 200.0))]
    pub rating_w: Option<f64>,
}

/// The programming track.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Programming {
    /// Voltage of the programming output, V, 5 to 30. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Output voltage", range(min = 5.0, max = 30.0))]
    pub output_v: Option<f64>,
    /// Series resistance of the programming output, Ω, 0 to 1000. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Output resistance", range(min = 0.0, max = 1000.0))]
    pub output_ohm: Option<f64>,
    /// What the decoder itself draws while waiting, A, 0 to 1.
    #[serde(default)]
    #[schemars(title = "Decoder at rest", range(min = 0.0, max = 1.0))]
    pub idle_a: f64,
    /// Current of the acknowledgment, A, 0 to 5: programming voltage over motor ohms. Not given:
    /// not known.
    #[serde(default)]
    #[schemars(title = "Acknowledgment current", range(min = 0.0, max = 5.0))]
    pub acknowledgment_a: Option<f64>,
    /// The store can be unplugged or switched off for programming.
    #[serde(default)]
    #[schemars(title = "Store can be taken off")]
    pub store_off: bool,
}

/// Other stores on the same booster.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OtherStore {
    /// Which locomotive or kind, at most 80 characters.
    #[serde(default)]
    #[schemars(title = "Name")]
    pub name: String,
    /// How many alike, 1 to 200.
    #[serde(default = "one")]
    #[schemars(title = "How many alike", range(min = 1, max = 200))]
    pub count: u32,
    /// Capacitance of the whole store, F, 0.000001 to 1000.
    #[schemars(title = "Capacitance", range(min = 0.000_001, max = 1000.0))]
    pub store_f: f64,
    /// Charging resistance with ESR, Ω, 0.1 to 100 000.
    #[schemars(title = "Resistance", range(min = 0.1, max = 100_000.0))]
    pub ohm: f64,
    /// Voltage it charges to, V, 1 to 60.
    #[schemars(title = "Charges to", range(min = 1.0, max = 60.0))]
    pub full_v: f64,
}

/// The booster and all that stands on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Booster {
    /// Current at which it trips, A, 0.1 to 50. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Trips at", range(min = 0.1, max = 50.0))]
    pub trip_a: Option<f64>,
    /// How long it bears more, s, 0 to 60. Not given: not at all.
    #[serde(default)]
    #[schemars(title = "Bears more for", range(min = 0.0, max = 60.0))]
    pub trip_s: Option<f64>,
    /// What else it feeds at switch-on, A, 0 to 50.
    #[serde(default)]
    #[schemars(title = "Other load", range(min = 0.0, max = 50.0))]
    pub other_a: f64,
    /// How many locomotives carry this very store, 1 to 200.
    #[serde(default = "one")]
    #[schemars(title = "How many alike", range(min = 1, max = 200))]
    pub count: u32,
    /// Locomotives with other stores, at most 100 lines.
    #[serde(default)]
    #[schemars(title = "Other stores")]
    pub others: Vec<OtherStore>,
}

impl Default for Booster {
    fn default() -> Self {
        Booster { trip_a: None, trip_s: None, other_a: 0.0, count: one(), others: Vec::new() }
    }
}

/// Making the store safe before work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MakeSafe {
    /// Discharging resistor.
    #[serde(default)]
    #[schemars(title = "Discharging resistor")]
    pub resistor: Resistor,
    /// Voltage that counts as safe to work on, V, 0.01 to 60. Common practice, no source: 0.5.
    #[serde(default = "half_volt")]
    #[schemars(title = "Safe below", range(min = 0.01, max = 60.0))]
    pub safe_v: f64,
}

/// Voltage that counts as safe, V. Common practice, no source.
fn half_volt() -> f64 {
    0.5
}

impl Default for MakeSafe {
    fn default() -> Self {
        MakeSafe { resistor: Resistor::default(), safe_v: half_volt() }
    }
}

/// What was tried on the finished store. Only these make a check clear.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Time the locomotive ran on with a wheel lifted, s, 0 to 3600.
    #[serde(default)]
    #[schemars(title = "Held for", range(min = 0.0, max = 3600.0))]
    pub hold_s: Option<f64>,
    /// Distance it ran on after the track power was cut, mm, 0 to 1 000 000.
    #[serde(default)]
    #[schemars(title = "Ran on", range(min = 0.0, max = 1_000_000.0))]
    pub run_on_mm: Option<f64>,
    /// Highest voltage read across any one cell when charged, V, 0 to 100.
    #[serde(default)]
    #[schemars(title = "Highest cell", range(min = 0.0, max = 100.0))]
    pub highest_cell_v: Option<f64>,
    /// Whether values read back on the programming track with the store as it is.
    #[serde(default)]
    #[schemars(title = "Reads back")]
    pub reads_back: Option<bool>,
    /// Whether the booster held when everything was powered up together.
    #[serde(default)]
    #[schemars(title = "Booster held")]
    pub booster_held: Option<bool>,
}
