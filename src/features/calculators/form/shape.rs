//! What each place of a calculation's input takes, read from its JSON Schema.

use serde_json::Value;

/// Text that may be longer than this many letters gets a box of several lines.
const LONG: u64 = 1000;
/// Deepest nesting shown field by field.
const DEEPEST: usize = 10;

/// What one place of the input takes.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    Number {
        whole: bool,
    },
    Text,
    /// Text of many lines.
    Long,
    /// Yes or not.
    Tick,
    /// Yes, no, or not known.
    YesNo,
    Choice(Vec<(String, String)>),
    Object(Vec<Place>),
    List(Box<Shape>),
    /// One of several, each a word alone or a word with fields of its own.
    OneOf(Vec<Variant>),
    /// Anything the form can't show field by field: written as JSON.
    Json,
}

/// One of several forms a place may take.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Variant {
    pub word: String,
    pub help: String,
    /// What belongs to it; `None`: the word alone.
    pub shape: Option<Shape>,
}

/// One named place of an object.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub name: String,
    pub label: String,
    pub help: String,
    pub required: bool,
    pub default: Value,
    pub shape: Shape,
}

/// The shape of a whole schema.
pub(super) fn of(schema: &Value) -> Shape {
    Reader { root: schema, within: Vec::new() }.shape(schema, 0)
}

/// Labels along a path.
pub(super) fn words_of(places: &[Place], steps: &[&str]) -> Vec<String> {
    let Some((first, rest)) = steps.split_first() else { return Vec::new() };
    let Some(place) = places.iter().find(|p| p.name == *first) else { return Vec::new() };
    let mut out = vec![place.label.clone()];
    along(&place.shape, rest, &mut out);
    out
}

/// Labels further along, below a shape.
fn along(shape: &Shape, steps: &[&str], out: &mut Vec<String>) {
    let Some((first, rest)) = steps.split_first() else { return };
    match shape {
        Shape::Object(places) => out.extend(words_of(places, steps)),
        Shape::List(item) => {
            let number = first.parse::<usize>().map(|n| n + 1);
            if let (Some(last), Ok(number)) = (out.last_mut(), number) {
                *last = format!("{last} {number}");
            }
            along(item, rest, out);
        }
        Shape::OneOf(variants) => {
            // a refusal may leave the word out
            let named = variants.iter().find(|v| v.word == *first).and_then(|v| v.shape.as_ref());
            if let Some(shape) = named {
                return along(shape, rest, out);
            }
            let found = variants.iter().filter_map(|v| v.shape.as_ref()).map(|shape| {
                let mut more = Vec::new();
                along(shape, steps, &mut more);
                more
            });
            out.extend(found.into_iter().find(|more| !more.is_empty()).unwrap_or_default());
        }
        _ => {}
    }
}

/// Of `T or null`, the T.
fn not_null(schema: &Value) -> &Value {
    let null = |o: &Value| o.get("type").and_then(Value::as_str) == Some("null");
    for key in ["anyOf", "oneOf"] {
        if let Some(options) = schema.get(key).and_then(Value::as_array)
            && options.iter().any(null)
        {
            return options.iter().find(|o| !null(o)).unwrap_or(schema);
        }
    }
    schema
}

/// A word as people read it.
fn words(word: &str) -> String {
    word.replace('_', " ")
}

/// A closed list: `enum`, or `oneOf` of constants.
fn choices(schema: &Value) -> Option<Vec<(String, String)>> {
    let word = |v: &Value| v.as_str().map(|s| (s.to_owned(), words(s)));
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

/// Text at a key, without the marks that set off code.
fn text(schema: &Value, key: &str) -> String {
    schema.get(key).and_then(Value::as_str).unwrap_or("").replace('`', "")
}

/// Reads a schema; remembers which definitions it is inside of, so that one that holds itself ends.
struct Reader<'a> {
    root: &'a Value,
    within: Vec<&'a str>,
}

