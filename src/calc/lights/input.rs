//! What is asked about the lights, and what of it is refused.

use super::{bands, eseries};
use crate::calc::load::check_meter;
use crate::calc::{FieldRefusal, Refusals, require, within};
use crate::units::Accuracy;
use eseries::Series;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where the far end of a string goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Return {
    /// To the function common (the blue wire).
    Common,
    /// To one rail: lit half of the time.
    Rail,
    /// To the frame.
    Frame,
}

/// What gives the light.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Light {
    /// A light-emitting diode.
    Led {
        /// Forward voltage of one, V, 0.5 to 15.
        #[schemars(title = "Forward voltage", range(min = 0.5, max = 15.0))]
        forward_v: f64,
        /// How far the forward voltage may be off, V, 0 to 2. Not given: taken as exact.
        #[serde(default)]
        #[schemars(title = "Spread", range(min = 0.0, max = 2.0))]
        spread_v: Option<f64>,
        /// Wanted current through each, A, 0.00005 to 3.
        #[schemars(title = "Wanted current", range(min = 0.00005, max = 3.0))]
        wanted_a: f64,
        /// Most it may carry for long, A, 0.00005 to 3. Not given: not known.
        #[serde(default)]
        #[schemars(title = "Most current", range(min = 0.00005, max = 3.0))]
        most_a: Option<f64>,
    },
    /// A filament lamp.
    Lamp {
        /// Rated voltage of one, V, 0.5 to 30.
        #[schemars(title = "Rated voltage", range(min = 0.5, max = 30.0))]
        rated_v: f64,
        /// Rated current of one, A, 0.001 to 3.
        #[schemars(title = "Rated current", range(min = 0.001, max = 3.0))]
        rated_a: f64,
        /// Times its lit current it draws when cold, 1 to 20. Not given: 10.
        #[serde(default)]
        #[schemars(title = "Times when cold", range(min = 1.0, max = 20.0))]
        cold_ratio: Option<f64>,
    },
}

/// Lamps in series behind one resistor, and how many such strings there are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LightString {
    /// What it lights: `headlamps`. 1 to 60 signs.
    #[schemars(title = "Name")]
    pub name: String,
    /// What gives the light.
    #[schemars(title = "Light")]
    pub light: Light,
    /// Lamps in series, 1 to 20.
    #[schemars(title = "In series", range(min = 1, max = 20))]
    pub in_series: u32,
    /// Branches side by side behind the one resistor, 1 to 20. Not given: 1.
    #[serde(default)]
    #[schemars(title = "Branches", range(min = 1, max = 20))]
    pub share: Option<u32>,
    /// Such strings on the output, each with its own resistor, 1 to 50. Not given: 1.
    #[serde(default)]
    #[schemars(title = "Copies", range(min = 1, max = 50))]
    pub copies: Option<u32>,
    /// Resistor that is fitted, Ω, 0 to 10 000 000 (at least 0.1 for LEDs). Not given: the next one
    /// up is chosen.
    #[serde(default)]
    #[schemars(title = "Resistor fitted", range(min = 0.0, max = 10_000_000.0))]
    pub fitted_ohm: Option<f64>,
    /// Tolerance of the resistor, percent: 20, 10, 5, 2, 1, 0.5, 0.25 or 0.1. Not given: that of the
    /// series.
    #[serde(default)]
    #[schemars(title = "Tolerance")]
    pub tolerance_percent: Option<f64>,
    /// Rating of the resistor that is fitted, W, 0.01 to 50. Not given: one is chosen.
    #[serde(default)]
    #[schemars(title = "Resistor rating", range(min = 0.01, max = 50.0))]
    pub resistor_w: Option<f64>,
    /// Where the far end goes. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Far end")]
    pub returns_to: Option<Return>,
}

impl LightString {
    /// Branches behind the one resistor.
    pub fn share(&self) -> u32 {
        self.share.unwrap_or(1)
    }

    /// Such strings on the output.
    pub fn copies(&self) -> u32 {
        self.copies.unwrap_or(1)
    }
}

/// One function output and what hangs on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LightOutput {
    /// Name of the output: `white`, `function 1`. 1 to 60 signs.
    #[schemars(title = "Name")]
    pub name: String,
    /// Current the output may give, A, 0.001 to 10. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Output may give", range(min = 0.001, max = 10.0))]
    pub rating_a: Option<f64>,
    /// Strings on it, 1 to 16.
    #[schemars(title = "Strings")]
    pub strings: Vec<LightString>,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Lights")]
