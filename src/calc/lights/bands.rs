//! How a resistor is marked: colour bands, letter code, digits on a chip.
//!
//! IEC 60062, from memory: the digit colours, the multipliers and the tolerance colours.

use super::eseries::Preferred;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A band's colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Colour {
    /// Digit 0, × 1.
    Black,
    /// Digit 1, × 10, ± 1 %.
    Brown,
    /// Digit 2, × 100, ± 2 %.
    Red,
    /// Digit 3, × 1 k.
    Orange,
    /// Digit 4, × 10 k.
    Yellow,
    /// Digit 5, × 100 k, ± 0.5 %.
    Green,
    /// Digit 6, × 1 M, ± 0.25 %.
    Blue,
    /// Digit 7, × 10 M, ± 0.1 %.
    Violet,
    /// Digit 8.
    Grey,
    /// Digit 9.
    White,
    /// × 0.1, ± 5 %.
    Gold,
    /// × 0.01, ± 10 %.
    Silver,
}

/// Digit colours in order, black 0 to white 9.
const DIGITS: [Colour; 10] = [
    Colour::Black,
    Colour::Brown,
    Colour::Red,
    Colour::Orange,
    Colour::Yellow,
    Colour::Green,
    Colour::Blue,
    Colour::Violet,
    Colour::Grey,
    Colour::White,
];

/// Tolerances that have a colour, percent.
const TOLERANCES: [(f64, Colour); 7] = [
    (10.0, Colour::Silver),
    (5.0, Colour::Gold),
    (2.0, Colour::Red),
    (1.0, Colour::Brown),
    (0.5, Colour::Green),
    (0.25, Colour::Blue),
    (0.1, Colour::Violet),
];

impl Colour {
    /// The colour in words.
    pub fn word(self) -> &'static str {
        match self {
            Colour::Black => "black",
            Colour::Brown => "brown",
            Colour::Red => "red",
            Colour::Orange => "orange",
            Colour::Yellow => "yellow",
            Colour::Green => "green",
            Colour::Blue => "blue",
            Colour::Violet => "violet",
            Colour::Grey => "grey",
            Colour::White => "white",
            Colour::Gold => "gold",
            Colour::Silver => "silver",
        }
    }

    fn of_digit(digit: u16) -> Option<Colour> {
        DIGITS.get(usize::from(digit)).copied()
    }

    fn of_power(power: i8) -> Option<Colour> {
        match power {
            -2 => Some(Colour::Silver),
            -1 => Some(Colour::Gold),
            _ => DIGITS.get(usize::try_from(power).ok()?).copied(),
        }
    }

    fn digit(self) -> Option<u16> {
        (0u16..).zip(DIGITS).find(|&(_, c)| c == self).map(|(d, _)| d)
    }

    fn power(self) -> Option<i8> {
        match self {
            Colour::Silver => Some(-2),
            Colour::Gold => Some(-1),
            other => i8::try_from(other.digit()?).ok(),
        }
    }
}

/// One band: its colour and what it says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Band {
    /// Colour of the band.
    pub colour: Colour,
    /// What it says: `4`, `× 100`, `± 5 %`.
    pub means: String,
}

/// Every way one value is marked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Marks {
    /// Two digits, multiplier and tolerance (three bands at ± 20 %). Empty where the value has three
    /// digits or the tolerance no colour.
    pub four: Vec<Band>,
    /// Three digits, multiplier and tolerance. Empty where the tolerance or multiplier has no colour.
    pub five: Vec<Band>,
    /// Letter code: `4K7`, `1R0`, `887R`.
    pub letters: String,
    /// Digits on a chip resistor, three or four signs: `472`, `4R7`, `8870`.
    pub chip: String,
}

/// Whether a tolerance has a colour, or is 20 % which is marked by no band. Percent.
pub fn tolerance_is_marked(percent: f64) -> bool {
    (percent - 20.0).abs() < 1e-9 || tolerance_colour(percent).is_some()
}

