//! What was typed about a thing or its move, checked.

use super::model::{Draft, Go, Kind, Stock, moment};
use crate::choice::Choice;
use crate::db::Millis;
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::units::{Dimension, Wanted, exact};
use crate::web::{App, Fields, when};

const MASS: Wanted = Wanted { dimension: Dimension::Mass, bare: "g", least: 0.001, most: 50_000.0 };

/// Reads the form of a thing.
pub fn read(form: &mut Fields) -> Option<Draft> {
    let kind = form.choice::<Kind>("kind");
    let name = form.text("name", 120);
    let mark = form.optional_text("mark", 80);
    let mass_mg = form.optional_quantity("mass", &MASS).map(|t| to_thousandths(t.value));
    let remark = form.optional_text("remark", 2000);
    if form.any_wrong() { None } else { Some(Draft { kind: kind?, name, mark, mass_mg, remark }) }
}

/// The form filled in from a thing.
pub fn fill(s: &Stock) -> Fields {
    let d = &s.draft;
    Fields::with([
        ("kind", d.kind.code().to_owned()),
        ("name", d.name.clone()),
        ("mark", d.mark.clone()),
        ("mass", d.mass_mg.map(|mg| exact(thousandths(mg))).unwrap_or_default()),
        ("remark", d.remark.clone()),
        ("version", s.version.to_string()),
    ])
}

/// Fields of the form with their labels, for showing what somebody else wrote.
pub const LABELS: &[(&str, &str)] = &[
    ("kind", "Kind"),
    ("name", "What it is"),
    ("mark", "Serial number or mark"),
    ("mass", "Mass"),
    ("remark", "Remark"),
];

/// Whether two moments lie on one calendar day.
pub fn same_day(a: Millis, b: Millis, app: &App) -> bool {
    when::local(a, app.offset).date() == when::local(b, app.offset).date()
}

/// The day of a move: empty or today means now; not to come.
pub fn read_day(form: &mut Fields, name: &str, app: &App) -> Millis {
    let (at, now) = (form.moment(name, app), app.now());
    if same_day(at, now, app) {
        return now;
    }
    if at > now {
        form.refuse(name, "This day is still to come. Write the day it was done.");
    }
    at
}

/// The moment of moves made together, or a note at the form that one of the things was moved later.
pub fn read_moment(form: &mut Fields, goes: &[Go], app: &App) -> Millis {
    let at = read_day(form, "at", app);
    moment(goes, at, |a, b| same_day(a, b, app)).unwrap_or_else(|_| {
        let last = goes.iter().max_by_key(|g| g.thing.since());
        let day = last.map(|g| when::day(g.thing.since(), app.now(), app.offset));
        form.refuse(
            "at",
            format!(
                "It was moved last on {}. Write that day or a later one.",
                day.unwrap_or_default()
            ),
        );
        at
    })
}
