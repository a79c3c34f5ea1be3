use super::entries::{Entry, Note, Reading, Story, What};
use super::{fill, write};
use crate::aspect::Aspect;
use crate::calc::gates::{Check, Gate, GateName, Observation};
use crate::calc::isolation::Point;
use crate::db::{self, Db};
use crate::features::conversions;
use crate::features::gates::gather::{Gathered, gather};
use crate::features::gates::inputs;
use crate::features::readings::model::{Kind, Outcome};
use crate::units::{Ohms, Wanted, parse, parse_ohms};
use sqlx::Row;
use std::collections::{BTreeMap, BTreeSet};
use time::UtcOffset;

/// 25 Nov 2026, 22:15 UTC.
const NOW: i64 = 1_795_644_900_000;

async fn fresh() -> (tempfile::TempDir, Db) {
    let folder = tempfile::tempdir().unwrap();
    let (db, _) = db::open(&folder.path().join("demo.sqlite"), NOW).await.unwrap();
    (folder, db)
}

async fn filled() -> (tempfile::TempDir, Db) {
    let (folder, db) = fresh().await;
    fill(&db, NOW, UtcOffset::UTC).await.unwrap();
    (folder, db)
}

/// Every conversion in the order of their numbers.
async fn all(db: &Db) -> Vec<Gathered> {
    let mut conn = db.pool.acquire().await.unwrap();
    let mut out = Vec::new();
    for c in conversions::store::list(&mut conn).await.unwrap() {
        out.push(gather(&mut conn, c, (NOW, 0)).await.unwrap());
    }
    out.sort_by_key(|g| g.conversion.no);
    out
}

/// Per conversion and gate: its aspect, who passed it, and every check that isn't clear.
fn table(all: &[Gathered]) -> String {
    let mut lines = Vec::new();
    for g in all {
        lines.push(format!("№ {} {}", g.conversion.no, g.conversion.draft.title));
        for gate in g.gates() {
            let passed = gate.passed.as_ref().map_or(String::new(), |p| format!(", {}", p.who));
            lines.push(format!("  {} {}{passed}", gate.name.key(), gate.aspect.word()));
            for aspect in [Aspect::Danger, Aspect::Unlit, Aspect::Caution] {
                let keys = keys(&gate, aspect);
                if !keys.is_empty() {
                    lines.push(format!("    {}: {}", aspect.word(), keys.join(", ")));
                }
            }
            let clear = keys(&gate, Aspect::Clear).len();
            lines.push(format!("    clear: {clear} of {}", gate.checks.len()));
        }
    }
    lines.join("\n") + "\n"
}

/// Keys of the checks of one aspect; a judged one says so.
fn keys(gate: &Gate, aspect: Aspect) -> Vec<String> {
    let of = gate.checks.iter().filter(|c| c.finding.aspect == aspect);
    let signed = |c: &Check| if c.judgement.is_some() { " (judged)" } else { "" };
    of.map(|c| format!("{}{}", c.key, signed(c))).collect()
}

#[tokio::test]
async fn the_story_shows_what_it_was_made_to_show() {
    let (_folder, db) = filled().await;
    let shown = table(&all(&db).await);
    println!("{shown}"); // what to keep in table.txt when the story changes
    assert_eq!(shown, include_str!("table.txt"));
}

#[tokio::test]
async fn the_file_checks_clean_and_every_noun_is_there() {
    let (_folder, db) = filled().await;
    let report = db::check(&db.pool).await.unwrap();
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    let mut counts = BTreeMap::new();
    for table in tables(&db).await {
        let sql = sqlx::AssertSqlSafe(format!("SELECT count(*) FROM {table}"));
        let n: i64 = sqlx::query_scalar(sql).fetch_one(&db.pool).await.unwrap();
        counts.insert(table, n);
    }
    for (table, least) in [
        ("person", 3),
        ("conversion", 6),
        ("instrument", 5),
        ("reading", 200),
        ("load_test", 8),
        ("wheel", 32),
        ("decoder", 5),
        ("planned_load", 12),
        ("saved_calc", 4),
        ("wire", 30),
        ("snag", 6),
        ("note", 5),
        ("alteration", 5),
        ("judgement", 9),
        ("gate_passing", 10),
        ("stage_change", 20),
    ] {
        assert!(counts[table] >= least, "{table}: {counts:?}");
    }
    let told = Story::read().unwrap().entries.len();
    assert!(usize::try_from(counts["change"]).unwrap() >= told, "{told} {counts:?}");
}

