//! The five gates: which checks stand before each, and what they show.
//!
//! Answers: *is it safe to go on, and what is the next useful thing to do?* Inputs: one [`Snapshot`].
//! What comes back: five [`Gate`]s in order, each with its [`Check`]s. No errors: what can't be used
//! is unlit, with the reason in its sentence.
//!
//! Rules that hold for every check:
//! - What nobody measured is unlit, never clear. A hope from a data sheet is unlit until measured; a
//!   failure computed from it shows at once.
//! - A reading older than an alteration it rests on is stale: the check is unlit again and says what to
//!   repeat (table in [`stale`]).
//! - A goal that isn't wanted has no check. It isn't shown as clear.
//! - A judged caution, or a judged danger of advice, counts as caution, never as clear. Unlit can't be
//!   judged, nor can a danger on isolation or a short.
//!
//! Source: the table of gates in the product's own design; the checks behind it are common practice.

mod alteration;
mod answer;
mod apart;
mod build;
mod cards;
mod close;
mod cut;
mod datums;
mod day;
mod facts;
mod first_power;
mod headroom;
mod judge;
mod motor;
mod observation;
mod order;
mod parts;
mod reviews;
mod seen;
mod service;
mod snags;
mod snapshot;
pub mod stale;
mod steps;
mod supply;
mod wheels;
mod wiring;
mod words;

#[cfg(test)]
mod tests;

pub use answer::{Output, run};
pub use cards::CardFact;
pub use datums::DatumFact;
pub use day::{age, clock, day};
pub use facts::{
    Alteration, AlterationKind, Decoder, Goals, IsolationFact, Judgement, LoadFact, LoadTest,
    Measured, Passing, ReadingRef, ReviewFact, Seen, Severity, Snag, SurveyFact, SurveyKey, Taken,
    TrackVolts, WheelFact, WorkedOut,
};
pub use judge::{JudgeRefusal, attempt, may_pass};
pub use observation::Observation;
pub use parts::{PartFact, PartIs};
pub use snapshot::{GateName, Snapshot, Thresholds};
pub use steps::{Step, next_steps};
pub use wiring::{WireFact, WireFinding, WireJob, WireState, Wiring};

use crate::aspect::{Aspect, Finding};
use crate::calc::card::CardName;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where in the notebook the next action is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The survey.
    Survey,
    /// The load test.
    LoadTest,
    /// The pickup map.
    PickupMap,
    /// The isolation walk.
    Isolation,
    /// The decoder and its ratings.
    Decoder,
    /// The loads besides the motor, and the track voltage.
    Loads,
    /// The wiring list.
    Wiring,
    /// The snags.
    Snags,
    /// The parts.
    Parts,
    /// The reviews.
    Review,
    /// A yes or no to enter.
    Observation(Observation),
    /// A test card.
    Card(CardName),
    /// The datums.
    Datums,
    /// A sheet that can't answer yet.
    Later,
}

/// What to do next about a check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Action {
    /// What to do, one sentence. Empty where nothing is to do.
    pub what: String,
    /// Where.
    pub place: Place,
    /// Rough time, minutes.
    pub minutes: u32,
}

/// One condition of a gate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Check {
    /// Key within the gate: `headroom`, `brush_a:rail_right`.
    pub key: String,
    /// Title as printed: `Brush A is off the right rail`.
    pub title: String,
    /// What it reads, short: `0.4 Ω`, `not measured`.
    pub reads: String,
    /// What it needs, short: `open, > 1 MΩ`.
    pub needs: String,
    /// The verdict before any judgement.
    pub finding: Finding,
    /// The readings and entries it used, stale ones included.
    pub readings: Vec<ReadingRef>,
    /// A person may judge it as it stands now.
    pub judgeable: bool,
    /// Why it can't be judged; empty where it can, or where it's clear.
    pub why_not_judgeable: String,
    /// The inputs that matter, as text: a judgement holds only while this stays the same.
    pub fingerprint: String,
    /// The judgement that holds.
    pub judgement: Option<Judgement>,
    /// The newest judgement that no longer holds, where none holds.
    pub lapsed: Option<Judgement>,
    /// What to do next.
    pub action: Action,
}

impl Check {
    /// The aspect that counts for the gate: a judged caution or danger counts as caution.
    pub fn counts_as(&self) -> Aspect {
        if self.judgement.is_some() { Aspect::Caution } else { self.finding.aspect }
    }

    /// Whether it stands in the way: anything but clear, unless judged.
    pub fn blocks(&self) -> bool {
        self.finding.aspect != Aspect::Clear && self.judgement.is_none()
    }
}

/// One gate with its checks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Gate {
    /// Which gate.
    pub name: GateName,
    /// Title as printed.
    pub title: String,
    /// The worst of its checks after judgements.
    pub aspect: Aspect,
    /// One line: `danger: 1 danger, 3 unlit, 3 clear`.
    pub summary: String,
    /// Its checks, in the order people work.
    pub checks: Vec<Check>,
    /// Passed by whom and when; the newest.
    pub passed: Option<Passing>,
}

impl Gate {
    /// The check of that key.
    pub fn check(&self, key: &str) -> Option<&Check> {
        self.checks.iter().find(|c| c.key == key)
    }
}

/// The five gates of a conversion, first to last.
pub fn gates(snapshot: &Snapshot) -> Vec<Gate> {
    let order = order::checks(snapshot);
    let cut = cut::checks(snapshot);
    let first_power = first_power::checks(snapshot);
    let close = close::checks(snapshot);
    let service = service::checks(snapshot);
    GateName::ALL
        .into_iter()
        .zip([order, cut, first_power, close, service])
        .map(|(name, checks)| build::gate(snapshot, name, checks))
        .collect()
}
