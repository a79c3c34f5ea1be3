//! What the entries of a run come to.

use super::ask::{Ask, AskKind, asks};
use super::kind::Twin;
use super::list::{Card, card};
use super::name::{CardName, Shell};
use super::{Bench, Entry, Said, proofs, readings};
use crate::aspect::{Aspect, Finding};
use crate::units::{Interval, exact, with_bounds};

/// The verdict on one run of a card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// Aspect, what it means, and what it stands on.
    pub finding: Finding,
    /// What to do next, one or two sentences.
    pub next: String,
    /// What a snag about it would say; empty where there is nothing to put right.
    pub snag: String,
}

/// One rule applied.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub aspect: Aspect,
    /// What is so.
    pub says: String,
    /// What to do about it; empty where nothing is to do.
    pub next: String,
}

impl Line {
    pub fn new(aspect: Aspect, says: impl Into<String>, next: impl Into<String>) -> Self {
        Line { aspect, says: says.into(), next: next.into() }
    }

    pub fn clear(says: impl Into<String>) -> Self {
        Line::new(Aspect::Clear, says, "")
    }

    pub fn caution(says: impl Into<String>, next: impl Into<String>) -> Self {
        Line::new(Aspect::Caution, says, next)
    }

    pub fn danger(says: impl Into<String>, next: impl Into<String>) -> Self {
        Line::new(Aspect::Danger, says, next)
    }

    pub fn unlit(says: impl Into<String>, next: impl Into<String>) -> Self {
        Line::new(Aspect::Unlit, says, next)
    }
}

/// A number with its bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Num {
    pub value: f64,
    pub bounds: Interval,
    pub entry: usize,
}

/// The entries of a run, to be asked for by key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Read<'a> {
    entries: &'a [Entry],
}

impl<'a> Read<'a> {
    pub fn said(self, key: &str) -> Option<&'a Said> {
        self.entries.iter().find(|e| e.key == key).map(|e| &e.said)
    }

    /// A finite number with its bounds.
    pub fn number(self, key: &str) -> Option<Num> {
        let entry = self.entries.iter().position(|e| e.key == key)?;
        match self.entries[entry].said {
            Said::Number { value, accuracy } if value.is_finite() => {
                let bounds = accuracy.map_or(Interval::exact(value), |a| a.bounds(value));
                Some(Num { value, bounds, entry })
            }
            _ => None,
        }
    }

    /// `later − earlier`, read one after the other: on one meter its percent error is common to both, so
    /// only the percent of the difference and the steps of both readings count.
    pub fn difference(self, earlier: Num, later: Num) -> Interval {
        let accuracy = |n: Num| match self.entries[n.entry].said {
            Said::Number { accuracy, .. } => accuracy,
            _ => None,
        };
        let d = later.value - earlier.value;
        match (accuracy(earlier), accuracy(later)) {
            (Some(a), Some(b)) if a == b => {
                Interval::around(d, a.percent / 100.0 * d.abs() + 2.0 * a.digits * a.resolution)
            }
            _ => later.bounds - earlier.bounds,
        }
    }

    pub fn word(self, key: &str) -> Option<&'a str> {
        match self.said(key)? {
            Said::Word(word) => Some(word),
            _ => None,
        }
    }
}

/// Judges one run of a card: the worst of its rules, and unlit while something it needs is missing.
pub fn judge(name: CardName, shell: Shell, entries: &[Entry], bench: &Bench) -> Verdict {
    let card = card(name);
    let asked = asks(name, shell, bench);
    let read = Read { entries };
    let mut lines = rules(name, shell, read, bench);
    lines.extend(missing(&asked, read));
    if asked.is_empty() {
        lines.push(Line::unlit(nothing_to_ask(name), nothing_to_ask_next(name)));
    }
    let aspect = Aspect::worst(lines.iter().map(|l| l.aspect));
    let told: Vec<&str> = lines
        .iter()
        .filter(|l| l.aspect != Aspect::Clear || aspect == Aspect::Clear)
        .map(|l| l.says.as_str())
        .collect();
    let worst = lines.iter().filter(|l| l.aspect == aspect && !l.next.is_empty());
    let next: Vec<&str> = worst.map(|l| l.next.as_str()).take(2).collect();
    let next = if aspect == Aspect::Clear { after(card, shell) } else { next.join(" ") };
    let mut finding = Finding::new(aspect, told.join(" "))
        .formula(card.expect)
        .source(card.source)
        .would_change(would_change(card, aspect));
    for ask in &asked {
        if let Some(said) = read.said(&ask.key) {
            finding = finding.input(ask.label.clone(), words(ask, said));
        }
    }
    let snag = if matches!(aspect, Aspect::Danger | Aspect::Caution) {
        format!("Card {}, {}, {}: {}", name.no(), card.title, shell.word(), told.join(" "))
    } else {
        String::new()
    };
    Verdict { finding, next, snag }
}

