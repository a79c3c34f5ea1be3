//! An answer made ready to show.

use crate::aspect::Finding;
use crate::calc::{Answer, Value};
use crate::draw::arm;
use crate::draw::plot::{Picture, pictures};
use crate::units::exact;

/// An answer as shown.
#[derive(Debug)]
pub struct AnswerView {
    /// Arm and word.
    pub asp: String,
    /// The sentence that decides.
    pub sentence: String,
    /// Its pictures.
    pub pictures: Vec<Picture>,
    /// What would turn a verdict: which, what to do, and where it leads.
    pub ways: Vec<(String, String, String)>,
    /// Its values.
    pub values: Vec<ValueView>,
    /// Its verdicts with their arms.
    pub findings: Vec<(String, Finding)>,
}

/// One value of an answer.
#[derive(Debug)]
pub struct ValueView {
    /// Label.
    pub label: String,
    /// Value with unit.
    pub value: String,
    /// Bounds; empty where it has none.
    pub bounds: String,
    /// Formula.
    pub formula: String,
    /// Source.
    pub source: String,
}

/// Makes an answer ready to show.
pub fn view(a: Answer) -> AnswerView {
    AnswerView {
        asp: arm::asp(a.aspect),
        sentence: a.sentence,
        pictures: pictures(&a.plots),
        ways: a
            .ways
            .into_iter()
            .map(|w| (w.turns.replace('_', " "), w.sentence, arm::asp(w.aspect_after)))
            .collect(),
        values: a.values.into_iter().map(value).collect(),
        findings: a.findings.into_iter().map(|f| (arm::asp(f.aspect), f)).collect(),
    }
}

fn value(v: Value) -> ValueView {
    ValueView {
        value: format!("{}\u{a0}{}", exact(v.value), v.unit)
            .trim_end_matches(['\u{a0}', ' '])
            .to_owned(),
        bounds: if v.lo < v.hi {
            format!("{} to {}", exact(v.lo), exact(v.hi))
        } else {
            String::new()
        },
        label: v.label,
        formula: v.formula,
        source: v.source,
    }
}
