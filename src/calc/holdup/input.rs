//! What is known about a store, its supply, its load and its surroundings.

use super::around::{Booster, MakeSafe, Measured, Programming, Resistor};
use super::speed::Speed;
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Kind of capacitor; it sets the usual tolerance and ageing where none is given.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Aluminium electrolytic or tantalum: −20 to +20 %, 80 % left at the end of its life (from
    /// memory).
    #[default]
    Electrolytic,
    /// Double-layer cell: −20 to +80 %, 70 % left and twice the ESR at the end of its life (from
    /// memory).
    DoubleLayer,
}

/// Scale, for the track voltage its standard allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Scale {
    /// Z, 6.5 mm gauge.
    Z,
    /// N, 9 mm.
    N,
    /// TT, 12 mm.
    TT,
    /// H0, HO, OO, 16.5 mm.
    HO,
    /// S, 22.5 mm.
    S,
    /// 0, O, 32 mm.
    O,
    /// 1, 2, G, 45 mm and more.
    G,
}

impl Scale {
    /// Highest digital track voltage by NEM 670, V RMS: the analogue voltage of NEM 630 (8, 12 or
    /// 16 V) and 2 V more.
    pub fn highest_v(self) -> f64 {
        match self {
            Scale::Z => 10.0,
            Scale::N | Scale::TT | Scale::HO | Scale::S => 14.0,
            Scale::O | Scale::G => 18.0,
        }
    }
}

/// The cells and how they are joined: strings of `series` cells, `parallel` strings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Store {
    /// Kind of capacitor.
    #[serde(default)]
    #[schemars(title = "Kind of cell")]
    pub kind: Kind,
    /// Capacitance of one cell as marked, F, 0.000001 to 10 000. Not given: only the least size is
    /// worked out.
    #[serde(default)]
    #[schemars(title = "Capacitance of a cell", range(min = 0.000_001, max = 10_000.0))]
    pub cell_f: Option<f64>,
    /// Cells in series in one string, 1 to 20.
    #[serde(default = "one")]
    #[schemars(title = "Cells in series", range(min = 1, max = 20))]
    pub series: u32,
    /// Strings in parallel, 1 to 50.
    #[serde(default = "one")]
    #[schemars(title = "Strings in parallel", range(min = 1, max = 50))]
    pub parallel: u32,
    /// How far a new cell may be below its marking, percent, 0 to 90. Not given: 20.
    #[serde(default)]
    #[schemars(title = "Tolerance below", range(min = 0.0, max = 90.0))]
    pub tolerance_low_percent: Option<f64>,
    /// How far above, percent, 0 to 200. Not given: 20, double-layer 80.
    #[serde(default)]
    #[schemars(title = "Tolerance above", range(min = 0.0, max = 200.0))]
    pub tolerance_high_percent: Option<f64>,
    /// Capacitance left at the end of its life, percent, 10 to 100. Not given: 80, double-layer 70.
    #[serde(default)]
    #[schemars(title = "Capacitance left when old", range(min = 10.0, max = 100.0))]
    pub aged_capacity_percent: Option<f64>,
    /// ESR at the end of its life over ESR when new, 1 to 10. Not given: 2.
    #[serde(default)]
    #[schemars(title = "ESR grown when old", range(min = 1.0, max = 10.0))]
    pub aged_esr_factor: Option<f64>,
    /// ESR of one cell, Ω, 0 to 1000. Not given: not known, and the time is only an upper end.
    #[serde(default)]
    #[schemars(title = "ESR of a cell", range(min = 0.0, max = 1000.0))]
    pub esr_ohm: Option<f64>,
    /// Leakage of one cell, A, 0 to 0.1. Not given: not known, left out of the time.
    #[serde(default)]
    #[schemars(title = "Leakage of a cell", range(min = 0.0, max = 0.1))]
    pub leakage_a: Option<f64>,
    /// Rating of one cell, V, 0.5 to 500. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Rating of a cell", range(min = 0.5, max = 500.0))]
    pub rating_v: Option<f64>,
    /// Balancing resistor across each cell, Ω, 1 to 10 000 000. Not given: none.
    #[serde(default)]
    #[schemars(title = "Balancing resistor", range(min = 1.0, max = 10_000_000.0))]
    pub balance_ohm: Option<f64>,
}

/// One cell, one string.
pub(super) fn one() -> u32 {
    1
}

impl Default for Store {
    fn default() -> Self {
        Store {
            kind: Kind::default(),
            cell_f: None,
            series: one(),
            parallel: one(),
            tolerance_low_percent: None,
            tolerance_high_percent: None,
            aged_capacity_percent: None,
            aged_esr_factor: None,
            esr_ohm: None,
            leakage_a: None,
            rating_v: None,
            balance_ohm: None,
        }
    }
}

