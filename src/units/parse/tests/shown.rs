//! The words of a refusal as a whole.

use super::super::unit::{Found, find};
use super::super::{Refusal, Wanted, parse, say};
use super::{any, from_to};
use crate::units::Dimension::{self, *};

#[test]
fn a_refusal_says_what_was_understood_then_what_to_write() {
    let refusal = parse("12 bananas", &from_to(Current, "", 0.0, 20.0)).unwrap_err();
    assert_eq!(refusal.understood, "the number 12, then ‘bananas’, which is no unit of current");
    assert_eq!(refusal.allowed, "amps between 0 and 20, such as 0.27, 270 mA or 0,27");
    assert_eq!(
        refusal.to_string(),
        "The number 12, then ‘bananas’, which is no unit of current. \
         Write amps between 0 and 20, such as 0.27, 270 mA or 0,27."
    );
}

#[test]
fn a_refusal_without_one_half_is_the_other() {
    let refusal = |understood: &str, allowed: &str| {
        Refusal { understood: understood.to_owned(), allowed: allowed.to_owned() }.to_string()
    };
    assert_eq!(refusal("nothing is written", ""), "Nothing is written.");
    assert_eq!(refusal("", "a number"), "Write a number.");
    assert_eq!(refusal("", ""), "");
}

#[test]
fn a_long_text_is_repeated_only_in_part() {
    let refusal = parse(&"ab".repeat(5000), &any(Current, "")).unwrap_err();
    assert!(refusal.understood.starts_with("‘abababababababababababab…’"));
    let refusal = parse(&"9".repeat(5000), &any(Current, "")).unwrap_err();
    assert!(refusal.to_string().chars().count() < 200, "{refusal}");
}

/// Fields of all kinds, ranges and bare units, for which every example must itself be taken.
fn fields() -> Vec<Wanted> {
    let bare: [(Dimension, &[&str]); 12] = [
        (Current, &["", "A", "mA"]),
        (Voltage, &["", "mV"]),
        (Resistance, &["", "kΩ", "MΩ"]),
        (Length, &["", "in", "thou"]),
        (Mass, &["", "oz"]),
        (Time, &["", "min", "ms"]),
        (Temperature, &["", "°F", "K"]),
        (Power, &["", "mW"]),
        (Capacitance, &["", "µF"]),
        (Frequency, &["", "kHz"]),
        (Speed, &["", "m/s"]),
        (Number, &["", "%"]),
    ];
    let infinite = (f64::NEG_INFINITY, f64::INFINITY);
    let ends =
        [(0.0, 20.0), infinite, (0.0, f64::INFINITY), (300.0, 301.0), (-9.0, -3.7), (5.0, 5.0)];
    let mut out = Vec::new();
    for (dimension, units) in bare {
        for unit in units {
            assert!(matches!(find(unit, dimension), Found::Unit(_)), "{unit}");
            out.extend(ends.iter().map(|&(least, most)| from_to(dimension, unit, least, most)));
        }
    }
    out
}

#[test]
fn every_example_is_itself_taken() {
    for wanted in fields() {
        let allowed = say::refuse(String::new(), &wanted).allowed;
        let (_, examples) = allowed.split_once("such as ").unwrap_or_else(|| panic!("{allowed}"));
        for example in examples.split(" or ").flat_map(|part| part.split(", ")) {
            assert!(parse(example, &wanted).is_ok(), "“{example}” of “{allowed}”");
        }
    }
}

/// Tidy texts: no doubled blank, no exclamation mark, at most two sentences.
#[test]
fn messages_are_short_and_plain() {
    for wanted in fields() {
        for text in ["", "x", "1 bananas", "1,2.3", "1 1", "1e30", "-1e30", "1 V", "1 A", "nan"] {
            let Err(refusal) = parse(text, &wanted) else { continue };
            let said = refusal.to_string();
            assert!(!said.contains("  ") && !said.contains('!'), "{said}");
            assert!(said.ends_with('.') && said.matches(". ").count() == 1, "{said}");
            assert!(said.chars().count() < 190, "{said}");
        }
    }
}