/// Four months, nothing of it still to come, each line by the person who did it.
#[tokio::test]
async fn the_history_carries_the_days_of_the_story() {
    let (_folder, db) = filled().await;
    let (first, last, unsigned): (i64, i64, i64) = sqlx::query_as(
        "SELECT min(at), max(at), count(*) FILTER (WHERE person_id IS NULL AND noun <> 'person') FROM change",
    )
    .fetch_one(&db.pool)
    .await
    .unwrap();
    let days = |from: i64, to: i64| (to - from) / 86_400_000;
    assert!((120..=125).contains(&days(first, NOW)), "{}", days(first, NOW));
    assert!(last < NOW && days(last, NOW) <= 1);
    assert_eq!(unsigned, 0);
    let shuffled: i64 = sqlx::query_scalar(
        "SELECT count(*) FROM change a JOIN change b ON b.seq = a.seq + 1 WHERE b.at < a.at",
    )
    .fetch_one(&db.pool)
    .await
    .unwrap();
    assert_eq!(shuffled, 0);
}

/// Held current and winding of one motor must agree within a quarter (the rule of calc::load), or
/// the demo would teach nonsense; free, slipping and held come in this order.
#[tokio::test]
async fn the_readings_of_each_motor_agree_with_each_other() {
    let (_folder, db) = filled().await;
    let mut tested = 0;
    for g in all(&db).await {
        let title = &g.conversion.draft.title;
        let winding = g.readings.iter().find(|r| r.draft.kind == Kind::Winding);
        for test in &g.load_tests {
            let of = |kind: Kind| {
                g.readings
                    .iter()
                    .find(|r| r.draft.load_test_id == Some(test.id) && r.draft.kind == kind)
            };
            let value = |kind: Kind| of(kind).and_then(|r| r.draft.outcome.value());
            let Some(held) = of(Kind::Held) else { continue };
            let volts = held.draft.conditions.volts.unwrap();
            let ohms = volts / held.draft.outcome.value().unwrap();
            let read = winding.unwrap().draft.outcome.value().unwrap();
            assert!(
                (ohms / read - 1.0).abs() < 0.25,
                "{title}: {ohms} by held, {read} by ohmmeter"
            );
            let held_12 = 12.0 / ohms;
            assert!(value(Kind::Free) < value(Kind::Slipping), "{title}");
            assert!(value(Kind::Slipping) < Some(held_12), "{title}");
            tested += 1;
        }
        if g.snapshot.load_test.is_some() {
            let out = crate::calc::load::run(&inputs::load(&g)).unwrap();
            assert_eq!(out.winding_agrees.aspect, Aspect::Clear, "{title}");
            assert_eq!(out.plausibility.aspect, Aspect::Clear, "{title}");
        }
    }
    assert_eq!(tested, 7);
}

/// A mechanism gets easier by running in, not heavier.
#[tokio::test]
async fn a_test_after_running_in_takes_less_than_the_one_before() {
    let (_folder, db) = filled().await;
    let free = |g: &Gathered, no: i64| {
        let test = g.load_tests.iter().find(|t| t.no == no).unwrap().id;
        let of = |r: &&crate::features::readings::model::Reading| {
            r.draft.load_test_id == Some(test) && r.draft.kind == Kind::Free
        };
        g.readings.iter().find(of).unwrap().draft.outcome.value().unwrap()
    };
    let all = all(&db).await;
    for title in ["Branch railcar", "Works shunter"] {
        let g = all.iter().find(|g| g.conversion.draft.title == title).unwrap();
        assert!(free(g, 2) < free(g, 1), "{title}");
    }
}

/// The check values of a mechanism that passes the held test and still is danger: common practice,
/// no source: 12 V, 0.27 / 0.32 / 0.80 A, decoder 1.0 A: held leaves 20 %, friction share 0.84; at
/// 14.6 V with 60 mA of lamps and 150 mA of sound it takes 1.18 A.
#[tokio::test]
async fn one_mechanism_passes_the_held_test_and_is_danger_all_the_same() {
    let (_folder, db) = filled().await;
    let all = all(&db).await;
    let g = all.iter().find(|g| g.conversion.draft.title == "Old works diesel").unwrap();
    let gates = g.gates();
    let order = gates.iter().find(|x| x.name == GateName::Order).unwrap();
    let aspect = |key: &str| order.check(key).unwrap().finding.aspect;
    assert_eq!((aspect("headroom"), aspect("mechanism")), (Aspect::Danger, Aspect::Danger));
    let out = crate::calc::load::run(&inputs::load(g)).unwrap();
    let share = out.friction_share.unwrap().value;
    assert!((share - 0.84375).abs() < 1e-9, "{share}");
    let budget = crate::calc::budget::run(&inputs::budget(g)).unwrap();
    let steps = budget.steps.unwrap();
    let passed = (steps.stacks[0].aspect, steps.stacks[0].name.as_str());
    assert_eq!(passed, (Aspect::Clear, "held at the test’s 12.0\u{a0}V"));
    assert!(steps.says.contains("so it passes. It is danger"), "{}", steps.says);
    let asked: f64 = steps.stacks.last().unwrap().parts.iter().filter_map(|p| p.amps_a).sum();
    assert!((asked - 1.18333).abs() < 5e-6, "{asked}");
}

