//! The file: how it is made, brought up, opened, and what its tables promise.

use crate::support::App;
use crate::support::app::{EVENING, everything, fresh_file};
use crate::support::program::no_file;
use sqlx::{AssertSqlSafe, SqlitePool};
use std::fs::OpenOptions;
use std::path::Path;
use tokio::runtime::{Builder, Runtime};
use undershell::db::{self, MIGRATOR, Migrated};

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().expect("a runtime")
}

/// The names of the migration files, in order.
fn files() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder of migrations")
        .flatten()
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn every_migration_file_is_compiled_in_and_no_other() {
    let compiled: Vec<String> = MIGRATOR
        .iter()
        .map(|m| format!("{}_{}.sql", m.version, m.description.replace(' ', "_")))
        .collect();
    assert_eq!(compiled, files());
}

#[test]
fn each_migration_says_on_its_first_line_why_it_is() {
    for name in files() {
        let text = std::fs::read_to_string(
            Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations").join(&name),
        )
        .expect("the file");
        let first = text.lines().next().unwrap_or("");
        assert!(first.starts_with("-- ") && first.len() > 20, "{name}: {first}");
        let stem = name.trim_end_matches(".sql");
        assert!(stem.len() > 15 && stem[..14].chars().all(|c| c.is_ascii_digit()), "{name}");
    }
}

#[test]
fn every_connection_opens_with_wal_full_and_foreign_keys() {
    let app = App::new();
    app.with_pool(async |pool| {
        let mut all = Vec::new();
        for _ in 0..4 {
            all.push(pool.acquire().await.expect("a connection"));
        }
        for connection in &mut all {
            let journal: String = sqlx::query_scalar("PRAGMA journal_mode")
                .fetch_one(&mut **connection)
                .await
                .expect("an answer");
            assert_eq!(journal, "wal");
            for (name, value) in [
                ("synchronous", 2_i64),
                ("foreign_keys", 1),
                ("busy_timeout", 10_000),
                ("trusted_schema", 0),
                ("cell_size_check", 1),
            ] {
                let got: i64 = sqlx::query_scalar(AssertSqlSafe(format!("PRAGMA {name}")))
                    .fetch_one(&mut **connection)
                    .await
                    .expect("an answer");
                assert_eq!(got, value, "{name}");
            }
        }
    });
}

#[test]
fn a_fresh_file_is_made_and_a_current_one_is_left_alone() {
    let (folder, file) = no_file();
    runtime().block_on(async {
        let (db, migrated) = db::open(&file, EVENING).await.expect("it opens");
        assert_eq!(migrated, Migrated::Created);
        db.pool.close().await;
        let (db, migrated) = db::open(&file, EVENING).await.expect("it opens");
        assert_eq!(migrated, Migrated::Current);
        db.pool.close().await;
    });
    let left = std::fs::read_dir(folder.path())
        .expect("the folder")
        .flatten()
        .filter(|e| e.file_name().to_string_lossy().contains("before"))
        .count();
    assert_eq!(left, 0, "no copy is made where nothing is brought up");
}

#[test]
fn every_table_is_strict_and_every_rule_is_named_after_its_table() {
    let app = App::new();
    let tables: Vec<(String, String)> = app.with_pool(async |pool| {
        sqlx::query_as("SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name <> '_sqlx_migrations'")
            .fetch_all(pool)
            .await
            .expect("the tables")
    });
    assert!(tables.len() >= 15, "{}", tables.len());
    for (name, sql) in tables {
        assert!(sql.trim_end().ends_with("STRICT"), "{name} is not STRICT");
        let bad = unnamed_checks(&name, &sql);
        assert!(bad.is_empty(), "{name}: {bad:?}");
    }
}

/// CHECKs of a table that are not named `<table>_<what>`.
fn unnamed_checks(table: &str, sql: &str) -> Vec<String> {
    let code: String =
        sql.lines().map(|l| l.split("--").next().unwrap_or("")).collect::<Vec<_>>().join("\n");
    let words: Vec<&str> =
        code.split(|c: char| c.is_whitespace() || c == '(').filter(|w| !w.is_empty()).collect();
    let mut bad = Vec::new();
    for (i, _) in words.iter().enumerate().filter(|(_, w)| w.eq_ignore_ascii_case("CHECK")) {
        let named = i >= 2
            && words[i - 2].eq_ignore_ascii_case("CONSTRAINT")
            && words[i - 1].starts_with(&format!("{table}_"));
        if !named {
            bad.push(words[i.saturating_sub(2)..=i].join(" "));
        }
    }
    bad
}

