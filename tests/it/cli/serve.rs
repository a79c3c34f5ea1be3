use super::check::newer_file;
use crate::support::app::fresh_file;
use crate::support::program::{Serving, command, no_file, run};
use std::path::Path;
use std::process::Stdio;

#[test]
fn it_says_where_the_notebook_is_and_where_it_listens() {
    let (_folder, file) = no_file();
    let serving = Serving::file(&file);
    let full = file.display().to_string();
    assert_eq!(serving.lines[0], format!("new notebook {full}"));
    assert!(serving.address.starts_with("127.0.0.1:"), "this machine only: {}", serving.address);
    assert_eq!(serving.get("/healthz"), (200, "ok".to_owned()));
    assert_eq!(serving.stop("TERM"), Some(0));
    let again = Serving::file(&file);
    assert_eq!(again.lines[0], format!("notebook {full}"));
}

#[test]
fn a_notebook_named_in_short_is_said_with_its_whole_path() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let serving = Serving::start(command(folder.path()).args(["--port", "0"]));
    let full = folder.path().canonicalize().expect("a path").join("undershell.sqlite");
    assert!(
        serving.lines[0].ends_with(&full.display().to_string()),
        "{:?} {full:?}",
        serving.lines
    );
}

#[test]
fn it_stops_on_either_signal_with_0_and_leaves_one_file() {
    for signal in ["TERM", "INT"] {
        let (folder, file) = no_file();
        let serving = Serving::file(&file);
        assert_eq!(serving.post("/people", "name=Ines").0, 303);
        assert_eq!(serving.stop(signal), Some(0), "{signal}");
        let left: Vec<String> = std::fs::read_dir(folder.path())
            .expect("the folder")
            .flatten()
            .map(|e| e.file_name().to_string_lossy().into_owned())
            .collect();
        assert!(!left.iter().any(|n| n.ends_with("-wal") || n.ends_with("-shm")), "{left:?}");
        let said = run(folder.path(), &["check", "--file", "notebook.sqlite"]);
        assert_eq!(said.code, 0, "{said:?}");
        assert!(Serving::file(&file).get("/people").1.contains("Ines"));
    }
}

#[test]
fn an_answer_begun_before_the_signal_is_finished() {
    let (_folder, file) = no_file();
    let serving = Serving::file(&file);
    let address = serving.address.clone();
    let asking = std::thread::spawn(move || {
        let mut answered = 0;
        while let Ok(mut line) = crate::support::program::Line::open(&address) {
            match line.ask("GET", "/calc", None) {
                Ok((200, body)) if body.ends_with("</html>") => answered += 1,
                // the connection was never taken up: nothing was begun
                Err(_) => break,
                Ok((status, body)) => panic!("{status} with {} bytes", body.len()),
            }
        }
        answered
    });
    std::thread::sleep(std::time::Duration::from_millis(300));
    assert_eq!(serving.stop("TERM"), Some(0));
    assert!(asking.join().expect("no answer was cut off") > 0);
}

#[test]
fn a_port_that_is_taken_ends_with_3_and_says_what_to_do() {
    let (folder, file) = no_file();
    let serving = Serving::file(&file);
    let port = serving.address.rsplit(':').next().expect("a port").to_owned();
    let said = run(folder.path(), &["serve", "--file", "other.sqlite", "--port", &port]);
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.err.contains("can't listen") && said.err.contains("--port 0"), "{}", said.err);
}

#[test]
fn a_folder_that_is_not_there_ends_with_3() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = run(folder.path(), &["serve", "--port", "0", "--file", "nowhere/n.sqlite"]);
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.err.contains("does not exist"), "{}", said.err);
}

#[test]
fn a_newer_or_a_foreign_file_is_not_opened_and_not_touched() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let newer = newer_file(folder.path());
    let foreign = folder.path().join("letter.sqlite");
    std::fs::write(&foreign, "Dear all, ".repeat(2000)).expect("written");
    for (file, words) in [(&newer, "newer Undershell"), (&foreign, "not a database")] {
        let before = std::fs::read(file).expect("the file");
        let said =
            run(folder.path(), &["serve", "--port", "0", "--file", file.to_str().expect("a name")]);
        assert_eq!(said.code, 3, "{said:?}");
        assert!(said.err.contains(words), "{}", said.err);
        assert_eq!(std::fs::read(file).expect("the file"), before, "{}", file.display());
    }
}

