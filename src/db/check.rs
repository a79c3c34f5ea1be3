//! `undershell check`: is the file sound, and does what is in it make sense?

use super::{Error, MIGRATOR};
use sqlx::{SqliteConnection, SqlitePool};

/// What was looked at and what was found.
#[derive(Debug, Clone, Default)]
pub struct Report {
    /// Lines about what was looked at, good news included.
    pub looked_at: Vec<String>,
    /// Everything wrong, one sentence each. Empty: the file is sound.
    pub wrong: Vec<String>,
}

/// Our own rules, each a query that returns what breaks them.
const INVARIANTS: &[(&str, &str)] = &[
    (
        "every reading of a load test belongs to the same conversion as the test",
        "SELECT 'reading ' || r.no FROM reading r JOIN load_test t ON t.id = r.load_test_id WHERE t.conversion_id <> r.conversion_id",
    ),
    (
        "every reading of a wheel belongs to the wheel's conversion",
        "SELECT 'reading ' || r.no FROM reading r JOIN wheel w ON w.id = r.wheel_id WHERE w.conversion_id <> r.conversion_id",
    ),
    (
        "no reading was written down before it was taken by more than a day",
        "SELECT 'reading ' || no FROM reading WHERE taken_at > entered_at + 86400000",
    ),
    (
        "every closed snag was closed after it was opened",
        "SELECT 'snag ' || no FROM snag WHERE closed_at < opened_at",
    ),
    (
        "every reading, snag, note, kept input and conversion has its line in the history",
        "SELECT 'reading ' || no FROM reading WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'snag ' || no FROM snag WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'note' FROM note WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'kept input of ' || name FROM saved_calc WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'conversion ' || no FROM conversion WHERE id NOT IN (SELECT record_id FROM change)",
    ),
    (
        "each part is in the state and the place of its last step",
        "SELECT 'part ' || p.no FROM part p LEFT JOIN part_event e ON e.part_id = p.id AND e.no =
           (SELECT max(no) FROM part_event WHERE part_id = p.id AND taken_back_at IS NULL)
         WHERE e.id IS NULL OR e.state <> p.state OR e.conversion_id IS NOT p.conversion_id",
    ),
    (
        "the steps of a part that were not taken back follow each other in time",
        "SELECT DISTINCT 'part ' || p.no FROM part p JOIN part_event a ON a.part_id = p.id JOIN part_event b ON b.part_id = p.id
         WHERE a.no < b.no AND a.at > b.at AND a.taken_back_at IS NULL AND b.taken_back_at IS NULL",
    ),
    (
        "a part that may stand in for another names the first of its “this or that”",
        "SELECT 'part ' || p.no FROM part p JOIN part o ON o.id = p.instead_of WHERE o.instead_of IS NOT NULL",
    ),
    (
        "each thing in stock sits where its last move took it",
        "SELECT 'thing ' || s.no FROM stock s LEFT JOIN stock_move m ON m.stock_id = s.id AND m.no =
           (SELECT max(no) FROM stock_move WHERE stock_id = s.id AND taken_back_at IS NULL)
         WHERE m.id IS NULL OR m.conversion_id IS NOT s.conversion_id",
    ),
    (
        "the moves of a thing that were not taken back follow each other in time",
        "SELECT DISTINCT 'thing ' || s.no FROM stock s JOIN stock_move a ON a.stock_id = s.id JOIN stock_move b ON b.stock_id = s.id
         WHERE a.no < b.no AND a.at > b.at AND a.taken_back_at IS NULL AND b.taken_back_at IS NULL",
    ),
    (
        "what a taken-back swap changed on a model is taken back too",
        "SELECT 'swap ' || hex(x.swap_id) FROM stock_alteration x JOIN alteration a ON a.id = x.alteration_id
         WHERE a.taken_back_at IS NULL
           AND NOT EXISTS (SELECT 1 FROM stock_move m WHERE m.swap_id = x.swap_id AND m.taken_back_at IS NULL)",
    ),
    (
        "every reading tied to a thing is tied to a motor",
        "SELECT 'reading ' || r.no FROM reading r JOIN stock s ON s.id = r.stock_id WHERE s.kind <> 'motor'",
    ),
    (
        "every part, thing and supplier has its line in the history",
        "SELECT 'part ' || no FROM part WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'thing ' || no FROM stock WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'supplier ' || name FROM supplier WHERE id NOT IN (SELECT record_id FROM change)",
    ),
    (
        "every wire has its line in the history",
        "SELECT 'wire ' || no FROM wire WHERE id NOT IN (SELECT record_id FROM change)",
    ),
    (
        "no wire was proved before it was last altered",
        "SELECT 'wire ' || no FROM wire WHERE proved_at < altered_at",
    ),
    (
        "every reading a test run stands on belongs to the run's conversion",
        "SELECT 'run ' || t.no FROM test_run t JOIN test_run_value v ON v.test_run_id = t.id JOIN reading r ON r.id = v.reading_id
         WHERE r.conversion_id <> t.conversion_id",
    ),
    (
        "every datum measured again names one of the same conversion from before cutting",
        "SELECT 'datum ' || a.no FROM datum a JOIN datum b ON b.id = a.before_id
         WHERE b.conversion_id <> a.conversion_id OR b.cut <> 'before' OR b.what <> a.what",
    ),
    (
        "every test run and datum has its line in the history",
        "SELECT 'run ' || no FROM test_run WHERE id NOT IN (SELECT record_id FROM change)
         UNION ALL SELECT 'datum ' || no FROM datum WHERE id NOT IN (SELECT record_id FROM change)",
    ),
    (
        "every closed review has a cause that was not ruled out, and was closed after it was written",
        "SELECT 'review ' || no FROM review WHERE closed_at IS NOT NULL AND (closed_at < written_at
           OR NOT EXISTS (SELECT 1 FROM review_cause c WHERE c.review_id = review.id AND c.sure <> 'ruled_out'))",
    ),
    (
        "every snag of a review belongs to the review's conversion",
        "SELECT 'review ' || r.no FROM review r JOIN review_snag x ON x.review_id = r.id JOIN snag s ON s.id = x.snag_id
         WHERE s.conversion_id <> r.conversion_id",
    ),
    (
        "what a note or a piece of evidence is about is there",
        "SELECT a.what FROM (SELECT 'note about ' || about_kind AS what, about_id FROM note WHERE about_id IS NOT NULL
           UNION ALL SELECT 'evidence on ' || about_kind, about_id FROM review_evidence WHERE about_id IS NOT NULL) a
         WHERE a.about_id NOT IN (SELECT id FROM reading UNION ALL SELECT id FROM snag UNION ALL SELECT id FROM alteration
           UNION ALL SELECT id FROM part UNION ALL SELECT id FROM stock UNION ALL SELECT id FROM review)",
    ),
    (
        "every review has its line in the history",
        "SELECT 'review ' || no FROM review WHERE id NOT IN (SELECT record_id FROM change)",
    ),
    (
        "every history line belongs to a conversion that exists",
        "SELECT 'change ' || seq FROM change WHERE conversion_id IS NOT NULL AND conversion_id NOT IN (SELECT id FROM conversion)",
    ),
    (
        "readings are numbered from 1 without a gap in each conversion",
        "SELECT 'conversion ' || c.no FROM conversion c JOIN reading r ON r.conversion_id = c.id GROUP BY c.id HAVING max(r.no) <> count(*)",
    ),
];

