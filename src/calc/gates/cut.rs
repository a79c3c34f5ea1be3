//! The checks before metal is cut.

use super::build::{Book, Draft};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::{GateName, parts, seen, snags};

/// Datums, layout, cut list, what is held, cautions.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out: Vec<Draft> = [
        ("datums", Observation::DatumsRecorded),
        ("layout_chosen", Observation::LayoutChosen),
        ("cut_list", Observation::CutListMade),
        ("nothing_lost", Observation::NothingHeldIsLost),
        ("cautions", Observation::CautionsRead),
    ]
    .into_iter()
    .map(|(key, observation)| seen::draft(book, key, observation))
    .collect();
    out.extend(parts::draft(book, GateName::Cut));
    out.extend(snags::draft(book, GateName::Cut));
    out
}
