//! Sound: speakers on the decoder's amplifier, and the box they sit in.
//!
//! Answers: is the load above the amplifier's least, what power does each speaker get, do two
//! speakers move together, and how low does the closed box go.
//!
//! - inputs: a network of speakers in Ω, the amplifier's least load in Ω and its volts or watts, the
//!   box in cm³;
//! - formula: `Z = Z1 + Z2`, `1/Z = 1/Z1 + 1/Z2`, `P = V²/Z`; closed box as in [`sealed`];
//! - comes back: load, power per speaker, resonance, Q, low end, findings;
//! - errors: every field outside its range is refused by its path;
//! - source: textbook relations; closed box by Thiele and Small.

mod judge;
pub mod network;
pub mod sealed;

use crate::aspect::Finding;
use crate::calc::load::check_meter;
use crate::calc::read::read;
use crate::calc::registry::{Calculation, schema};
use crate::calc::{Answer, Bounded, FieldRefusal, Refusals, Value, require, within};
use crate::units::{Accuracy, Interval};
use network::{Node, Speaker};
use schemars::JsonSchema;
use sealed::{BoxResult, ClosedBox};
use serde::{Deserialize, Serialize};

/// Formula of the load and the power.
const LOAD_FORMULA: &str = "series Z = Z1 + Z2; parallel 1/Z = 1/Z1 + 1/Z2; P = V²/Z";
/// Source of the load and the power.
const LOAD_SOURCE: &str = "textbook relations";
/// Formula of the closed box.
const BOX_FORMULA: &str = "f_c = f_s·√(1 + V_as/V_b); Q_tc = Q_ts·√(1 + V_as/V_b); \
    f_3 = f_c·√(x + √(x² + 1)), x = 1/(2·Q_tc²) − 1; V_b = V_as/((Q_tc/Q_ts)² − 1)";
/// Source of the closed box.
const BOX_SOURCE: &str =
    "Thiele and Small, closed box; a guide, since small speakers rarely come with V_as";
/// Speakers allowed in one network.
const MOST_SPEAKERS: usize = 32;
/// Nesting allowed.
const MOST_DEPTH: usize = 8;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Sound")]
pub struct Input {
    /// Least load the amplifier may be given, Ω, 1 to 1000. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Least load", range(min = 1.0, max = 1000.0))]
    pub least_load_ohm: Option<f64>,
    /// Greatest output of the amplifier, V RMS, 0.01 to 100. Give this or `amplifier_w`, or neither.
    #[serde(default)]
    #[schemars(title = "Greatest output", range(min = 0.01, max = 100.0))]
    pub output_v: Option<f64>,
    /// Greatest power of the amplifier into its least load, W, 0.01 to 100.
    #[serde(default)]
    #[schemars(title = "Amplifier power", range(min = 0.01, max = 100.0))]
    pub amplifier_w: Option<f64>,
    /// Accuracy of the ohmmeter. Not given: readings are taken as exact.
    #[serde(default)]
    #[schemars(title = "Ohmmeter")]
    pub ohm_meter: Option<Accuracy>,
    /// The speakers: `{"speaker":{…}}`, `{"series":[…]}` or `{"parallel":[…]}`, at most 32 speakers
    /// and 8 levels.
    #[schemars(title = "Speakers")]
    pub network: Node,
    /// The closed box, where there is one.
    #[serde(default)]
    #[schemars(title = "Closed box")]
    pub closed_box: Option<ClosedBox>,
}

/// What comes back for one speaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SpeakerResult {
    /// Its name.
    pub name: String,
    /// Share of the whole power, 0 to 1.
    pub share: f64,
    /// Power at the amplifier's greatest output, W; `None` where that is not known.
    pub power_w: Option<f64>,
}

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Load by rated impedance, Ω.
    pub load_ohm: f64,
    /// Load by ohmmeter, Ω; `None` unless every speaker was measured. It is a little below the
    /// rated one, since it leaves out what the moving cone adds.
    pub measured_load_ohm: Option<Bounded>,
    /// Greatest output, V RMS.
    pub output_v: Option<f64>,
    /// Power of all speakers at that output, W.
    pub power_w: Option<f64>,
    /// One per speaker, in the order given.
    pub speakers: Vec<SpeakerResult>,
    /// The box.
    pub closed_box: Option<BoxResult>,
    /// Verdicts.
    pub findings: Vec<Finding>,
}

