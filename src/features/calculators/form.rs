//! A form made from a calculation's JSON Schema, and JSON made from what was typed in it.

use crate::units::{self, Dimension, Wanted};
use crate::web::Fields;
use serde_json::{Map, Number, Value};

/// What one place of the input takes.
#[derive(Debug, Clone, PartialEq)]
enum Shape {
    Number {
        whole: bool,
    },
    Text,
    /// Text of several lines, such as a pasted log.
    Long,
    Tick,
    Choice(Vec<(String, String)>),
    Object(Vec<Place>),
    List(Box<Shape>),
    /// Anything the form can't show field by field: written as JSON.
    Json,
}

/// One named place of an object.
#[derive(Debug, Clone, PartialEq)]
struct Place {
    name: String,
    label: String,
    help: String,
    required: bool,
    default: Value,
    shape: Shape,
}

/// One row of the form, ready to show.
#[derive(Debug, Clone)]
pub enum Row {
    /// A group begins.
    Open {
        /// Heading.
        label: String,
        /// One line of help.
        help: String,
        /// Folded away until wanted.
        folded: bool,
    },
    /// A group ends.
    Close,
    /// A line to write on.
    Line(Field),
    /// A tick.
    Tick(Field),
    /// A closed list.
    Choice(Field, Vec<(String, String)>),
    /// Several lines: a pasted log, or JSON by hand.
    Json(Field),
}

/// A field of the form.
#[derive(Debug, Clone)]
pub struct Field {
    /// Dotted path: `loads.0.amps_a`.
    pub name: String,
    /// Label.
    pub label: String,
    /// Help.
    pub help: String,
    /// Unit at the right; empty for none.
    pub unit: &'static str,
}

/// Empty rows shown below those filled in.
const SPARE: usize = 2;
/// Most rows of one list.
const MOST_ROWS: usize = 60;
/// Text that may be longer than this many letters gets a box of several lines.
const LONG: u64 = 1000;
/// Deepest nesting shown field by field.
const DEEPEST: usize = 5;

/// The form of a calculation.
#[derive(Debug)]
pub struct Form {
    places: Vec<Place>,
}

impl Form {
    /// From the calculation's input schema.
    pub fn new(schema: &Value) -> Self {
        let places = match shape(schema, schema, 0) {
            Shape::Object(places) => places,
            _ => Vec::new(),
        };
        Form { places }
    }

    /// The rows to show, with as many list rows as `form` fills and a few spare ones.
    pub fn rows(&self, form: &Fields) -> Vec<Row> {
        let mut out = Vec::new();
        for place in &self.places {
            show(place, &place.name, form, &mut out);
        }
        out
    }

    /// JSON from what was typed; fields that can't be read are refused in `form`.
    pub fn json(&self, form: &mut Fields) -> Value {
        Value::Object(object(&self.places, "", form))
    }

    /// Fields filled in from JSON, such as an example, over the defaults.
    pub fn fill(&self, json: &Value) -> Fields {
        let mut form = Fields::default();
        for place in &self.places {
            let value = json.get(&place.name).unwrap_or(&place.default);
            put(&place.shape, &place.name, value, &mut form);
        }
        form
    }
}

/// Follows a reference within the schema.
fn follow<'a>(schema: &'a Value, root: &'a Value) -> &'a Value {
    let Some(path) = schema.get("$ref").and_then(Value::as_str) else { return schema };
    root.pointer(path.trim_start_matches('#')).unwrap_or(schema)
}

/// Of `T or null`, the T.
fn not_null(schema: &Value) -> &Value {
    for key in ["anyOf", "oneOf"] {
        if let Some(options) = schema.get(key).and_then(Value::as_array)
            && options.iter().any(|o| o.get("type").and_then(Value::as_str) == Some("null"))
        {
            let rest =
                options.iter().find(|o| o.get("type").and_then(Value::as_str) != Some("null"));
            return rest.unwrap_or(schema);
        }
    }
    schema
}

