//! Spellings that are taken.

use super::super::{Ohms, parse, parse_ohms};
use super::any;
use crate::units::Dimension::{self, *};

/// Spelling, kind, unit of a bare number, value in the kept unit. Values by hand, from: 1 in =
/// 25.4 mm and 1 lb = 453.59237 g exactly (international yard and pound, 1959), 1 oz =
/// 28.349523125 g; ice melts at 32 °F = 0 °C = 273.15 K and water boils at 212 °F = 100 °C, by the
/// definition of the scales; letter codes by IEC 60062 (4K7 = 4.7 kΩ); SI prefixes.
const TAKEN: &[(&str, Dimension, &str, f64)] = &[
    ("0.27", Current, "", 0.27),
    ("0,27", Current, "", 0.27),
    ("270 mA", Current, "", 0.27),
    ("270mA", Current, "", 0.27),
    ("270 ma", Current, "", 0.27),
    ("270", Current, "mA", 0.27),
    ("0.27 A", Current, "mA", 0.27),
    ("0.27a", Current, "", 0.27),
    ("1.2 amps", Current, "", 1.2),
    ("250 µA", Current, "", 0.000_25),
    ("250 μA", Current, "", 0.000_25),
    ("250 uA", Current, "", 0.000_25),
    ("  0.27  ", Current, "", 0.27),
    ("\t0.27\u{a0}A\n", Current, "", 0.27),
    ("+5", Current, "", 5.0),
    ("-5", Current, "", -5.0),
    ("\u{2212}5", Current, "", -5.0),
    ("\u{2013}5", Current, "", -5.0),
    ("\u{2212} 5 A", Current, "", -5.0),
    (".5", Current, "", 0.5),
    (",5", Current, "", 0.5),
    ("5.", Current, "", 5.0),
    ("5,", Current, "", 5.0),
    ("5. A", Current, "", 5.0),
    ("-.5", Current, "", -0.5),
    ("1 .", Current, "", 1.0),
    ("1e-3", Current, "", 0.001),
    ("1E\u{2212}3 A", Current, "", 0.001),
    ("2.5e+2 mA", Current, "", 0.25),
    ("007", Number, "", 7.0),
    ("3,5", Number, "", 3.5),
    ("1,234", Number, "", 1.234),
    ("1.234", Number, "", 1.234),
    ("1 000", Number, "", 1000.0),
    ("1\u{a0}000", Number, "", 1000.0),
    ("1\u{2009}000", Number, "", 1000.0),
    ("1\u{202f}000", Number, "", 1000.0),
    ("12 345 678,5", Number, "", 12_345_678.5),
    ("1 234.5", Number, "", 1234.5),
    ("1 000 mA", Current, "", 1.0),
    ("-1 000", Number, "", -1000.0),
    ("50 %", Number, "", 0.5),
    ("12,5%", Number, "", 0.125),
    ("5", Number, "%", 0.05),
    ("5 per cent", Number, "", 0.05),
    ("1/3", Number, "", 1.0 / 3.0),
    ("12 V", Voltage, "", 12.0),
    ("12v", Voltage, "", 12.0),
    ("700 mV", Voltage, "", 0.7),
    ("1.5 kV", Voltage, "", 1500.0),
    ("1.5 KV", Voltage, "", 1500.0),
    ("4k7", Resistance, "", 4700.0),
    ("4K7", Resistance, "", 4700.0),
    ("4k7 Ω", Resistance, "", 4700.0),
    ("1R5", Resistance, "", 1.5),
    ("-1R5", Resistance, "", -1.5),
    ("0r22", Resistance, "", 0.22),
    ("R47", Resistance, "", 0.47),
    ("470R", Resistance, "", 470.0),
    ("2M2", Resistance, "", 2_200_000.0),
    ("10k", Resistance, "", 10_000.0),
    ("4,7 kΩ", Resistance, "", 4700.0),
    ("4.7 kohm", Resistance, "", 4700.0),
    ("4.7 k ohm", Resistance, "", 4700.0),
    ("16.2 Ω", Resistance, "", 16.2),
    ("16.2 \u{2126}", Resistance, "", 16.2),
    ("16.2 ohm", Resistance, "", 16.2),
    ("16.2 Ohms", Resistance, "", 16.2),
    ("5 M", Resistance, "", 5e6),
    ("5 MΩ", Resistance, "", 5e6),
    ("5 Mohm", Resistance, "", 5e6),
    ("5 megohm", Resistance, "", 5e6),
    ("5 mΩ", Resistance, "", 0.005),
    ("5 milliohms", Resistance, "", 0.005),
    ("4.7", Resistance, "kΩ", 4700.0),
    ("17.5 mm", Length, "", 17.5),
    ("17.5 MM", Length, "", 17.5),
    ("2 cm", Length, "", 20.0),
    ("1.2 m", Length, "", 1200.0),
    ("50 µm", Length, "", 0.05),
    ("18 in", Length, "", 457.2),
    ("18 in.", Length, "", 457.2),
    ("18 inches", Length, "mm", 457.2),
    ("18", Length, "in", 457.2),
    ("18\"", Length, "", 457.2),
    ("18″", Length, "", 457.2),
    ("18”", Length, "", 457.2),
    ("11/64\"", Length, "", 4.365_625),
    ("11\u{2044}64 in", Length, "", 4.365_625),
    ("1 1/2 in", Length, "", 38.1),
    ("1\u{a0}1/2 in", Length, "", 38.1),
    ("1-1/2\"", Length, "", 38.1),
    ("-1 1/2 in", Length, "", -38.1),
    ("1½\"", Length, "", 38.1),
    ("1 ½ in", Length, "", 38.1),
    ("¾ in", Length, "", 19.05),
    ("⅛\"", Length, "", 3.175),
    ("3/2", Length, "in", 38.1),
    ("2 ft", Length, "", 609.6),
    ("2'", Length, "", 609.6),
    ("2’", Length, "", 609.6),
    ("10 thou", Length, "", 0.254),
    ("10 mil", Length, "", 0.254),
    ("28 g", Mass, "", 28.0),
    ("1.2 kg", Mass, "", 1200.0),
    ("1.2 KG", Mass, "", 1200.0),
    ("500 mg", Mass, "", 0.5),
    ("1 oz", Mass, "", 28.349_523_125),
    ("1 1/2 oz", Mass, "", 42.524_284_687_5),
    ("1 lb", Mass, "", 453.592_37),
    ("2 lbs.", Mass, "", 907.184_74),
    ("2.5 s", Time, "", 2.5),
    ("2.5 sec", Time, "", 2.5),
    ("20 ms", Time, "", 0.02),
    ("20 µs", Time, "", 0.000_02),
    ("5 min", Time, "", 300.0),
    ("5", Time, "min", 300.0),
    ("1½ h", Time, "", 5400.0),
    ("21,5 °C", Temperature, "", 21.5),
    ("21.5 C", Temperature, "", 21.5),
    ("\u{2212}5 ℃", Temperature, "", -5.0),
    ("32 °F", Temperature, "", 0.0),
    ("212 F", Temperature, "", 100.0),
    ("212", Temperature, "°F", 100.0),
    ("212 deg f", Temperature, "", 100.0),
    ("273.15 K", Temperature, "", 0.0),
    ("5 W", Power, "", 5.0),
    ("250 mW", Power, "", 0.25),
    ("1.5 F", Capacitance, "", 1.5),
    ("1.5 mF", Capacitance, "", 0.0015),
    ("10 000 uF", Capacitance, "", 0.01),
    ("470 µF", Capacitance, "", 0.000_47),
    ("470", Capacitance, "µF", 0.000_47),
    ("100n", Capacitance, "", 1e-7),
    ("4n7", Capacitance, "", 4.7e-9),
    ("4µ7", Capacitance, "", 4.7e-6),
    ("47 pF", Capacitance, "", 4.7e-11),
    ("50 Hz", Frequency, "", 50.0),
    ("16 khz", Frequency, "", 16_000.0),
    ("60 mm/s", Speed, "", 60.0),
    ("0.2 m/s", Speed, "", 200.0),
];

