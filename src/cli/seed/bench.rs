//! Entries of the bench: readings, isolation walks, load tests. Typed text and value come from one
//! reading of the same words; accuracy comes from the instrument's ranges.

use super::entries;
use super::moments::MINUTE;
use super::tell::Told;
use super::typed::{code, maybe, maybe_quantity, quantity, words};
use crate::calc;
use crate::calc::gates::Observation;
use crate::calc::isolation::{Pair, Point};
use crate::db::{ConversionId, Millis, Write};
use crate::features::instruments::model::Instrument;
use crate::features::readings::model::{self, Kind, Outcome};
use crate::features::{calculators, circuits, instruments, readings};
use crate::units::{self, Accuracy, Dimension, Ohms, Wanted};

/// The instrument of that name; an empty name is none.
pub async fn meter(w: &mut Write, name: &str) -> Result<Option<Instrument>, String> {
    if name.is_empty() {
        return Ok(None);
    }
    let all = instruments::store::list(w.conn()).await.map_err(words)?;
    let found = all.into_iter().find(|i| i.draft.name == name);
    found.map(Some).ok_or_else(|| format!("no instrument is called {name}"))
}

/// What a reading came to, from what was typed.
fn outcome(kind: Kind, reads: &str) -> Result<Outcome, String> {
    match (kind, reads) {
        (Kind::Observation, "yes") => return Ok(Outcome::Yes),
        (Kind::Observation, "no") => return Ok(Outcome::No),
        (Kind::Held, "could not make it stall") => return Ok(Outcome::NotReached),
        _ => {}
    }
    let dimension = kind.dimension().unwrap_or(Dimension::Current);
    if dimension != Dimension::Resistance {
        return quantity(reads, dimension).map(Outcome::Value);
    }
    let wanted = Wanted { dimension, bare: "", least: 0.0, most: 1e9 };
    Ok(match units::parse_ohms(reads, &wanted).map_err(words)? {
        Ohms::Open => Outcome::Open,
        Ohms::Joined => Outcome::Joined,
        Ohms::Value(v) => Outcome::Value(v),
    })
}

/// The accuracy of the instrument; one that can't read the value is an error.
fn accuracy(
    meter: Option<&Instrument>,
    dimension: Dimension,
    value: f64,
) -> Result<Option<Accuracy>, String> {
    let Some(meter) = meter else { return Ok(None) };
    let found = meter.accuracy(dimension, value);
    found.map(Some).ok_or_else(|| {
        format!("{} has no range for {}", meter.draft.name, units::quantity(value, dimension))
    })
}

/// A draft with conditions, accuracy by the instrument's ranges.
fn taken(
    kind: Kind,
    reads: &str,
    (meter, volts): (Option<&Instrument>, &str),
    at: Millis,
) -> Result<model::Draft, String> {
    let mut d = model::Draft::new(kind, outcome(kind, reads)?, reads, at);
    if kind == Kind::Observation && d.outcome.value().is_some() {
        d.dimension = Some(Dimension::Current);
    }
    if let (Some(value), Some(dimension)) = (d.outcome.value(), d.dimension) {
        d.accuracy = accuracy(meter, dimension, value)?;
    }
    d.conditions.instrument_id = meter.map(|m| m.id);
    d.conditions.volts = maybe_quantity(volts, Dimension::Voltage)?;
    volts.clone_into(&mut d.conditions.volts_typed);
    if let Some(v) = d.conditions.volts {
        d.conditions.volts_accuracy = accuracy(meter, Dimension::Voltage, v)?;
    }
    Ok(d)
}

