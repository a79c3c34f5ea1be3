//! A form made from a calculation's JSON Schema, and JSON made from what was typed in it.

pub mod long;
mod read;
mod shape;
mod show;

#[cfg(test)]
mod tests;

use crate::calc::Calculation;
use crate::web::Fields;
use serde_json::{Map, Value};
use shape::{Place, Shape};

pub use show::Row;

/// Empty rows shown below those filled in.
const SPARE: usize = 2;
/// Most rows of one list.
const MOST_ROWS: usize = 60;

/// The form of a calculation.
#[derive(Debug)]
pub struct Form {
    places: Vec<Place>,
}

impl Form {
    /// The form of a calculation.
    pub fn of(c: &Calculation) -> Self {
        Form::new(&serde_json::to_value((c.input_schema)()).unwrap_or_default())
    }

    /// From the calculation's input schema.
    pub fn new(schema: &Value) -> Self {
        let places = match shape::of(schema) {
            Shape::Object(places) => places,
            _ => Vec::new(),
        };
        Form { places }
    }

    /// The same form without some of its places at the top.
    #[must_use]
    pub fn without(mut self, names: &[&str]) -> Self {
        self.places.retain(|p| !names.contains(&p.name.as_str()));
        self
    }

    /// The rows to show, with as many list rows as `form` fills and a few spare ones.
    pub fn rows(&self, form: &Fields) -> Vec<Row> {
        let mut out = Vec::new();
        for place in &self.places {
            show::show(place, &place.name, form, &mut out);
        }
        out
    }

    /// JSON from what was typed; fields that can't be read are refused in `form`.
    pub fn json(&self, form: &mut Fields) -> Value {
        Value::Object(read::object(&self.places, "", form))
    }

    /// Long texts of `form` that are too long for the page taken out of it; `kept` where the same text
    /// stands in the notebook, so that an empty field may mean it.
    pub fn spare(&self, form: &mut Fields, kept: bool) {
        for place in self.places.iter().filter(|p| p.shape == Shape::Long) {
            long::spare(&place.name, form, kept);
        }
    }

    /// Whether a file can be given in place of a field.
    pub fn takes_files(&self) -> bool {
        self.places.iter().any(|p| p.shape == Shape::Long)
    }

    /// Puts kept texts back where their field was left empty.
    pub fn restore(&self, form: &mut Fields, kept: &Map<String, Value>) {
        for place in self.places.iter().filter(|p| p.shape == Shape::Long) {
            if let Some(text) = kept.get(&place.name).and_then(Value::as_str) {
                long::restore(&place.name, form, text);
            }
        }
    }

    /// A dotted path as people read it: `Outputs 1, Strings 2, Forward voltage`.
    pub fn label(&self, path: &str) -> String {
        let steps: Vec<&str> = path.split('.').collect();
        let words = shape::words_of(&self.places, &steps).join(", ");
        if words.is_empty() { path.replace(['.', '_'], " ") } else { words }
    }

    /// Fields filled in from JSON, such as an example, over the defaults.
    pub fn fill(&self, json: &Value) -> Fields {
        let mut form = Fields::default();
        for place in &self.places {
            let value = json.get(&place.name).unwrap_or(&place.default);
            read::put(&place.shape, &place.name, value, &mut form);
        }
        form
    }
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

/// Whether anything is typed below a path.
fn touched(path: &str, form: &Fields) -> bool {
    let prefix = format!("{path}.");
    form.names().any(|n| n.starts_with(&prefix) && !form.value(n).is_empty())
}
