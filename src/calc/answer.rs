//! The shape every calculation's result is shown in, and the checks every input goes through.

use super::plot::Plot;
use super::way::Way;
use crate::aspect::{Aspect, Finding};
use crate::units::{Interval, exact};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A computed value with its bounds: the value from the readings as read, and the ends it may have
/// when each meter is off by its accuracy.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Bounded {
    /// The value from the readings as read.
    pub value: f64,
    /// Low end.
    pub lo: f64,
    /// High end.
    pub hi: f64,
}

impl Bounded {
    /// A value with bounds.
    pub fn new(value: f64, bounds: Interval) -> Self {
        Bounded { value, lo: bounds.lo.min(value), hi: bounds.hi.max(value) }
    }

    /// A value without doubt.
    pub fn exact(value: f64) -> Self {
        Bounded { value, lo: value, hi: value }
    }

    /// Whether the ends are the value, but for the noise of arithmetic (1e-9 of its size, or of 1).
    pub fn is_sure(self) -> bool {
        self.hi - self.lo <= 1e-9 * self.value.abs().max(1.0)
    }

    /// ` at worst` where the bad end is not the value itself: said beside a figure of the bad end.
    pub fn at_worst(self) -> &'static str {
        if self.is_sure() { "" } else { " at worst" }
    }

    /// The bounds as an interval.
    pub fn interval(self) -> Interval {
        Interval { lo: self.lo, hi: self.hi }
    }
}

/// One line of a result: a named value with unit, bounds, formula and source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Value {
    /// Field-like name with its unit: `resistance_ohm`.
    pub name: String,
    /// Label for people: `Terminal resistance`.
    pub label: String,
    /// The value, in `unit`.
    pub value: f64,
    /// Low end of the bounds; equal to the value where the inputs carry none.
    pub lo: f64,
    /// High end of the bounds.
    pub hi: f64,
    /// Unit as printed: `A`, `Ω`, empty for a ratio.
    pub unit: String,
    /// Formula in one line, letters as in the source.
    pub formula: String,
    /// Where the formula comes from.
    pub source: String,
}

impl Value {
    /// A line of a result. `name` carries the unit as its ending.
    pub fn new(name: &str, label: &str, value: Bounded, unit: &str) -> Self {
        Value {
            name: name.to_owned(),
            label: label.to_owned(),
            value: value.value,
            lo: value.lo,
            hi: value.hi,
            unit: unit.to_owned(),
            formula: String::new(),
            source: String::new(),
        }
    }

    /// Sets formula and source.
    #[must_use]
    pub fn by(mut self, formula: &str, source: &str) -> Self {
        formula.clone_into(&mut self.formula);
        source.clone_into(&mut self.source);
        self
    }
}

/// What every calculation answers with, on the page, in the API and on the command line alike.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Answer {
    /// Name of the calculation.
    pub calculation: String,
    /// The worst aspect of the findings.
    pub aspect: Aspect,
    /// The sentence of the finding that decides.
    pub sentence: String,
    /// The values, most wanted first.
    pub values: Vec<Value>,
    /// The verdicts, worst first.
    pub findings: Vec<Finding>,
    /// What would turn a verdict, worked out; left out where nothing was.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ways: Vec<Way>,
    /// What it can be drawn from; left out where there is nothing to draw.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plots: Vec<Plot>,
}

impl Answer {
    /// Builds an answer: findings are put worst first, the first one gives aspect and sentence.
    pub fn new(calculation: &str, values: Vec<Value>, mut findings: Vec<Finding>) -> Self {
        findings.sort_by_key(|f| std::cmp::Reverse(f.aspect.rank()));
        let aspect = Aspect::worst(findings.iter().map(|f| f.aspect));
        let sentence = findings.first().map_or_else(
            || "Nothing to judge: no limit was given.".to_owned(),
            |f| f.sentence.clone(),
        );
        Answer {
            calculation: calculation.to_owned(),
            aspect,
            sentence,
            values,
            findings,
            ways: Vec::new(),
            plots: Vec::new(),
        }
    }

    /// The same with what it can be drawn from.
    #[must_use]
    pub fn drawn(mut self, plots: Vec<Plot>) -> Self {
        self.plots = plots;
        self
    }
}

/// One refused field: which, what was given, what is allowed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FieldRefusal {
    /// Dotted path of the field: `held_a`, `loads.2.amps_a`. Empty for the whole input.
    pub field: String,
    /// What was given, as text.
    pub given: String,
    /// What is allowed.
    pub allowed: String,
}

impl FieldRefusal {
    /// A refusal of one field.
    pub fn new(
        field: impl Into<String>,
        given: impl Into<String>,
        allowed: impl Into<String>,
    ) -> Self {
        FieldRefusal { field: field.into(), given: given.into(), allowed: allowed.into() }
    }
}

/// All refused fields of one input; never empty when returned as an error.
pub type Refusals = Vec<FieldRefusal>;

/// Notes a refusal unless `least <= value <= most` and the value is finite.
pub fn within(refusals: &mut Refusals, field: &str, value: f64, least: f64, most: f64) {
    if !value.is_finite() || value < least || value > most {
        refusals.push(FieldRefusal::new(
            field,
            exact(value),
            format!("{} to {}", exact(least), exact(most)),
        ));
    }
}

/// Notes a refusal unless a condition between fields holds.
pub fn require(refusals: &mut Refusals, holds: bool, field: &str, given: &str, allowed: &str) {
    if !holds {
        refusals.push(FieldRefusal::new(field, given, allowed));
    }
}
