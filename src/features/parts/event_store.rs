//! Every query on `part_event`.

use super::model::{Event, Part, State};
use crate::choice::Choice;
use crate::db::{
    AlterationId, ConversionId, Error, Millis, PartEventId, PartId, Write, corrupt, expect_one,
};
use crate::features::alterations;
use sqlx::SqliteConnection;

struct Row {
    part_id: PartId,
    id: PartEventId,
    no: i64,
    state: String,
    conversion_id: Option<ConversionId>,
    place_no: Option<i64>,
    at: i64,
    person: Option<String>,
    remark: String,
    taken_back_at: Option<i64>,
    alteration_id: Option<AlterationId>,
}

impl Row {
    fn read(self) -> Result<(PartId, Event), Error> {
        let state = State::from_code(&self.state)
            .ok_or_else(|| corrupt("part_event", "state", self.no, &self.state))?;
        let event = Event {
            id: self.id,
            no: self.no,
            state,
            conversion_id: self.conversion_id,
            place_no: self.place_no,
            at: self.at,
            person: self.person.unwrap_or_default(),
            remark: self.remark,
            taken_back_at: self.taken_back_at,
            alteration_id: self.alteration_id,
        };
        Ok((self.part_id, event))
    }
}

macro_rules! select_events {
    ($rest:literal, $arg:expr) => {
        sqlx::query_as!(
            Row,
            r#"SELECT e.part_id AS "part_id: PartId", e.id AS "id: PartEventId", e.no, e.state,
                 e.conversion_id AS "conversion_id: ConversionId", c.no AS "place_no?", e.at, w.name AS "person?", e.remark,
                 e.taken_back_at, e.alteration_id AS "alteration_id: AlterationId"
               FROM part_event e LEFT JOIN conversion c ON c.id = e.conversion_id LEFT JOIN person w ON w.id = e.person_id "#
               + $rest + " ORDER BY e.part_id, e.no",
            $arg
        )
    };
}

/// The steps of one part, first one first.
pub(super) async fn of(conn: &mut SqliteConnection, part: PartId) -> Result<Vec<Event>, Error> {
    let rows = select_events!("WHERE e.part_id = ?1", part).fetch_all(conn).await?;
    rows.into_iter().map(|r| r.read().map(|(_, e)| e)).collect()
}

/// Puts their steps on the parts of a conversion or of the drawer.
pub(super) async fn put_on(
    conn: &mut SqliteConnection,
    conversion: Option<ConversionId>,
    parts: &mut [Part],
) -> Result<(), Error> {
    let rows = select_events!(
        "WHERE e.part_id IN (SELECT id FROM part WHERE conversion_id IS ?1 AND aside_at IS NULL)",
        conversion
    )
    .fetch_all(conn)
    .await?;
    for row in rows {
        let (part, event) = row.read()?;
        if let Some(p) = parts.iter_mut().find(|p| p.id == part) {
            p.events.push(event);
        }
    }
    Ok(())
}

/// Whether a part of the same kind was ever fitted in this conversion.
async fn was_fitted(
    write: &mut Write,
    conversion: ConversionId,
    part: &Part,
) -> Result<bool, Error> {
    let kind = part.draft.kind.code();
    let found = sqlx::query_scalar!(
        r#"SELECT EXISTS (SELECT 1 FROM part_event e JOIN part p ON p.id = e.part_id
             WHERE e.conversion_id = ?1 AND e.state = 'fitted' AND e.taken_back_at IS NULL AND p.kind = ?2) AS "n!: bool""#,
        conversion,
        kind
    )
    .fetch_one(write.conn())
    .await?;
    Ok(found)
}

/// Writes the alteration of the model that a step is: a part going in or coming out.
async fn alter(
    write: &mut Write,
    part: &Part,
    (state, at): (State, Millis),
) -> Result<Option<AlterationId>, Error> {
    let before = part.last_step().map(|e| e.state);
    // What dies where it sits alters nothing yet: taking its successor in does.
    let verb = match (before, state) {
        (Some(State::Fitted), State::Fitted) => return Ok(None),
        (_, State::Fitted) => "fitted",
        (Some(State::Fitted), State::Arrived) => "taken out",
        _ => return Ok(None),
    };
    let Some(place) = part.place.as_ref() else { return Ok(None) };
    let first = state == State::Fitted && !was_fitted(write, place.id, part).await?;
    let Some(kind) = part.draft.kind.alters(first) else { return Ok(None) };
    let what = format!("Part {}, {}: {verb}", part.no, part.draft.name);
    let written = alterations::store::add(write, place.id, kind, (&what, at)).await?;
    Ok(Some(written.id))
}

/// Writes the next step of a part, at the place it is in, and puts it on the part.
pub(super) async fn add(
    write: &mut Write,
    part: &mut Part,
    (state, at): (State, Millis),
    remark: &str,
) -> Result<(), Error> {
    let no = part.events.last().map_or(1, |e| e.no + 1);
    let alteration_id = alter(write, part, (state, at)).await?;
    let place = part.place.as_ref();
    let event = Event {
        id: PartEventId::new(),
        no,
        state,
        conversion_id: place.map(|c| c.id),
        place_no: place.map(|c| c.no),
        at,
        person: String::new(),
        remark: remark.to_owned(),
        taken_back_at: None,
        alteration_id,
    };
    let (code, entered_at, person) = (state.code(), write.at, write.person);
    sqlx::query!(
        "INSERT INTO part_event (id, part_id, no, state, conversion_id, at, entered_at, person_id, remark, alteration_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        event.id, part.id, no, code, event.conversion_id, at, entered_at, person, remark, alteration_id
    )
    .execute(write.conn())
    .await?;
    part.events.push(event);
    Ok(())
}

/// Marks a step as taken back, with the alteration it wrote unless somebody took that back already.
pub(super) async fn take_back(write: &mut Write, step: &Event) -> Result<(), Error> {
    let (at, id) = (write.at, step.id);
    let done = sqlx::query!(
        "UPDATE part_event SET taken_back_at = ?2 WHERE id = ?1 AND taken_back_at IS NULL",
        id,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "step")?;
    let (Some(conversion), Some(alteration)) = (step.conversion_id, step.alteration_id) else {
        return Ok(());
    };
    let written = alterations::store::list(write.conn(), conversion).await?;
    if written.iter().any(|a| a.id == alteration) {
        alterations::store::take_back(write, conversion, alteration).await?;
    }
    Ok(())
}
