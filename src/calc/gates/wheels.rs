//! Checks of the pickup map.

use super::build::{Book, Draft, Rule, Used, refused};
use super::stale::ReadingKind;
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use crate::calc::Refusals;
use crate::calc::pickup::{self, Input, Output, Rail, WheelState};
use crate::units::{exact, ohms};

/// The least working wheels per rail that are enough to go on: one is lost at every dead joint.
const ENOUGH: u32 = 2;

/// The map with stale and unsigned readings taken out, and what was read.
fn map(book: Book<'_>) -> (Result<Output, Refusals>, Vec<Used>, Vec<String>) {
    let (mut used, mut prints, mut wheels) = (Vec::new(), Vec::new(), Vec::new());
    for fact in &book.s.wheels {
        let mut wheel = fact.wheel.clone();
        let read = match (&fact.taken, wheel.state) {
            (_, WheelState::Unmeasured) | (None, _) => None,
            (Some(taken), state) => Some((taken, state)),
        };
        wheel.state = WheelState::Unmeasured;
        if let (Some((taken, state)), true) = (read, wheel.fitted()) {
            let what = format!("wheel {}", wheel.id);
            let one = book.used(ReadingKind::Wheel, taken, &what, &reads(state));
            if !one.is_stale() {
                wheel.state = state;
            }
            prints.push(format!("{}={}", wheel.id, print(state)));
            used.push(one);
        }
        wheels.push(wheel);
    }
    let limits = book.s.thresholds;
    let output = pickup::run(&Input {
        wheels,
        good_below_ohm: limits.good_below_ohm,
        bad_above_ohm: limits.bad_above_ohm,
    });
    (output, used, prints)
}

fn reads(state: WheelState) -> String {
    match state {
        WheelState::Unmeasured => "not measured".to_owned(),
        WheelState::Open => "open".to_owned(),
        WheelState::Ohms { value, steady: true, .. } => ohms(value),
        WheelState::Ohms { value, steady: false, .. } => format!("{}, jumps", ohms(value)),
    }
}

fn print(state: WheelState) -> String {
    match state {
        WheelState::Ohms { value, hi, steady, .. } => {
            format!("{} up to {} {steady}", exact(value), exact(hi))
        }
        other => reads(other),
    }
}

/// Pickup is adequate to order parts: two working wheels per rail, faults named.
pub(super) fn adequate(book: Book<'_>) -> Draft {
    draft(book, "pickup", "Pickup is adequate", "2 wheels a rail", |output| {
        let finding = output.finding.clone();
        if !matches!(finding.aspect, Aspect::Caution) {
            return finding;
        }
        let count = |r: Rail| format!("{} of {} {}", r.working, r.fitted, r.side.word());
        let enough = output.left.working.min(output.right.working) >= ENOUGH;
        let (aspect, told) = if enough {
            (Aspect::Clear, "enough to order")
        } else {
            (Aspect::Caution, "one a rail is lost at every dead joint")
        };
        let (left, right) = (count(output.left), count(output.right));
        let named: Vec<&str> = output
            .wheels
            .iter()
            .filter_map(|w| w.finding.as_ref().filter(|f| f.aspect != Aspect::Clear))
            .map(|f| f.sentence.as_str())
            .collect();
        let change = match aspect {
            Aspect::Clear => format!("Fewer than {ENOUGH} working wheels on a rail."),
            _ => format!("{ENOUGH} working wheels on each rail."),
        };
        Finding {
            aspect,
            would_change: change,
            sentence: format!("{left} and {right} wheels pick up: {told}. {}", named.join(" ")),
            formula: format!("at least {ENOUGH} working wheels a rail; {}", finding.formula),
            ..finding
        }
    })
}

/// Every wheel that is meant to pick up does.
pub(super) fn all(book: Book<'_>) -> Draft {
    draft(book, "pickups", "All pickups pass", "all of them", |output| output.finding.clone())
}

fn draft(
    book: Book<'_>,
    key: &str,
    title: &str,
    needs: &str,
    verdict: impl Fn(&Output) -> Finding,
) -> Draft {
    let (output, used, prints) = map(book);
    let (finding, reads) = match &output {
        Ok(output) => {
            let fitted = output.left.fitted + output.right.fitted;
            let working = output.left.working + output.right.working;
            (verdict(output), format!("{working} of {fitted}"))
        }
        Err(refusals) => (refused("The pickup map", refusals), "not usable".to_owned()),
    };
    let (what, minutes) = match finding.aspect {
        Aspect::Unlit if book.s.wheels.is_empty() => {
            ("Draw the pickup map: each wheel with its side and axle.".to_owned(), 10)
        }
        Aspect::Unlit => (finding.would_change.clone(), 10),
        _ => match output.iter().flat_map(|o| &o.explanations).next() {
            Some(simplest) => (simplest.sentence.clone(), 20),
            None if finding.aspect == Aspect::Danger => {
                ("Make a wheel pick up on the rail that has none.".to_owned(), 60)
            }
            None => ("Clean treads and wipers, then measure again.".to_owned(), 20),
        },
    };
    Draft {
        key: key.to_owned(),
        title: title.to_owned(),
        reads: if book.s.wheels.is_empty() { "no map".to_owned() } else { reads },
        needs: needs.to_owned(),
        finding,
        used,
        rule: Rule::Firm,
        prints,
        action: Action { what, place: Place::PickupMap, minutes },
    }
}
