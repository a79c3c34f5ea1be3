//! The number at the start of what was typed.

/// A number, and what stands behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number<'a> {
    /// The value, finite or infinite, never NaN.
    pub(super) value: f64,
    /// The number as typed.
    pub(super) typed: &'a str,
    /// All that follows, blanks included.
    pub(super) rest: &'a str,
    /// Whether it is a sign and plain digits, so that a letter code may follow.
    pub(super) plain: bool,
}

/// Why no number was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Trouble {
    /// The start is no number.
    Missing,
    /// `nan`, `inf`, `∞`.
    Endless,
    /// `0x1F`.
    Hexadecimal,
    /// Point and comma both, or one of them twice. Carries the marks in words, and the plain
    /// number where only one can be meant.
    Marks(&'static str, Option<String>),
    /// `1/0`.
    ByZero(String),
    /// A fraction with more than one meaning, `1 100/200`, or an odd one, `1 3/2`.
    Fraction(String),
}

/// Blanks that may part thousands: plain, no-break, figure, thin, narrow no-break.
const BLANKS: [char; 5] = [' ', '\u{a0}', '\u{2007}', '\u{2009}', '\u{202f}'];

/// Signs read as minus: hyphen-minus, hyphen, no-break hyphen, figure dash, en dash, minus.
const MINUS: [char; 6] = ['-', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2212}'];

/// Fraction bars: slash and fraction slash.
const BARS: [char; 2] = ['/', '\u{2044}'];

/// Fractions that have a sign of their own, as on the keyboards of telephones.
const VULGAR: [(char, f64); 11] = [
    ('½', 1.0 / 2.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('⅕', 1.0 / 5.0),
    ('⅙', 1.0 / 6.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];

/// A magnitude and what follows it.
struct Part<'a> {
    value: f64,
    rest: &'a str,
    plain: bool,
}

/// Reads the number at the start of a trimmed text.
///
/// Errors: [`Trouble`] where the start is no number or has more than one meaning.
pub(super) fn scan(text: &str) -> Result<Number<'_>, Trouble> {
    let (negative, body) = sign(text);
    if endless(body) {
        return Err(Trouble::Endless);
    }
    let hex = body.strip_prefix("0x").or_else(|| body.strip_prefix("0X"));
    if hex.is_some_and(|tail| tail.starts_with(|c: char| c.is_ascii_hexdigit())) {
        return Err(Trouble::Hexadecimal);
    }
    let part = match fraction(body)? {
        Some(part) => part,
        None => decimal(body)?,
    };
    let typed = text.strip_suffix(part.rest).unwrap_or(text);
    let value = if negative { -part.value } else { part.value };
    Ok(Number { value, typed: typed.trim_end(), rest: part.rest, plain: part.plain })
}

/// One sign, and the text behind it and its blanks.
fn sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix(MINUS) {
        (true, rest.trim_start())
    } else {
        (false, text.strip_prefix('+').map_or(text, str::trim_start))
    }
}

/// Whether the text starts with a word or sign for what is no finite number.
fn endless(body: &str) -> bool {
    let end = body.find(|c: char| !c.is_alphabetic()).unwrap_or(body.len());
    let word = body.get(..end).unwrap_or(body).to_lowercase();
    body.starts_with('∞') || ["nan", "inf", "infinity", "infinite"].contains(&word.as_str())
}

/// The text cut behind its leading digits.
pub(super) fn digits(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}

/// Digits as a value. Too many of them give infinity, none give zero.
fn whole(digits: &str) -> f64 {
    digits.parse().unwrap_or(0.0)
}

/// A fraction, alone or behind a whole number: `11/64`, `1 1/2`, `1-1/2`, `½`, `1½`. `None` where
/// the text starts otherwise.
fn fraction(body: &str) -> Result<Option<Part<'_>>, Trouble> {
    let (first, after) = digits(body);
    if !first.is_empty()
        && let Some(below) = after.strip_prefix(BARS)
        && let (bottom, rest) = digits(below)
        && !bottom.is_empty()
    {
        return quotient(0.0, (first, bottom), rest).map(Some);
    }
    if let Some((value, rest)) = vulgar(after.strip_prefix(BLANKS).unwrap_or(after)) {
        let value = whole(first) + value;
        return Ok(Some(Part { value, rest, plain: false }));
    }
    let blank = after.starts_with(BLANKS);
    let Some(second) = after.strip_prefix(BLANKS).or_else(|| after.strip_prefix(MINUS)) else {
        return Ok(None);
    };
    let (top, bar) = digits(second);
    let Some((bottom, rest)) = bar.strip_prefix(BARS).map(digits) else { return Ok(None) };
    if first.is_empty() || top.is_empty() || bottom.is_empty() {
        return Ok(None);
    }
    let part = quotient(whole(first), (top, bottom), rest)?;
    if (blank && top.len() == 3) || whole(top) >= whole(bottom) {
        let typed = body.strip_suffix(rest).unwrap_or(body);
        return Err(Trouble::Fraction(typed.to_owned()));
    }
    Ok(Some(part))
}