fn rules(name: CardName, shell: Shell, read: Read<'_>, bench: &Bench) -> Vec<Line> {
    match name {
        CardName::Isolation => readings::isolation(read, shell, bench),
        CardName::Pickup => readings::pickup(read, bench),
        CardName::Slip => readings::slip(read),
        CardName::Locked => readings::locked(read),
        CardName::FreeRun => readings::free_run(read),
        CardName::MotorHeat => readings::motor_heat(read),
        CardName::Winding => readings::winding(read, bench),
        CardName::Soak => readings::soak(read, bench),
        CardName::Swing => readings::swing(read, shell, bench),
        CardName::WeakSource => proofs::weak_source(read),
        CardName::SeriesGuard => proofs::series_guard(read),
        CardName::ReadBack => proofs::read_back(read),
        CardName::Functions => proofs::functions(read, bench),
        CardName::Speaker => proofs::speaker(read, shell, bench),
        CardName::Store => proofs::store(read),
        CardName::DryClose => proofs::dry_close(read),
        CardName::Twist => proofs::twist(read),
    }
}

/// One line for all that was not entered; none where the rest of the card makes it needless.
fn missing(asked: &[Ask], read: Read<'_>) -> Option<Line> {
    let no_answer = read.word("answered") == Some("no");
    let names: Vec<&str> = asked
        .iter()
        .filter(|a| !a.optional && read.said(&a.key).is_none())
        .filter(|a| !(no_answer && matches!(a.key.as_str(), "first" | "second")))
        .map(|a| a.label.as_str())
        .collect();
    if names.is_empty() {
        return None;
    }
    let names = names.join(", ");
    Some(Line::unlit(format!("Not entered: {names}."), format!("Read and write down: {names}.")))
}

fn nothing_to_ask(name: CardName) -> &'static str {
    match name {
        CardName::Functions => "No load on a function output is planned yet.",
        _ => "Nothing is laid out yet that this card could ask for.",
    }
}

fn nothing_to_ask_next(name: CardName) -> &'static str {
    match name {
        CardName::Functions => {
            "Plan the lamps and other loads with their outputs, then do this card."
        }
        _ => "Lay out the pickup map, then do this card.",
    }
}

/// What to do after a clear.
fn after(card: &Card, shell: Shell) -> String {
    if card.twin == Twin::Both && shell == Shell::Off {
        "Put the shell on and do its twin: faults that show only under the shell are a class of their own."
            .to_owned()
    } else {
        String::new()
    }
}

fn would_change(card: &Card, aspect: Aspect) -> String {
    if aspect == Aspect::Clear {
        "Another run that reads otherwise, or an alteration that touches it.".to_owned()
    } else {
        format!("A run as expected: {}", card.expect)
    }
}

/// An entry as people read it.
pub(super) fn words(ask: &Ask, said: &Said) -> String {
    match (said, ask.kind) {
        (Said::Open, _) => "open".to_owned(),
        (Said::Joined, _) => "joined".to_owned(),
        (Said::Number { value, accuracy }, AskKind::Number(w) | AskKind::Ohms(w)) => {
            let bounds = accuracy.map_or(Interval::exact(*value), |a| a.bounds(*value));
            with_bounds(*value, bounds, w.dimension)
        }
        (Said::Number { value, .. }, _) => exact(*value),
        (Said::Word(code), AskKind::Choice(list)) => list
            .iter()
            .find(|(c, _)| c == code)
            .map_or_else(|| code.clone(), |(_, label)| (*label).to_owned()),
        (Said::Word(text), _) => text.clone(),
    }
}

impl Ask {
    /// An answer as people read it: `0.4 Ω`, `open`, `works, stays cool`.
    pub fn words(&self, said: &Said) -> String {
        words(self, said)
    }
}
