//! Every query on `review_cause`, `review_evidence`, `review_part` and `review_snag`. They are written
//! together with their review.

use super::catalogue::CauseKind;
use super::model::{Cause, Evidence, Left, Lost, Review, Side, Sure};
use crate::choice::Choice;
use crate::db::{
    CauseId, ConversionId, Error, EvidenceId, PartId, ReviewId, SnagId, Write, corrupt,
};
use crate::features::notes::about::About;
use sqlx::SqliteConnection;
use uuid::Uuid;

/// Whose reviews are read: from one conversion's id to another's, so that one question serves one
/// conversion and all of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scope {
    from: ConversionId,
    to: ConversionId,
}

impl Scope {
    /// One conversion.
    pub(super) fn one(id: ConversionId) -> Self {
        Scope { from: id, to: id }
    }

    /// All of them.
    pub(super) fn all() -> Self {
        Scope { from: ConversionId(Uuid::nil()), to: ConversionId(Uuid::max()) }
    }
}

fn of(reviews: &mut [Review], id: ReviewId) -> Option<&mut Review> {
    reviews.iter_mut().find(|r| r.id == id)
}

/// A stored code as its choice, or an error that names the place.
fn code<T: Choice>(table: &'static str, column: &'static str, code: &str) -> Result<T, Error> {
    T::from_code(code).ok_or_else(|| corrupt(table, column, "", code))
}

/// Puts causes, evidence, lost parts and snags on reviews.
pub(super) async fn put_on(
    conn: &mut SqliteConnection,
    scope: Scope,
    reviews: &mut [Review],
) -> Result<(), Error> {
    causes(conn, scope, reviews).await?;
    evidence(conn, scope, reviews).await?;
    lost(conn, scope, reviews).await?;
    left(conn, scope, reviews).await
}

async fn causes(
    conn: &mut SqliteConnection,
    scope: Scope,
    reviews: &mut [Review],
) -> Result<(), Error> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: CauseId", review_id AS "review_id: ReviewId", cause, words, sure FROM review_cause
           WHERE review_id IN (SELECT id FROM review WHERE conversion_id BETWEEN ?1 AND ?2) ORDER BY review_id, position"#,
        scope.from,
        scope.to
    )
    .fetch_all(conn)
    .await?;
    for r in rows {
        let Some(review) = of(reviews, r.review_id) else { continue };
        review.causes.push(Cause {
            id: r.id,
            cause: code::<CauseKind>("review_cause", "cause", &r.cause)?,
            words: r.words,
            sure: code::<Sure>("review_cause", "sure", &r.sure)?,
            evidence: Vec::new(),
        });
    }
    Ok(())
}

async fn evidence(
    conn: &mut SqliteConnection,
    scope: Scope,
    reviews: &mut [Review],
) -> Result<(), Error> {
    let rows = sqlx::query!(
        r#"SELECT e.id AS "id: EvidenceId", e.cause_id AS "cause_id: CauseId", c.review_id AS "review_id: ReviewId", e.side,
             e.words, e.about_kind, e.about_id AS "about_id: Uuid", e.about_no
           FROM review_evidence e JOIN review_cause c ON c.id = e.cause_id
           WHERE c.review_id IN (SELECT id FROM review WHERE conversion_id BETWEEN ?1 AND ?2) ORDER BY e.cause_id, e.position"#,
        scope.from,
        scope.to
    )
    .fetch_all(conn)
    .await?;
    for r in rows {
        let Some(review) = of(reviews, r.review_id) else { continue };
        let Some(cause) = review.causes.iter_mut().find(|c| c.id == r.cause_id) else { continue };
        cause.evidence.push(Evidence {
            id: r.id,
            side: code::<Side>("review_evidence", "side", &r.side)?,
            words: r.words,
            about: About::read(&r.about_kind, r.about_id, r.about_no),
        });
    }
    Ok(())
}