#[test]
fn spellings_of_the_trade_are_taken() {
    assert!(TAKEN.len() >= 80);
    for &(text, dimension, bare, value) in TAKEN {
        match parse(text, &any(dimension, bare)) {
            Ok(read) => assert!(
                (read - value).abs()
                    <= 1e-13 * value.abs().max(if value == 0.0 { 1.0 } else { 0.0 }),
                "{text}: read {read}, meant {value}"
            ),
            Err(refusal) => panic!("{text}: {refusal}"),
        }
    }
}

/// A value that is one decimal fraction however it is spelled is kept as one and the same number.
#[test]
fn the_same_current_is_the_same_number_in_every_spelling() {
    for text in ["0.27", "0,27", "270 mA", "270000 µA", "270 000 uA", "2.7e-1", "27e-2 A"] {
        let read = parse(text, &any(Current, "")).map(f64::to_bits);
        assert_eq!(read, Ok(0.27f64.to_bits()), "{text}");
    }
}

#[test]
fn minus_nothing_is_nothing() {
    assert_eq!(parse("-0", &any(Current, "")).map(f64::to_bits), Ok(0));
    assert_eq!(parse("-0R0", &any(Resistance, "")).map(f64::to_bits), Ok(0));
    assert_eq!(parse("\u{2212}0.0 mA", &any(Current, "")).map(f64::to_bits), Ok(0));
}

#[test]
fn a_bare_unit_that_is_none_means_the_kept_unit() {
    assert_eq!(parse("12", &any(Current, "bananas")), Ok(12.0));
    assert_eq!(parse("12", &any(Current, "V")), Ok(12.0));
}

#[test]
fn an_ohmmeter_is_read_in_its_own_words() {
    let open = [
        "open",
        "Open",
        "OPEN",
        "OL",
        "ol",
        "O.L",
        "O.L.",
        ".OL",
        "0L",
        "0.L",
        "∞",
        "inf",
        "Inf",
        "infinity",
        "over",
        "OL MΩ",
        "O.L kΩ",
        "0L ohm",
        "∞ Ω",
        ">1M",
        "> 1 MΩ",
        ">1 Mohm",
        "> 2M2",
        ">20 megohm",
        "over 1 MΩ",
        "more than 20 M",
        ">= 1M",
        "≥1 MΩ",
        "> 1 000 k",
        " open ",
        "open circuit",
        "> 1000000",
    ];
    for text in open {
        assert_eq!(parse_ohms(text, &any(Resistance, "")), Ok(Ohms::Open), "{text}");
    }
    for text in ["joined", "Joined", "beep", "BEEP", "beeps", "short", " Short ", "shorted"] {
        assert_eq!(parse_ohms(text, &any(Resistance, "")), Ok(Ohms::Joined), "{text}");
    }
    let values = [("1.", 1.0), ("1 .", 1.0), ("1", 1.0), ("16,2", 16.2), ("4k7", 4700.0)];
    for (text, ohms) in values {
        assert_eq!(parse_ohms(text, &any(Resistance, "")), Ok(Ohms::Value(ohms)), "{text}");
    }
    assert_eq!(parse_ohms("0.2", &any(Resistance, "kΩ")), Ok(Ohms::Value(200.0)));
    assert_eq!(parse_ohms("> 1000", &any(Resistance, "kΩ")), Ok(Ohms::Open));
}
