//! What is fitted: hold-up store, lights, sound, wire.

use super::super::sheet::Sheet;
use super::{From, Known, settings, track};
use crate::calc::budget::{self, Kind as LoadKind};
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::calc::gates::{LoadFact, Observation};
use crate::calc::{self, gap, load};
use crate::features::calculators::model::Saved;
use crate::features::gates::inputs;
use crate::features::readings::model::{Kind, Reading};
use serde_json::{Map, Value, json};

/// Track voltage and load of the store; gap and speed as kept for the dead track.
pub(super) fn holdup(from: &From<'_>, saved: &[Saved]) -> Known {
    let mut k = Known::default();
    k.json.insert("store".to_owned(), Value::Object(Map::new()));
    k.put("supply.track_v", track_v(from), from.track());
    k.put("supply.bridge_drop_v", from.g.snapshot.thresholds.bridge_drop_v, settings());
    if let Some(scale) = scale(&from.g.conversion.draft.scale) {
        k.put("supply.scale", scale, from.form());
    }
    if let Some((r, volts)) = store_volts(from) {
        k.put("supply.full_v", volts, from.reading(r));
    }
    if let Some(amps) = running_a(from) {
        let mut origin = from.calc("budget");
        "slipping current and the loads that are on".clone_into(&mut origin.words);
        k.put("load.current_a", amps, origin);
    }
    track::ratio(&mut k, from, "crossing.speed.scale_ratio");
    crossing(&mut k, from, saved);
    k
}

/// The longest gap and its speed, where a route was kept.
fn crossing(k: &mut Known, from: &From<'_>, saved: &[Saved]) {
    let Some(c) = calc::find("gap").filter(|_| saved.iter().any(|s| s.name == "gap")) else {
        return;
    };
    let sheet = Sheet::of(from.g, c, saved, from.at);
    let whole = sheet.whole(&sheet.written());
    let Some(input) = serde_json::from_value::<gap::Input>(whole).ok() else { return };
    let longest = gap::run(&input).ok().and_then(|o| o.supply).map(|t| t.longest_mm.value);
    if let Some(longest) = longest {
        k.put("crossing.gap_mm", longest, from.calc("gap"));
    }
    let speed = input.speed;
    for (field, value) in [
        ("model_mm_s", speed.model_mm_s),
        ("scale_kmh", speed.scale_kmh),
        ("scale_mph", speed.scale_mph),
        ("scale_ratio", speed.scale_ratio),
    ] {
        if let Some(value) = value {
            k.put(&format!("crossing.speed.{field}"), value, from.calc("gap"));
        }
    }
}

/// Track voltage as the gates count it, V.
fn track_v(from: &From<'_>) -> f64 {
    let c = &from.g.conversion;
    c.track_v(from.g.household.number("track_v"))
}

/// The scale's size in the standard's list of track voltages.
fn scale(name: &str) -> Option<&'static str> {
    Some(match name {
        "Z" => "Z",
        "N" => "N",
        "TT" => "TT",
        "H0" | "HO" | "H0m" | "H0e" | "OO" => "HO",
        "S" => "S",
        "0" | "0m" | "0e" | "O" => "O",
        "1" | "2" | "G" => "G",
        _ => return None,
    })
}

/// The newest voltage read on the store that still holds.
fn store_volts<'a>(from: &From<'a>) -> Option<(&'a Reading, f64)> {
    let newest = from.g.readings.iter().find(|r| r.draft.kind == Kind::StoreVolts)?;
    let kind = ReadingKind::Seen(Observation::StoreProved);
    let stale = made_stale_by(&from.g.snapshot.alterations, kind, newest.draft.taken_at);
    if stale.is_some() {
        return None;
    }
    Some((newest, newest.draft.outcome.value()?))
}

/// Slipping current and every load but the store's own charge, A; `None` where one is not known.
fn running_a(from: &From<'_>) -> Option<f64> {
    let input = inputs::budget(from.g);
    let motor = load::run(&input.load).ok()?.slipping_at_output_a?.value;
    let loads = input.loads.iter().filter(|l| l.kind != LoadKind::Store);
    let each: Option<Vec<f64>> = loads.map(|l| Some(l.amps_a? * f64::from(l.count))).collect();
    Some(motor + each?.iter().sum::<f64>())
}

