//! What was typed about a review, checked.

use super::catalogue::{CauseKind, Symptom};
use super::model::{Cause, Draft, Evidence, Happened, Review, Side, Sure, is_before};
use crate::choice::Choice;
use crate::db::{CauseId, EvidenceId};
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::features::notes::about::{self, Thing};
use crate::units::{Dimension, Wanted, exact};
use crate::web::{App, Fields, when};

const MONEY: Wanted =
    Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 10_000_000.0 };
const HOURS: Wanted =
    Wanted { dimension: Dimension::Time, bare: "h", least: 0.0, most: 36_000_000.0 };

/// Reads the main form. `happened` is everything that was changed; `old` the review as it is, where it is
/// there already: what it named stays allowed.
pub fn read(
    form: &mut Fields,
    app: &App,
    happened: &[Happened],
    old: Option<&Review>,
) -> Option<Draft> {
    let symptom = form.choice::<Symptom>("symptom");
    let words = form.optional_text("words", 2000);
    if words.is_empty() && symptom == Some(Symptom::Other) {
        form.refuse("words", "Write what was seen.");
    }
    let at = form.moment("at", app);
    let typed = form.one("changed").trim().to_owned();
    let changed = read_changed(form, (&typed, at), happened, old);
    let changed_words = form.optional_text("changed_words", 2000);
    let minutes =
        form.optional_quantity("hours", &HOURS).map(|t| to_thousandths(t.value / 60_000.0));
    let (cost_cents, currency) = read_money(form);
    if form.any_wrong() {
        return None;
    }
    Some(Draft {
        symptom: symptom?,
        words,
        at,
        changed,
        changed_words,
        minutes,
        cost_cents,
        currency,
    })
}

/// What changed last: one of what was offered, and not after the moment.
fn read_changed(
    form: &mut Fields,
    (typed, at): (&str, i64),
    happened: &[Happened],
    old: Option<&Review>,
) -> Option<Happened> {
    if typed.is_empty() {
        return None;
    }
    let before = old.and_then(|r| r.draft.changed.as_ref());
    let found = happened.iter().chain(before).find(|h| h.code() == typed).cloned();
    match &found {
        None => form.refuse("changed", "There is no such change here. Choose one from the list."),
        Some(h) if !is_before(h.at, at) => {
            form.refuse("changed", "This was changed after it was noticed. Choose an earlier one.");
        }
        Some(_) => {}
    }
    found
}

/// Money in hundredths with its currency.
fn read_money(form: &mut Fields) -> (Option<i64>, String) {
    let cents = form.optional_quantity("cost", &MONEY).map(|t| to_thousandths(t.value / 10.0));
    let currency = form.optional_text("currency", 3).to_uppercase();
    let three = currency.len() == 3 && currency.chars().all(|c| c.is_ascii_uppercase());
    if !currency.is_empty() && !three {
        form.refuse("currency", "Write the currency as its three letters, such as EUR or GBP.");
    }
    if cents.is_some() && currency.is_empty() {
        form.refuse("currency", "Write the currency of the money, such as EUR or GBP.");
    }
    (cents, currency)
}

/// The main form filled in from a review.
pub fn fill(r: &Review, app: &App) -> Fields {
    let d = &r.draft;
    Fields::with([
        ("symptom", d.symptom.code().to_owned()),
        ("words", d.words.clone()),
        ("at", when::field_value(d.at, app.offset)),
        ("changed", d.changed.as_ref().map(Happened::code).unwrap_or_default()),
        ("changed_words", d.changed_words.clone()),
        ("hours", d.minutes.map(|m| exact(thousandths(m) * 1000.0 / 60.0)).unwrap_or_default()),
        ("cost", d.cost_cents.map(|c| exact(thousandths(c) * 10.0)).unwrap_or_default()),
        ("currency", d.currency.clone()),
        ("version", r.version.to_string()),
    ])
}

/// Fields of the main form with their labels, for showing what somebody else wrote.
pub const LABELS: &[(&str, &str)] = &[
    ("symptom", "What was seen"),
    ("words", "In words"),
    ("at", "When"),
    ("changed", "Changed last"),
    ("changed_words", "Changed last, in words"),
    ("hours", "Hours"),
    ("cost", "Money"),
    ("currency", "Currency"),
];

/// Reads a cause. What it is may be said in words beside the list.
pub fn read_cause(form: &mut Fields, old: Option<&Cause>) -> Option<Cause> {
    let cause = form.choice::<CauseKind>("cause");
    let words = form.optional_text("cause_words", 500);
    let sure = form.choice::<Sure>("sure");
    if words.is_empty() && cause == Some(CauseKind::Other) {
        form.refuse("cause_words", "Write what the cause may be.");
    }
    if form.any_wrong() {
        return None;
    }
    let id = old.map_or_else(CauseId::new, |c| c.id);
    let evidence = old.map(|c| c.evidence.clone()).unwrap_or_default();
    Some(Cause { id, cause: cause?, words, sure: sure?, evidence })
}

/// A cause's form filled in.
pub fn fill_cause(c: &Cause, version: i64) -> Fields {
    Fields::with([
        ("cause", c.cause.code().to_owned()),
        ("cause_words", c.words.clone()),
        ("sure", c.sure.code().to_owned()),
        ("version", version.to_string()),
    ])
}

/// Reads a piece of evidence: a record, words, or both.
pub fn read_evidence(form: &mut Fields, grounds: &[Thing]) -> Option<Evidence> {
    let side = form.choice::<Side>("side");
    let typed = form.one("about");
    let about = about::chosen(grounds, &typed);
    if let Err(why) = about {
        form.refuse("about", why);
    }
    let words = form.optional_text("said", 1000);
    if words.is_empty() && typed.trim().is_empty() {
        form.refuse("said", "Choose a record, or write what was found.");
    }
    if form.any_wrong() {
        return None;
    }
    Some(Evidence { id: EvidenceId::new(), side: side?, words, about: about.ok().flatten() })
}
