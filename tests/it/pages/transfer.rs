use crate::support::App;
use crate::support::app::MINUTE;
use crate::support::archive::{Files, files, pack, pack_well, replace};
use crate::support::story::in_mid_build;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// The whole notebook as an archive.
fn whole(app: &App) -> Vec<u8> {
    let answer = app.get("/transfer/everything.zip");
    assert_eq!((answer.status, answer.header("content-type")), (200, "application/zip"));
    assert_eq!(
        answer.header("content-disposition"),
        "attachment; filename=\"undershell-2026-11-25.zip\""
    );
    answer.bytes
}

/// One conversion as an archive.
fn one(app: &App, no: i64) -> Vec<u8> {
    let answer = app.get(&format!("/c/{no}/archive.zip"));
    assert_eq!(answer.status, 200, "{}", answer.body);
    answer.bytes
}

/// Uploads an archive that is taken; the address of its preview.
fn upload(app: &App, bytes: &[u8]) -> String {
    app.upload("/transfer/archive", "club.zip", bytes).wrote()
}

/// Brings an archive in with what the preview proposes.
fn bring_in(app: &App, bytes: &[u8]) {
    let preview = upload(app, bytes);
    let form = app.get(&preview).ok().form(&preview);
    let came = app.submit(&form).wrote();
    assert!(app.get(&came).ok().words_shown().contains("It came in."));
}

#[test]
fn an_archive_is_looked_over_shown_and_brought_in() {
    let s = in_mid_build();
    let bytes = one(&s.app, s.no);
    let other = App::new();
    other.write_as("Otto");
    let before = other.everything();
    let preview = upload(&other, &bytes);
    let page = other.get(&preview).ok();
    let words = page.words_shown();
    for wanted in
        ["club.zip: conversion № 1 Centre cab", "Nothing is written yet", "1 new", "Bring it in"]
    {
        assert!(words.contains(wanted), "“{wanted}” is not in {words}");
    }
    assert_eq!(other.everything(), before, "looking writes nothing");
    let came = other.submit(&page.form(&preview)).wrote();
    let words = other.get(&came).ok().words_shown();
    assert!(words.contains("1 conversion") && words.contains("Before it:"), "{words}");
    let shelf = other.get("/").ok().words_shown();
    assert!(shelf.contains("Centre cab"), "{shelf}");
    let history = other.get("/c/1/history").ok().words_shown();
    assert!(history.contains("Otto, by bringing in club.zip"), "{history}");
    assert_eq!(one(&other, 1), bytes, "what came in goes out with identical bytes");
    other.get(&preview).missing();
    let copies = std::fs::read_dir(other.folder()).expect("the folder").flatten();
    let copies = copies.filter(|e| e.file_name().to_string_lossy().contains("before-import"));
    assert_eq!(copies.count(), 1);
}

#[test]
fn the_whole_notebook_comes_around_with_identical_bytes() {
    let s = in_mid_build();
    let bytes = whole(&s.app);
    let other = App::new();
    bring_in(&other, &bytes);
    assert!(whole(&other) == bytes, "not the same bytes");
    let preview = upload(&other, &bytes);
    let words = other.get(&preview).ok().words_shown();
    assert!(words.contains("Everything in it is here already"), "{words}");
}

#[test]
fn sending_the_confirmation_twice_brings_it_in_once() {
    let s = in_mid_build();
    let other = App::new();
    let preview = upload(&other, &one(&s.app, s.no));
    let form = other.get(&preview).ok().form(&preview);
    let first = other.submit(&form).wrote();
    let after = other.everything();
    assert_eq!(other.submit(&form).wrote(), first);
    assert_eq!(other.everything(), after);
}

#[test]
fn an_archive_that_is_let_go_leaves_nothing_behind() {
    let s = in_mid_build();
    let other = App::new();
    let before = other.everything();
    let preview = upload(&other, &one(&s.app, s.no));
    other.post(&format!("{preview}/drop"), &[]).wrote();
    other.get(&preview).missing();
    let kept = upload(&other, &one(&s.app, s.no));
    other.later(61 * MINUTE);
    other.get(&kept).missing();
    assert_eq!(other.everything(), before);
}

