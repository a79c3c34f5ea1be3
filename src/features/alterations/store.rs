//! Every query on `alteration`.

use super::model::Alteration;
use crate::calc::gates::AlterationKind;
use crate::db::{
    Action, AlterationId, Change, ConversionId, Error, Millis, Write, corrupt, expect_one,
};
use sqlx::SqliteConnection;

/// What was changed on a conversion's model, newest first; taken-back entries left out.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Alteration>, Error> {
    let rows = sqlx::query!(
        r#"SELECT a.id AS "id: AlterationId", a.kind, a.what, a.at, p.name AS "person?"
           FROM alteration a LEFT JOIN person p ON p.id = a.person_id
           WHERE a.conversion_id = ?1 AND a.taken_back_at IS NULL ORDER BY a.at DESC, a.id DESC"#,
        conversion
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|r| {
            let kind = AlterationKind::from_key(&r.kind)
                .ok_or_else(|| corrupt("alteration", "kind", r.id, &r.kind))?;
            let person = r.person.unwrap_or_default();
            Ok(Alteration { id: r.id, kind, what: r.what, at: r.at, person })
        })
        .collect()
}

/// Writes down that something was changed.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    kind: AlterationKind,
    (what, at): (&str, Millis),
) -> Result<Alteration, Error> {
    let alteration = Alteration {
        id: AlterationId::new(),
        kind,
        what: what.to_owned(),
        at,
        person: String::new(),
    };
    let (id, code, person) = (alteration.id, kind.key(), write.person);
    sqlx::query!(
        "INSERT INTO alteration (id, conversion_id, kind, what, at, person_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        id,
        conversion,
        code,
        what,
        at,
        person
    )
    .execute(write.conn())
    .await?;
    note(write, conversion, &alteration, Action::Added).await?;
    Ok(alteration)
}

/// Takes an entry back as a mistake.
pub async fn take_back(
    write: &mut Write,
    conversion: ConversionId,
    id: AlterationId,
) -> Result<(), Error> {
    let old = list(write.conn(), conversion)
        .await?
        .into_iter()
        .find(|a| a.id == id)
        .ok_or(Error::NotFound("alteration"))?;
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE alteration SET taken_back_at = ?2, version = version + 1 WHERE id = ?1 AND taken_back_at IS NULL",
        id,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "alteration")?;
    note(write, conversion, &old, Action::TakenBack).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    record: &Alteration,
    action: Action,
) -> Result<(), Error> {
    let before = (action == Action::TakenBack).then_some(record);
    let change = Change {
        noun: "alteration",
        id: record.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(record),
    };
    write.note(change).await
}
