//! A run of a test card: what was entered, where it is kept, and the verdict on it.

use crate::calc::card::{Ask, Bench, CardName, Entry, Said, Shell, Verdict, judge};
use crate::db::{InstrumentId, Millis, ReadingId, TestRunId};
use crate::features::readings::model::{Outcome, Reading};
use crate::units::Accuracy;
use serde::Serialize;

/// Which part of a reading an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// What was read.
    Value,
    /// The voltage at the loco while reading.
    Volts,
}

impl Part {
    /// The stored word.
    pub fn code(self) -> &'static str {
        match self {
            Part::Value => "value",
            Part::Volts => "volts",
        }
    }

    /// From the stored word.
    pub fn from_code(code: &str) -> Option<Part> {
        [Part::Value, Part::Volts].into_iter().find(|p| p.code() == code)
    }
}

/// Where an entry is kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kept {
    /// In the readings room.
    Reading {
        /// The reading.
        id: ReadingId,
        /// Which part of it.
        part: Part,
    },
    /// A number of the run's own, in the kept unit of its ask.
    Number {
        /// Value.
        value: f64,
        /// As typed.
        typed: String,
    },
    /// A choice, or a few words.
    Word(String),
}

/// One entry of a run as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Value {
    /// Key of what the card asks.
    pub ask: String,
    /// Where it is kept.
    pub kept: Kept,
}

/// One answer about to be written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What was asked.
    pub ask: Ask,
    /// What was entered.
    pub said: Said,
    /// As typed.
    pub typed: String,
    /// The instrument it was read on.
    pub instrument: Option<InstrumentId>,
    /// That instrument's accuracy at the value.
    pub accuracy: Option<Accuracy>,
}

/// A run about to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Which card.
    pub card: CardName,
    /// With which shell.
    pub shell: Shell,
    /// What was entered.
    pub answers: Vec<Answer>,
    /// Remark.
    pub remark: String,
    /// When it was done, ms.
    pub done_at: Millis,
}

/// A run as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Run {
    /// Id.
    pub id: TestRunId,
    /// Number within its conversion.
    pub no: i64,
    /// Which card.
    pub card: CardName,
    /// With which shell.
    pub shell: Shell,
    /// What was entered.
    pub values: Vec<Value>,
    /// Remark.
    pub remark: String,
    /// When it was done, ms.
    pub done_at: Millis,
    /// When it was written down, ms.
    pub entered_at: Millis,
    /// Who; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Taken back when, ms.
    pub taken_back_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

impl Run {
    /// The run taken back, or `None` when it is already.
    #[must_use]
    pub fn taken_back(&self, at: Millis) -> Option<Run> {
        let version = self.version + 1;
        self.taken_back_at.is_none().then(|| Run {
            taken_back_at: Some(at),
            version,
            ..self.clone()
        })
    }

    /// The run counted again, or `None` when it counts.
    #[must_use]
    pub fn restored(&self) -> Option<Run> {
        self.taken_back_at?;
        Some(Run { taken_back_at: None, version: self.version + 1, ..self.clone() })
    }

    /// The readings it names, each once.
    pub fn readings(&self) -> Vec<ReadingId> {
        let mut out: Vec<ReadingId> = Vec::new();
        for value in &self.values {
            if let Kept::Reading { id, .. } = value.kept
                && !out.contains(&id)
            {
                out.push(id);
            }
        }
        out
    }

    /// Its entries, with those kept in the readings room taken from there. A reading that was taken back
    /// is not in `readings` and so is missing here.
    pub fn entries(&self, readings: &[Reading]) -> Vec<Entry> {
        let said = |kept: &Kept| match kept {
            Kept::Word(word) => Some(Said::Word(word.clone())),
            Kept::Number { value, .. } => Some(Said::Number { value: *value, accuracy: None }),
            Kept::Reading { id, part } => {
                let r = readings.iter().find(|r| r.id == *id)?;
                read(r, *part)
            }
        };
        self.values
            .iter()
            .filter_map(|v| Some(Entry { key: v.ask.clone(), said: said(&v.kept)? }))
            .collect()
    }
}

/// What a part of a reading says.
fn read(r: &Reading, part: Part) -> Option<Said> {
    let (d, c) = (&r.draft, &r.draft.conditions);
    if part == Part::Volts {
        return Some(Said::Number { value: c.volts?, accuracy: c.volts_accuracy });
    }
    match d.outcome {
        Outcome::Value(value) => Some(Said::Number { value, accuracy: d.accuracy }),
        Outcome::Open => Some(Said::Open),
        Outcome::Joined => Some(Said::Joined),
        Outcome::Yes | Outcome::No | Outcome::NotReached => None,
    }
}

/// The verdict on a run as its entries stand now.
pub fn verdict(run: &Run, readings: &[Reading], bench: &Bench) -> Verdict {
    judge(run.card, run.shell, &run.entries(readings), bench)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aspect::Aspect;

    fn run(values: Vec<Value>) -> Run {
        Run {
            id: TestRunId::new(),
            no: 1,
            card: CardName::DryClose,
            shell: Shell::On,
            values,
            remark: String::new(),
            done_at: 0,
            entered_at: 0,
            person: String::new(),
            taken_back_at: None,
            version: 1,
        }
    }

    fn word(ask: &str, word: &str) -> Value {
        Value { ask: ask.into(), kept: Kept::Word(word.into()) }
    }

    #[test]
    fn a_run_is_taken_back_once_and_counted_again_once() {
        let back = run(vec![]).taken_back(7).unwrap();
        assert_eq!((back.taken_back_at, back.version), (Some(7), 2));
        assert!(back.taken_back(8).is_none());
        assert_eq!(back.restored().unwrap().taken_back_at, None);
        assert!(run(vec![]).restored().is_none());
    }

    #[test]
    fn a_reading_that_is_gone_leaves_the_run_unlit() {
        let bench = Bench::unknown();
        let clear = verdict(&run(vec![word("slides", "yes")]), &[], &bench);
        assert_eq!(clear.finding.aspect, Aspect::Clear);
        let id = ReadingId::new();
        let gone = |part| Value { ask: "slides".into(), kept: Kept::Reading { id, part } };
        let unlit = run(vec![gone(Part::Value), gone(Part::Volts)]);
        assert_eq!(unlit.readings(), [id]);
        assert_eq!(verdict(&unlit, &[], &bench).finding.aspect, Aspect::Unlit);
    }
}