impl<'a> Reader<'a> {
    /// Follows a reference within the schema.
    fn follow(&self, schema: &'a Value) -> &'a Value {
        let Some(path) = schema.get("$ref").and_then(Value::as_str) else { return schema };
        self.root.pointer(path.trim_start_matches('#')).unwrap_or(schema)
    }

    fn shape(&mut self, schema: &'a Value, depth: usize) -> Shape {
        let bare = not_null(self.follow(schema));
        let name = [schema, bare].iter().find_map(|s| s.get("$ref").and_then(Value::as_str));
        if name.is_some_and(|n| self.within.contains(&n)) || depth > DEEPEST {
            return Shape::Json;
        }
        self.within.extend(name);
        let shape = self.plain(self.follow(bare), depth);
        if name.is_some() {
            self.within.pop();
        }
        shape
    }

    fn plain(&mut self, schema: &'a Value, depth: usize) -> Shape {
        if let Some(options) = choices(schema) {
            return Shape::Choice(options);
        }
        if let Some(options) = schema.get("oneOf").and_then(Value::as_array) {
            return self.one_of(options, depth);
        }
        let (kind, may_be_null) = match schema.get("type") {
            Some(Value::String(kind)) => (kind.as_str(), false),
            Some(Value::Array(kinds)) => {
                let kind = kinds.iter().filter_map(Value::as_str).find(|k| *k != "null");
                (kind.unwrap_or(""), true)
            }
            _ => ("", false),
        };
        match kind {
            "number" => Shape::Number { whole: false },
            "integer" => Shape::Number { whole: true },
            "string"
                if schema.get("maxLength").and_then(Value::as_u64).is_some_and(|n| n > LONG) =>
            {
                Shape::Long
            }
            "string" => Shape::Text,
            "boolean" if may_be_null => Shape::YesNo,
            "boolean" => Shape::Tick,
            "array" => match schema.get("items").map(|items| self.shape(items, depth + 1)) {
                Some(Shape::Json) | None => Shape::Json,
                Some(item) => Shape::List(Box::new(item)),
            },
            "object" => Shape::Object(self.places(schema, depth)),
            _ => Shape::Json,
        }
    }

    /// Words alone, and words with an object of their own.
    fn one_of(&mut self, options: &'a [Value], depth: usize) -> Shape {
        let mut out = Vec::new();
        for option in options {
            let help = text(option, "description");
            if let Some(alone) = choices(option).or_else(|| {
                let word = option.get("const")?.as_str()?;
                Some(vec![(word.to_owned(), words(word))])
            }) {
                let word = |(word, _)| Variant { word, help: help.clone(), shape: None };
                out.extend(alone.into_iter().map(word));
                continue;
            }
            let properties = option.get("properties").and_then(Value::as_object);
            let Some((word, inner)) =
                properties.filter(|p| p.len() == 1).and_then(|p| p.iter().next())
            else {
                return Shape::Json;
            };
            let shape = Some(self.shape(inner, depth + 1));
            out.push(Variant { word: word.clone(), help, shape });
        }
        Shape::OneOf(out)
    }

    fn places(&mut self, schema: &'a Value, depth: usize) -> Vec<Place> {
        let required: Vec<&str> = schema
            .get("required")
            .and_then(Value::as_array)
            .map(|r| r.iter().filter_map(Value::as_str).collect())
            .unwrap_or_default();
        let Some(properties) = schema.get("properties").and_then(Value::as_object) else {
            return Vec::new();
        };
        let mut out = Vec::new();
        for (name, p) in properties {
            let told = |reader: &Self, key: &str| {
                let own = text(p, key);
                if own.is_empty() { text(reader.follow(not_null(p)), key) } else { own }
            };
            let title = told(self, "title");
            out.push(Place {
                name: name.clone(),
                label: if title.is_empty() { words(name) } else { title },
                help: told(self, "description"),
                required: required.contains(&name.as_str()),
                default: p.get("default").cloned().unwrap_or(Value::Null),
                shape: self.shape(p, depth + 1),
            });
        }
        // what must be given stands first; otherwise the order of the schema
        out.sort_by_key(|p| !p.required);
        out
    }
}
