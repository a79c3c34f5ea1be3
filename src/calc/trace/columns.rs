//! How the columns of a trace are parted, which is which, and in which units.

use super::read::{CurrentUnit, Known, TimeUnit, refused};
use crate::calc::Refusals;

/// Lines looked at to tell how columns are parted.
const LOOKED_AT: usize = 20;
/// Header lines at most: names, units.
const MOST_HEADER: usize = 2;

/// What parts the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// Tab.
    Tab,
    /// Semicolon.
    Semicolon,
    /// Spaces, any number.
    Space,
    /// Comma; numbers then have a decimal point.
    Comma,
}

/// How the text is laid out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layout {
    /// What parts the columns.
    pub separator: Separator,
    /// Header lines to pass over.
    pub header_lines: usize,
    /// Columns each line must have, where the header or the first line tells.
    pub fields: Option<usize>,
    /// Column of the time, from 0.
    pub time_column: usize,
    /// Column of the current, from 0.
    pub current_column: usize,
    /// Unit of the time.
    pub time_unit: TimeUnit,
    /// Unit of the current.
    pub current_unit: CurrentUnit,
    /// Whether a unit was neither in the header nor given.
    pub unit_assumed: bool,
}

impl Layout {
    /// The last column that is read.
    pub fn last_column(&self) -> usize {
        self.time_column.max(self.current_column)
    }
}

impl Separator {
    const ALL: [Separator; 4] =
        [Separator::Tab, Separator::Semicolon, Separator::Space, Separator::Comma];

    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Separator::Tab => "tab",
            Separator::Semicolon => "semicolon",
            Separator::Space => "spaces",
            Separator::Comma => "comma",
        }
    }

    /// The fields of a line, trimmed, quotes taken off; an empty one at the end is dropped.
    pub fn split(self, line: &str) -> Vec<&str> {
        let parts: Vec<&str> = match self {
            Separator::Tab => line.split('\t').collect(),
            Separator::Semicolon => line.split(';').collect(),
            Separator::Space => line.split_whitespace().collect(),
            Separator::Comma => line.split(',').collect(),
        };
        let mut fields: Vec<&str> =
            parts.into_iter().map(|f| f.trim().trim_matches('"').trim()).collect();
        if fields.len() > 1 && fields.last().is_some_and(|f| f.is_empty()) {
            fields.pop();
        }
        fields
    }

    /// A number with decimal point or, where commas do not part the columns, decimal comma.
    pub fn number(self, field: &str) -> Option<f64> {
        // Words that Rust reads as numbers (`inf`, `nan`) are none here.
        if field.bytes().any(|b| b.is_ascii_alphabetic() && !matches!(b, b'e' | b'E')) {
            return None;
        }
        let value = if field.contains(',') {
            if self == Separator::Comma || field.contains('.') || field.matches(',').count() > 1 {
                return None;
            }
            field.replace(',', ".").parse::<f64>()
        } else if field.contains('\u{2212}') {
            field.replace('\u{2212}', "-").parse::<f64>()
        } else {
            field.parse::<f64>()
        };
        value.ok().filter(|v| v.is_finite())
    }

    /// Whether a field can hold data: a number or a clock.
    fn is_data(self, field: &str) -> bool {
        self.number(field).is_some()
            || (field.contains(':') && field.bytes().any(|b| b.is_ascii_digit()))
    }
}

/// Tells how a text is laid out from its first lines.
pub fn lay_out(lines: &[(usize, &str)], known: &Known) -> Result<Layout, Refusals> {
    let needed = if known.sample_s.is_some() { 1 } else { 2 };
    let separator = best_separator(lines, needed);
    let header: Vec<Vec<&str>> = lines
        .iter()
        .take(MOST_HEADER)
        .map(|(_, line)| separator.split(line))
        .take_while(|fields| is_header(separator, fields))
        .collect();
    let Some((_, first)) = lines.get(header.len()) else {
        return refused("a header and no line after it".to_owned(), "lines of numbers".to_owned());
    };
    let width = header.first().map_or_else(|| separator.split(first).len(), Vec::len);
    let names = header.first().map(Vec::as_slice).unwrap_or_default();
    let (time_column, current_column) = columns(names, width, known)?;
    let in_header = |column: usize| header.iter().rev().filter_map(move |row| row.get(column));
    let time_unit = known.time_unit.or_else(|| in_header(time_column).find_map(|f| time_unit(f)));
    let current_unit =
        known.current_unit.or_else(|| in_header(current_column).find_map(|f| current_unit(f)));
    let clock = separator.split(first).get(time_column).is_some_and(|f| f.contains(':'));
    Ok(Layout {
        separator,
        header_lines: header.len(),
        fields: (separator != Separator::Space || header.is_empty()).then_some(width),
        time_column,
        current_column,
        time_unit: time_unit.unwrap_or(TimeUnit::S),
        current_unit: current_unit.unwrap_or(CurrentUnit::A),
        unit_assumed: current_unit.is_none()
            || (time_unit.is_none() && known.sample_s.is_none() && !clock),
    })
}

