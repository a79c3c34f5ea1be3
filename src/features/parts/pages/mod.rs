//! Pages of this room, one file per page, and what they share.

pub mod edit;
pub mod new;
pub mod sheet;
pub mod show;
pub mod steps;
pub mod suppliers;

use super::forms::ROWS;
use super::model::{Kind, Part, State};
use super::{store, supplier_store};
use crate::choice::Choice;
use crate::db::{ConversionId, PartId};
use crate::features::conversions::model::{Conversion, options};
use crate::features::conversions::{self, Head, head};
use crate::features::decoders::model::Basis;
use crate::features::gates::view::At;
use crate::features::snags::model::GateName;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Result, Sheet};
use sqlx::SqliteConnection;

type Options = Vec<(&'static str, &'static str)>;

/// The lists a part's form chooses from.
#[derive(Debug)]
pub struct Lists {
    kinds: Options,
    states: Options,
    gates: Options,
    bases: Options,
    suppliers: Vec<(String, String)>,
    others: Vec<(String, String)>,
    rows: Vec<usize>,
}

/// The lists for a part of a place; `of` is the part itself where it is there already.
async fn lists(conn: &mut SqliteConnection, parts: &[Part], of: Option<&Part>) -> Result<Lists> {
    let chosen = of.and_then(|p| p.draft.supplier_id);
    let suppliers = supplier_store::list(conn).await?;
    let suppliers = suppliers.into_iter().filter(|s| s.aside_at.is_none() || Some(s.id) == chosen);
    let others = parts.iter().filter(|p| of.is_none_or(|o| o.id != p.id));
    // a new part begins no further on than arrived
    let states = State::ALL[..5].iter().map(|s| (s.code(), s.label())).collect();
    Ok(Lists {
        kinds: options::<Kind>(),
        states,
        gates: options::<GateName>(),
        bases: options::<Basis>(),
        suppliers: suppliers.map(|s| (s.id.to_string(), s.draft.name)).collect(),
        others: others.map(|p| (p.id.to_string(), format!("{} {}", p.no, p.draft.name))).collect(),
        rows: (1..=ROWS).collect(),
    })
}

/// A fresh form.
fn fresh() -> Fields {
    Fields::with([
        ("kind", "other".to_owned()),
        ("quantity", "1".to_owned()),
        ("state", "wanted".to_owned()),
        ("size_basis", "data_sheet".to_owned()),
        ("mass_basis", "data_sheet".to_owned()),
        ("token", new_token()),
    ])
}

/// What the views need to know of time.
fn at(app: &App) -> At {
    At { now: app.now(), offset: app.offset }
}

/// The part of that number.
async fn find(app: &App, no: i64) -> Result<Part> {
    let mut conn = app.db.pool.acquire().await?;
    let found = store::find(&mut conn, no).await?;
    found.ok_or_else(|| Error::NotFound(format!("part {no}")))
}

/// The conversion a part belongs to, unless it is in the drawer or the conversion is put aside.
async fn conversion_of(conn: &mut SqliteConnection, part: &Part) -> Result<Option<Conversion>> {
    match &part.place {
        Some(place) => Ok(conversions::store::find(conn, place.no).await?),
        None => Ok(None),
    }
}

/// The head of the sheet a part is on.
fn part_head(app: &App, c: Option<&Conversion>) -> Option<Head> {
    c.map(|c| head(c, app, Some(Sheet::Parts)))
}

/// Checks what a form names by id: the supplier, and the part it may stand in for, which is drawn to the
/// first of its “this or that”. False where something was refused.
async fn links(
    conn: &mut SqliteConnection,
    form: &mut Fields,
    (draft, of): (&mut super::model::Draft, Option<&Part>),
    place: Option<ConversionId>,
) -> Result<bool> {
    if let Some(id) = draft.supplier_id
        && supplier_store::find(conn, id).await?.is_none()
    {
        form.refuse("supplier", "There is no supplier of that id here. Choose one from the list.");
    }
    let unchanged = of.is_some_and(|o| o.draft.instead_of == draft.instead_of);
    if let Some(wanted) = draft.instead_of.filter(|_| !unchanged) {
        draft.instead_of = stand_in(conn, form, (wanted, of), place).await?;
    }
    Ok(!form.any_wrong())
}

async fn stand_in(
    conn: &mut SqliteConnection,
    form: &mut Fields,
    (wanted, of): (PartId, Option<&Part>),
    place: Option<ConversionId>,
) -> Result<Option<PartId>> {
    let parts = store::list(conn, place).await?;
    let Some(other) = parts.iter().find(|p| p.id == wanted) else {
        form.refuse("instead_of", "There is no such part at this place. Choose one from the list.");
        return Ok(None);
    };
    let first = other.either();
    if let Some(own) = of {
        if first == own.id {
            let no = other.no;
            form.refuse("instead_of", format!("Part {no} stands instead of this one already."));
        } else if store::has_stand_in(conn, own.id).await? {
            form.refuse(
                "instead_of",
                "Another part stands instead of this one. Leave this empty, or say it there.",
            );
        }
    }
    Ok(Some(first))
}
