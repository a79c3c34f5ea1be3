//! Aspects: what a check, a gate or a result shows, and how several combine.
//!
//! The four words are the product's own. The rule that matters: what nobody measured is *unlit*,
//! and unlit is treated as danger, never as clear.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The state of a check, a gate or a computed result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Aspect {
    /// Measured, and inside what is wanted at the bad end of its bounds.
    Clear,
    /// Measured, usable, not what is wanted. A person may judge it passed.
    Caution,
    /// Not known. Treated as danger.
    Unlit,
    /// Measured or computed to fail.
    Danger,
}

impl Aspect {
    /// The word that always stands beside the arm, lower case.
    pub fn word(self) -> &'static str {
        match self {
            Aspect::Clear => "clear",
            Aspect::Caution => "caution",
            Aspect::Unlit => "unlit",
            Aspect::Danger => "danger",
        }
    }

    /// Rank from best (0) to worst (3): clear, caution, unlit, danger.
    pub fn rank(self) -> u8 {
        match self {
            Aspect::Clear => 0,
            Aspect::Caution => 1,
            Aspect::Unlit => 2,
            Aspect::Danger => 3,
        }
    }

    /// The worse of two.
    #[must_use]
    pub fn and(self, other: Aspect) -> Aspect {
        if other.rank() > self.rank() { other } else { self }
    }

    /// The worst of many. An empty list is *unlit*: nothing was looked at.
    pub fn worst(many: impl IntoIterator<Item = Aspect>) -> Aspect {
        many.into_iter().reduce(Aspect::and).unwrap_or(Aspect::Unlit)
    }
}

/// One named input of a verdict, printed as a person reads it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Named {
    /// What it is, in words: `held current`.
    pub name: String,
    /// Value with unit and, where known, its bounds: `0.80 A (0.78 to 0.82)`.
    pub value: String,
}

impl Named {
    /// A named input from anything printable.
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Named { name: name.into(), value: value.into() }
    }
}

/// A verdict that can be argued with: aspect, one plain sentence, and what it stands on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// The aspect it leads to.
    pub aspect: Aspect,
    /// One plain sentence: what is so, with the number and the thing named.
    pub sentence: String,
    /// The values that went in.
    pub inputs: Vec<Named>,
    /// The formula or rule in one line.
    pub formula: String,
    /// Where the formula or limit comes from: a standard, a handbook, or
    /// `common practice, no source`.
    pub source: String,
    /// What would turn the aspect: a value to reach, a reading to take.
    pub would_change: String,
}

impl Finding {
    /// A verdict with a sentence; the rest is added with the `with_…` methods.
    pub fn new(aspect: Aspect, sentence: impl Into<String>) -> Self {
        Finding {
            aspect,
            sentence: sentence.into(),
            inputs: Vec::new(),
            formula: String::new(),
            source: String::new(),
            would_change: String::new(),
        }
    }

    /// *Unlit*: not known, with what to measure.
    pub fn unlit(sentence: impl Into<String>, would_change: impl Into<String>) -> Self {
        Finding::new(Aspect::Unlit, sentence).would_change(would_change)
    }

    /// Adds one input.
    #[must_use]
    pub fn input(mut self, name: impl Into<String>, value: impl Into<String>) -> Self {
        self.inputs.push(Named::new(name, value));
        self
    }

    /// Sets the formula or rule.
    #[must_use]
    pub fn formula(mut self, formula: impl Into<String>) -> Self {
        self.formula = formula.into();
        self
    }

    /// Sets the source.
    #[must_use]
    pub fn source(mut self, source: impl Into<String>) -> Self {
        self.source = source.into();
        self
    }

    /// Sets what would change the aspect.
    #[must_use]
    pub fn would_change(mut self, what: impl Into<String>) -> Self {
        self.would_change = what.into();
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_looked_at_is_unlit_never_clear() {
        assert_eq!(Aspect::worst([]), Aspect::Unlit);
    }

    #[test]
    fn a_gate_shows_its_worst_danger_before_unlit_before_caution_before_clear() {
        use Aspect::{Caution, Clear, Danger, Unlit};
        assert_eq!(Aspect::worst([Clear, Caution]), Caution);
        assert_eq!(Aspect::worst([Unlit, Caution, Clear]), Unlit);
        assert_eq!(Aspect::worst([Unlit, Danger, Clear]), Danger);
    }

    #[test]
    fn combining_does_not_depend_on_order() {
        let all = [Aspect::Clear, Aspect::Caution, Aspect::Unlit, Aspect::Danger];
        for a in all {
            for b in all {
                assert_eq!(a.and(b), b.and(a));
            }
        }
    }
}
