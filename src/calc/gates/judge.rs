//! Judgements: what a person may sign, and what no signature passes.

use super::{Check, Gate, GateName, Judgement};
use crate::aspect::Aspect;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Why a judgement isn't taken, or a gate can't be passed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JudgeRefusal {
    /// Key of the check; empty where it's about the gate, the name or the reason.
    pub check: String,
    /// The reason, one or two sentences.
    pub reason: String,
}

/// Signs a judgement on a check as it stands, or says why not.
///
/// `person` and `reason` must say something; the reason has at most 2 000 letters. A clear check has
/// nothing to judge, an unlit one can't be judged, nor can a danger that isn't advice.
pub fn attempt(
    check: &Check,
    gate: GateName,
    person: &str,
    reason: &str,
    at_ms: i64,
) -> Result<Judgement, JudgeRefusal> {
    let refuse = |check: &str, reason: &str| {
        Err(JudgeRefusal { check: check.to_owned(), reason: reason.to_owned() })
    };
    if check.finding.aspect == Aspect::Clear {
        return refuse(&check.key, "It’s clear: there is nothing to judge.");
    }
    if !check.judgeable {
        return refuse(&check.key, &check.why_not_judgeable);
    }
    if person.trim().is_empty() {
        return refuse("", "A judgement is signed: say who judges.");
    }
    if reason.trim().is_empty() {
        return refuse("", "Write down the reason: whoever reads it later wants to know why.");
    }
    if reason.trim().chars().count() > 2000 {
        return refuse("", "Write the reason in at most 2 000 letters.");
    }
    Ok(Judgement {
        gate,
        check: check.key.clone(),
        aspect: check.finding.aspect,
        person: person.trim().to_owned(),
        reason: reason.trim().to_owned(),
        at_ms,
        fingerprint: check.fingerprint.clone(),
    })
}

/// Whether a gate may be passed now: every gate before it passed, and each of its own checks clear or
/// judged. Comes back with everything that stands in the way, worst first.
pub fn may_pass(gates: &[Gate], name: GateName) -> Result<(), Vec<JudgeRefusal>> {
    let mut out: Vec<JudgeRefusal> = gates
        .iter()
        .filter(|gate| gate.name < name && gate.passed.is_none())
        .map(|gate| JudgeRefusal {
            check: String::new(),
            reason: format!("The gate before it isn’t passed: {}.", gate.title),
        })
        .collect();
    let Some(gate) = gates.iter().find(|gate| gate.name == name) else {
        out.push(JudgeRefusal {
            check: String::new(),
            reason: "There is no such gate.".to_owned(),
        });
        return Err(out);
    };
    let mut open: Vec<&Check> = gate.checks.iter().filter(|check| check.blocks()).collect();
    open.sort_by_key(|check| std::cmp::Reverse(check.finding.aspect.rank()));
    out.extend(open.into_iter().map(|check| JudgeRefusal {
        check: check.key.clone(),
        reason: format!(
            "{}: {}. {}",
            check.title,
            check.finding.aspect.word(),
            check.finding.sentence
        ),
    }));
    if gate.checks.is_empty() {
        let reason = "Nothing was checked.".to_owned();
        out.push(JudgeRefusal { check: String::new(), reason });
    }
    if out.is_empty() { Ok(()) } else { Err(out) }
}