#[test]
fn an_archive_that_does_not_wait_is_said_as_a_page() {
    let app = App::new();
    let nobody = "/transfer/archive/01890000-0000-7000-8000-000000000000";
    for path in [nobody, &format!("{nobody}/drop"), "/transfer/archive/x/drop"] {
        let words = app.post(path, &[("taking", "mine")]).missing().words_shown();
        assert!(words.contains("Upload it again"), "{path}: {words}");
    }
}

/// Two notebooks with the same conversion: the one it was written in, and one it was brought into.
fn both() -> (crate::support::story::Story, App) {
    let s = in_mid_build();
    let other = App::new();
    other.write_as("Ines");
    bring_in(&other, &whole(&s.app));
    (s, other)
}

fn edit_snag(app: &App, no: i64, snag: i64, what: &str) {
    let path = format!("/c/{no}/snags/{snag}");
    let form = app.get(&path).ok().form(&path);
    app.submit(&form.with("what", what)).wrote();
}

fn snag(app: &App, snag: i64) -> String {
    app.text(&format!("SELECT what FROM snag WHERE no = {snag}"))
}

#[test]
fn what_was_changed_there_alone_is_proposed_and_taken() {
    let (s, other) = both();
    s.app.later(MINUTE);
    edit_snag(&s.app, s.no, s.snag, "buffer beam glued");
    let preview = upload(&other, &one(&s.app, s.no));
    let page = other.get(&preview).ok();
    let words = page.words_shown();
    assert!(words.contains("Changed there, not here"), "{words}");
    assert!(words.contains("buffer beam loose") && words.contains("buffer beam glued"), "{words}");
    let left = other.submit(&page.form(&preview).without("theirs"));
    left.wrote();
    assert_eq!(snag(&other, s.snag), "buffer beam loose", "unticked, it stays");
    let preview = upload(&other, &one(&s.app, s.no));
    other.submit(&other.get(&preview).ok().form(&preview)).wrote();
    assert_eq!(snag(&other, s.snag), "buffer beam glued");
    let history = other.get(&format!("/c/{}/history", s.no)).ok().words_shown();
    assert!(history.contains("by bringing in club.zip"), "{history}");
}

#[test]
fn what_was_changed_here_alone_stays() {
    let (s, other) = both();
    other.later(MINUTE);
    edit_snag(&other, s.no, s.snag, "buffer beam here");
    let preview = upload(&other, &one(&s.app, s.no));
    let words = other.get(&preview).ok().words_shown();
    assert!(words.contains("Changed here, not there"), "{words}");
    assert!(words.contains("There is nothing to bring in"), "{words}");
    assert_eq!(snag(&other, s.snag), "buffer beam here");
}

#[test]
fn what_was_changed_on_both_sides_is_a_clash_whatever_the_versions_say() {
    let (s, other) = both();
    s.app.later(MINUTE);
    edit_snag(&s.app, s.no, s.snag, "there once");
    edit_snag(&s.app, s.no, s.snag, "there twice");
    other.later(2 * MINUTE);
    edit_snag(&other, s.no, s.snag, "here once");
    let preview = upload(&other, &one(&s.app, s.no));
    let page = other.get(&preview).ok();
    let words = page.words_shown();
    assert!(words.contains("Changed on both sides"), "{words}");
    let form = page.form(&preview);
    assert_eq!(form.value("theirs"), "", "nothing is ticked by itself");
    other.submit(&form).wrote();
    assert_eq!(snag(&other, s.snag), "here once");
    let preview = upload(&other, &one(&s.app, s.no));
    let form = other.get(&preview).ok().form(&preview);
    let id = crate::support::person::dashed(
        &other.text(&format!("SELECT lower(hex(id)) FROM snag WHERE no = {}", s.snag)),
    );
    other.submit(&form.with("theirs", &format!("snag:{id}"))).wrote();
    assert_eq!(snag(&other, s.snag), "there twice");
    let version = format!("SELECT version FROM snag WHERE no = {}", s.snag);
    assert_eq!(other.number(&version), 4, "above both, so that an open form is told");
    let before = "SELECT before FROM change WHERE noun = 'snag' AND via <> '' ORDER BY seq DESC";
    assert!(other.text(before).contains("here once"), "the history keeps what was here");
}

