//! Readings in words: what was read, what it reads, under which conditions.

use super::model::{Kind, Outcome, Reading};
use crate::calc::gates::Observation;
use crate::calc::isolation::Point;
use crate::choice::Choice;
use crate::features::circuits::model::Wheel;
use crate::features::gates::view::At;
use crate::units;
use crate::web::when;

/// One row of a table of readings.
#[derive(Debug, Clone)]
pub struct Row {
    /// Number within its conversion.
    pub no: i64,
    /// Address of its own page.
    pub href: String,
    /// What was read.
    pub what: String,
    /// What it reads.
    pub reads: String,
    /// Conditions in one line.
    pub conditions: String,
    /// Instrument and person.
    pub by: String,
    /// When.
    pub when: String,
    /// Taken back as a mistake.
    pub taken_back: bool,
}

/// What was read: `Brush A to right rail`, `Wheel L2 to its lead`, `Held current`.
pub fn what(r: &Reading, wheels: &[Wheel]) -> String {
    let d = &r.draft;
    match d.kind {
        Kind::Isolation => {
            let (a, b) = (Point::from(d.point_a.clone()), Point::from(d.point_b.clone()));
            capital(&format!("{} to {}", a.word(), b.word()))
        }
        Kind::Pickup => {
            let wheel = wheels.iter().find(|w| Some(w.id) == d.wheel_id);
            let label = wheel.map_or("taken off the map".to_owned(), Wheel::label);
            format!("Wheel {label} to its lead")
        }
        Kind::Observation => Observation::from_key(&d.point_a)
            .map_or_else(|| d.point_a.clone(), |o| o.title().to_owned()),
        Kind::LoadCurrent => format!("Current of {}", d.point_a),
        Kind::Other => d.point_a.clone(),
        kind if d.point_a.is_empty() => kind.label().to_owned(),
        kind => format!("{}: {}", kind.label(), d.point_a),
    }
}

/// Conditions in one line: `12.0 V, in the frame, warm`.
pub fn conditions(r: &Reading) -> String {
    let c = &r.draft.conditions;
    let mut parts = Vec::new();
    parts.extend(c.volts.map(units::volts));
    parts.extend(c.position.map(|p| p.label().to_owned()));
    if c.position.is_none() {
        parts.extend(c.shell.map(|s| s.label().to_owned()));
    }
    parts.extend(c.decoder.map(|d| d.label().to_owned()));
    parts.extend(c.warmth.map(|w| w.label().to_owned()));
    if r.draft.steady == Some(false) {
        parts.push("comes and goes".to_owned());
    }
    parts.extend([c.method.clone(), c.remark.clone()].into_iter().filter(|p| !p.is_empty()));
    parts.join(", ")
}

/// Rows for a table.
pub fn rows<'a>(
    no: i64,
    readings: impl IntoIterator<Item = &'a Reading>,
    wheels: &[Wheel],
    at: At,
) -> Vec<Row> {
    readings
        .into_iter()
        .map(|r| {
            let by = [r.instrument.clone(), r.person.clone()];
            Row {
                no: r.no,
                href: format!("/c/{no}/readings/{}", r.no),
                what: what(r, wheels),
                reads: reads(r),
                conditions: conditions(r),
                by: by.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", "),
                when: when::day_time(r.draft.taken_at, at.now, at.offset),
                taken_back: r.taken_back_at.is_some(),
            }
        })
        .collect()
}

/// What it reads; a reading of an observation with a number shows the number.
pub fn reads(r: &Reading) -> String {
    match (r.draft.kind, r.draft.outcome) {
        (Kind::Pickup, Outcome::Yes) => "picks up".to_owned(),
        (Kind::Pickup, Outcome::No) => "open".to_owned(),
        _ => r.reads(),
    }
}

/// A capital at the front.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}
