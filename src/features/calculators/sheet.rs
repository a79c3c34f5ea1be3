//! One calculation of one conversion: what is known, what a person kept over it, and the answer.

use super::form::Form;
use super::known::{Known, known};
use super::model::{Saved, merge};
use crate::calc::{Answer, Calculation, Refusals};
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use serde_json::{Map, Value};

/// One calculation of one conversion.
#[derive(Debug)]
pub struct Sheet {
    /// The calculation.
    pub c: &'static Calculation,
    /// Its form, without what is nothing but readings.
    pub form: Form,
    /// What the conversion knows.
    pub known: Known,
    /// The same as the form reads it, so that it can be compared with what is typed.
    pub normal: Map<String, Value>,
    /// What a person kept; `None`: nothing, or forgotten.
    pub saved: Option<Saved>,
}

impl Sheet {
    /// From the gathered conversion and every input kept in it.
    pub fn of(g: &Gathered, c: &'static Calculation, saved: &[Saved], at: At) -> Sheet {
        let known = known(g, c.name, saved, at);
        let fixed: Vec<&str> = known.fixed.iter().map(|(name, _)| *name).collect();
        let form = Form::of(c).without(&fixed);
        let normal = form.json(&mut form.fill(&Value::Object(known.json.clone())));
        let normal = normal.as_object().cloned().unwrap_or_default();
        let saved = saved.iter().find(|s| s.name == c.name && !s.aside).cloned();
        Sheet { c, form, known, normal, saved }
    }

    /// What stands in the form: the known with the kept over it.
    pub fn written(&self) -> Map<String, Value> {
        let none = Map::new();
        merge(&self.normal, self.saved.as_ref().map_or(&none, |s| &s.input))
    }

    /// A whole input: what is written, and what is nothing but readings.
    pub fn whole(&self, written: &Map<String, Value>) -> Value {
        let mut out = written.clone();
        for (name, _) in &self.known.fixed {
            if let Some(value) = self.known.json.get(*name) {
                out.insert((*name).to_owned(), value.clone());
            }
        }
        Value::Object(out)
    }

    /// The answer as it stands.
    pub fn answer(&self) -> Result<Answer, Refusals> {
        (self.c.run)(&self.whole(&self.written()).to_string())
    }

    /// Whether anything at all is known or kept.
    pub fn begun(&self) -> bool {
        self.saved.is_some() || !self.known.json.is_empty()
    }
}
