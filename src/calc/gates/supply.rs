//! Loads and ratings as they count now: stale ones taken out, unsigned ones not trusted.

use super::build::{Book, Used};
use super::stale::{ReadingKind, made_stale_by};
use super::{LoadFact, ReadingRef};
use crate::calc::budget::{self, Basis, Ratings};
use crate::calc::load::amps_given;

/// What loads are taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Loads {
    /// An estimate: every figure counts alike, a stale one too.
    OnPaper,
    /// Proof: a stale current is not known.
    Proof,
}

/// A load as it counts now; a measured one without origin is a guess.
pub(super) fn load_now(
    book: Book<'_>,
    fact: &LoadFact,
    of: Loads,
) -> (budget::PlannedLoad, Option<Used>) {
    let mut load = fact.load.clone();
    let used = fact.taken.as_ref().zip(load.amps_a).map(|(taken, amps)| {
        book.used(ReadingKind::Load(load.kind), taken, &load.name, &amps_given(amps))
    });
    if used.as_ref().is_some_and(Used::is_stale) {
        match of {
            Loads::OnPaper => load.basis = Basis::Guess,
            Loads::Proof => load.amps_a = None,
        }
    }
    if load.basis == Basis::Measured && used.is_none() {
        load.basis = Basis::Guess;
    }
    (load, used)
}

/// The decoder's ratings as they count now, and where they come from.
pub(super) fn ratings_now(book: Book<'_>) -> (Ratings, Option<Used>) {
    let Some(decoder) = &book.s.decoder else { return (Ratings::default(), None) };
    let by = made_stale_by(&book.s.alterations, ReadingKind::Ratings, decoder.set_at_ms);
    let used = Used {
        reference: ReadingRef {
            id: "ratings".to_owned(),
            no: 0,
            what: "decoder ratings".to_owned(),
            reads: decoder.name.clone(),
            taken_at_ms: decoder.set_at_ms,
            who: decoder.set_by.clone(),
            instrument: String::new(),
            stale: by.map(|a| book.happened(a)),
        },
        repeat: "the decoder’s ratings".to_owned(),
        by: by.cloned(),
    };
    let ratings = if by.is_some() { Ratings::default() } else { decoder.ratings.clone() };
    (ratings, Some(used))
}
