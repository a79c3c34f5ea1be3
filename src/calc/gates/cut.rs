//! The checks before metal is cut.

use super::build::{Book, Draft};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::{GateName, cards, datums, parts, seen, snags};

/// Datums, layout, cut list, what is held, cautions.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out = vec![datums::recorded(book)];
    let asked = [
        ("layout_chosen", Observation::LayoutChosen),
        ("cut_list", Observation::CutListMade),
        ("nothing_lost", Observation::NothingHeldIsLost),
        ("cautions", Observation::CautionsRead),
    ];
    out.extend(asked.into_iter().map(|(key, observation)| seen::draft(book, key, observation)));
    out.extend(parts::draft(book, GateName::Cut));
    out.extend(cards::others(book, GateName::Cut));
    out.extend(snags::draft(book, GateName::Cut));
    out
}
