//! What the current headroom takes: the load test, the planned loads, the decoder's ratings.

use crate::calc::load::{self, check_meter};
use crate::calc::{Refusals, require, within};
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Allowed range of a load's current, A.
pub(super) const LOAD_AMPS: (f64, f64) = (0.0, 10.0);
/// Allowed range of a rating, A.
pub(super) const RATING: (f64, f64) = (0.001, 50.0);
/// Allowed range of the seconds a peak rating holds.
pub(super) const PEAK_S: (f64, f64) = (0.001, 3600.0);
/// Allowed range of a wanted headroom, as a share of the rating.
pub(super) const WANTED: (f64, f64) = (0.0, 0.9);
/// Most loads of one name.
pub(super) const COUNT: (u32, u32) = (1, 100);
/// Most entries in a list, and most letters of a name.
const MOST: usize = 100;

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(title = "Basis")]
pub enum Basis {
    /// Read with a meter.
    #[default]
    Measured,
    /// Printed by the maker.
    DataSheet,
    /// Nobody knows better yet.
    Guess,
}

/// What a load is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(title = "Kind of load")]
pub enum Kind {
    /// Filament lamp.
    Lamp,
    /// Light-emitting diode with its resistor.
    Led,
    /// Sound amplifier.
    Sound,
    /// Smoke unit.
    Smoke,
    /// Hold-up store while it charges.
    Store,
    /// Anything else.
    Other,
}

/// The load case a rating is compared in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(title = "Load case")]
pub enum Case {
    /// The motor held still.
    #[default]
    Held,
    /// The wheels slipping.
    Slipping,
}

/// One load beside the motor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Planned load")]
pub struct PlannedLoad {
    /// What people call it: `front lamps`. 1 to 100 letters.
    #[schemars(title = "Name", length(min = 1, max = MOST))]
    pub name: String,
    /// What it is.
    #[schemars(title = "Kind")]
    pub kind: Kind,
    /// Current of one, A, 0 to 10. Leave out when not known; then nothing it adds to can be clear.
    #[serde(default)]
    #[schemars(title = "Current of one", range(min = LOAD_AMPS.0, max = LOAD_AMPS.1))]
    pub amps_a: Option<f64>,
    /// How many of them, 1 to 100.
    #[serde(default = "default_count")]
    #[schemars(title = "Count", range(min = COUNT.0, max = COUNT.1))]
    pub count: u32,
    /// Function output it hangs on: `white`, `yellow`, `green`. Left out where it hangs on none,
    /// such as the amplifier.
    #[serde(default)]
    #[schemars(title = "Function output", length(min = 1, max = MOST))]
    pub output: Option<String>,
    /// Where its current comes from.
    #[serde(default)]
    #[schemars(title = "Basis")]
    pub basis: Basis,
    /// Accuracy of the meter on the range its current was read. Left out, the current counts as
    /// exact.
    #[serde(default)]
    #[schemars(title = "Meter")]
    pub meter: Option<Accuracy>,
}

/// Rating of one function output, where it differs from the others.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Output rating")]
pub struct OutputRating {
    /// Function output: the same word as in the loads.
    #[schemars(title = "Function output", length(min = 1, max = MOST))]
    pub output: String,
    /// What it may carry, A, 0.001 to 50.
    #[schemars(title = "Rating", range(min = RATING.0, max = RATING.1))]
    pub rating_a: f64,
}

/// What the decoder may carry. Leave out what its data sheet does not give.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Decoder ratings")]
pub struct Ratings {
    /// Motor output for as long as one likes, A, 0.001 to 50.
    #[serde(default)]
    #[schemars(title = "Motor, continuous", range(min = RATING.0, max = RATING.1))]
    pub motor_continuous_a: Option<f64>,
    /// Motor output for a short time, A, 0.001 to 50.
    #[serde(default)]
    #[schemars(title = "Motor, peak", range(min = RATING.0, max = RATING.1))]
    pub motor_peak_a: Option<f64>,
    /// How long the peak may last, s, 0.001 to 3600.
    #[serde(default)]
    #[schemars(title = "Peak lasts", range(min = PEAK_S.0, max = PEAK_S.1))]
    pub motor_peak_s: Option<f64>,
    /// Motor and all outputs together, for as long as one likes, A, 0.001 to 50.
    #[serde(default)]
    #[schemars(title = "Total, continuous", range(min = RATING.0, max = RATING.1))]
    pub total_continuous_a: Option<f64>,
    /// Each function output that has no rating of its own below, A, 0.001 to 50.
    #[serde(default)]
    #[schemars(title = "Each function output", range(min = RATING.0, max = RATING.1))]
    pub function_a: Option<f64>,
    /// Outputs with a rating of their own.
    #[serde(default)]
    #[schemars(title = "Outputs with their own rating", length(max = MOST))]
    pub outputs: Vec<OutputRating>,
    /// Where the ratings come from. A data sheet is as good as it gets; a guess is not.
    #[serde(default = "default_rating_basis")]
    #[schemars(title = "Basis")]
    pub basis: Basis,
}

