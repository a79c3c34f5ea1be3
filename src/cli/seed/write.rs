//! Telling the story to the notebook: each entry is one write at its own moment, by its own person.

use super::entries::{self, Entry, What};
use crate::calc::gates::{AlterationKind, GateName, attempt};
use crate::calc::isolation::{Pair, Point};
use crate::choice::Choice;
use crate::db::{ConversionId, Db, Millis, PersonId, RangeId, Write};
use crate::features::conversions::model::{self as conversion, Draft, scale, to_thousandths};
use crate::features::gates::gather::{Gathered, gather};
use crate::features::instruments::model::{self as instrument, Instrument, Measures, Range};
use crate::features::readings::model::{self as reading, Kind, Outcome};
use crate::features::settings::model::NUMBERS;
use crate::features::{
    alterations, circuits, conversions, decoders, gates, instruments, notes, people, readings,
    settings, snags,
};
use crate::units::{self, Accuracy, Dimension, Ohms, Wanted};
use std::collections::BTreeMap;
use time::UtcOffset;

/// Writes entries one after the other, remembering who and what the names stand for.
pub struct Teller<'a> {
    db: &'a Db,
    offset: UtcOffset,
    now: Millis,
    people: BTreeMap<String, PersonId>,
    conversions: BTreeMap<String, i64>,
}

type Told = Result<(), String>;

/// Any error as words.
fn words<E: std::fmt::Display>(e: E) -> String {
    e.to_string()
}

/// A code of a closed list.
fn code<T: Choice>(text: &str) -> Result<T, String> {
    T::from_code(text).ok_or_else(|| format!("“{text}” is no {}", T::WORD))
}

/// A code that may be empty.
fn maybe<T: Choice>(text: &str) -> Result<Option<T>, String> {
    if text.is_empty() { Ok(None) } else { code(text).map(Some) }
}

/// A quantity as typed.
fn quantity(text: &str, dimension: Dimension, bare: &'static str) -> Result<f64, String> {
    let wanted = Wanted { dimension, bare, least: -1e9, most: 1e9 };
    units::parse(text, &wanted).map_err(words)
}

/// A quantity as typed, or nothing.
fn maybe_quantity(text: &str, dimension: Dimension) -> Result<Option<f64>, String> {
    if text.is_empty() { Ok(None) } else { quantity(text, dimension, "").map(Some) }
}

impl<'a> Teller<'a> {
    /// A teller that knows nobody yet.
    pub fn new(db: &'a Db, offset: UtcOffset, now: Millis) -> Self {
        let (people, conversions) = (BTreeMap::new(), BTreeMap::new());
        Teller { db, offset, now, people, conversions }
    }

    /// Writes one entry.
    pub async fn tell(&mut self, at: Millis, entry: &Entry) -> Told {
        let person = match entry.by.as_str() {
            "" => None,
            name => Some(*self.people.get(name).ok_or(format!("nobody is called {name}"))?),
        };
        let mut w = Write::begin(self.db, at, person).await.map_err(words)?;
        match &entry.what {
            What::Person(p) => {
                let person = people::store::add(&mut w, &p.name).await.map_err(words)?;
                self.people.insert(p.name.clone(), person.id);
            }
            What::Settings(values) => self.settings(&mut w, values).await?,
            What::Instrument(i) => instrument(&mut w, i).await?,
            What::Conversion(c) => {
                let draft = draft(c, person, at)?;
                let kept = conversions::store::add(&mut w, draft).await.map_err(words)?;
                self.conversions.insert(entry.c.clone(), kept.no);
            }
            other => self.on_conversion(&mut w, entry, other).await?,
        }
        w.commit().await.map_err(words)
    }

    async fn settings(&self, w: &mut Write, values: &BTreeMap<String, String>) -> Told {
        if let Some(key) =
            values.keys().find(|k| *k != "name" && !NUMBERS.iter().any(|n| n.key == **k))
        {
            return Err(format!("there is no setting {key}"));
        }
        settings::store::put(w, 0, values).await.map_err(words)
    }