#[test]
fn a_preview_that_is_no_longer_true_writes_nothing() {
    let (s, other) = both();
    s.app.later(MINUTE);
    edit_snag(&s.app, s.no, s.snag, "there");
    let preview = upload(&other, &one(&s.app, s.no));
    let form = other.get(&preview).ok().form(&preview);
    edit_snag(&other, s.no, s.snag, "here meanwhile");
    let before = other.everything();
    let again = other.submit(&form).conflict();
    let words = again.words_shown();
    assert!(words.contains("The notebook changed since this preview was made"), "{words}");
    assert!(words.contains("Changed on both sides"), "{words}");
    assert_eq!(other.everything(), before);
    assert_eq!(snag(&other, s.snag), "here meanwhile");
}

#[test]
fn what_was_put_aside_there_is_told() {
    let (s, other) = both();
    let path = format!("/c/{}/notes/{}/aside", s.no, s.note);
    s.app.post(&path, &[("version", "1")]).wrote();
    let preview = upload(&other, &one(&s.app, s.no));
    let page = other.get(&preview).ok();
    assert!(page.words_shown().contains("put aside or taken back there"), "{}", page.words_shown());
    other.submit(&page.form(&preview)).wrote();
    assert_eq!(other.number("SELECT count(*) FROM note WHERE aside_at IS NOT NULL"), 1);
}

#[test]
fn a_strangers_conversion_gets_free_numbers_and_its_people_are_known_by_name() {
    let s = in_mid_build();
    let other = App::new();
    other.write_as("ines");
    other.open_conversion("Railcar");
    other.own_multimeter("multimeter 1");
    other.open_snag(1, "lamp dark", "small", "");
    let bytes = whole(&s.app);
    let preview = upload(&other, &bytes);
    let words = other.get(&preview).ok().words_shown();
    assert!(words.contains("number 1 is taken here: it becomes 2"), "{words}");
    assert!(
        words.contains("“multimeter 1” is taken here: it becomes “multimeter 1 (2)”"),
        "{words}"
    );
    other.submit(&other.get(&preview).ok().form(&preview)).wrote();
    let page = other.get("/c/2").ok().words_shown();
    assert!(page.contains("Centre cab"), "{page}");
    assert_eq!(other.number("SELECT count(*) FROM person"), 1, "ines is Ines");
    assert_eq!(
        other.number("SELECT count(*) FROM reading r JOIN person p ON p.id = r.person_id"),
        other.number("SELECT count(*) FROM reading")
    );
    let again = upload(&other, &bytes);
    let words = other.get(&again).ok().words_shown();
    assert!(
        words.contains("Everything in it is here already"),
        "numbers and names are this notebook’s own: {words}"
    );
}

#[test]
fn readings_of_two_benches_are_numbered_on() {
    let (s, other) = both();
    s.app.read_pair(s.no, "brush_a:rail_right@in_frame", "open");
    other.later(MINUTE);
    other.read_pair(s.no, "brush_b:rail_right@in_frame", "open");
    let n = other.number("SELECT max(no) FROM reading");
    let preview = upload(&other, &one(&s.app, s.no));
    let words = other.get(&preview).ok().words_shown();
    assert!(words.contains(&format!("number {n} is taken here: it becomes {}", n + 1)), "{words}");
    other.submit(&other.get(&preview).ok().form(&preview)).wrote();
    assert_eq!(other.number("SELECT max(no) FROM reading"), n + 1);
    assert_eq!(other.number("SELECT count(*) FROM reading"), n + 1);
}

