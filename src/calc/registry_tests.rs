//! What holds of every calculation in the list.

use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::HashSet;

fn schema_of(calculation: &Calculation) -> Value {
    serde_json::to_value((calculation.input_schema)()).expect("a schema is JSON")
}

/// Every property in a schema with its dotted name, definitions included.
fn properties(schema: &Value) -> Vec<(String, Value)> {
    let mut out = Vec::new();
    let mut places = vec![(String::new(), schema.clone())];
    if let Some(defs) = schema.get("$defs").and_then(Value::as_object) {
        places.extend(defs.iter().map(|(name, def)| (format!("{name}."), def.clone())));
    }
    for (under, place) in places {
        let Some(all) = place.get("properties").and_then(Value::as_object) else { continue };
        out.extend(all.iter().map(|(name, property)| (format!("{under}{name}"), property.clone())));
    }
    out
}

#[test]
fn names_are_unique_lower_case_and_found() {
    let names: HashSet<&str> = ALL.iter().map(|c| c.name).collect();
    assert_eq!(names.len(), ALL.len());
    assert!(!ALL.is_empty());
    for calculation in ALL {
        assert!(calculation.name.chars().all(|c| c.is_ascii_lowercase()), "{}", calculation.name);
        assert!(!calculation.title.is_empty() && !calculation.question.is_empty());
        assert_eq!(find(calculation.name).map(|c| c.title), Some(calculation.title));
    }
    assert!(find("nothing").is_none());
}

#[test]
fn every_example_gives_an_answer_that_says_something() {
    for calculation in ALL {
        let answer = (calculation.run)(calculation.example).expect(calculation.name);
        assert_eq!(answer.calculation, calculation.name);
        assert!(answer.aspect != Aspect::Unlit, "{}: {}", calculation.name, answer.sentence);
        assert!(!answer.values.is_empty() && !answer.findings.is_empty());
        let names: HashSet<&str> = answer.values.iter().map(|v| v.name.as_str()).collect();
        assert_eq!(names.len(), answer.values.len(), "{}: a value twice", calculation.name);
        for value in &answer.values {
            assert!(value.lo <= value.value && value.value <= value.hi, "{}", value.name);
            assert!(!value.formula.is_empty() && !value.source.is_empty(), "{}", value.name);
        }
        for finding in &answer.findings {
            let parts =
                [&finding.sentence, &finding.formula, &finding.source, &finding.would_change];
            assert!(parts.iter().all(|p| !p.is_empty()), "{finding:?}");
            assert!(!finding.inputs.is_empty(), "{finding:?}");
        }
    }
}

/// A whole number as JSON, 0 where below.
fn whole(value: f64) -> Value {
    serde_json::from_str(&format!("{:.0}", value.max(0.0))).expect("a whole number is JSON")
}

#[test]
fn every_field_is_described_titled_and_refused_outside_its_range() {
    for calculation in ALL {
        let schema = schema_of(calculation);
        assert!(schema.get("title").is_some(), "{}", calculation.name);
        for (name, property) in properties(&schema) {
            let described = property.get("description").and_then(Value::as_str);
            assert!(described.is_some_and(|d| d.len() > 10), "{}: {name}", calculation.name);
        }
        let example: Value =
            serde_json::from_str(calculation.example).expect("the example is JSON");
        for (name, property) in schema["properties"].as_object().expect("an object") {
            for (limit, beyond) in [("minimum", -1.0), ("maximum", 1.0)] {
                let Some(end) = property.get(limit).and_then(Value::as_f64) else { continue };
                let mut input = example.clone();
                input[name] = if property["type"] == "integer" {
                    whole(end + beyond)
                } else {
                    json!(end + beyond * 1e-6)
                };
                let refused = (calculation.run)(&input.to_string()).expect_err(name);
                assert!(refused.iter().any(|r| r.field == *name), "{name}: {refused:?}");
            }
        }
    }
}

#[test]
fn the_output_schema_is_that_of_an_answer() {
    let schema = serde_json::to_value(Calculation::output_schema()).expect("a schema is JSON");
    assert_eq!(schema["title"], "Answer");
    assert!(schema["properties"]["findings"].is_object());
}

/// Any JSON, small.
fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(|v| json!(v)),
        (-1.0..40.0f64).prop_map(|v| json!(v)),
        "[a-z_]{0,8}".prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 24, 5, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            prop::collection::vec(("[a-z_]{1,8}", inner), 0..4)
                .prop_map(|pairs| pairs.into_iter().collect()),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// No text makes a calculation fall over; what it refuses, it refuses with a reason.
    #[test]
    fn no_text_makes_it_fall_over(text in ".{0,60}", json in any_json()) {
        for calculation in ALL {
            for given in [text.clone(), json.to_string()] {
                if let Err(refused) = (calculation.run)(&given) {
                    prop_assert!(!refused.is_empty());
                    prop_assert!(refused.iter().all(|r| !r.allowed.is_empty() && !r.given.is_empty()));
                }
            }
        }
    }

    /// An example with one of its fields replaced by anything is answered or refused.
    #[test]
    fn an_example_with_anything_in_one_field_does_not_fall_over(
        nth in 0..40usize, json in any_json()
    ) {
        for calculation in ALL {
            let schema = schema_of(calculation);
            let names: Vec<String> =
                schema["properties"].as_object().into_iter().flatten().map(|(n, _)| n.clone()).collect();
            let mut input: Value = serde_json::from_str(calculation.example).expect("JSON");
            let name = &names[nth % names.len()];
            input[name] = json.clone();
            match (calculation.run)(&input.to_string()) {
                Ok(answer) => prop_assert!(
                    answer.values.iter().all(|v| v.value.is_finite() && v.lo <= v.hi)
                ),
                Err(refused) => prop_assert!(!refused.is_empty()),
            }
        }
    }
}