/// What was typed and what is kept say the same, read once more by the same words.
#[tokio::test]
async fn every_typed_text_parses_to_its_value() {
    let (_folder, db) = filled().await;
    let (mut numbers, mut words) = (0, 0);
    for r in all(&db).await.iter().flat_map(|g| &g.readings) {
        let (d, typed) = (&r.draft, r.draft.typed.as_str());
        let Some(value) = d.outcome.value() else {
            let said = match d.outcome {
                Outcome::Yes => typed == "yes",
                Outcome::No => typed == "no",
                Outcome::Open => ["open", "OL"].contains(&typed),
                _ => false,
            };
            assert!(said, "{typed} is kept as {:?}", d.outcome);
            words += 1;
            continue;
        };
        let dimension = d.dimension.unwrap();
        let wanted = Wanted { dimension, bare: "", least: 0.0, most: 1e9 };
        assert_eq!(parse(typed, &wanted).unwrap().to_bits(), value.to_bits(), "{typed}");
        if let Some(volts) = d.conditions.volts {
            let wanted = Wanted { dimension: crate::units::Dimension::Voltage, ..wanted };
            assert_eq!(
                parse(&d.conditions.volts_typed, &wanted).unwrap().to_bits(),
                volts.to_bits()
            );
        }
        let by_hand = d.kind == Kind::Observation;
        assert!(d.accuracy.is_some() != by_hand, "{typed} by {}", r.instrument);
        numbers += 1;
    }
    assert!(numbers > 80 && words > 100, "{numbers} {words}");
    let wanted =
        Wanted { dimension: crate::units::Dimension::Resistance, bare: "", least: 0.0, most: 1.0 };
    assert_eq!(parse_ohms("OL", &wanted), Ok(Ohms::Open));
}

/// Nothing in the story may hang in the air: leads and loads by names of loads, pickup readings on
/// the map and of a plausible size (practice: a good one is well below an ohm).
#[tokio::test]
async fn names_in_readings_lead_somewhere() {
    let (_folder, db) = filled().await;
    for g in all(&db).await {
        let loads: Vec<&str> = g.loads.iter().map(|l| l.draft.name.as_str()).collect();
        for r in &g.readings {
            let d = &r.draft;
            match d.kind {
                Kind::Isolation => {
                    for end in [&d.point_a, &d.point_b] {
                        if let Point::Lead(name) = Point::from(end.clone()) {
                            assert!(g.snapshot.function_leads.contains(&name), "{name}");
                        }
                    }
                }
                Kind::LoadCurrent => assert!(loads.contains(&d.point_a.as_str()), "{}", d.point_a),
                Kind::Observation => assert!(Observation::from_key(&d.point_a).is_some()),
                Kind::Pickup => {
                    assert!(g.wheels.iter().any(|w| Some(w.id) == d.wheel_id));
                    let good = d.outcome.value().is_none_or(|v| (0.2..=0.8).contains(&v));
                    assert!(good, "{:?}", d.outcome);
                }
                _ => {}
            }
        }
    }
}

/// Tables of the file, in the order of their names, without those of SQLite and of the layout.
async fn tables(db: &Db) -> Vec<String> {
    sqlx::query_scalar(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT GLOB '*sqlite_*' AND name NOT GLOB '_sqlx*' ORDER BY name",
    )
    .fetch_all(&db.pool)
    .await
    .unwrap()
}

/// Every row of every table as text, each id replaced by its place in the order of first sight.
async fn content(db: &Db) -> Vec<String> {
    let mut rows = Vec::new();
    for table in tables(db).await {
        let columns: Vec<String> =
            sqlx::query_scalar("SELECT 'quote(\"' || name || '\")' FROM pragma_table_info(?1)")
                .bind(&table)
                .fetch_all(&db.pool)
                .await
                .unwrap();
        let line = columns.join(" || ' ' || ");
        let sql = sqlx::AssertSqlSafe(format!("SELECT {line} FROM {table} ORDER BY rowid"));
        for row in sqlx::query(sql).fetch_all(&db.pool).await.unwrap() {
            rows.push(format!("{table} {}", row.get::<String, _>(0)));
        }
    }
    let mut seen = BTreeMap::new();
    rows.iter().map(|row| without_ids(row, &mut seen)).collect()
}

