//! What is wrong with a list of wires: pure, from the wires and what is wanted.
//!
//! Each rule gives findings with their source: leads not written down or used twice, colours that differ from
//! the standard or serve two jobs, points that may never be joined, and wires too thin for their current.
//! Planned wires count like those that are in: a clash on paper is a clash, but nothing planned is proved.

mod clash;
mod colour;
mod size;

#[cfg(test)]
mod tests;

use super::model::Wire;
use super::nets::nets;
use super::standard::Terminal;
use crate::aspect::{Aspect, Finding};
use crate::calc::gates::Goals;

pub use size::{Amps, Currents, Total, totals};

const PRACTICE: &str = "common practice, no source";

/// What the rules look at.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    /// The wires; those taken out and put aside may be among them and are left out.
    pub wires: &'a [Wire],
    /// What the conversion is to get.
    pub goals: Goals,
    /// Currents as far as they are known.
    pub currents: Currents,
}

/// One finding about the wires.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// The verdict.
    pub finding: Finding,
    /// Numbers of the wires it is about.
    pub wires: Vec<i64>,
    /// It is a short or would be one: nobody may judge it away.
    pub short: bool,
    /// It bears on the gate; otherwise it is only said.
    pub counts: bool,
}

impl Found {
    fn new(finding: Finding, wires: Vec<i64>) -> Found {
        Found { finding, wires, short: false, counts: true }
    }
}

/// Everything found, worst first. An empty list of wires is not judged: what is missing is all of it.
pub fn findings(facts: &Facts<'_>) -> Vec<Found> {
    let used: Vec<Wire> = facts
        .wires
        .iter()
        .filter(|w| w.draft.state.counts() && w.aside_at.is_none())
        .cloned()
        .collect();
    if used.is_empty() {
        return Vec::new();
    }
    let nets = nets(&used);
    let mut out: Vec<Found> = nets.iter().flat_map(clash::in_net).collect();
    out.extend(clash::swapped(&nets));
    out.extend(missing(facts.goals, &used));
    out.extend(twice(&used));
    out.extend(colour::against_the_standard(&used));
    out.extend(colour::two_jobs(&used));
    out.extend(colour::reserved(&used, &nets));
    out.extend(bare(&used));
    out.extend(used.iter().filter_map(|w| size::carries(w, &facts.currents)));
    out.sort_by_key(|f| (std::cmp::Reverse(f.finding.aspect.rank()), !f.counts));
    out
}

/// Leads that what is wanted can't do without.
pub fn required(goals: Goals, used: &[Wire]) -> Vec<Terminal> {
    let outputs = used.iter().any(|w| w.draft.terminal.is_output());
    let mut out = vec![Terminal::TrackRight, Terminal::TrackLeft];
    if goals.motor {
        out.extend([Terminal::MotorPlus, Terminal::MotorMinus]);
    }
    if goals.lights || outputs {
        out.push(Terminal::CommonPlus);
    }
    if goals.lights && !outputs {
        out.push(Terminal::LightFront);
    }
    if goals.sound {
        out.extend([Terminal::SpeakerA, Terminal::SpeakerB]);
    }
    if goals.store {
        out.extend([Terminal::StorePlus, Terminal::StoreMinus]);
    }
    out
}

/// The first required lead that is not written down.
pub fn next(goals: Goals, wires: &[Wire]) -> Option<Terminal> {
    let used: Vec<Wire> = wires.iter().filter(|w| w.draft.state.counts()).cloned().collect();
    required(goals, &used).into_iter().find(|t| !used.iter().any(|w| w.draft.terminal == *t))
}

fn missing(goals: Goals, used: &[Wire]) -> Vec<Found> {
    let unused = required(goals, used);
    let unused = unused.into_iter().filter(|t| !used.iter().any(|w| w.draft.terminal == *t));
    unused
        .map(|t| {
            let finding = Finding::unlit(
                format!("No wire is written down for {}.", t.word()),
                format!("Write down where {} goes.", t.word()),
            )
            .input("wanted for", wanted_for(t))
            .formula("every lead that what is wanted needs, once")
            .source(PRACTICE);
            Found::new(finding, Vec::new())
        })
        .collect()
}

fn wanted_for(t: Terminal) -> &'static str {
    use crate::calc::gates::WireJob;
    match t.job() {
        WireJob::Rail => "power from the rails",
        WireJob::Motor => "the motor",
        WireJob::Function => "lights",
        WireJob::Speaker => "sound",
        WireJob::Store | WireJob::Other => "the hold-up store",
    }
}

/// A lead of the decoder with two wires.
fn twice(used: &[Wire]) -> Vec<Found> {
    use crate::choice::Choice;
    let all = Terminal::ALL.iter().filter(|t| **t != Terminal::Free);
    all.filter_map(|t| {
        let of: Vec<&Wire> = used.iter().filter(|w| w.draft.terminal == *t).collect();
        if of.len() < 2 {
            return None;
        }
        let ends: Vec<String> =
            of.iter().map(|w| format!("{} to {}", w.no, w.draft.to.words())).collect();
        let finding = Finding::new(
            Aspect::Caution,
            format!("{} has {} wires: {}.", capital(t.word()), of.len(), ends.join(", ")),
        )
        .input("wires", ends.join("; "))
        .formula("one wire per terminal; branches begin at a joint")
        .source(PRACTICE)
        .would_change("One wire to a joint, and free wires on from there.");
        Some(Found::new(finding, of.iter().map(|w| w.no).collect()))
    })
    .collect()
}

/// Soldered and in, but without a sleeve.
fn bare(used: &[Wire]) -> Option<Found> {
    use super::model::{Joint, State};
    let bare: Vec<&Wire> = used
        .iter()
        .filter(|w| {
            let d = &w.draft;
            d.state != State::Planned && d.joint == Joint::Solder && !d.sleeved
        })
        .collect();
    let numbers: Vec<i64> = bare.iter().map(|w| w.no).collect();
    if numbers.is_empty() {
        return None;
    }
    let finding = Finding::new(
        Aspect::Caution,
        format!("{} soldered without a sleeve.", is_or_are(&numbers)),
    )
    .input("wires", listed(&numbers))
    .formula("every splice sleeved before power")
    .source(PRACTICE)
    .would_change("A sleeve on the joint.");
    Some(Found::new(finding, numbers))
}

/// `Wire 3 is`, `Wires 3 and 5 are`.
fn is_or_are(numbers: &[i64]) -> String {
    let verb = if numbers.len() == 1 { "is" } else { "are" };
    format!("{} {verb}", capital(&listed(numbers)))
}

/// `wire 3`, `wires 3 and 5`, `wires 1, 3 and 5`.
pub fn listed(numbers: &[i64]) -> String {
    let told: Vec<String> = numbers.iter().map(i64::to_string).collect();
    match told.as_slice() {
        [] => "no wire".to_owned(),
        [one] => format!("wire {one}"),
        [first @ .., last] => format!("wires {} and {last}", first.join(", ")),
    }
}

/// The first letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
