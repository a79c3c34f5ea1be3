//! Which parts hold up which gate.

use super::model::{Part, State};
use crate::db::Millis;
use crate::features::snags::model::GateName;

/// A part that was said to hold a gate up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holding {
    /// The part's number.
    pub no: i64,
    /// Its name.
    pub name: String,
    /// The gate it holds up.
    pub gate: GateName,
    /// Where it stands.
    pub state: State,
    /// Since when, ms.
    pub since: Option<Millis>,
}

/// Which parts of a conversion hold up a gate, by number, those already here included. Of parts that may
/// stand in for each other the nearest to use decides.
pub fn holding(parts: &[Part]) -> Vec<Holding> {
    let mut out: Vec<Holding> = Vec::new();
    for part in parts {
        let Some(gate) = part.draft.blocks else { continue };
        let group = parts.iter().filter(|p| p.either() == part.either());
        let Some(nearest) = group.min_by_key(|p| (p.state.distance(), p.no)) else { continue };
        if out.iter().any(|b| b.gate == gate && b.no == nearest.no) {
            continue;
        }
        out.push(Holding {
            no: nearest.no,
            name: nearest.draft.name.clone(),
            gate,
            state: nearest.state,
            since: nearest.since(nearest.state),
        });
    }
    out.sort_by_key(|b| b.no);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choice::Choice;
    use crate::features::parts::checks::part;

    #[test]
    fn a_part_holds_up_the_gate_it_was_said_to_and_no_other() {
        for state in State::ALL {
            let found = holding(&[part(1, *state)]);
            assert_eq!(found.iter().map(|h| h.state).collect::<Vec<_>>(), [*state]);
        }
        let mut free = part(1, State::Dead);
        free.draft.blocks = None;
        assert!(holding(&[free]).is_empty());
    }

    #[test]
    fn of_this_or_that_the_nearest_to_use_decides() {
        let dead = part(1, State::Dead);
        let mut other = part(2, State::Ordered);
        other.draft.instead_of = Some(dead.id);
        other.draft.blocks = None;
        for state in [State::Ordered, State::Proved] {
            other.state = state;
            let found = holding(&[dead.clone(), other.clone()]);
            assert_eq!(
                found.iter().map(|h| (h.no, h.gate, h.state)).collect::<Vec<_>>(),
                [(2, GateName::FirstPower, state)]
            );
        }
    }
}
