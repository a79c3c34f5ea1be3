//! Every query on `wheel`.

use super::model::{Draft, Side, Wheel};
use crate::choice::Choice;
use crate::db::{Action, Change, ConversionId, Error, WheelId, Write, corrupt, expect_one};
use sqlx::SqliteConnection;

struct Row {
    id: WheelId,
    side: String,
    axle: i64,
    vehicle: String,
    position_um: Option<i64>,
    traction_tyre: bool,
    dead_by_design: bool,
    version: i64,
}

impl Row {
    fn read(self) -> Result<Wheel, Error> {
        let side = Side::from_code(&self.side)
            .ok_or_else(|| corrupt("wheel", "side", self.id, &self.side))?;
        let draft = Draft {
            side,
            axle: self.axle,
            vehicle: self.vehicle,
            position_um: self.position_um,
            traction_tyre: self.traction_tyre,
            dead_by_design: self.dead_by_design,
        };
        Ok(Wheel { id: self.id, draft, version: self.version })
    }
}

/// The wheels of a conversion, front to back, left before right.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<Wheel>, Error> {
    sqlx::query_as!(
        Row,
        r#"SELECT id AS "id: WheelId", side, axle, vehicle, position_um, traction_tyre AS "traction_tyre: bool",
             dead_by_design AS "dead_by_design: bool", version
           FROM wheel WHERE conversion_id = ?1 AND aside_at IS NULL ORDER BY axle, side"#,
        conversion
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(Row::read)
    .collect()
}

/// Adds a wheel.
pub async fn add(
    write: &mut Write,
    conversion: ConversionId,
    draft: Draft,
) -> Result<Wheel, Error> {
    let wheel = Wheel { id: WheelId::new(), draft, version: 1 };
    let (d, side) = (&wheel.draft, wheel.draft.side.code());
    sqlx::query!(
        "INSERT INTO wheel (id, conversion_id, side, axle, vehicle, position_um, traction_tyre, dead_by_design)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        wheel.id, conversion, side, d.axle, d.vehicle, d.position_um, d.traction_tyre, d.dead_by_design
    )
    .execute(write.conn())
    .await?;
    note(write, conversion, &wheel, Action::Added, None).await?;
    Ok(wheel)
}

/// Changes what is said about a wheel.
pub async fn change(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Wheel, i64),
    draft: Draft,
) -> Result<(), Error> {
    let (d, side) = (&draft, draft.side.code());
    let done = sqlx::query!(
        "UPDATE wheel SET side = ?3, axle = ?4, vehicle = ?5, position_um = ?6, traction_tyre = ?7, dead_by_design = ?8,
           version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, side, d.axle, d.vehicle, d.position_um, d.traction_tyre, d.dead_by_design
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "pickup map")?;
    let new = Wheel { id: old.id, draft, version: version + 1 };
    note(write, conversion, &new, Action::Changed, Some(old)).await
}

/// Takes a wheel off the map; its readings stay.
pub async fn put_aside(
    write: &mut Write,
    conversion: ConversionId,
    (old, version): (&Wheel, i64),
) -> Result<(), Error> {
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE wheel SET aside_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2 AND aside_at IS NULL",
        old.id, version, at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "pickup map")?;
    note(write, conversion, old, Action::PutAside, Some(old)).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    after: &Wheel,
    action: Action,
    before: Option<&Wheel>,
) -> Result<(), Error> {
    let change = Change {
        noun: "wheel",
        id: after.id.0,
        conversion: Some(conversion),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