async fn lost(
    conn: &mut SqliteConnection,
    scope: Scope,
    reviews: &mut [Review],
) -> Result<(), Error> {
    let rows = sqlx::query!(
        r#"SELECT x.review_id AS "review_id: ReviewId", x.part_id AS "part_id: PartId", p.no, p.name, p.state, p.price_cents,
             p.currency
           FROM review_part x JOIN part p ON p.id = x.part_id
           WHERE x.review_id IN (SELECT id FROM review WHERE conversion_id BETWEEN ?1 AND ?2) ORDER BY p.no"#,
        scope.from,
        scope.to
    )
    .fetch_all(conn)
    .await?;
    for r in rows {
        let Some(review) = of(reviews, r.review_id) else { continue };
        review.lost.push(Lost {
            id: r.part_id,
            no: r.no,
            name: r.name,
            price_cents: r.price_cents,
            currency: r.currency,
            // what is sent back after it died is dead all the same
            dead: r.state == "dead" || r.state == "returned",
        });
    }
    Ok(())
}

async fn left(
    conn: &mut SqliteConnection,
    scope: Scope,
    reviews: &mut [Review],
) -> Result<(), Error> {
    let rows = sqlx::query!(
        r#"SELECT x.review_id AS "review_id: ReviewId", x.snag_id AS "snag_id: SnagId", s.no, s.what,
             s.closed_at IS NULL AS "open!: bool"
           FROM review_snag x JOIN snag s ON s.id = x.snag_id
           WHERE x.review_id IN (SELECT id FROM review WHERE conversion_id BETWEEN ?1 AND ?2) ORDER BY s.no"#,
        scope.from,
        scope.to
    )
    .fetch_all(conn)
    .await?;
    for r in rows {
        let Some(review) = of(reviews, r.review_id) else { continue };
        review.snags.push(Left { id: r.snag_id, no: r.no, what: r.what, open: r.open });
    }
    Ok(())
}

/// Writes what hangs on a review anew.
pub(super) async fn rewrite(write: &mut Write, review: &Review) -> Result<(), Error> {
    let id = review.id;
    sqlx::query!(
        "DELETE FROM review_evidence WHERE cause_id IN (SELECT id FROM review_cause WHERE review_id = ?1)",
        id
    )
    .execute(write.conn())
    .await?;
    sqlx::query!("DELETE FROM review_cause WHERE review_id = ?1", id).execute(write.conn()).await?;
    sqlx::query!("DELETE FROM review_part WHERE review_id = ?1", id).execute(write.conn()).await?;
    sqlx::query!("DELETE FROM review_snag WHERE review_id = ?1", id).execute(write.conn()).await?;
    for (c, position) in review.causes.iter().zip(1_i64..) {
        let (cause, sure) = (c.cause.code(), c.sure.code());
        sqlx::query!(
            "INSERT INTO review_cause (id, review_id, position, cause, words, sure) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            c.id, id, position, cause, c.words, sure
        )
        .execute(write.conn())
        .await?;
        for (e, position) in c.evidence.iter().zip(1_i64..) {
            put_evidence(write, c.id, (e, position)).await?;
        }
    }
    for p in &review.lost {
        sqlx::query!("INSERT INTO review_part (review_id, part_id) VALUES (?1, ?2)", id, p.id)
            .execute(write.conn())
            .await?;
    }
    for s in &review.snags {
        sqlx::query!("INSERT INTO review_snag (review_id, snag_id) VALUES (?1, ?2)", id, s.id)
            .execute(write.conn())
            .await?;
    }
    Ok(())
}

async fn put_evidence(
    write: &mut Write,
    cause: CauseId,
    (e, position): (&Evidence, i64),
) -> Result<(), Error> {
    let side = e.side.code();
    let (kind, record, no) = About::stored(e.about);
    sqlx::query!(
        "INSERT INTO review_evidence (id, cause_id, position, side, words, about_kind, about_id, about_no)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        e.id, cause, position, side, e.words, kind, record, no
    )
    .execute(write.conn())
    .await?;
    Ok(())
}
