//! Telling the story to the notebook, entry by entry.

use super::entries::{self, Entry, What};
use super::typed::{code, words};
use super::{bench, goods, records, reviews, trials, wires};
use crate::aspect::Aspect;
use crate::calc::gates::{AlterationKind, Gate, GateName, attempt, may_pass};
use crate::db::{Millis, PersonId, Write};
use crate::features::conversions::model::Conversion;
use crate::features::gates::gather::gather;
use crate::features::parts::model::Place;
use crate::features::{alterations, conversions, gates, people};
use std::collections::BTreeMap;
use time::UtcOffset;

/// Writes entries one after the other, remembering who and what the names stand for.
pub struct Teller {
    w: Write,
    offset: UtcOffset,
    now: Millis,
    people: BTreeMap<String, PersonId>,
    conversions: BTreeMap<String, i64>,
}

/// Done, or what is wrong with the entry.
pub type Told = Result<(), String>;

impl Teller {
    /// A teller that knows nobody yet.
    pub fn new(w: Write, offset: UtcOffset) -> Self {
        let now = w.at;
        Teller { w, offset, now, people: BTreeMap::new(), conversions: BTreeMap::new() }
    }

    /// Keeps everything told. Without it nothing is.
    pub async fn end(self) -> Told {
        self.w.commit().await.map_err(words)
    }

    /// Writes one entry at its moment, by its person.
    pub async fn tell(&mut self, at: Millis, entry: &Entry) -> Told {
        self.w.at = at;
        self.w.person = match entry.by.as_str() {
            "" => None,
            name => Some(*self.people.get(name).ok_or(format!("nobody is called {name}"))?),
        };
        match &entry.what {
            What::Person(p) => {
                let person = people::store::add(&mut self.w, &p.name).await.map_err(words)?;
                self.people.insert(p.name.clone(), person.id);
                Ok(())
            }
            What::Settings(values) => records::settings(&mut self.w, values).await,
            What::Instrument(i) => records::instrument(&mut self.w, i).await,
            What::Conversion(c) => self.begin(&entry.c, c).await,
            What::Supplier(s) => goods::supplier(&mut self.w, s).await,
            What::Part(p) => {
                let place = self.place(&entry.c).await?;
                goods::part(&mut self.w, (place, self.now), p).await
            }
            What::PartStep(s) => goods::step_of(&mut self.w, s).await,
            What::Thing(t) => {
                let place = self.place(&entry.c).await?;
                goods::thing(&mut self.w, place, t).await
            }
            What::Swap(s) => self.swap(s).await,
            other => self.on_conversion(entry, other).await,
        }
    }

    /// The conversion of a key; none: the drawer.
    async fn place(&mut self, key: &str) -> Result<Option<Place>, String> {
        if key.is_empty() {
            return Ok(None);
        }
        let no = *self.conversions.get(key).ok_or(format!("no conversion “{key}”"))?;
        let found = conversions::store::find(self.w.conn(), no).await.map_err(words)?;
        let c = found.ok_or(format!("no conversion {no}"))?;
        Ok(Some(Place { id: c.id, no, title: c.draft.title }))
    }

    /// Moves things together, each to its place.
    async fn swap(&mut self, s: &entries::Swap) -> Told {
        let mut goes = Vec::new();
        for (mark, key) in &s.things {
            goes.push((mark.as_str(), self.place(key).await?));
        }
        goods::swap(&mut self.w, goes, &s.why).await
    }

    async fn begin(&mut self, key: &str, c: &entries::Conversion) -> Told {
        if key.is_empty() || self.conversions.contains_key(key) {
            return Err(format!("“{key}” is no key for a new conversion"));
        }
        let draft = records::conversion(c, self.w.person, self.w.at)?;
        let kept = conversions::store::add(&mut self.w, draft).await.map_err(words)?;
        self.conversions.insert(key.to_owned(), kept.no);
        Ok(())
    }