/// An archive changed in one way, and a piece of what is said of it.
type Bad = (&'static str, Vec<u8>, &'static str);

fn changed(bytes: &[u8], change: impl FnOnce(&mut Files)) -> Files {
    let mut all = files(bytes);
    change(&mut all);
    all
}

/// Damage that the hashes see, and what does not belong in an archive.
fn damaged(good: &[u8]) -> Vec<Bad> {
    let at =
        |name: &str, from: &str, to: &str| pack(&changed(good, |f| replace(f, name, from, to)));
    let with = |name: &str| {
        pack(&changed(good, |f| {
            f.insert(name.to_owned(), b"x".to_vec());
        }))
    };
    let without = |name: &str| {
        pack(&changed(good, |f| {
            f.remove(name);
        }))
    };
    vec![
        ("nothing", vec![], "No file is chosen yet"),
        ("no zip", b"Dear all".repeat(100), "no zip archive, or it is cut short"),
        ("cut short", good[..good.len() - 60].to_vec(), "cut short"),
        ("cut in half", good[..good.len() / 2].to_vec(), "cut short"),
        ("another value", at("tables/snag.json", "buffer", "bumper"), "not as it was written"),
        ("another schema", at("schemas/snag.json", "snags", "snacks"), "not as it was written"),
        ("another count", at("manifest.json", "\"rows\": 2", "\"rows\": 3"), "the manifest counts"),
        (
            "a newer format",
            at("manifest.json", "\"format_version\": 1", "\"format_version\": 2"),
            "format version 2",
        ),
        (
            "no format",
            at("manifest.json", "undershell-archive", "recipes"),
            "not that of an Undershell archive",
        ),
        ("no JSON", at("manifest.json", "{", "["), "manifest can’t be read"),
        ("an unknown key", at("manifest.json", "\"layout\"", "\"lay\""), "manifest can’t be read"),
        (
            "an unknown table",
            at("manifest.json", "\"name\": \"snag\"", "\"name\": \"recipe\""),
            "“recipe” that is not known",
        ),
        ("a table twice", at("manifest.json", "\"name\": \"note\"", "\"name\": \"snag\""), "twice"),
        ("no manifest", without("manifest.json"), "no manifest.json"),
        ("no table", without("tables/snag.json"), "tables/snag.json is missing"),
        ("no schema", without("schemas/snag.json"), "schemas/snag.json is missing"),
        ("an extra table", with("tables/recipe.json"), "that its manifest does not name"),
        ("a path upwards", with("../snag.json"), "belongs in no archive"),
        ("a path from the root", with("/etc/passwd"), "belongs in no archive"),
        ("a path of another system", with("tables\\snag.json"), "belongs in no archive"),
        ("a program", with("tables/run.exe"), "belongs in no archive"),
    ]
}

/// Archives whose hashes are right and whose rows are not.
fn wrong_inside(good: &[u8]) -> Vec<Bad> {
    let at =
        |name: &str, from: &str, to: &str| pack_well(changed(good, |f| replace(f, name, from, to)));
    let twice = pack_well(changed(good, |f| {
        let text = String::from_utf8(f["tables/note.json"].clone()).expect("text");
        let row = text.lines().nth(1).expect("a row").trim_end_matches(',').to_owned();
        f.insert("tables/note.json".to_owned(), format!("[\n{row},\n{row}\n]\n").into_bytes());
    }));
    let lost = pack_well(changed(good, |f| {
        f.insert("tables/wheel.json".to_owned(), b"[]\n".to_vec());
    }));
    vec![
        (
            "a column unknown to its schema",
            at("tables/snag.json", "\"how\"", "\"recipe\""),
            "has no how",
        ),
        (
            "an unknown column",
            pack_well(changed(good, |f| {
                replace(f, "schemas/snag.json", "\"how\": {", "\"recipe\": {");
            })),
            "a column “recipe” that is not known here",
        ),
        (
            "a text for a number",
            at("tables/snag.json", "\"version\":1", "\"version\":\"1\""),
            "must be a whole number",
        ),
        (
            "nothing where something must be",
            at("tables/snag.json", "\"version\":1", "\"version\":null"),
            "must be filled",
        ),
        ("a broken id", at("tables/snag.json", "{\"id\":\"", "{\"id\":\"x"), "must be a UUID"),
        ("one key twice", twice, "the same key as a row before it"),
        (
            "a reference to nothing",
            lost,
            "refers by its wheel_id to a wheel that is not in the archive",
        ),
        (
            "a value no rule allows",
            at("tables/snag.json", "\"small\"", "\"huge\""),
            "breaks a rule of the notebook (snag_severity)",
        ),
        (
            "a story that makes no sense",
            at("tables/reading.json", "\"no\":1,", "\"no\":77,"),
            "numbered from 1 without a gap",
        ),
    ]
}

