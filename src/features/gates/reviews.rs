//! Reviews as the gates see them.

use crate::calc::gates::ReviewFact;
use crate::choice::Choice;
use crate::features::reviews::model::Review;

/// What the gates need of a review.
pub(super) fn fact(r: &Review) -> ReviewFact {
    ReviewFact {
        no: r.no,
        symptom: r.draft.symptom.label().to_owned(),
        who: r.person.clone(),
        written_at_ms: r.written_at,
        closed_at_ms: r.closed_at,
    }
}
