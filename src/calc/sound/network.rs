//! Speakers in series and parallel: the load they make and how they share the power.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Which way the cone moves when the plus lead gets plus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Polarity {
    /// Outward.
    Outward,
    /// Inward.
    Inward,
}

/// One speaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Speaker {
    /// Its name: `front`. 1 to 60 signs.
    #[schemars(title = "Name")]
    pub name: String,
    /// Rated impedance, Ω, 1 to 1000.
    #[schemars(title = "Rated impedance", range(min = 1.0, max = 1000.0))]
    pub impedance_ohm: f64,
    /// Ohmmeter across its leads, Ω, 0.1 to 10 000. Not given: not measured.
    #[serde(default)]
    #[schemars(title = "Ohmmeter reads", range(min = 0.1, max = 10000.0))]
    pub measured_ohm: Option<f64>,
    /// Rated power, W, 0.01 to 100. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Rated power", range(min = 0.01, max = 100.0))]
    pub rated_w: Option<f64>,
    /// Which way its cone moves when a 1.5 V cell touches its leads as they are wired, plus to the
    /// amplifier's plus. Not given: not tried.
    #[serde(default)]
    #[schemars(title = "Cone moves")]
    pub moves: Option<Polarity>,
}

/// A network: one speaker, or others in series or in parallel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Node {
    /// One speaker.
    Speaker(Speaker),
    /// One after the other; at least one entry.
    Series(Vec<Node>),
    /// Side by side; at least one entry.
    Parallel(Vec<Node>),
}

impl Node {
    /// Every speaker, in the order given.
    pub fn speakers(&self) -> Vec<&Speaker> {
        match self {
            Node::Speaker(speaker) => vec![speaker],
            Node::Series(parts) | Node::Parallel(parts) => {
                parts.iter().flat_map(Node::speakers).collect()
            }
        }
    }

    /// How deep it is nested: 1 for a speaker alone.
    pub fn depth(&self) -> usize {
        match self {
            Node::Speaker(_) => 1,
            Node::Series(parts) | Node::Parallel(parts) => {
                1 + parts.iter().map(Node::depth).max().unwrap_or(0)
            }
        }
    }

    /// Whether a series or parallel group anywhere has no entry.
    pub fn has_empty_group(&self) -> bool {
        match self {
            Node::Speaker(_) => false,
            Node::Series(parts) | Node::Parallel(parts) => {
                parts.is_empty() || parts.iter().any(Node::has_empty_group)
            }
        }
    }

    /// Load in Ω with `ohms` for each speaker: series `Z = Z1 + Z2`, parallel `1/Z = 1/Z1 + 1/Z2`.
    /// It rises with every speaker's ohms.
    pub fn load_ohm(&self, ohms: &impl Fn(&Speaker) -> f64) -> f64 {
        match self {
            Node::Speaker(speaker) => ohms(speaker),
            Node::Series(parts) => parts.iter().map(|p| p.load_ohm(ohms)).sum(),
            Node::Parallel(parts) => {
                1.0 / parts.iter().map(|p| 1.0 / p.load_ohm(ohms)).sum::<f64>()
            }
        }
    }

    /// Power of each speaker in W at `volts` RMS over the network, by rated impedance, in the order
    /// of [`Node::speakers`]: `P = V²/Z`. In series the voltage divides in proportion to Z, in
    /// parallel it is the same for all.
    pub fn powers_w(&self, volts: f64) -> Vec<f64> {
        let rated = |s: &Speaker| s.impedance_ohm;
        match self {
            Node::Speaker(speaker) => vec![volts * volts / speaker.impedance_ohm],
            Node::Parallel(parts) => parts.iter().flat_map(|p| p.powers_w(volts)).collect(),
            Node::Series(parts) => {
                let current = volts / self.load_ohm(&rated);
                parts.iter().flat_map(|p| p.powers_w(current * p.load_ohm(&rated))).collect()
            }
        }
    }
}

/// A power ratio in decibels: `10·lg(ratio)`. Doubled power is 3.01 dB, doubled voltage 6.02 dB.
pub fn decibels(power_ratio: f64) -> f64 {
    10.0 * power_ratio.log10()
}