    async fn on_conversion(&self, w: &mut Write, entry: &Entry, what: &What) -> Told {
        let no = *self.conversions.get(&entry.c).ok_or(format!("no conversion “{}”", entry.c))?;
        let c = conversions::store::find(w.conn(), no)
            .await
            .map_err(words)?
            .ok_or(format!("no conversion {no}"))?;
        let id = c.id;
        match what {
            What::Wheels(v) => wheels(w, id, v).await,
            What::Reading(v) => one_reading(w, id, v).await,
            What::Walk(v) => walk(w, id, v).await,
            What::LoadTest(v) => load_test(w, id, v).await,
            What::Decoder(v) => decoder(w, id, v).await,
            What::Load(v) => load(w, id, v).await,
            What::Snag(v) => snag(w, id, v).await,
            What::Note(v) => notes::store::add(w, id, &v.text).await.map(drop).map_err(words),
            What::Alteration(v) => {
                let kind =
                    AlterationKind::from_key(&v.kind).ok_or(format!("no alteration {}", v.kind))?;
                let at = w.at;
                alterations::store::add(w, id, kind, (&v.what, at)).await.map(drop).map_err(words)
            }
            What::Judgement(v) => self.judgement(w, c, (&entry.by, v)).await,
            What::Passing(v) => self.passing(w, c, v).await,
            What::Stage(v) => {
                let to = (
                    code::<conversion::Stage>(&v.stage)?,
                    code::<conversion::Outcome>(&v.outcome)?,
                );
                let at = w.at;
                conversions::store::move_to(w, &c, c.version, to, (&v.why, at)).await.map_err(words)
            }
            What::Person(_) | What::Settings(_) | What::Instrument(_) | What::Conversion(_) => {
                Ok(())
            }
        }
    }

    /// The conversion as it stood at the moment of the write.
    async fn gathered(&self, w: &mut Write, c: conversion::Conversion) -> Result<Gathered, String> {
        let minutes = i32::from(self.offset.whole_minutes());
        let at = w.at.min(self.now);
        gather(w.conn(), c, (at, minutes)).await.map_err(words)
    }

    async fn judgement(
        &self,
        w: &mut Write,
        c: conversion::Conversion,
        (by, v): (&str, &entries::Judgement),
    ) -> Told {
        let (id, at) = (c.id, w.at);
        let person = w.person.ok_or("a judgement is signed")?;
        let name = GateName::from_key(&v.gate).ok_or(format!("no gate {}", v.gate))?;
        let g = self.gathered(w, c).await?;
        let gates = g.gates();
        let gate = gates.iter().find(|x| x.name == name).ok_or("no such gate")?;
        let check = gate.check(&v.check).ok_or(format!("no check {}", v.check))?;
        let judgement = attempt(check, name, by, &v.reason, at)
            .map_err(|r| format!("{}: {}", v.check, r.reason))?;
        let signed = (&judgement, check.finding.sentence.as_str());
        gates::store::judge(w, id, person, signed).await.map(drop).map_err(words)
    }

    async fn passing(
        &self,
        w: &mut Write,
        c: conversion::Conversion,
        v: &entries::Passing,
    ) -> Told {
        let id = c.id;
        let person = w.person.ok_or("passing a gate is signed")?;
        let name = GateName::from_key(&v.gate).ok_or(format!("no gate {}", v.gate))?;
        let g = self.gathered(w, c).await?;
        let all = g.gates();
        if let Err(refused) = crate::calc::gates::may_pass(&all, name) {
            let why: Vec<String> = refused.into_iter().map(|r| r.reason).collect();
            return Err(format!("{} can’t be passed: {}", v.gate, why.join(" ")));
        }
        let shown =
            all.iter().find(|x| x.name == name).map_or(crate::aspect::Aspect::Unlit, |x| x.aspect);
        gates::store::pass(w, id, person, (name, shown, "")).await.map(drop).map_err(words)
    }
}

