//! The demo's notebook out, into an empty one, and out again: the same bytes.

use super::super::seed;
use crate::db::{self, Db, travel};
use crate::features::transfer::model::{Holds, Taking};
use crate::features::transfer::plan::plan;
use crate::features::transfer::store::{self, Told};
use time::UtcOffset;
use uuid::Uuid;

/// 25 Nov 2026, 22:15 UTC.
const NOW: i64 = 1_795_644_900_000;

async fn fresh() -> (tempfile::TempDir, Db) {
    let folder = tempfile::tempdir().unwrap();
    let (db, _) = db::open(&folder.path().join("notebook.sqlite"), NOW).await.unwrap();
    (folder, db)
}

async fn demo() -> (tempfile::TempDir, Db) {
    let (folder, db) = fresh().await;
    seed::fill(&db, NOW, UtcOffset::UTC).await.unwrap();
    (folder, db)
}

fn told() -> Told {
    Told { name: "club.zip".to_owned(), person: None, at: NOW, token: None }
}

/// Brings an archive into an empty notebook and exports the same again.
async fn around(bytes: &[u8], holds: Holds) -> Vec<u8> {
    let (_folder, db) = fresh().await;
    let came = store::import(&db, bytes, (&Taking::Mine, None), told()).await.unwrap();
    assert!(came.copy.is_some() && came.changed == 0 && came.left == 0, "{came:?}");
    let report = db::check(&db.pool).await.unwrap();
    assert_eq!(report.wrong, Vec::<String>::new());
    store::export(&db.pool, holds).await.unwrap()
}

/// Conversions as they are exported.
async fn conversions(db: &Db) -> Vec<Holds> {
    let rows: Vec<(Uuid, i64, String)> =
        sqlx::query_as("SELECT id, no, title FROM conversion ORDER BY no")
            .fetch_all(&db.pool)
            .await
            .unwrap();
    rows.into_iter().map(|(id, no, title)| Holds::Conversion { id, no, title }).collect()
}

#[tokio::test]
async fn the_whole_notebook_comes_around_with_identical_bytes() {
    let (_folder, db) = demo().await;
    let first = store::export(&db.pool, Holds::Everything).await.unwrap();
    assert_eq!(first, store::export(&db.pool, Holds::Everything).await.unwrap(), "twice the same");
    assert!(around(&first, Holds::Everything).await == first, "not the same bytes");
}

#[tokio::test]
async fn each_conversion_comes_around_with_identical_bytes() {
    let (_folder, db) = demo().await;
    let all = conversions(&db).await;
    assert!(all.len() >= 5);
    for holds in all {
        let first = store::export(&db.pool, holds.clone()).await.unwrap();
        assert!(around(&first, holds.clone()).await == first, "{holds:?}: not the same bytes");
    }
}

#[tokio::test]
async fn conversion_by_conversion_gives_the_notebook_and_the_whole_changes_nothing_in_itself() {
    let (_folder, db) = demo().await;
    let (_other_folder, other) = fresh().await;
    for holds in conversions(&db).await {
        let bytes = store::export(&db.pool, holds).await.unwrap();
        store::import(&other, &bytes, (&Taking::Mine, None), told()).await.unwrap();
    }
    assert_eq!(db::check(&other.pool).await.unwrap().wrong, Vec::<String>::new());
    let whole = store::export(&db.pool, Holds::Everything).await.unwrap();
    let mut conn = other.pool.acquire().await.unwrap();
    let p = store::preview(&mut conn, &whole).await.unwrap();
    for step in &p.plan.steps {
        assert!(step.here.is_none(), "{} differs: {:?}", step.label, step.differences);
        let name = p.layouts[step.table].table.name;
        let loose = ["setting", "instrument", "person", "supplier", "stock", "part"];
        assert!(loose.contains(&name), "{} did not come with its conversion", step.label);
    }
    drop(conn);
    let mut conn = db.pool.acquire().await.unwrap();
    let p = store::preview(&mut conn, &whole).await.unwrap();
    assert!(p.plan.is_empty() && p.plan.steps.is_empty());
}

#[tokio::test]
async fn what_a_conversion_refers_to_comes_along_and_nothing_else_does() {
    let (_folder, db) = demo().await;
    let mut conn = db.pool.acquire().await.unwrap();
    let layouts = travel::layouts(&mut conn).await.unwrap();
    let all = travel::everything(&mut conn, &layouts).await.unwrap();
    let place = |name: &str| layouts.iter().position(|l| l.table.name == name).unwrap();
    for holds in conversions(&db).await {
        let Holds::Conversion { id, .. } = holds else { continue };
        let some = travel::of_conversion(&mut conn, &layouts, db::ConversionId(id)).await.unwrap();
        let of = travel::Cell::Id(id);
        for name in ["reading", "wheel", "snag", "note", "part", "judgement"] {
            let column = layouts[place(name)].place("conversion_id").unwrap();
            let wanted = all[place(name)].iter().filter(|r| r[column] == of).count();
            let got = some[place(name)].iter().filter(|r| r[column] == of).count();
            assert_eq!(got, wanted, "{name}");
        }
        let readings = layouts[place("reading")].place("conversion_id").unwrap();
        assert!(some[place("reading")].iter().all(|r| r[readings] == of), "others’ readings stay");
        assert!(some[place("setting")].is_empty());
        // nothing an archive holds is new to the notebook it came from
        assert!(plan(&layouts, &some, &all).steps.is_empty());
    }
}
