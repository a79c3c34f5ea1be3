//! Colours: against the standard, for two jobs, and the seven that are spoken for.

use super::{Found, listed};
use crate::aspect::{Aspect, Finding};
use crate::choice::Choice;
use crate::features::wiring::model::Wire;
use crate::features::wiring::nets::Net;
use crate::features::wiring::standard::{Colour, RESERVED, Terminal};

/// Colour found differs from that of its lead.
pub(super) fn against_the_standard(used: &[Wire]) -> Vec<Found> {
    used.iter()
        .filter_map(|w| {
            let (standard, found) = (w.draft.terminal.standard()?, w.draft.colour?);
            if standard.colour == found {
                return None;
            }
            let finding = Finding::new(
                Aspect::Caution,
                format!(
                    "Wire {} on {} is {}; the standard says {}.",
                    w.no,
                    w.draft.terminal.word(),
                    found.label(),
                    standard.colour.label()
                ),
            )
            .input("colour found", found.label())
            .input("standard, row", standard.row)
            .formula("colour found equals the colour of its lead")
            .source(standard.source)
            .would_change("Another wire there, or a tag on it and a judgement.");
            Some(Found::new(finding, vec![w.no]))
        })
        .collect()
}

/// Leads that are one job, so that one colour on both misleads nobody.
fn job(t: Terminal) -> Terminal {
    match t {
        Terminal::SpeakerB => Terminal::SpeakerA,
        Terminal::StorePlus => Terminal::CommonPlus,
        Terminal::Ground => Terminal::StoreMinus,
        other => other,
    }
}

/// One colour found on leads of two jobs.
pub(super) fn two_jobs(used: &[Wire]) -> Vec<Found> {
    let told = Colour::ALL.iter().filter(|c| !matches!(c, Colour::Bare | Colour::Other));
    told.filter_map(|colour| {
        let of: Vec<&Wire> = used
            .iter()
            .filter(|w| w.draft.colour == Some(*colour) && w.draft.terminal != Terminal::Free)
            .collect();
        let mut jobs: Vec<Terminal> = of.iter().map(|w| job(w.draft.terminal)).collect();
        jobs.sort_by_key(|t| t.code());
        jobs.dedup();
        if jobs.len() < 2 {
            return None;
        }
        let numbers: Vec<i64> = of.iter().map(|w| w.no).collect();
        let on: Vec<String> =
            of.iter().map(|w| format!("{} ({})", w.draft.terminal.word(), w.no)).collect();
        let finding = Finding::new(
            Aspect::Caution,
            format!(
                "{} is used for {} jobs: {}. One is easily taken for the other.",
                super::capital(colour.label()),
                jobs.len(),
                on.join(", ")
            ),
        )
        .input("wires", listed(&numbers))
        .formula("one colour, one job")
        .source("common practice, no source")
        .would_change("Another colour on one of them, or tags on both.");
        Some(Found::new(finding, numbers))
    })
    .collect()
}

/// A free wire in one of the seven colours, unless it goes on from the lead of that colour.
pub(super) fn reserved(used: &[Wire], nets: &[Net]) -> Vec<Found> {
    used.iter()
        .filter_map(|w| {
            let colour = w.draft.colour.filter(|c| RESERVED.contains(c))?;
            if w.draft.terminal != Terminal::Free {
                return None;
            }
            let net = nets.iter().find(|n| n.wires.contains(&w.no))?;
            let goes_on = |t: &Terminal| t.standard().is_some_and(|s| s.colour == colour);
            if net.terminals.iter().any(goes_on) || stands_for_its_rail(colour, net) {
                return None;
            }
            let finding = Finding::new(
                Aspect::Caution,
                format!(
                    "Wire {} is free and {}, a colour that is spoken for: somebody takes it for another lead.",
                    w.no,
                    colour.label()
                ),
            )
            .input("colour found", colour.label())
            .formula("other wires may have any colour but not one of the seven")
            .source("NMRA S-9.1.1, wire colours, read second-hand")
            .would_change("Another colour, or a tag on it and a judgement.");
            Some(Found::new(finding, vec![w.no]))
        })
        .collect()
}

/// A red wire between two right-hand wipers is still the right rail.
fn stands_for_its_rail(colour: Colour, net: &Net) -> bool {
    use crate::features::wiring::model::Place;
    match colour {
        Colour::Red => net.is_at(Place::RailRight) && !net.is_at(Place::RailLeft),
        Colour::Black => net.is_at(Place::RailLeft) && !net.is_at(Place::RailRight),
        _ => false,
    }
}
