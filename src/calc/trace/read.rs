//! Reads a logged trace from text: two columns of time and current, as loggers and meters write them.
//!
//! Takes lines parted by tab, semicolon, comma or spaces, with or without a header, decimal point or
//! (except where the comma parts the columns) decimal comma, units in the header or given. A bad line is named by its number with what
//! was wanted.

use super::columns::{Layout, lay_out};
use crate::calc::{FieldRefusal, Refusals};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Longest text taken, bytes.
pub const MOST_BYTES: usize = 12_000_000;
/// Most samples taken.
pub const MOST_SAMPLES: usize = 200_000;
/// Fewest samples taken.
pub const LEAST_SAMPLES: usize = 16;
/// Largest current taken as real, A.
const MOST_A: f64 = 50.0;
/// Bad lines named one by one.
const NAMED_BAD: usize = 20;

/// Unit of the time column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum TimeUnit {
    /// Seconds.
    S,
    /// Milliseconds.
    Ms,
    /// Microseconds.
    Us,
    /// Minutes.
    Min,
}

/// Unit of the current column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CurrentUnit {
    /// Amperes.
    A,
    /// Milliamperes.
    Ma,
    /// Microamperes.
    Ua,
}

impl TimeUnit {
    /// Seconds in one.
    pub fn seconds(self) -> f64 {
        match self {
            TimeUnit::S => 1.0,
            TimeUnit::Ms => 1e-3,
            TimeUnit::Us => 1e-6,
            TimeUnit::Min => 60.0,
        }
    }

    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            TimeUnit::S => "s",
            TimeUnit::Ms => "ms",
            TimeUnit::Us => "µs",
            TimeUnit::Min => "min",
        }
    }
}

impl CurrentUnit {
    /// Amperes in one.
    pub fn amps(self) -> f64 {
        match self {
            CurrentUnit::A => 1.0,
            CurrentUnit::Ma => 1e-3,
            CurrentUnit::Ua => 1e-6,
        }
    }

    /// As printed.
    pub fn word(self) -> &'static str {
        match self {
            CurrentUnit::A => "A",
            CurrentUnit::Ma => "mA",
            CurrentUnit::Ua => "µA",
        }
    }
}

/// What is known about the text beforehand.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Known {
    /// Unit of the time column.
    pub time_unit: Option<TimeUnit>,
    /// Unit of the current column.
    pub current_unit: Option<CurrentUnit>,
    /// Column of the time, from 1.
    pub time_column: Option<u32>,
    /// Column of the current, from 1.
    pub current_column: Option<u32>,
    /// Fixed time between two lines, s; the time column is then not read.
    pub sample_s: Option<f64>,
    /// Whether up to 1 % of bad lines may be left out.
    pub skip_bad_lines: bool,
}

/// A line that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BadLine {
    /// Its number, from 1.
    pub line: usize,
    /// Its text, at most 60 signs.
    pub text: String,
    /// What was wanted.
    pub wanted: String,
}

/// A trace in time order.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Time from the first sample, s, rising.
    pub time_s: Vec<f64>,
    /// Current, A.
    pub amps: Vec<f64>,
    /// Lines left out.
    pub skipped: Vec<BadLine>,
    /// Unit the time was read in.
    pub time_unit: TimeUnit,
    /// Unit the current was read in.
    pub current_unit: CurrentUnit,
    /// Whether a unit was neither in the header nor given.
    pub unit_assumed: bool,
}

/// Reads a trace.
///
/// # Errors
/// Refuses an empty or too long text, a text in which the columns cannot be told, fewer than 16 or
/// more than 200 000 samples, and every bad line by its number (the first 20).
pub fn read(text: &str, known: &Known) -> Result<Trace, Refusals> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim().is_empty() || text.len() > MOST_BYTES {
        return refused(
            format!("{} bytes", text.len()),
            format!("1 to {MOST_BYTES} bytes of text"),
        );
    }
    let lines = numbered(text);
    if lines.len() > MOST_SAMPLES + 3 {
        return refused(format!("{} lines", lines.len()), format!("at most {MOST_SAMPLES} lines"));
    }
    let layout = lay_out(&lines, known)?;
    let mut trace = Trace {
        time_s: Vec::with_capacity(lines.len()),
        amps: Vec::with_capacity(lines.len()),
        skipped: Vec::new(),
        time_unit: layout.time_unit,
        current_unit: layout.current_unit,
        unit_assumed: layout.unit_assumed,
    };
    for (number, line) in lines.iter().skip(layout.header_lines) {
        match sample(line, &layout, known, &trace) {
            Ok((time_s, amps)) => {
                trace.time_s.push(time_s);
                trace.amps.push(amps);
            }
            Err(wanted) => {
                let text: String = line.chars().take(60).collect();
                trace.skipped.push(BadLine { line: *number, text, wanted });
            }
        }
    }
    finish(trace, known)
}

