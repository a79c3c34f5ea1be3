//! Every query on `conversion` and `stage_change`.

use super::model::{Conversion, Draft, Governing, Outcome, Stage};
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, Error, Millis, PersonId, StageChangeId, Write, corrupt,
    expect_one,
};
use sqlx::SqliteConnection;

/// A row as stored; codes are not yet checked.
struct Row {
    id: ConversionId,
    no: i64,
    title: String,
    scale: String,
    ratio: Option<f64>,
    gauge_um: Option<i64>,
    body: String,
    wheels: String,
    length_um: Option<i64>,
    drive: String,
    motor: String,
    pickup: String,
    frame: String,
    goal_sound: bool,
    goal_lights: bool,
    goal_store: bool,
    why: String,
    give_up_cents: Option<i64>,
    give_up_currency: String,
    give_up_minutes: Option<i64>,
    track_mv: Option<i64>,
    governing: String,
    governing_why: String,
    governing_at: Option<i64>,
    governing_name: Option<String>,
    stage: String,
    outcome: String,
    outcome_why: String,
    person_id: Option<PersonId>,
    person_name: Option<String>,
    started_at: i64,
    stage_at: i64,
    version: i64,
}

/// A code of the row as its choice, or an error that names the place.
fn code<T: Choice>(column: &'static str, no: i64, code: &str) -> Result<T, Error> {
    T::from_code(code).ok_or_else(|| corrupt("conversion", column, no, code))
}

impl Row {
    fn read(self) -> Result<Conversion, Error> {
        let no = self.no;
        let draft = Draft {
            title: self.title,
            scale: self.scale,
            ratio: self.ratio,
            gauge_um: self.gauge_um,
            body: code("body", no, &self.body)?,
            wheels: self.wheels,
            length_um: self.length_um,
            drive: code("drive", no, &self.drive)?,
            motor: code("motor", no, &self.motor)?,
            pickup: code("pickup", no, &self.pickup)?,
            frame: code("frame", no, &self.frame)?,
            goal_sound: self.goal_sound,
            goal_lights: self.goal_lights,
            goal_store: self.goal_store,
            why: self.why,
            give_up_cents: self.give_up_cents,
            give_up_currency: self.give_up_currency,
            give_up_minutes: self.give_up_minutes,
            track_mv: self.track_mv,
            person_id: self.person_id,
            started_at: self.started_at,
        };
        Ok(Conversion {
            id: self.id,
            no,
            draft,
            person: self.person_name.unwrap_or_default(),
            governing: code("governing", no, &self.governing)?,
            governing_why: self.governing_why,
            governing_by: self.governing_name.unwrap_or_default(),
            governing_at: self.governing_at,
            stage: code("stage", no, &self.stage)?,
            stage_at: self.stage_at,
            outcome: code("outcome", no, &self.outcome)?,
            outcome_why: self.outcome_why,
            version: self.version,
        })
    }
}

macro_rules! select_conversions {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT c.id AS "id: ConversionId", c.no, c.title, c.scale, c.ratio, c.gauge_um, c.body, c.wheels, c.length_um,
                 c.drive, c.motor, c.pickup, c.frame, c.goal_sound AS "goal_sound: bool", c.goal_lights AS "goal_lights: bool",
                 c.goal_store AS "goal_store: bool", c.why, c.give_up_cents, c.give_up_currency, c.give_up_minutes, c.track_mv,
                 c.governing, c.governing_why, c.governing_at, g.name AS "governing_name?", c.stage, c.outcome, c.outcome_why,
                 c.person_id AS "person_id: PersonId", p.name AS "person_name?", c.started_at, c.stage_at, c.version
               FROM conversion c LEFT JOIN person p ON p.id = c.person_id LEFT JOIN person g ON g.id = c.governing_by "# + $rest
            $(, $arg)*
        )
    };
}

/// The conversion of that number, unless put aside.
pub async fn find(conn: &mut SqliteConnection, no: i64) -> Result<Option<Conversion>, Error> {
    select_conversions!("WHERE c.no = ?1 AND c.aside_at IS NULL", no)
        .fetch_optional(conn)
        .await?
        .map(Row::read)
        .transpose()
}