/// `whole + top/bottom`.
fn quotient<'a>(
    before: f64,
    (top, bottom): (&str, &str),
    rest: &'a str,
) -> Result<Part<'a>, Trouble> {
    let below = whole(bottom);
    if below == 0.0 {
        return Err(Trouble::ByZero(format!("{top}/{bottom}")));
    }
    if rest.starts_with(BARS) || !below.is_finite() || rest.starts_with(['.', ',']) {
        return Err(Trouble::Fraction(format!("{top}/{bottom}{rest}")));
    }
    Ok(Part { value: before + whole(top) / below, rest, plain: false })
}

/// A fraction with a sign of its own.
fn vulgar(text: &str) -> Option<(f64, &str)> {
    VULGAR.iter().find_map(|&(sign, value)| text.strip_prefix(sign).map(|rest| (value, rest)))
}

/// A decimal number: thousands parted by one blank, one point or comma, an exponent.
fn decimal(body: &str) -> Result<Part<'_>, Trouble> {
    let (first, mut rest) = digits(body);
    let mut clean = first.to_owned();
    if (1..=3).contains(&first.len()) && !first.starts_with('0') {
        while let Some((group, tail)) = group(rest) {
            clean.push_str(group);
            rest = tail;
        }
    }
    if rest.starts_with(BARS) && clean.len() > first.len() {
        return Err(Trouble::Fraction(format!("{clean}{rest}")));
    }
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let (run, tail) = rest.split_at_checked(end.unwrap_or(rest.len())).unwrap_or((rest, ""));
    clean.push_str(run);
    if run.chars().filter(|c| !c.is_ascii_digit()).count() > 1 {
        return Err(marks(&clean));
    }
    if !clean.contains(|c: char| c.is_ascii_digit()) {
        return Err(Trouble::Missing);
    }
    let mut clean = clean.replace(',', ".");
    let plain = clean.len() == first.len();
    let mut rest = if run.is_empty() { lone_mark(tail) } else { tail };
    if let Some((exponent, after)) = exponent(tail) {
        clean.push_str(&exponent);
        rest = after;
    }
    // The text is digits, one point at most and an exponent, so that it always is a number.
    let value = clean.parse().map_err(|_| Trouble::Missing)?;
    Ok(Part { value, rest, plain: plain && rest.len() == tail.len() })
}

/// One blank and exactly three digits.
fn group(rest: &str) -> Option<(&str, &str)> {
    let (three, tail) = digits(rest.strip_prefix(BLANKS)?);
    (three.len() == 3).then_some((three, tail))
}

/// What follows a point or comma that stands alone at the end, `1 .`: nothing.
fn lone_mark(tail: &str) -> &str {
    if matches!(tail.trim(), "." | ",") { "" } else { tail }
}

/// `e-3`, in plain signs, and what follows.
fn exponent(tail: &str) -> Option<(String, &str)> {
    let body = tail.strip_prefix(['e', 'E'])?;
    let (sign, body) = match (body.strip_prefix(MINUS), body.strip_prefix('+')) {
        (Some(rest), _) => ("-", rest),
        (None, Some(rest)) => ("", rest),
        (None, None) => ("", body),
    };
    let (power, rest) = digits(body);
    (!power.is_empty()).then(|| (format!("e{sign}{power}"), rest))
}

/// What is wrong with more than one point or comma, and the plain number if only one is likely.
fn marks(run: &str) -> Trouble {
    let count = |mark: char| run.chars().filter(|&c| c == mark).count();
    let (points, commas) = (count('.'), count(','));
    let last = run.chars().rev().find(|c| !c.is_ascii_digit());
    let plain = |decimal: Option<char>| -> String {
        let kept = run.chars().filter(|&c| c.is_ascii_digit() || Some(c) == decimal);
        kept.map(|c| if c == ',' { '.' } else { c }).collect()
    };
    if points > 0 && commas > 0 {
        let single = last.filter(|&mark| count(mark) == 1 && !run.ends_with(mark));
        return Trouble::Marks("both a point and a comma", single.map(|mark| plain(Some(mark))));
    }
    let groups = run.split(['.', ',']);
    let thousands = groups.clone().skip(1).all(|part| part.len() == 3)
        && groups.clone().next().is_some_and(|part| (1..=3).contains(&part.len()));
    let words = if points > 0 { "more than one point" } else { "more than one comma" };
    Trouble::Marks(words, thousands.then(|| plain(None)))
}