fn tolerance_colour(percent: f64) -> Option<Colour> {
    TOLERANCES.iter().find(|(p, _)| (p - percent).abs() < 1e-9).map(|&(_, c)| c)
}

/// The bands as words: `yellow violet red gold`.
pub fn words(bands: &[Band]) -> String {
    bands.iter().map(|b| b.colour.word()).collect::<Vec<_>>().join(" ")
}

/// The bands as digits: `4 7 × 100 ± 5 %`.
pub fn meanings(bands: &[Band]) -> String {
    bands.iter().map(|b| b.means.as_str()).collect::<Vec<_>>().join(" ")
}

/// Every mark of a value at a tolerance in percent.
pub fn marks(value: Preferred, tolerance_percent: f64) -> Marks {
    let four = two_digits(value).and_then(|v| bands(v, tolerance_percent)).unwrap_or_default();
    let five = if tolerance_colour(tolerance_percent).is_some() {
        bands(three_digits(value), tolerance_percent).unwrap_or_default()
    } else {
        Vec::new()
    };
    Marks { four, five, letters: letters(value), chip: chip(value) }
}

/// The same value in two digits, where it has no more.
fn two_digits(value: Preferred) -> Option<Preferred> {
    if value.digits < 100 {
        return Some(value);
    }
    value
        .digits
        .is_multiple_of(10)
        .then_some(Preferred { digits: value.digits / 10, exponent: value.exponent + 1 })
}

/// The same value in three digits.
fn three_digits(value: Preferred) -> Preferred {
    if value.digits >= 100 {
        return value;
    }
    Preferred { digits: value.digits * 10, exponent: value.exponent - 1 }
}

/// Its digits, most significant first.
fn digit_list(digits: u16) -> Vec<u16> {
    if digits >= 100 {
        vec![digits / 100, digits / 10 % 10, digits % 10]
    } else {
        vec![digits / 10, digits % 10]
    }
}

fn bands(value: Preferred, tolerance_percent: f64) -> Option<Vec<Band>> {
    let mut out = Vec::new();
    for digit in digit_list(value.digits) {
        out.push(Band { colour: Colour::of_digit(digit)?, means: digit.to_string() });
    }
    out.push(Band { colour: Colour::of_power(value.exponent)?, means: times(value.exponent) });
    if let Some(colour) = tolerance_colour(tolerance_percent) {
        out.push(Band { colour, means: format!("±\u{a0}{tolerance_percent}\u{a0}%") });
    } else if (tolerance_percent - 20.0).abs() > 1e-9 {
        return None;
    }
    Some(out)
}

/// The multiplier as printed.
fn times(exponent: i8) -> String {
    let text = match exponent {
        -2 => "0.01",
        -1 => "0.1",
        0 => "1",
        1 => "10",
        2 => "100",
        3 => "1k",
        4 => "10k",
        5 => "100k",
        6 => "1M",
        _ => "10M",
    };
    format!("×\u{a0}{text}")
}

/// Letter code: the letter stands where the point would. `R` ohms, `K` thousands, `M` millions.
fn letters(value: Preferred) -> String {
    let value = two_digits(value).unwrap_or(value);
    let digits = value.digits.to_string();
    let places = i32::from(value.exponent) + i32::try_from(digits.len()).unwrap_or(2);
    let (letter, before) = match places {
        ..=3 => ('R', places),
        4..=6 => ('K', places - 3),
        _ => ('M', places - 6),
    };
    let Ok(before) = usize::try_from(before) else {
        return format!("R{}{digits}", "0".repeat(before.unsigned_abs() as usize));
    };
    if before >= digits.len() {
        return format!("{digits}{}{letter}", "0".repeat(before - digits.len()));
    }
    let (whole, rest) = digits.split_at(before);
    format!("{whole}{letter}{rest}")
}

