//! Every query on `datum`.

use super::model::{Datum, Draft};
use crate::calc::datum::{End, From, What};
use crate::db::{
    Action, Change, ConversionId, DatumId, Error, InstrumentId, Write, corrupt, expect_one,
};
use crate::units::Accuracy;
use sqlx::SqliteConnection;

struct Row {
    id: DatumId,
    no: i64,
    what: String,
    name: String,
    at_end: String,
    measured_from: String,
    cut: String,
    before_id: Option<DatumId>,
    value_um: i64,
    y_um: Option<i64>,
    z_um: Option<i64>,
    typed: String,
    typed_y: String,
    typed_z: String,
    percent: Option<f64>,
    digits: Option<f64>,
    resolution: Option<f64>,
    tolerance_um: Option<i64>,
    instrument_id: Option<InstrumentId>,
    remark: String,
    taken_at: i64,
    entered_at: i64,
    person_name: Option<String>,
    instrument_name: Option<String>,
    version: i64,
}

impl Row {
    fn accuracy(&self) -> Option<Accuracy> {
        let (percent, digits, resolution) = (self.percent?, self.digits?, self.resolution?);
        Some(Accuracy { percent, digits, resolution })
    }

    fn read(self) -> Result<Datum, Error> {
        let no = self.no;
        let what =
            What::from_key(&self.what).ok_or_else(|| corrupt("datum", "what", no, &self.what))?;
        let end = End::from_key(&self.at_end)
            .ok_or_else(|| corrupt("datum", "at_end", no, &self.at_end))?;
        let from = From::from_key(&self.measured_from)
            .ok_or_else(|| corrupt("datum", "measured_from", no, &self.measured_from))?;
        let accuracy = self.accuracy();
        let (um, typed) = match (self.y_um, self.z_um) {
            (Some(y), Some(z)) => {
                (vec![self.value_um, y, z], vec![self.typed, self.typed_y, self.typed_z])
            }
            _ => (vec![self.value_um], vec![self.typed]),
        };
        Ok(Datum {
            id: self.id,
            no,
            draft: Draft {
                what,
                name: self.name,
                end,
                from,
                after: self.cut == "after",
                before_id: self.before_id,
                um,
                typed,
                accuracy,
                tolerance_um: self.tolerance_um,
                instrument_id: self.instrument_id,
                remark: self.remark,
                taken_at: self.taken_at,
            },
            entered_at: self.entered_at,
            person: self.person_name.unwrap_or_default(),
            instrument: self.instrument_name.unwrap_or_default(),
            version: self.version,
        })
    }
}

macro_rules! select_datums {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT d.id AS "id: DatumId", d.no, d.what, d.name, d.at_end, d.measured_from, d.cut,
                 d.before_id AS "before_id: DatumId", d.value_um, d.y_um, d.z_um, d.typed, d.typed_y, d.typed_z,
                 d.percent, d.digits, d.resolution, d.tolerance_um, d.instrument_id AS "instrument_id: InstrumentId", d.remark,
                 d.taken_at, d.entered_at, p.name AS "person_name?", i.name AS "instrument_name?", d.version
               FROM datum d LEFT JOIN person p ON p.id = d.person_id LEFT JOIN instrument i ON i.id = d.instrument_id "# + $rest
            $(, $arg)*
        )
    };
}

