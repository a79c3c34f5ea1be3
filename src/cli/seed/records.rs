//! Entries of the rooms other than the bench.

use super::entries;
use super::tell::Told;
use super::typed::{code, in_unit, maybe, maybe_quantity, quantity, words};
use crate::db::{ConversionId, Millis, PersonId, RangeId, Write};
use crate::features::conversions::model::{Draft, scale, to_thousandths};
use crate::features::instruments::model::{self as instrument, Measures, Range};
use crate::features::settings::model::NUMBERS;
use crate::features::{circuits, decoders, instruments, settings, snags};
use crate::units::{Accuracy, Dimension};
use std::collections::BTreeMap;

/// Household settings; a key that isn't one is refused.
pub async fn settings(w: &mut Write, values: &BTreeMap<String, String>) -> Told {
    if let Some(key) = values.keys().find(|k| *k != "name" && !NUMBERS.iter().any(|n| n.key == **k))
    {
        return Err(format!("there is no setting {key}"));
    }
    settings::store::put(w, 0, values).await.map_err(words)
}

/// An instrument with its ranges.
pub async fn instrument(w: &mut Write, i: &entries::Instrument) -> Told {
    let ranges = i
        .ranges
        .iter()
        .map(|r| {
            let measures: Measures = code(&r.measures)?;
            let size = |text: &str| quantity(text, measures.dimension());
            let accuracy =
                Accuracy { percent: r.percent, digits: r.digits, resolution: size(&r.step)? };
            let (id, up_to, jack) = (RangeId::new(), size(&r.up_to)?, r.jack.clone());
            Ok(Range { id, measures, up_to, accuracy, jack })
        })
        .collect::<Result<Vec<_>, String>>()?;
    let draft = instrument::Draft {
        name: i.name.clone(),
        kind: code(&i.kind)?,
        fuse: i.fuse.clone(),
        remark: String::new(),
    };
    instruments::store::add(w, draft, ranges).await.map(drop).map_err(words)
}

/// What the form of a new conversion would say.
pub fn conversion(
    c: &entries::Conversion,
    person: Option<PersonId>,
    at: Millis,
) -> Result<Draft, String> {
    let listed = scale(&c.scale).ok_or(format!("“{}” is no scale of the list", c.scale))?;
    if let Some(goal) = c.goals.iter().find(|g| !["sound", "lights", "store"].contains(&g.as_str()))
    {
        return Err(format!("“{goal}” is no goal"));
    }
    let length = maybe_quantity(&c.length, Dimension::Length)?;
    let track = maybe_quantity(&c.track_v, Dimension::Voltage)?;
    let wants = |goal: &str| c.goals.iter().any(|g| g == goal);
    Ok(Draft {
        title: c.title.clone(),
        scale: c.scale.clone(),
        ratio: Some(listed.ratio),
        gauge_um: Some(to_thousandths(listed.gauge_mm)),
        body: code(&c.body)?,
        wheels: c.wheels.clone(),
        length_um: length.map(to_thousandths),
        drive: code(&c.drive)?,
        motor: code(&c.motor)?,
        pickup: code(&c.pickup)?,
        frame: code(&c.frame)?,
        goal_sound: wants("sound"),
        goal_lights: wants("lights"),
        goal_store: wants("store"),
        why: c.why.clone(),
        give_up_cents: None,
        give_up_currency: String::new(),
        give_up_minutes: (c.give_up_hours > 0).then_some(c.give_up_hours * 60),
        track_mv: track.map(to_thousandths),
        person_id: person,
        started_at: at,
    })
}

/// The wheels of the pickup map, left and right of each axle.
pub async fn wheels(w: &mut Write, id: ConversionId, v: &entries::Wheels) -> Told {
    use circuits::model::{Draft, Side};
    if let Some(mark) = v.marks.iter().find(|m| !m.starts_with("tyre-") && !m.starts_with("dead-"))
    {
        return Err(format!("“{mark}” is no mark: write tyre- or dead- and the wheel"));
    }
    let mut axle = 0;
    for a in &v.axles {
        axle += 1;
        let place = maybe_quantity(&a.place, Dimension::Length)?;
        for side in [Side::Left, Side::Right] {
            let label = format!("{}{axle}", side.letter());
            let marked = |what: &str| v.marks.iter().any(|m| *m == format!("{what}-{label}"));
            let draft = Draft {
                side,
                axle,
                vehicle: a.vehicle.clone(),
                position_um: place.map(to_thousandths),
                traction_tyre: marked("tyre"),
                dead_by_design: marked("dead"),
            };
            circuits::store::add(w, id, draft).await.map_err(words)?;
        }
    }
    Ok(())
}

/// The decoder chosen, by its data sheet.
pub async fn decoder(w: &mut Write, id: ConversionId, v: &entries::Decoder) -> Told {
    let some = |ma: i64| (ma > 0).then_some(ma);
    let draft = decoders::model::DecoderDraft {
        name: v.name.clone(),
        motor_continuous_ma: some(v.motor_continuous_ma),
        motor_peak_ma: some(v.motor_peak_ma),
        motor_peak_ms: some(v.motor_peak_ms),
        total_continuous_ma: some(v.total_continuous_ma),
        function_ma: some(v.function_ma),
        basis: decoders::model::Basis::DataSheet,
        rated_for: String::new(),
    };
    let old = decoders::store::find(w.conn(), id).await.map_err(words)?;
    let version = old.as_ref().map_or(0, |d| d.version);
    decoders::store::put(w, id, (old.as_ref(), version), draft).await.map(drop).map_err(words)
}

/// A planned load.
pub async fn load(w: &mut Write, id: ConversionId, v: &entries::Load) -> Told {
    let each = in_unit(&v.each, Dimension::Current, "mA")?;
    let draft = decoders::model::LoadDraft {
        name: v.name.clone(),
        kind: code(&v.kind)?,
        each_ua: to_thousandths(each * 1000.0),
        count: v.count,
        output: v.output.clone(),
        typed: v.each.clone(),
        basis: code(&v.basis)?,
    };
    decoders::store::add_load(w, id, draft).await.map(drop).map_err(words)
}

/// Opens a snag, or closes the open one that begins so.
pub async fn snag(w: &mut Write, id: ConversionId, v: &entries::Snag) -> Told {
    if v.close.is_empty() {
        let draft = snags::model::Draft {
            what: v.what.clone(),
            severity: code(&v.severity)?,
            blocks: maybe(&v.blocks)?,
        };
        return snags::store::add(w, id, draft).await.map(drop).map_err(words);
    }
    let all = snags::store::list(w.conn(), id).await.map_err(words)?;
    let old = all.iter().find(|s| s.closed_at.is_none() && s.draft.what.starts_with(&v.what));
    let old = old.ok_or(format!("no open snag begins with “{}”", v.what))?;
    let closed = old.closed(&v.close, w.at).ok_or("it is closed already")?;
    snags::store::change(w, id, (old, old.version), closed).await.map_err(words)
}
