//! Every query on `part` and `part_rating`; the steps are in `event_store`.

use super::event_store;
use super::model::{Draft, Kind, Part, Place, Rating, Size, State};
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, Error, Millis, PartId, PartRatingId, SupplierId, Write, corrupt,
    expect_one,
};
use crate::features::decoders::model::Basis;
use sqlx::SqliteConnection;

struct Row {
    id: PartId,
    no: i64,
    conversion_id: Option<ConversionId>,
    conversion_no: Option<i64>,
    title: Option<String>,
    name: String,
    kind: String,
    quantity: i64,
    state: String,
    supplier_id: Option<SupplierId>,
    supplier: Option<String>,
    instead_of: Option<PartId>,
    blocks: String,
    promised_at: Option<i64>,
    price_cents: Option<i64>,
    postage_cents: Option<i64>,
    currency: String,
    length_um: Option<i64>,
    width_um: Option<i64>,
    height_um: Option<i64>,
    diameter_um: Option<i64>,
    size_basis: String,
    mass_mg: Option<i64>,
    mass_basis: String,
    remark: String,
    version: i64,
    aside_at: Option<i64>,
}

/// A stored code as its choice, or an error that names the place.
fn code<T: Choice>(column: &'static str, no: i64, code: &str) -> Result<T, Error> {
    T::from_code(code).ok_or_else(|| corrupt("part", column, no, code))
}

/// A stored code that may be empty.
fn maybe<T: Choice>(column: &'static str, no: i64, text: &str) -> Result<Option<T>, Error> {
    if text.is_empty() { Ok(None) } else { code(column, no, text).map(Some) }
}

impl Row {
    fn read(self) -> Result<Part, Error> {
        let no = self.no;
        let place = match (self.conversion_id, self.conversion_no) {
            (Some(id), Some(no)) => Some(Place { id, no, title: self.title.unwrap_or_default() }),
            _ => None,
        };
        let size = Size {
            length_um: self.length_um,
            width_um: self.width_um,
            height_um: self.height_um,
            diameter_um: self.diameter_um,
            size_basis: maybe("size_basis", no, &self.size_basis)?,
        };
        let draft = Draft {
            name: self.name,
            kind: code::<Kind>("kind", no, &self.kind)?,
            quantity: self.quantity,
            supplier_id: self.supplier_id,
            instead_of: self.instead_of,
            blocks: maybe("blocks", no, &self.blocks)?,
            promised_at: self.promised_at,
            price_cents: self.price_cents,
            postage_cents: self.postage_cents,
            currency: self.currency,
            size,
            mass_mg: self.mass_mg,
            mass_basis: maybe("mass_basis", no, &self.mass_basis)?,
            ratings: Vec::new(),
            remark: self.remark,
        };
        Ok(Part {
            id: self.id,
            no,
            place,
            draft,
            state: code::<State>("state", no, &self.state)?,
            supplier: self.supplier.unwrap_or_default(),
            events: Vec::new(),
            aside_at: self.aside_at,
            version: self.version,
        })
    }
}

macro_rules! select_parts {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT p.id AS "id: PartId", p.no, p.conversion_id AS "conversion_id: ConversionId", c.no AS "conversion_no?",
                 c.title AS "title?", p.name, p.kind, p.quantity, p.state, p.supplier_id AS "supplier_id: SupplierId",
                 s.name AS "supplier?", p.instead_of AS "instead_of: PartId", p.blocks, p.promised_at, p.price_cents,
                 p.postage_cents, p.currency, p.length_um, p.width_um, p.height_um, p.diameter_um, p.size_basis, p.mass_mg,
                 p.mass_basis, p.remark, p.version, p.aside_at
               FROM part p LEFT JOIN conversion c ON c.id = p.conversion_id LEFT JOIN supplier s ON s.id = p.supplier_id "# + $rest
            $(, $arg)*
        )
    };
}

struct RatingRow {
    part_id: PartId,
    id: PartRatingId,
    name: String,
    value: f64,
    typed: String,
    unit: String,
    basis: String,
}

macro_rules! select_ratings {
    ($rest:literal, $arg:expr) => {
        sqlx::query_as!(
            RatingRow,
            r#"SELECT r.part_id AS "part_id: PartId", r.id AS "id: PartRatingId", r.name, r.value, r.typed, r.unit, r.basis
               FROM part_rating r "# + $rest + " ORDER BY r.part_id, r.position",
            $arg
        )
    };
}