/// The datums of a conversion, in the order they were written.
pub async fn list(conn: &mut SqliteConnection, of: ConversionId) -> Result<Vec<Datum>, Error> {
    select_datums!("WHERE d.conversion_id = ?1 AND d.aside_at IS NULL ORDER BY d.no", of)
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// Those put aside.
pub async fn list_aside(
    conn: &mut SqliteConnection,
    of: ConversionId,
) -> Result<Vec<Datum>, Error> {
    select_datums!("WHERE d.conversion_id = ?1 AND d.aside_at IS NOT NULL ORDER BY d.no", of)
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// What of a draft stands in several columns.
struct Columns<'a> {
    y_um: Option<i64>,
    z_um: Option<i64>,
    value_um: i64,
    typed: [&'a str; 3],
    accuracy: [Option<f64>; 3],
    cut: &'static str,
}

fn columns(d: &Draft) -> Columns<'_> {
    let typed = |i: usize| d.typed.get(i).map_or("", String::as_str);
    let a = d.accuracy;
    Columns {
        value_um: d.um.first().copied().unwrap_or(0),
        y_um: d.um.get(1).copied(),
        z_um: d.um.get(2).copied(),
        typed: [typed(0), typed(1), typed(2)],
        accuracy: [a.map(|a| a.percent), a.map(|a| a.digits), a.map(|a| a.resolution)],
        cut: if d.after { "after" } else { "before" },
    }
}

/// Writes a datum down with the next number of its conversion.
pub async fn add(write: &mut Write, of: ConversionId, draft: Draft) -> Result<Datum, Error> {
    let no = sqlx::query_scalar!(
        r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM datum WHERE conversion_id = ?1"#,
        of
    )
    .fetch_one(write.conn())
    .await?;
    let (person, instrument) = (String::new(), String::new());
    let (id, entered_at) = (DatumId::new(), write.at);
    let datum = Datum { id, no, draft, entered_at, person, instrument, version: 1 };
    let (d, c, by) = (&datum.draft, columns(&datum.draft), write.person);
    let (what, end, from) = (d.what.key(), d.end.key(), d.from.key());
    sqlx::query!(
        "INSERT INTO datum (id, conversion_id, no, what, name, at_end, measured_from, cut, before_id, value_um, y_um, z_um,
           typed, typed_y, typed_z, percent, digits, resolution, tolerance_um, instrument_id, remark, taken_at, entered_at, person_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24)",
        datum.id, of, datum.no, what, d.name, end, from, c.cut, d.before_id, c.value_um, c.y_um, c.z_um,
        c.typed[0], c.typed[1], c.typed[2], c.accuracy[0], c.accuracy[1], c.accuracy[2], d.tolerance_um, d.instrument_id,
        d.remark, d.taken_at, datum.entered_at, by
    )
    .execute(write.conn())
    .await?;
    note(write, of, &datum, Action::Added, None).await?;
    Ok(datum)
}

/// Puts a datum right, if nobody else did since `version`. Before or after cutting stays as it was.
pub async fn change(
    write: &mut Write,
    of: ConversionId,
    (old, version): (&Datum, i64),
    draft: Draft,
) -> Result<(), Error> {
    let new = Datum { draft, version: version + 1, ..old.clone() };
    let (d, c) = (&new.draft, columns(&new.draft));
    let (what, end, from) = (d.what.key(), d.end.key(), d.from.key());
    let done = sqlx::query!(
        "UPDATE datum SET what = ?3, name = ?4, at_end = ?5, measured_from = ?6, value_um = ?7, y_um = ?8, z_um = ?9,
           typed = ?10, typed_y = ?11, typed_z = ?12, percent = ?13, digits = ?14, resolution = ?15, tolerance_um = ?16,
           instrument_id = ?17, remark = ?18, taken_at = ?19, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, what, d.name, end, from, c.value_um, c.y_um, c.z_um, c.typed[0], c.typed[1], c.typed[2],
        c.accuracy[0], c.accuracy[1], c.accuracy[2], d.tolerance_um, d.instrument_id, d.remark, d.taken_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "datum")?;
    note(write, of, &new, Action::Changed, Some(old)).await
}

/// Puts a datum aside, if nobody changed it since `version`.
pub async fn put_aside(
    write: &mut Write,
    of: ConversionId,
    (old, version): (&Datum, i64),
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE datum SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id,
        version,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "datum")?;
    note(write, of, old, Action::PutAside, Some(old)).await
}

/// Brings a datum back, if nobody changed it since `version`.
pub async fn restore(
    write: &mut Write,
    of: ConversionId,
    (old, version): (&Datum, i64),
) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE datum SET aside_at = NULL, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NOT NULL",
        old.id,
        version
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "datum")?;
    note(write, of, old, Action::Restored, Some(old)).await
}

async fn note(
    write: &mut Write,
    of: ConversionId,
    after: &Datum,
    action: Action,
    before: Option<&Datum>,
) -> Result<(), Error> {
    let change = Change {
        noun: "datum",
        id: after.id.0,
        conversion: Some(of),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
