//! Checks on test cards: twins done with the shell on, cards that prove what a person would else have to
//! say, and cards that went wrong.

use super::build::{Book, Draft, Rule, Used, listed};
use super::facts::Taken;
use super::observation::Observation;
use super::snapshot::GateName;
use super::stale::ReadingKind;
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use crate::calc::card::{CARDS, Card, CardName, Shell, Twin, card};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One run of a test card with its verdict, as [`crate::calc::card::judge`] gave it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CardFact {
    /// Which card.
    pub card: CardName,
    /// With which shell.
    pub shell: Shell,
    /// The verdict.
    pub finding: Finding,
    /// Origin; its number is that of the run.
    pub taken: Taken,
}

impl CardFact {
    /// `card 15, soak, shell on`.
    fn what(&self) -> String {
        let c = card(self.card);
        format!("card {}, {}, {}", self.card.no(), c.title.to_lowercase(), self.shell.word())
    }
}

const SOURCE: &str =
    "common practice, no source: faults that show only with the shell on are a class of their own";

/// The newest run of a card with a shell.
fn newest(book: Book<'_>, name: CardName, shell: Shell) -> Option<&CardFact> {
    book.s
        .cards
        .iter()
        .filter(|f| f.card == name && f.shell == shell)
        .max_by_key(|f| (f.taken.at_ms, f.taken.no))
}

fn used(book: Book<'_>, fact: &CardFact) -> Used {
    let kind = ReadingKind::Card(fact.card, fact.shell);
    // The number is one of a run, not of a reading.
    let taken = Taken { no: 0, ..fact.taken.clone() };
    book.used(kind, &taken, &fact.what(), fact.finding.aspect.word())
}

/// The newest run that still holds.
fn fresh(book: Book<'_>, name: CardName, shell: Shell) -> Option<&CardFact> {
    newest(book, name, shell).filter(|f| !used(book, f).is_stale())
}

fn print(fact: &CardFact) -> String {
    let c = fact.card.key();
    format!("card {c} {} run {}={}", fact.shell.key(), fact.taken.no, fact.finding.aspect.word())
}

fn shells(c: &Card) -> impl Iterator<Item = Shell> {
    let twin = c.twin;
    [Shell::Off, Shell::On].into_iter().filter(move |s| twin.takes(*s))
}

/// The observation a card proves.
fn proves(name: CardName) -> Option<Observation> {
    match name {
        CardName::Soak => Some(Observation::HeatSettled),
        CardName::Functions => Some(Observation::LightsProved),
        CardName::Speaker => Some(Observation::SoundProved),
        CardName::Store => Some(Observation::StoreProved),
        CardName::DryClose => Some(Observation::NothingPinched),
        _ => None,
    }
}

/// A draft on several runs, worst first.
fn draft(book: Book<'_>, facts: &[&CardFact], finding: Finding, name: CardName) -> Draft {
    Draft {
        key: String::new(),
        title: String::new(),
        reads: finding.aspect.word().to_owned(),
        needs: "as the card says".to_owned(),
        used: facts.iter().map(|f| used(book, f)).collect(),
        rule: Rule::Firm,
        prints: facts.iter().map(|f| print(f)).collect(),
        action: Action {
            what: format!("Do card {}: {}.", name.no(), card(name).title.to_lowercase()),
            place: Place::Card(name),
            minutes: card(name).minutes,
        },
        finding,
    }
}

/// What the card that proves an observation says. `None` where it wasn't done, no longer holds, or its
/// twin is still missing and nothing speaks against it: then a person's answer stands.
pub(super) fn in_place_of(book: Book<'_>, observation: Observation) -> Option<Draft> {
    let c = CARDS.iter().find(|c| proves(c.name) == Some(observation))?;
    let runs: Vec<&CardFact> = shells(c).filter_map(|s| fresh(book, c.name, s)).collect();
    let worst = runs.iter().copied().max_by_key(|f| f.finding.aspect.rank())?;
    let whole = runs.len() == shells(c).count();
    if worst.finding.aspect == Aspect::Unlit || (worst.finding.aspect == Aspect::Clear && !whole) {
        return None;
    }
    let mut finding = worst.finding.clone();
    finding.sentence =
        format!("Card {}, {}: {}", c.name.no(), worst.shell.word(), finding.sentence);
    let mut out = draft(book, &runs, finding, c.name);
    observation.title().clone_into(&mut out.title);
    Some(out)
}

