//! Hold-up: the capacitor store that carries the decoder over dead track.
//!
//! What it answers: how long the store lasts, how large it must be for a gap, whether its rating is
//! safe, what its charge does to booster and programming track, how far the locomotive runs on, and
//! how to make it safe before work.
//!
//! Inputs: see [`Input`]; every group but the cells may be left out, and what is left out is not
//! known. Formulas: constant current `t = C (V1 − V2)/I`, constant power `t = C (V1² − V2²)/(2P)`,
//! with ESR and diode by integration; `E = C V²/2`; charging `V/R exp(−t/RC)`. Errors: values
//! outside their range, two loads, two speeds. Source: published application articles and
//! handbooks; NEM 670, NMRA S-9.2.3. Worked example: five 1 F 2.7 V cells in series, 13.5 to 7 V:
//! 0.2 F, 5.2 s at 0.25 A, 4.44 s at 3 W. A time from data sheets is never clear: only a measured
//! one is.

mod around;
mod charge;
mod check;
mod discharge;
mod input;
mod line_up;
mod plots;
mod programming;
mod safety;
mod sizing;
mod speed;
mod store;
mod text;
mod values;

pub use around::{Booster, MakeSafe, Measured, OtherStore, Programming, Resistor};
pub use charge::{ChargeSample, Charging};
pub use discharge::{Discharge, Draw, Sample};
pub use input::{Crossing, Input, Kind, Load, Scale, Store, Supply};
pub use line_up::{CurrentSample, LineUp};
pub use programming::{ACKNOWLEDGMENT_A, Effect, LIMIT_A, SUSTAINED_S};
pub use safety::{Balance, LARGEST_AMPLITUDE_V};
pub use sizing::{Hold, Least};
pub use speed::Speed;
pub use store::Stack;

use super::answer::{Answer, Bounded, Refusals};
use super::plot::Plot;
use super::read::read;
use super::registry::{Calculation, schema};
use crate::aspect::Finding;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use store::Known;

/// The entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "holdup",
    title: "The hold-up store",
    question: "How long does the store carry the decoder, how large must it be, and is it safe?",
    caution: "A charged store can weld and burn: check polarity twice, never exceed its rating, \
              discharge it through a resistor before work.",
    example: r#"{
 "store": {"kind": "double_layer", "cell_f": 1, "series": 5, "esr_ohm": 0.2,
  "leakage_a": 0.00001, "rating_v": 2.7},
 "supply": {"track_v": 14.6, "scale": "HO"},
 "load": {"power_w": 3, "cutoff_v": 7},
 "crossing": {"gap_mm": 50, "speed": {"scale_mph": 30, "scale_ratio": 87.1}, "run_on_limit_mm": 300},
 "charge": {"ohm": 100, "rating_w": 0.5},
 "programming": {"output_v": 12},
 "booster": {"trip_a": 3, "trip_s": 0.5, "other_a": 0.4, "count": 10},
 "make_safe": {"resistor": {"ohm": 100, "rating_w": 2}}}"#,
    run: |json| read::<Input>(json).and_then(|input| run(&input)).map(|output| output.answer()),
    input_schema: schema::<Input>,
};

/// What a store does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The cells together.
    pub stack: Stack,
    /// Charged voltage, V; `None`: not known.
    pub full_v: Option<Bounded>,
    /// Energy stored, J.
    pub energy_j: Option<Bounded>,
    /// Energy until the cut-off, J.
    pub usable_j: Option<f64>,
    /// Hold-up time; `None`: something it needs is not known.
    pub hold: Option<Hold>,
    /// Time wanted, s.
    pub wanted_s: Option<f64>,
    /// Smallest store for it; `None`: nothing wanted, not known, or no size is enough.
    pub least: Option<Least>,
    /// Distance it runs on after the track power is cut, mm.
    pub run_on_mm: Option<Bounded>,
    /// Charging; `None`: resistor, voltage or capacitance not known.
    pub charging: Option<Charging>,
    /// The cells of a string.
    pub balance: Option<Balance>,
    /// What it does to the programming track.
    pub programming: Option<Effect>,
    /// All stores on the booster.
    pub line_up: Option<LineUp>,
    /// Discharge through the resistor before work.
    pub make_safe: Option<Charging>,
    /// Time until it is safe through that resistor, s.
    pub safe_after_s: Option<Bounded>,
    /// Time until it is safe by itself, s.
    pub rest_s: Option<f64>,
    /// Voltage over time after the supply goes, for the plot.
    pub voltage: Vec<Sample>,
    /// The verdicts.
    pub findings: Vec<Finding>,
    /// Voltage over time, the charge, the line-up; only what is known.
    pub plots: Vec<Plot>,
}

/// Runs the calculation.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = check::refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let known = Known {
        input,
        stack: Stack::of(&input.store),
        full_v: store::full_v(&input.supply),
        speed: input.crossing.speed.mm_per_s("crossing.speed")?,
    };
    let hold = sizing::hold(&known);
    let wanted_s = sizing::wanted_s(&known);
    let charging = charge::through(&known, &input.charge);
    let make_safe = charge::through(&known, &input.make_safe.resistor);
    let half = known.stack.store_f.zip(known.full_v);
    let mut output = Output {
        stack: known.stack,
        full_v: known.full_v,
        energy_j: half.map(|(farad, volt)| store::energy_j(farad, volt)),
        usable_j: half.zip(hold).map(|((farad, volt), h)| {
            (0.5 * farad.value * (volt.value.powi(2) - h.end_store_v.powi(2))).max(0.0)
        }),
        hold,
        wanted_s,
        least: wanted_s.and_then(|want| sizing::least(&known, want)),
        run_on_mm: sizing::run_on_mm(&known, hold.as_ref()),
        balance: safety::balance(&known),
        programming: programming::effect(&known),
        line_up: line_up::line_up(&known, charging.as_ref()),
        safe_after_s: make_safe.as_ref().and_then(|c| charge::safe_after_s(&known, c)),
        rest_s: charge::rest_s(&known),
        voltage: sizing::samples(&known),
        charging,
        make_safe,
        findings: Vec::new(),
        plots: Vec::new(),
    };
    output.findings = findings(&known, &output);
    output.plots = plots::all(&known, &output);
    Ok(output)
}

/// All verdicts.
fn findings(known: &Known<'_>, o: &Output) -> Vec<Finding> {
    let mut all = vec![
        safety::voltage(known),
        sizing::finding(known, o.hold.as_ref(), o.wanted_s, o.least.as_ref()),
        programming::finding(known, o.programming.as_ref()),
    ];
    all.extend(o.hold.zip(o.wanted_s).and_then(|(h, want)| sizing::aged(known, &h, want)));
    all.extend(sizing::run_on(known, o.run_on_mm));
    all.extend(o.balance.as_ref().map(|b| safety::balance_finding(known, b)));
    all.extend(safety::derating(known));
    all.push(match &o.charging {
        Some(c) => charge::pulse("charging resistor", c, &known.input.charge),
        None => charge::surge_unknown(known),
    });
    let discharger = &known.input.make_safe.resistor;
    all.extend(o.make_safe.as_ref().map(|c| charge::pulse("discharging resistor", c, discharger)));
    all.extend(o.line_up.as_ref().map(|sum| line_up::finding(known, sum)));
    all
}

impl Output {
    /// The answer as every face shows it.
    pub fn answer(&self) -> Answer {
        Answer::new("holdup", values::of(self), self.findings.clone()).drawn(self.plots.clone())
    }
}

#[cfg(test)]
mod tests;
