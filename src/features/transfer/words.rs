//! What a record is called on the preview, and how its values read.

use super::model::Holds;
use super::plan::Count;
use crate::db::Millis;
use crate::db::travel::{Cell, Layout, Row};
use crate::web::when;
use std::collections::BTreeMap;
use time::UtcOffset;
use uuid::Uuid;

/// Columns that name a record, the best first.
const NAMES: [&str; 9] =
    ["title", "name", "key", "what", "text", "check_key", "gate", "stage", "kind"];

/// `№ 7 · reading 41 held`, `conversion № 7 Centre cab`, `meter multimeter 1`.
pub fn label(layout: &Layout, row: &Row, numbers: &BTreeMap<Uuid, i64>) -> String {
    let cell = |name: &str| layout.place(name).and_then(|p| row.get(p));
    let mut words = vec![layout.table.one.to_owned()];
    if let Some(Cell::Whole(no)) = cell("no") {
        let sign = if layout.table.name == "conversion" { "№ " } else { "" };
        words.push(format!("{sign}{no}"));
    }
    let name = NAMES.iter().find_map(|n| match cell(n) {
        Some(Cell::Text(t)) if !t.trim().is_empty() => Some(short(t)),
        _ => None,
    });
    words.extend(name);
    if let (Some(Cell::Text(side)), Some(Cell::Whole(axle))) = (cell("side"), cell("axle")) {
        words.push(format!("{side} {axle}"));
    }
    let no = match cell("conversion_id") {
        Some(Cell::Id(id)) => numbers.get(id),
        _ => None,
    };
    let said = words.join(" ");
    no.map_or(said.clone(), |no| format!("№ {no} · {said}"))
}

/// `Readings`, `41 new · 98 the same`; none where the archive has none.
pub fn counts(layout: &Layout, c: &Count) -> Option<(String, String)> {
    let words: Vec<String> = [
        (c.new, "new"),
        (c.same, "the same"),
        (c.newer, "changed there"),
        (c.older, "changed here"),
        (c.clash, "changed on both sides"),
        (c.aside, "put aside or taken back there"),
    ]
    .into_iter()
    .filter(|(n, _)| *n > 0)
    .map(|(n, word)| format!("{n} {word}"))
    .collect();
    (!words.is_empty()).then(|| (capital(layout.table.many), words.join(" · ")))
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}

/// `a whole notebook`, `conversion № 7 Centre cab`.
pub fn holds(holds: &Holds) -> String {
    match holds {
        Holds::Everything => "a whole notebook".to_owned(),
        Holds::Conversion { no, title, .. } => format!("conversion № {no} {title}"),
    }
}

/// At most fifty characters of the first line.
pub fn short(text: &str) -> String {
    let line = text.trim().lines().next().unwrap_or("");
    let mut out: String = line.chars().filter(|c| !c.is_control()).take(50).collect();
    if text.trim().chars().count() > out.chars().count() {
        out.push('…');
    }
    out
}

/// A value as it reads on the preview; moments in local time.
pub fn value(field: &str, cell: &Cell, (now, offset): (Millis, UtcOffset)) -> String {
    match cell {
        Cell::Null => "nothing".to_owned(),
        Cell::Whole(ms) if field.ends_with("_at") || field == "at" => {
            when::day_time(*ms, now, offset)
        }
        Cell::Whole(v) => v.to_string(),
        Cell::Real(v) => v.to_string(),
        Cell::Text(v) if v.trim().is_empty() => "nothing".to_owned(),
        Cell::Text(v) => short(v),
        Cell::Id(v) => v.to_string(),
        Cell::Bytes(v) => format!("{} bytes", v.len()),
    }
}