/// The load test, the loads beside the motor, the decoder's ratings, and what is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Current headroom")]
pub struct Input {
    /// The load test of the motor, with the voltage it will run on.
    #[schemars(title = "Load test")]
    pub load: load::Input,
    /// Where the motor's currents come from.
    #[serde(default)]
    #[schemars(title = "Basis of the motor currents")]
    pub motor_basis: Basis,
    /// Everything beside the motor: lamps, sound amplifier, smoke, hold-up store charging.
    #[serde(default)]
    #[schemars(title = "Loads", length(max = MOST))]
    pub loads: Vec<PlannedLoad>,
    /// What the decoder may carry.
    #[serde(default)]
    #[schemars(title = "Decoder")]
    pub decoder: Ratings,
    /// The load case that governs. The trade disagrees; held is the careful choice.
    #[serde(default)]
    #[schemars(title = "Governing case")]
    pub governing: Case,
    /// Headroom wanted with the motor held, as a share of the rating, 0 to 0.9.
    #[serde(default = "default_want_headroom_held")]
    #[schemars(title = "Headroom wanted, held", range(min = WANTED.0, max = WANTED.1))]
    pub want_headroom_held: f64,
    /// Headroom wanted with the wheels slipping, as a share of the rating, 0 to 0.9.
    #[serde(default = "default_want_headroom_slipping")]
    #[schemars(title = "Headroom wanted, slipping", range(min = WANTED.0, max = WANTED.1))]
    pub want_headroom_slipping: f64,
}

fn default_count() -> u32 {
    1
}

fn default_rating_basis() -> Basis {
    Basis::DataSheet
}

fn default_want_headroom_held() -> f64 {
    0.10
}

fn default_want_headroom_slipping() -> f64 {
    0.20
}

impl Default for Ratings {
    /// No rating known.
    fn default() -> Self {
        Ratings {
            motor_continuous_a: None,
            motor_peak_a: None,
            motor_peak_s: None,
            total_continuous_a: None,
            function_a: None,
            outputs: Vec::new(),
            basis: default_rating_basis(),
        }
    }
}

impl Ratings {
    /// The rating of a function output, A: its own where it has one.
    pub fn of_output(&self, output: &str) -> Option<f64> {
        let own = self.outputs.iter().find(|o| o.output == output);
        own.map(|o| o.rating_a).or(self.function_a)
    }
}

impl PlannedLoad {
    /// One measured load of this name, kind and current, A, on no function output.
    pub fn new(name: &str, kind: Kind, amps_a: Option<f64>) -> Self {
        PlannedLoad {
            name: name.to_owned(),
            kind,
            amps_a,
            count: default_count(),
            output: None,
            basis: Basis::Measured,
            meter: None,
        }
    }
}

impl Input {
    /// A load test with no loads and no ratings yet, and every default in place.
    pub fn of(load: load::Input) -> Self {
        Input {
            load,
            motor_basis: Basis::Measured,
            loads: Vec::new(),
            decoder: Ratings::default(),
            governing: Case::Held,
            want_headroom_held: default_want_headroom_held(),
            want_headroom_slipping: default_want_headroom_slipping(),
        }
    }

    /// The headroom wanted in a case, as a share of the rating.
    pub fn wanted(&self, case: Case) -> f64 {
        match case {
            Case::Held => self.want_headroom_held,
            Case::Slipping => self.want_headroom_slipping,
        }
    }

    /// Every field that is not allowed.
    pub(super) fn refusals(&self) -> Refusals {
        let mut out = self.load.refusals("load.");
        within(&mut out, "want_headroom_held", self.want_headroom_held, WANTED.0, WANTED.1);
        let slipping = self.want_headroom_slipping;
        within(&mut out, "want_headroom_slipping", slipping, WANTED.0, WANTED.1);
        check_length(&mut out, "loads", self.loads.len());
        for (i, load) in self.loads.iter().enumerate() {
            load.check(&mut out, &format!("loads.{i}"));
        }
        self.decoder.check(&mut out);
        out
    }
}

impl PlannedLoad {
    /// Notes what is not allowed of one load.
    fn check(&self, out: &mut Refusals, at: &str) {
        check_name(out, &format!("{at}.name"), &self.name);
        if let Some(output) = &self.output {
            check_name(out, &format!("{at}.output"), output);
        }
        if let Some(amps) = self.amps_a {
            within(out, &format!("{at}.amps_a"), amps, LOAD_AMPS.0, LOAD_AMPS.1);
        }
        let (least, most) = (COUNT.0.into(), COUNT.1.into());
        within(out, &format!("{at}.count"), self.count.into(), least, most);
        check_meter(out, &format!("{at}.meter"), self.meter);
    }
}

impl Ratings {
    /// Notes what is not allowed of the ratings.
    fn check(&self, out: &mut Refusals) {
        let numbers = [
            ("motor_continuous_a", self.motor_continuous_a, RATING),
            ("motor_peak_a", self.motor_peak_a, RATING),
            ("motor_peak_s", self.motor_peak_s, PEAK_S),
            ("total_continuous_a", self.total_continuous_a, RATING),
            ("function_a", self.function_a, RATING),
        ];
        for (name, value, (least, most)) in numbers {
            if let Some(value) = value {
                within(out, &format!("decoder.{name}"), value, least, most);
            }
        }
        check_length(out, "decoder.outputs", self.outputs.len());
        for (i, own) in self.outputs.iter().enumerate() {
            let at = format!("decoder.outputs.{i}");
            check_name(out, &format!("{at}.output"), &own.output);
            within(out, &format!("{at}.rating_a"), own.rating_a, RATING.0, RATING.1);
            let twice = self.outputs.iter().take(i).any(|o| o.output == own.output);
            require(out, !twice, &format!("{at}.output"), &own.output, "each output once");
        }
    }
}

/// Notes a refusal unless a name has 1 to 100 letters.
fn check_name(out: &mut Refusals, field: &str, name: &str) {
    let letters = name.chars().count();
    let given = if letters > MOST { format!("{letters} letters") } else { format!("“{name}”") };
    require(out, !name.trim().is_empty() && letters <= MOST, field, &given, "1 to 100 letters");
}

/// Notes a refusal unless a list has at most 100 entries.
fn check_length(out: &mut Refusals, field: &str, length: usize) {
    require(out, length <= MOST, field, &format!("{length} entries"), "at most 100 entries");
}