fn demo_call(folder: &Path, more: &[&str]) -> std::process::Command {
    let mut call = command(folder);
    call.args(["demo", "--port", "0"]).args(more);
    call
}

#[test]
fn the_demo_refuses_a_file_that_is_there() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = fresh_file(folder.path());
    let before = std::fs::read(&file).expect("the file");
    let output = demo_call(folder.path(), &["--file", "notebook.sqlite"])
        .stdin(Stdio::null())
        .output()
        .expect("it runs");
    assert_eq!(output.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&output.stderr).contains("is there already"));
    assert_eq!(std::fs::read(&file).expect("the file"), before);
}

#[test]
fn the_demo_cleans_up_after_itself_unless_its_file_was_named() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let serving = Serving::start(&mut demo_call(folder.path(), &[]));
    assert_eq!(serving.get("/").0, 200);
    assert_eq!(serving.stop("TERM"), Some(0));
    let left: Vec<_> = std::fs::read_dir(folder.path())
        .expect("the folder")
        .flatten()
        .map(|e| e.file_name())
        .collect();
    assert!(left.is_empty(), "{left:?}");
    let serving = Serving::start(&mut demo_call(folder.path(), &["--file", "kept.sqlite"]));
    assert_eq!(serving.stop("TERM"), Some(0));
    let said = run(folder.path(), &["check", "--file", "kept.sqlite"]);
    assert_eq!(said.code, 0, "what the demo writes keeps every rule: {said:?}");
}

#[test]
fn the_demo_tells_its_story() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let serving = Serving::start(&mut demo_call(folder.path(), &[]));
    let (_, shelf) = serving.get("/");
    let page = crate::support::Html::read(&shelf);
    page.shows("In work").shows("In service").shows("Given up");
    let readings: usize = (1..=8)
        .map(|no| serving.get(&format!("/c/{no}/readings")))
        .filter(|(status, _)| *status == 200)
        .map(|(_, body)| crate::support::Html::read(&body).all("main tbody tr").len())
        .sum();
    assert!(readings >= 40, "{readings} readings");
}

#[test]
fn a_notebook_open_to_others_says_so() {
    let (_folder, file) = no_file();
    let call = &mut command(file.parent().expect("a folder"));
    let serving =
        Serving::start(call.args(["--port", "0", "--address", "0.0.0.0", "--file"]).arg(&file));
    assert!(
        serving.lines.iter().any(|l| l.contains("Anybody who reaches this address")),
        "{:?}",
        serving.lines
    );
}

#[test]
fn log_lines_carry_a_request_id_and_go_to_standard_error() {
    let (folder, file) = no_file();
    let mut call = command(folder.path());
    call.env("RUST_LOG", "undershell=info,tower_http=debug")
        .args(["--port", "0", "--log-json", "--file"])
        .arg(&file);
    let log = folder.path().join("log");
    call.stderr(std::fs::File::create(&log).expect("a file"));
    let mut child = call.stdout(Stdio::piped()).stdin(Stdio::null()).spawn().expect("it starts");
    let mut lines =
        std::io::BufRead::lines(std::io::BufReader::new(child.stdout.take().expect("its output")));
    let address = lines
        .by_ref()
        .flatten()
        .find_map(|l| l.strip_prefix("listening on http://").map(str::to_owned))
        .expect("it listens");
    let mut line = crate::support::program::Line::open(&address).expect("it listens");
    line.ask("GET", "/c/99", None).expect("an answer");
    child.kill().expect("it can be ended");
    child.wait().expect("it has ended");
    let log = std::fs::read_to_string(&log).expect("the log");
    assert!(!log.is_empty());
    for line in log.lines() {
        let entry: serde_json::Value =
            serde_json::from_str(line).unwrap_or_else(|e| panic!("{line}: {e}"));
        assert!(entry["timestamp"].is_string() && entry["level"].is_string(), "{line}");
    }
    assert!(
        log.lines().any(|l| l.contains("request_id") || l.contains("x-request-id")),
        "no line carries the request’s id:\n{log}"
    );
}
