//! Every query on `load_test`.

use super::model::LoadTest;
use crate::db::{Action, Change, ConversionId, Error, LoadTestId, Write};
use sqlx::SqliteConnection;

/// Opens the next load test of a conversion.
pub async fn add(write: &mut Write, conversion: ConversionId, at: i64) -> Result<LoadTest, Error> {
    let no = sqlx::query_scalar!(
        r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM load_test WHERE conversion_id = ?1"#,
        conversion
    )
    .fetch_one(write.conn())
    .await?;
    let test = LoadTest { id: LoadTestId::new(), no, at };
    let person = write.person;
    sqlx::query!(
        "INSERT INTO load_test (id, conversion_id, no, at, person_id) VALUES (?1, ?2, ?3, ?4, ?5)",
        test.id,
        conversion,
        test.no,
        at,
        person
    )
    .execute(write.conn())
    .await?;
    let change = Change {
        noun: "load_test",
        id: test.id.0,
        conversion: Some(conversion),
        action: Action::Added,
        before: None,
        after: Some(&test),
    };
    write.note(change).await?;
    Ok(test)
}

/// All load tests of a conversion, newest first.
pub async fn list(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<LoadTest>, Error> {
    let rows = sqlx::query_as!(
        LoadTest,
        r#"SELECT id AS "id: LoadTestId", no, at FROM load_test WHERE conversion_id = ?1 AND taken_back_at IS NULL ORDER BY no DESC"#,
        conversion
    )
    .fetch_all(conn)
    .await?;
    Ok(rows)
}