/// The separator that makes the most of the first lines into enough columns of data, each line
/// weighed by the share of its columns that are data. Where two do equally well the earlier in the
/// list is taken.
fn best_separator(lines: &[(usize, &str)], needed: usize) -> Separator {
    let fits = |separator: Separator| {
        let share = |line: &str| {
            let fields = separator.split(line);
            let data = fields.iter().filter(|f| separator.is_data(f)).count();
            if data >= needed { super::real(data) / super::real(fields.len()) } else { 0.0 }
        };
        lines.iter().take(LOOKED_AT).map(|(_, line)| share(line)).sum::<f64>()
    };
    Separator::ALL
        .into_iter()
        .map(|s| (s, fits(s)))
        .fold((Separator::Comma, 0.0), |best, next| if next.1 > best.1 { next } else { best })
        .0
}

/// A header line: words in it, and no field that could be data.
fn is_header(separator: Separator, fields: &[&str]) -> bool {
    fields.iter().any(|f| f.chars().any(char::is_alphabetic))
        && !fields.iter().any(|f| separator.is_data(f))
}

/// Which column is time and which is current, from 0.
fn columns(names: &[&str], width: usize, known: &Known) -> Result<(usize, usize), Refusals> {
    let given = |column: Option<u32>| column.and_then(|c| usize::try_from(c).ok()?.checked_sub(1));
    let named = |is: fn(&str) -> bool| {
        let hits: Vec<usize> = (0..names.len()).filter(|i| is(names[*i])).collect();
        if let [one] = hits[..] { Some(one) } else { None }
    };
    let time = given(known.time_column).or_else(|| named(is_time));
    let current = given(known.current_column).or_else(|| named(is_current));
    let pair = match (time, current) {
        (Some(t), Some(c)) => Some((t, c)),
        (None, Some(c)) if known.sample_s.is_some() => Some((c, c)),
        (None, None) if width == 1 && known.sample_s.is_some() => Some((0, 0)),
        (None, None) if width == 2 => Some((0, 1)),
        (Some(t), None) if width == 2 && t < 2 => Some((t, 1 - t)),
        (None, Some(c)) if width == 2 && c < 2 => Some((1 - c, c)),
        _ => None,
    };
    match pair {
        Some((t, c)) if t.max(c) < width && (t != c || known.sample_s.is_some()) => Ok((t, c)),
        _ => refused(
            format!("{width} columns: {}", names.join(", ")),
            "one time and one current column by name, or their numbers as time_column and \
             current_column"
                .to_owned(),
        ),
    }
}

/// The words of a header field, lower case: `Time_ms` gives time, ms.
fn header_words(field: &str) -> impl Iterator<Item = String> {
    field.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_lowercase)
}

fn is_time(field: &str) -> bool {
    const WORDS: [&str; 9] =
        ["time", "timestamp", "elapsed", "t", "seconds", "s", "ms", "clock", "sec"];
    header_words(field).any(|w| WORDS.contains(&w.as_str()))
}

fn is_current(field: &str) -> bool {
    const WORDS: [&str; 8] = ["current", "amps", "amp", "ampere", "amperes", "i", "a", "ma"];
    header_words(field).any(|w| WORDS.contains(&w.as_str()))
}

/// The unit of time a header field names, by its last word that is one.
fn time_unit(field: &str) -> Option<TimeUnit> {
    header_words(field)
        .filter_map(|w| match w.as_str() {
            "s" | "sec" | "secs" | "second" | "seconds" => Some(TimeUnit::S),
            "ms" | "msec" | "milliseconds" => Some(TimeUnit::Ms),
            "us" | "µs" | "μs" | "microseconds" => Some(TimeUnit::Us),
            "min" | "minutes" => Some(TimeUnit::Min),
            _ => None,
        })
        .last()
}

/// The unit of current a header field names.
fn current_unit(field: &str) -> Option<CurrentUnit> {
    header_words(field)
        .filter_map(|w| match w.as_str() {
            "a" | "amp" | "amps" | "ampere" | "amperes" => Some(CurrentUnit::A),
            "ma" | "milliamps" | "milliamperes" => Some(CurrentUnit::Ma),
            "ua" | "µa" | "μa" | "microamps" => Some(CurrentUnit::Ua),
            _ => None,
        })
        .last()
}
