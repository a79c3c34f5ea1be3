//! Readings and parts as tables, read through their rooms' stores.

use super::csv::{Cell, table};
use crate::choice::Choice;
use crate::db::Error;
use crate::features::conversions::model::{Conversion, thousandths, um_to_mm};
use crate::features::parts::model::{Part, State};
use crate::features::readings::model::Reading;
use crate::features::{circuits, conversions, parts, readings};
use crate::web::{App, when};
use sqlx::SqliteConnection;

const READINGS: [&str; 23] = [
    "conversion",
    "title",
    "reading",
    "what",
    "kind",
    "reads",
    "value",
    "unit",
    "at least",
    "at most",
    "as typed",
    "steady",
    "voltage at the loco (V)",
    "position",
    "shell",
    "decoder",
    "warmth",
    "method",
    "meter",
    "remark",
    "taken (local time)",
    "by",
    "taken back (local time)",
];

/// The conversions asked for: one, or all in use.
async fn conversions(
    conn: &mut SqliteConnection,
    one: Option<Conversion>,
) -> Result<Vec<Conversion>, Error> {
    if let Some(c) = one {
        return Ok(vec![c]);
    }
    let mut all = conversions::store::list(conn).await?;
    all.sort_by_key(|c| c.no);
    Ok(all)
}

/// Every reading of one conversion or of all, those taken back included.
pub async fn readings_csv(
    conn: &mut SqliteConnection,
    app: &App,
    one: Option<Conversion>,
) -> Result<String, Error> {
    let mut rows = Vec::new();
    for c in conversions(conn, one).await? {
        let wheels = circuits::store::list(conn, c.id).await?;
        let mut found = readings::store::page(conn, c.id, None, i64::MAX).await?;
        found.reverse();
        for r in &found {
            let what = readings::words::what(r, &wheels);
            rows.push(reading(app, (&c, what), r));
        }
    }
    Ok(table(&READINGS, &rows))
}

fn moment(app: &App, at: Option<i64>) -> Cell {
    Cell::text(at.map(|ms| when::field_value(ms, app.offset)).unwrap_or_default())
}

fn label<T: Choice>(choice: Option<T>) -> Cell {
    Cell::text(choice.map_or("", Choice::label))
}

fn reading(app: &App, (c, what): (&Conversion, String), r: &Reading) -> Vec<Cell> {
    let (d, with) = (&r.draft, &r.draft.conditions);
    let value = d.outcome.value();
    let bounds = r.bounds().filter(|_| d.accuracy.is_some());
    vec![
        Cell::whole(Some(c.no)),
        Cell::text(&c.draft.title),
        Cell::whole(Some(r.no)),
        Cell::text(what),
        Cell::text(d.kind.label()),
        Cell::text(readings::words::reads(r).replace('\u{a0}', " ").replace('\u{2212}', "-")),
        Cell::number(value),
        Cell::text(d.dimension.filter(|_| value.is_some()).map_or("", |d| d.unit())),
        Cell::number(bounds.map(|b| b.lo)),
        Cell::number(bounds.map(|b| b.hi)),
        Cell::text(&d.typed),
        Cell::text(match d.steady {
            Some(true) => "steady",
            Some(false) => "comes and goes",
            None => "",
        }),
        Cell::number(with.volts),
        label(with.position),
        label(with.shell),
        label(with.decoder),
        label(with.warmth),
        Cell::text(&with.method),
        Cell::text(&r.instrument),
        Cell::text(&with.remark),
        moment(app, Some(d.taken_at)),
        Cell::text(&r.person),
        moment(app, r.taken_back_at),
    ]
}

const PARTS: [&str; 25] = [
    "part",
    "conversion",
    "title",
    "name",
    "kind",
    "pieces",
    "state",
    "supplier",
    "instead of part",
    "blocks gate",
    "ordered (local time)",
    "promised (local time)",
    "arrived (local time)",
    "price, all pieces",
    "postage",
    "currency",
    "length (mm)",
    "width (mm)",
    "height (mm)",
    "diameter (mm)",
    "sizes from",
    "mass, one piece (g)",
    "mass from",
    "ratings",
    "remark",
];

/// Every part of one conversion, or of all and the drawer.
pub async fn parts_csv(
    conn: &mut SqliteConnection,
    app: &App,
    one: Option<Conversion>,
) -> Result<String, Error> {
    let drawer = one.is_none();
    let mut found: Vec<(Option<Conversion>, Part)> = Vec::new();
    for c in conversions(conn, one).await? {
        let parts = parts::store::list(conn, Some(c.id)).await?;
        found.extend(parts.into_iter().map(|p| (Some(c.clone()), p)));
    }
    if drawer {
        let parts = parts::store::list(conn, None).await?;
        found.extend(parts.into_iter().map(|p| (None, p)));
    }
    found.sort_by_key(|(_, p)| p.no);
    let number = |id| found.iter().find(|(_, p)| Some(p.id) == id).map(|(_, p)| p.no);
    let rows: Vec<Vec<Cell>> =
        found.iter().map(|(c, p)| part(app, c.as_ref(), (p, number(p.draft.instead_of)))).collect();
    Ok(table(&PARTS, &rows))
}

fn part(app: &App, c: Option<&Conversion>, (p, instead_of): (&Part, Option<i64>)) -> Vec<Cell> {
    let d = &p.draft;
    let mm = |um: Option<i64>| Cell::number(um.map(um_to_mm));
    let ratings: Vec<String> = d
        .ratings
        .iter()
        .map(|r| format!("{} {} {} ({})", r.name, r.typed, r.unit, r.basis.label()))
        .collect();
    vec![
        Cell::whole(Some(p.no)),
        Cell::whole(c.map(|c| c.no)),
        Cell::text(c.map_or("", |c| &c.draft.title)),
        Cell::text(&d.name),
        Cell::text(d.kind.label()),
        Cell::whole(Some(d.quantity)),
        Cell::text(p.state.label()),
        Cell::text(&p.supplier),
        Cell::whole(instead_of),
        label(d.blocks),
        moment(app, p.since(State::Ordered)),
        moment(app, d.promised_at),
        moment(app, p.since(State::Arrived)),
        Cell::hundredths(d.price_cents),
        Cell::hundredths(d.postage_cents),
        Cell::text(&d.currency),
        mm(d.size.length_um),
        mm(d.size.width_um),
        mm(d.size.height_um),
        mm(d.size.diameter_um),
        label(d.size.size_basis),
        Cell::number(d.mass_mg.map(thousandths)),
        label(d.mass_basis),
        Cell::text(ratings.join("; ")),
        Cell::text(&d.remark),
    ]
}
