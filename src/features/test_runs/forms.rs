//! What was entered on a card, checked.

use super::model::{Answer, Draft};
use crate::calc::card::{Ask, AskKind, Card, Said, Shell, Tie};
use crate::db::InstrumentId;
use crate::features::instruments::model::Instrument;
use crate::units::{Accuracy, Dimension, Ohms, Wanted};
use crate::web::{App, Fields};

/// The name of the field of an ask, by its place on the card.
pub fn field(place: usize) -> String {
    format!("a{place}")
}

/// What the card asked when its page was opened, so that answers can't land on other questions.
pub fn asked(asks: &[Ask]) -> String {
    asks.iter().map(|a| a.key.as_str()).collect::<Vec<_>>().join("|")
}

/// The instruments a card needs: name of the field, label. One per quantity it reads.
pub fn meters(asks: &[Ask]) -> Vec<(&'static str, &'static str)> {
    let mut out = Vec::new();
    for dimension in asks.iter().filter(|a| a.tie != Tie::Own).filter_map(dimension) {
        let named = meter(dimension);
        out.extend(named.filter(|n| !out.contains(n)));
    }
    out
}

fn dimension(ask: &Ask) -> Option<Dimension> {
    match ask.kind {
        AskKind::Number(w) | AskKind::Ohms(w) => Some(w.dimension),
        AskKind::Choice(_) | AskKind::Text => None,
    }
}

fn meter(dimension: Dimension) -> Option<(&'static str, &'static str)> {
    Some(match dimension {
        Dimension::Resistance => ("with_ohms", "Ohmmeter"),
        Dimension::Current => ("with_amps", "Ammeter"),
        Dimension::Voltage => ("with_volts", "Voltmeter"),
        Dimension::Temperature => ("with_celsius", "Thermometer"),
        _ => return None,
    })
}

/// The instrument chosen for a quantity; an id that is no instrument here is refused.
fn chosen<'a>(form: &mut Fields, field: &str, all: &'a [Instrument]) -> Option<&'a Instrument> {
    let id = form.optional_id::<InstrumentId>(field)?;
    let found = all.iter().find(|i| i.id == id);
    if found.is_none() {
        form.refuse(field, "There is no such instrument here. Choose one from the list.");
    }
    found
}

/// Reads a card's form. At least one thing has to be entered.
pub fn read(
    form: &mut Fields,
    app: &App,
    (card, shell, asks): (&Card, Shell, &[Ask]),
    instruments: &[Instrument],
) -> Option<Draft> {
    let opened_on = form.one("asked");
    if !opened_on.is_empty() && opened_on != asked(asks) {
        form.refuse(
            "asked",
            "What this card asks was changed since you opened it. Look at it again, then write it down.",
        );
    }
    let with: Vec<(&str, Option<&Instrument>)> =
        meters(asks).into_iter().map(|(f, _)| (f, chosen(form, f, instruments))).collect();
    let mut answers = Vec::new();
    for (i, ask) in asks.iter().enumerate() {
        if let Some((said, typed)) = answer(form, &field(i), ask.kind) {
            let on = dimension(ask).and_then(meter).filter(|_| ask.tie != Tie::Own);
            let on = on.and_then(|(f, _)| with.iter().find(|(name, _)| *name == f)?.1);
            let (said, accuracy) = metered(said, ask, on);
            let instrument = on.map(|i| i.id);
            answers.push(Answer { ask: ask.clone(), said, typed, instrument, accuracy });
        }
    }
    let remark = form.optional_text("remark", 500);
    let done_at = form.moment("done", app);
    if answers.is_empty() && !form.any_wrong() {
        form.refuse("a0", "Nothing is entered yet. Write down what you read.");
    }
    if form.any_wrong() {
        return None;
    }
    Some(Draft { card: card.name, shell, answers, remark, done_at })
}

/// A number with the accuracy of the instrument it was read on.
fn metered(said: Said, ask: &Ask, on: Option<&Instrument>) -> (Said, Option<Accuracy>) {
    let (Said::Number { value, .. }, Some(dimension)) = (&said, dimension(ask)) else {
        return (said, None);
    };
    let accuracy = on.and_then(|i| i.accuracy(dimension, *value));
    (Said::Number { value: *value, accuracy }, accuracy)
}

/// One answer, with what was typed; none where the field was left empty or refused.
fn answer(form: &mut Fields, name: &str, kind: AskKind) -> Option<(Said, String)> {
    match kind {
        AskKind::Number(w) => {
            let t = form.optional_quantity(name, &w)?;
            Some((Said::Number { value: t.value, accuracy: None }, t.typed))
        }
        AskKind::Ohms(w) => ohms(form, name, &w),
        AskKind::Choice(list) => {
            let code = form.one(name).trim().to_owned();
            if code.is_empty() {
                return None;
            }
            if !list.iter().any(|(c, _)| *c == code) {
                form.refuse(name, "This is none of the answers here. Tap one of them.");
                return None;
            }
            Some((Said::Word(code.clone()), code))
        }
        AskKind::Text => {
            let text = form.optional_text(name, 200);
            (!text.is_empty()).then(|| (Said::Word(text.clone()), text))
        }
    }
}

/// What an ohmmeter shows: tapped (open, joined) or typed.
fn ohms(form: &mut Fields, name: &str, wanted: &Wanted) -> Option<(Said, String)> {
    let tapped = form.one(&format!("{name}-tap"));
    let typed = form.one(name).trim().to_owned();
    match (tapped.as_str(), typed.is_empty()) {
        ("" | "number", true) => None,
        ("open", true) => Some((Said::Open, "open".to_owned())),
        ("joined", true) => Some((Said::Joined, "joined".to_owned())),
        ("open" | "joined", false) => {
            form.refuse(
                name,
                format!("There is a number and a tap on {tapped}. Keep one of the two."),
            );
            None
        }
        ("" | "number", false) => {
            let (ohms, typed) = form.ohms(name, wanted)?;
            let said = match ohms {
                Ohms::Value(value) => Said::Number { value, accuracy: None },
                Ohms::Open => Said::Open,
                Ohms::Joined => Said::Joined,
            };
            Some((said, typed))
        }
        _ => {
            form.refuse(name, "This is no answer here. Tap open or joined, or write the number.");
            None
        }
    }
}
