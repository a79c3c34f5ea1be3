use crate::support::program::run;

fn said(arguments: &[&str]) -> crate::support::program::Said {
    let folder = tempfile::tempdir().expect("a temporary folder");
    run(folder.path(), arguments)
}

/// What a stranger reads first. A change of it is looked at before it is kept.
#[test]
fn the_help_of_the_program() {
    let help = said(&["--help"]);
    assert_eq!(help.code, 0);
    insta::assert_snapshot!("help", help.out);
}

#[test]
fn a_stranger_learns_what_it_is_what_it_does_and_how_it_ends() {
    let help = said(&["--help"]).out;
    for words in [
        "model",
        "serve",
        "demo",
        "calc",
        "check",
        "backup",
        "restore",
        "export",
        "import",
        "--file",
        "--port",
        "this machine only",
        "Exit codes: 0 done",
        "UNDERSHELL_FILE",
    ] {
        assert!(help.contains(words), "“{words}” is not in\n{help}");
    }
    for line in help.lines() {
        assert!(line.chars().count() <= 160, "a line is too long to read: {line}");
    }
}

#[test]
fn every_command_explains_itself() {
    for command in ["serve", "demo", "calc", "check", "backup", "restore", "export", "import"] {
        let help = said(&[command, "--help"]);
        assert_eq!(help.code, 0);
        assert!(help.out.starts_with(|c: char| c.is_uppercase()), "{}", help.out);
        assert!(help.out.contains(&format!("Usage: undershell {command}")), "{}", help.out);
    }
}

#[test]
fn the_version_is_told() {
    let version = said(&["--version"]);
    assert_eq!(
        (version.code, version.out.trim()),
        (0, concat!("undershell ", env!("CARGO_PKG_VERSION")))
    );
}

#[test]
fn wrong_words_end_with_2_and_say_what_is_known() {
    for arguments in [
        &["fly"][..],
        &["serve", "--prot", "1"],
        &["serve", "--port", "70000"],
        &["serve", "--port", "eighty"],
        &["serve", "--address", "here"],
        &["calc"],
        &["check", "--file"],
        &["backup"],
        &["restore"],
        &["export"],
        &["export", "a.zip", "--conversion", "seven"],
        &["import"],
        &["import", "a.zip", "--take", "everything"],
        &["import", "a.zip", "--dry-run", "--take", "mine"],
        &["calc", "load", "--schema", "--lines"],
    ] {
        let wrong = said(arguments);
        assert_eq!((wrong.code, wrong.out.as_str()), (2, ""), "{arguments:?}");
        assert!(wrong.err.contains("--help"), "{arguments:?}: {}", wrong.err);
    }
}

#[test]
fn what_cant_be_worked_out_ends_with_1_and_names_what_can() {
    let wrong = said(&["calc", "horoscope"]);
    assert_eq!(wrong.code, 1);
    assert!(wrong.err.contains("horoscope") && wrong.err.contains("budget"), "{}", wrong.err);
}
