//! Every query on `review`; causes, evidence, lost parts and snags are in `child_store`.

use super::catalogue::Symptom;
use super::child_store::{self, Scope};
use super::model::{Draft, Happened, Left, Review};
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, Error, Millis, ReviewId, Write, corrupt, expect_one,
};
use crate::features::notes::about::About;
use sqlx::SqliteConnection;
use uuid::Uuid;

struct Row {
    id: ReviewId,
    no: i64,
    conversion_id: ConversionId,
    symptom: String,
    words: String,
    at: i64,
    changed_kind: String,
    changed_id: Option<Uuid>,
    changed_no: i64,
    changed_label: String,
    changed_at: Option<i64>,
    changed_words: String,
    minutes: Option<i64>,
    cost_cents: Option<i64>,
    currency: String,
    lesson: String,
    written_at: i64,
    person: Option<String>,
    closed_at: Option<i64>,
    closed_name: Option<String>,
    version: i64,
    aside_at: Option<i64>,
}

impl Row {
    fn read(self) -> Result<Review, Error> {
        let symptom = Symptom::from_code(&self.symptom)
            .ok_or_else(|| corrupt("review", "symptom", self.no, &self.symptom))?;
        let about = About::read(&self.changed_kind, self.changed_id, self.changed_no);
        let changed = about.zip(self.changed_at).map(|(about, at)| Happened {
            about,
            words: self.changed_label,
            at,
        });
        let draft = Draft {
            symptom,
            words: self.words,
            at: self.at,
            changed,
            changed_words: self.changed_words,
            minutes: self.minutes,
            cost_cents: self.cost_cents,
            currency: self.currency,
        };
        Ok(Review {
            id: self.id,
            no: self.no,
            conversion_id: self.conversion_id,
            draft,
            causes: Vec::new(),
            lost: Vec::new(),
            snags: Vec::new(),
            lesson: self.lesson,
            written_at: self.written_at,
            person: self.person.unwrap_or_default(),
            closed_at: self.closed_at,
            closed_by: self.closed_name.unwrap_or_default(),
            aside_at: self.aside_at,
            version: self.version,
        })
    }
}

macro_rules! select_reviews {
    ($rest:literal $(, $arg:expr)*) => {
        sqlx::query_as!(
            Row,
            r#"SELECT r.id AS "id: ReviewId", r.no, r.conversion_id AS "conversion_id: ConversionId", r.symptom, r.words, r.at,
                 r.changed_kind, r.changed_id AS "changed_id: Uuid", r.changed_no, r.changed_label, r.changed_at,
                 r.changed_words, r.minutes, r.cost_cents, r.currency, r.lesson, r.written_at, p.name AS "person?",
                 r.closed_at, c.name AS "closed_name?", r.version, r.aside_at
               FROM review r LEFT JOIN person p ON p.id = r.person_id LEFT JOIN person c ON c.id = r.closed_by "# + $rest
            $(, $arg)*
        )
    };
}

async fn whole(
    conn: &mut SqliteConnection,
    scope: Scope,
    rows: Vec<Row>,
) -> Result<Vec<Review>, Error> {
    let mut reviews = rows.into_iter().map(Row::read).collect::<Result<Vec<_>, _>>()?;
    child_store::put_on(conn, scope, &mut reviews).await?;
    Ok(reviews)
}

/// The reviews of a conversion, newest number first; those put aside left out.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Review>, Error> {
    let rows = select_reviews!(
        "WHERE r.conversion_id = ?1 AND r.aside_at IS NULL ORDER BY r.no DESC",
        conversion
    )
    .fetch_all(&mut *conn)
    .await?;
    whole(conn, Scope::one(conversion), rows).await
}

