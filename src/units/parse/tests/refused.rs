//! Spellings that are refused, and why.

use super::super::{parse, parse_ohms};
use super::{any, from_to};
use crate::units::Dimension::{self, *};

/// Spelling, kind wanted, and parts the message has.
const REFUSED: &[(&str, Dimension, &[&str])] = &[
    ("", Current, &["Nothing is written", "Write amps", "270 mA"]),
    ("   ", Current, &["Nothing is written"]),
    ("\u{a0}\t", Length, &["Nothing is written", "millimetres"]),
    ("bananas", Current, &["‘bananas’, which does not start with a number"]),
    ("12 bananas", Current, &["the number 12, then ‘bananas’", "no unit of current"]),
    ("12bananas", Current, &["then ‘bananas’"]),
    ("12 x", Number, &["then ‘x’, where a plain number is wanted"]),
    ("A", Current, &["‘A’, which does not start with a number"]),
    ("mA 12", Current, &["does not start with a number"]),
    (".", Current, &["‘.’, which does not start with a number"]),
    (",", Current, &["does not start with a number"]),
    ("-", Current, &["does not start with a number"]),
    ("--5", Current, &["‘--5’", "does not start"]),
    ("+-5", Current, &["does not start"]),
    ("e5", Current, &["does not start"]),
    ("5e", Current, &["the number 5, then ‘e’"]),
    ("1e400", Current, &["the number 1e400, which is too large to keep"]),
    ("1e308 kV", Voltage, &["too large to keep"]),
    ("NaN", Current, &["‘NaN’, which is no finite number"]),
    ("nan A", Current, &["no finite number"]),
    ("inf", Current, &["no finite number"]),
    ("-inf", Current, &["no finite number"]),
    ("Infinity", Current, &["no finite number"]),
    ("∞", Current, &["no finite number"]),
    ("0x1F", Current, &["‘0x1F’, which looks hexadecimal"]),
    ("-0XA", Number, &["looks hexadecimal"]),
    ("0x", Number, &["the number 0, then ‘x’"]),
    ("1.234,5", Number, &["both a point and a comma", "1234.5 or 1234,5"]),
    ("1,234.5", Number, &["both a point and a comma", "1234.5 or 1234,5"]),
    ("1.234.567,8", Number, &["both a point and a comma", "1234567.8 or 1234567,8"]),
    ("1 234,5.6", Number, &["both a point and a comma"]),
    ("1,2.3,4", Number, &["both a point and a comma in one number", "Write a number"]),
    ("1.234.567", Number, &["more than one point", "1234567, without marks"]),
    ("1,234,567", Number, &["more than one comma", "1234567"]),
    ("25.11.2026", Number, &["more than one point in one number", "such as 0.5"]),
    ("1..5", Number, &["more than one point"]),
    ("12 V", Current, &["the number 12, then ‘V’", "a unit of voltage, not of current"]),
    ("12 mA", Voltage, &["a unit of current, not of voltage"]),
    ("12 mm", Mass, &["a unit of length, not of mass"]),
    ("12 oz", Length, &["a unit of mass, not of length"]),
    ("12 F", Current, &["a unit of temperature or capacitance, not of current"]),
    ("12 K", Current, &["a unit of resistance or temperature, not of current"]),
    ("12 A", Number, &["a unit of current, where a plain number is wanted"]),
    ("5 %", Current, &["‘%’, which goes with plain numbers, not with current"]),
    ("12 mm/s", Length, &["a unit of speed, not of length"]),
    ("5 MA", Current, &["‘MA’, which may mean milli (m) or mega (M)", "270 mA"]),
    ("5 Ma", Current, &["milli (m) or mega (M)"]),
    ("5 MV", Voltage, &["‘MV’, which may mean milli (m) or mega (M)", "700 mV"]),
    ("5 MW", Power, &["milli (m) or mega (M)"]),
    ("5 MG", Mass, &["milli (m) or mega (M)"]),
    ("5 MS", Time, &["milli (m) or mega (M)"]),
    ("5 mhz", Frequency, &["milli (m) or mega (M)"]),
    ("5 m", Resistance, &["‘m’, which may mean milli (mΩ) or mega (MΩ)"]),
    ("5 mohm", Resistance, &["milli (mΩ) or mega (MΩ)"]),
    ("4m7", Resistance, &["the number 4, then ‘m7’, which may mean milli (mΩ) or mega (MΩ)"]),
    ("5 m", Time, &["minutes (min) or milliseconds (ms)"]),
    ("20°", Temperature, &["degrees Celsius or Fahrenheit", "60 °C"]),
    ("20 degrees", Temperature, &["degrees Celsius or Fahrenheit"]),
    ("100 MFD", Capacitance, &["milli (mF) or micro (µF)"]),
    ("100 MF", Capacitance, &["milli (mF) or micro (µF)"]),
    ("100 mf", Capacitance, &["milli (mF) or micro (µF)"]),
    ("4m7", Capacitance, &["milli (mF) or micro (µF)"]),
    ("5 M", Length, &["a unit of resistance, not of length"]),
    ("5 k", Temperature, &["a unit of resistance, not of temperature"]),
    ("5 g", Resistance, &["a unit of mass, not of resistance"]),
    ("12 14", Current, &["the number 12, then a second one in ‘14’"]),
    ("1 00", Number, &["the number 1, then a second one in ‘00’"]),
    ("1000 000", Number, &["a second one in ‘000’"]),
    ("1  000", Number, &["a second one in ‘000’"]),
    ("0 123", Number, &["a second one in ‘123’"]),
    ("1 0000", Number, &["a second one in ‘0000’"]),
    ("0.27 0.28", Current, &["a second one"]),
    ("12 V 5", Voltage, &["the number 12, then a second one in ‘V 5’"]),
    ("5' 6\"", Length, &["the number 5, then a second one in ‘' 6\"’"]),
    ("5-7", Current, &["the number 5, then a second one in ‘-7’"]),
    ("5 to 7", Current, &["a second one in ‘to 7’"]),
    ("5±1", Current, &["a second one in ‘±1’"]),
    ("0.8; 0.9", Current, &["a second one"]),
    ("1/0", Number, &["the fraction ‘1/0’, which divides by zero"]),
    ("1 1/0 in", Length, &["divides by zero"]),
    ("1/2/3", Number, &["read in more than one way"]),
    ("1/2.5", Number, &["read in more than one way"]),
    ("1 3/2 in", Length, &["‘1 3/2’, which can be read in more than one way"]),
    ("1 100/200", Number, &["‘1 100/200’, which can be read in more than one way"]),
    ("1 000/2", Number, &["more than one way"]),
    ("1 234 567/2", Number, &["more than one way"]),
    ("1.5/2", Number, &["the number 1.5, then a second one in ‘/2’"]),
    ("4.7k7", Resistance, &["the number 4.7, then a second one in ‘k7’"]),
    ("4k7k", Resistance, &["a second one in ‘k7k’"]),
    ("4k7", Current, &["the number 4, then a second one in ‘k7’"]),
    ("4k", Current, &["a unit of resistance", "not of current"]),
    ("R47", Current, &["does not start with a number"]),
    ("٣", Number, &["does not start with a number"]),
    ("１２", Number, &["does not start with a number"]),
    ("about 5", Number, &["‘about 5’, which does not start with a number"]),
    ("<5", Current, &["does not start with a number"]),
    ("open", Resistance, &["‘open’, which does not start with a number"]),
    ("5 <b>V</b>", Voltage, &["‘<b>V</b>’"]),
    ("5\u{0}V", Voltage, &["‘\u{fffd}V’"]),
    ("5 V\u{202e}", Voltage, &["‘V\u{fffd}’"]),
];

