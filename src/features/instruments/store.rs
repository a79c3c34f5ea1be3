//! Every query on `instrument` and `instrument_range`.

use super::model::{Draft, Instrument, Kind, Measures, Range};
use crate::choice::Choice;
use crate::db::{Action, Change, Error, InstrumentId, RangeId, Write, corrupt, expect_one};
use crate::units::Accuracy;
use sqlx::SqliteConnection;

struct Row {
    id: InstrumentId,
    name: String,
    kind: String,
    fuse: String,
    remark: String,
    version: i64,
}

struct RangeRow {
    id: RangeId,
    instrument_id: InstrumentId,
    dimension: String,
    up_to: f64,
    percent: f64,
    digits: f64,
    resolution: f64,
    jack: String,
}

impl RangeRow {
    fn read(self) -> Result<(InstrumentId, Range), Error> {
        let measures = Measures::from_code(&self.dimension)
            .ok_or_else(|| corrupt("instrument_range", "dimension", self.id, &self.dimension))?;
        let accuracy =
            Accuracy { percent: self.percent, digits: self.digits, resolution: self.resolution };
        let range = Range { id: self.id, measures, up_to: self.up_to, accuracy, jack: self.jack };
        Ok((self.instrument_id, range))
    }
}

/// All instruments in use with their ranges, by name.
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Instrument>, Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT id AS "id: InstrumentId", name, kind, fuse, remark, version FROM instrument WHERE aside_at IS NULL ORDER BY name"#
    )
    .fetch_all(&mut *conn)
    .await?;
    let ranges = sqlx::query_as!(
        RangeRow,
        r#"SELECT id AS "id: RangeId", instrument_id AS "instrument_id: InstrumentId", dimension, up_to, percent, digits, resolution, jack
           FROM instrument_range ORDER BY dimension, up_to"#
    )
    .fetch_all(&mut *conn)
    .await?
    .into_iter()
    .map(RangeRow::read)
    .collect::<Result<Vec<_>, _>>()?;
    rows.into_iter()
        .map(|row| {
            let kind = Kind::from_code(&row.kind)
                .ok_or_else(|| corrupt("instrument", "kind", &row.name, &row.kind))?;
            let mine = ranges.iter().filter(|(of, _)| *of == row.id).map(|(_, r)| r.clone());
            Ok(Instrument {
                id: row.id,
                draft: Draft { name: row.name, kind, fuse: row.fuse, remark: row.remark },
                ranges: mine.collect(),
                version: row.version,
            })
        })
        .collect()
}

/// The instrument of that id, unless put aside.
pub async fn find(
    conn: &mut SqliteConnection,
    id: InstrumentId,
) -> Result<Option<Instrument>, Error> {
    Ok(list(conn).await?.into_iter().find(|i| i.id == id))
}

/// Adds an instrument with its ranges.
pub async fn add(write: &mut Write, draft: Draft, ranges: Vec<Range>) -> Result<Instrument, Error> {
    let instrument = Instrument { id: InstrumentId::new(), draft, ranges, version: 1 };
    let (i, kind, at) = (&instrument, instrument.draft.kind.code(), write.at);
    sqlx::query!(
        "INSERT INTO instrument (id, name, kind, fuse, remark, created_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        i.id, i.draft.name, kind, i.draft.fuse, i.draft.remark, at
    )
    .execute(write.conn())
    .await
    .map_err(|e| taken(e.into(), &i.draft.name))?;
    put_ranges(write, i.id, &i.ranges).await?;
    note(write, i, Action::Added, None).await?;
    Ok(instrument)
}

/// Changes an instrument and replaces its ranges. Readings keep the accuracy they were taken with.
pub async fn change(
    write: &mut Write,
    old: &Instrument,
    version: i64,
    (draft, ranges): (Draft, Vec<Range>),
) -> Result<(), Error> {
    let kind = draft.kind.code();
    let done =
        sqlx::query!(
        "UPDATE instrument SET name = ?3, kind = ?4, fuse = ?5, remark = ?6, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, draft.name, kind, draft.fuse, draft.remark
    )
        .execute(write.conn())
        .await
        .map_err(|e| taken(e.into(), &draft.name))?;
    expect_one(done.rows_affected(), "instrument")?;
    put_ranges(write, old.id, &ranges).await?;
    let new = Instrument { id: old.id, draft, ranges, version: version + 1 };
    note(write, &new, Action::Changed, Some(old)).await
}

/// Puts an instrument aside; its readings keep its name.
pub async fn put_aside(write: &mut Write, old: &Instrument, version: i64) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE instrument SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "instrument")?;
    note(write, old, Action::PutAside, Some(old)).await
}

async fn put_ranges(write: &mut Write, id: InstrumentId, ranges: &[Range]) -> Result<(), Error> {
    sqlx::query!("DELETE FROM instrument_range WHERE instrument_id = ?1", id)
        .execute(write.conn())
        .await?;
    for r in ranges {
        let (dimension, a) = (r.measures.code(), r.accuracy);
        sqlx::query!(
            "INSERT INTO instrument_range (id, instrument_id, dimension, up_to, percent, digits, resolution, jack)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            r.id, id, dimension, r.up_to, a.percent, a.digits, a.resolution, r.jack
        )
        .execute(write.conn())
        .await?;
    }
    Ok(())
}

async fn note(
    write: &mut Write,
    after: &Instrument,
    action: Action,
    before: Option<&Instrument>,
) -> Result<(), Error> {
    let id = after.id.0;
    let change =
        Change { noun: "instrument", id, conversion: None, action, before, after: Some(after) };
    write.note(change).await
}

fn taken(e: Error, name: &str) -> Error {
    if e.is_taken("instrument.name") {
        let message =
            format!("There is an instrument called {name} already. Name this one otherwise.");
        return Error::Taken { field: "name", message };
    }
    e
}
