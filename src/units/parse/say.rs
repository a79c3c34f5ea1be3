//! Refusals in words: what was understood, and what to write.

use super::number::{Number, Trouble};
use super::{Refusal, Wanted, read, unit};
use crate::units::Dimension;

/// Most letters of what was typed that a message repeats.
const SHOWN: usize = 24;

/// A refusal with the usual advice.
pub(super) fn refuse(understood: String, wanted: &Wanted) -> Refusal {
    Refusal { understood, allowed: allowed(wanted) }
}

/// The start is no number, or one with more than one meaning.
pub(super) fn no_number(text: &str, trouble: &Trouble, wanted: &Wanted) -> Refusal {
    let text = quote(text);
    let understood = match trouble {
        Trouble::Missing => format!("{text}, which does not start with a number"),
        Trouble::Endless => format!("{text}, which is no finite number"),
        Trouble::Hexadecimal => format!("{text}, which looks hexadecimal"),
        Trouble::ByZero(fraction) => {
            format!("the fraction {}, which divides by zero", quote(fraction))
        }
        Trouble::Fraction(fraction) => {
            format!("the fraction {}, which can be read in more than one way", quote(fraction))
        }
        Trouble::Marks(what, plain) => {
            let understood = format!("{text}, with {what}");
            return match plain {
                Some(plain) => Refusal { understood, allowed: one_mark(plain) },
                None => refuse(format!("{understood} in one number"), wanted),
            };
        }
    };
    refuse(understood, wanted)
}

/// The number a second mark can only mean, with one mark at most.
fn one_mark(plain: &str) -> String {
    if plain.contains('.') {
        format!("{plain} or {}, with one mark and that for the decimals", plain.replace('.', ","))
    } else {
        format!("{plain}, without marks between thousands, if that is meant")
    }
}

/// A unit with two meanings.
pub(super) fn doubtful(number: &Number<'_>, why: &str, wanted: &Wanted) -> Refusal {
    refuse(format!("{}, which may mean {why}", number_then(number)), wanted)
}

/// Letters behind the number that are no unit of the kind wanted.
pub(super) fn no_unit(number: &Number<'_>, wanted: &Wanted) -> Refusal {
    let typed = number.rest.trim();
    let letters = typed.split(|c: char| c.is_ascii_digit()).next().unwrap_or(typed);
    if let unit::Found::Doubtful(why) = unit::find(letters.trim(), wanted.dimension) {
        return doubtful(number, why, wanted);
    }
    if has_second_number(typed) {
        let first = clip(number.typed);
        return refuse(
            format!("the number {first}, then a second one in {}", quote(typed)),
            wanted,
        );
    }
    let kinds: Vec<&str> = unit::kinds(typed).into_iter().map(Dimension::word).collect();
    let plain = wanted.dimension == Dimension::Number;
    let ending = match (kinds.is_empty(), plain) {
        (true, true) => "where a plain number is wanted".to_owned(),
        (true, false) => format!("which is no unit of {}", wanted.dimension.word()),
        (false, true) => {
            format!("a unit of {}, where a plain number is wanted", kinds.join(" or "))
        }
        (false, false) if kinds == ["number"] => {
            format!("which goes with plain numbers, not with {}", wanted.dimension.word())
        }
        (false, false) => {
            format!("a unit of {}, not of {}", kinds.join(" or "), wanted.dimension.word())
        }
    };
    refuse(format!("{}, {ending}", number_then(number)), wanted)
}

/// Whether what stands behind a number is, or holds behind a unit, another number.
fn has_second_number(typed: &str) -> bool {
    let Some(at) = typed.find(|c: char| c.is_ascii_digit()) else { return false };
    let between = typed.get(..at).unwrap_or("").trim_end_matches(['.', ',', '-', '+', '\u{2212}']);
    let between = between.trim();
    let joins = ["", "/", "to", "and", "x", "×", "±", "\u{2013}", "…", "..", ";", ":"];
    joins.contains(&between.to_lowercase().as_str()) || !unit::kinds(between).is_empty()
}