/// Runs SQLite's integrity check, the foreign-key check, and our own rules.
pub async fn check(pool: &SqlitePool) -> Result<Report, Error> {
    let mut report = Report::default();
    let words: Vec<String> = sqlx::query_scalar("PRAGMA integrity_check").fetch_all(pool).await?;
    if words == ["ok"] {
        report.looked_at.push("structure of the file: sound".to_owned());
    } else {
        report.wrong.extend(words.into_iter().map(|w| format!("structure: {w}")));
    }
    let orphans: Vec<(String, Option<String>)> =
        sqlx::query_as("SELECT \"table\", parent FROM pragma_foreign_key_check")
            .fetch_all(pool)
            .await?;
    if orphans.is_empty() {
        report.looked_at.push("references between records: all lead somewhere".to_owned());
    }
    for (table, parent) in orphans {
        report
            .wrong
            .push(format!("a row of {table} points at a missing {}", parent.unwrap_or_default()));
    }
    schema(pool, &mut report).await?;
    if report.wrong.is_empty() {
        rules(pool, &mut report).await?;
    }
    Ok(report)
}

async fn schema(pool: &SqlitePool, report: &mut Report) -> Result<(), Error> {
    let applied: Vec<(i64,)> =
        sqlx::query_as("SELECT version FROM _sqlx_migrations WHERE success = 1 ORDER BY version")
            .fetch_all(pool)
            .await
            .unwrap_or_default();
    let known: Vec<i64> = MIGRATOR.iter().map(|m| m.version).collect();
    let applied: Vec<i64> = applied.into_iter().map(|(v,)| v).collect();
    if applied == known {
        report.looked_at.push(format!("layout of the file: {} steps, current", known.len()));
    } else if applied.is_empty() {
        report.wrong.push("this is not an Undershell notebook, or it is empty".to_owned());
    } else if let Some(newer) = applied.iter().find(|v| !known.contains(v)) {
        report.wrong.push(format!(
            "this file was written by a newer Undershell (step {newer} is not known here): use that program"
        ));
    } else {
        report.wrong.push(format!(
            "layout of the file: {} of {} steps are applied; open it once with `undershell serve`",
            applied.iter().filter(|v| known.contains(v)).count(),
            known.len()
        ));
    }
    Ok(())
}