#[test]
fn what_is_doubtful_or_wrong_is_refused_in_words() {
    assert!(REFUSED.len() >= 60);
    let mut faults = Vec::new();
    for &(text, dimension, parts) in REFUSED {
        let said = match parse(text, &any(dimension, "")) {
            Ok(value) => format!("read as {value}"),
            Err(refusal) => refusal.to_string(),
        };
        let heard = said.to_lowercase();
        let missing = parts.iter().filter(|part| !heard.contains(&part.to_lowercase()));
        faults.extend(missing.map(|part| format!("{text}: no “{part}” in “{said}”")));
        if !said.contains("Write ") {
            faults.push(format!("{text}: {said}"));
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn out_of_range_says_the_range_in_the_unit_of_the_field() {
    let table = [
        (
            "25",
            from_to(Current, "", 0.0, 20.0),
            "25\u{a0}A, which is above 20\u{a0}A. Write amps between 0 and 20",
        ),
        ("25000 mA", from_to(Current, "", 0.0, 20.0), "25\u{a0}A, which is above 20\u{a0}A"),
        (
            "25 A",
            from_to(Current, "mA", 0.0, 20.0),
            "25\u{a0}000\u{a0}mA, which is above 20\u{a0}000\u{a0}mA. \
             Write mA between 0 and 20\u{a0}000",
        ),
        ("-1", from_to(Current, "", 0.0, 20.0), "\u{2212}1\u{a0}A, which is below 0\u{a0}A"),
        ("1e-9", from_to(Length, "mm", 0.1, 20.0), "which is below 0.1\u{a0}mm"),
        (
            "30",
            from_to(Length, "in", 25.4, 508.0),
            "30\u{a0}in, which is above 20\u{a0}in. Write in between 1 and 20",
        ),
        (
            "500",
            from_to(Temperature, "°F", -40.0, 100.0),
            "above 212\u{a0}°F. Write °F between \u{2212}40 and 212",
        ),
        (
            "2",
            from_to(Number, "", 0.0, 1.0),
            "2, which is above 1. Write a number between 0 and 1, such as 0.5, 50 % or 0,5.",
        ),
        (
            "200",
            from_to(Number, "%", 0.0, 1.0),
            "200\u{a0}%, which is above 100\u{a0}%. Write percent between 0 and 100",
        ),
        ("-3 g", from_to(Mass, "", 0.0, f64::INFINITY), "below 0\u{a0}g. Write grams, 0 or more"),
        (
            "9 g",
            from_to(Mass, "", f64::NEG_INFINITY, 5.0),
            "above 5\u{a0}g. Write grams, 5 or less",
        ),
    ];
    for (text, wanted, said) in table {
        let refusal = parse(text, &wanted).unwrap_err().to_string();
        assert!(refusal.contains(said), "{text}: {refusal}");
    }
}

/// 1.8 in is 45.72 mm; in binary the product may come out a step above.
#[test]
fn the_printed_end_of_a_range_is_taken() {
    for tenths in 1u32..1000 {
        let most = f64::from(tenths) * 2.54;
        let wanted = from_to(Length, "in", 0.0, most);
        let typed = format!("{}.{}", tenths / 10, tenths % 10);
        let read = parse(&typed, &wanted).unwrap();
        assert!(read <= most && most - read < 1e-9, "{typed}: {read} of {most}");
    }
    let wanted = from_to(Current, "", 0.0, 20.0);
    assert!(parse("20.000001", &wanted).is_err() && parse("-0.0000001", &wanted).is_err());
}

#[test]
fn an_ohmmeter_field_names_its_words_in_every_refusal() {
    let wanted = from_to(Resistance, "", 0.0, 2e7);
    let table = [
        ("bananas", "does not start with a number"),
        ("", "Nothing is written"),
        ("12 V", "a unit of voltage, not of resistance"),
        (
            "> 20k",
            "More than 20.0\u{a0}kΩ, which a high resistance shows as well as an open one. \
             Write what the meter shows on its highest range",
        ),
        (">999 999", "highest range"),
        (">-5M", "highest range"),
        ("> 5 V", "a unit of voltage"),
        (">", "Nothing is written"),
        ("-inf", "no finite number"),
        ("OL V", "does not start with a number"),
        ("open MΩ 5", "does not start with a number"),
        ("0L5", "‘L5’"),
        ("50 MΩ", "above 20\u{a0}000\u{a0}000\u{a0}Ω"),
        ("5 m", "milli (mΩ) or mega (MΩ)"),
        ("not joined", "does not start"),
    ];
    for (text, said) in table {
        let refusal = parse_ohms(text, &wanted).unwrap_err().to_string();
        assert!(refusal.contains(said), "{text}: {refusal}");
        assert!(refusal.ends_with("; or the word open or joined."), "{text}: {refusal}");
    }
}