/// A number too large for arithmetic.
pub(super) fn too_large(number: &Number<'_>, wanted: &Wanted) -> Refusal {
    refuse(format!("the number {}, which is too large to keep", clip(number.typed)), wanted)
}

/// A value outside the range, in the unit of a bare number.
pub(super) fn out_of_range(value: f64, wanted: &Wanted) -> Refusal {
    let (side, end) =
        if value > wanted.most { ("above", wanted.most) } else { ("below", wanted.least) };
    let unit = unit_shown(wanted);
    let in_bare = |kept: f64| format!("{}{unit}", plain(wanted.bare_unit().typed_for(kept)));
    refuse(format!("{}, which is {side} {}", in_bare(value), in_bare(end)), wanted)
}

/// A meter over a range too low to tell open from a high resistance.
pub(super) fn low_range(ohms: f64) -> Refusal {
    Refusal {
        understood: format!(
            "more than {}, which a high resistance shows as well as an open one",
            crate::units::ohms(ohms)
        ),
        allowed: "what the meter shows on its highest range".to_owned(),
    }
}

/// The advice of a field for numbers, for one that takes an ohmmeter's words as well.
pub(super) fn with_words(refusal: Refusal) -> Refusal {
    Refusal { allowed: format!("{}; or the word open or joined", refusal.allowed), ..refusal }
}

/// `the number 12, then ‘bananas’`.
fn number_then(number: &Number<'_>) -> String {
    format!("the number {}, then {}", clip(number.typed), quote(number.rest.trim()))
}

/// What was typed, in quotes.
fn quote(typed: &str) -> String {
    format!("‘{}’", clip(typed))
}

/// The first letters of what was typed. Signs that print nothing or turn the line around are shown
/// as the sign for a missing letter.
fn clip(typed: &str) -> String {
    const UNSEEN: [std::ops::RangeInclusive<char>; 3] =
        ['\u{200b}'..='\u{200f}', '\u{202a}'..='\u{202e}', '\u{2066}'..='\u{2069}'];
    let unseen = |c: char| c.is_control() || UNSEEN.iter().any(|range| range.contains(&c));
    let seen = typed.chars().map(|c| if unseen(c) { '\u{fffd}' } else { c });
    let mut out: String = seen.take(SHOWN).collect();
    if typed.chars().count() > SHOWN {
        out.push('…');
    }
    out
}

/// `amps between 0 and 20, such as 0.27, 270 mA or 0,27`.
fn allowed(wanted: &Wanted) -> String {
    let noun = noun(wanted);
    let end = |kept: f64| plain(wanted.bare_unit().typed_for(kept));
    let range = match (wanted.least.is_finite(), wanted.most.is_finite()) {
        (true, true) => format!("{noun} between {} and {}", end(wanted.least), end(wanted.most)),
        (true, false) => format!("{noun}, {} or more", end(wanted.least)),
        (false, true) => format!("{noun}, {} or less", end(wanted.most)),
        (false, false) => noun.to_owned(),
    };
    match examples(wanted).as_slice() {
        [] => range,
        [one] => format!("{range}, such as {one}"),
        [first @ .., last] => format!("{range}, such as {} or {last}", first.join(", ")),
    }
}

/// What a bare number counts.
fn noun(wanted: &Wanted) -> &'static str {
    if !is_kept(wanted) {
        return if wanted.bare == "%" { "percent" } else { wanted.bare };
    }
    match wanted.dimension {
        Dimension::Current => "amps",
        Dimension::Voltage => "volts",
        Dimension::Resistance => "ohms",
        Dimension::Length => "millimetres",
        Dimension::Mass => "grams",
        Dimension::Time => "seconds",
        Dimension::Temperature => "degrees Celsius",
        Dimension::Power => "watts",
        Dimension::Capacitance => "farads",
        Dimension::Frequency => "hertz",
        Dimension::Speed => "millimetres per second",
        Dimension::Number => "a number",
    }
}

