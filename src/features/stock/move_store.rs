//! Every query on `stock_move` and `stock_alteration`.

use super::model::{Go, Kind, Move, Stock, changed};
use super::store::{note, set_place};
use crate::db::{
    Action, AlterationId, ConversionId, Error, Millis, StockId, StockMoveId, SwapId, Write,
};
use crate::features::parts::model::Place;
use crate::features::{alterations, readings};
use sqlx::SqliteConnection;

struct MoveRow {
    stock_id: StockId,
    id: StockMoveId,
    no: i64,
    swap_id: SwapId,
    conversion_id: Option<ConversionId>,
    place_no: Option<i64>,
    at: i64,
    person: Option<String>,
    why: String,
    taken_back_at: Option<i64>,
}

macro_rules! select_moves {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            MoveRow,
            r#"SELECT m.stock_id AS "stock_id: StockId", m.id AS "id: StockMoveId", m.no, m.swap_id AS "swap_id: SwapId",
                 m.conversion_id AS "conversion_id: ConversionId", c.no AS "place_no?", m.at, w.name AS "person?", m.why, m.taken_back_at
               FROM stock_move m LEFT JOIN conversion c ON c.id = m.conversion_id LEFT JOIN person w ON w.id = m.person_id "#
               + $rest + " ORDER BY m.stock_id, m.no"
            $(, $arg)*
        )
    };
}

/// The moves of one thing.
pub(super) async fn of(conn: &mut SqliteConnection, thing: &mut [Stock; 1]) -> Result<(), Error> {
    let id = thing[0].id;
    let rows = select_moves!("WHERE m.stock_id = ?1", id).fetch_all(conn).await?;
    put(thing, rows);
    Ok(())
}

/// Puts their moves on the things of a conversion or of the drawer.
pub(super) async fn put_on(
    conn: &mut SqliteConnection,
    conversion: Option<ConversionId>,
    things: &mut [Stock],
) -> Result<(), Error> {
    let rows = select_moves!(
        "WHERE m.stock_id IN (SELECT id FROM stock WHERE conversion_id IS ?1 AND aside_at IS NULL)",
        conversion
    )
    .fetch_all(conn)
    .await?;
    put(things, rows);
    Ok(())
}

/// Puts their moves on things moved together.
pub(super) async fn put_on_together(
    conn: &mut SqliteConnection,
    swap: SwapId,
    things: &mut [Stock],
) -> Result<(), Error> {
    let rows = select_moves!(
        "WHERE m.stock_id IN (SELECT stock_id FROM stock_move WHERE swap_id = ?1)",
        swap
    )
    .fetch_all(conn)
    .await?;
    put(things, rows);
    Ok(())
}

/// Puts their moves on things.
fn put(things: &mut [Stock], rows: Vec<MoveRow>) {
    for r in rows {
        let Some(thing) = things.iter_mut().find(|t| t.id == r.stock_id) else { continue };
        thing.moves.push(Move {
            id: r.id,
            no: r.no,
            swap_id: r.swap_id,
            conversion_id: r.conversion_id,
            place_no: r.place_no,
            at: r.at,
            person: r.person.unwrap_or_default(),
            why: r.why,
            taken_back_at: r.taken_back_at,
        });
    }
}

/// The motor that sat in a conversion at a moment. `None`: none is known, or there were several, so that
/// nobody can say which one a reading was taken on.
pub async fn motor_of(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    at: Millis,
) -> Result<Option<StockId>, Error> {
    let motors = sqlx::query_scalar!(
        r#"SELECT s.id AS "id: StockId" FROM stock s
           WHERE s.kind = 'motor' AND s.id IN (SELECT stock_id FROM stock_move WHERE conversion_id = ?1)
             AND (SELECT m.conversion_id FROM stock_move m WHERE m.stock_id = s.id AND m.taken_back_at IS NULL AND m.at <= ?2
                  ORDER BY m.no DESC LIMIT 1) = ?1 LIMIT 2"#,
        conversion,
        at
    )
    .fetch_all(conn)
    .await?;
    Ok(if let [motor] = motors[..] { Some(motor) } else { None })
}

