//! Test cards: seventeen short procedures at the bench, each with the reading to expect.
//!
//! Answers: *what do I do, what should it read, and what does what I read mean?* The cards stand in one
//! list, [`CARDS`]; what each asks for is in [`asks`], what it says about the entries in [`judge`].
//! Inputs: the entries of one run ([`Entry`]) with their bounds, and what is known of the model
//! ([`Bench`]). What comes back: a verdict with what it means and what to do next. No errors: what was
//! not entered is unlit, with what to enter.
//!
//! Several cards are done twice, with the shell off and again with it on, because faults that show only
//! under the shell are a class of their own: a pinched lead, a board pressed onto the frame, trapped heat.
//!
//! Source: common practice, no source, unless a card says otherwise.

mod ask;
mod judge;
mod kind;
mod list;
mod name;
mod proofs;
mod readings;
#[cfg(test)]
mod tests;

pub use ask::{Ask, AskKind, Tie, asks};
pub use judge::{Verdict, judge};
pub use kind::{Fitted, Twin};
pub use list::{CARDS, Card, card};
pub use name::{CardName, Shell};

use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::calc::gates::{Measured, Snapshot, WheelFact};
use crate::calc::isolation::Position;
use crate::units::{Accuracy, Interval};

/// What is known of the model and the household's limits, for asking and judging.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench {
    /// Labels of the wheels that should pick up: `L1`.
    pub wheels: Vec<String>,
    /// Names of the loads on function outputs: `front lamp`.
    pub outputs: Vec<String>,
    /// Bogies, trucks or pony wheels swing.
    pub has_bogies: bool,
    /// Held current with its voltage, A and V, from the latest load test, where it still holds.
    pub held: Option<(Interval, Interval)>,
    /// The decoder's continuous motor rating, A.
    pub motor_continuous_a: Option<f64>,
    /// Track voltage, V.
    pub track_v: Option<f64>,
    /// At or above this a pair counts as open, Ω.
    pub open_above_ohm: f64,
    /// A wheel below this is good, Ω.
    pub good_below_ohm: f64,
    /// A wheel above this is bad, Ω.
    pub bad_above_ohm: f64,
}

impl Bench {
    /// A model of which nothing is known, with the usual limits.
    pub fn unknown() -> Self {
        Bench {
            wheels: Vec::new(),
            outputs: Vec::new(),
            has_bogies: false,
            held: None,
            motor_continuous_a: None,
            track_v: None,
            open_above_ohm: 1_000_000.0,
            good_below_ohm: 1.0,
            bad_above_ohm: 2.0,
        }
    }

    /// What a snapshot of the conversion says.
    pub fn of(s: &Snapshot) -> Self {
        let holds =
            |m: &Measured, kind| made_stale_by(&s.alterations, kind, m.taken.at_ms).is_none();
        let bounds =
            |m: &Measured| m.accuracy.map_or(Interval::exact(m.value), |a| a.bounds(m.value));
        let held = s.load_test.as_ref().and_then(|t| {
            let amps = t.held_a.as_ref().filter(|m| holds(m, ReadingKind::Held))?;
            Some((bounds(amps), bounds(t.held_v.as_ref().or(t.test_v.as_ref())?)))
        });
        let picks_up = |w: &&WheelFact| !w.wheel.dead_by_design && !w.wheel.traction_tyre;
        Bench {
            wheels: s.wheels.iter().filter(picks_up).map(|w| w.wheel.id.clone()).collect(),
            outputs: s
                .loads
                .iter()
                .filter(|l| l.load.output.is_some())
                .map(|l| l.load.name.clone())
                .collect(),
            has_bogies: s.has_bogies,
            held,
            motor_continuous_a: s.decoder.as_ref().and_then(|d| d.ratings.motor_continuous_a),
            track_v: s.track_v.as_ref().map(|t| t.value_v),
            open_above_ohm: s.thresholds.open_above_ohm,
            good_below_ohm: s.thresholds.good_below_ohm,
            bad_above_ohm: s.thresholds.bad_above_ohm,
        }
    }

    /// The position of an isolation reading taken with the shell as said; `moved`: with bogies swung
    /// where there are any.
    pub fn position(&self, shell: Shell, moved: bool) -> Position {
        match shell {
            Shell::On => Position::ShellOn,
            Shell::Off if moved && self.has_bogies => Position::BogiesSwung,
            Shell::Off => Position::InFrame,
        }
    }
}

/// What was entered for one thing asked.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// A number in the kept unit of its ask, with the meter's accuracy where it is known.
    Number {
        /// As read.
        value: f64,
        /// The meter's accuracy.
        accuracy: Option<Accuracy>,
    },
    /// Over range on the ohmmeter.
    Open,
    /// The beep, without a number.
    Joined,
    /// A word of the ask's list, or free text.
    Word(String),
}

/// One entry of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Key of the ask it answers.
    pub key: String,
    /// What was entered.
    pub said: Said,
}

impl Entry {
    /// A word.
    pub fn word(key: &str, word: &str) -> Self {
        Entry { key: key.to_owned(), said: Said::Word(word.to_owned()) }
    }

    /// A number without known accuracy.
    pub fn number(key: &str, value: f64) -> Self {
        Entry { key: key.to_owned(), said: Said::Number { value, accuracy: None } }
    }
}
