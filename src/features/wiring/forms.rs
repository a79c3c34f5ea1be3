//! What was typed about a wire, checked.

use super::gauge::Gauge;
use super::model::{Draft, End, Joint, Place, State, Wire};
use super::standard::{Colour, Terminal};
use crate::choice::Choice;
use crate::db::Millis;
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::units::{Dimension, Wanted, exact};
use crate::web::{App, Fields, when};

const LENGTH: Wanted =
    Wanted { dimension: Dimension::Length, bare: "mm", least: 1.0, most: 3000.0 };

/// Fields of the form with their labels, for showing what somebody else wrote.
pub const LABELS: &[(&str, &str)] = &[
    ("terminal", "Terminal"),
    ("from", "From"),
    ("from_name", "From, which one"),
    ("to", "To"),
    ("to_name", "To, which one"),
    ("colour", "Colour found"),
    ("gauge", "Gauge"),
    ("length", "Length"),
    ("joint", "Joint"),
    ("sleeved", "Sleeved"),
    ("state", "State"),
    ("why", "Why"),
];

/// Reads the form of a wire.
pub fn read(form: &mut Fields) -> Option<Draft> {
    let terminal = form.choice::<Terminal>("terminal");
    let from = from(form, terminal);
    let to = form.choice::<Place>("to");
    let to_name = form.optional_text("to_name", 60);
    if to == Some(Place::Other) && to_name.is_empty() {
        form.refuse("to_name", "Write where it ends.");
    }
    let to = to.map(|place| End { place, name: to_name });
    if let (Some(a), Some(b)) = (&from, &to)
        && a.is_at(b)
        && (a.place.is_one() || !a.name.is_empty())
    {
        form.refuse("to", "Both ends are the same. Write where the other one goes.");
    }
    let colour = form.optional_choice::<Colour>("colour");
    let gauge = gauge(form);
    let length_um = form.optional_quantity("length", &LENGTH).map(|t| to_thousandths(t.value));
    let joint = form.choice::<Joint>("joint");
    let sleeved = form.tick("sleeved");
    let why = form.optional_text("why", 2000);
    let state = form.choice::<State>("state");
    if form.any_wrong() {
        return None;
    }
    let (terminal, to, joint, state) = (terminal?, to?, joint?, state?);
    Some(Draft { terminal, from, to, colour, gauge, length_um, sleeved, joint, why, state })
}

/// Where a free wire begins; one on a terminal begins there and nowhere else.
fn from(form: &mut Fields, terminal: Option<Terminal>) -> Option<End> {
    let place = form.optional_choice::<Place>("from");
    let name = form.optional_text("from_name", 60);
    if terminal == Some(Terminal::Free) {
        if place.is_none() && !form.wrong("from") {
            form.refuse("from", "A free wire begins at a place of its own. Write where it begins.");
        }
        if place == Some(Place::Other) && name.is_empty() {
            form.refuse("from_name", "Write where it begins.");
        }
        return place.map(|place| End { place, name });
    }
    if terminal.is_some() && (place.is_some() || !name.is_empty()) {
        form.refuse(
            "from",
            "This wire begins at its terminal. Leave this empty, or choose free as terminal.",
        );
    }
    None
}

fn gauge(form: &mut Fields) -> Option<Gauge> {
    let typed = form.one("gauge");
    if typed.trim().is_empty() {
        return None;
    }
    match Gauge::parse(&typed) {
        Ok(gauge) => Some(gauge),
        Err(why) => {
            form.refuse("gauge", why);
            None
        }
    }
}

/// When it was put in, altered or proved: empty means now; not before it was altered last.
pub fn read_at(form: &mut Fields, old: Option<&Wire>, app: &App) -> Millis {
    let at = form.moment("at", app);
    if at > app.now() {
        form.refuse("at", "This is still to come. Write when it was done.");
    }
    if let Some(last) = old.and_then(|w| w.altered_at)
        && at < last
    {
        let moment = when::day_time(last, app.now(), app.offset);
        form.refuse(
            "at",
            format!("It was altered last on {moment}. Write that moment or a later one."),
        );
    }
    at
}

/// The form filled in from a wire.
pub fn fill(w: &Wire) -> Fields {
    let d = &w.draft;
    let from = d.from.as_ref();
    Fields::with([
        ("terminal", d.terminal.code().to_owned()),
        ("from", from.map_or("", |e| e.place.code()).to_owned()),
        ("from_name", from.map(|e| e.name.clone()).unwrap_or_default()),
        ("to", d.to.place.code().to_owned()),
        ("to_name", d.to.name.clone()),
        ("colour", d.colour.map_or("", Choice::code).to_owned()),
        ("gauge", d.gauge.map(Gauge::typed).unwrap_or_default()),
        ("length", d.length_um.map(|um| exact(thousandths(um))).unwrap_or_default()),
        ("joint", d.joint.code().to_owned()),
        ("sleeved", if d.sleeved { "1" } else { "" }.to_owned()),
        ("state", d.state.code().to_owned()),
        ("why", d.why.clone()),
        ("version", w.version.to_string()),
    ])
}

/// A form for the next wire: the terminal that is wanted next, size and joint as on the last one.
pub fn fresh(next: Option<Terminal>, last: Option<&Wire>, token: String) -> Fields {
    let place = match next {
        Some(Terminal::TrackRight) => "rail_right",
        Some(Terminal::TrackLeft) => "rail_left",
        Some(Terminal::MotorPlus) => "brush_a",
        Some(Terminal::MotorMinus) => "brush_b",
        Some(Terminal::CommonPlus) => "lamp_plus",
        Some(Terminal::SpeakerA | Terminal::SpeakerB) => "speaker",
        Some(Terminal::StorePlus | Terminal::StoreMinus) => "store",
        Some(_) => "lamp",
        None => "",
    };
    let terminal = next.unwrap_or(Terminal::Free);
    let gauge = last.and_then(|w| w.draft.gauge).map(Gauge::typed);
    Fields::with([
        ("terminal", terminal.code().to_owned()),
        ("to", place.to_owned()),
        ("gauge", gauge.unwrap_or_default()),
        ("joint", last.map_or("solder", |w| w.draft.joint.code()).to_owned()),
        ("sleeved", if last.is_none_or(|w| w.draft.sleeved) { "1" } else { "" }.to_owned()),
        ("state", last.map_or("planned", |w| w.draft.state.code()).to_owned()),
        ("token", token),
    ])
}
