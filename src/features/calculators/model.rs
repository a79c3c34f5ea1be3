//! A kept input of a calculation: only what a person wrote over what the notebook knows, so that a
//! reading taken later still counts.

use crate::db::{Millis, SavedCalcId};
use serde::Serialize;
use serde_json::{Map, Value};

/// A kept input.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Saved {
    /// Id.
    pub id: SavedCalcId,
    /// Name of the calculation.
    pub name: String,
    /// The fields that differ from what the notebook knows; `null` for one that was emptied.
    pub input: Map<String, Value>,
    /// When it was kept last, ms.
    pub at: Millis,
    /// Who kept it last; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Version.
    pub version: i64,
    /// Forgotten.
    #[serde(skip)]
    pub aside: bool,
}

/// What of an input differs from what is known. Groups are compared field by field, lists as a whole;
/// what is known and was emptied is `null`.
pub fn difference(input: &Map<String, Value>, known: &Map<String, Value>) -> Map<String, Value> {
    let mut out = Map::new();
    for (name, value) in input {
        match (value, known.get(name)) {
            (same, Some(known)) if same == known => {}
            (Value::Object(inner), Some(Value::Object(known))) => {
                let inner = difference(inner, known);
                if !inner.is_empty() {
                    out.insert(name.clone(), Value::Object(inner));
                }
            }
            _ => {
                out.insert(name.clone(), value.clone());
            }
        }
    }
    for name in known.keys().filter(|name| !input.contains_key(*name)) {
        out.insert(name.clone(), Value::Null);
    }
    out
}

/// What is known with what a person wrote put over it: the other way of [`difference`].
pub fn merge(known: &Map<String, Value>, written: &Map<String, Value>) -> Map<String, Value> {
    let mut out = known.clone();
    for (name, value) in written {
        match (value, out.get(name)) {
            (Value::Null, _) => {
                out.remove(name);
            }
            (Value::Object(inner), Some(Value::Object(known))) => {
                let inner = merge(known, inner);
                out.insert(name.clone(), Value::Object(inner));
            }
            _ => {
                out.insert(name.clone(), value.clone());
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    fn map(value: impl Into<Value>) -> Map<String, Value> {
        value.into().as_object().cloned().unwrap()
    }

    #[test]
    fn only_what_a_person_changed_is_kept_and_later_readings_still_come_through() {
        let known = map(json!({ "track_v": 15, "load": { "held_a": 0.8, "free_a": 0.27 } }));
        let written =
            map(json!({ "track_v": 14, "load": { "held_a": 0.8, "free_a": 0.27 }, "more": [1] }));
        let kept = difference(&written, &known);
        assert_eq!(Value::Object(kept.clone()), json!({ "track_v": 14, "more": [1] }));
        let later = map(json!({ "track_v": 15, "load": { "held_a": 0.7, "free_a": 0.2 } }));
        assert_eq!(
            Value::Object(merge(&later, &kept)),
            json!({ "track_v": 14, "load": { "held_a": 0.7, "free_a": 0.2 }, "more": [1] })
        );
    }

    #[test]
    fn a_value_that_was_emptied_stays_empty() {
        let known = map(json!({ "track_v": 15, "load": { "held_a": 0.8 } }));
        let kept = difference(&map(json!({ "load": {} })), &known);
        assert_eq!(
            Value::Object(kept.clone()),
            json!({ "track_v": null, "load": { "held_a": null } })
        );
        assert_eq!(Value::Object(merge(&known, &kept)), json!({ "load": {} }));
    }

    #[test]
    fn another_choice_replaces_the_one_known() {
        let known = map(json!({ "light": { "lamp": { "rated_v": 12 } } }));
        let written = map(json!({ "light": { "led": { "forward_v": 3 } } }));
        let kept = difference(&written, &known);
        assert_eq!(merge(&known, &kept), written);
    }

    /// Objects as forms make them: no null, names of a few letters.
    fn any_map() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            any::<bool>().prop_map(Value::from),
            (0..9i32).prop_map(Value::from),
            "[a-c]{0,2}".prop_map(Value::from),
            prop::collection::vec(0..3i32, 0..3).prop_map(Value::from),
        ];
        let map = |inner| prop::collection::btree_map("[a-d]", inner, 0..4);
        let object = move |pairs: std::collections::BTreeMap<String, Value>| json!(pairs);
        map(leaf.boxed()).prop_map(object).prop_recursive(3, 24, 4, move |inner| {
            prop::collection::btree_map("[a-d]", inner, 0..4).prop_map(object)
        })
    }

    proptest! {
        /// Whatever is known and whatever is written, keeping the difference loses nothing.
        #[test]
        fn the_difference_put_over_what_is_known_is_what_was_written(
            known in any_map(), written in any_map()
        ) {
            let (known, written) = (map(known), map(written));
            let kept = difference(&written, &known);
            prop_assert_eq!(merge(&known, &kept), written);
        }
    }
}