/// Replaces runs of 32 hex digits, dashes between them not counted.
fn without_ids(row: &str, seen: &mut BTreeMap<String, usize>) -> String {
    let (mut out, mut run) = (String::new(), String::new());
    for ch in row.chars().chain([' ']) {
        if ch.is_ascii_hexdigit() || ch == '-' {
            run.push(ch);
            continue;
        }
        let hex: String = run.chars().filter(char::is_ascii_hexdigit).collect();
        if hex.len() == 32 {
            let next = seen.len();
            let n = seen.entry(hex.to_ascii_lowercase()).or_insert(next);
            out.push_str("id");
            out.push_str(&n.to_string());
        } else {
            out += &run;
        }
        run.clear();
        out.push(ch);
    }
    out
}

#[tokio::test]
async fn the_same_story_twice_gives_the_same_content_apart_from_ids() {
    let ((_a, first), (_b, second)) = (filled().await, filled().await);
    let (first, second) = (content(&first).await, content(&second).await);
    assert!(first.len() > 600, "{}", first.len());
    assert_eq!(first.len(), second.len());
    for (a, b) in first.iter().zip(&second) {
        assert_eq!(a, b);
    }
    let people: BTreeSet<&String> = first.iter().filter(|r| r.starts_with("person ")).collect();
    assert_eq!(people.len(), 3);
}

/// Started at any hour, the story is in the past and shows the same gates.
#[tokio::test]
async fn the_story_never_ages_and_never_runs_ahead() {
    for (later, hours) in [(400 * 86_400_000, 13), (3_600_000 * 2, -11), (-3_600_000 * 12, 0)] {
        let (_folder, db) = fresh().await;
        let now = NOW + later;
        fill(&db, now, UtcOffset::from_hms(hours, 0, 0).unwrap()).await.unwrap();
        let ahead: i64 = sqlx::query_scalar("SELECT count(*) FROM change WHERE at >= ?1")
            .bind(now)
            .fetch_one(&db.pool)
            .await
            .unwrap();
        assert_eq!(ahead, 0);
        let shown = table(&all(&db).await);
        assert_eq!(shown, include_str!("table.txt"));
    }
}

fn entry(file: &'static str, by: &str, c: &str, what: What) -> Entry {
    let (at, by, c) = ("10:00".to_owned(), by.to_owned(), c.to_owned());
    Entry { file, n: 1, days_ago: 0, at, by, c, what }
}

/// Each of these entries, added to the story, is refused by name, and nothing of the story stays.
#[tokio::test]
async fn an_entry_that_does_not_fit_is_named_and_leaves_nothing_behind() {
    let reading = |kind: &str, reads: &str, a: &str, with: &str| {
        What::Reading(Reading {
            kind: kind.to_owned(),
            a: a.to_owned(),
            reads: reads.to_owned(),
            with: with.to_owned(),
            ..Reading::default()
        })
    };
    let note = || What::Note(Note { text: "x".to_owned(), ..Note::default() });
    let bad = [
        ("nobody is called", entry("notes.json", "Otto", "goods", note())),
        ("no conversion", entry("notes.json", "Ines", "ghost", note())),
        ("is no kind", entry("readings.json", "Ines", "goods", reading("weight", "3 g", "", ""))),
        ("three", entry("readings.json", "Ines", "goods", reading("mass", "three", "", ""))),
        (
            "no instrument",
            entry("readings.json", "Ines", "goods", reading("mass", "3 g", "", "scales")),
        ),
        (
            "no range",
            entry("readings.json", "Ines", "goods", reading("mass", "3 g", "", "caliper")),
        ),
        (
            "no pair",
            entry("readings.json", "Ines", "goods", reading("isolation", "OL", "frame", "")),
        ),
        (
            "nothing to look at",
            entry("readings.json", "Ines", "goods", reading("observation", "yes", "x", "")),
        ),
    ];
    let (_folder, db) = fresh().await;
    for (says, entry) in bad {
        let mut story = Story::read().unwrap();
        let name = entry.name();
        story.entries.push(entry);
        let why = write(&db, &story, (NOW, UtcOffset::UTC)).await.expect_err(says);
        assert!(why.starts_with(&format!("{name}: ")) && why.contains(says), "{says}: {why}");
        let left: i64 =
            sqlx::query_scalar("SELECT count(*) FROM change").fetch_one(&db.pool).await.unwrap();
        assert_eq!(left, 0, "{why}");
    }
}
