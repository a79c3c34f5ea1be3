//! Reads JSON text into an input, and says of what it can't take: which field, what was given, what
//! is allowed.

use super::{FieldRefusal, Refusals};
use serde::de::DeserializeOwned;
use serde_path_to_error::{Path, Segment};

/// Reads JSON text into an input. Unknown fields, wrong types, missing fields, duplicate keys and
/// anything after the object are refused with the path of the field.
pub fn read<T: DeserializeOwned>(json: &str) -> Result<T, Refusals> {
    if json.trim_start().starts_with('[') {
        // A list of values without names would be taken in the order of the fields.
        return Err(vec![FieldRefusal::new("", "a list", "one JSON object")]);
    }
    let mut reader = serde_json::Deserializer::from_str(json);
    let value = serde_path_to_error::deserialize(&mut reader)
        .map_err(|e| vec![refusal(json, &dotted(e.path()), e.inner())])?;
    reader.end().map_err(|e| vec![after_the_end(&e)])?;
    Ok(value)
}

/// A field's path with dots and list places from 0: `loads.2.amps_a`; empty for the whole input.
fn dotted(path: &Path) -> String {
    let steps = path.iter().filter_map(|step| match step {
        Segment::Seq { index } => Some(index.to_string()),
        Segment::Map { key } => Some(key.clone()),
        Segment::Enum { .. } | Segment::Unknown => None,
    });
    steps.collect::<Vec<_>>().join(".")
}

/// One refusal from the reader's own words, which are `KIND: GIVEN, expected ALLOWED`.
fn refusal(json: &str, path: &str, error: &serde_json::Error) -> FieldRefusal {
    let text = error.to_string();
    let text = text.rsplit_once(" at line ").map_or(text.as_str(), |(front, _)| front);
    let (what, expected) = text.split_once(", expected ").unwrap_or((text, ""));
    if error.is_syntax() || error.is_eof() {
        return not_json(json, path, error, text);
    }
    if let Some(name) = quoted(what, "missing field ") {
        return FieldRefusal::new(join(path, name), "nothing", "a value: it can't be left out");
    }
    if let Some(name) = quoted(what, "duplicate field ") {
        return FieldRefusal::new(join(path, name), "the field twice", "each field once");
    }
    if let Some(name) = quoted(what, "unknown field ") {
        return FieldRefusal::new(join(path, name), "a field of this name", allowed(expected));
    }
    if let Some(name) = quoted(what, "unknown variant ") {
        return FieldRefusal::new(path, format!("“{name}”"), allowed(expected));
    }
    let given = what.split_once(": ").map_or(what, |(_, given)| given);
    FieldRefusal::new(path, given.replace('`', ""), allowed(expected))
}

/// Text that is no JSON: says where it stops being it.
fn not_json(json: &str, path: &str, error: &serde_json::Error, text: &str) -> FieldRefusal {
    if json.trim().is_empty() {
        return FieldRefusal::new("", "nothing", "one JSON object");
    }
    let place = format!("line {}, column {}", error.line(), error.column());
    let given =
        if error.is_eof() { format!("the end at {place}") } else { format!("{text}, {place}") };
    FieldRefusal::new(
        path,
        given,
        "JSON: names in double quotes, numbers with a point, no comma last",
    )
}

/// Text after the object.
fn after_the_end(error: &serde_json::Error) -> FieldRefusal {
    let given = format!("more text at line {}, column {}", error.line(), error.column());
    FieldRefusal::new("", given, "one JSON object and nothing after it")
}

/// The name in backquotes after a beginning.
fn quoted<'a>(text: &'a str, beginning: &str) -> Option<&'a str> {
    text.strip_prefix(beginning)?.strip_prefix('`')?.strip_suffix('`')
}

/// A field's path under another; the path may end with the name already.
fn join(path: &str, name: &str) -> String {
    let ends_with_name = path == name || path.ends_with(&format!(".{name}"));
    match (path.is_empty(), ends_with_name) {
        (_, true) => path.to_owned(),
        (true, _) => name.to_owned(),
        _ => format!("{path}.{name}"),
    }
}

