//! Tonight: the useful next actions, in order.

use super::{Check, Gate, GateName, Place};
use crate::aspect::Aspect;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One next action.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Gate of the check it serves.
    pub gate: GateName,
    /// Key of that check.
    pub check: String,
    /// Title of that check.
    pub title: String,
    /// What to do, one sentence.
    pub what: String,
    /// Why, the sentence of the check's verdict.
    pub why: String,
    /// Aspect of the check now.
    pub aspect: Aspect,
    /// It may be judged instead.
    pub judgeable: bool,
    /// Where it's done.
    pub place: Place,
    /// Rough time, minutes, that of `more` included.
    pub minutes: u32,
    /// How many more checks of this gate and aspect wait at the same place.
    pub more: usize,
}

/// The next actions: first what has gone to danger at a gate already passed, then, within the first gate
/// not passed, danger before unlit before caution. Checks of one aspect at one place are one step. A
/// judged check asks for nothing.
pub fn next_steps(gates: &[Gate]) -> Vec<Step> {
    let mut out = Vec::new();
    for gate in gates.iter().filter(|gate| gate.passed.is_some()) {
        add(&mut out, gate, Aspect::Danger);
    }
    if let Some(gate) = gates.iter().find(|gate| gate.passed.is_none()) {
        for aspect in [Aspect::Danger, Aspect::Unlit, Aspect::Caution] {
            add(&mut out, gate, aspect);
        }
    }
    out
}

/// Adds the open checks of one aspect.
fn add(out: &mut Vec<Step>, gate: &Gate, aspect: Aspect) {
    for check in gate.checks.iter().filter(|c| c.blocks() && c.finding.aspect == aspect) {
        let same = out.iter_mut().find(|step| {
            step.gate == gate.name && step.aspect == aspect && step.place == check.action.place
        });
        match same {
            Some(step) => {
                step.more += 1;
                step.minutes = step.minutes.saturating_add(check.action.minutes);
            }
            None => out.push(step(gate, check)),
        }
    }
}

fn step(gate: &Gate, check: &Check) -> Step {
    Step {
        gate: gate.name,
        check: check.key.clone(),
        title: check.title.clone(),
        what: check.action.what.clone(),
        why: check.finding.sentence.clone(),
        aspect: check.finding.aspect,
        judgeable: check.judgeable,
        place: check.action.place,
        minutes: check.action.minutes,
        more: 0,
    }
}