/// Our own rules that do not hold, one sentence each, and references that lead nowhere. For looking
/// at a write before it is kept.
pub async fn broken(conn: &mut SqliteConnection) -> Result<Vec<String>, Error> {
    let orphans: Vec<(String, String)> =
        sqlx::query_as("SELECT DISTINCT \"table\", parent FROM pragma_foreign_key_check")
            .fetch_all(&mut *conn)
            .await?;
    let lost = orphans.into_iter().map(|(t, p)| format!("a row of {t} points at a missing {p}"));
    let mut out: Vec<String> = lost.collect();
    for (rule, query) in INVARIANTS {
        out.extend(breaks(conn, rule, query).await?);
    }
    Ok(out)
}

/// The sentence about a rule that does not hold.
async fn breaks(
    conn: &mut SqliteConnection,
    rule: &str,
    query: &'static str,
) -> Result<Option<String>, Error> {
    let broken: Vec<String> = sqlx::query_scalar(query).fetch_all(conn).await?;
    let some = broken.iter().take(5).cloned().collect::<Vec<_>>().join(", ");
    let said = || format!("not so: {rule}. {} broken: {some}", broken.len());
    Ok((!broken.is_empty()).then(said))
}

async fn rules(pool: &SqlitePool, report: &mut Report) -> Result<(), Error> {
    let mut conn = pool.acquire().await?;
    for (rule, query) in INVARIANTS {
        match breaks(&mut conn, rule, query).await? {
            None => report.looked_at.push((*rule).to_owned()),
            Some(said) => report.wrong.push(said),
        }
    }
    drop(conn);
    let counts: Vec<(String, i64)> = sqlx::query_as(
        "SELECT 'conversions', count(*) FROM conversion UNION ALL SELECT 'readings', count(*) FROM reading
         UNION ALL SELECT 'snags', count(*) FROM snag UNION ALL SELECT 'history lines', count(*) FROM change",
    )
    .fetch_all(pool)
    .await?;
    let line = counts.iter().map(|(name, n)| format!("{n} {name}")).collect::<Vec<_>>().join(", ");
    report.looked_at.push(line);
    Ok(())
}