/// Every card done with the shell off is done again with it on. Unlit until at least one was.
pub(super) fn twins(book: Book<'_>) -> Draft {
    let both: Vec<CardName> =
        CARDS.iter().filter(|c| c.twin == Twin::Both).map(|c| c.name).collect();
    let off: Vec<&CardFact> = both.iter().filter_map(|n| newest(book, *n, Shell::Off)).collect();
    let mut facts = off.clone();
    let (mut missing, mut told, mut aspects) = (Vec::new(), Vec::new(), Vec::new());
    for one in &off {
        match newest(book, one.card, Shell::On) {
            Some(on) => {
                facts.push(on);
                aspects.push(on.finding.aspect);
                if on.finding.aspect != Aspect::Clear {
                    told.push(format!("Card {}, shell on: {}", one.card.no(), on.finding.sentence));
                }
            }
            None => missing.push(one.card),
        }
    }
    let clear = aspects.iter().filter(|a| **a == Aspect::Clear).count();
    if !missing.is_empty() {
        aspects.push(Aspect::Unlit);
        let names: Vec<String> = missing.iter().map(|n| card(*n).title.to_lowercase()).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        told.push(format!("Done with the shell off, not yet with it on: {}.", listed(&names)));
    }
    let aspect = Aspect::worst(aspects);
    if off.is_empty() {
        told.push("No test card was done with the shell off and again with it on.".to_owned());
    } else if told.is_empty() {
        told.push(format!("All {} twins are done with the shell on and clear.", off.len()));
    }
    let bad = facts.iter().find(|f| f.shell == Shell::On && f.finding.aspect == aspect);
    let next = missing.first().copied().or(bad.map(|f| f.card)).unwrap_or(CardName::Soak);
    let finding = Finding::new(aspect, told.join(" "))
        .formula("each card with a twin that was done shell off is done shell on, and clear; at least one")
        .source(SOURCE)
        .would_change("The twins, done with the shell on and clear.");
    let mut out = draft(book, &facts, finding, next);
    "twins".clone_into(&mut out.key);
    "Shell-on twins are done".clone_into(&mut out.title);
    "every twin clear".clone_into(&mut out.needs);
    out.reads =
        if off.is_empty() { "none done".to_owned() } else { format!("{clear} of {}", off.len()) };
    out
}

/// Whether a card that went wrong is a short waiting for power.
fn is_short(name: CardName) -> bool {
    matches!(name, CardName::Isolation | CardName::SeriesGuard | CardName::Swing)
}

/// The cards of a gate that have no check of their own: nothing went wrong with one that was done. `None`
/// where none was done, or none that says anything.
pub(super) fn others(book: Book<'_>, gate: GateName) -> Option<Draft> {
    let mut facts: Vec<&CardFact> = CARDS
        .iter()
        .filter(|c| c.gate == gate && proves(c.name).is_none())
        .filter_map(|c| newest(book, c.name, Shell::Off))
        .filter(|f| f.finding.aspect != Aspect::Unlit)
        .collect();
    facts.sort_by_key(|f| {
        let stale = used(book, f).is_stale();
        (stale, std::cmp::Reverse(f.finding.aspect.rank()), f.card.no())
    });
    let first = *facts.first()?;
    let stands = !used(book, first).is_stale();
    let aspect = if stands { first.finding.aspect } else { Aspect::Unlit };
    let told: Vec<String> = facts
        .iter()
        .filter(|f| f.finding.aspect != Aspect::Clear && !used(book, f).is_stale())
        .map(|f| {
            format!(
                "Card {}, {}: {}",
                f.card.no(),
                card(f.card).title.to_lowercase(),
                f.finding.sentence
            )
        })
        .collect();
    let sentence = if told.is_empty() {
        "Every test card that was done for this gate reads as expected.".to_owned()
    } else {
        told.join(" ")
    };
    let sentence = if stands { sentence } else { "The test cards no longer hold.".to_owned() };
    let finding = Finding::new(aspect, sentence)
        .formula("the newest run of each card reads as the card expects")
        .source("common practice, no source")
        .would_change("A run of each that reads as expected.");
    let mut out = draft(book, &facts, finding, first.card);
    "cards".clone_into(&mut out.key);
    "Test cards that were done are clear".clone_into(&mut out.title);
    out.rule = if facts.iter().any(|f| is_short(f.card) && f.finding.aspect == Aspect::Danger) {
        Rule::Short
    } else if gate == GateName::Order {
        Rule::Advice
    } else {
        Rule::Firm
    };
    Some(out)
}
