//! The gates as one of the calculations: input, output and the common shape of the answer.

use super::{Gate, Snapshot, Step, gates, next_steps};
use crate::aspect::{Aspect, Finding};
use crate::calc::{Answer, Bounded, Refusals, Value, within};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the gates say of a conversion.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The five gates, first to last.
    pub gates: Vec<Gate>,
    /// The next actions, first one next.
    pub steps: Vec<Step>,
}

/// Judges a conversion. Only the offset from UTC can be refused; what else can't be used is unlit, with
/// the reason in its sentence.
pub fn run(snapshot: &Snapshot) -> Result<Output, Refusals> {
    let mut out = Refusals::new();
    within(&mut out, "offset_minutes", snapshot.offset_minutes.into(), -1439.0, 1439.0);
    if !out.is_empty() {
        return Err(out);
    }
    let gates = gates(snapshot);
    let steps = next_steps(&gates);
    Ok(Output { gates, steps })
}

impl Output {
    /// The result in the common shape: per gate how many checks stand in the way, and every check's
    /// verdict under its gate and title. A judged check shows as caution.
    pub fn answer(&self) -> Answer {
        let values = self.gates.iter().map(|gate| {
            let open = gate.checks.iter().filter(|c| c.blocks()).fold(0.0, |n, _| n + 1.0);
            Value::new(
                &format!("{}_open", gate.name.key()),
                &format!("{}: checks in the way", gate.title),
                Bounded::exact(open),
                "",
            )
            .by("a count", "common practice, no source")
        });
        let findings = self.gates.iter().flat_map(|gate| {
            gate.checks.iter().map(|check| {
                let judged = check.judgement.as_ref();
                let aspect = check.counts_as();
                let sentence = match (judged, check.finding.aspect) {
                    (Some(j), Aspect::Caution | Aspect::Danger) => {
                        format!("{} Judged by {}: “{}”", check.finding.sentence, j.person, j.reason)
                    }
                    _ => check.finding.sentence.clone(),
                };
                let title = format!("{}: {}: {sentence}", gate.title, check.title);
                Finding { aspect, sentence: title, ..check.finding.clone() }
            })
        });
        Answer::new("gates", values.collect(), findings.collect())
    }
}
