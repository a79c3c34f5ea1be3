//! Every query on `reading`; those on `load_test` are in `load_test_store` and named here too.

pub use super::load_test_store::{add as add_load_test, list as load_tests};

use super::model::{
    Conditions, DecoderState, Draft, Kind, Outcome, Position, Reading, Shell, Warmth,
};
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, Error, InstrumentId, LoadTestId, Millis, ReadingId, StockId,
    WheelId, Write, corrupt, expect_one,
};
use crate::features::stock;
use crate::units::{Accuracy, Dimension};
use sqlx::SqliteConnection;

struct Row {
    id: ReadingId,
    no: i64,
    kind: String,
    point_a: String,
    point_b: String,
    wheel_id: Option<WheelId>,
    load_test_id: Option<LoadTestId>,
    outcome: String,
    value: Option<f64>,
    dimension: String,
    typed: String,
    steady: Option<bool>,
    percent: Option<f64>,
    digits: Option<f64>,
    resolution: Option<f64>,
    volts: Option<f64>,
    volts_typed: String,
    volts_percent: Option<f64>,
    volts_digits: Option<f64>,
    volts_resolution: Option<f64>,
    method: String,
    position: String,
    shell: String,
    decoder: String,
    warmth: String,
    instrument_id: Option<InstrumentId>,
    remark: String,
    taken_at: i64,
    entered_at: i64,
    taken_back_at: Option<i64>,
    person_name: Option<String>,
    instrument_name: Option<String>,
    version: i64,
}

/// A stored code that may be empty, as its choice.
fn maybe<T: Choice>(column: &'static str, no: i64, code: &str) -> Result<Option<T>, Error> {
    if code.is_empty() {
        return Ok(None);
    }
    T::from_code(code).map(Some).ok_or_else(|| corrupt("reading", column, no, code))
}

/// The stored name of a dimension.
fn dimension_code(d: Option<Dimension>) -> &'static str {
    d.map_or("", Dimension::word)
}

fn dimension_of(no: i64, word: &str) -> Result<Option<Dimension>, Error> {
    const ALL: [Dimension; 12] = [
        Dimension::Current,
        Dimension::Voltage,
        Dimension::Resistance,
        Dimension::Length,
        Dimension::Mass,
        Dimension::Time,
        Dimension::Temperature,
        Dimension::Power,
        Dimension::Capacitance,
        Dimension::Frequency,
        Dimension::Speed,
        Dimension::Number,
    ];
    if word.is_empty() {
        return Ok(None);
    }
    let found = ALL.into_iter().find(|d| d.word() == word);
    found.map(Some).ok_or_else(|| corrupt("reading", "dimension", no, word))
}

/// An accuracy from its three columns; none when they are empty.
fn accuracy(
    percent: Option<f64>,
    digits: Option<f64>,
    resolution: Option<f64>,
) -> Option<Accuracy> {
    Some(Accuracy { percent: percent?, digits: digits?, resolution: resolution? })
}

/// The three columns of an accuracy.
fn columns(a: Option<Accuracy>) -> (Option<f64>, Option<f64>, Option<f64>) {
    (a.map(|a| a.percent), a.map(|a| a.digits), a.map(|a| a.resolution))
}

impl Row {
    fn accuracy(&self) -> Option<Accuracy> {
        accuracy(self.percent, self.digits, self.resolution)
    }

    fn read(self) -> Result<Reading, Error> {
        let no = self.no;
        let taken_with = self.accuracy();
        let outcome = Outcome::from_stored(&self.outcome, self.value)
            .ok_or_else(|| corrupt("reading", "outcome", no, &self.outcome))?;
        let conditions = Conditions {
            volts: self.volts,
            volts_typed: self.volts_typed,
            volts_accuracy: accuracy(self.volts_percent, self.volts_digits, self.volts_resolution),
            method: self.method,
            position: maybe::<Position>("position", no, &self.position)?,
            shell: maybe::<Shell>("shell", no, &self.shell)?,
            decoder: maybe::<DecoderState>("decoder", no, &self.decoder)?,
            warmth: maybe::<Warmth>("warmth", no, &self.warmth)?,
            instrument_id: self.instrument_id,
            remark: self.remark,
        };
        let kind = Kind::from_code(&self.kind)
            .ok_or_else(|| corrupt("reading", "kind", no, &self.kind))?;
        Ok(Reading {
            id: self.id,
            no,
            draft: Draft {
                kind,
                point_a: self.point_a,
                point_b: self.point_b,
                wheel_id: self.wheel_id,
                load_test_id: self.load_test_id,
                outcome,
                dimension: dimension_of(no, &self.dimension)?,
                typed: self.typed,
                steady: self.steady,
                accuracy: taken_with,
                conditions,
                taken_at: self.taken_at,
            },
            entered_at: self.entered_at,
            person: self.person_name.unwrap_or_default(),
            instrument: self.instrument_name.unwrap_or_default(),
            taken_back_at: self.taken_back_at,
            version: self.version,
        })
    }
}