    async fn on_conversion(&mut self, entry: &Entry, what: &What) -> Told {
        let no = *self.conversions.get(&entry.c).ok_or(format!("no conversion “{}”", entry.c))?;
        let w = &mut self.w;
        let c = conversions::store::find(w.conn(), no)
            .await
            .map_err(words)?
            .ok_or(format!("no conversion {no}"))?;
        let (id, at) = (c.id, w.at);
        match what {
            What::Wheels(v) => records::wheels(w, id, v).await,
            What::Reading(v) => bench::reading(w, id, v).await,
            What::Walk(v) => bench::walk(w, id, v).await,
            What::LoadTest(v) => bench::load_test(w, id, v).await,
            What::Decoder(v) => records::decoder(w, id, v).await,
            What::Load(v) => records::load(w, id, v).await,
            What::WorkedOut(v) => bench::worked_out(w, id, v).await,
            What::Wires(v) => wires::write(w, id, v).await,
            What::Snag(v) => records::snag(w, id, v).await,
            What::Note(v) => reviews::note(w, id, v).await,
            What::Review(v) => reviews::review(w, id, v).await,
            What::Alteration(v) => {
                let kind =
                    AlterationKind::from_key(&v.kind).ok_or(format!("no alteration {}", v.kind))?;
                alterations::store::add(w, id, kind, (&v.what, at)).await.map(drop).map_err(words)
            }
            What::Judgement(v) => self.judgement(c, (&entry.by, v)).await,
            What::TestRun(v) => trials::run(w, c, v).await,
            What::Datum(v) => trials::datum(w, c, v).await,
            What::Passing(v) => self.passing(c, v).await,
            What::Stage(v) => {
                let to = (code(&v.stage)?, code(&v.outcome)?);
                conversions::store::move_to(w, &c, c.version, to, (&v.why, at)).await.map_err(words)
            }
            // told already, above
            _ => Ok(()),
        }
    }

    /// The gates of a conversion as they stood at the moment of the write.
    async fn gates(&mut self, c: Conversion) -> Result<Vec<Gate>, String> {
        let minutes = i32::from(self.offset.whole_minutes());
        let at = self.w.at;
        Ok(gather(self.w.conn(), c, (at, minutes)).await.map_err(words)?.gates())
    }

    /// Signs a judgement if the check as it stood then can be judged.
    async fn judgement(&mut self, c: Conversion, (by, v): (&str, &entries::Judgement)) -> Told {
        let (id, at) = (c.id, self.w.at);
        let person = self.w.person.ok_or("a judgement is signed: say by whom")?;
        let name = gate(&v.gate)?;
        let gates = self.gates(c).await?;
        let check = gates
            .iter()
            .find(|g| g.name == name)
            .and_then(|g| g.check(&v.check))
            .ok_or(format!("the gate {} has no check {}", v.gate, v.check))?;
        let judgement = attempt(check, name, by, &v.reason, at)
            .map_err(|r| format!("{}: {}", v.check, r.reason))?;
        let signed = (&judgement, check.finding.sentence.as_str());
        gates::store::judge(&mut self.w, id, person, signed).await.map(drop).map_err(words)
    }

    /// Passes a gate if it could be passed then.
    async fn passing(&mut self, c: Conversion, v: &entries::Passing) -> Told {
        let id = c.id;
        let person = self.w.person.ok_or("passing a gate is signed: say by whom")?;
        let name = gate(&v.gate)?;
        let all = self.gates(c).await?;
        if let Err(refused) = may_pass(&all, name) {
            let why: Vec<String> = refused.into_iter().map(|r| r.reason).collect();
            return Err(format!("{} can’t be passed: {}", v.gate, why.join(" ")));
        }
        let shown = all.iter().find(|g| g.name == name).map_or(Aspect::Unlit, |g| g.aspect);
        gates::store::pass(&mut self.w, id, person, (name, shown, ""))
            .await
            .map(drop)
            .map_err(words)
    }
}

fn gate(key: &str) -> Result<GateName, String> {
    GateName::from_key(key).ok_or(format!("there is no gate {key}"))
}
