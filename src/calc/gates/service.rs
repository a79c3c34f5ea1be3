//! The checks before the model goes into service.

use super::build::{Book, Draft};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::{GateName, cards, parts, reviews, seen, snags};

/// Configuration sheet, run-in, weight and balance, review.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out: Vec<Draft> = [
        ("sheet_read_back", Observation::SheetReadBack),
        ("run_in", Observation::RunInDone),
        ("weight_and_balance", Observation::WeightAndBalance),
    ]
    .into_iter()
    .map(|(key, observation)| seen::draft(book, key, observation))
    .collect();
    out.push(reviews::draft(book));
    out.extend(parts::draft(book, GateName::Service));
    out.extend(cards::others(book, GateName::Service));
    out.extend(snags::draft(book, GateName::Service));
    out
}