macro_rules! select_readings {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT r.id AS "id: ReadingId", r.no, r.kind, r.point_a, r.point_b, r.wheel_id AS "wheel_id: WheelId",
                 r.load_test_id AS "load_test_id: LoadTestId", r.outcome, r.value, r.dimension, r.typed, r.steady AS "steady: bool",
                 r.percent, r.digits, r.resolution, r.volts, r.volts_typed, r.volts_percent,
                 r.volts_digits, r.volts_resolution, r.method, r.position, r.shell, r.decoder, r.warmth,
                 r.instrument_id AS "instrument_id: InstrumentId", r.remark, r.taken_at, r.entered_at, r.taken_back_at,
                 p.name AS "person_name?", i.name AS "instrument_name?", r.version
               FROM reading r LEFT JOIN person p ON p.id = r.person_id LEFT JOIN instrument i ON i.id = r.instrument_id "# + $rest
            $(, $arg)*
        )
    };
}

/// Every reading of a conversion that was not taken back, newest first. Gates are computed from these.
pub async fn list_valid(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Reading>, Error> {
    select_readings!(
        "WHERE r.conversion_id = ?1 AND r.taken_back_at IS NULL ORDER BY r.taken_at DESC, r.no DESC",
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// Every reading of a conversion, taken-back ones included, newest number first.
pub async fn all(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Reading>, Error> {
    page(conn, conversion, None, i64::MAX).await
}

/// One page of all readings, taken-back ones included, newest number first, below `below` where given.
pub async fn page(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    below: Option<i64>,
    limit: i64,
) -> Result<Vec<Reading>, Error> {
    let below = below.unwrap_or(i64::MAX);
    select_readings!(
        "WHERE r.conversion_id = ?1 AND r.no < ?2 ORDER BY r.no DESC LIMIT ?3",
        conversion,
        below,
        limit
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// The reading of that number.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    no: i64,
) -> Result<Option<Reading>, Error> {
    select_readings!("WHERE r.conversion_id = ?1 AND r.no = ?2", conversion, no)
        .fetch_optional(conn)
        .await?
        .map(Row::read)
        .transpose()
}

/// How many readings the notebook holds, taken-back ones not counted: per conversion.
pub async fn count_by_conversion(
    conn: &mut SqliteConnection,
) -> Result<Vec<(ConversionId, i64)>, Error> {
    let rows = sqlx::query!(
        r#"SELECT conversion_id AS "id: ConversionId", count(*) AS "n!: i64" FROM reading WHERE taken_back_at IS NULL GROUP BY conversion_id"#
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(|r| (r.id, r.n)).collect())
}

/// Writes a reading down with the next number of its conversion.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    draft: Draft,
) -> Result<Reading, Error> {
    let no = sqlx::query_scalar!(
        r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM reading WHERE conversion_id = ?1"#,
        conversion
    )
    .fetch_one(write.conn())
    .await?;
    let reading = Reading {
        id: ReadingId::new(),
        no,
        draft,
        entered_at: write.at,
        person: String::new(),
        instrument: String::new(),
        taken_back_at: None,
        version: 1,
    };
    insert(write, conversion, &reading).await?;
    note(write, conversion, &reading, Action::Added, None).await?;
    Ok(reading)
}

async fn insert(write: &mut Write, conversion: ConversionId, r: &Reading) -> Result<(), Error> {
    let (d, c) = (&r.draft, &r.draft.conditions);
    let (kind, outcome, value) = (d.kind.code(), d.outcome.code(), d.outcome.value());
    let dimension = dimension_code(d.dimension);
    let (percent, digits, resolution) = columns(d.accuracy);
    let (volts_percent, volts_digits, volts_resolution) = columns(c.volts_accuracy);
    let position = c.position.map_or("", Choice::code);
    let (shell, decoder) = (c.shell.map_or("", Choice::code), c.decoder.map_or("", Choice::code));
    let (warmth, person) = (c.warmth.map_or("", Choice::code), write.person);
    let motor = match d.kind {
        Kind::Free | Kind::Slipping | Kind::Held | Kind::Winding => {
            stock::store::motor_of(write.conn(), conversion, d.taken_at).await?
        }
        _ => None,
    };
    sqlx::query!(
        "INSERT INTO reading (id, conversion_id, no, kind, point_a, point_b, wheel_id, load_test_id, outcome, value, dimension,
           typed, steady, percent, digits, resolution, volts, volts_typed, method, position, shell, decoder, warmth, instrument_id,
           remark, taken_at, entered_at, person_id, volts_percent, volts_digits, volts_resolution, stock_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24,
           ?25, ?26, ?27, ?28, ?29, ?30, ?31, ?32)",
        r.id, conversion, r.no, kind, d.point_a, d.point_b, d.wheel_id, d.load_test_id, outcome, value, dimension,
        d.typed, d.steady, percent, digits, resolution, c.volts, c.volts_typed, c.method, position, shell, decoder, warmth,
        c.instrument_id, c.remark, d.taken_at, r.entered_at, person, volts_percent, volts_digits, volts_resolution, motor
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

/// The newest readings taken on a thing, whatever conversion it sat in then: № of that and the reading.
pub async fn of_stock(
    conn: &mut SqliteConnection,
    thing: StockId,
    limit: i64,
) -> Result<Vec<(i64, Reading)>, Error> {
    let readings = select_readings!(
        "WHERE r.stock_id = ?1 ORDER BY r.taken_at DESC, r.id DESC LIMIT ?2",
        thing,
        limit
    )
    .fetch_all(&mut *conn)
    .await?;
    let of = sqlx::query!(
        r#"SELECT r.id AS "id: ReadingId", c.no FROM reading r JOIN conversion c ON c.id = r.conversion_id WHERE r.stock_id = ?1"#,
        thing
    )
    .fetch_all(conn)
    .await?;
    readings
        .into_iter()
        .map(|row| {
            let no = of.iter().find(|o| o.id == row.id).map_or(0, |o| o.no);
            Ok((no, row.read()?))
        })
        .collect()
}

/// Says on which motor the readings of a conversion were taken since a moment.
pub async fn tie_to_motor(
    write: &mut Write,
    conversion: ConversionId,
    since: Millis,
    motor: Option<StockId>,
) -> Result<(), Error> {
    sqlx::query!(
        "UPDATE reading SET stock_id = ?3 WHERE conversion_id = ?1 AND taken_at >= ?2
           AND kind IN ('free', 'slipping', 'held', 'winding')",
        conversion,
        since,
        motor
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

/// Takes a reading back as a mistake; it stays readable and is no longer counted.
pub async fn take_back(
    write: &mut Write,
    conversion: ConversionId,
    old: &Reading,
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE reading SET taken_back_at = ?2, version = version + 1 WHERE id = ?1 AND taken_back_at IS NULL",
        old.id,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "reading")?;
    let new = Reading { taken_back_at: Some(at), version: old.version + 1, ..old.clone() };
    note(write, conversion, &new, Action::TakenBack, Some(old)).await
}

/// Counts a reading again that was taken back.
pub async fn restore(
    write: &mut Write,
    conversion: ConversionId,
    old: &Reading,
) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE reading SET taken_back_at = NULL, version = version + 1 WHERE id = ?1 AND taken_back_at IS NOT NULL",
        old.id
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "reading")?;
    let new = Reading { taken_back_at: None, version: old.version + 1, ..old.clone() };
    note(write, conversion, &new, Action::Restored, Some(old)).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    after: &Reading,
    action: Action,
    before: Option<&Reading>,
) -> Result<(), Error> {
    let change = Change {
        noun: "reading",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
