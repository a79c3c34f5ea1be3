//! What the pages of a review need from other rooms: what was changed, what evidence can stand on, and
//! the lessons of conversions alike.

use super::model::{Happened, Review};
use super::{alike, store};
use crate::choice::Choice;
use crate::db::{ConversionId, Error};
use crate::features::conversions::model::Conversion;
use crate::features::gates::view::At;
use crate::features::notes::about::{self, About, Kind, Thing};
use crate::features::{alterations, conversions, parts, stock};
use sqlx::SqliteConnection;

/// Everything that was changed on a conversion's model, in no order: alterations, steps of parts that
/// brought them in or took them out, moves of things.
pub async fn happened(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Happened>, Error> {
    let mut out = Vec::new();
    for a in alterations::store::list(conn, conversion).await? {
        let about = About { kind: Kind::Alteration, id: a.id.0, no: 0 };
        let what = about::short(&a.what);
        let words = if what.is_empty() {
            a.kind.word().to_owned()
        } else {
            format!("{}: {what}", a.kind.word())
        };
        out.push(Happened { about, words, at: a.at });
    }
    for p in parts::store::list(conn, Some(conversion)).await? {
        use parts::model::State;
        let about = About { kind: Kind::Part, id: p.id.0, no: p.no };
        let mut before = None;
        for e in p.steps() {
            let touched = e.state == State::Fitted || before == Some(State::Fitted);
            // a step that altered the model stands among the alterations
            let told = e.alteration_id.is_some();
            if touched && !told && before != Some(e.state) && e.conversion_id == Some(conversion) {
                let words = format!("part {} {}: {}", p.no, e.state.label(), p.draft.name);
                out.push(Happened { about, words, at: e.at });
            }
            before = Some(e.state);
        }
    }
    for s in stock::store::list(conn, Some(conversion)).await? {
        let about = About { kind: Kind::Stock, id: s.id.0, no: s.no };
        // the first entry says where a thing was when it was written down, not that it moved
        for m in s.steps().filter(|m| m.no > 1 && m.conversion_id == Some(conversion)) {
            let words = format!("{} put in: {}", s.draft.kind.label(), s.title());
            out.push(Happened { about, words, at: m.at });
        }
    }
    Ok(out)
}

/// Records that evidence can stand on: readings, snags, what was changed.
pub async fn grounds(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    at: At,
) -> Result<Vec<Thing>, Error> {
    let mut things = about::things(conn, conversion, at).await?;
    things.retain(|t| matches!(t.about.kind, Kind::Reading | Kind::Snag | Kind::Alteration));
    Ok(things)
}

/// A review with the conversion it is of.
#[derive(Debug, Clone)]
pub struct Told {
    /// The review.
    pub review: Review,
    /// Its conversion.
    pub conversion: Conversion,
}

/// All reviews of all conversions that are not put aside, newest first.
pub async fn told(conn: &mut SqliteConnection) -> Result<Vec<Told>, Error> {
    let conversions = conversions::store::list(conn).await?;
    let reviews = store::all(conn).await?;
    Ok(reviews
        .into_iter()
        .filter_map(|review| {
            let c = conversions.iter().find(|c| c.id == review.conversion_id)?;
            Some(Told { review, conversion: c.clone() })
        })
        .collect())
}

/// Lessons of other conversions alike enough to this one, with what they share.
pub async fn before_you_start(
    conn: &mut SqliteConnection,
    c: &Conversion,
) -> Result<Vec<(Told, Vec<&'static str>)>, Error> {
    let told = told(conn).await?;
    let others = told
        .into_iter()
        .filter(|t| t.conversion.id != c.id && !t.review.lesson.is_empty())
        .map(|t| (t.clone(), t.conversion.draft));
    Ok(alike::ranked(&c.draft, others))
}
