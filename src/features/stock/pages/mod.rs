//! Pages of this room, one file per page, and what they share.

pub mod drawer;
pub mod edit;
pub mod item;
pub mod moves;
pub mod sheet;
pub mod swap;

use super::model::Stock;
use super::store;
use crate::choice::Choice;
use crate::features::conversions::model::Conversion;
use crate::features::gates::view::At;
use crate::features::parts::model::Place;
use crate::features::parts::words::mass;
use crate::web::{App, Error, Result, when};

/// What the views need to know of time.
fn at(app: &App) -> At {
    At { now: app.now(), offset: app.offset }
}

/// The thing of that number.
async fn find(app: &App, no: i64) -> Result<Stock> {
    let mut conn = app.db.pool.acquire().await?;
    let found = store::find(&mut conn, no).await?;
    found.ok_or_else(|| Error::NotFound(format!("thing {no} in stock")))
}

/// A conversion as a place.
fn place(c: &Conversion) -> Place {
    Place { id: c.id, no: c.no, title: c.draft.title.clone() }
}

/// `№ 7 Works shunter`, or the drawer.
fn place_words(place: Option<&Place>) -> String {
    place.map_or("the drawer".to_owned(), |p| format!("№ {} {}", p.no, p.title).trim().to_owned())
}

/// A thing in a list.
#[derive(Debug)]
pub struct ThingView {
    no: i64,
    kind: &'static str,
    title: String,
    facts: String,
}

fn thing(s: &Stock, at: At) -> ThingView {
    let since = s.last_move().map(|m| format!("since {}", when::day(m.at, at.now, at.offset)));
    let facts = [s.draft.mass_mg.map(mass), since];
    ThingView {
        no: s.no,
        kind: s.draft.kind.label(),
        title: s.title(),
        facts: facts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
    }
}
