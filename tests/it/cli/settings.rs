use crate::support::program::{Serving, command, run};
use std::path::Path;

/// The name the title block shows, which any of the three may set.
fn kept_on(
    folder: &Path,
    environment: Option<&str>,
    flag: Option<&str>,
    file: Option<&str>,
) -> String {
    let mut call = command(folder);
    call.args(["--port", "0"]);
    if let Some(text) = file {
        std::fs::write(folder.join("settings.toml"), text).expect("written");
        call.args(["--settings", "settings.toml"]);
    }
    if let Some(name) = environment {
        call.env("UNDERSHELL_KEPT_ON", name);
    }
    if let Some(name) = flag {
        call.args(["--kept-on", name]);
    }
    let serving = Serving::start(&mut call);
    let page = crate::support::Html::read(&serving.get("/").1);
    page.all("footer dd").last().expect("the last cell").text()
}

#[test]
fn a_flag_goes_before_the_environment_before_the_file_before_the_default() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = Some("kept_on = \"the file\"");
    assert_eq!(kept_on(folder.path(), Some("the environment"), Some("the flag"), file), "the flag");
    assert_eq!(kept_on(folder.path(), Some("the environment"), None, file), "the environment");
    assert_eq!(kept_on(folder.path(), None, None, file), "the file");
    assert_eq!(kept_on(folder.path(), None, None, None), "this machine");
}

#[test]
fn every_setting_of_the_file_is_obeyed() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let text = "file = \"other.sqlite\"\naddress = \"127.0.0.2\"\nport = 0\nallowed_hosts = [\"bench.local\"]\nkept_on = \"attic\"\nlog_json = true\n";
    std::fs::write(folder.path().join("s.toml"), text).expect("written");
    let serving = Serving::start(command(folder.path()).env("UNDERSHELL_SETTINGS", "s.toml"));
    assert!(serving.lines[0].ends_with("other.sqlite"), "{:?}", serving.lines);
    assert!(serving.address.starts_with("127.0.0.2:"), "{}", serving.address);
}

#[test]
fn an_unknown_key_or_a_wrong_value_ends_with_3_and_is_named() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (text, words) in [
        ("prot = 80", "prot"),
        ("port = \"eighty\"", "port"),
        ("port = 70000", "port"),
        ("address = \"here\"", "address"),
        ("file = 3", "file"),
        ("port = 1\nport = 2", "port"),
        ("= nonsense", "settings"),
        ("[web]\nport = 80", "web"),
    ] {
        std::fs::write(folder.path().join("s.toml"), text).expect("written");
        let said = run(folder.path(), &["serve", "--port", "0", "--settings", "s.toml"]);
        assert_eq!(said.code, 3, "{text}: {said:?}");
        assert!(said.err.contains(words) && said.err.contains("s.toml"), "{text}: {}", said.err);
        assert!(!folder.path().join("undershell.sqlite").exists(), "{text}: no notebook was made");
    }
    let said = run(folder.path(), &["--settings", "missing.toml"]);
    assert_eq!(said.code, 3);
    assert!(said.err.contains("missing.toml"), "{}", said.err);
}

#[test]
fn a_wrong_environment_is_refused_like_a_wrong_flag() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, value) in [
        ("UNDERSHELL_PORT", "eighty"),
        ("UNDERSHELL_ADDRESS", "here"),
        ("UNDERSHELL_LOG_JSON", "perhaps"),
    ] {
        let said = crate::support::program::run_with(
            command(folder.path()).env(name, value).arg("serve"),
            "",
        );
        assert_eq!(said.code, 2, "{name}={value}: {said:?}");
        assert!(said.err.contains(value), "{}", said.err);
    }
}
