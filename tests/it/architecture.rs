//! The arrows of DEVELOPERS.md, held: imports point one way, pure rooms stay pure, each table is written by its own room.

use std::fs;
use std::path::{Path, PathBuf};

/// Every room with the rooms it may use. Nothing may point back.
const ARROWS: &[(&str, &[&str])] = &[
    ("units", &["units"]),
    ("aspect", &["aspect"]),
    ("choice", &["choice"]),
    ("calc", &["calc", "aspect", "units"]),
    ("draw", &["draw", "calc", "aspect", "units"]),
    ("db", &["db", "units"]),
    // the layout shows arms; refused fields are named as the calculations name them
    ("web", &["web", "db", "units", "choice", "calc", "draw"]),
    (
        "features",
        &["features", "web", "db", "draw", "calc", "aspect", "choice", "choices", "units"],
    ),
    ("settings", &["settings"]),
    ("server", &["server", "settings", "features", "web", "db"]),
    (
        "cli",
        &[
            "cli", "server", "settings", "features", "web", "db", "draw", "calc", "aspect",
            "choice", "units",
        ],
    ),
];

/// What a pure room may not even name.
const IMPURE: &[&str] = &[
    "std::fs",
    "std::net",
    "SystemTime",
    "Instant::now",
    "sqlx",
    "askama",
    "axum",
    "tokio",
    "rand::",
];

const PURE: &[&str] = &["units", "aspect", "choice", "calc", "draw"];

/// The rooms of `features` and the tables each of them writes.
const TABLES: &[(&str, &[&str])] = &[
    ("alterations", &["alteration"]),
    ("calculators", &["saved_calc"]),
    ("circuits", &["wheel"]),
    ("conversions", &["conversion", "stage_change"]),
    ("datums", &["datum"]),
    ("decoders", &["decoder", "planned_load"]),
    ("gates", &["judgement", "gate_passing"]),
    ("instruments", &["instrument", "instrument_range"]),
    ("notes", &["note"]),
    ("parts", &["part", "part_event", "part_rating", "supplier"]),
    ("people", &["person"]),
    ("prints", &[]),
    ("readings", &["reading", "load_test"]),
    ("reviews", &["review", "review_cause", "review_evidence", "review_part", "review_snag"]),
    ("settings", &["setting"]),
    ("snags", &["snag"]),
    ("stock", &["stock", "stock_move", "stock_alteration"]),
    ("wiring", &["wire"]),
    ("test_runs", &["test_run", "test_run_value"]),
    ("transfer", &[]),
];

/// Files that may be longer than the budget, each with its reason.
const LONG: &[(&str, usize)] = &[];

/// Lines a file may have without its tests.
const MOST_LINES: usize = 400;

/// The source of one file, tests left out.
fn product(text: &str) -> &str {
    text.split("#[cfg(test)]\nmod tests {").next().unwrap_or(text)
}

/// Lines that are code, comments left out.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.lines().map(str::trim).filter(|l| !l.starts_with("//"))
}

/// The rooms a file names: `crate::room`, in code.
fn named(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    for line in code(text) {
        for rest in line.split("crate::").skip(1) {
            let room: String =
                rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if !room.is_empty() {
                out.push(room);
            }
        }
    }
    out
}

/// What is wrong with one file of a room.
fn breaches(room: &str, text: &str) -> Vec<String> {
    let text = product(text);
    let allowed = ARROWS.iter().find(|(r, _)| *r == room).map_or(&[][..], |(_, a)| a);
    let mut out: Vec<String> = named(text)
        .into_iter()
        .filter(|n| !allowed.contains(&n.as_str()))
        .map(|n| format!("{room} may not use {n}"))
        .collect();
    if PURE.contains(&room) {
        let code = code(text).collect::<Vec<_>>().join("\n");
        out.extend(
            IMPURE
                .iter()
                .filter(|w| code.contains(**w))
                .map(|w| format!("{room} is pure and names {w}")),
        );
    }
    out
}

