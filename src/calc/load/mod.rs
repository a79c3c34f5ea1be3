//! The motor from three currents.
//!
//! What it answers: what resistance, back-EMF and friction does this motor have, what will it draw
//! when held on the decoder it is to get, and does the mechanism eat the motor's effort itself?
//!
//! Inputs: see [`Input`]; readings with their meters' accuracy, ranges in each field.
//!
//! Formulas (Ohm's law and the usual relations of small-motor handbooks, from memory):
//! R = V / I_held; E = V − I_free R; copper loss I_free² R; friction power E I_free; input V I_free;
//! friction share I_free / I_slip; output voltage = track voltage − bridge drop;
//! held at the output = I_held V_out / V_test; R(T) = R20 (1 + 0.00393 (T − 20)).
//!
//! The slipping current is not scaled with voltage: adhesion sets the torque at which the wheels
//! slip, torque sets the current, so it stays about the same at any voltage (common practice, no
//! source). The held current is scaled, since nothing but resistance limits it.
//!
//! What comes back: each value with its bounds, `None` where a reading for it is missing or can't
//! be told from zero; and findings, decided on the bad end of the bounds.
//!
//! Errors: every field outside its range is refused; nothing is guessed.
//!
//! Worked (common practice, no source): 12 V, 0.27 / 0.32 / 0.80 A gives R 15.0 Ω, friction share
//! 0.844, E 7.95 V, copper loss 1.09 W, friction power 2.15 W; at 14.6 V held is 0.973 A.

mod bounds;
mod findings;
mod input;
mod values;
mod words;

#[cfg(test)]
mod tests;

pub use bounds::{COLD_C, COPPER_PER_K, HOT_C, copper_ratio};
pub use input::Input;

pub(super) use bounds::seen;
pub(super) use input::check_meter;
pub(super) use words::{SAME_WITHIN, amps_at_least, amps_below, amps_given, amps_with_bounds};

use super::{Answer, Bounded, Refusals};
use crate::aspect::Finding;
use bounds::Readings;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The motor at work: what it does at one current of the test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OperatingPoint {
    /// `cruise` or `slipping`.
    pub name: String,
    /// Its current, A.
    pub current_a: Bounded,
    /// Back-EMF, V: in proportion to the speed.
    pub back_emf_v: Option<Bounded>,
    /// Power lost in the winding, W.
    pub copper_loss_w: Option<Bounded>,
    /// Power at the shaft, friction of the mechanism included, W.
    pub shaft_power_w: Option<Bounded>,
    /// Power taken, W.
    pub input_w: Option<Bounded>,
}

/// The motor as the readings show it. A value is `None` where a reading for it is missing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Terminal resistance, brushes included, Ω, at the temperature of the reading.
    pub resistance_ohm: Option<Bounded>,
    /// Resistance of each motor, Ω, where several in parallel were read together and are alike.
    pub resistance_each_ohm: Option<Bounded>,
    /// Friction share, free over slipping current.
    pub friction_share: Option<Bounded>,
    /// Back-EMF running free, V.
    pub back_emf_free_v: Option<Bounded>,
    /// Power lost in the winding running free, W.
    pub copper_loss_free_w: Option<Bounded>,
    /// Power that friction takes running free, W.
    pub friction_power_w: Option<Bounded>,
    /// Power taken running free, W.
    pub input_free_w: Option<Bounded>,
    /// Cruising and slipping, as far as they were read.
    pub points: Vec<OperatingPoint>,
    /// Voltage at the decoder's motor output, V.
    pub decoder_output_v: Option<Bounded>,
    /// Slipping current on the decoder, A: as read, since voltage does not change it.
    pub slipping_at_output_a: Option<Bounded>,
    /// Held current on the decoder, A, motor cold: the worst case.
    pub held_at_output_a: Option<Bounded>,
    /// Held current on the decoder, A, with the winding at 80 °C and brushes counted as copper.
    pub held_hot_at_output_a: Option<Bounded>,
    /// What stands in for the held current where it was not read, A: output voltage over winding.
    pub held_stand_in_a: Option<Bounded>,
    /// Brushes and contacts, Ω: terminal resistance less winding.
    pub brush_and_contact_ohm: Option<Bounded>,
    /// How far terminal resistance and winding are apart, as a share of the winding.
    pub disagreement: Option<Bounded>,
    /// Does the mechanism eat the motor's effort?
    pub mechanism: Finding,
    /// Do ohmmeter and held current tell the same resistance?
    pub winding_agrees: Finding,
    /// Can the three currents all be right?
    pub plausibility: Finding,
    /// What to do about a held current that was not read; `None` where it was.
    pub held: Option<Finding>,
}

/// Works out the motor. Refuses fields outside their ranges.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = input.refusals("");
    if refusals.is_empty() { Ok(work_out(input)) } else { Err(refusals) }
}

/// Works out the motor from an input whose ranges have been checked.
pub(super) fn work_out(input: &Input) -> Output {
    let r = Readings::of(input);
    let resistance = bounds::resistance(&r);
    let share = bounds::friction_share(&r);
    let disagreement = bounds::disagreement(&r);
    let stand_in = if r.held.is_none() { bounds::held_stand_in(&r) } else { None };
    let several = (input.motors > 1).then(|| Bounded::exact(f64::from(input.motors)));
    Output {
        resistance_ohm: resistance,
        resistance_each_ohm: several.and_then(|n| bounds::times(resistance?, n)),
        friction_share: share,
        back_emf_free_v: bounds::back_emf(&r),
        copper_loss_free_w: bounds::copper_loss(&r),
        friction_power_w: bounds::friction_power(&r),
        input_free_w: bounds::input_free(&r),
        points: [("cruise", r.cruise), ("slipping", r.slipping)]
            .into_iter()
            .filter_map(|(name, current)| Some(bounds::point(name, current?, &r)))
            .collect(),
        decoder_output_v: r.output,
        slipping_at_output_a: r.slipping,
        held_at_output_a: bounds::held_at_output(&r),
        held_hot_at_output_a: bounds::held_hot_at_output(&r),
        held_stand_in_a: stand_in,
        brush_and_contact_ohm: bounds::brush_and_contact(&r),
        disagreement,
        mechanism: findings::mechanism(input, &r, share),
        winding_agrees: findings::winding_agrees(&r, resistance, disagreement),
        plausibility: findings::plausibility(&r),
        held: findings::held(input, &r, stand_in),
    }
}

impl Output {
    /// The result in the shape that page, API and command line show.
    pub fn answer(&self) -> Answer {
        let mut findings = vec![self.mechanism.clone(), self.plausibility.clone()];
        findings.extend(self.held.clone());
        findings.push(self.winding_agrees.clone());
        Answer::new("load", values::list(self), findings)
    }
}
