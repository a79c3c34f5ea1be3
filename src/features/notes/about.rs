//! What a note, or a piece of evidence, may be about: one record of the notebook by kind and id.

use crate::choice::Choice;
use crate::choices;
use crate::db::{ConversionId, Error};
use crate::features::gates::view::At;
use crate::features::{alterations, circuits, parts, readings, reviews, snags, stock};
use crate::web::when;
use serde::Serialize;
use sqlx::SqliteConnection;
use uuid::Uuid;

choices! {
    /// Kind of record.
    pub enum Kind = "kind of record" {
        Reading = "reading", "reading";
        Snag = "snag", "snag";
        Alteration = "alteration", "what was changed";
        Part = "part", "part";
        Stock = "stock", "thing in stock";
        Review = "review", "review";
    }
}

/// One record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct About {
    /// Kind.
    pub kind: Kind,
    /// Its id.
    #[serde(skip)]
    pub id: Uuid,
    /// Its number as people say it; 0: it has none.
    pub no: i64,
}

/// A record that can be chosen, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    /// The record.
    pub about: About,
    /// `reading 41: brush A to right rail, 0.4 Ω`.
    pub words: String,
}

impl About {
    /// As stored: kind, id, number.
    pub fn stored(about: Option<About>) -> (&'static str, Option<Uuid>, i64) {
        about.map_or(("", None, 0), |a| (a.kind.code(), Some(a.id), a.no))
    }

    /// From what is stored. `None`: none was named, or the kind is unknown.
    pub fn read(kind: &str, id: Option<Uuid>, no: i64) -> Option<About> {
        Some(About { kind: Kind::from_code(kind)?, id: id?, no })
    }

    /// As a form sends it: `reading:0192…`.
    pub fn code(self) -> String {
        format!("{}:{}", self.kind.code(), self.id)
    }

    /// `reading 41`; without a number the kind alone.
    pub fn name(self) -> String {
        if self.no == 0 {
            self.kind.label().to_owned()
        } else {
            format!("{} {}", self.kind.label(), self.no)
        }
    }

    /// Address of the record; `conversion` is the number of the one it is told of.
    pub fn href(self, conversion: i64) -> String {
        let (c, no) = (conversion, self.no);
        match self.kind {
            Kind::Reading => format!("/c/{c}/readings/{no}"),
            Kind::Snag => format!("/c/{c}/snags/{no}"),
            Kind::Alteration => format!("/c/{c}/changed#a-{}", self.id),
            Kind::Part => format!("/parts/{no}"),
            Kind::Stock => format!("/stock/{no}"),
            Kind::Review => format!("/c/{c}/reviews/{no}"),
        }
    }
}

/// Everything of a conversion that can be linked to: kinds in the order people look for them, newest
/// first in each.
pub async fn things(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    at: At,
) -> Result<Vec<Thing>, Error> {
    let wheels = circuits::store::list(conn, conversion).await?;
    let mut out = Vec::new();
    let mut put = |kind, id, no, words: String| {
        let about = About { kind, id, no };
        let words = if no == 0 { words } else { format!("{}: {words}", about.name()) };
        out.push(Thing { about, words });
    };
    for r in readings::store::list_valid(conn, conversion).await? {
        let what = readings::words::what(&r, &wheels);
        put(Kind::Reading, r.id.0, r.no, format!("{what}, {}", readings::words::reads(&r)));
    }
    for s in snags::store::list(conn, conversion).await? {
        put(Kind::Snag, s.id.0, s.no, short(&s.draft.what));
    }
    for a in alterations::store::list(conn, conversion).await? {
        let day = when::day(a.at, at.now, at.offset);
        let what = if a.what.is_empty() { String::new() } else { format!(": {}", short(&a.what)) };
        put(Kind::Alteration, a.id.0, 0, format!("{}{what}, {day}", a.kind.word()));
    }
    for p in parts::store::list(conn, Some(conversion)).await? {
        put(Kind::Part, p.id.0, p.no, p.draft.name);
    }
    for s in stock::store::list(conn, Some(conversion)).await? {
        put(Kind::Stock, s.id.0, s.no, s.title());
    }
    for r in reviews::store::list_bare(conn, conversion).await? {
        put(Kind::Review, r.id.0, r.no, r.draft.symptom.label().to_owned());
    }
    Ok(out)
}

/// At most sixty characters.
pub fn short(text: &str) -> String {
    let mut out: String = text.chars().take(60).collect();
    if out.len() < text.len() {
        out.push('…');
    }
    out
}

/// Groups for a select: the label of each kind, with codes and words. Of readings the newest thirty, and
/// the one chosen.
pub fn groups(things: &[Thing], chosen: &str) -> Vec<(&'static str, Vec<(String, String)>)> {
    let mut out: Vec<(&'static str, Vec<(String, String)>)> = Vec::new();
    for t in things {
        let label = t.about.kind.label();
        let code = t.about.code();
        let full = t.about.kind == Kind::Reading && code != chosen;
        match out.iter_mut().find(|(l, _)| *l == label) {
            Some((_, rows)) if full && rows.len() >= 30 => {}
            Some((_, rows)) => rows.push((code, t.words.clone())),
            None => out.push((label, vec![(code, t.words.clone())])),
        }
    }
    out
}

/// The record a form names among those that can be chosen; an empty field names none. `Err`: what was
/// sent is none of them.
pub fn chosen(things: &[Thing], typed: &str) -> Result<Option<About>, &'static str> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    let found = things.iter().find(|t| t.about.code() == typed);
    found.map(|t| Some(t.about)).ok_or("There is no such record here. Choose one from the list.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thing(kind: Kind, no: i64) -> Thing {
        let about = About { kind, id: Uuid::now_v7(), no };
        Thing { about, words: about.name() }
    }

    #[test]
    fn only_a_record_that_is_there_can_be_chosen() {
        let things = [thing(Kind::Reading, 4), thing(Kind::Snag, 2)];
        assert_eq!(chosen(&things, " "), Ok(None));
        assert_eq!(chosen(&things, &things[1].about.code()), Ok(Some(things[1].about)));
        let other = About { kind: Kind::Reading, ..things[1].about };
        assert!(chosen(&things, &other.code()).is_err(), "the kind counts too");
        assert!(chosen(&things, "reading").is_err());
    }

    #[test]
    fn of_many_readings_the_newest_are_offered_and_the_chosen_one() {
        let things: Vec<Thing> = (1..=50).rev().map(|n| thing(Kind::Reading, n)).collect();
        let old = things[49].about.code();
        let groups = groups(&things, &old);
        assert_eq!(groups.len(), 1);
        assert_eq!(groups[0].1.len(), 31);
        assert!(groups[0].1.iter().any(|(code, _)| *code == old));
    }
}
