//! Every query on `decoder` and `planned_load`.

use super::model::{Basis, Decoder, DecoderDraft, Load, LoadDraft, LoadKind};
use crate::choice::Choice;
use crate::db::{
    Action, Change, ConversionId, DecoderId, Error, LoadId, Write, corrupt, expect_one,
};
use serde::Serialize;
use sqlx::SqliteConnection;

struct Row {
    id: DecoderId,
    name: String,
    motor_continuous_ma: Option<i64>,
    motor_peak_ma: Option<i64>,
    motor_peak_ms: Option<i64>,
    total_continuous_ma: Option<i64>,
    function_ma: Option<i64>,
    basis: String,
    rated_for: String,
    changed_at: i64,
    version: i64,
}

/// The decoder chosen for a conversion.
pub async fn find(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Option<Decoder>, Error> {
    let row = sqlx::query_as!(
        Row,
        r#"SELECT id AS "id: DecoderId", name, motor_continuous_ma, motor_peak_ma, motor_peak_ms, total_continuous_ma, function_ma,
             basis, rated_for, changed_at, version FROM decoder WHERE conversion_id = ?1 AND aside_at IS NULL"#,
        conversion
    )
    .fetch_optional(conn)
    .await?;
    row.map(|r| {
        let basis = Basis::from_code(&r.basis)
            .ok_or_else(|| corrupt("decoder", "basis", r.id, &r.basis))?;
        let draft = DecoderDraft {
            name: r.name,
            motor_continuous_ma: r.motor_continuous_ma,
            motor_peak_ma: r.motor_peak_ma,
            motor_peak_ms: r.motor_peak_ms,
            total_continuous_ma: r.total_continuous_ma,
            function_ma: r.function_ma,
            basis,
            rated_for: r.rated_for,
        };
        Ok(Decoder { id: r.id, draft, changed_at: r.changed_at, version: r.version })
    })
    .transpose()
}

/// Writes the ratings of the chosen decoder: adds it, or changes the one there if nobody else did.
pub async fn put(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (Option<&Decoder>, i64),
    draft: DecoderDraft,
) -> Result<Decoder, Error> {
    let d = &draft;
    let (basis, at) = (d.basis.code(), write.at);
    let id = old.map_or_else(DecoderId::new, |o| o.id);
    if old.is_some() {
        let done = sqlx::query!(
            "UPDATE decoder SET name = ?3, motor_continuous_ma = ?4, motor_peak_ma = ?5, motor_peak_ms = ?6, total_continuous_ma = ?7,
               function_ma = ?8, basis = ?9, rated_for = ?10, changed_at = ?11, version = version + 1 WHERE id = ?1 AND version = ?2",
            id, version, d.name, d.motor_continuous_ma, d.motor_peak_ma, d.motor_peak_ms, d.total_continuous_ma, d.function_ma,
            basis, d.rated_for, at
        )
        .execute(write.conn())
        .await?;
        expect_one(done.rows_affected(), "decoder")?;
    } else {
        sqlx::query!(
            "INSERT INTO decoder (id, conversion_id, name, motor_continuous_ma, motor_peak_ma, motor_peak_ms, total_continuous_ma,
               function_ma, basis, rated_for, changed_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
            id, conversion, d.name, d.motor_continuous_ma, d.motor_peak_ma, d.motor_peak_ms, d.total_continuous_ma,
            d.function_ma, basis, d.rated_for, at
        )
        .execute(write.conn())
        .await
        .map_err(|e| conflict(e.into()))?;
    }
    let new =
        Decoder { id, draft, changed_at: at, version: if old.is_some() { version + 1 } else { 1 } };
    let action = if old.is_some() { Action::Changed } else { Action::Added };
    note(write, conversion, ("decoder", id.0), action, (old, &new)).await?;
    Ok(new)
}

/// A second decoder for the same conversion means that somebody chose one meanwhile.
fn conflict(e: Error) -> Error {
    if e.is_taken("decoder.conversion_id") { Error::Conflict("decoder") } else { e }
}

struct LoadRow {
    id: LoadId,
    name: String,
    kind: String,
    each_ua: i64,
    count: i64,
    output: String,
    typed: String,
    basis: String,
    version: i64,
}

/// The loads planned for a conversion, in the order they were written.
pub async fn loads(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Load>, Error> {
    sqlx::query_as!(
        LoadRow,
        r#"SELECT id AS "id: LoadId", name, kind, each_ua, count, output, typed, basis, version
           FROM planned_load WHERE conversion_id = ?1 AND aside_at IS NULL ORDER BY position, id"#,
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(|r| {
        let kind = LoadKind::from_code(&r.kind)
            .ok_or_else(|| corrupt("planned_load", "kind", r.id, &r.kind))?;
        let basis = Basis::from_code(&r.basis)
            .ok_or_else(|| corrupt("planned_load", "basis", r.id, &r.basis))?;
        let draft = LoadDraft {
            name: r.name,
            kind,
            each_ua: r.each_ua,
            count: r.count,
            output: r.output,
            typed: r.typed,
            basis,
        };
        Ok(Load { id: r.id, draft, version: r.version })
    })
    .collect()
}

/// Adds a planned load at the end.
pub async fn add_load(
    write: &mut Write,
    conversion: ConversionId,
    draft: LoadDraft,
) -> Result<Load, Error> {
    let load = Load { id: LoadId::new(), draft, version: 1 };
    let d = &load.draft;
    let (kind, basis) = (d.kind.code(), d.basis.code());
    sqlx::query!(
        "INSERT INTO planned_load (id, conversion_id, name, kind, each_ua, count, output, typed, basis, position)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9,
           (SELECT coalesce(max(position), 0) + 1 FROM planned_load WHERE conversion_id = ?2))",
        load.id, conversion, d.name, kind, d.each_ua, d.count, d.output, d.typed, basis
    )
    .execute(write.conn())
    .await?;
    let none: Option<&Load> = None;
    note(write, conversion, ("planned_load", load.id.0), Action::Added, (none, &load)).await?;
    Ok(load)
}

/// Changes a planned load.
pub async fn change_load(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Load, i64),
    draft: LoadDraft,
) -> Result<(), Error> {
    let d = &draft;
    let (kind, basis) = (d.kind.code(), d.basis.code());
    let done = sqlx::query!(
        "UPDATE planned_load SET name = ?3, kind = ?4, each_ua = ?5, count = ?6, output = ?7, typed = ?8, basis = ?9,
           version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, d.name, kind, d.each_ua, d.count, d.output, d.typed, basis
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "load")?;
    let new = Load { id: old.id, draft, version: version + 1 };
    note(write, conversion, ("planned_load", old.id.0), Action::Changed, (Some(old), &new)).await
}

/// Puts a planned load aside.
pub async fn put_load_aside(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Load, i64),
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE planned_load SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "load")?;
    note(write, conversion, ("planned_load", old.id.0), Action::PutAside, (Some(old), old)).await
}

async fn note<T: Serialize>(
    write: &mut Write,
    conversion: ConversionId,
    (noun, id): (&'static str, uuid::Uuid),
    action: Action,
    (before, after): (Option<&T>, &T),
) -> Result<(), Error> {
    let change =
        Change { noun, id, conversion: Some(conversion), action, before, after: Some(after) };
    write.note(change).await
}
