//! Wheels and the track: pickup map, isolation walk, dead track.

use super::{From, Known, settings};
use crate::calc::pickup::{Side, WheelState};
use crate::features::gates::inputs;
use serde_json::{Value, json};

/// The pickup map: readings through and through.
pub(super) fn pickup(from: &From<'_>) -> Known {
    let mut k = Known::default();
    k.whole(&inputs::pickup(from.g));
    for field in ["good_below_ohm", "bad_above_ohm"] {
        k.say(field, settings());
    }
    let words = format!("{} wheels of the pickup map", from.g.wheels.len());
    k.fixed.push(("wheels", from.page(&words, "/bench#map")));
    if from.g.wheels.is_empty() {
        k.notes.push(from.page("No wheel on the map yet: lay it out.", "/wheels"));
    }
    k
}

/// The isolation walk: readings through and through.
pub(super) fn isolation(from: &From<'_>) -> Known {
    let mut k = Known::default();
    k.whole(&inputs::isolation(from.g));
    k.say("open_above_ohm", settings());
    let words = format!("{} readings of the walk", from.g.snapshot.isolation.len());
    k.fixed.push(("readings", from.page(&words, "/isolation")));
    k.fixed.push(("positions", from.page("positions of this drive", "/edit")));
    k.fixed.push(("function_leads", from.page("leads of the planned loads", "/decoder#loads")));
    k.fixed.push(("has_bogies", from.form()));
    k.fixed.push(("has_motor", from.form()));
    k
}

/// Wheels that pick up, by their place; the route is the person's.
pub(super) fn gap(from: &From<'_>) -> Known {
    let mut k = Known::default();
    let input = inputs::pickup(from.g);
    let mut unplaced = 0;
    let mut wheels = Vec::new();
    let mut taken = Vec::new();
    for (fact, wheel) in from.g.snapshot.wheels.iter().zip(&input.wheels) {
        if !wheel.fitted() {
            continue;
        }
        let Some(back_mm) = wheel.position_mm else {
            unplaced += 1;
            continue;
        };
        let rail = if wheel.side == Side::Left { "left" } else { "right" };
        // the map counts back from the front axle, the strip forward
        let mut one = json!({ "position_mm": 0.0 - back_mm, "rail": rail });
        if let Some(works) = works(wheel.state, input.bad_above_ohm) {
            one["works"] = Value::Bool(works);
        }
        wheels.push(one);
        taken.push(fact.taken.as_ref());
    }
    if !wheels.is_empty() {
        let count = wheels.len();
        let words = format!("{count} wheels of the pickup map that are meant to pick up");
        k.put("wheels", wheels, from.page(&words, "/bench#map"));
        for (i, taken) in taken.into_iter().enumerate() {
            k.say_taken(&format!("wheels.{i}"), from, taken);
        }
    }
    if unplaced > 0 {
        let words =
            format!("{unplaced} wheels have no place along the model: write it on the map.");
        k.notes.push(from.page(&words, "/wheels"));
    } else if from.g.wheels.is_empty() {
        k.notes.push(from.page("No wheel on the map yet: lay it out.", "/wheels"));
    }
    ratio(&mut k, from, "speed.scale_ratio");
    k
}

/// Whether a wheel picks up, by the map's own limit; `None`: nobody measured it.
fn works(state: WheelState, bad_above_ohm: f64) -> Option<bool> {
    match state {
        WheelState::Unmeasured => None,
        WheelState::Open => Some(false),
        WheelState::Ohms { hi, .. } => Some(hi <= bad_above_ohm),
    }
}

/// The scale ratio, for speeds.
pub(super) fn ratio(k: &mut Known, from: &From<'_>, path: &str) {
    if let Some(ratio) = from.g.conversion.draft.ratio {
        k.put(path, ratio, from.form());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wheel_counts_by_the_bad_end_of_its_ohms_and_an_unmeasured_one_is_not_said() {
        let ohms = |hi| WheelState::Ohms { value: 0.5, lo: 0.4, hi, steady: true };
        assert_eq!(works(ohms(0.6), 2.0), Some(true));
        assert_eq!(works(ohms(2.1), 2.0), Some(false));
        assert_eq!(works(WheelState::Open, 2.0), Some(false));
        assert_eq!(works(WheelState::Unmeasured, 2.0), None);
    }
}
