//! The check of the wiring list: written down, without a clash, every wire proved.

use super::build::{Book, Draft, Rule, Used, listed};
use super::facts::Taken;
use super::stale::ReadingKind;
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a wire is for, as far as it matters to what goes stale with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WireJob {
    /// Between a rail and the decoder.
    Rail,
    /// Between the decoder and the motor.
    Motor,
    /// A function output or the common.
    Function,
    /// To the speaker.
    Speaker,
    /// To the hold-up store.
    Store,
    /// Ground, and wires that don't begin at the decoder.
    Other,
}

/// How far a wire is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WireState {
    /// Only decided.
    Planned,
    /// In the model, new or changed since its proof.
    Done,
    /// Measured end to end and against its neighbours.
    Proved,
}

/// One wire of the list; those taken out are left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WireFact {
    /// `wire 3, motor +`.
    pub name: String,
    /// Where it goes, as printed: `orange, to brush A`.
    pub goes: String,
    /// What it is for.
    pub job: WireJob,
    /// How far it is.
    pub state: WireState,
    /// Origin of the proof; a proved wire without origin counts as done.
    pub proved: Option<Taken>,
}

/// A finding about the list, worked out where the wires are kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WireFinding {
    /// The verdict. Clear ones are left out.
    pub finding: Finding,
    /// It is a short, on paper or in metal: never judged away.
    pub short: bool,
}

/// The wiring list as the gates see it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Wiring {
    /// The wires.
    pub wires: Vec<WireFact>,
    /// What is wrong or not known about them.
    pub findings: Vec<WireFinding>,
}

const FORMULA: &str =
    "every lead written down, none where it may not be, each in and proved with the meter";
const SOURCE: &str = "common practice, no source; each finding names its own";

/// A wire that was proved, with what made its proof stale.
fn proof(book: Book<'_>, wire: &WireFact) -> Option<Used> {
    let taken = wire.proved.as_ref().filter(|_| wire.state == WireState::Proved)?;
    Some(book.used(ReadingKind::Wire(wire.job), taken, &wire.name, &wire.goes))
}

/// The check.
pub(super) fn draft(book: Book<'_>) -> Draft {
    let wiring = &book.s.wiring;
    let used: Vec<Used> = wiring.wires.iter().filter_map(|w| proof(book, w)).collect();
    let proved = used.iter().filter(|u| !u.is_stale()).count();
    let total = wiring.wires.len();
    let finding = finding(book, proved);
    let what = match finding.aspect {
        Aspect::Clear => String::new(),
        _ => finding.would_change.clone(),
    };
    let short = wiring.findings.iter().any(|f| f.short && f.finding.aspect == Aspect::Danger);
    let danger = finding.aspect == Aspect::Danger;
    let prints = wiring.wires.iter().map(|w| format!("{} {} {:?}", w.name, w.goes, w.state));
    let said = wiring.findings.iter().map(|f| f.finding.sentence.clone());
    Draft {
        key: "wiring".to_owned(),
        title: "Every wire is where it should be".to_owned(),
        reads: if total == 0 {
            "not written".to_owned()
        } else {
            format!("{proved} of {total} proved")
        },
        needs: "every wire proved, no clash".to_owned(),
        finding: finding.formula(FORMULA).source(SOURCE),
        prints: prints.chain(said).collect(),
        used,
        rule: if danger && short { Rule::Short } else { Rule::Advice },
        action: Action { what, place: Place::Wiring, minutes: if danger { 25 } else { 10 } },
    }
}

fn finding(book: Book<'_>, proved: usize) -> Finding {
    let wiring = &book.s.wiring;
    if wiring.wires.is_empty() {
        return Finding::unlit(
            "No wire is written down, so where they go is not known.",
            "Write the wires down, red first: where it goes, its colour, its gauge.",
        );
    }
    let of = |aspect: Aspect| {
        wiring.findings.iter().map(|f| &f.finding).filter(move |f| f.aspect == aspect)
    };
    for aspect in [Aspect::Danger, Aspect::Unlit, Aspect::Caution] {
        if aspect == Aspect::Unlit
            && of(aspect).next().is_none()
            && let Some(unproved) = unproved(book)
        {
            return unproved;
        }
        if let Some(first) = of(aspect).next() {
            return told(aspect, first, of(aspect).skip(1), wiring);
        }
    }
    Finding::new(
        Aspect::Clear,
        format!("All {proved} wires are in and proved, and no rule is broken."),
    )
    .would_change("A wire changed, taken out or added.")
}

/// The worst finding, with how many more there are; all of them among the inputs.
fn told<'a>(
    aspect: Aspect,
    first: &Finding,
    others: impl Iterator<Item = &'a Finding>,
    wiring: &Wiring,
) -> Finding {
    let more = match others.count() {
        0 => String::new(),
        1 => " One more is listed below.".to_owned(),
        n => format!(" {n} more are listed below."),
    };
    let mut out = Finding::new(aspect, format!("{}{more}", first.sentence))
        .would_change(first.would_change.clone());
    for f in wiring.findings.iter().map(|f| &f.finding) {
        out = out.input(f.aspect.word(), format!("{} Source: {}.", f.sentence, f.source));
    }
    out
}

/// Wires that are planned, or in but not proved, or proved before something they rest on changed.
fn unproved(book: Book<'_>) -> Option<Finding> {
    let wires = &book.s.wiring.wires;
    let holds = |w: &WireFact| proof(book, w).is_some_and(|u| !u.is_stale());
    let names = |of: &dyn Fn(&WireFact) -> bool| -> Vec<&str> {
        wires.iter().filter(|w| of(w)).map(|w| w.name.as_str()).collect()
    };
    let planned = names(&|w| w.state == WireState::Planned);
    let open = names(&|w| w.state != WireState::Planned && !holds(w));
    let first = planned.first().or(open.first())?;
    let mut told = Vec::new();
    if !planned.is_empty() {
        told.push(format!("Only planned: {}.", listed(&planned)));
    }
    if !open.is_empty() {
        told.push(format!("In, but not proved: {}.", listed(&open)));
    }
    let how =
        "Decoder unplugged: measure it end to end, then against its neighbours, then say proved.";
    Some(Finding::unlit(told.join(" "), format!("Prove {first}. {how}")))
}
