//! What the load test takes: readings, conditions, meters, and their allowed ranges.

use crate::calc::{Refusals, require, within};
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Allowed range of any voltage here, V: from a single cell to above the ±22 V that a track may
/// carry.
pub(super) const VOLTS: (f64, f64) = (0.5, 30.0);
/// Allowed range of a motor current, A: from a coreless motor running free to a garden engine held.
pub(super) const AMPS: (f64, f64) = (0.001, 20.0);
/// Allowed range of a winding, Ω.
pub(super) const OHMS: (f64, f64) = (0.05, 2000.0);
/// Allowed range of a winding temperature, °C.
pub(super) const CELSIUS: (f64, f64) = (-20.0, 150.0);
/// Allowed range of the drop from track to motor inside a decoder, V.
pub(super) const DROP: (f64, f64) = (0.0, 5.0);
/// Allowed range of a friction share limit.
pub(super) const SHARE: (f64, f64) = (0.05, 1.0);
/// Most motors read together.
pub(super) const MOTORS: (u32, u32) = (1, 8);

/// The load test of one motor, or of several in parallel read together: three currents at one
/// voltage, and what is known of the winding and of the voltage it will run on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Load test")]
pub struct Input {
    /// Voltage across the motor during the test, V, 0.5 to 30. Read it at the motor with the meter
    /// in line, so that the meter's own drop does not count.
    #[schemars(title = "Test voltage", range(min = VOLTS.0, max = VOLTS.1))]
    pub test_v: f64,
    /// Current running free on a rolling road, wheels off the rail or upside down, A, 0.001 to 20.
    /// Leave out when not measured.
    #[serde(default)]
    #[schemars(title = "Free current", range(min = AMPS.0, max = AMPS.1))]
    pub free_a: Option<f64>,
    /// Current pulling its usual train on the level at the test voltage, A, 0.001 to 20. Leave out when
    /// not measured; nothing but its own operating point rests on it.
    #[serde(default)]
    #[schemars(title = "Cruising current", range(min = AMPS.0, max = AMPS.1))]
    pub cruise_a: Option<f64>,
    /// Current with the wheels slipping while the model is held back by hand, A, 0.001 to 20. Leave
    /// out when not measured.
    #[serde(default)]
    #[schemars(title = "Slipping current", range(min = AMPS.0, max = AMPS.1))]
    pub slipping_a: Option<f64>,
    /// Current with the motor held still, A, 0.001 to 20. Leave out when not measured.
    #[serde(default)]
    #[schemars(title = "Held current", range(min = AMPS.0, max = AMPS.1))]
    pub held_a: Option<f64>,
    /// Voltage of the held reading when it was made at a lower, safer voltage, V, 0.5 to 30. Left
    /// out, it is the test voltage.
    #[serde(default)]
    #[schemars(title = "Voltage when held", range(min = VOLTS.0, max = VOLTS.1))]
    pub held_test_v: Option<f64>,
    /// The motor could not be made to stall, so there is no held current. Measure the winding
    /// instead.
    #[serde(default)]
    #[schemars(title = "Could not be held")]
    pub held_refused: bool,
    /// Winding by ohmmeter across the brushes, Ω, 0.05 to 2000: the lowest of several rotor
    /// positions. Leave out when not measured.
    #[serde(default)]
    #[schemars(title = "Winding", range(min = OHMS.0, max = OHMS.1))]
    pub winding_ohm: Option<f64>,
    /// Temperature of the winding when it was held and measured, °C, −20 to 150.
    #[serde(default = "default_winding_c")]
    #[schemars(title = "Winding temperature", range(min = CELSIUS.0, max = CELSIUS.1))]
    pub winding_c: f64,
    /// Track voltage the model will run on, V, 0.5 to 30. Leave out when not known.
    #[serde(default)]
    #[schemars(title = "Track voltage", range(min = VOLTS.0, max = VOLTS.1))]
    pub track_v: Option<f64>,
    /// Drop from track to motor inside the decoder, V, 0 to 5. From memory: 1.4 V.
    #[serde(default = "default_bridge_drop_v")]
    #[schemars(title = "Bridge drop", range(min = DROP.0, max = DROP.1))]
    pub bridge_drop_v: f64,
    /// Voltage at the decoder's motor output, V, 0.5 to 30. Given, it replaces track voltage less
    /// bridge drop.
    #[serde(default)]
    #[schemars(title = "Decoder output voltage", range(min = VOLTS.0, max = VOLTS.1))]
    pub decoder_output_v: Option<f64>,
    /// Accuracy of the ammeter, for the three currents. Left out, readings count as exact.
    #[serde(default)]
    #[schemars(title = "Current meter")]
    pub current_meter: Option<Accuracy>,
    /// Accuracy of the voltmeter, for every voltage here but the bridge drop. Left out, readings
    /// count as exact.
    #[serde(default)]
    #[schemars(title = "Voltage meter")]
    pub voltage_meter: Option<Accuracy>,
    /// Accuracy of the ohmmeter, for the winding. Left out, the reading counts as exact.
    #[serde(default)]
    #[schemars(title = "Ohmmeter")]
    pub ohm_meter: Option<Accuracy>,
    /// Friction share below which the mechanism is clear, 0.05 to 1. A judgement, no source.
    #[serde(default = "default_friction_clear_below")]
    #[schemars(title = "Friction clear below", range(min = SHARE.0, max = SHARE.1))]
    pub friction_clear_below: f64,
    /// Friction share above which the mechanism is danger, 0.05 to 1. A judgement, no source.
    #[serde(default = "default_friction_danger_above")]
    #[schemars(title = "Friction danger above", range(min = SHARE.0, max = SHARE.1))]
    pub friction_danger_above: f64,
    /// How many motors in parallel were read together, 1 to 8. Every reading is of all of them.
    #[serde(default = "default_motors")]
    #[schemars(title = "Motors", range(min = MOTORS.0, max = MOTORS.1))]
    pub motors: u32,
}

