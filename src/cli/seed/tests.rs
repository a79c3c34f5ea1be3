use super::fill;
use crate::aspect::Aspect;
use crate::db;
use crate::features::conversions;
use crate::features::gates::gather::gather;
use crate::features::readings::store::count_by_conversion;
use time::UtcOffset;

/// 25 Nov 2026, 22:15 UTC.
const NOW: i64 = 1_795_644_900_000;

async fn filled() -> (tempfile::TempDir, db::Db) {
    let folder = tempfile::tempdir().unwrap();
    let (db, _) = db::open(&folder.path().join("demo.sqlite"), NOW).await.unwrap();
    fill(&db, NOW, UtcOffset::UTC).await.unwrap();
    (folder, db)
}

/// Each conversion with the aspects of its five gates, in the order of their numbers.
async fn aspects(db: &db::Db) -> Vec<(String, Vec<Aspect>)> {
    let mut conn = db.pool.acquire().await.unwrap();
    let mut out = Vec::new();
    for c in conversions::store::list(&mut conn).await.unwrap() {
        let title = c.draft.title.clone();
        let g = gather(&mut conn, c, (NOW, 0)).await.unwrap();
        out.push((title, g.gates().iter().map(|x| x.aspect).collect()));
    }
    out.reverse();
    out
}

#[tokio::test]
async fn the_story_shows_what_it_was_made_to_show() {
    use Aspect::{Caution, Clear, Danger, Unlit};
    let (_folder, db) = filled().await;
    let shown = aspects(&db).await;
    let expected = [
        ("Narrow-gauge tank engine", [Danger, Unlit, Danger, Danger, Danger]),
        ("Branch railcar", [Clear, Caution, Caution, Caution, Caution]),
        ("Centre-cab diesel", [Clear, Caution, Caution, Unlit, Unlit]),
        ("Works shunter", [Clear, Caution, Danger, Danger, Danger]),
        ("Old works diesel", [Danger, Unlit, Unlit, Danger, Unlit]),
        ("Goods engine", [Unlit; 5]),
    ];
    for ((title, gates), (name, wanted)) in shown.iter().zip(expected) {
        assert_eq!((title.as_str(), gates.as_slice()), (name, wanted.as_slice()));
    }
}

#[tokio::test]
async fn the_file_checks_clean_and_holds_well_over_forty_readings() {
    let (_folder, db) = filled().await;
    let report = db::check(&db.pool).await.unwrap();
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    let mut conn = db.pool.acquire().await.unwrap();
    let total: i64 = count_by_conversion(&mut conn).await.unwrap().iter().map(|(_, n)| n).sum();
    assert!(total > 150, "{total}");
}

/// Held current and winding of one motor must agree within a quarter (the rule of calc::load), or
/// the demo would teach nonsense.
#[tokio::test]
async fn the_readings_of_each_motor_agree_with_each_other() {
    let (_folder, db) = filled().await;
    let mut conn = db.pool.acquire().await.unwrap();
    for c in conversions::store::list(&mut conn).await.unwrap() {
        let title = c.draft.title.clone();
        let g = gather(&mut conn, c, (NOW, 0)).await.unwrap();
        let Some(test) = &g.snapshot.load_test else { continue };
        let input = crate::features::gates::inputs::load(&g);
        let out = crate::calc::load::run(&input).unwrap();
        assert_eq!(out.winding_agrees.aspect, Aspect::Clear, "{title} test {}", test.no);
        assert_eq!(out.plausibility.aspect, Aspect::Clear, "{title} test {}", test.no);
    }
}

#[tokio::test]
async fn the_same_story_twice_gives_the_same_aspects() {
    let ((_a, first), (_b, second)) = (filled().await, filled().await);
    assert_eq!(aspects(&first).await, aspects(&second).await);
}