/// Outputs with the lamps planned on them.
pub(super) fn lights(from: &From<'_>) -> Known {
    let mut k = Known::default();
    k.put("track_v", track_v(from), from.track());
    k.put("drop_v", from.g.snapshot.thresholds.bridge_drop_v, settings());
    let lamp = |f: &&LoadFact| matches!(f.load.kind, LoadKind::Lamp | LoadKind::Led);
    let facts: Vec<&LoadFact> = from.g.snapshot.loads.iter().filter(lamp).collect();
    let mut names: Vec<&str> = facts.iter().filter_map(|f| f.load.output.as_deref()).collect();
    names.sort_unstable();
    names.dedup();
    let rating = from.g.snapshot.decoder.as_ref().and_then(|d| d.ratings.function_a);
    let outputs: Vec<Value> = names
        .iter()
        .map(|name| {
            let on_it = facts.iter().filter(|f| f.load.output.as_deref() == Some(name));
            let strings: Vec<Value> = on_it.map(|f| string(&f.load)).collect();
            let mut output = json!({ "name": name, "strings": strings });
            if let Some(rating) = rating {
                output["rating_a"] = json!(rating);
            }
            output
        })
        .collect();
    if outputs.is_empty() {
        let words = "No lamp on an output is planned yet: write the loads down.";
        k.notes.push(from.page(words, "/decoder#loads"));
    } else {
        k.put("outputs", outputs, from.page("the planned loads", "/decoder#loads"));
        for i in 0..names.len() {
            let origin = from.page("planned loads; write the volts of each lamp", "/decoder#loads");
            k.say(&format!("outputs.{i}"), origin);
        }
    }
    k
}

/// A planned lamp as a string; its volts are the person's to write.
fn string(l: &budget::PlannedLoad) -> Value {
    let light = match (l.kind, l.amps_a) {
        (LoadKind::Led, Some(amps)) => json!({ "led": { "wanted_a": amps } }),
        (LoadKind::Led, None) => json!({ "led": {} }),
        (_, Some(amps)) => json!({ "lamp": { "rated_a": amps } }),
        (_, None) => json!({ "lamp": {} }),
    };
    json!({ "name": l.name, "light": light, "in_series": 1, "copies": l.count })
}

/// The speaker as read across its leads; its rated ohms are the person's to write.
pub(super) fn sound(from: &From<'_>) -> Known {
    let mut k = Known::default();
    let read = from.g.readings.iter().find(|r| r.draft.kind == Kind::SpeakerOhms);
    let Some((r, ohm)) = read.and_then(|r| Some((r, r.draft.outcome.value()?))) else {
        k.notes.push(from.page("No speaker is read across its leads yet.", "/readings/new"));
        return k;
    };
    let name = if r.draft.point_a.is_empty() { "speaker" } else { r.draft.point_a.as_str() };
    k.put("network", json!({ "speaker": { "name": name, "measured_ohm": ohm } }), from.reading(r));
    k.say("network.speaker", from.reading(r));
    k.say("network.speaker.measured_ohm", from.reading(r));
    k
}

/// The greatest current a motor lead carries.
pub(super) fn wire(from: &From<'_>) -> Known {
    let mut k = Known::default();
    let motor = load::run(&inputs::load(from.g)).ok();
    let greatest = motor.and_then(|m| {
        let held = m.held_at_output_a.or(m.held_stand_in_a).map(|a| a.hi);
        held.into_iter().chain(m.slipping_at_output_a.map(|a| a.hi)).reduce(f64::max)
    });
    if let Some(amps) = greatest {
        let mut origin = from.calc("load");
        "the motor’s greatest current at the decoder".clone_into(&mut origin.words);
        k.put("current_a", amps, origin);
    } else {
        k.notes.push(from.page("No load test yet: make one at the Bench.", "/bench#test"));
    }
    k
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::features::conversions::model::SCALES;

    #[test]
    fn every_scale_offered_has_its_track_voltage_in_the_standard() {
        for s in SCALES {
            let size = scale(s.name).unwrap_or_else(|| panic!("{}", s.name));
            let size: crate::calc::holdup::Scale = serde_json::from_value(json!(size)).unwrap();
            assert!((size.highest_v() - s.track_v).abs() < 1e-9, "{}", s.name);
        }
        assert_eq!(scale("own"), None);
    }
}