/// Zips that are made to do harm.
fn harmful(good: &[u8]) -> Vec<Bad> {
    let mut bomb = ZipWriter::new(Cursor::new(Vec::new()));
    for i in 0..6 {
        bomb.start_file(format!("tables/t{i}.json"), SimpleFileOptions::default())
            .expect("an entry");
        for _ in 0..50 {
            bomb.write_all(&vec![b' '; 1 << 20]).expect("written");
        }
    }
    let bomb = bomb.finish().expect("a zip").into_inner();
    let mut many = Files::new();
    for i in 0..300 {
        many.insert(format!("tables/t{i}.json"), b"[]".to_vec());
    }
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let mut twins = ZipWriter::new(Cursor::new(Vec::new()));
    for name in ["tables/snag.json", "tables/snaG.json"] {
        twins.start_file(name, stored).expect("an entry");
        twins.write_all(b"[]").expect("written");
    }
    // the writer refuses two files of one name: the second gets it afterwards
    let mut twins = twins.finish().expect("a zip").into_inner();
    while let Some(at) = twins.windows(4).position(|w| w == b"snaG") {
        twins[at..at + 4].copy_from_slice(b"snag");
    }
    let mut link = ZipWriter::new(Cursor::new(Vec::new()));
    link.add_symlink("tables/snag.json", "/etc/passwd", SimpleFileOptions::default())
        .expect("a link");
    let link = link.finish().expect("a zip").into_inner();
    let mut flipped = good.to_vec();
    // the flag of a password on the first file, in its local and its central header
    let central = flipped.windows(4).position(|w| w == b"PK\x01\x02").expect("a directory");
    flipped[6] |= 1;
    flipped[central + 8] |= 1;
    vec![
        ("a bomb", bomb, "made to do harm"),
        ("three hundred files", pack(&many), "200 is the most"),
        ("two files of one name", twins, "two files of one name"),
        ("a link", link, "belongs in no archive"),
        ("a locked file", flipped, "only stored and deflated"),
    ]
}