/// Tables a text writes: after INSERT INTO, UPDATE, DELETE FROM.
fn written(text: &str) -> Vec<String> {
    let words: Vec<&str> =
        text.split_whitespace().map(|w| w.trim_matches(['"', '(', ','])).collect();
    let mut out = Vec::new();
    for (i, word) in words.iter().enumerate() {
        let table = match *word {
            "INSERT" | "DELETE" if matches!(words.get(i + 1), Some(&"INTO" | &"FROM")) => {
                words.get(i + 2)
            }
            "UPDATE" if words.get(i + 2) == Some(&"SET") => words.get(i + 1),
            _ => None,
        };
        out.extend(table.map(|t| (*t).to_owned()));
    }
    out
}

fn files(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// Every source file: path below src, room, text.
fn sources() -> Vec<(String, String, String)> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    files(&src, &mut paths);
    paths
        .into_iter()
        .map(|p| {
            let below = p.strip_prefix(&src).unwrap().to_str().unwrap().replace('\\', "/");
            let room = below.split('/').next().unwrap().trim_end_matches(".rs").to_owned();
            (below, room, fs::read_to_string(&p).unwrap())
        })
        .collect()
}

fn is_test(path: &str) -> bool {
    path.contains("/tests/") || path.ends_with("tests.rs") || path.ends_with("checks.rs")
}

#[test]
fn imports_point_one_way_and_pure_rooms_stay_pure() {
    let mut wrong = Vec::new();
    for (path, room, text) in sources() {
        if is_test(&path) || ["lib", "main", "build"].contains(&room.as_str()) {
            continue;
        }
        assert!(ARROWS.iter().any(|(r, _)| *r == room), "{path}: room {room} is not on the map");
        wrong.extend(breaches(&room, &text).into_iter().map(|b| format!("{path}: {b}")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_planted_breach_is_seen() {
    assert_eq!(breaches("calc", "use crate::db::Error;"), ["calc may not use db"]);
    assert_eq!(breaches("db", "use crate::web::App;"), ["db may not use web"]);
    assert_eq!(
        breaches("units", "fn f() { std::fs::read(\"x\"); }"),
        ["units is pure and names std::fs"]
    );
    assert!(
        breaches("calc", "// crate::db is another room\nuse crate::units::Interval;").is_empty()
    );
    assert_eq!(written("INSERT INTO snag (id) VALUES (?1)"), ["snag"]);
    assert_eq!(written("\"UPDATE wheel SET axle = 1\""), ["wheel"]);
    assert_eq!(written("\"DELETE FROM note WHERE id = 1\""), ["note"]);
}

#[test]
fn each_table_is_written_by_its_own_room_and_only_from_its_store() {
    let mut wrong = Vec::new();
    for (path, room, text) in sources() {
        let tables = written(product(&text));
        if tables.is_empty() || is_test(&path) || room == "db" {
            continue;
        }
        let noun = path.split('/').nth(1).unwrap_or("");
        let own = TABLES.iter().find(|(n, _)| *n == noun).map_or(&[][..], |(_, t)| t);
        if !path.ends_with("store.rs") {
            wrong.push(format!("{path} writes {tables:?}, which is its store's work"));
        }
        wrong.extend(
            tables
                .iter()
                .filter(|t| !own.contains(&t.as_str()))
                .map(|t| format!("{path} writes {t}")),
        );
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_room_uses_another_rooms_forms_or_pages() {
    let mut wrong = Vec::new();
    for (path, room, text) in sources() {
        if room != "features" {
            continue;
        }
        let noun = path.split('/').nth(1).unwrap_or("").to_owned();
        for line in code(product(&text)) {
            for (other, _) in TABLES.iter().filter(|(n, _)| *n != noun) {
                for part in ["forms", "pages"] {
                    if line.contains(&format!("{other}::{part}")) {
                        wrong.push(format!("{path}: {line}"));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn files_can_be_read_in_one_sitting() {
    let wrong: Vec<String> = sources()
        .into_iter()
        .filter(|(path, _, _)| !is_test(path))
        .map(|(path, _, text)| (path, product(&text).lines().count()))
        .filter(|(path, lines)| {
            let most = LONG.iter().find(|(p, _)| p == path).map_or(MOST_LINES, |(_, n)| *n);
            *lines > most
        })
        .map(|(path, lines)| format!("{path}: {lines} lines"))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