/// What charges the store.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Supply {
    /// Track voltage at the rail, V, 5 to 40.
    #[serde(default)]
    #[schemars(title = "Track voltage", range(min = 5.0, max = 40.0))]
    pub track_v: Option<f64>,
    /// Accuracy of the meter that read it, in V.
    #[serde(default)]
    #[schemars(title = "Meter")]
    pub track_accuracy: Option<Accuracy>,
    /// Highest track voltage the model will meet, V peak, 5 to 60: other layouts, no load.
    #[serde(default)]
    #[schemars(title = "Highest track voltage", range(min = 5.0, max = 60.0))]
    pub highest_track_v: Option<f64>,
    /// Scale, for the voltage its standard allows.
    #[serde(default)]
    #[schemars(title = "Scale")]
    pub scale: Option<Scale>,
    /// Drop of the decoder's rectifier, V, 0 to 3. Common practice, no source: 1.4.
    #[serde(default = "bridge")]
    #[schemars(title = "Rectifier drop", range(min = 0.0, max = 3.0))]
    pub bridge_drop_v: f64,
    /// Drop of a diode in the charging path, V, 0 to 2.
    #[serde(default)]
    #[schemars(title = "Charging diode drop", range(min = 0.0, max = 2.0))]
    pub charge_diode_v: f64,
    /// Voltage at which the decoder or the store's own circuit stops the charge, V, 1 to 40.
    #[serde(default)]
    #[schemars(title = "Charge stops at", range(min = 1.0, max = 40.0))]
    pub charge_limit_v: Option<f64>,
    /// Voltage read on the store, fully charged and with nothing running, V, 0.5 to 60; counts
    /// before anything computed.
    #[serde(default)]
    #[schemars(title = "Read on the charged store", range(min = 0.5, max = 60.0))]
    pub full_v: Option<f64>,
}

/// Usual rectifier drop, V. Common practice, no source.
fn bridge() -> f64 {
    1.4
}

impl Default for Supply {
    fn default() -> Self {
        Supply {
            track_v: None,
            track_accuracy: None,
            highest_track_v: None,
            scale: None,
            bridge_drop_v: bridge(),
            charge_diode_v: 0.0,
            charge_limit_v: None,
            full_v: None,
        }
    }
}

/// What the store feeds: at most one of current, power and resistance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Load {
    /// Constant current, A, 0.0001 to 20: a motor at steady speed.
    #[serde(default)]
    #[schemars(title = "Load current", range(min = 0.0001, max = 20.0))]
    pub current_a: Option<f64>,
    /// Constant power at the decoder, W, 0.001 to 300: a decoder that keeps speed.
    #[serde(default)]
    #[schemars(title = "Load power", range(min = 0.001, max = 300.0))]
    pub power_w: Option<f64>,
    /// Resistance, Ω, 0.1 to 1 000 000: a lamp.
    #[serde(default)]
    #[schemars(title = "Load resistance", range(min = 0.1, max = 1_000_000.0))]
    pub resistance_ohm: Option<f64>,
    /// Accuracy of the meter that read the load, in its unit.
    #[serde(default)]
    #[schemars(title = "Meter")]
    pub accuracy: Option<Accuracy>,
    /// Voltage at the decoder below which it stops, V, 0.5 to 40. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Decoder stops below", range(min = 0.5, max = 40.0))]
    pub cutoff_v: Option<f64>,
    /// Drop of the diode that the store discharges through, V, 0 to 2. Common practice, no source:
    /// 0.7.
    #[serde(default = "diode")]
    #[schemars(title = "Discharging diode drop", range(min = 0.0, max = 2.0))]
    pub diode_v: f64,
}

/// Usual drop of a silicon diode, V. Common practice, no source.
fn diode() -> f64 {
    0.7
}

impl Default for Load {
    fn default() -> Self {
        Load {
            current_a: None,
            power_w: None,
            resistance_ohm: None,
            accuracy: None,
            cutoff_v: None,
            diode_v: diode(),
        }
    }
}

/// What the store must carry the locomotive over.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Crossing {
    /// Time wanted, s, 0.001 to 3600.
    #[serde(default)]
    #[schemars(title = "Time wanted", range(min = 0.001, max = 3600.0))]
    pub wanted_s: Option<f64>,
    /// Longest travel without supply, mm, 0 to 100 000; with a speed it gives a time.
    #[serde(default)]
    #[schemars(title = "Longest gap", range(min = 0.0, max = 100_000.0))]
    pub gap_mm: Option<f64>,
    /// Speed over the gap, and at which it runs on.
    #[serde(default)]
    #[schemars(title = "Speed")]
    pub speed: Speed,
    /// Farthest it may run on after the track power is cut, mm, 0 to 1 000 000.
    #[serde(default)]
    #[schemars(title = "May run on", range(min = 0.0, max = 1_000_000.0))]
    pub run_on_limit_mm: Option<f64>,
}

/// A hold-up store and its surroundings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Hold-up store")]
pub struct Input {
    /// The cells and how they are joined.
    #[schemars(title = "Cells")]
    pub store: Store,
    /// What charges the cells.
    #[serde(default)]
    #[schemars(title = "Supply")]
    pub supply: Supply,
    /// What the cells feed.
    #[serde(default)]
    #[schemars(title = "Load")]
    pub load: Load,
    /// What they must carry the locomotive over.
    #[serde(default)]
    #[schemars(title = "Crossing")]
    pub crossing: Crossing,
    /// Charging resistor of the store.
    #[serde(default)]
    #[schemars(title = "Charging resistor")]
    pub charge: Resistor,
    /// Programming track the store is used on.
    #[serde(default)]
    #[schemars(title = "Programming track")]
    pub programming: Programming,
    /// Booster and all that stands on it.
    #[serde(default)]
    #[schemars(title = "Booster")]
    pub booster: Booster,
    /// Making it safe before work.
    #[serde(default)]
    #[schemars(title = "Make safe")]
    pub make_safe: MakeSafe,
    /// What was tried on the finished store.
    #[serde(default)]
    #[schemars(title = "Tried")]
    pub measured: Measured,
}
