use crate::support::archive::{files, pack, pack_well, replace};
use crate::support::program::{Serving, run};
use crate::support::story::in_mid_build;
use std::path::Path;

/// A notebook with something in it.
fn story_file(folder: &Path) {
    let story = in_mid_build();
    let target = folder.join("bench.sqlite");
    story
        .app
        .with_pool(async |pool| undershell::db::copy_to(pool, &target).await)
        .expect("a verified copy");
}

fn count(folder: &Path) -> usize {
    std::fs::read_dir(folder).expect("the folder").count()
}

#[test]
fn out_in_and_out_again_gives_identical_bytes() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    story_file(folder.path());
    for (what, more) in [("all", &[][..]), ("one", &["--conversion", "1"])] {
        let (first, again) = (format!("{what}.zip"), format!("{what}-again.zip"));
        let fresh = format!("{what}.sqlite");
        let mut call = vec!["export", &first, "--file", "bench.sqlite"];
        call.extend(more);
        let out = run(folder.path(), &call);
        assert_eq!((out.code, out.err.as_str()), (0, ""), "{out:?}");
        assert!(out.out.contains("sha256 "), "{}", out.out);
        let dry = run(folder.path(), &["import", "--dry-run", &first, "--file", &fresh]);
        assert_eq!(dry.code, 0, "{dry:?}");
        assert!(dry.out.contains("Conversions: 1 new"), "{}", dry.out);
        assert!(dry.out.contains("this was a dry run"), "{}", dry.out);
        assert!(!folder.path().join(&fresh).exists(), "a dry run makes no notebook");
        let came = run(folder.path(), &["import", &first, "--file", &fresh]);
        assert_eq!((came.code, came.err.as_str()), (0, ""), "{came:?}");
        assert!(
            came.out.contains("1 conversion") && came.out.contains("as it was before"),
            "{}",
            came.out
        );
        let mut call = vec!["export", &again, "--file", &fresh];
        call.extend(more);
        assert_eq!(run(folder.path(), &call).code, 0);
        let read = |name: &str| std::fs::read(folder.path().join(name)).expect("the archive");
        assert!(read(&first) == read(&again), "{what}: not the same bytes");
        assert_eq!(run(folder.path(), &["check", "--file", &fresh]).code, 0);
        let twice = run(folder.path(), &["import", &first, "--file", &fresh]);
        assert_eq!(twice.code, 0);
        assert!(twice.out.contains("Everything in it is here already"), "{}", twice.out);
    }
}

#[test]
fn an_archive_is_exported_and_imported_while_the_notebook_is_served() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    story_file(folder.path());
    let bench = Serving::file(&folder.path().join("bench.sqlite"));
    assert_eq!(run(folder.path(), &["export", "all.zip", "--file", "bench.sqlite"]).code, 0);
    let club = Serving::file(&folder.path().join("club.sqlite"));
    assert_eq!(run(folder.path(), &["import", "all.zip", "--file", "club.sqlite"]).code, 0);
    assert!(club.get("/").1.contains("Centre cab"));
    assert_eq!(bench.get("/c/1").0, 200);
}

#[test]
fn records_that_are_here_already_are_only_written_over_when_told() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    story_file(folder.path());
    assert_eq!(run(folder.path(), &["export", "old.zip", "--file", "bench.sqlite"]).code, 0);
    assert_eq!(run(folder.path(), &["import", "old.zip", "--file", "club.sqlite"]).code, 0);
    let bench = Serving::file(&folder.path().join("bench.sqlite"));
    let edited = bench.post("/c/1/snags/2", "version=1&what=buffer+beam+glued&severity=small");
    assert_eq!(edited.0, 303, "{}", edited.1);
    bench.stop("TERM");
    assert_eq!(run(folder.path(), &["export", "new.zip", "--file", "bench.sqlite"]).code, 0);
    let read = || std::fs::read(folder.path().join("club.sqlite")).expect("the notebook");
    let before = read();
    let asked = run(folder.path(), &["import", "new.zip", "--file", "club.sqlite"]);
    assert_eq!(asked.code, 1, "{asked:?}");
    assert!(asked.out.contains("changed there: № 1 · snag 2"), "{}", asked.out);
    assert!(
        asked.out.contains("what: here buffer beam loose, there buffer beam glued"),
        "{}",
        asked.out
    );
    assert!(asked.err.contains("--take newer"), "{}", asked.err);
    assert!(read() == before, "nothing was written");
    let mine =
        run(folder.path(), &["import", "new.zip", "--take", "mine", "--file", "club.sqlite"]);
    assert!(mine.code == 0 && mine.out.contains("0 written over, 1 left"), "{mine:?}");
    let newer =
        run(folder.path(), &["import", "new.zip", "--take", "newer", "--file", "club.sqlite"]);
    assert!(newer.code == 0 && newer.out.contains("1 written over, 0 left"), "{newer:?}");
    let same = run(folder.path(), &["import", "--dry-run", "new.zip", "--file", "club.sqlite"]);
    assert!(same.out.contains("Snags: 2 the same"), "{}", same.out);
}

#[test]
fn what_is_not_taken_ends_with_1_says_why_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    story_file(folder.path());
    assert_eq!(run(folder.path(), &["export", "good.zip", "--file", "bench.sqlite"]).code, 0);
    let good = std::fs::read(folder.path().join("good.zip")).expect("the archive");
    let mut wrong_hash = files(&good);
    replace(&mut wrong_hash, "tables/snag.json", "buffer", "bumper");
    let mut rule = files(&good);
    replace(&mut rule, "tables/snag.json", "\"small\"", "\"huge\"");
    for (name, bytes, words) in [
        ("cut.zip", good[..good.len() / 3].to_vec(), "cut short"),
        ("hash.zip", pack(&wrong_hash), "not as it was written"),
        ("rule.zip", pack_well(rule), "snag_severity"),
        ("letter.txt", b"Dear all".to_vec(), "no zip archive"),
    ] {
        std::fs::write(folder.path().join(name), bytes).expect("written");
        let before = count(folder.path());
        let said = run(folder.path(), &["import", name, "--file", "none.sqlite"]);
        assert_eq!(said.code, 1, "{name}: {said:?}");
        assert!(said.err.contains(words), "{name}: {}", said.err);
        assert_eq!(count(folder.path()), before, "{name}: something was left behind");
    }
    for call in [
        &["export", "good.zip", "--file", "bench.sqlite"][..],
        &["export", "x.zip", "--file", "gone.sqlite"],
        &["import", "gone.zip", "--file", "bench.sqlite"],
        &["import", ".", "--file", "bench.sqlite"],
    ] {
        let said = run(folder.path(), call);
        assert_eq!((said.code, said.out.as_str()), (3, ""), "{call:?}: {said:?}");
    }
    let said =
        run(folder.path(), &["export", "x.zip", "--conversion", "99", "--file", "bench.sqlite"]);
    assert_eq!(said.code, 1);
    assert!(said.err.contains("no conversion № 99"), "{}", said.err);
    assert!(!folder.path().join("x.zip").exists());
}
