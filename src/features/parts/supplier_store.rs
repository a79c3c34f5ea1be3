//! Every query on `supplier`.

use super::model::{Supplier, SupplierDraft};
use crate::db::{Action, Change, Error, SupplierId, Write, expect_one};
use sqlx::SqliteConnection;

struct Row {
    id: SupplierId,
    name: String,
    lane: String,
    remark: String,
    aside_at: Option<i64>,
    version: i64,
}

impl From<Row> for Supplier {
    fn from(r: Row) -> Self {
        let draft = SupplierDraft { name: r.name, lane: r.lane, remark: r.remark };
        Supplier { id: r.id, draft, aside_at: r.aside_at, version: r.version }
    }
}

/// All suppliers by name, those put aside last.
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Supplier>, Error> {
    let rows = sqlx::query_as!(
        Row,
        r#"SELECT id AS "id: SupplierId", name, lane, remark, aside_at, version FROM supplier
           ORDER BY aside_at IS NOT NULL, lower(name)"#
    )
    .fetch_all(conn)
    .await?;
    Ok(rows.into_iter().map(Supplier::from).collect())
}

/// The supplier of an id, put aside or not.
pub async fn find(conn: &mut SqliteConnection, id: SupplierId) -> Result<Option<Supplier>, Error> {
    let row = sqlx::query_as!(
        Row,
        r#"SELECT id AS "id: SupplierId", name, lane, remark, aside_at, version FROM supplier WHERE id = ?1"#,
        id
    )
    .fetch_optional(conn)
    .await?;
    Ok(row.map(Supplier::from))
}

/// Adds a supplier.
pub async fn add(write: &mut Write, draft: SupplierDraft) -> Result<Supplier, Error> {
    let new = Supplier { id: SupplierId::new(), draft, aside_at: None, version: 1 };
    let d = &new.draft;
    sqlx::query!(
        "INSERT INTO supplier (id, name, lane, remark) VALUES (?1, ?2, ?3, ?4)",
        new.id,
        d.name,
        d.lane,
        d.remark
    )
    .execute(write.conn())
    .await
    .map_err(|e| taken(e.into(), &d.name))?;
    note(write, &new, Action::Added, None).await?;
    Ok(new)
}

/// Changes a supplier, or puts it aside and brings it back, if nobody else changed it since `version`.
pub async fn change(
    write: &mut Write,
    (old, version): (&Supplier, i64),
    new: Supplier,
) -> Result<(), Error> {
    let d = &new.draft;
    let done = sqlx::query!(
        "UPDATE supplier SET name = ?3, lane = ?4, remark = ?5, aside_at = ?6, version = version + 1
         WHERE id = ?1 AND version = ?2",
        old.id,
        version,
        d.name,
        d.lane,
        d.remark,
        new.aside_at
    )
    .execute(write.conn())
    .await
    .map_err(|e| taken(e.into(), &d.name))?;
    expect_one(done.rows_affected(), "supplier")?;
    let action = match (old.aside_at, new.aside_at) {
        (None, Some(_)) => Action::PutAside,
        (Some(_), None) => Action::Restored,
        _ => Action::Changed,
    };
    note(write, &Supplier { version: version + 1, ..new }, action, Some(old)).await
}

async fn note(
    write: &mut Write,
    after: &Supplier,
    action: Action,
    before: Option<&Supplier>,
) -> Result<(), Error> {
    let id = after.id.0;
    let change =
        Change { noun: "supplier", id, conversion: None, action, before, after: Some(after) };
    write.note(change).await
}

fn taken(e: Error, name: &str) -> Error {
    if e.is_taken("supplier.name") {
        let message =
            format!("There is a supplier called {name} already. Name this one otherwise.");
        return Error::Taken { field: "name", message };
    }
    e
}