/// Digits on a chip: two or three digits and the count of noughts, `R` for a point.
fn chip(value: Preferred) -> String {
    let value = two_digits(value).unwrap_or(value);
    if value.exponent >= 0 { format!("{}{}", value.digits, value.exponent) } else { letters(value) }
}

/// Reads four or five bands (three at ± 20 %) back into Ω. `None` where a colour cannot stand in
/// its place.
pub fn read(colours: &[Colour]) -> Option<f64> {
    let (digits, power) = match colours {
        [a, b, m] | [a, b, m, _] => (vec![a, b], m),
        [a, b, c, m, _] => (vec![a, b, c], m),
        _ => return None,
    };
    let mut value = 0u16;
    for colour in digits {
        value = value * 10 + colour.digit()?;
    }
    Some(Preferred { digits: value, exponent: power.power()? }.ohm())
}

#[cfg(test)]
mod tests {
    use super::super::eseries::Series;
    use super::*;

    fn of(ohm: f64, tolerance: f64) -> Marks {
        marks(Preferred::of(ohm).unwrap(), tolerance)
    }

    /// Letter codes of IEC 60062 (from memory): 4k7 is 4.7 kΩ, 1R0 is 1 Ω; M47 is an older way to
    /// write 0.47 MΩ, today 470K.
    #[test]
    fn the_letter_stands_where_the_point_would() {
        for (ohm, letters, chip) in [
            (4700.0, "4K7", "472"),
            (1.0, "1R0", "1R0"),
            (470e3, "470K", "474"),
            (887.0, "887R", "8870"),
            (2210.0, "2K21", "2211"),
            (0.47, "R47", "R47"),
            (0.1, "R10", "R10"),
            (100.0, "100R", "101"),
            (10.0, "10R", "100"),
            (56.2, "56R2", "56R2"),
            (1e6, "1M0", "105"),
            (10e6, "10M", "106"),
        ] {
            let marks = of(ohm, 1.0);
            assert_eq!((marks.letters.as_str(), marks.chip.as_str()), (letters, chip), "{ohm}");
        }
    }

    /// Well-known parts, colours from memory of IEC 60062.
    #[test]
    fn bands_in_words_and_digits() {
        let m = of(4700.0, 5.0);
        assert_eq!(words(&m.four), "yellow violet red gold");
        assert_eq!(meanings(&m.four), "4 7 ×\u{a0}100 ±\u{a0}5\u{a0}%");
        assert_eq!(words(&m.five), "yellow violet black brown gold");
        assert_eq!(words(&of(1000.0, 1.0).five), "brown black black brown brown");
        assert_eq!(words(&of(887.0, 1.0).five), "grey grey violet black brown");
        assert!(of(887.0, 1.0).four.is_empty(), "three digits do not fit on four bands");
        assert_eq!(words(&of(2.2, 5.0).four), "red red gold gold");
        assert_eq!(words(&of(0.22, 10.0).four), "red red silver silver");
        assert_eq!(words(&of(150.0, 20.0).four), "brown green brown");
        assert!(of(150.0, 20.0).five.is_empty());
        assert!(of(0.22, 1.0).five.is_empty(), "0.22 in three digits has no multiplier colour");
    }

    #[test]
    fn bands_read_back_to_the_value_they_were_made_from() {
        for (series, tolerance) in [(Series::E24, 5.0), (Series::E24, 20.0), (Series::E96, 1.0)] {
            for value in series.values() {
                let marks = marks(value, tolerance);
                for bands in [&marks.four, &marks.five].into_iter().filter(|b| !b.is_empty()) {
                    let colours: Vec<Colour> = bands.iter().map(|b| b.colour).collect();
                    let back = read(&colours).unwrap();
                    assert!((back / value.ohm() - 1.0).abs() < 1e-12, "{value:?}");
                }
            }
        }
        assert_eq!(read(&[Colour::Gold, Colour::Red, Colour::Red]), None);
        assert_eq!(read(&[]), None);
    }
}
