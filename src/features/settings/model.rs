//! Household settings: limits a club may set for itself, each with its default and its reason.

use crate::calc::gates::Thresholds;
use crate::units::{Dimension, Wanted};
use std::collections::BTreeMap;

/// One setting that is a number.
#[derive(Debug, Clone, Copy)]
pub struct Number {
    /// Key; the ending is the unit.
    pub key: &'static str,
    /// Label on the page.
    pub label: &'static str,
    /// What it does and where the default comes from.
    pub hint: &'static str,
    /// Default, in the kept unit.
    pub default: f64,
    /// Kind, unit of a bare number, allowed range.
    pub wanted: Wanted,
}

/// A number setting, written in one line of the list below.
const fn number(
    key: &'static str,
    label: &'static str,
    hint: &'static str,
    default: f64,
    wanted: Wanted,
) -> Number {
    Number { key, label, hint, default, wanted }
}

const fn wanted(dimension: Dimension, bare: &'static str, least: f64, most: f64) -> Wanted {
    Wanted { dimension, bare, least, most }
}

/// Every number setting.
pub const NUMBERS: &[Number] = &[
    number(
        "track_v",
        "Track voltage",
        "What the rails carry at home, measured with a meter that can. A conversion may have its own.",
        15.0,
        wanted(Dimension::Voltage, "V", 5.0, 30.0),
    ),
    number(
        "bridge_drop_v",
        "Drop inside the decoder",
        "Between rail and motor. 1.4 V, from memory.",
        1.4,
        wanted(Dimension::Voltage, "V", 0.0, 4.0),
    ),
    number(
        "headroom_held",
        "Headroom wanted, held",
        "Share of the rating left when the motor is held. 0.1 is 10 %; common practice, no source.",
        0.10,
        wanted(Dimension::Number, "", 0.0, 0.9),
    ),
    number(
        "headroom_slipping",
        "Headroom wanted, slipping",
        "Share of the rating left when the wheels slip. 0.2 is 20 %; common practice, no source.",
        0.20,
        wanted(Dimension::Number, "", 0.0, 0.9),
    ),
    number(
        "friction_clear",
        "Friction share, clear below",
        "Free current over slipping current. A judgement, no source.",
        0.5,
        wanted(Dimension::Number, "", 0.05, 0.95),
    ),
    number(
        "friction_danger",
        "Friction share, danger above",
        "Above this the mechanism eats most of its own effort. A judgement, no source.",
        0.75,
        wanted(Dimension::Number, "", 0.1, 1.0),
    ),
    number(
        "open_above_ohm",
        "Open is above",
        "Two points that read less than this are joined.",
        1_000_000.0,
        wanted(Dimension::Resistance, "Ω", 10_000.0, 20_000_000.0),
    ),
    number(
        "pickup_good_ohm",
        "A wheel picks up below",
        "Wheel to its lead, while it turns. Common practice, no source.",
        1.0,
        wanted(Dimension::Resistance, "Ω", 0.1, 10.0),
    ),
    number(
        "pickup_bad_ohm",
        "A wheel has failed above",
        "Between the two it is a caution. Common practice, no source.",
        2.0,
        wanted(Dimension::Resistance, "Ω", 0.2, 100.0),
    ),
    number(
        "supply_limit_a",
        "Supply limit at first power",
        "The current limit to set before a decoder sees power for the first time.",
        0.25,
        wanted(Dimension::Current, "A", 0.02, 2.0),
    ),
];

/// The household's settings, defaults filled in.
#[derive(Debug, Clone)]
pub struct Household {
    /// Name of the household or club; may be empty.
    pub name: String,
    /// Numbers by key, kept unit.
    numbers: BTreeMap<&'static str, f64>,
    /// Counts every change made; the version of the form.
    pub version: i64,
}

impl Household {
    /// From the stored texts; an unreadable number falls back to its default.
    pub fn from_stored(stored: &BTreeMap<String, String>, version: i64) -> Self {
        let numbers = NUMBERS
            .iter()
            .map(|n| {
                let kept = stored.get(n.key).and_then(|t| t.parse::<f64>().ok());
                let fits = kept.filter(|v| (n.wanted.least..=n.wanted.most).contains(v));
                (n.key, fits.unwrap_or(n.default))
            })
            .collect();
        Household { name: stored.get("name").cloned().unwrap_or_default(), numbers, version }
    }

    /// A number by its key; 0 for a key that is not in the list.
    pub fn number(&self, key: &str) -> f64 {
        self.numbers.get(key).copied().unwrap_or(0.0)
    }

    /// The limits as the gates want them, all but the governing case, which is the conversion's.
    pub fn thresholds(&self) -> Thresholds {
        Thresholds {
            friction_clear_below: self.number("friction_clear"),
            friction_danger_above: self.number("friction_danger"),
            headroom_want_held: self.number("headroom_held"),
            headroom_want_slipping: self.number("headroom_slipping"),
            bridge_drop_v: self.number("bridge_drop_v"),
            open_above_ohm: self.number("open_above_ohm"),
            good_below_ohm: self.number("pickup_good_ohm"),
            bad_above_ohm: self.number("pickup_bad_ohm"),
            supply_limit_a: self.number("supply_limit_a"),
            ..Thresholds::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn defaults_are_inside_what_is_allowed_and_equal_those_of_the_gates() {
        for n in NUMBERS {
            assert!((n.wanted.least..=n.wanted.most).contains(&n.default), "{}", n.key);
        }
        let household = Household::from_stored(&BTreeMap::new(), 0);
        assert_eq!(household.thresholds(), Thresholds::default());
    }

    #[test]
    fn a_stored_number_out_of_range_falls_back_to_its_default() {
        let stored = BTreeMap::from([("track_v".to_owned(), "900".to_owned())]);
        let kept = Household::from_stored(&stored, 1).number("track_v");
        assert!((kept - 15.0).abs() < 1e-9);
    }
}
