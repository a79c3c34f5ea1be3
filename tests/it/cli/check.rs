use crate::support::app::{EVENING, fresh_file};
use crate::support::program::{Said, no_file, run};
use crate::support::story::in_mid_build;
use std::os::unix::fs::FileExt as _;
use std::path::Path;

fn check(file: &Path) -> Said {
    let folder = file.parent().expect("a folder");
    run(folder, &["check", "--file", file.to_str().expect("a plain name")])
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

/// A copy of a notebook with something in it, closed.
fn story_file(folder: &Path) -> std::path::PathBuf {
    let story = in_mid_build();
    let copy = folder.join("story.sqlite");
    let target = copy.clone();
    story
        .app
        .with_pool(async |pool| undershell::db::copy_to(pool, &target).await)
        .expect("a verified copy");
    copy
}

#[test]
fn a_sound_notebook_is_reported_in_words_and_ends_with_0() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    let before = std::fs::read(&file).expect("the file");
    let said = check(&file);
    assert_eq!(said.code, 0, "{said:?}");
    for words in [
        "story.sqlite",
        "structure of the file: sound",
        "references between records",
        "steps, current",
        "1 conversions",
        "2 snags",
        "Nothing wrong found.",
    ] {
        assert!(said.out.contains(words), "“{words}” is not in\n{}", said.out);
    }
    assert_eq!(std::fs::read(&file).expect("the file"), before, "looking does not change the file");
}

#[test]
fn an_empty_notebook_is_sound() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    assert_eq!(check(&fresh_file(folder.path())).code, 0);
}

#[test]
fn broken_rules_are_named_and_end_with_1() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    sql(
        &file,
        "UPDATE snag SET closed_at = opened_at - 1, how = 'x' WHERE no = 2; DELETE FROM reading WHERE no = 1;",
    );
    let said = check(&file);
    assert_eq!(said.code, 1, "{said:?}");
    for words in [
        "Wrong:",
        "closed after it was opened",
        "snag 2",
        "numbered from 1 without a gap",
        "go back to the newest copy",
    ] {
        assert!(said.out.contains(words), "“{words}” is not in\n{}", said.out);
    }
}

#[test]
fn a_reference_that_leads_nowhere_is_named() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    sql(&file, "PRAGMA foreign_keys = OFF; DELETE FROM conversion;");
    let said = check(&file);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.out.contains("points at a missing conversion"), "{}", said.out);
}

#[test]
fn a_damaged_file_is_never_called_sound() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    let length = std::fs::metadata(&file).expect("the file").len();
    let damaged = std::fs::OpenOptions::new().write(true).open(&file).expect("the file");
    let pages = length / 4096;
    for page in 2..pages {
        damaged.write_all_at(&[0xA5; 700], page * 4096 + 40).expect("written");
    }
    drop(damaged);
    let said = check(&file);
    assert!(said.code == 1 || said.code == 3, "{said:?}");
    assert!(!said.out.contains("Nothing wrong found"), "{}", said.out);
    assert!(said.out.contains("structure") || said.err.contains("malformed"), "{said:?}");
}

#[test]
fn half_a_file_is_never_called_sound() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = story_file(folder.path());
    let bytes = std::fs::read(&file).expect("the file");
    std::fs::write(&file, &bytes[..bytes.len() / 2]).expect("written");
    let said = check(&file);
    assert!(said.code == 1 || said.code == 3, "{said:?}");
    assert!(!said.out.contains("Nothing wrong found"), "{}", said.out);
}

#[test]
fn a_file_of_another_program_is_called_what_it_is() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let foreign = folder.path().join("foreign.sqlite");
    std::fs::write(&foreign, b"").expect("written");
    sql(&foreign, "CREATE TABLE recipes (cake TEXT);");
    let said = check(&foreign);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.out.contains("not an Undershell notebook"), "{}", said.out);
    let letter = folder.path().join("letter.txt");
    std::fs::write(&letter, "Dear all, ".repeat(2000)).expect("written");
    let said = check(&letter);
    assert!(said.code != 0 && !said.out.contains("Nothing wrong"), "{said:?}");
    assert!(
        said.err.contains("not a database") || said.out.contains("not an Undershell notebook"),
        "{said:?}"
    );
    assert!(std::fs::read_to_string(&letter).expect("the letter").starts_with("Dear all"));
}

#[test]
fn a_file_that_is_not_there_ends_with_3_and_is_not_made() {
    let (folder, file) = no_file();
    let said = check(&file);
    assert_eq!((said.code, said.out.as_str()), (3, ""));
    assert!(said.err.contains("there is no file"), "{}", said.err);
    assert!(!file.exists());
    let said = run(folder.path(), &["check"]);
    assert_eq!(said.code, 3, "the default file is not there either");
    let said = run(folder.path(), &["check", "--file", "."]);
    assert_eq!(said.code, 3, "a folder is no file");
}

#[test]
fn a_newer_file_is_called_newer_and_nobody_is_told_to_serve_it() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = newer_file(folder.path());
    let said = check(&file);
    assert_eq!(said.code, 1, "{said:?}");
    assert!(said.out.contains("newer Undershell"), "{}", said.out);
    assert!(!said.out.contains("open it once with"), "opening it is refused: {}", said.out);
}

/// A notebook with one migration more than this program knows.
pub fn newer_file(folder: &Path) -> std::path::PathBuf {
    let file = fresh_file(folder);
    let row = format!(
        "INSERT INTO _sqlx_migrations (version, description, installed_on, success, checksum, execution_time) VALUES (29990101000000, 'later', {EVENING}, 1, x'00', 0);"
    );
    sql(&file, &row);
    file
}