/// All conversions in use, newest number first.
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Conversion>, Error> {
    select_conversions!("WHERE c.aside_at IS NULL ORDER BY c.no DESC")
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// Conversions put aside, newest first.
pub async fn list_aside(conn: &mut SqliteConnection) -> Result<Vec<Conversion>, Error> {
    select_conversions!("WHERE c.aside_at IS NOT NULL ORDER BY c.aside_at DESC")
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// Adds a conversion with the next number.
pub async fn add(write: &mut Write, draft: Draft) -> Result<Conversion, Error> {
    let no =
        sqlx::query_scalar!(r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM conversion"#)
            .fetch_one(write.conn())
            .await?;
    let conversion = Conversion {
        id: ConversionId::new(),
        no,
        person: String::new(),
        governing: Governing::Held,
        governing_why: String::new(),
        governing_by: String::new(),
        governing_at: None,
        stage: Stage::Survey,
        stage_at: draft.started_at,
        outcome: Outcome::InWork,
        outcome_why: String::new(),
        version: 1,
        draft,
    };
    insert(write, &conversion).await?;
    note(write, &conversion, Action::Added, None).await?;
    Ok(conversion)
}

async fn insert(write: &mut Write, c: &Conversion) -> Result<(), Error> {
    let d = &c.draft;
    let (body, drive, motor) = (d.body.code(), d.drive.code(), d.motor.code());
    let (pickup, frame, at) = (d.pickup.code(), d.frame.code(), write.at);
    sqlx::query!(
        "INSERT INTO conversion (id, no, title, scale, ratio, gauge_um, body, wheels, length_um, drive, motor, pickup, frame,
           goal_sound, goal_lights, goal_store, why, give_up_cents, give_up_currency, give_up_minutes, track_mv, person_id,
           started_at, stage_at, created_at)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?23, ?24)",
        c.id, c.no, d.title, d.scale, d.ratio, d.gauge_um, body, d.wheels, d.length_um, drive, motor, pickup, frame,
        d.goal_sound, d.goal_lights, d.goal_store, d.why, d.give_up_cents, d.give_up_currency, d.give_up_minutes, d.track_mv,
        d.person_id, d.started_at, at
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

async fn note(
    write: &mut Write,
    c: &Conversion,
    action: Action,
    before: Option<&Conversion>,
) -> Result<(), Error> {
    let change = Change {
        noun: "conversion",
        id: c.id.0,
        conversion: Some(c.id),
        action,
        before,
        after: Some(c),
    };
    write.note(change).await
}

/// Changes what the form says, if nobody else did since `version`.
pub async fn change(
    write: &mut Write,
    old: &Conversion,
    version: i64,
    draft: Draft,
) -> Result<(), Error> {
    let d = &draft;
    let (body, drive, motor) = (d.body.code(), d.drive.code(), d.motor.code());
    let (pickup, frame) = (d.pickup.code(), d.frame.code());
    let done = sqlx::query!(
        "UPDATE conversion SET title = ?3, scale = ?4, ratio = ?5, gauge_um = ?6, body = ?7, wheels = ?8, length_um = ?9,
           drive = ?10, motor = ?11, pickup = ?12, frame = ?13, goal_sound = ?14, goal_lights = ?15, goal_store = ?16, why = ?17,
           give_up_cents = ?18, give_up_currency = ?19, give_up_minutes = ?20, track_mv = ?21, person_id = ?22, started_at = ?23,
           version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, d.title, d.scale, d.ratio, d.gauge_um, body, d.wheels, d.length_um, drive, motor, pickup, frame,
        d.goal_sound, d.goal_lights, d.goal_store, d.why, d.give_up_cents, d.give_up_currency, d.give_up_minutes, d.track_mv,
        d.person_id, d.started_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "conversion")?;
    let new = Conversion { draft, version: version + 1, ..old.clone() };
    note(write, &new, Action::Changed, Some(old)).await
}

/// Moves it to a stage or gives it an outcome, with the reason.
pub async fn move_to(
    write: &mut Write,
    old: &Conversion,
    version: i64,
    (stage, outcome): (Stage, Outcome),
    (why, at): (&str, Millis),
) -> Result<(), Error> {
    let (stage_code, outcome_code) = (stage.code(), outcome.code());
    let done = sqlx::query!(
        "UPDATE conversion SET stage = ?3, outcome = ?4, outcome_why = ?5, stage_at = ?6, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, stage_code, outcome_code, why, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "conversion")?;
    let (id, person) = (StageChangeId::new(), write.person);
    sqlx::query!(
        "INSERT INTO stage_change (id, conversion_id, stage, outcome, why, at, person_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        id, old.id, stage_code, outcome_code, why, at, person
    )
    .execute(write.conn())
    .await?;
    let new = Conversion {
        stage,
        outcome,
        outcome_why: why.to_owned(),
        stage_at: at,
        version: version + 1,
        ..old.clone()
    };
    note(write, &new, Action::Changed, Some(old)).await
}

/// Signs which load case governs. `Held` needs no reason and removes the signature.
pub async fn sign_governing(
    write: &mut Write,
    old: &Conversion,
    version: i64,
    governing: Governing,
    why: &str,
) -> Result<(), Error> {
    let signed = governing == Governing::Slipping;
    let (code, person) = (governing.code(), if signed { write.person } else { None });
    let at = signed.then_some(write.at);
    let done = sqlx::query!(
        "UPDATE conversion SET governing = ?3, governing_why = ?4, governing_by = ?5, governing_at = ?6, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, code, why, person, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "conversion")?;
    let new = Conversion {
        governing,
        governing_why: why.to_owned(),
        governing_at: at,
        version: version + 1,
        ..old.clone()
    };
    note(write, &new, Action::Changed, Some(old)).await
}

/// Puts a conversion aside, with everything that hangs on it.
pub async fn put_aside(write: &mut Write, old: &Conversion, version: i64) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE conversion SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "conversion")?;
    note(write, &Conversion { version: version + 1, ..old.clone() }, Action::PutAside, Some(old))
        .await
}

/// Brings a conversion back.
pub async fn restore(write: &mut Write, no: i64) -> Result<(), Error> {
    let old = select_conversions!("WHERE c.no = ?1 AND c.aside_at IS NOT NULL", no)
        .fetch_optional(write.conn())
        .await?
        .ok_or(Error::NotFound("conversion put aside"))?
        .read()?;
    sqlx::query!(
        "UPDATE conversion SET aside_at = NULL, version = version + 1 WHERE id = ?1",
        old.id
    )
    .execute(write.conn())
    .await?;
    let new = Conversion { version: old.version + 1, ..old.clone() };
    note(write, &new, Action::Restored, Some(&old)).await
}