async fn instrument(w: &mut Write, i: &entries::Instrument) -> Told {
    let ranges = i
        .ranges
        .iter()
        .map(|r| {
            let measures: Measures = code(&r.measures)?;
            let size = |text: &str| quantity(text, measures.dimension(), "");
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

fn draft(c: &entries::Conversion, person: Option<PersonId>, at: Millis) -> Result<Draft, String> {
    let listed = scale(&c.scale);
    let length = maybe_quantity(&c.length, Dimension::Length)?;
    let track = maybe_quantity(&c.track_v, Dimension::Voltage)?;
    let wants = |goal: &str| c.goals.iter().any(|g| g == goal);
    Ok(Draft {
        title: c.title.clone(),
        scale: c.scale.clone(),
        ratio: listed.map(|s| s.ratio),
        gauge_um: listed.map(|s| to_thousandths(s.gauge_mm)),
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

async fn wheels(w: &mut Write, id: ConversionId, v: &entries::Wheels) -> Told {
    use circuits::model::{Draft, Side};
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

/// The instrument of that name; an empty name is none.
async fn meter(w: &mut Write, name: &str) -> Result<Option<Instrument>, String> {
    if name.is_empty() {
        return Ok(None);
    }
    let all = instruments::store::list(w.conn()).await.map_err(words)?;
    let found = all.into_iter().find(|i| i.draft.name == name);
    found.map(Some).ok_or_else(|| format!("no instrument is called {name}"))
}

/// What a reading came to, from what was typed.
fn outcome(kind: Kind, reads: &str) -> Result<Outcome, String> {
    Ok(match reads {
        "open" => Outcome::Open,
        "joined" => Outcome::Joined,
        "yes" => Outcome::Yes,
        "no" => Outcome::No,
        "could not make it stall" => Outcome::NotReached,
        typed => {
            let dimension = kind.dimension().unwrap_or(Dimension::Current);
            if dimension == Dimension::Resistance {
                let wanted = Wanted { dimension, bare: "", least: 0.0, most: 1e9 };
                match units::parse_ohms(typed, &wanted).map_err(words)? {
                    Ohms::Open => Outcome::Open,
                    Ohms::Joined => Outcome::Joined,
                    Ohms::Value(v) => Outcome::Value(v),
                }
            } else {
                Outcome::Value(quantity(typed, dimension, "")?)
            }
        }
    })
}

/// A draft with conditions, accuracy by the instrument's ranges.
fn taken(
    kind: Kind,
    reads: &str,
    (meter, volts): (Option<&Instrument>, &str),
    at: Millis,
) -> Result<reading::Draft, String> {
    let mut d = reading::Draft::new(kind, outcome(kind, reads)?, reads, at);
    if kind == Kind::Observation && d.outcome.value().is_some() {
        d.dimension = Some(Dimension::Current);
    }
    let accuracy =
        |dimension: Dimension, value: f64| meter.and_then(|m| m.accuracy(dimension, value));
    d.accuracy = d.outcome.value().zip(d.dimension).and_then(|(v, dim)| accuracy(dim, v));
    d.conditions.instrument_id = meter.map(|m| m.id);
    d.conditions.volts = maybe_quantity(volts, Dimension::Voltage)?;
    d.conditions.volts_typed = volts.to_owned();
    d.conditions.volts_accuracy = d.conditions.volts.and_then(|v| accuracy(Dimension::Voltage, v));
    Ok(d)
}

async fn one_reading(w: &mut Write, id: ConversionId, v: &entries::Reading) -> Told {
    let with = meter(w, &v.with).await?;
    let mut d = taken(code(&v.kind)?, &v.reads, (with.as_ref(), &v.volts), w.at)?;
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

async fn walk(w: &mut Write, id: ConversionId, v: &entries::Walk) -> Told {
    let with = meter(w, &v.with).await?;
    let reads = if v.reads.is_empty() { "open" } else { &v.reads };
    let (began, mut minute) = (w.at, 0);
    for pair in &v.pairs {
        let (a, b) = pair.split_once(':').ok_or(format!("“{pair}” is no pair"))?;
        let pair = Pair::new(Point::from(a.to_owned()), Point::from(b.to_owned()));
        let at = began + minute * 60_000;
        let mut d = taken(Kind::Isolation, reads, (with.as_ref(), ""), at)?;
        pair.a.key().clone_into(&mut d.point_a);
        pair.b.key().clone_into(&mut d.point_b);
        d.conditions.position = Some(code(&v.position)?);
        d.conditions.decoder = Some(reading::DecoderState::Out);
        w.at = at;
        readings::store::add(w, id, d).await.map_err(words)?;
        minute += 1;
    }
    Ok(())
}

async fn load_test(w: &mut Write, id: ConversionId, v: &entries::LoadTest) -> Told {
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

async fn decoder(w: &mut Write, id: ConversionId, v: &entries::Decoder) -> Told {
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

async fn load(w: &mut Write, id: ConversionId, v: &entries::Load) -> Told {
    let each = quantity(&v.each, Dimension::Current, "mA")?;
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

async fn snag(w: &mut Write, id: ConversionId, v: &entries::Snag) -> Told {
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
