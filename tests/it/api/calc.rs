//! One list, many faces: the API, the command line and the page work out the same.

use crate::support::program::{command, run, run_with};
use crate::support::{App, Html};
use serde_json::Value;
use undershell::calc;

fn by_command(name: &str, input: &str) -> Value {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = run_with(command(folder.path()).args(["calc", name]), input);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{name}");
    serde_json::from_str(&said.out).expect("JSON on standard output")
}

/// What a page shows of an answer: its verdict’s word, its sentence, and each value as printed.
fn shown(page: &Html) -> (String, String, Vec<(String, String)>) {
    let word = page.one("section[aria-labelledby=h-a] header p").text();
    let sentence = page.one("section[aria-labelledby=h-a] p.next").text();
    let rows = page.all("section[aria-labelledby=h-a] table.stack tbody tr");
    let values = rows.iter().map(|r| (r.all("th")[0].text(), r.all("td b")[0].text())).collect();
    (word, sentence, values)
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A printed value is the number itself, rounded at its last decimal, with its unit.
fn assert_same(printed: &str, number: f64, unit: &str) {
    let bare =
        printed.strip_suffix(unit).unwrap_or_else(|| panic!("{printed} has no {unit}")).trim();
    let decimals = bare.split_once('.').map_or(0, |(_, d)| d.len());
    let step = 0.1_f64.powi(i32::try_from(decimals).expect("few decimals"));
    let read: f64 = bare.replace('\u{2212}', "-").parse().unwrap_or_else(|_| panic!("{printed}"));
    assert!((read - number).abs() <= step * 1.000_001, "{printed} is not {number}");
}

#[test]
fn api_command_and_page_answer_every_example_alike() {
    let app = App::new();
    for c in calc::ALL {
        let api = app.post_json(&format!("/api/v1/calc/{}", c.name), c.example);
        assert_eq!(api.status, 200, "{}: {}", c.name, api.body);
        let api = api.json();
        assert_eq!(by_command(c.name, c.example), api, "{}: command line and API differ", c.name);
        let address = format!("/calc/{}", c.name);
        let form = app.get(&format!("{address}?example=1")).ok().form(&address);
        let page = app.submit(&form).ok();
        let (word, sentence, values) = shown(&page);
        assert_eq!(word, api["aspect"].as_str().unwrap_or(""), "{}", c.name);
        assert_eq!(sentence, squeezed(api["sentence"].as_str().unwrap_or("")), "{}", c.name);
        let all = api["values"].as_array().expect("values");
        assert_eq!(values.len(), all.len(), "{}: the page’s values", c.name);
        for ((label, printed), v) in values.iter().zip(all) {
            let text = |key: &str| squeezed(v[key].as_str().unwrap_or(""));
            assert_eq!(*label, text("label"), "{}", c.name);
            let number = v["value"].as_f64().expect("a number");
            assert_same(printed, number, &text("unit"));
        }
    }
}

/// The load test of the published case by every way in. Common practice, no source: held leaves 20 %
/// of 1.0 A, slipping 68 %, friction share 0.84.
#[test]
fn load_and_budget_agree_with_the_conversion_that_was_measured() {
    let app = App::new();
    let load =
        r#"{"test_v": 12, "free_a": 0.27, "slipping_a": 0.32, "held_a": 0.80, "track_v": 13.4}"#;
    let api = app.post_json("/api/v1/calc/load", load).json();
    assert_eq!(by_command("load", load), api);
    let value = |answer: &Value, name: &str| {
        let all = answer["values"].as_array().expect("values");
        let found = all.iter().find(|v| v["name"] == name);
        let found = found.unwrap_or_else(|| panic!("no {name} in {all:#?}"));
        found["value"].as_f64().expect("a number")
    };
    assert!((value(&api, "resistance_ohm") - 15.0).abs() < 1e-9, "12 V over 0.80 A");
    let budget = format!(
        r#"{{"load": {load}, "loads": [], "decoder": {{"motor_continuous_a": 1.0, "total_continuous_a": 1.0}}}}"#
    );
    let answer = app.post_json("/api/v1/calc/budget", &budget).json();
    assert_eq!(by_command("budget", &budget), answer);
    assert!((value(&answer, "motor_continuous_held_headroom") - 0.20).abs() < 1e-9);
    assert!((value(&answer, "motor_continuous_slipping_headroom") - 0.68).abs() < 1e-9);
}

#[test]
fn served_schemas_are_those_of_the_command_line() {
    let app = App::new();
    let folder = tempfile::tempdir().expect("a temporary folder");
    for c in calc::ALL {
        let served = app.get(&format!("/api/v1/calc/{}", c.name)).json();
        let said = run(folder.path(), &["calc", c.name, "--schema"]);
        let printed: Value = serde_json::from_str(&said.out).expect("JSON");
        assert_eq!(served, printed, "{}", c.name);
        for side in ["input", "output"] {
            assert!(served[side]["properties"].is_object(), "{} {side}: {}", c.name, served[side]);
            assert_eq!(served[side]["$schema"], "https://json-schema.org/draft/2020-12/schema");
        }
        let example: Value = serde_json::from_str(c.example).expect("JSON");
        for key in example.as_object().expect("an object").keys() {
            assert!(
                served["input"]["properties"][key].is_object(),
                "{}: {key} of the example is not in the schema",
                c.name
            );
        }
    }
}

#[test]
fn the_list_names_all_and_each_can_be_asked() {
    let app = App::new();
    let list = app.get("/api/v1/calc").json();
    let names: Vec<&str> =
        list.as_array().expect("a list").iter().map(|c| c["name"].as_str().unwrap_or("")).collect();
    assert_eq!(names, calc::ALL.iter().map(|c| c.name).collect::<Vec<_>>());
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = run(folder.path(), &["calc", "--list"]);
    for name in names {
        assert!(said.out.lines().any(|l| l.starts_with(name)), "{name} in {}", said.out);
    }
}

#[test]
fn command_and_api_refuse_the_same_with_the_same_words() {
    let app = App::new();
    let folder = tempfile::tempdir().expect("a temporary folder");
    for input in [
        r#"{"test_v": 400}"#,
        r#"{"test_v": "12"}"#,
        r#"{"test_v": 12, "colour": 1}"#,
        "{",
        r#"{"test_v": 12, "held_a": -1, "free_a": -1}"#,
    ] {
        let answer = app.post_json("/api/v1/calc/load", input);
        assert_eq!(answer.status, 422, "{input}");
        let fields = answer.json()["fields"].clone();
        let fields = fields.as_array().expect("refused fields").clone();
        assert!(!fields.is_empty(), "{input}");
        let said = run_with(command(folder.path()).args(["calc", "load"]), input);
        assert_eq!((said.code, said.out.as_str()), (1, ""), "{input}");
        for f in fields {
            for key in ["given", "allowed"] {
                let words = f[key].as_str().unwrap_or("");
                assert!(said.err.contains(words), "{input}: “{words}” is not in {}", said.err);
            }
        }
    }
}

#[test]
fn many_inputs_in_one_call_are_answered_line_by_line() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let input = "{\"test_v\": 12, \"held_a\": 0.8}\n\n{\"test_v\": 900}\n{\"test_v\": 6, \"held_a\": 0.4}\n";
    let said = run_with(command(folder.path()).args(["calc", "load", "--lines"]), input);
    let lines: Vec<Value> =
        said.out.lines().map(|l| serde_json::from_str(l).expect("JSON")).collect();
    assert_eq!((said.code, lines.len()), (0, 3));
    assert_eq!(lines[0]["calculation"], "load");
    assert!(lines[1]["refused"].is_array() && lines[2]["calculation"] == "load");
}