#[test]
fn bad_archives_are_refused_in_one_sentence_and_leave_nothing_behind() {
    let s = in_mid_build();
    let good = one(&s.app, s.no);
    let other = App::new();
    other.open_conversion("Railcar");
    let before = other.everything();
    let files_before = std::fs::read_dir(other.folder()).expect("the folder").count();
    let mut wrong = Vec::new();
    for (what, bytes, piece) in
        damaged(&good).into_iter().chain(wrong_inside(&good)).chain(harmful(&good))
    {
        let answer = other.upload("/transfer/archive", "bad.zip", &bytes);
        // what only the rules of the notebook see is refused when it is brought in
        let answer = if answer.status == 303 {
            let preview = answer.wrote();
            other.submit(&other.get(&preview).ok().form(&preview))
        } else {
            answer
        };
        let words = if answer.is_html() {
            crate::support::Html::read(&answer.body).words_shown()
        } else {
            answer.body.clone()
        };
        if answer.status != 422 || !words.contains(piece) {
            wrong.push(format!("{what}: {} {words}", answer.status));
        }
        if other.everything() != before {
            wrong.push(format!("{what}: something was written"));
        }
        let now = std::fs::read_dir(other.folder()).expect("the folder").count();
        if now != files_before {
            wrong.push(format!("{what}: a file was left behind"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn an_older_archive_without_a_newer_column_is_taken_with_its_default() {
    let s = in_mid_build();
    let older = pack_well(changed(&one(&s.app, s.no), |f| {
        for name in ["tables/change.json", "schemas/change.json"] {
            let text = String::from_utf8(f[name].clone()).expect("text");
            let mut value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
            match value.as_array_mut() {
                Some(rows) => {
                    for row in rows {
                        row.as_object_mut().expect("a row").shift_remove("via");
                    }
                }
                None => {
                    value["items"]["properties"]
                        .as_object_mut()
                        .expect("columns")
                        .shift_remove("via");
                }
            }
            f.insert(name.to_owned(), value.to_string().into_bytes());
        }
    }));
    let other = App::new();
    bring_in(&other, &older);
    assert_eq!(other.number("SELECT count(*) FROM snag"), 2);
}

#[test]
fn tables_for_a_spreadsheet_have_units_and_no_formulas() {
    let s = in_mid_build();
    s.app.open_conversion("=HYPERLINK(\"http://evil.example\")");
    s.app.write_load_test(2, "12", ["0.27", "", ""]);
    let csv = s.app.get("/transfer/readings.csv");
    assert_eq!(csv.header("content-type"), "text/csv; charset=utf-8; header=present");
    let lines: Vec<&str> = csv.body.split("\r\n").collect();
    assert!(
        lines[0]
            .starts_with("conversion,title,reading,what,kind,reads,value,unit,at least,at most"),
        "{}",
        lines[0]
    );
    assert!(lines[0].contains("voltage at the loco (V)"));
    let readings = s.app.number("SELECT count(*) FROM reading");
    assert_eq!(i64::try_from(lines.len()).expect("a count"), readings + 2);
    let held = lines.iter().find(|l| l.contains("Held current")).expect("the held current");
    assert!(held.contains(",0.8,A,"), "{held}");
    let formula = lines.iter().find(|l| l.starts_with("2,")).expect("the other conversion");
    assert!(formula.contains(",\"'=HYPERLINK(\"\"http://evil.example\"\")\","), "{formula}");
    let own = s.app.get(&format!("/c/{}/readings.csv", s.no));
    assert_eq!(own.body.split("\r\n").count() + 1, lines.len());
    s.app
        .post(
            "/parts",
            &[
                ("token", ""),
                ("name", "-2+3 lamps"),
                ("kind", "lamp"),
                ("quantity", "2"),
                ("state", "wanted"),
            ],
        )
        .wrote();
    let parts = s.app.get("/transfer/parts.csv");
    assert_eq!(
        parts.header("content-disposition"),
        "attachment; filename=\"parts-2026-11-25.csv\""
    );
    assert!(parts.body.starts_with("part,conversion,title,name,"), "{}", parts.body);
    assert!(
        parts.body.contains("length (mm)") && parts.body.contains("\"'-2+3 lamps\""),
        "{}",
        parts.body
    );
}

#[test]
fn an_empty_notebook_says_what_to_do_first() {
    let app = App::new();
    let words = app.get("/transfer").ok().words_shown();
    assert!(
        words.contains("Begin one on the shelf") && words.contains("Choose an archive"),
        "{words}"
    );
    let bytes = whole(&app);
    let preview = upload(&app, &bytes);
    assert!(app.get(&preview).ok().words_shown().contains("The archive is empty"));
    let s = in_mid_build();
    let page = s.app.get("/transfer?no=1").ok();
    assert!(page.words_shown().contains("№ 1 Centre cab"), "{}", page.words_shown());
    assert_eq!(s.app.get("/transfer/conversion?no=1").wrote(), "/c/1/archive.zip");
    assert!(s.app.get("/settings").ok().words_shown().contains("Take the notebook along"));
    assert!(s.app.get("/c/1").ok().words_shown().contains("Take along"));
}