fn put_ratings(parts: &mut [Part], rows: Vec<RatingRow>) -> Result<(), Error> {
    for r in rows {
        let Some(part) = parts.iter_mut().find(|p| p.id == r.part_id) else { continue };
        let basis = Basis::from_code(&r.basis)
            .ok_or_else(|| corrupt("part_rating", "basis", part.no, &r.basis))?;
        let (typed, unit) = (r.typed, r.unit);
        let rating = Rating { id: r.id, name: r.name, value: r.value, typed, unit, basis };
        part.draft.ratings.push(rating);
    }
    Ok(())
}

/// Parts of a conversion, or of the drawer, by number.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: Option<ConversionId>,
) -> Result<Vec<Part>, Error> {
    let mut parts = select_parts!(
        "WHERE p.conversion_id IS ?1 AND p.aside_at IS NULL ORDER BY p.no",
        conversion
    )
    .fetch_all(&mut *conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect::<Result<Vec<_>, _>>()?;
    let ratings = select_ratings!(
        "WHERE r.part_id IN (SELECT id FROM part WHERE conversion_id IS ?1)",
        conversion
    )
    .fetch_all(&mut *conn)
    .await?;
    put_ratings(&mut parts, ratings)?;
    event_store::put_on(conn, conversion, &mut parts).await?;
    Ok(parts)
}

/// Parts put aside, newest first, without their steps and ratings.
pub async fn list_aside(conn: &mut SqliteConnection) -> Result<Vec<Part>, Error> {
    select_parts!("WHERE p.aside_at IS NOT NULL ORDER BY p.aside_at DESC")
        .fetch_all(conn)
        .await?
        .into_iter()
        .map(Row::read)
        .collect()
}

/// The part of that number, put aside or not.
pub async fn find(conn: &mut SqliteConnection, no: i64) -> Result<Option<Part>, Error> {
    let row = select_parts!("WHERE p.no = ?1", no).fetch_optional(&mut *conn).await?;
    let Some(row) = row else { return Ok(None) };
    let mut parts = [row.read()?];
    let id = parts[0].id;
    let ratings = select_ratings!("WHERE r.part_id = ?1", id).fetch_all(&mut *conn).await?;
    put_ratings(&mut parts, ratings)?;
    let [mut part] = parts;
    part.events = event_store::of(conn, id).await?;
    Ok(Some(part))
}

/// Whether another part stands instead of this one.
pub async fn has_stand_in(conn: &mut SqliteConnection, part: PartId) -> Result<bool, Error> {
    let found = sqlx::query_scalar!(
        r#"SELECT EXISTS (SELECT 1 FROM part WHERE instead_of = ?1 AND aside_at IS NULL) AS "n!: bool""#,
        part
    )
    .fetch_one(conn)
    .await?;
    Ok(found)
}

/// Writes a part down with the next number, and the steps it took so far, first one first. No step given:
/// it is wanted from now on.
pub async fn add(
    write: &mut Write,
    place: Option<Place>,
    draft: Draft,
    steps: &[(State, Millis)],
) -> Result<Part, Error> {
    let no = sqlx::query_scalar!(r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM part"#)
        .fetch_one(write.conn())
        .await?;
    let wanted = [(State::Wanted, write.at)];
    let steps = if steps.is_empty() { &wanted[..] } else { steps };
    let mut part = Part {
        id: PartId::new(),
        no,
        place,
        draft,
        state: steps.last().map_or(State::Wanted, |(s, _)| *s),
        supplier: String::new(),
        events: Vec::new(),
        aside_at: None,
        version: 1,
    };
    insert(write, &part).await?;
    put_rating_rows(write, &part).await?;
    for (state, at) in steps {
        event_store::add(write, &mut part, (*state, *at), "").await?;
    }
    note(write, &part, Action::Added, None).await?;
    Ok(part)
}

async fn insert(write: &mut Write, p: &Part) -> Result<(), Error> {
    let (d, s, at) = (&p.draft, &p.draft.size, write.at);
    let (kind, state, place) = (d.kind.code(), p.state.code(), p.place.as_ref().map(|c| c.id));
    let (blocks, size_basis) =
        (d.blocks.map_or("", Choice::code), s.size_basis.map_or("", Choice::code));
    let mass_basis = d.mass_basis.map_or("", Choice::code);
    sqlx::query!(
        "INSERT INTO part (id, no, conversion_id, name, kind, quantity, state, supplier_id, instead_of, blocks, promised_at,
           price_cents, postage_cents, currency, length_um, width_um, height_um, diameter_um, size_basis, mass_mg, mass_basis,
           remark, created_at)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23)",
        p.id, p.no, place, d.name, kind, d.quantity, state, d.supplier_id, d.instead_of, blocks, d.promised_at,
        d.price_cents, d.postage_cents, d.currency, s.length_um, s.width_um, s.height_um, s.diameter_um, size_basis, d.mass_mg,
        mass_basis, d.remark, at
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

async fn put_rating_rows(write: &mut Write, p: &Part) -> Result<(), Error> {
    sqlx::query!("DELETE FROM part_rating WHERE part_id = ?1", p.id).execute(write.conn()).await?;
    for (r, position) in p.draft.ratings.iter().zip(1_i64..) {
        let basis = r.basis.code();
        sqlx::query!(
            "INSERT INTO part_rating (id, part_id, position, name, value, typed, unit, basis)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            r.id,
            p.id,
            position,
            r.name,
            r.value,
            r.typed,
            r.unit,
            basis
        )
        .execute(write.conn())
        .await?;
    }
    Ok(())
}

/// Changes what the form says, if nobody else did since `version`.
pub async fn change(
    write: &mut Write,
    (old, version): (&Part, i64),
    draft: Draft,
) -> Result<(), Error> {
    let new = Part { draft, version: version + 1, ..old.clone() };
    let (d, s) = (&new.draft, &new.draft.size);
    let (kind, blocks) = (d.kind.code(), d.blocks.map_or("", Choice::code));
    let size_basis = s.size_basis.map_or("", Choice::code);
    let mass_basis = d.mass_basis.map_or("", Choice::code);
    let done = sqlx::query!(
        "UPDATE part SET name = ?3, kind = ?4, quantity = ?5, supplier_id = ?6, instead_of = ?7, blocks = ?8, promised_at = ?9,
           price_cents = ?10, postage_cents = ?11, currency = ?12, length_um = ?13, width_um = ?14, height_um = ?15,
           diameter_um = ?16, size_basis = ?17, mass_mg = ?18, mass_basis = ?19, remark = ?20, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, d.name, kind, d.quantity, d.supplier_id, d.instead_of, blocks, d.promised_at,
        d.price_cents, d.postage_cents, d.currency, s.length_um, s.width_um, s.height_um,
        s.diameter_um, size_basis, d.mass_mg, mass_basis, d.remark
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "part")?;
    put_rating_rows(write, &new).await?;
    note(write, &new, Action::Changed, Some(old)).await
}

/// Takes a part one step on, or to another place, with its day and remark.
pub async fn move_on(
    write: &mut Write,
    (old, version): (&Part, i64),
    (state, place): (State, Option<Place>),
    (at, remark): (Millis, &str),
) -> Result<Part, Error> {
    let mut new = Part { state, place, version: version + 1, ..old.clone() };
    set(write, (old.id, version), &new).await?;
    event_store::add(write, &mut new, (state, at), remark).await?;
    note(write, &new, Action::Changed, Some(old)).await?;
    Ok(new)
}

/// Takes the newest step back as a mistake; the part is again as the step before left it.
pub async fn take_back(write: &mut Write, (old, version): (&Part, i64)) -> Result<(), Error> {
    let (Some(last), Some(before)) = (old.last_step(), old.step_before()) else {
        return Err(Error::NotFound("step to take back"));
    };
    let place = match (before.conversion_id, before.place_no) {
        (Some(id), Some(no)) => Some(Place { id, no, title: String::new() }),
        _ => None,
    };
    let mut new = Part { state: before.state, place, version: version + 1, ..old.clone() };
    set(write, (old.id, version), &new).await?;
    event_store::take_back(write, last).await?;
    let at = write.at;
    for e in new.events.iter_mut().filter(|e| e.id == last.id) {
        e.taken_back_at = Some(at);
    }
    note(write, &new, Action::TakenBack, Some(old)).await
}

/// Writes state and place of a part.
async fn set(write: &mut Write, (id, version): (PartId, i64), new: &Part) -> Result<(), Error> {
    let (state, place) = (new.state.code(), new.place.as_ref().map(|c| c.id));
    let done = sqlx::query!(
        "UPDATE part SET state = ?3, conversion_id = ?4, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        id, version, state, place
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "part")
}

/// Puts a part aside, or brings it back.
pub async fn set_aside(
    write: &mut Write,
    (old, version): (&Part, i64),
    aside: bool,
) -> Result<(), Error> {
    let aside_at = aside.then_some(write.at);
    let done = sqlx::query!(
        "UPDATE part SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND (aside_at IS NULL) = (?3 IS NOT NULL)",
        old.id, version, aside_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "part")?;
    let new = Part { aside_at, version: version + 1, ..old.clone() };
    let action = if aside { Action::PutAside } else { Action::Restored };
    note(write, &new, action, Some(old)).await
}

async fn note(
    write: &mut Write,
    after: &Part,
    action: Action,
    before: Option<&Part>,
) -> Result<(), Error> {
    let place = after.place.as_ref().or(before.and_then(|b| b.place.as_ref()));
    let change = Change {
        noun: "part",
        id: after.id.0,
        conversion: place.map(|c| c.id),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