pub struct Input {
    /// Highest track voltage, V, 3 to 30.
    #[schemars(title = "Track voltage", range(min = 3.0, max = 30.0))]
    pub track_v: f64,
    /// Accuracy of the meter that read it. Not given: taken as exact.
    #[serde(default)]
    #[schemars(title = "Voltage meter")]
    pub voltage_meter: Option<Accuracy>,
    /// Drop from the rail to the function common, V, 0 to 5. Not given: 1.4.
    #[serde(default)]
    #[schemars(title = "Drop", range(min = 0.0, max = 5.0))]
    pub drop_v: Option<f64>,
    /// Series the resistor is chosen from.
    #[schemars(title = "Series")]
    pub series: Series,
    /// Current all function outputs may give together, A, 0.001 to 50. Not given: not known.
    #[serde(default)]
    #[schemars(title = "All outputs may give", range(min = 0.001, max = 50.0))]
    pub total_rating_a: Option<f64>,
    /// Outputs, 1 to 32.
    #[schemars(title = "Outputs")]
    pub outputs: Vec<LightOutput>,
}

/// Everything about the input that is not allowed.
pub(super) fn refuse(input: &Input) -> Refusals {
    let mut no = Refusals::new();
    within(&mut no, "track_v", input.track_v, 3.0, 30.0);
    within(&mut no, "drop_v", input.drop_v.unwrap_or(0.0), 0.0, 5.0);
    check_meter(&mut no, "voltage_meter", input.voltage_meter);
    optional(&mut no, "total_rating_a", input.total_rating_a, 0.001, 50.0);
    count(&mut no, "outputs", input.outputs.len(), 32);
    for (i, output) in input.outputs.iter().enumerate().take(32) {
        let at = format!("outputs.{i}");
        named(&mut no, &format!("{at}.name"), &output.name);
        optional(&mut no, &format!("{at}.rating_a"), output.rating_a, 0.001, 10.0);
        count(&mut no, &format!("{at}.strings"), output.strings.len(), 16);
        for (j, string) in output.strings.iter().enumerate().take(16) {
            refuse_string(&mut no, &format!("{at}.strings.{j}"), string);
        }
    }
    no
}

fn refuse_string(no: &mut Refusals, at: &str, string: &LightString) {
    named(no, &format!("{at}.name"), &string.name);
    within(no, &format!("{at}.in_series"), f64::from(string.in_series), 1.0, 20.0);
    within(no, &format!("{at}.share"), f64::from(string.share()), 1.0, 20.0);
    within(no, &format!("{at}.copies"), f64::from(string.copies()), 1.0, 50.0);
    optional(no, &format!("{at}.resistor_w"), string.resistor_w, 0.01, 50.0);
    let led = matches!(string.light, Light::Led { .. });
    let least = if led { eseries::LEAST_OHM } else { 0.0 };
    optional(no, &format!("{at}.fitted_ohm"), string.fitted_ohm, least, eseries::MOST_OHM);
    if let Some(t) = string.tolerance_percent {
        let given = t.to_string();
        let allowed = "20, 10, 5, 2, 1, 0.5, 0.25 or 0.1";
        let field = format!("{at}.tolerance_percent");
        require(no, bands::tolerance_is_marked(t), &field, &given, allowed);
    }
    match string.light {
        Light::Led { forward_v, spread_v, wanted_a, most_a } => {
            within(no, &format!("{at}.light.led.forward_v"), forward_v, 0.5, 15.0);
            optional(no, &format!("{at}.light.led.spread_v"), spread_v, 0.0, 2.0);
            within(no, &format!("{at}.light.led.wanted_a"), wanted_a, 0.000_05, 3.0);
            optional(no, &format!("{at}.light.led.most_a"), most_a, 0.000_05, 3.0);
        }
        Light::Lamp { rated_v, rated_a, cold_ratio } => {
            within(no, &format!("{at}.light.lamp.rated_v"), rated_v, 0.5, 30.0);
            within(no, &format!("{at}.light.lamp.rated_a"), rated_a, 0.001, 3.0);
            optional(no, &format!("{at}.light.lamp.cold_ratio"), cold_ratio, 1.0, 20.0);
        }
    }
}

/// Range of a field that may be missing.
fn optional(no: &mut Refusals, field: &str, value: Option<f64>, least: f64, most: f64) {
    if let Some(v) = value {
        within(no, field, v, least, most);
    }
}

fn named(no: &mut Refusals, field: &str, name: &str) {
    let signs = name.trim().chars().count();
    let given = if signs == 0 { "nothing" } else { name };
    require(no, (1..=60).contains(&signs), field, given, "1 to 60 signs");
}

fn count(no: &mut Refusals, field: &str, given: usize, most: usize) {
    if !(1..=most).contains(&given) {
        no.push(FieldRefusal::new(field, given.to_string(), format!("1 to {most} entries")));
    }
}