/// Whether a bare number is in the kept unit.
fn is_kept(wanted: &Wanted) -> bool {
    wanted.bare_unit() == unit::KEPT
}

/// The unit of a bare number as printed behind a value, with its blank.
fn unit_shown(wanted: &Wanted) -> String {
    let unit = if is_kept(wanted) { wanted.dimension.unit() } else { wanted.bare };
    if unit.is_empty() { String::new() } else { format!("\u{a0}{unit}") }
}

/// Up to three ways to write a value that this field takes.
fn examples(wanted: &Wanted) -> Vec<String> {
    let bare = plain(wanted.bare_unit().typed_for(usual(wanted)));
    let comma = if bare.contains('.') { bare.replace('.', ",") } else { String::new() };
    let (_, spelled) = habits(wanted.dimension);
    let taken = |text: &str| read(text, wanted).is_ok_and(|v| wanted.within(v).is_some());
    let mut spelled = spelled.iter().copied().filter(|text| taken(text));
    let mut out = vec![bare];
    out.extend(spelled.next().map(str::to_owned));
    out.push(if comma.is_empty() { spelled.next().unwrap_or_default().to_owned() } else { comma });
    out.retain(|text| !text.is_empty() && taken(text));
    out
}

/// A usual value in range, in the kept unit.
fn usual(wanted: &Wanted) -> f64 {
    let (values, _) = habits(wanted.dimension);
    let (least, most) = (wanted.least, wanted.most);
    values.iter().copied().find(|v| least <= *v && *v <= most).unwrap_or_else(|| {
        if least.is_finite() && most.is_finite() {
            f64::midpoint(least, most)
        } else if least.is_finite() {
            least
        } else {
            most
        }
    })
}

/// Values as they come up in the work, in the kept unit, and spellings with a unit.
fn habits(dimension: Dimension) -> (&'static [f64], &'static [&'static str]) {
    match dimension {
        Dimension::Current => (&[0.27, 2.5, 0.025], &["270 mA", "1.2 A", "25 mA"]),
        Dimension::Voltage => (&[12.5, 3.1, 0.7], &["700 mV", "12 V", "3.1 V"]),
        Dimension::Resistance => (&[16.2, 470.0, 0.4], &["4k7", "470R", "16 Ω", "0.4 Ω"]),
        Dimension::Length => (&[16.5, 457.2, 0.4], &["11/64 in", "18 in", "4 mm", "0.4 mm"]),
        Dimension::Mass => (&[28.5, 350.0, 0.5], &["1 1/2 oz", "28 g", "1.2 kg"]),
        Dimension::Time => (&[2.5, 300.0, 0.02], &["5 min", "20 ms", "2 s"]),
        Dimension::Temperature => (&[21.5, 60.5, 100.0], &["60 °C", "70 °F", "140 °F"]),
        Dimension::Power => (&[0.25, 5.5, 0.01], &["250 mW", "5 W"]),
        Dimension::Capacitance => (&[0.000_47, 1.5, 1e-7], &["470 µF", "100 nF", "1.5 F"]),
        Dimension::Frequency => (&[50.5, 20_000.0], &["16 kHz", "50 Hz"]),
        Dimension::Speed => (&[62.5, 0.5], &["0.2 m/s", "60 mm/s"]),
        Dimension::Number => (&[0.5, 3.0, 40.0, 87.1], &["50 %", "5 %"]),
    }
}

/// A number as it may be typed: ten significant figures, a minus that is a minus, thousands parted
/// by a no-break space from 10 000 up.
fn plain(value: f64) -> String {
    let text = format!("{value:.9e}").parse().unwrap_or(value).abs().to_string();
    let (whole, decimals) = text.split_once('.').unwrap_or((&text, ""));
    let mut out = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && whole.len() > 4 && (whole.len() - at).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    let sign = if value < 0.0 { "\u{2212}" } else { "" };
    let point = if decimals.is_empty() { "" } else { "." };
    format!("{sign}{out}{point}{decimals}")
}
