use crate::support::app::fresh_file;
use crate::support::program::{Line, Serving, run};
use crate::support::story::in_mid_build;
use std::path::{Path, PathBuf};

/// A notebook with something in it, in a folder of its own.
fn story_file(folder: &Path) -> PathBuf {
    let story = in_mid_build();
    let copy = folder.join("notebook.sqlite");
    let target = copy.clone();
    story
        .app
        .with_pool(async |pool| undershell::db::copy_to(pool, &target).await)
        .expect("a verified copy");
    copy
}

fn hash(said: &str) -> String {
    let line = said.lines().find_map(|l| l.strip_prefix("sha256 "));
    line.expect("a hash is printed").to_owned()
}

fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder")
        .flatten()
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    all.sort();
    all
}

#[test]
fn a_backup_made_while_people_write_is_restored_with_the_same_hash() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    let serving = Serving::file(&file);
    let address = serving.address.clone();
    let writer = std::thread::spawn(move || {
        let mut line = Line::open(&address).expect("it listens");
        for i in 0..40 {
            let (status, _) =
                line.ask("POST", "/c/1/notes", Some(&format!("text=note+{i}"))).expect("an answer");
            assert_eq!(status, 303);
        }
    });
    let made = run(folder.path(), &["backup", "backup.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!((made.code, made.err.as_str()), (0, ""), "{made:?}");
    assert!(made.out.contains("verified"), "{}", made.out);
    writer.join().expect("every note is written");

    let held = run(folder.path(), &["restore", "backup.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(held.code, 3, "{held:?}");
    assert!(held.err.contains("is open in another program: stop it first"), "{}", held.err);
    assert!(held.err.contains("Nothing was changed"), "{}", held.err);
    serving.stop("TERM");

    let done = run(folder.path(), &["restore", "backup.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{done:?}");
    assert_eq!(hash(&done.out), hash(&made.out));
    assert_eq!(
        std::fs::read(folder.path().join("notebook.sqlite")).expect("the notebook"),
        std::fs::read(folder.path().join("backup.sqlite")).expect("the backup")
    );
    let kept = names(folder.path()).into_iter().find(|n| n.contains(".before-restore-"));
    let kept = kept.expect("the notebook as it was stays beside it");
    let notes = run(folder.path(), &["check", "--file", &kept]);
    assert_eq!(notes.code, 0, "{notes:?}");
    assert_eq!(run(folder.path(), &["check", "--file", "notebook.sqlite"]).code, 0);
    let again = Serving::file(&file);
    let (status, _) =
        Line::open(&again.address).expect("it listens").ask("GET", "/c/1", None).expect("a page");
    assert_eq!(status, 200);
}

#[test]
fn a_backup_is_never_written_over_another_file() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = fresh_file(folder.path());
    std::fs::write(folder.path().join("letter.txt"), "Dear all").expect("written");
    let said = run(folder.path(), &["backup", "letter.txt", "--file", "notebook.sqlite"]);
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.err.contains("exists already"), "{}", said.err);
    let same = run(folder.path(), &["backup", "notebook.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(same.code, 3);
    let nowhere = run(folder.path(), &["backup", "none/b.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(nowhere.code, 3, "{nowhere:?}");
    let none = run(folder.path(), &["backup", "b.sqlite", "--file", "gone.sqlite"]);
    assert_eq!(none.code, 3);
    assert!(none.err.contains("there is no file"), "{}", none.err);
    assert_eq!(std::fs::read_to_string(folder.path().join("letter.txt")).expect("it"), "Dear all");
    assert!(file.exists());
}

/// Runs SQL on a file, outside the program.
fn sql(file: &Path, statements: &str) {
    let runtime =
        tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    runtime.block_on(async {
        let options = sqlx::sqlite::SqliteConnectOptions::new().filename(file).foreign_keys(false);
        let pool = sqlx::SqlitePool::connect_with(options).await.expect("the file opens");
        sqlx::raw_sql(sqlx::AssertSqlSafe(statements.to_owned()))
            .execute(&pool)
            .await
            .expect("the statements run");
        pool.close().await;
    });
}

#[test]
fn what_is_no_sound_backup_is_refused_and_changes_nothing() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    let whole = std::fs::read(&file).expect("the notebook");
    let backup = |name: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, &whole).expect("written");
        path
    };
    sql(
        &backup("newer.sqlite"),
        "INSERT INTO _sqlx_migrations (version, description, installed_on, success, checksum, execution_time) VALUES (29990101000000, 'later', 0, 1, x'00', 0)",
    );
    sql(
        &backup("trigger.sqlite"),
        "CREATE TRIGGER t AFTER INSERT ON note BEGIN DELETE FROM note; END",
    );
    sql(&backup("table.sqlite"), "CREATE TABLE more (x TEXT)");
    sql(&backup("orphan.sqlite"), "DELETE FROM conversion");
    std::fs::write(folder.path().join("half.sqlite"), &whole[..whole.len() / 2]).expect("written");
    std::fs::write(folder.path().join("letter.txt"), "Dear all, ".repeat(900)).expect("written");
    std::fs::write(folder.path().join("empty.sqlite"), b"").expect("written");
    backup("live.sqlite");
    std::fs::write(folder.path().join("live.sqlite-wal"), b"log").expect("written");
    let before = names(folder.path());
    for (name, words) in [
        ("newer.sqlite", "newer Undershell"),
        ("trigger.sqlite", "not those Undershell makes"),
        ("table.sqlite", "not those Undershell makes"),
        ("orphan.sqlite", "broken references"),
        ("half.sqlite", "half.sqlite"),
        ("letter.txt", "not a sound SQLite file"),
        ("empty.sqlite", "not an Undershell notebook"),
        ("live.sqlite", "write-ahead log"),
        ("gone.sqlite", "there is no file"),
    ] {
        let said = run(folder.path(), &["restore", name, "--file", "notebook.sqlite"]);
        assert_eq!((said.code, said.out.as_str()), (1, ""), "{name}: {said:?}");
        assert!(said.err.contains(words), "{name}: {}", said.err);
        assert!(said.err.contains("Nothing was changed"), "{name}: {}", said.err);
    }
    let itself = run(folder.path(), &["restore", "notebook.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(itself.code, 3, "{itself:?}");
    assert_eq!(std::fs::read(&file).expect("the notebook"), whole);
    let mut after = names(folder.path());
    after.retain(|n| n != "notebook.sqlite.lock");
    assert_eq!(after, before, "nothing is left behind");
}

#[test]
fn a_damaged_notebook_is_put_aside_with_its_log_and_restored_over() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    std::fs::copy(&file, folder.path().join("backup.sqlite")).expect("copied");
    std::fs::write(&file, "not a database any more ".repeat(400)).expect("written");
    let said = run(folder.path(), &["restore", "backup.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(said.code, 0, "{said:?}");
    assert_eq!(run(folder.path(), &["check", "--file", "notebook.sqlite"]).code, 0);
    std::fs::remove_file(&file).expect("gone");
    let said = run(folder.path(), &["restore", "backup.sqlite", "--file", "notebook.sqlite"]);
    assert_eq!(said.code, 0, "where there is no notebook it is simply put there: {said:?}");
    assert!(!said.out.contains("as it was before"), "{}", said.out);
}