/// The reviews of a conversion without what hangs on them, newest number first; those put aside left out.
pub async fn list_bare(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Review>, Error> {
    let rows = select_reviews!(
        "WHERE r.conversion_id = ?1 AND r.aside_at IS NULL ORDER BY r.no DESC",
        conversion
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Row::read).collect()
}

/// The reviews of all conversions, newest number first; those put aside left out.
pub async fn all(conn: &mut SqliteConnection) -> Result<Vec<Review>, Error> {
    let rows = select_reviews!("WHERE r.aside_at IS NULL ORDER BY r.no DESC")
        .fetch_all(&mut *conn)
        .await?;
    whole(conn, Scope::all(), rows).await
}

/// Reviews of a conversion put aside, newest first.
pub async fn list_aside(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Review>, Error> {
    let rows = select_reviews!(
        "WHERE r.conversion_id = ?1 AND r.aside_at IS NOT NULL ORDER BY r.aside_at DESC",
        conversion
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter().map(Row::read).collect()
}

/// The review of that number in a conversion, put aside or not.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
    no: i64,
) -> Result<Option<Review>, Error> {
    let rows = select_reviews!("WHERE r.conversion_id = ?1 AND r.no = ?2", conversion, no)
        .fetch_all(&mut *conn)
        .await?;
    Ok(whole(conn, Scope::one(conversion), rows).await?.pop())
}

/// Writes a review down with the next number, and the snags it came from.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    draft: Draft,
    snags: Vec<Left>,
) -> Result<Review, Error> {
    let no = sqlx::query_scalar!(r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM review"#)
        .fetch_one(write.conn())
        .await?;
    let review = Review {
        id: ReviewId::new(),
        no,
        conversion_id: conversion,
        draft,
        causes: Vec::new(),
        lost: Vec::new(),
        snags,
        lesson: String::new(),
        written_at: write.at,
        person: String::new(),
        closed_at: None,
        closed_by: String::new(),
        aside_at: None,
        version: 1,
    };
    insert(write, &review).await?;
    child_store::rewrite(write, &review).await?;
    note(write, &review, Action::Added, None).await?;
    Ok(review)
}

/// The columns of what changed last: kind, id, number, words, moment.
fn changed(d: &Draft) -> (&'static str, Option<Uuid>, i64, &str, Option<Millis>) {
    let (kind, id, no) = About::stored(d.changed.as_ref().map(|h| h.about));
    let h = d.changed.as_ref();
    (kind, id, no, h.map_or("", |h| h.words.as_str()), h.map(|h| h.at))
}

async fn insert(write: &mut Write, r: &Review) -> Result<(), Error> {
    let (d, symptom) = (&r.draft, r.draft.symptom.code());
    let (kind, id, no, label, at) = changed(d);
    let person = write.person;
    sqlx::query!(
        "INSERT INTO review (id, conversion_id, no, symptom, words, at, changed_kind, changed_id, changed_no, changed_label,
           changed_at, changed_words, minutes, cost_cents, currency, lesson, written_at, person_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18)",
        r.id, r.conversion_id, r.no, symptom, d.words, d.at, kind, id, no, label,
        at, d.changed_words, d.minutes, d.cost_cents, d.currency, r.lesson, r.written_at, person
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

/// Writes a review as it is now, with its causes, lost parts and snags, if nobody else changed it since
/// `version`. Gives the review with its new version.
pub async fn change(
    write: &mut Write,
    (old, version): (&Review, i64),
    new: Review,
) -> Result<Review, Error> {
    let new = Review { version: version + 1, ..new };
    let (d, symptom) = (&new.draft, new.draft.symptom.code());
    let (kind, id, no, label, at) = changed(d);
    let person = write.person;
    let done = sqlx::query!(
        "UPDATE review SET symptom = ?3, words = ?4, at = ?5, changed_kind = ?6, changed_id = ?7, changed_no = ?8,
           changed_label = ?9, changed_at = ?10, changed_words = ?11, minutes = ?12, cost_cents = ?13, currency = ?14,
           lesson = ?15, closed_by = CASE WHEN ?16 IS NULL THEN NULL WHEN closed_at IS NULL THEN ?17 ELSE closed_by END,
           closed_at = ?16, version = version + 1
         WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, symptom, d.words, d.at, kind, id, no,
        label, at, d.changed_words, d.minutes, d.cost_cents, d.currency,
        new.lesson, new.closed_at, person
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "review")?;
    child_store::rewrite(write, &new).await?;
    note(write, &new, Action::Changed, Some(old)).await?;
    Ok(new)
}

/// Puts a review aside, or brings it back.
pub async fn set_aside(
    write: &mut Write,
    (old, version): (&Review, i64),
    aside: bool,
) -> Result<(), Error> {
    let aside_at = aside.then_some(write.at);
    let done = sqlx::query!(
        "UPDATE review SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND (aside_at IS NULL) = (?3 IS NOT NULL)",
        old.id, version, aside_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "review")?;
    let new = Review { aside_at, version: version + 1, ..old.clone() };
    let action = if aside { Action::PutAside } else { Action::Restored };
    note(write, &new, action, Some(old)).await
}

async fn note(
    write: &mut Write,
    after: &Review,
    action: Action,
    before: Option<&Review>,
) -> Result<(), Error> {
    let change = Change {
        noun: "review",
        id: after.id.0,
        conversion: Some(after.conversion_id),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
