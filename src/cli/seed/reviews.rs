//! Reviews with what they stand on, and notes about something.

use super::entries;
use super::tell::Told;
use super::typed::{code, words};
use crate::db::{CauseId, ConversionId, EvidenceId, Write};
use crate::features::conversions::model::to_thousandths;
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About, Kind};
use crate::features::parts::model::State;
use crate::features::reviews::gather;
use crate::features::reviews::model::{Cause, Draft, Evidence, Left, Lost, Review};
use crate::features::{notes, parts, reviews};
use crate::units::{Dimension, Wanted, parse};
use time::UtcOffset;

/// Money as typed, hundredths.
fn cents(text: &str) -> Result<Option<i64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let wanted = Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 1e6 };
    parse(text, &wanted).map(|v| Some(to_thousandths(v / 10.0))).map_err(words)
}

/// The record of a kind whose words, after its number, begin so.
async fn record(
    w: &mut Write,
    id: ConversionId,
    (kind, begins): (&str, &str),
) -> Result<About, String> {
    let kind: Kind = code(kind)?;
    let at = At { now: w.at, offset: UtcOffset::UTC };
    let things = about::things(w.conn(), id, at).await.map_err(words)?;
    let found = things.iter().filter(|t| t.about.kind == kind).find(|t| {
        let own = t.words.strip_prefix(&format!("{}: ", t.about.name()));
        own.unwrap_or(&t.words).starts_with(begins)
    });
    found.map(|t| t.about).ok_or(format!("no {} begins with “{begins}”", kind_word(kind)))
}

fn kind_word(kind: Kind) -> &'static str {
    use crate::choice::Choice;
    kind.label()
}

/// A note, about a snag where one is named.
pub async fn note(w: &mut Write, id: ConversionId, v: &entries::Note) -> Told {
    let about = match v.about.as_str() {
        "" => None,
        begins => Some(record(w, id, ("snag", begins)).await?),
    };
    notes::store::add(w, id, &v.text, about).await.map(drop).map_err(words)
}

/// A review, with everything that hangs on it, closed where it says so.
pub async fn review(w: &mut Write, id: ConversionId, v: &entries::Review) -> Told {
    let at = w.at - v.minutes_before * 60_000;
    let draft = Draft {
        symptom: code(&v.symptom)?,
        words: v.words.clone(),
        at,
        changed: changed(w, id, v).await?,
        changed_words: String::new(),
        minutes: (v.hours > 0).then_some(v.hours * 60),
        cost_cents: cents(&v.cost)?,
        currency: v.currency.clone(),
    };
    let mut from = Vec::new();
    if !v.snag.is_empty() {
        let about = record(w, id, ("snag", &v.snag)).await?;
        let open = true;
        from.push(Left {
            id: crate::db::SnagId(about.id),
            no: about.no,
            what: String::new(),
            open,
        });
    }
    let written = reviews::store::add(w, id, draft, from).await.map_err(words)?;
    let mut new = Review { lesson: v.lesson.clone(), ..written.clone() };
    for c in &v.causes {
        new.causes.push(cause(w, id, c).await?);
    }
    for name in &v.lost {
        new.lost.push(lost(w, id, name).await?);
    }
    if v.close {
        new = new.closed(w.at).map_err(|e| e.words().to_owned())?;
    }
    reviews::store::change(w, (&written, written.version), new).await.map(drop).map_err(words)
}

/// What changed last: the newest change before it whose words begin so.
async fn changed(
    w: &mut Write,
    id: ConversionId,
    v: &entries::Review,
) -> Result<Option<reviews::model::Happened>, String> {
    if v.changed.is_empty() {
        return Ok(None);
    }
    let at = w.at - v.minutes_before * 60_000;
    let all = gather::happened(w.conn(), id).await.map_err(words)?;
    let offered = reviews::model::last_before(all, at);
    let found = offered.into_iter().find(|h| h.words.contains(&v.changed));
    found.map(Some).ok_or(format!("nothing like “{}” was changed before", v.changed))
}

async fn cause(w: &mut Write, id: ConversionId, c: &entries::Candidate) -> Result<Cause, String> {
    let mut evidence = Vec::new();
    for e in &c.evidence {
        let about = match e.record.as_slice() {
            [] => None,
            [kind, begins] => Some(record(w, id, (kind, begins)).await?),
            _ => return Err("a record is its kind and how it begins".to_owned()),
        };
        let side = code(&e.side)?;
        evidence.push(Evidence { id: EvidenceId::new(), side, words: e.words.clone(), about });
    }
    Ok(Cause {
        id: CauseId::new(),
        cause: code(&c.cause)?,
        words: c.words.clone(),
        sure: code(&c.sure)?,
        evidence,
    })
}

/// A part that died; its step into death stands in the parts' own file.
async fn lost(w: &mut Write, id: ConversionId, name: &str) -> Result<Lost, String> {
    let all = parts::store::list(w.conn(), Some(id)).await.map_err(words)?;
    let p = all.iter().find(|p| p.draft.name.starts_with(name) && p.state == State::Dead);
    let p = p.ok_or(format!("no dead part begins with “{name}”"))?;
    Ok(Lost {
        id: p.id,
        no: p.no,
        name: p.draft.name.clone(),
        price_cents: p.draft.price_cents,
        currency: p.draft.currency.clone(),
        dead: true,
    })
}