#[test]
fn an_unnamed_check_would_be_found() {
    assert_eq!(
        unnamed_checks("wheel", "CREATE TABLE wheel (a INTEGER CHECK (a > 0)) STRICT").len(),
        1
    );
    assert_eq!(
        unnamed_checks(
            "wheel",
            "CREATE TABLE wheel (a INTEGER, CONSTRAINT axle_a CHECK (a > 0)) STRICT"
        )
        .len(),
        1
    );
    assert_eq!(
        unnamed_checks(
            "wheel",
            "CREATE TABLE wheel (a INTEGER, CONSTRAINT wheel_a CHECK(a > 0)) STRICT -- CHECK"
        )
        .len(),
        0
    );
}

#[test]
fn every_reference_has_an_index_or_is_rarely_followed() {
    // a delete or a join along these is never needed: people and instruments are only put aside
    const FINE: [&str; 2] = ["person", "instrument"];
    let app = App::new();
    let rows: Vec<(String, String, String)> = app.with_pool(async |pool| {
        sqlx::query_as("SELECT t.name, f.\"from\", f.\"table\" FROM sqlite_schema t JOIN pragma_foreign_key_list(t.name) f WHERE t.type = 'table'")
            .fetch_all(pool)
            .await
            .expect("the references")
    });
    for (table, column, target) in rows {
        if FINE.contains(&target.as_str()) {
            continue;
        }
        let sql = format!(
            "SELECT count(*) FROM pragma_index_list('{table}') i JOIN pragma_index_info(i.name) c WHERE c.seqno = 0 AND c.name = '{column}'"
        );
        assert!(app.number(&sql) > 0, "{table}.{column} has no index");
    }
}

/// An older notebook: all but the last steps applied, with the tables they make missing.
fn older_file(folder: &Path, steps: usize) -> std::path::PathBuf {
    let path = folder.join("older.sqlite");
    let all: Vec<_> = MIGRATOR.iter().cloned().collect();
    let some = all[..all.len() - steps].to_vec();
    runtime().block_on(async {
        let options =
            sqlx::sqlite::SqliteConnectOptions::new().filename(&path).create_if_missing(true);
        let pool = SqlitePool::connect_with(options).await.expect("a new file");
        let older =
            sqlx::migrate::Migrator { migrations: some.into(), ..sqlx::migrate::Migrator::DEFAULT };
        older.run(&pool).await.expect("the older steps run");
        sqlx::query("INSERT INTO person (id, name, created_at) VALUES (randomblob(16), 'Ines', 1)")
            .execute(&pool)
            .await
            .expect("a person");
        pool.close().await;
    });
    path
}

async fn people(path: &Path) -> Vec<String> {
    let pool = db::open_read_only(path).await.expect("it opens");
    let names =
        sqlx::query_scalar("SELECT name FROM person").fetch_all(&pool).await.expect("people");
    pool.close().await;
    names
}

#[test]
fn an_older_notebook_is_brought_up_after_a_verified_copy() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = older_file(folder.path(), 2);
    runtime().block_on(async {
        let (db, migrated) = db::open(&path, EVENING).await.expect("it opens");
        let report = db::check(&db.pool).await.expect("a report");
        assert_eq!(report.wrong, Vec::<String>::new());
        db.pool.close().await;
        let Migrated::Upgraded { steps, copy } = migrated else { panic!("{migrated:?}") };
        assert_eq!(steps, 2);
        assert!(
            copy.ends_with(format!("older.before-upgrade-{EVENING}.sqlite")),
            "{}",
            copy.display()
        );
        db::verify_copy(&copy).await.expect("the copy verifies");
        assert_eq!(people(&copy).await, ["Ines"]);
        assert_eq!(people(&path).await, ["Ines"]);
    });
}

#[test]
fn a_step_that_fails_leaves_the_notebook_and_the_copy_as_they_were() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let from = MIGRATOR.iter().filter(|m| m.version >= 20_261_125_091_100).count();
    let path = older_file(folder.path(), from);
    runtime().block_on(async {
        // something stands in the way of a step: a table of the name it makes
        let pool =
            SqlitePool::connect_with(sqlx::sqlite::SqliteConnectOptions::new().filename(&path))
                .await
                .expect("it opens");
        sqlx::query("CREATE TABLE judgement (mine TEXT)").execute(&pool).await.expect("in the way");
        let before = everything(&pool).await;
        pool.close().await;
        let failed = db::open(&path, EVENING).await.expect_err("the step fails");
        assert!(failed.to_string().contains("judgement"), "{failed}");
        let pool =
            SqlitePool::connect_with(sqlx::sqlite::SqliteConnectOptions::new().filename(&path))
                .await
                .expect("it opens");
        let after = everything(&pool).await;
        pool.close().await;
        assert_eq!(before, after);
        let copy = folder.path().join(format!("older.before-upgrade-{EVENING}.sqlite"));
        db::verify_copy(&copy).await.expect("the copy verifies");
        assert_eq!(people(&copy).await, ["Ines"]);
    });
}