/// What is allowed, in words: the reader's names of types become people's.
fn allowed(expected: &str) -> String {
    let bare = expected.replace('`', "");
    let bare = bare.strip_prefix("one of ").unwrap_or(&bare);
    match bare {
        "f64" => "a number".to_owned(),
        "u32" | "u64" | "usize" => "a whole number, 0 or more".to_owned(),
        "i32" | "i64" => "a whole number".to_owned(),
        "a boolean" => "true or false".to_owned(),
        "a string" => "text in double quotes".to_owned(),
        "a sequence" => "a list in [ ]".to_owned(),
        "option" => "a value or null".to_owned(),
        "" | "there are no fields" => "nothing".to_owned(),
        _ if bare.starts_with("struct ") || bare == "a map" => "an object in { }".to_owned(),
        _ => bare.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::{budget, load};

    fn load_refused(json: &str) -> FieldRefusal {
        read::<load::Input>(json).expect_err("must be refused").remove(0)
    }

    fn budget_refused(json: &str) -> FieldRefusal {
        read::<budget::Input>(json).expect_err("must be refused").remove(0)
    }

    fn is(refused: &FieldRefusal, field: &str, given: &str, allowed: &str) {
        assert_eq!(
            (refused.field.as_str(), refused.given.as_str(), refused.allowed.as_str()),
            (field, given, allowed)
        );
    }

    #[test]
    fn an_unknown_field_is_named_with_the_names_there_are() {
        let refused = load_refused(r#"{"test_v": 12, "stall_a": 0.8}"#);
        assert_eq!(refused.field, "stall_a");
        assert!(refused.allowed.starts_with("test_v, free_a, cruise_a, slipping_a"), "{refused:?}");
        let deep = budget_refused(r#"{"load": {"test_v": 12, "stall_a": 1}}"#);
        assert_eq!(deep.field, "load.stall_a");
    }

    #[test]
    fn a_wrong_type_is_named_with_what_was_given() {
        is(&load_refused(r#"{"test_v": "12 V"}"#), "test_v", r#"string "12 V""#, "a number");
        is(
            &load_refused(r#"{"test_v": 12, "held_refused": 1}"#),
            "held_refused",
            "integer 1",
            "true or false",
        );
        is(
            &load_refused(r#"{"test_v": 12, "motors": -1}"#),
            "motors",
            "integer -1",
            "a whole number, 0 or more",
        );
        is(
            &load_refused(r#"{"test_v": 12, "motors": 1.5}"#),
            "motors",
            "floating point 1.5",
            "a whole number, 0 or more",
        );
        is(&load_refused(r#"{"test_v": null}"#), "test_v", "null", "a number");
        is(&load_refused("7"), "", "integer 7", "an object in { }");
        let deep =
            r#"{"load": {"test_v": 12}, "loads": [{"name": "a", "kind": "lamp", "amps_a": [1]}]}"#;
        is(&budget_refused(deep), "loads.0.amps_a", "sequence", "a number");
        let kind = r#"{"load": {"test_v": 12}, "loads": [{"name": "a", "kind": "bell"}]}"#;
        is(
            &budget_refused(kind),
            "loads.0.kind",
            "“bell”",
            "lamp, led, sound, smoke, store, other",
        );
        is(
            &budget_refused(r#"{"load": {"test_v": 12}, "loads": {}}"#),
            "loads",
            "map",
            "a list in [ ]",
        );
    }

    #[test]
    fn a_missing_field_and_a_field_given_twice_are_named() {
        is(&load_refused("{}"), "test_v", "nothing", "a value: it can't be left out");
        is(
            &budget_refused(r#"{"load": {}}"#),
            "load.test_v",
            "nothing",
            "a value: it can't be left out",
        );
        let twice = r#"{"test_v": 12, "held_a": 1, "held_a": 2}"#;
        is(&load_refused(twice), "held_a", "the field twice", "each field once");
        let twice = r#"{"load": {"test_v": 12, "test_v": 12}}"#;
        is(&budget_refused(twice), "load.test_v", "the field twice", "each field once");
    }

    #[test]
    fn text_that_is_no_json_says_where() {
        is(&load_refused(" "), "", "nothing", "one JSON object");
        let after = load_refused(r#"{"test_v": 12} and more"#);
        is(&after, "", "more text at line 1, column 16", "one JSON object and nothing after it");
        assert!(load_refused(r#"{"test_v": 12"#).given.starts_with("the end at line 1"));
        for bad in
            [r#"{"test_v": NaN}"#, r#"{"test_v": 12,}"#, "{'test_v': 12}", r#"{"test_v": 12,5}"#]
        {
            assert!(load_refused(bad).given.contains("line 1, column"), "{bad}");
        }
        assert!(load_refused(r#"{"test_v": 1e999}"#).given.contains("number out of range"));
    }

    #[test]
    fn a_list_without_names_is_refused() {
        is(&load_refused(" [12.0]"), "", "a list", "one JSON object");
    }

    #[test]
    fn deep_nesting_is_refused_and_does_not_fall_over() {
        let deep = format!("{{\"test_v\": {}", "[".repeat(100_000));
        assert!(!load_refused(&deep).given.is_empty());
    }
}