/// One reading.
pub async fn reading(w: &mut Write, id: ConversionId, v: &entries::Reading) -> Told {
    let with = meter(w, &v.with).await?;
    let mut d = taken(code(&v.kind)?, &v.reads, (with.as_ref(), &v.volts), w.at)?;
    if d.kind == Kind::Observation && Observation::from_key(&v.a).is_none() {
        return Err(format!("“{}” is nothing to look at or try", v.a));
    }
    if d.kind == Kind::Isolation {
        pair(&v.a, &v.b)?;
    }
    d.point_a.clone_from(&v.a);
    d.point_b.clone_from(&v.b);
    d.steady = v.steady;
    if !v.wheel.is_empty() {
        let all = circuits::store::list(w.conn(), id).await.map_err(words)?;
        let wheel = all.iter().find(|x| x.label() == v.wheel);
        d.wheel_id = Some(wheel.ok_or(format!("no wheel {}", v.wheel))?.id);
    }
    d.conditions.position = maybe(&v.position)?;
    d.conditions.shell = maybe(&v.shell)?;
    d.conditions.decoder = maybe(&v.decoder)?;
    d.conditions.warmth = maybe(&v.warmth)?;
    d.conditions.method.clone_from(&v.method);
    d.conditions.remark.clone_from(&v.remark);
    readings::store::add(w, id, d).await.map(drop).map_err(words)
}

/// Two points between which isolation is read.
fn pair(a: &str, b: &str) -> Result<Pair, String> {
    let pair = Pair::new(Point::from(a.to_owned()), Point::from(b.to_owned()));
    if !a.is_empty() && !b.is_empty() && pair.belongs() {
        Ok(pair)
    } else {
        Err(format!("“{a}” and “{b}” are no pair of the walk"))
    }
}

/// Several pairs, one a minute.
pub async fn walk(w: &mut Write, id: ConversionId, v: &entries::Walk) -> Told {
    let with = meter(w, &v.with).await?;
    let reads = if v.reads.is_empty() { "open" } else { &v.reads };
    let (began, mut minute) = (w.at, 0);
    for pair in &v.pairs {
        let (a, b) = pair.split_once(':').ok_or(format!("“{pair}” is no pair"))?;
        let pair = self::pair(a, b)?;
        let at = began + minute * MINUTE;
        let mut d = taken(Kind::Isolation, reads, (with.as_ref(), ""), at)?;
        pair.a.key().clone_into(&mut d.point_a);
        pair.b.key().clone_into(&mut d.point_b);
        d.conditions.position = Some(code(&v.position)?);
        d.conditions.decoder = Some(model::DecoderState::Out);
        w.at = at;
        readings::store::add(w, id, d).await.map_err(words)?;
        minute += 1;
    }
    Ok(())
}

/// What a person kept in a calculation; it must be one of those there are.
pub async fn worked_out(w: &mut Write, id: ConversionId, v: &entries::WorkedOut) -> Told {
    let c = calc::find(&v.name).ok_or(format!("there is no calculation {}", v.name))?;
    let old = calculators::store::find(w.conn(), id, c.name).await.map_err(words)?;
    let version = old.as_ref().map_or(0, |o| o.version);
    calculators::store::keep(w, id, (old.as_ref(), version), (c.name, v.input.clone()))
        .await
        .map(drop)
        .map_err(words)
}

/// The three currents of a load test, as far as they were read.
pub async fn load_test(w: &mut Write, id: ConversionId, v: &entries::LoadTest) -> Told {
    let with = meter(w, &v.with).await?;
    let at = w.at;
    let test = readings::store::add_load_test(w, id, at).await.map_err(words)?;
    for (reads, kind) in
        [(&v.free, Kind::Free), (&v.slipping, Kind::Slipping), (&v.held, Kind::Held)]
    {
        if reads.is_empty() {
            continue;
        }
        let low = kind == Kind::Held && !v.held_volts.is_empty();
        let volts = if low { &v.held_volts } else { &v.volts };
        let mut d = taken(kind, reads, (with.as_ref(), volts), at)?;
        d.load_test_id = Some(test.id);
        d.conditions.warmth = maybe(&v.warmth)?;
        d.conditions.remark.clone_from(&v.remark);
        readings::store::add(w, id, d).await.map_err(words)?;
    }
    Ok(())
}
