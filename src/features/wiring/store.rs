//! Every query on `wire`.

use super::gauge::Gauge;
use super::model::{Draft, End, Joint, Place, State, Wire};
use super::standard::{Colour, Terminal};
use crate::choice::Choice;
use crate::db::{Action, Change, ConversionId, Error, Millis, WireId, Write, corrupt, expect_one};
use sqlx::SqliteConnection;

struct Row {
    id: WireId,
    no: i64,
    terminal: String,
    from_place: String,
    from_name: String,
    to_place: String,
    to_name: String,
    colour: String,
    awg: Option<i64>,
    area_um2: Option<i64>,
    length_um: Option<i64>,
    sleeved: bool,
    joint: String,
    why: String,
    state: String,
    altered_at: Option<i64>,
    proved_at: Option<i64>,
    person: Option<String>,
    aside_at: Option<i64>,
    version: i64,
}

impl Row {
    fn read(self) -> Result<Wire, Error> {
        let no = self.no;
        let optional = |code: &str| if code.is_empty() { None } else { Some(code.to_owned()) };
        let from = optional(&self.from_place)
            .map(|c| {
                Ok::<_, Error>(End { place: code(no, "from_place", &c)?, name: self.from_name })
            })
            .transpose()?;
        let colour =
            optional(&self.colour).map(|c| code::<Colour>(no, "colour", &c)).transpose()?;
        let draft = Draft {
            terminal: code::<Terminal>(no, "terminal", &self.terminal)?,
            from,
            to: End { place: code::<Place>(no, "to_place", &self.to_place)?, name: self.to_name },
            colour,
            gauge: self.awg.map(Gauge::Awg).or(self.area_um2.map(Gauge::Area)),
            length_um: self.length_um,
            sleeved: self.sleeved,
            joint: code::<Joint>(no, "joint", &self.joint)?,
            why: self.why,
            state: code::<State>(no, "state", &self.state)?,
        };
        Ok(Wire {
            id: self.id,
            no,
            draft,
            altered_at: self.altered_at,
            proved_at: self.proved_at,
            person: self.person.unwrap_or_default(),
            aside_at: self.aside_at,
            version: self.version,
        })
    }
}

/// A code as kept.
fn code<T: Choice>(no: i64, column: &'static str, text: &str) -> Result<T, Error> {
    T::from_code(text).ok_or_else(|| corrupt("wire", column, no, text))
}

macro_rules! select_wires {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT w.id AS "id: WireId", w.no, w.terminal, w.from_place, w.from_name, w.to_place, w.to_name, w.colour,
                 w.awg, w.area_um2, w.length_um, w.sleeved AS "sleeved: bool", w.joint, w.why, w.state, w.altered_at,
                 w.proved_at, p.name AS "person?", w.aside_at, w.version
               FROM wire w LEFT JOIN person p ON p.id = w.person_id "# + $rest
            $(, $arg)*
        )
    };
}

/// The wires of a conversion by number, those taken out among them, those put aside not.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Wire>, Error> {
    select_wires!("WHERE w.conversion_id = ?1 AND w.aside_at IS NULL ORDER BY w.no", conversion)
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// The wires put aside, newest first.
pub async fn list_aside(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Wire>, Error> {
    select_wires!(
        "WHERE w.conversion_id = ?1 AND w.aside_at IS NOT NULL ORDER BY w.aside_at DESC, w.no",
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// The wire of that number, put aside or not.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    no: i64,
) -> Result<Option<Wire>, Error> {
    select_wires!("WHERE w.conversion_id = ?1 AND w.no = ?2", conversion, no)
        .fetch_optional(conn)
        .await?
        .map(Row::read)
        .transpose()
}

/// The columns of a draft.
struct Columns {
    terminal: &'static str,
    from_place: &'static str,
    from_name: String,
    to_place: &'static str,
    colour: &'static str,
    awg: Option<i64>,
    area_um2: Option<i64>,
    joint: &'static str,
    state: &'static str,
}

fn columns(d: &Draft) -> Columns {
    let (awg, area_um2) = match d.gauge {
        Some(Gauge::Awg(n)) => (Some(n), None),
        Some(Gauge::Area(a)) => (None, Some(a)),
        None => (None, None),
    };
    Columns {
        terminal: d.terminal.code(),
        from_place: d.from.as_ref().map_or("", |e| e.place.code()),
        from_name: d.from.as_ref().map(|e| e.name.clone()).unwrap_or_default(),
        to_place: d.to.place.code(),
        colour: d.colour.map_or("", Choice::code),
        awg,
        area_um2,
        joint: d.joint.code(),
        state: d.state.code(),
    }
}

/// Writes a wire down with the next number. `at`: when it was put in or proved.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    draft: Draft,
    at: Millis,
) -> Result<Wire, Error> {
    let no = sqlx::query_scalar!(
        r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM wire WHERE conversion_id = ?1"#,
        conversion
    )
    .fetch_one(write.conn())
    .await?;
    let wire = Wire::new(draft, no, at);
    let (d, c, person, now) = (&wire.draft, columns(&wire.draft), write.person, write.at);
    sqlx::query!(
        "INSERT INTO wire (id, conversion_id, no, terminal, from_place, from_name, to_place, to_name, colour, awg, area_um2,
           length_um, sleeved, joint, why, state, altered_at, proved_at, person_id, created_at)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20)",
        wire.id, conversion, no, c.terminal, c.from_place, c.from_name, c.to_place, d.to.name, c.colour, c.awg,
        c.area_um2, d.length_um, d.sleeved, c.joint, d.why, c.state, wire.altered_at, wire.proved_at, person, now
    )
    .execute(write.conn())
    .await?;
    note(write, conversion, &wire, Action::Added, None).await?;
    Ok(wire)
}

/// Writes a wire as it is now, if nobody else changed it since `version`.
pub async fn change(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Wire, i64),
    new: Wire,
) -> Result<(), Error> {
    let (d, c, person) = (&new.draft, columns(&new.draft), write.person);
    let done = sqlx::query!(
        "UPDATE wire SET terminal = ?3, from_place = ?4, from_name = ?5, to_place = ?6, to_name = ?7, colour = ?8, awg = ?9,
           area_um2 = ?10, length_um = ?11, sleeved = ?12, joint = ?13, why = ?14, state = ?15, altered_at = ?16,
           proved_at = ?17, person_id = ?18, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, c.terminal, c.from_place, c.from_name, c.to_place, d.to.name, c.colour, c.awg, c.area_um2,
        d.length_um, d.sleeved, c.joint, d.why, c.state, new.altered_at, new.proved_at, person
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "wire")?;
    note(write, conversion, &new, Action::Changed, Some(old)).await
}

/// Puts a wire aside as written by mistake, or brings it back.
pub async fn set_aside(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Wire, i64),
    aside: bool,
) -> Result<(), Error> {
    let aside_at = aside.then_some(write.at);
    let done = sqlx::query!(
        "UPDATE wire SET aside_at = ?3, version = version + 1
         WHERE id = ?1 AND version = ?2 AND (aside_at IS NULL) = (?3 IS NOT NULL)",
        old.id,
        version,
        aside_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "wire")?;
    let new = Wire { aside_at, version: version + 1, ..old.clone() };
    let action = if aside { Action::PutAside } else { Action::Restored };
    note(write, conversion, &new, action, Some(old)).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    after: &Wire,
    action: Action,
    before: Option<&Wire>,
) -> Result<(), Error> {
    let change = Change {
        noun: "wire",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