/// Writes a thing's next move, to where it is now.
pub(super) async fn add(
    write: &mut Write,
    thing: &mut Stock,
    swap_id: SwapId,
    (at, why): (Millis, &str),
) -> Result<(), Error> {
    let no = thing.moves.last().map_or(1, |m| m.no + 1);
    let m = Move {
        id: StockMoveId::new(),
        no,
        swap_id,
        conversion_id: thing.conversion(),
        place_no: thing.place.as_ref().map(|p| p.no),
        at,
        person: String::new(),
        why: why.to_owned(),
        taken_back_at: None,
    };
    let (entered_at, person) = (write.at, write.person);
    sqlx::query!(
        "INSERT INTO stock_move (id, stock_id, no, swap_id, conversion_id, at, entered_at, person_id, why)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        m.id, thing.id, no, swap_id, m.conversion_id, at, entered_at, person, why
    )
    .execute(write.conn())
    .await?;
    thing.moves.push(m);
    Ok(())
}

/// Moves things together, each from the version it was seen in. What that changes on the models is written
/// down with it, so that readings it touches are asked for again; readings taken since stay with the motor
/// that was in.
pub async fn move_together(
    write: &mut Write,
    goes: &[Go],
    (at, why): (Millis, &str),
) -> Result<SwapId, Error> {
    let swap = SwapId::new();
    for go in goes {
        let old = &go.thing;
        set_place(write, old, go.to.as_ref().map(|p| p.id)).await?;
        let mut new = Stock { place: go.to.clone(), version: old.version + 1, ..old.clone() };
        add(write, &mut new, swap, (at, why)).await?;
        note(write, &new, Action::Changed, Some(old)).await?;
    }
    for c in changed(goes, why) {
        let a = alterations::store::add(write, c.conversion, c.kind, (&c.what, at)).await?;
        sqlx::query!(
            "INSERT INTO stock_alteration (swap_id, alteration_id) VALUES (?1, ?2)",
            swap,
            a.id
        )
        .execute(write.conn())
        .await?;
    }
    tie(write, goes.iter().map(|g| (&g.thing, g.to.as_ref().map(|p| p.id))), at).await?;
    Ok(swap)
}

/// Ties readings taken since to the motor that is in now, in every conversion a motor came into or left.
async fn tie(
    write: &mut Write,
    goes: impl Iterator<Item = (&Stock, Option<ConversionId>)>,
    since: Millis,
) -> Result<(), Error> {
    let motors = goes.filter(|(thing, _)| thing.draft.kind == Kind::Motor);
    let touched: Vec<ConversionId> =
        motors.flat_map(|(thing, to)| [thing.conversion(), to]).flatten().collect();
    let now = write.at.max(since);
    for conversion in touched {
        let motor = motor_of(write.conn(), conversion, now).await?;
        readings::store::tie_to_motor(write, conversion, since, motor).await?;
    }
    Ok(())
}

/// Takes moves made together back as a mistake, with what they changed on the models. `things`: all of
/// them, each with its newest move being one of these.
pub async fn take_back(write: &mut Write, things: &[Stock], swap: SwapId) -> Result<(), Error> {
    let mut since = write.at;
    let mut back = Vec::new();
    for old in things {
        let (Some(last), Some(before)) = (old.last_move(), old.move_before()) else {
            return Err(Error::NotFound("move to take back"));
        };
        if last.swap_id != swap {
            return Err(Error::Conflict("thing"));
        }
        since = since.min(last.at);
        back.push((old, before.conversion_id));
        set_place(write, old, before.conversion_id).await?;
        let place = match (before.conversion_id, before.place_no) {
            (Some(id), Some(no)) => Some(Place { id, no, title: String::new() }),
            _ => None,
        };
        let mut new = Stock { place, version: old.version + 1, ..old.clone() };
        let at = write.at;
        for m in new.moves.iter_mut().filter(|m| m.id == last.id) {
            m.taken_back_at = Some(at);
        }
        note(write, &new, Action::TakenBack, Some(old)).await?;
    }
    let at = write.at;
    sqlx::query!(
        "UPDATE stock_move SET taken_back_at = ?2 WHERE swap_id = ?1 AND taken_back_at IS NULL",
        swap,
        at
    )
    .execute(write.conn())
    .await?;
    take_changes_back(write, swap).await?;
    tie(write, back.into_iter(), since).await
}

/// Takes back what moves changed on the models, unless somebody did already.
async fn take_changes_back(write: &mut Write, swap: SwapId) -> Result<(), Error> {
    let changes = sqlx::query!(
        r#"SELECT a.id AS "id: AlterationId", a.conversion_id AS "conversion: ConversionId"
           FROM stock_alteration s JOIN alteration a ON a.id = s.alteration_id
           WHERE s.swap_id = ?1 AND a.taken_back_at IS NULL"#,
        swap
    )
    .fetch_all(write.conn())
    .await?;
    for c in changes {
        alterations::store::take_back(write, c.conversion, c.id).await?;
    }
    Ok(())
}
