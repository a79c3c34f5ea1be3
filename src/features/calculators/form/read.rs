//! From what was typed to JSON, and from JSON to what stands in the fields.

use super::shape::{Place, Shape, Variant};
use super::{filled, touched};
use crate::units::{self, Dimension, Wanted};
use crate::web::Fields;
use serde_json::{Map, Number, Value};

/// The object typed below a path.
pub(super) fn object(places: &[Place], path: &str, form: &mut Fields) -> Map<String, Value> {
    let mut out = Map::new();
    for place in places {
        let at =
            if path.is_empty() { place.name.clone() } else { format!("{path}.{}", place.name) };
        if let Some(value) = value(&place.shape, &at, &place.name, form) {
            out.insert(place.name.clone(), value);
        }
    }
    out
}

/// The value typed at a path; `None` where nothing was.
fn value(shape: &Shape, path: &str, name: &str, form: &mut Fields) -> Option<Value> {
    let typed = form.value(path).trim().to_owned();
    match shape {
        Shape::Number { whole } => number(&typed, name, *whole).unwrap_or_else(|why| {
            form.refuse(path, why);
            None
        }),
        Shape::Long => {
            let typed = super::long::take(path, form).trim().to_owned();
            (!typed.is_empty()).then_some(Value::String(typed))
        }
        Shape::Text | Shape::Choice(_) => (!typed.is_empty()).then_some(Value::String(typed)),
        Shape::Tick => Some(Value::Bool(!typed.is_empty())),
        Shape::YesNo => match typed.as_str() {
            "" => None,
            "yes" => Some(Value::Bool(true)),
            "no" => Some(Value::Bool(false)),
            _ => {
                form.refuse(path, "Choose yes, no, or not said.");
                None
            }
        },
        Shape::Json if typed.is_empty() => None,
        Shape::Json => match serde_json::from_str(&typed) {
            Ok(value) => Some(value),
            Err(e) => {
                form.refuse(path, format!("This is no JSON: {e}."));
                None
            }
        },
        Shape::OneOf(variants) => one_of(variants, (path, &typed), form),
        Shape::Object(places) => {
            let inner = object(places, path, form);
            let said = inner.values().any(|v| !unsaid(v));
            said.then_some(Value::Object(inner))
        }
        Shape::List(item) => {
            let rows: Vec<Value> = (0..filled(path, form))
                .filter_map(|n| value(item, &format!("{path}.{n}"), name, form))
                .filter(|v| !blank(v))
                .collect();
            Some(Value::Array(rows))
        }
    }
}

/// The word chosen, or the one whose fields are filled in; with its fields, where it has any.
fn one_of(variants: &[Variant], (path, typed): (&str, &str), form: &mut Fields) -> Option<Value> {
    let filled_in =
        |v: &&Variant| v.shape.is_some() && touched(&format!("{path}.{}", v.word), form);
    let chosen = if typed.is_empty() {
        variants.iter().find(filled_in)
    } else {
        let found = variants.iter().find(|v| v.word == typed);
        if found.is_none() {
            form.refuse(path, format!("“{typed}” is none of those. Choose one from the list."));
        }
        found
    }?;
    let Some(shape) = &chosen.shape else { return Some(Value::String(chosen.word.clone())) };
    let inner = value(shape, &format!("{path}.{}", chosen.word), &chosen.word, form);
    let inner = inner.unwrap_or_else(|| Value::Object(Map::new()));
    Some(Value::Object(Map::from_iter([(chosen.word.clone(), inner)])))
}

/// Nothing was said: an empty tick, an empty list.
fn unsaid(v: &Value) -> bool {
    matches!(v, Value::Bool(false)) || v.as_array().is_some_and(Vec::is_empty)
}

/// A list row of which only the preset choices are left.
fn blank(row: &Value) -> bool {
    let Value::Object(map) = row else { return false };
    map.values().all(unsaid)
}

/// A number as people write it, with the unit its field's name ends in.
fn number(typed: &str, name: &str, whole: bool) -> Result<Option<Value>, String> {
    if typed.is_empty() {
        return Ok(None);
    }
    if whole {
        let n: i64 = typed.parse().map_err(|_| format!("“{typed}” is no whole number."))?;
        return Ok(Some(Value::Number(n.into())));
    }
    let dimension = Dimension::of_field(name).unwrap_or(Dimension::Number);
    let wanted = Wanted { dimension, bare: "", least: -1e12, most: 1e12 };
    let value = units::parse(typed, &wanted).map_err(|r| r.to_string())?;
    let number = Number::from_f64(value).ok_or_else(|| format!("“{typed}” is no number."))?;
    Ok(Some(Value::Number(number)))
}

/// Puts a value into the fields below a path.
pub(super) fn put(shape: &Shape, path: &str, value: &Value, form: &mut Fields) {
    match (shape, value) {
        (_, Value::Null) => {}
        (Shape::Object(places), Value::Object(_)) => {
            for p in places {
                let inner = value.get(&p.name).unwrap_or(&p.default);
                put(&p.shape, &format!("{path}.{}", p.name), inner, form);
            }
        }
        (Shape::OneOf(variants), Value::Object(map)) => {
            let Some((word, inner)) = map.iter().next() else { return };
            form.set(path, word.clone());
            let variant = variants.iter().find(|v| v.word == *word);
            if let Some(shape) = variant.and_then(|v| v.shape.as_ref()) {
                put(shape, &format!("{path}.{word}"), inner, form);
            }
        }
        (Shape::List(item), Value::Array(rows)) => {
            for (n, row) in rows.iter().enumerate() {
                put(item, &format!("{path}.{n}"), row, form);
            }
        }
        (Shape::Tick, Value::Bool(on)) => form.set(path, if *on { "1" } else { "" }),
        (Shape::YesNo, Value::Bool(on)) => form.set(path, if *on { "yes" } else { "no" }),
        (Shape::Json, other) => form.set(path, other.to_string()),
        (_, Value::String(s)) => form.set(path, s.clone()),
        // a whole number without its idle decimal
        (_, other) => form.set(path, other.to_string().trim_end_matches(".0")),
    }
}
