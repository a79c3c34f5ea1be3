//! Rows of any table that travels: read, put in, changed. Names in the SQL come from the list and the
//! file's own schema, never from an archive; values are always bound.

use super::{Kind, Layout};
use crate::db::{Error, corrupt};
use sqlx::query::Query;
use sqlx::sqlite::{SqliteArguments, SqliteRow};
use sqlx::{AssertSqlSafe, Row as _, Sqlite, SqliteConnection, ValueRef as _};
use uuid::Uuid;

/// What one column of one row holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Null,
    /// A whole number.
    Whole(i64),
    /// A number, never infinite.
    Real(f64),
    /// Text.
    Text(String),
    /// A UUID.
    Id(Uuid),
    /// Bytes.
    Bytes(Vec<u8>),
}

/// The cells of a row, in the order of its layout's columns.
pub type Row = Vec<Cell>;

/// Values bound in one statement at most; SQLite takes 32,766.
const MOST_BOUND: usize = 8_000;

fn quoted(layout: &Layout, places: impl IntoIterator<Item = usize>) -> Vec<String> {
    places
        .into_iter()
        .filter_map(|p| layout.columns.get(p))
        .map(|c| format!("\"{}\"", c.name))
        .collect()
}

fn all(layout: &Layout) -> String {
    quoted(layout, 0..layout.columns.len()).join(", ")
}

/// Every row, in the order of the key; lines without a key in the order they were written.
pub async fn select_all(conn: &mut SqliteConnection, layout: &Layout) -> Result<Vec<Row>, Error> {
    let key = quoted(layout, layout.key.iter().copied()).join(", ");
    let order = if key.is_empty() { "rowid" } else { &key };
    let sql = format!("SELECT {} FROM \"{}\" ORDER BY {order}", all(layout), layout.table.name);
    let found = sqlx::query(AssertSqlSafe(sql)).fetch_all(conn).await?;
    found.iter().map(|r| read(layout, r)).collect()
}

/// Rows in which a column holds a value, each with SQLite's number of it.
pub(super) async fn select_where(
    conn: &mut SqliteConnection,
    layout: &Layout,
    (place, value): (usize, &Cell),
) -> Result<Vec<(i64, Row)>, Error> {
    let column = quoted(layout, [place]).join("");
    let sql = format!(
        "SELECT {}, rowid FROM \"{}\" WHERE {column} = ?1 ORDER BY rowid",
        all(layout),
        layout.table.name
    );
    let found = bound(sqlx::query(AssertSqlSafe(sql)), value).fetch_all(conn).await?;
    found.iter().map(|r| Ok((r.try_get(layout.columns.len())?, read(layout, r)?))).collect()
}

fn read(layout: &Layout, row: &SqliteRow) -> Result<Row, Error> {
    layout
        .columns
        .iter()
        .enumerate()
        .map(|(i, column)| {
            if row.try_get_raw(i)?.is_null() {
                return Ok(Cell::Null);
            }
            Ok(match column.kind {
                Kind::Whole => Cell::Whole(row.try_get(i)?),
                Kind::Real => {
                    let value: f64 = row.try_get(i)?;
                    if !value.is_finite() {
                        return Err(corrupt(
                            layout.table.name,
                            "a number",
                            &column.name,
                            &value.to_string(),
                        ));
                    }
                    Cell::Real(value)
                }
                Kind::Text => Cell::Text(row.try_get(i)?),
                Kind::Id => Cell::Id(row.try_get(i)?),
                Kind::Bytes => Cell::Bytes(row.try_get(i)?),
            })
        })
        .collect()
}

type Statement<'q> = Query<'q, Sqlite, SqliteArguments>;

fn bound<'q>(query: Statement<'q>, cell: &Cell) -> Statement<'q> {
    match cell {
        Cell::Null => query.bind(None::<i64>),
        Cell::Whole(v) => query.bind(*v),
        Cell::Real(v) => query.bind(*v),
        Cell::Text(v) => query.bind(v.clone()),
        Cell::Id(v) => query.bind(*v),
        Cell::Bytes(v) => query.bind(v.clone()),
    }
}

/// Puts rows in, many in one statement. When SQLite refuses some, they are tried one by one and the
/// place of the first refused is told.
pub async fn insert(
    conn: &mut SqliteConnection,
    layout: &Layout,
    rows: &[Row],
) -> Result<(), (usize, Error)> {
    let at_once = (MOST_BOUND / layout.columns.len().max(1)).max(1);
    for (i, chunk) in rows.chunks(at_once).enumerate() {
        let Err(e) = insert_chunk(conn, layout, chunk).await else { continue };
        for (k, row) in chunk.iter().enumerate() {
            let one = std::slice::from_ref(row);
            insert_chunk(conn, layout, one).await.map_err(|e| (i * at_once + k, e))?;
        }
        return Err((i * at_once, e));
    }
    Ok(())
}

async fn insert_chunk(
    conn: &mut SqliteConnection,
    layout: &Layout,
    rows: &[Row],
) -> Result<(), Error> {
    let marks = vec!["?"; layout.columns.len()].join(", ");
    let values = vec![format!("({marks})"); rows.len()].join(", ");
    let sql = format!("INSERT INTO \"{}\" ({}) VALUES {values}", layout.table.name, all(layout));
    let query = rows.iter().flatten().fold(sqlx::query(AssertSqlSafe(sql)), bound);
    query.execute(conn).await?;
    Ok(())
}

/// Writes every column of the row with this key.
pub async fn update(conn: &mut SqliteConnection, layout: &Layout, row: &Row) -> Result<u64, Error> {
    let free: Vec<usize> = (0..layout.columns.len()).filter(|p| !layout.key.contains(p)).collect();
    let equal = |places: &[usize]| {
        quoted(layout, places.iter().copied()).into_iter().map(|c| format!("{c} = ?"))
    };
    let set = equal(&free).collect::<Vec<_>>().join(", ");
    let key = equal(&layout.key).collect::<Vec<_>>().join(" AND ");
    let sql = format!("UPDATE \"{}\" SET {set} WHERE {key}", layout.table.name);
    let cells = free.iter().chain(&layout.key).filter_map(|p| row.get(*p));
    let query = cells.fold(sqlx::query(AssertSqlSafe(sql)), bound);
    Ok(query.execute(conn).await?.rows_affected())
}

/// Takes out the row with this key: a part of a record, to be put in anew.
pub async fn delete(conn: &mut SqliteConnection, layout: &Layout, row: &Row) -> Result<(), Error> {
    let key = quoted(layout, layout.key.iter().copied());
    let key = key.into_iter().map(|c| format!("{c} = ?")).collect::<Vec<_>>().join(" AND ");
    let sql = format!("DELETE FROM \"{}\" WHERE {key}", layout.table.name);
    let cells = layout.key.iter().filter_map(|p| row.get(*p));
    cells.fold(sqlx::query(AssertSqlSafe(sql)), bound).execute(conn).await?;
    Ok(())
}
