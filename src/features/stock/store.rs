//! Every query on `stock`; those on its moves are in `move_store`.

pub use super::move_store::{motor_of, move_together, take_back};

use super::model::{Draft, Kind, Stock};
use super::move_store;
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, Error, Millis, StockId, SwapId, Write, corrupt, expect_one,
};
use crate::features::parts::model::Place;
use crate::features::readings;
use sqlx::SqliteConnection;

struct Row {
    id: StockId,
    no: i64,
    kind: String,
    name: String,
    mark: String,
    mass_mg: Option<i64>,
    remark: String,
    conversion_id: Option<ConversionId>,
    conversion_no: Option<i64>,
    title: Option<String>,
    version: i64,
    aside_at: Option<i64>,
}

impl Row {
    fn read(self) -> Result<Stock, Error> {
        let kind = Kind::from_code(&self.kind)
            .ok_or_else(|| corrupt("stock", "kind", self.no, &self.kind))?;
        let place = match (self.conversion_id, self.conversion_no) {
            (Some(id), Some(no)) => Some(Place { id, no, title: self.title.unwrap_or_default() }),
            _ => None,
        };
        let (name, mark, remark) = (self.name, self.mark, self.remark);
        Ok(Stock {
            id: self.id,
            no: self.no,
            draft: Draft { kind, name, mark, mass_mg: self.mass_mg, remark },
            place,
            moves: Vec::new(),
            aside_at: self.aside_at,
            version: self.version,
        })
    }
}

macro_rules! select_stock {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT s.id AS "id: StockId", s.no, s.kind, s.name, s.mark, s.mass_mg, s.remark,
                 s.conversion_id AS "conversion_id: ConversionId", c.no AS "conversion_no?", c.title AS "title?", s.version, s.aside_at
               FROM stock s LEFT JOIN conversion c ON c.id = s.conversion_id "# + $rest
            $(, $arg)*
        )
    };
}

/// Things in a conversion, or in the drawer, by kind and number.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: Option<ConversionId>,
) -> Result<Vec<Stock>, Error> {
    let rows = select_stock!(
        "WHERE s.conversion_id IS ?1 AND s.aside_at IS NULL ORDER BY s.kind, s.no",
        conversion
    )
    .fetch_all(&mut *conn)
    .await?;
    let mut things = rows.into_iter().map(Row::read).collect::<Result<Vec<_>, _>>()?;
    move_store::put_on(conn, conversion, &mut things).await?;
    Ok(things)
}

/// Everything of one kind that is not put aside and not in a conversion put aside, the drawer first;
/// without moves.
pub async fn list_of_kind(conn: &mut SqliteConnection, kind: Kind) -> Result<Vec<Stock>, Error> {
    let code = kind.code();
    select_stock!(
        "WHERE s.kind = ?1 AND s.aside_at IS NULL AND c.aside_at IS NULL ORDER BY c.no IS NOT NULL, c.no DESC, s.no",
        code
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// Things put aside, newest first, without their moves.
pub async fn list_aside(conn: &mut SqliteConnection) -> Result<Vec<Stock>, Error> {
    select_stock!("WHERE s.aside_at IS NOT NULL ORDER BY s.aside_at DESC")
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// The thing of that number, put aside or not.
pub async fn find(conn: &mut SqliteConnection, no: i64) -> Result<Option<Stock>, Error> {
    let row = select_stock!("WHERE s.no = ?1", no).fetch_optional(&mut *conn).await?;
    let Some(row) = row else { return Ok(None) };
    let mut things = [row.read()?];
    move_store::of(conn, &mut things).await?;
    let [thing] = things;
    Ok(Some(thing))
}

/// Everything that was moved together.
pub async fn moved_together(
    conn: &mut SqliteConnection,
    swap: SwapId,
) -> Result<Vec<Stock>, Error> {
    let rows = select_stock!(
        "WHERE s.id IN (SELECT stock_id FROM stock_move WHERE swap_id = ?1) ORDER BY s.no",
        swap
    )
    .fetch_all(&mut *conn)
    .await?;
    let mut things = rows.into_iter().map(Row::read).collect::<Result<Vec<_>, _>>()?;
    move_store::put_on_together(conn, swap, &mut things).await?;
    Ok(things)
}

/// Writes a thing down with the next number, where it sits since when and why. That changes nothing on a
/// model: it was there before it was written down.
pub async fn add(
    write: &mut Write,
    draft: Draft,
    place: Option<Place>,
    (at, why): (Millis, &str),
) -> Result<Stock, Error> {
    let no = sqlx::query_scalar!(r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM stock"#)
        .fetch_one(write.conn())
        .await?;
    let (id, moves) = (StockId::new(), Vec::new());
    let mut new = Stock { id, no, draft, place, moves, aside_at: None, version: 1 };
    let (d, created_at) = (&new.draft, write.at);
    let (kind, conversion) = (d.kind.code(), new.conversion());
    sqlx::query!(
        "INSERT INTO stock (id, no, kind, name, mark, mass_mg, remark, conversion_id, created_at)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        id,
        no,
        kind,
        d.name,
        d.mark,
        d.mass_mg,
        d.remark,
        conversion,
        created_at
    )
    .execute(write.conn())
    .await?;
    move_store::add(write, &mut new, SwapId::new(), (at, why)).await?;
    let now = write.at;
    if let (Kind::Motor, Some(conversion)) = (new.draft.kind, conversion)
        && motor_of(write.conn(), conversion, now).await? == Some(id)
    {
        readings::store::tie_to_motor(write, conversion, at, Some(id)).await?;
    }
    note(write, &new, Action::Added, None).await?;
    Ok(new)
}

/// Changes what the form says, if nobody else did since `version`.
pub async fn change(
    write: &mut Write,
    (old, version): (&Stock, i64),
    draft: Draft,
) -> Result<(), Error> {
    let (d, kind) = (&draft, draft.kind.code());
    let done = sqlx::query!(
        "UPDATE stock SET kind = ?3, name = ?4, mark = ?5, mass_mg = ?6, remark = ?7, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, kind, d.name, d.mark, d.mass_mg, d.remark
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "thing")?;
    let new = Stock { draft, version: version + 1, ..old.clone() };
    note(write, &new, Action::Changed, Some(old)).await
}

/// Writes where a thing sits.
pub(super) async fn set_place(
    write: &mut Write,
    old: &Stock,
    to: Option<ConversionId>,
) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE stock SET conversion_id = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, old.version, to
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "thing")
}

/// Puts a thing of the drawer aside, or brings it back.
pub async fn set_aside(
    write: &mut Write,
    (old, version): (&Stock, i64),
    aside: bool,
) -> Result<(), Error> {
    let aside_at = aside.then_some(write.at);
    let done = sqlx::query!(
        "UPDATE stock SET aside_at = ?3, version = version + 1
         WHERE id = ?1 AND version = ?2 AND conversion_id IS NULL AND (aside_at IS NULL) = (?3 IS NOT NULL)",
        old.id, version, aside_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "thing")?;
    let new = Stock { aside_at, version: version + 1, ..old.clone() };
    let action = if aside { Action::PutAside } else { Action::Restored };
    note(write, &new, action, Some(old)).await
}

/// The history line of a thing.
pub(super) async fn note(
    write: &mut Write,
    after: &Stock,
    action: Action,
    before: Option<&Stock>,
) -> Result<(), Error> {
    let place = after.conversion().or(before.and_then(Stock::conversion));
    let change = Change {
        noun: "stock",
        id: after.id.0,
        conversion: place,
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
