//! The motor: load test, headroom, run-in.

use super::{From, Known, instruments, settings};
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::features::gates::inputs;
use crate::features::readings::model::{Kind, LoadTest, Reading};
use crate::units::Accuracy;
use serde_json::{Map, Value};

/// The latest load test.
pub(super) fn load(from: &From<'_>) -> Known {
    let mut k = Known::default();
    k.whole(&inputs::load(from.g));
    say_load(&mut k, from, "");
    if let Some((r, amps)) = cruise(from) {
        k.put("cruise_a", amps, from.reading(r));
    }
    if from.g.load_tests.is_empty() {
        k.json.remove("test_v");
        k.notes.push(from.page("No load test yet: make one at the Bench.", "/bench#test"));
    }
    k
}

/// The newest cruising current that still holds, read at the voltage of the load test.
fn cruise<'a>(from: &From<'a>) -> Option<(&'a Reading, f64)> {
    let test_v = from.g.snapshot.load_test.as_ref()?.test_v.as_ref()?.value;
    let r = from.g.readings.iter().find(|r| r.draft.kind == Kind::Cruise)?;
    let same = r.draft.conditions.volts.is_none_or(|v| (v - test_v).abs() <= 0.05 * test_v);
    let stale =
        made_stale_by(&from.g.snapshot.alterations, ReadingKind::Free, r.draft.taken_at).is_some();
    let amps = r.draft.outcome.value().filter(|_| same && !stale)?;
    Some((r, amps))
}

/// Where the fields of a load test come from; `under` is empty or ends with a point.
fn say_load(k: &mut Known, from: &From<'_>, under: &str) {
    let at = |field: &str| format!("{under}{field}");
    if let Some(t) = &from.g.snapshot.load_test {
        let taken = [
            ("test_v", t.test_v.as_ref()),
            ("free_a", t.free_a.as_ref()),
            ("slipping_a", t.slipping_a.as_ref()),
            ("held_a", t.held_a.as_ref()),
            ("held_test_v", t.held_v.as_ref()),
            ("winding_ohm", t.winding_ohm.as_ref()),
        ];
        for (field, measured) in taken {
            k.say_taken(&at(field), from, measured.map(|m| &m.taken));
        }
        k.say_taken(&at("held_refused"), from, t.held_refused.as_ref());
    }
    k.say(&at("track_v"), from.track());
    for field in ["bridge_drop_v", "friction_clear_below", "friction_danger_above"] {
        k.say(&at(field), settings());
    }
    let meters = instruments("the instrument named");
    for field in ["current_meter", "voltage_meter", "ohm_meter"] {
        k.say(&at(field), meters.clone());
    }
}

/// The latest load test, the planned loads, the decoder.
pub(super) fn budget(from: &From<'_>) -> Known {
    let mut k = Known::default();
    k.whole(&inputs::budget(from.g));
    say_load(&mut k, from, "load.");
    for (i, fact) in from.g.snapshot.loads.iter().enumerate() {
        let planned = from.g.loads.get(i).map_or_else(String::new, |l| l.id.to_string());
        let origin = match &fact.taken {
            Some(taken) => from.taken(taken),
            None => from.page("planned load", &format!("/loads/{planned}")),
        };
        k.say(&format!("loads.{i}"), origin);
    }
    if from.g.decoder.is_some() {
        k.say("decoder", from.page("the decoder’s ratings", "/decoder#decoder"));
    } else {
        k.notes.push(
            from.page("No decoder is chosen yet: write its ratings down.", "/decoder#decoder"),
        );
    }
    k.say("governing", from.page("the governing case", "/decoder#governing"));
    for field in ["want_headroom_held", "want_headroom_slipping"] {
        k.say(field, settings());
    }
    if from.g.load_tests.is_empty() {
        k.json.remove("load");
        k.notes.push(from.page("No load test yet: make one at the Bench.", "/bench#test"));
    }
    k
}

/// The first load test against the latest.
pub(super) fn runin(from: &From<'_>) -> Known {
    let mut k = Known::default();
    let (Some(latest), Some(first)) = (from.g.load_tests.first(), from.g.load_tests.last()) else {
        k.notes.push(
            from.page("No load test yet: make one before running in, one after.", "/bench#test"),
        );
        return k;
    };
    if first.id == latest.id {
        let words = "Only one load test yet: make another after running in.";
        k.notes.push(from.page(words, "/bench#test"));
    }
    side(&mut k, from, "before", (first, latest));
    if first.id != latest.id {
        side(&mut k, from, "after", (latest, first));
    }
    meters(&mut k, from, &[first, latest]);
    k
}

/// One side: the currents of its test, and the starting voltages read nearer to it than to the other.
fn side(k: &mut Known, from: &From<'_>, name: &str, (test, other): (&LoadTest, &LoadTest)) {
    let of = |kind: Kind| -> Vec<&Reading> {
        let readings = from.g.readings.iter();
        readings
            .filter(|r| r.draft.kind == kind && r.draft.outcome.value().is_some())
            .filter(|r| match kind {
                Kind::StartingVoltage => {
                    let away = |t: &LoadTest| (r.draft.taken_at - t.at).abs();
                    away(test) < away(other)
                }
                _ => r.draft.load_test_id == Some(test.id),
            })
            .collect()
    };
    k.json.insert(name.to_owned(), Value::Object(Map::new()));
    let base = [Kind::Slipping, Kind::Free].into_iter().find_map(|kind| of(kind).first().copied());
    if let Some((r, volts)) = base.and_then(|r| Some((r, r.draft.conditions.volts?))) {
        k.put(&format!("{name}.test_v"), volts, from.reading(r));
    }
    for (kind, field) in
        [(Kind::Free, "free_a"), (Kind::Slipping, "slipping_a"), (Kind::StartingVoltage, "start_v")]
    {
        let readings = of(kind);
        let values: Vec<f64> = readings.iter().filter_map(|r| r.draft.outcome.value()).collect();
        if values.is_empty() {
            continue;
        }
        let path = format!("{name}.{field}");
        k.put(&path, values, from.reading(readings[0]));
        for (i, r) in readings.iter().enumerate() {
            k.say(&format!("{path}.{i}"), from.reading(r));
        }
    }
}

/// The widest accuracy of the meters that read the currents, and whether it was one meter.
fn meters(k: &mut Known, from: &From<'_>, tests: &[&LoadTest]) {
    let read: Vec<&Reading> = from
        .g
        .readings
        .iter()
        .filter(|r| matches!(r.draft.kind, Kind::Free | Kind::Slipping))
        .filter(|r| tests.iter().any(|t| r.draft.load_test_id == Some(t.id)))
        .collect();
    let widest = read
        .iter()
        .filter_map(|r| Some((r.draft.accuracy?, r.draft.outcome.value()?)))
        .max_by(|a, b| a.0.spread(a.1).total_cmp(&b.0.spread(b.1)));
    let Some((accuracy, _)) = widest else { return };
    let origin = instruments("the instrument named");
    k.put("current_meter", accuracy_json(accuracy), origin.clone());
    let first = read.first().and_then(|r| r.draft.conditions.instrument_id);
    let one = first.is_some() && read.iter().all(|r| r.draft.conditions.instrument_id == first);
    k.put("same_meter", one, origin);
}

/// An accuracy as JSON.
pub(super) fn accuracy_json(a: Accuracy) -> Value {
    serde_json::to_value(a).unwrap_or_default()
}