fn default_winding_c() -> f64 {
    20.0
}

fn default_bridge_drop_v() -> f64 {
    1.4
}

fn default_friction_clear_below() -> f64 {
    0.5
}

fn default_friction_danger_above() -> f64 {
    0.75
}

fn default_motors() -> u32 {
    1
}

impl Input {
    /// A test at a voltage, V, with nothing else read yet and every default in place.
    pub fn at(test_v: f64) -> Self {
        Input {
            test_v,
            free_a: None,
            cruise_a: None,
            slipping_a: None,
            held_a: None,
            held_test_v: None,
            held_refused: false,
            winding_ohm: None,
            winding_c: default_winding_c(),
            track_v: None,
            bridge_drop_v: default_bridge_drop_v(),
            decoder_output_v: None,
            current_meter: None,
            voltage_meter: None,
            ohm_meter: None,
            friction_clear_below: default_friction_clear_below(),
            friction_danger_above: default_friction_danger_above(),
            motors: default_motors(),
        }
    }

    /// Every field that is not allowed. `under` is put before each field's name: empty, or `load.`
    /// where this input is part of another.
    pub(in crate::calc) fn refusals(&self, under: &str) -> Refusals {
        let mut out = Refusals::new();
        let at = |name: &str| format!("{under}{name}");
        let numbers = [
            ("test_v", Some(self.test_v), VOLTS),
            ("free_a", self.free_a, AMPS),
            ("cruise_a", self.cruise_a, AMPS),
            ("slipping_a", self.slipping_a, AMPS),
            ("held_a", self.held_a, AMPS),
            ("held_test_v", self.held_test_v, VOLTS),
            ("winding_ohm", self.winding_ohm, OHMS),
            ("winding_c", Some(self.winding_c), CELSIUS),
            ("track_v", self.track_v, VOLTS),
            ("bridge_drop_v", Some(self.bridge_drop_v), DROP),
            ("decoder_output_v", self.decoder_output_v, VOLTS),
            ("friction_clear_below", Some(self.friction_clear_below), SHARE),
            ("friction_danger_above", Some(self.friction_danger_above), SHARE),
            ("motors", Some(f64::from(self.motors)), (MOTORS.0.into(), MOTORS.1.into())),
        ];
        for (name, value, (least, most)) in numbers {
            if let Some(value) = value {
                within(&mut out, &at(name), value, least, most);
            }
        }
        check_meter(&mut out, &at("current_meter"), self.current_meter);
        check_meter(&mut out, &at("voltage_meter"), self.voltage_meter);
        check_meter(&mut out, &at("ohm_meter"), self.ohm_meter);
        self.check_together(&mut out, &at);
        out
    }

    /// Conditions between fields.
    fn check_together(&self, out: &mut Refusals, at: &dyn Fn(&str) -> String) {
        require(
            out,
            !(self.held_refused && self.held_a.is_some()),
            &at("held_refused"),
            "true, with a held current",
            "either a held current or could not be held, not both",
        );
        require(
            out,
            self.friction_clear_below <= self.friction_danger_above,
            &at("friction_clear_below"),
            "a limit above friction_danger_above",
            "no more than friction_danger_above",
        );
        if let (Some(track), None) = (self.track_v, self.decoder_output_v) {
            require(
                out,
                track - self.bridge_drop_v >= VOLTS.0,
                &at("track_v"),
                "a track voltage that the bridge drop uses up",
                "at least 0.5 V more than the bridge drop",
            );
        }
    }
}

/// Notes what is not allowed of a meter's accuracy: percent 0 to 50, digits 0 to 100, resolution
/// above 0 to 100.
pub(in crate::calc) fn check_meter(out: &mut Refusals, field: &str, meter: Option<Accuracy>) {
    let Some(meter) = meter else { return };
    within(out, &format!("{field}.percent"), meter.percent, 0.0, 50.0);
    within(out, &format!("{field}.digits"), meter.digits, 0.0, 100.0);
    within(out, &format!("{field}.resolution"), meter.resolution, 1e-9, 100.0);
}