/// Works the sound out.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let load_ohm = input.network.load_ohm(&|s: &Speaker| s.impedance_ohm);
    let output_v =
        input.output_v.or_else(|| Some((input.amplifier_w? * input.least_load_ohm?).sqrt()));
    let names = input.network.speakers();
    let whole = 1.0 / load_ohm;
    let speakers = names
        .iter()
        .zip(input.network.powers_w(1.0))
        .map(|(speaker, at_one_volt)| SpeakerResult {
            name: speaker.name.clone(),
            share: at_one_volt / whole,
            power_w: output_v.map(|v| v * v * at_one_volt),
        })
        .collect();
    let mut out = Output {
        load_ohm,
        measured_load_ohm: measured_load(input),
        output_v,
        power_w: output_v.map(|v| v * v * whole),
        speakers,
        closed_box: input.closed_box.as_ref().map(sealed::work),
        findings: Vec::new(),
    };
    out.findings = judge::findings(input, &out);
    Ok(out)
}

/// Load by ohmmeter, when every speaker was measured.
fn measured_load(input: &Input) -> Option<Bounded> {
    if input.network.speakers().iter().any(|s| s.measured_ohm.is_none()) {
        return None;
    }
    let reading = |s: &Speaker| s.measured_ohm.unwrap_or(s.impedance_ohm);
    let ends = |s: &Speaker| judge::reading_ends(input, reading(s));
    let value = input.network.load_ohm(&reading);
    let lo = input.network.load_ohm(&|s: &Speaker| ends(s).lo);
    let hi = input.network.load_ohm(&|s: &Speaker| ends(s).hi);
    Some(Bounded::new(value, Interval { lo, hi }))
}

/// Everything about the input that is not allowed.
fn refuse(input: &Input) -> Refusals {
    let mut no = Refusals::new();
    optional(&mut no, "least_load_ohm", input.least_load_ohm, 1.0, 1000.0);
    optional(&mut no, "output_v", input.output_v, 0.01, 100.0);
    optional(&mut no, "amplifier_w", input.amplifier_w, 0.01, 100.0);
    if let Some(watts) = input.amplifier_w {
        let (given, one) = (watts.to_string(), "output_v or amplifier_w, not both");
        require(&mut no, input.output_v.is_none(), "amplifier_w", &given, one);
        let with = "with least_load_ohm, the load it is rated into";
        require(&mut no, input.least_load_ohm.is_some(), "amplifier_w", &given, with);
    }
    check_meter(&mut no, "ohm_meter", input.ohm_meter);
    refuse_network(&mut no, &input.network);
    if let Some(b) = &input.closed_box {
        within(&mut no, "closed_box.fs_hz", b.fs_hz, 10.0, 5000.0);
        within(&mut no, "closed_box.qts", b.qts, 0.1, 10.0);
        within(&mut no, "closed_box.vas_cm3", b.vas_cm3, 0.01, 1e6);
        optional(&mut no, "closed_box.box_cm3", b.box_cm3, 0.01, 1e6);
        optional(&mut no, "closed_box.spread_percent", b.spread_percent, 0.0, 50.0);
        optional(&mut no, "closed_box.wanted_qtc", b.wanted_qtc, 0.3, 3.0);
        optional(&mut no, "closed_box.band_low_hz", b.band_low_hz, 20.0, 10_000.0);
    }
    no
}

