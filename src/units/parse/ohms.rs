//! What an ohmmeter shows: a number, over range, or the beep.

use super::{Refusal, Wanted, parse, read, say, unit};
use crate::units::Dimension;

/// What an ohmmeter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ohms {
    /// A number of ohms, within the wanted range.
    Value(f64),
    /// Over range: `open`, `OL`, `O.L`, `∞`, `inf`, `over`, `> 1 MΩ`.
    Open,
    /// The beep without a number: `joined`, `beep`, `short`.
    Joined,
}

/// What meters and people write for over range, in lower case with single blanks.
const OPEN: [&str; 16] = [
    "open",
    "open circuit",
    "ol",
    "o.l",
    "o.l.",
    ".ol",
    "0l",
    "0.l",
    "0.l.",
    ".0l",
    "∞",
    "inf",
    "infinite",
    "infinity",
    "over",
    "overload",
];

/// What people write for a continuity beep, in lower case.
const JOINED: [&str; 6] = ["joined", "beep", "beeps", "beeping", "short", "shorted"];

/// Words and signs for “more than”.
const MORE: [&str; 5] = [">=", ">", "≥", "over ", "more than "];

/// Ohms above which a meter's “more than” means open. Common practice for checks of a motor lifted
/// from its frame, no source: open is over 1 MΩ.
const OPEN_FROM_OHM: f64 = 1e6;

/// Reads what an ohmmeter shows, in any case: a number of ohms as [`parse`] reads it, a word for
/// over range (also with a unit behind it, `OL MΩ`, and as “more than”, `>1M`, where that is 1 MΩ
/// or above), or a word for the beep. `1.` and `1 .` are the number 1.
///
/// Errors: a [`Refusal`] as from [`parse`], and for “more than” a value below 1 MΩ, which says only
/// that the meter stood on a low range.
pub fn parse_ohms(text: &str, wanted: &Wanted) -> Result<Ohms, Refusal> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let said = words.join(" ").to_lowercase();
    let shown = without_unit(&words).unwrap_or_else(|| said.clone());
    if OPEN.contains(&said.as_str()) || OPEN.contains(&shown.as_str()) {
        return Ok(Ohms::Open);
    }
    if JOINED.contains(&said.as_str()) {
        return Ok(Ohms::Joined);
    }
    let result = match more_than(&words.join(" ")) {
        Some(limit) => over(limit, wanted),
        None => parse(text, wanted).map(Ohms::Value),
    };
    result.map_err(say::with_words)
}

/// What is written before a unit of resistance, in lower case: `ol` of `OL MΩ`.
fn without_unit(words: &[&str]) -> Option<String> {
    let [shown, unit] = words else { return None };
    (unit::find(unit, Dimension::Resistance) != unit::Found::None).then(|| shown.to_lowercase())
}

/// What stands behind a “more than”.
fn more_than(text: &str) -> Option<&str> {
    MORE.iter().find_map(|word| {
        let head = text.get(..word.len())?;
        if head.to_lowercase() == *word { text.get(word.len()..) } else { None }
    })
}

/// “More than” a limit, which means open from 1 MΩ up.
fn over(limit: &str, wanted: &Wanted) -> Result<Ohms, Refusal> {
    let ohms = read(limit, wanted)?;
    if ohms >= OPEN_FROM_OHM { Ok(Ohms::Open) } else { Err(say::low_range(ohms)) }
}