fn shape(schema: &Value, root: &Value, depth: usize) -> Shape {
    let schema = follow(not_null(follow(schema, root)), root);
    if depth > DEEPEST {
        return Shape::Json;
    }
    if let Some(options) = choices(schema) {
        return Shape::Choice(options);
    }
    let kind = match schema.get("type") {
        Some(Value::String(kind)) => kind.as_str(),
        Some(Value::Array(kinds)) => {
            kinds.iter().filter_map(Value::as_str).find(|k| *k != "null").unwrap_or("")
        }
        _ => "",
    };
    match kind {
        "number" => Shape::Number { whole: false },
        "integer" => Shape::Number { whole: true },
        "string" if schema.get("maxLength").and_then(Value::as_u64).is_some_and(|n| n > LONG) => {
            Shape::Long
        }
        "string" => Shape::Text,
        "boolean" => Shape::Tick,
        "array" => match schema.get("items") {
            Some(items) => match shape(items, root, depth + 1) {
                Shape::Json => Shape::Json,
                item => Shape::List(Box::new(item)),
            },
            None => Shape::Json,
        },
        "object" => Shape::Object(places(schema, root, depth)),
        _ => Shape::Json,
    }
}

/// A closed list: `enum`, or `oneOf` of constants.
fn choices(schema: &Value) -> Option<Vec<(String, String)>> {
    let word = |v: &Value| v.as_str().map(|s| (s.to_owned(), s.replace('_', " ")));
    if let Some(list) = schema.get("enum").and_then(Value::as_array) {
        return list.iter().filter(|v| !v.is_null()).map(word).collect();
    }
    let list = schema.get("oneOf").and_then(Value::as_array)?;
    let mut out = Vec::new();
    for option in list {
        if let Some(c) = option.get("const") {
            out.push(word(c)?);
        } else {
            let more = option.get("enum").and_then(Value::as_array)?;
            out.extend(more.iter().filter_map(word));
        }
    }
    Some(out)
}

fn places(schema: &Value, root: &Value, depth: usize) -> Vec<Place> {
    let required: Vec<&str> = schema
        .get("required")
        .and_then(Value::as_array)
        .map(|r| r.iter().filter_map(Value::as_str).collect())
        .unwrap_or_default();
    let Some(properties) = schema.get("properties").and_then(Value::as_object) else {
        return Vec::new();
    };
    let mut out: Vec<Place> = properties
        .iter()
        .map(|(name, p)| {
            let text = |key: &str| {
                let own = p.get(key).or_else(|| follow(not_null(p), root).get(key));
                own.and_then(Value::as_str).unwrap_or("").to_owned()
            };
            let title = text("title");
            Place {
                name: name.clone(),
                label: if title.is_empty() { name.replace('_', " ") } else { title },
                help: text("description"),
                required: required.contains(&name.as_str()),
                default: p.get("default").cloned().unwrap_or(Value::Null),
                shape: shape(p, root, depth + 1),
            }
        })
        .collect();
    // what must be given stands first; otherwise the order of the schema
    out.sort_by_key(|p| !p.required);
    out
}

/// How many rows of a list are filled.
fn filled(path: &str, form: &Fields) -> usize {
    let prefix = format!("{path}.");
    form.names()
        .filter_map(|n| n.strip_prefix(&prefix)?.split('.').next()?.parse::<usize>().ok())
        .map(|n| n + 1)
        .max()
        .unwrap_or(0)
        .min(MOST_ROWS)
}

