//! The load test's values as lines of an answer.

use super::{OperatingPoint, Output};
use crate::calc::{Bounded, Value};

/// Source of the relations between voltage, current and resistance.
const OHM: &str = "Ohm’s law";
/// Source of the motor relations.
const MOTOR: &str = "usual relations of small-motor handbooks, from memory";
/// Source of what the trade does.
const PRACTICE: &str = "common practice, no source";

/// Every known value, most wanted first.
pub(super) fn list(o: &Output) -> Vec<Value> {
    let mut out = Vec::new();
    let mut put = |name: &str, label: &str, value: Option<Bounded>, by: (&str, &str)| {
        let unit = unit_of(name);
        out.extend(value.map(|v| Value::new(name, label, v, unit).by(by.0, by.1)));
    };
    put("friction_share", "Friction share", o.friction_share, ("I_free / I_slip", PRACTICE));
    let formula = "I_held × V_out / V_test, winding cold";
    put("held_at_output_a", "Held on the decoder, cold", o.held_at_output_a, (formula, OHM));
    let formula = "the same with R(T) = R20 (1 + 0.00393 (T − 20)) at 80 °C";
    put("held_hot_at_output_a", "Held on the decoder, hot", o.held_hot_at_output_a, (formula, OHM));
    let formula = "V_out / R_winding, winding cold";
    put("held_stand_in_a", "Stand-in for held, cold", o.held_stand_in_a, (formula, OHM));
    let formula = "as read: adhesion sets it, not voltage";
    let slipping = o.slipping_at_output_a;
    put("slipping_at_output_a", "Slipping on the decoder", slipping, (formula, PRACTICE));
    let formula = "V_track − V_bridge, or as given";
    put("decoder_output_v", "Decoder output", o.decoder_output_v, (formula, PRACTICE));
    put("resistance_ohm", "Terminal resistance", o.resistance_ohm, ("R = V / I_held", OHM));
    let each = o.resistance_each_ohm;
    put("resistance_each_ohm", "Resistance of each motor", each, ("R × motors, all alike", OHM));
    let formula = "R − R_winding";
    put("brush_and_contact_ohm", "Brushes and contacts", o.brush_and_contact_ohm, (formula, OHM));
    put("disagreement", "Held and ohmmeter apart", o.disagreement, ("|R / R_winding − 1|", OHM));
    let formula = "E = V − I_free R";
    put("back_emf_free_v", "Back-EMF running free", o.back_emf_free_v, (formula, MOTOR));
    put("copper_loss_free_w", "Copper loss running free", o.copper_loss_free_w, ("I_free² R", OHM));
    put("friction_power_w", "Friction power", o.friction_power_w, ("E I_free", MOTOR));
    put("input_free_w", "Power taken running free", o.input_free_w, ("V I_free", OHM));
    out.extend(o.points.iter().flat_map(point));
    out
}

/// One operating point.
fn point(p: &OperatingPoint) -> Vec<Value> {
    let doing = if p.name == "cruise" { "cruising" } else { "with the wheels slipping" };
    let one = |name: String,
               label: &str,
               value: Option<Bounded>,
               (formula, source): (&str, &str)| {
        let unit = unit_of(&name);
        value.map(|v| Value::new(&name, &format!("{label} {doing}"), v, unit).by(formula, source))
    };
    let name = &p.name;
    [
        one(format!("back_emf_{name}_v"), "Back-EMF", p.back_emf_v, ("E = V − I R", MOTOR)),
        one(format!("copper_loss_{name}_w"), "Copper loss", p.copper_loss_w, ("I² R", OHM)),
        one(format!("shaft_power_{name}_w"), "Power at the shaft", p.shaft_power_w, ("E I", MOTOR)),
        one(format!("input_{name}_w"), "Power taken", p.input_w, ("V I", OHM)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Unit as printed, from the ending of the name.
fn unit_of(name: &str) -> &'static str {
    match name.rsplit('_').next() {
        Some("a") => "A",
        Some("v") => "V",
        Some("ohm") => "Ω",
        Some("w") => "W",
        _ => "",
    }
}
