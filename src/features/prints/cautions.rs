//! Cautions for the box: what somebody must know who takes the model out without the notebook at hand.

use crate::aspect::Aspect;
use crate::calc::gates::{Gate, GateName};
use crate::features::conversions::model::Outcome;

/// What the cautions are drawn from.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The five gates.
    pub gates: &'a [Gate],
    /// How it ended, or that it goes on.
    pub outcome: Outcome,
    /// A hold-up store is wanted or fitted.
    pub store: bool,
    /// Open snags that can burn or break something.
    pub dangerous: usize,
    /// Open reviews.
    pub open_reviews: usize,
}

/// The cautions, the gravest first; empty where there is none.
pub fn cautions(f: Facts<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let first_power = f.gates.iter().find(|g| g.name == GateName::FirstPower);
    if let Some(gate) = first_power.filter(|g| g.aspect.rank() >= Aspect::Unlit.rank()) {
        let word = gate.aspect.word();
        out.push(format!("Not for digital track: before first power it shows {word}."));
    }
    match f.outcome {
        Outcome::GivenUp => out.push("Given up: see the review before you work on it.".to_owned()),
        Outcome::Donor => out.push("A donor: parts are missing.".to_owned()),
        Outcome::SwappedChassis => out.push("Its chassis sits in another conversion.".to_owned()),
        Outcome::InWork | Outcome::InService => {}
    }
    match f.dangerous {
        0 => {}
        1 => out.push("1 open snag can burn or break something.".to_owned()),
        n => out.push(format!("{n} open snags can burn or break something.")),
    }
    match f.open_reviews {
        0 => {}
        1 => out.push("1 review is open: what failed isn’t settled.".to_owned()),
        n => out.push(format!("{n} reviews are open: what failed isn’t settled.")),
    }
    if f.store {
        out.push(
            "A hold-up store keeps its charge after power-off and may run the model on: let it run \
             down before you touch the wires."
                .to_owned(),
        );
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::gates::{Snapshot, gates};

    #[test]
    fn an_unlit_first_power_warns_first_and_a_store_last() {
        let gates = gates(&Snapshot::empty(0, 0));
        let f = Facts {
            gates: &gates,
            outcome: Outcome::GivenUp,
            store: true,
            dangerous: 2,
            open_reviews: 1,
        };
        let said = cautions(f);
        assert_eq!(said.len(), 5);
        assert!(said[0].contains("before first power it shows unlit"), "{}", said[0]);
        assert!(said[2].starts_with("2 open snags") && said[4].starts_with("A hold-up store"));
    }

    #[test]
    fn nothing_is_said_where_nothing_is_to_say() {
        let none = Facts {
            gates: &[],
            outcome: Outcome::InService,
            store: false,
            dangerous: 0,
            open_reviews: 0,
        };
        assert!(cautions(none).is_empty());
    }
}