/// The lines that hold something, with their numbers from 1. Lines that begin with `#`, and a first
/// line `sep=…` as spreadsheets write it, hold nothing.
fn numbered(text: &str) -> Vec<(usize, &str)> {
    let holds = |(number, line): &(usize, &str)| {
        let line = line.trim();
        let nothing = line.is_empty() || line.starts_with('#');
        !nothing && (*number > 1 || !line.starts_with("sep="))
    };
    if text.contains('\n') {
        (1..).zip(text.lines()).filter(holds).collect()
    } else {
        (1..).zip(text.split('\r')).filter(holds).collect()
    }
}

/// One line as time in s and current in A, or what was wanted instead.
fn sample(
    line: &str,
    layout: &Layout,
    known: &Known,
    so_far: &Trace,
) -> Result<(f64, f64), String> {
    let fields = layout.separator.split(line);
    if layout.fields.is_some_and(|n| fields.len() != n) || fields.len() <= layout.last_column() {
        let n = layout.fields.unwrap_or(layout.last_column() + 1);
        return Err(format!("{n} columns parted by {}", layout.separator.word()));
    }
    let amps = current(fields[layout.current_column], layout)?;
    let time_s = match known.sample_s {
        Some(step) => step * super::real(so_far.time_s.len()),
        None => time(fields[layout.time_column], layout)?,
    };
    match so_far.time_s.last() {
        Some(last) if time_s <= *last => {
            Err(format!("a time after that of the line before, {last} s"))
        }
        _ => Ok((time_s, amps)),
    }
}

fn current(field: &str, layout: &Layout) -> Result<f64, String> {
    let unit = layout.current_unit;
    let Some(value) = layout.separator.number(field) else {
        let over = ["ol", "o.l", "overload", "over"].contains(&field.to_lowercase().as_str());
        return Err(if over {
            "a reading; the meter was over its range".to_owned()
        } else {
            format!("a current in {}, such as 0.35", unit.word())
        });
    };
    let amps = value * unit.amps();
    if amps.abs() > MOST_A {
        return Err(format!("at most {MOST_A} A; if the column is in mA, say so"));
    }
    Ok(amps)
}

fn time(field: &str, layout: &Layout) -> Result<f64, String> {
    if let Some(value) = layout.separator.number(field) {
        let time_s = value * layout.time_unit.seconds();
        return if time_s.abs() <= 1e12 {
            Ok(time_s)
        } else {
            Err("a time up to 1e12 s".to_owned())
        };
    }
    clock_s(field, layout).ok_or_else(|| {
        format!(
            "a time in {}, such as 12.5, or a clock such as 10:02:31.5",
            layout.time_unit.word()
        )
    })
}

/// A clock time such as `10:02:31.5` or `2026-03-01T10:02:31.5Z` as seconds since midnight.
fn clock_s(field: &str, layout: &Layout) -> Option<f64> {
    let clock = field.rsplit(['T', ' ']).next()?.trim_end_matches('Z');
    let mut parts = clock.split(':');
    let (h, m, s) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    let (h, m) = (h.parse::<u8>().ok()?, m.parse::<u8>().ok()?);
    let s = layout.separator.number(s)?;
    (h < 24 && m < 60 && (0.0..60.0).contains(&s))
        .then(|| f64::from(h) * 3600.0 + f64::from(m) * 60.0 + s)
}

/// Judges the bad lines and sets the first sample to time zero.
fn finish(mut trace: Trace, known: &Known) -> Result<Trace, Refusals> {
    let (bad, good) = (trace.skipped.len(), trace.amps.len());
    if bad > 0 && !(known.skip_bad_lines && bad * 100 <= bad + good) {
        let mut refusals: Refusals = trace
            .skipped
            .iter()
            .take(NAMED_BAD)
            .map(|b| FieldRefusal::new("text", format!("line {}: {}", b.line, b.text), &*b.wanted))
            .collect();
        if bad > NAMED_BAD {
            let given = format!("{bad} bad lines");
            refusals.push(FieldRefusal::new(
                "text",
                given,
                "none, or with skip_bad_lines up to 1 %",
            ));
        }
        return Err(refusals);
    }
    if !(LEAST_SAMPLES..=MOST_SAMPLES).contains(&good) {
        let allowed = format!("{LEAST_SAMPLES} to {MOST_SAMPLES} samples");
        return refused(format!("{good} samples"), allowed);
    }
    let first = trace.time_s[0];
    trace.time_s.iter_mut().for_each(|t| *t -= first);
    Ok(trace)
}

/// One refusal of the text.
pub(super) fn refused<T>(given: String, allowed: String) -> Result<T, Refusals> {
    Err(vec![FieldRefusal::new("text", given, allowed)])
}