#[test]
fn of_two_who_open_it_at_once_the_second_is_told_to_wait() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = fresh_file(folder.path());
    let lock = OpenOptions::new()
        .create(true)
        .append(true)
        .open(folder.path().join("notebook.sqlite.lock"))
        .expect("the lock file");
    lock.try_lock().expect("nobody has it");
    let said = crate::support::program::run(
        folder.path(),
        &["serve", "--port", "0", "--file", "notebook.sqlite"],
    );
    assert_eq!(said.code, 3, "{said:?}");
    assert!(
        said.err.contains("another Undershell is opening") && said.err.contains("try again"),
        "{}",
        said.err
    );
    drop(lock);
    runtime().block_on(async {
        let (db, _) = db::open(&path, EVENING).await.expect("it opens once the other is done");
        db.pool.close().await;
    });
}

#[test]
fn a_changed_migration_is_noticed() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = older_file(folder.path(), 1);
    runtime().block_on(async {
        let pool = SqlitePool::connect_with(sqlx::sqlite::SqliteConnectOptions::new().filename(&path)).await.expect("it opens");
        sqlx::query("UPDATE _sqlx_migrations SET checksum = x'00' WHERE version = (SELECT min(version) FROM _sqlx_migrations)").execute(&pool).await.expect("changed");
        pool.close().await;
        let failed = db::open(&path, EVENING).await.expect_err("it is refused");
        assert!(failed.to_string().contains("previously applied"), "{failed}");
    });
}

#[test]
fn a_copy_never_overwrites_and_is_never_half_there() {
    let app = App::new();
    app.open_conversion("Tank");
    let target = app.folder().join("copy.sqlite");
    app.with_pool(async |pool| {
        std::fs::write(target.with_extension("sqlite.part"), b"an interrupted copy")
            .expect("written");
        db::copy_to(pool, &target).await.expect("a copy");
        db::verify_copy(&target).await.expect("it verifies");
        assert!(!target.with_extension("sqlite.part").exists());
        let again = db::copy_to(pool, &target).await.expect_err("it is there");
        assert!(again.to_string().contains("exists already"), "{again}");
    });
}

/// The file itself holds the rules, whoever writes into it.
#[test]
fn the_tables_refuse_what_makes_no_sense() {
    let s = crate::support::story::in_mid_build();
    let refused = [
        "UPDATE conversion SET title = ''",
        "UPDATE conversion SET stage = 'garden'",
        "UPDATE conversion SET no = 0",
        "UPDATE conversion SET track_mv = 1",
        "UPDATE conversion SET title = x'00'",
        "UPDATE conversion SET id = x'00'",
        "UPDATE reading SET outcome = 'maybe'",
        "UPDATE reading SET value = NULL WHERE outcome = 'value'",
        "UPDATE reading SET percent = 1",
        "UPDATE reading SET no = 1",
        "UPDATE reading SET steady = 2",
        "UPDATE reading SET conversion_id = randomblob(16)",
        "UPDATE wheel SET axle = 25",
        "UPDATE wheel SET side = 'top'",
        "UPDATE wheel SET axle = 1",
        "UPDATE snag SET how = '' WHERE closed_at IS NOT NULL",
        "UPDATE snag SET severity = 'awful'",
        "UPDATE snag SET blocks = 'garden'",
        "UPDATE note SET text = ''",
        "UPDATE decoder SET motor_continuous_ma = 0",
        "UPDATE decoder SET basis = 'hope'",
        "UPDATE planned_load SET count = 0",
        "UPDATE planned_load SET each_ua = 'much'",
        "UPDATE instrument_range SET up_to = 0",
        "UPDATE change SET before = '{'",
        "UPDATE change SET action = 'vanished'",
        "INSERT INTO person (id, name, created_at) VALUES (randomblob(16), 'INES', 1)",
        "DELETE FROM conversion",
        "DELETE FROM person",
    ];
    s.app.with_pool(async |pool| {
        for sql in refused {
            let mut tx = pool.begin().await.expect("a transaction");
            let done = sqlx::query(sql).execute(&mut *tx).await;
            assert!(done.is_err(), "{sql} was taken: {done:?}");
            tx.rollback().await.expect("undone");
        }
    });
}
