//! The checks before the decoder gets power for the first time.

use super::build::{Book, Draft, Rule};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::{GateName, apart, cards, headroom, motor, parts, seen, snags, wiring};

/// Isolation pair by pair, wiring, winding, probe sheet, insulation, supply, function loads.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out = apart::before_power(book);
    out.push(wiring::draft(book));
    if s.goals.motor {
        out.push(motor::winding(book));
    }
    out.push(seen::draft(book, "probe_sheet", Observation::ProbeSheetDone));
    out.push(seen::draft(book, "insulation", Observation::InsulationOnMetal));
    out.push(seen::draft(book, "supply", Observation::SupplyLimited));
    // A failed probe or bare metal is a short waiting for power.
    for draft in out.iter_mut().filter(|d| d.key == "probe_sheet" || d.key == "insulation") {
        draft.rule = Rule::Short;
    }
    out.extend(headroom::functions(book));
    out.extend(parts::draft(book, GateName::FirstPower));
    out.extend(cards::others(book, GateName::FirstPower));
    out.extend(snags::draft(book, GateName::FirstPower));
    out
}
