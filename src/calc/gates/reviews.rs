//! The check of reviews before service: one is written and closed, none is open.

use super::build::{Book, Draft, listed};
use super::facts::ReviewFact;
use super::observation::Observation;
use super::{Action, Place, seen};
use crate::aspect::{Aspect, Finding};

/// What failed is understood, and written down for the next one. An open review is caution: a person may
/// have a reason to run the model all the same. Without any review a person's word counts as before.
pub(super) fn draft(book: Book<'_>) -> Draft {
    let mut draft = seen::by_person(book, Observation::ReviewWritten);
    "review".clone_into(&mut draft.key);
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
    draft.finding.formula = "at least one review closed, none open".to_owned();
    draft.finding.source = "common practice, no source".to_owned();
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