fn refuse_network(no: &mut Refusals, network: &Node) {
    let speakers = network.speakers();
    let (depth, count) = (network.depth(), speakers.len());
    require(no, depth <= MOST_DEPTH, "network", &format!("{depth} levels"), "at most 8 levels");
    require(no, count <= MOST_SPEAKERS, "network", &format!("{count} speakers"), "at most 32");
    let empty = "at least one entry in every series and parallel group";
    require(no, !network.has_empty_group(), "network", "an empty group", empty);
    for speaker in speakers.into_iter().take(MOST_SPEAKERS) {
        let name = speaker.name.trim();
        if !(1..=60).contains(&name.chars().count()) {
            let given = if name.is_empty() { "nothing" } else { name };
            no.push(FieldRefusal::new("network.speaker.name", given, "1 to 60 signs"));
        }
        let at = |field: &str| format!("network.speaker({name}).{field}");
        within(no, &at("impedance_ohm"), speaker.impedance_ohm, 1.0, 1000.0);
        optional(no, &at("measured_ohm"), speaker.measured_ohm, 0.1, 10_000.0);
        optional(no, &at("rated_w"), speaker.rated_w, 0.01, 100.0);
    }
}

/// Range of a field that may be missing.
fn optional(no: &mut Refusals, field: &str, value: Option<f64>, least: f64, most: f64) {
    if let Some(v) = value {
        within(no, field, v, least, most);
    }
}

impl Output {
    /// The answer as page, API and command line show it.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        let mut add = |name: &str, label: &str, v: Option<Bounded>, unit: &str, of_box: bool| {
            let (formula, source) =
                if of_box { (BOX_FORMULA, BOX_SOURCE) } else { (LOAD_FORMULA, LOAD_SOURCE) };
            if let Some(v) = v {
                values.push(Value::new(name, label, v, unit).by(formula, source));
            }
        };
        let plain = |v: Option<f64>| v.map(Bounded::exact);
        add("load_ohm", "Load, by rated impedance", plain(Some(self.load_ohm)), "Ω", false);
        add("measured_load_ohm", "Load, by ohmmeter", self.measured_load_ohm, "Ω", false);
        add("output_v", "Greatest output", plain(self.output_v), "V", false);
        add("power_w", "Power of all speakers", plain(self.power_w), "W", false);
        for (i, speaker) in (1..).zip(&self.speakers) {
            let label = |what: &str| format!("{}: {what}", speaker.name);
            let power = plain(speaker.power_w);
            add(&format!("speaker_{i}_w"), &label("power"), power, "W", false);
            let share = plain(Some(speaker.share));
            add(&format!("speaker_{i}_share"), &label("share of the power"), share, "", false);
        }
        if let Some(b) = self.closed_box {
            add("f3_hz", "Low end, 3 dB down", b.f3_hz, "Hz", true);
            add("fc_hz", "Resonance in the box", b.fc_hz, "Hz", true);
            add("qtc", "Q in the box", b.qtc, "", true);
            add("peak_db", "Rise at the peak", plain(b.peak_db), "dB", true);
            add("at_band_low_db", "At the lowest wanted note", plain(b.at_band_low_db), "dB", true);
            add("wanted_box_cm3", "Box for the wanted Q", plain(b.wanted_box_cm3), "cm³", true);
        }
        Answer::new("sound", values, self.findings.clone())
    }
}

/// Its entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "sound",
    title: "Speakers and their box",
    question: "Does the amplifier stand these speakers, and how low does the box go?",
    caution: "Join no speaker lead to frame or rail: the amplifier drives both leads and dies of it.",
    example: r#"{"least_load_ohm":8,"amplifier_w":1.0,"network":{"series":[
{"speaker":{"name":"front","impedance_ohm":4,"measured_ohm":3.7,"rated_w":1.0,"moves":"outward"}},
{"speaker":{"name":"rear","impedance_ohm":4,"measured_ohm":3.8,"rated_w":1.0,"moves":"outward"}}]},
"closed_box":{"fs_hz":600,"qts":0.9,"vas_cm3":2.0,"box_cm3":2.8,"spread_percent":15,"band_low_hz":400}}"#,
    run: |json| Ok(run(&read(json)?)?.answer()),
    input_schema: schema::<Input>,
};

#[cfg(test)]
mod tests;
