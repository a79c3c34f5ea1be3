//! The check of reviews before service: one is written and closed, none is open.

use super::build::{Book, Draft, listed};
use super::facts::ReviewFact;
use super::observation::Observation;
use super::{Action, Place, seen};
use crate::aspect::{Aspect, Finding};

/// What failed is understood, and written down for the next one. An open review is caution: a person may
/// have a reason to run the model all the same. Without any review a person's word counts as before.
pub(super) fn draft(book: Book<'_>) -> Draft {
    let mut draft = seen::draft(book, "review", Observation::ReviewWritten);
    let (open, closed): (Vec<&ReviewFact>, Vec<&ReviewFact>) =
        book.s.reviews.iter().partition(|r| r.closed_at_ms.is_none());
    if open.is_empty() && closed.is_empty() {
        if draft.finding.aspect == Aspect::Unlit {
            draft.action = write();
        }
        return draft;
    }
    draft.prints.extend(book.s.reviews.iter().map(print));
    "closed, none open".clone_into(&mut draft.needs);
    let said_no = draft.finding.aspect == Aspect::Caution && draft.reads == "no";
    if let Some(first) = open.last() {
        draft.reads = format!("{} open", open.len());
        let told: Vec<String> = open.iter().rev().map(|r| told(book, r)).collect();
        let told: Vec<&str> = told.iter().map(String::as_str).collect();
        draft.finding = Finding::new(
            Aspect::Caution,
            format!("What is behind it isn’t settled: {}.", listed(&told)),
        )
        .would_change("Each of them closed with a cause and a lesson.");
        draft.action = Action {
            what: format!("Close review {} with its cause and its lesson.", first.no),
            place: Place::Review,
            minutes: 20,
        };
        draft.used.clear();
    } else if !said_no {
        draft.reads = format!("{} closed", closed.len());
        let newest = closed.iter().filter_map(|r| r.closed_at_ms).max().unwrap_or_default();
        let many = if closed.len() == 1 {
            "1 review is written and closed".to_owned()
        } else {
            format!("{} reviews are written and closed", closed.len())
        };
        draft.finding =
            Finding::new(Aspect::Clear, format!("{many}, the newest on {}.", book.day(newest)))
                .would_change("A review written anew or opened again.");
        draft.used.clear();
    }
    "at least one review closed, none open".clone_into(&mut draft.finding.formula);
    "common practice, no source".clone_into(&mut draft.finding.source);
    draft
}

fn write() -> Action {
    let what =
        "Write a review. Where nothing failed, say what went well; the next one to try reads it.";
    Action { what: what.to_owned(), place: Place::Review, minutes: 15 }
}

/// `review 3 (“decoder too hot”, Ines, 22 Nov)`.
fn told(book: Book<'_>, r: &ReviewFact) -> String {
    let by = if r.who.is_empty() { String::new() } else { format!("{}, ", r.who) };
    format!("review {} (“{}”, {by}{})", r.no, r.symptom, book.day(r.written_at_ms))
}

fn print(r: &ReviewFact) -> String {
    format!("review {} {}", r.no, if r.closed_at_ms.is_some() { "closed" } else { "open" })
}

#[cfg(test)]
mod tests {
    use crate::aspect::Aspect;
    use crate::calc::gates::{GateName, Observation, ReviewFact, Seen, Snapshot, Taken, gates};

    const NOW: i64 = 1_795_639_080_000;

    fn review(no: i64, open: bool) -> ReviewFact {
        ReviewFact {
            no,
            symptom: "decoder too hot".into(),
            who: "Ines".into(),
            written_at_ms: NOW - 86_400_000,
            closed_at_ms: (!open).then_some(NOW),
        }
    }

    fn check(reviews: &[ReviewFact], said: Option<bool>) -> (Aspect, String, bool) {
        let mut s = Snapshot::empty(NOW, 0);
        s.reviews = reviews.to_vec();
        s.seen.extend(said.map(|yes| Seen {
            observation: Observation::ReviewWritten,
            yes,
            amount: None,
            note: String::new(),
            taken: Taken {
                id: "r".into(),
                no: 1,
                at_ms: NOW,
                who: "Ines".into(),
                instrument: String::new(),
            },
        }));
        let all = gates(&s);
        let service = all.iter().find(|g| g.name == GateName::Service).unwrap();
        let check = service.check("review").unwrap();
        (check.finding.aspect, check.finding.sentence.clone(), check.blocks())
    }

    #[test]
    fn an_open_review_blocks_service_until_it_is_closed() {
        let (aspect, says, blocks) = check(&[review(4, true), review(3, false)], Some(true));
        assert!(aspect == Aspect::Caution && blocks);
        assert!(says.contains("review 4 (“decoder too hot”, Ines, 24\u{a0}Nov)"), "{says}");
        let (aspect, says, blocks) = check(&[review(4, false), review(3, false)], None);
        assert!(aspect == Aspect::Clear && !blocks && says.starts_with("2 reviews"), "{says}");
    }

    #[test]
    fn without_a_review_nothing_is_clear_and_a_persons_no_outweighs_a_closed_one() {
        assert_eq!(check(&[], None).0, Aspect::Unlit);
        assert_eq!(check(&[], Some(true)).0, Aspect::Caution);
        assert_eq!(check(&[review(1, false)], Some(false)).0, Aspect::Caution);
    }
}