fn show(place: &Place, path: &str, form: &Fields, out: &mut Vec<Row>) {
    let field = |label: &str| Field {
        name: path.to_owned(),
        label: if place.required { format!("{label}, needed") } else { label.to_owned() },
        help: place.help.clone(),
        unit: unit(&place.name),
    };
    match &place.shape {
        Shape::Number { .. } | Shape::Text => out.push(Row::Line(field(&place.label))),
        Shape::Tick => out.push(Row::Tick(Field { label: place.label.clone(), ..field("") })),
        Shape::Choice(options) => out.push(Row::Choice(field(&place.label), options.clone())),
        Shape::Json | Shape::Long => out.push(Row::Json(field(&place.label))),
        Shape::Object(places) => {
            let touched = form
                .names()
                .any(|n| n.starts_with(&format!("{path}.")) && !form.value(n).is_empty());
            let row = place.name.parse::<usize>().is_ok();
            let folded = !place.required && !touched && !row;
            out.push(Row::Open { label: place.label.clone(), help: place.help.clone(), folded });
            for inner in places {
                show(inner, &format!("{path}.{}", inner.name), form, out);
            }
            out.push(Row::Close);
        }
        Shape::List(item) => {
            for n in 0..(filled(path, form) + SPARE).min(MOST_ROWS) {
                let one = Place {
                    name: n.to_string(),
                    label: format!("{} {}", place.label, n + 1),
                    help: if n == 0 { place.help.clone() } else { String::new() },
                    required: false,
                    default: Value::Null,
                    shape: (**item).clone(),
                };
                show(&one, &format!("{path}.{n}"), form, out);
            }
        }
    }
}

/// Unit shown at the right of a field, from its name's ending.
fn unit(name: &str) -> &'static str {
    Dimension::of_field(name).map_or("", Dimension::unit)
}

fn object(places: &[Place], path: &str, form: &mut Fields) -> Map<String, Value> {
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
        Shape::Text | Shape::Long | Shape::Choice(_) => {
            (!typed.is_empty()).then_some(Value::String(typed))
        }
        Shape::Tick => Some(Value::Bool(!typed.is_empty())),
        Shape::Json if typed.is_empty() => None,
        Shape::Json => match serde_json::from_str(&typed) {
            Ok(value) => Some(value),
            Err(e) => {
                form.refuse(path, format!("This is no JSON: {e}."));
                None
            }
        },
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

fn put(shape: &Shape, path: &str, value: &Value, form: &mut Fields) {
    match (shape, value) {
        (_, Value::Null) => {}
        (Shape::Object(places), Value::Object(_)) => {
            for p in places {
                let inner = value.get(&p.name).unwrap_or(&p.default);
                put(&p.shape, &format!("{path}.{}", p.name), inner, form);
            }
        }
        (Shape::List(item), Value::Array(rows)) => {
            for (n, row) in rows.iter().enumerate() {
                put(item, &format!("{path}.{n}"), row, form);
            }
        }
        (Shape::Tick, Value::Bool(on)) => form.set(path, if *on { "1" } else { "" }),
        (Shape::Json, other) => form.set(path, other.to_string()),
        (_, Value::String(s)) => form.set(path, s.clone()),
        (_, other) => form.set(path, other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc;

    #[test]
    fn every_example_goes_through_its_form_and_comes_back_with_the_same_answer() {
        for c in calc::ALL {
            let schema = serde_json::to_value((c.input_schema)()).unwrap();
            let form = Form::new(&schema);
            let example: Value = serde_json::from_str(c.example).unwrap();
            let mut fields = form.fill(&example);
            let json = form.json(&mut fields);
            assert!(!fields.any_wrong(), "{}: {:?}", c.name, fields);
            let by_form = (c.run)(&json.to_string());
            let by_hand = (c.run)(c.example);
            assert_eq!(by_form, by_hand, "{}: {json}", c.name);
        }
    }

    #[test]
    fn what_is_typed_with_a_unit_is_read_with_it() {
        let c = calc::find("load").unwrap();
        let form = Form::new(&serde_json::to_value((c.input_schema)()).unwrap());
        let mut fields = Fields::with([("test_v", "12"), ("held_a", "800 mA"), ("free_a", "0,27")]);
        let json = form.json(&mut fields);
        assert_eq!(json["held_a"], 0.8);
        assert_eq!(json["free_a"], 0.27);
        let mut fields = Fields::with([("test_v", "12 bananas")]);
        form.json(&mut fields);
        assert!(fields.problem("test_v").contains("bananas"));
    }
}
