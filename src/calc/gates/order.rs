//! The checks before parts are ordered.

use super::build::{Book, Draft, Rule, Used, listed};
use super::facts::{SurveyFact, SurveyKey};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::stale::ReadingKind;
use super::{Action, GateName, Place, cards, headroom, motor, parts, seen, snags, wheels};
use crate::aspect::{Aspect, Finding};

/// Survey, load test, headroom, mechanism, layout, pickup.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out = vec![survey(book)];
    if s.goals.motor {
        out.push(motor::load_test(book));
        out.push(headroom::motor(book));
        out.push(motor::mechanism(book));
    }
    out.push(seen::draft(book, "layout", Observation::PaperTried));
    out.push(wheels::adequate(book));
    out.extend(parts::draft(book, GateName::Order));
    out.extend(cards::others(book, GateName::Order));
    out.extend(snags::draft(book, GateName::Order));
    out
}

/// The newest fact of a key that says something.
fn newest(s: &Snapshot, key: SurveyKey) -> Option<&SurveyFact> {
    s.survey
        .iter()
        .filter(|fact| fact.key == key && !fact.value.trim().is_empty())
        .max_by_key(|fact| fact.taken.at_ms)
}

/// Every fact written, and it runs smoothly.
fn survey(book: Book<'_>) -> Draft {
    let mut runs = seen::draft(book, "survey", Observation::RunsSmoothly);
    let (mut used, mut missing, mut prints): (Vec<Used>, Vec<&str>, Vec<String>) =
        (Vec::new(), Vec::new(), Vec::new());
    for key in SurveyKey::ALL {
        let Some(fact) = newest(book.s, key) else {
            missing.push(key.word());
            continue;
        };
        let one = book.used(ReadingKind::Survey(key), &fact.taken, key.word(), &fact.value);
        if one.is_stale() {
            missing.push(key.word());
        }
        prints.push(format!("{}={}", key.word(), fact.value));
        used.push(one);
    }
    let total = SurveyKey::ALL.len();
    let written = total - missing.len();
    runs.reads = format!("{written} of {total} facts");
    "every fact, and runs smoothly".clone_into(&mut runs.needs);
    "Survey is complete".clone_into(&mut runs.title);
    // Written facts only add to what trying it out says; a missing one leaves it unlit.
    if !missing.is_empty() && runs.finding.aspect.rank() < Aspect::Danger.rank() {
        let also = match runs.finding.aspect {
            Aspect::Clear => String::new(),
            _ => format!(" {}", runs.finding.sentence),
        };
        let sentence = format!("The survey lacks {}.{also}", listed(&missing));
        let what = format!("Write down {}.", listed(&missing));
        runs.finding = Finding::unlit(sentence, what.clone());
        runs.action = Action { what, place: Place::Survey, minutes: 15 };
    } else if runs.finding.aspect == Aspect::Clear {
        runs.finding.sentence = format!("The survey is complete. {}", runs.finding.sentence);
    }
    runs.finding = runs
        .finding
        .formula("every fact of the survey written, and it runs smoothly on direct current")
        .source("common practice, no source");
    runs.rule = Rule::Firm;
    runs.used.extend(used);
    runs.prints.extend(prints);
    runs
}
