//! Properties over random inputs.

use super::super::{Ohms, Wanted, parse, parse_ohms};
use crate::units::{Dimension, quantity};
use proptest::prelude::*;

fn dimension() -> impl Strategy<Value = Dimension> {
    prop::sample::select(Dimension::ALL.to_vec())
}

/// A size from a billionth to a billion, with sign.
fn size() -> impl Strategy<Value = f64> {
    (-9.0f64..9.0, any::<bool>())
        .prop_map(|(power, minus)| if minus { -10f64.powf(power) } else { 10f64.powf(power) })
}

/// The most that printing may change a value by.
fn rounding_of_print(value: f64, dimension: Dimension) -> f64 {
    let size = value.abs();
    let step = match dimension {
        Dimension::Current => 0.01,
        Dimension::Mass => 0.5,
        Dimension::Resistance if size >= 999_950.0 => 50_000.0,
        Dimension::Resistance if size >= 999.95 => 50.0,
        Dimension::Voltage
        | Dimension::Resistance
        | Dimension::Length
        | Dimension::Time
        | Dimension::Temperature => 0.05,
        // Six significant figures.
        _ => 5e-6 * size,
    };
    step + 1e-9 + 1e-12 * size
}

/// Texts built from the signs that numbers and units are made of.
const SCRAPS: &str = "[0-9 .,/eExX+−–½µΩ°\"'%>∞\u{a0}\u{2009}kKmMARVFgsin-]{0,12}";

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn what_is_printed_can_be_typed_back(value in size(), dimension in dimension()) {
        let printed = quantity(value, dimension);
        let read = parse(&printed, &any_field(dimension));
        let read = read.map_err(|refusal| TestCaseError::fail(format!("{printed}: {refusal}")))?;
        let off = (read - value).abs();
        prop_assert!(off <= rounding_of_print(value, dimension), "{value}: {printed}, {read}");
        if dimension == Dimension::Current {
            let least = value.abs() * (1.0 - 1e-12) - 1e-11;
            prop_assert!(read.abs() >= least, "{value} hidden by {printed}");
        }
    }

    #[test]
    fn nothing_typed_breaks_the_reader(text in "\\PC*", dimension in dimension()) {
        check(&text, dimension)?;
    }

    #[test]
    fn no_pile_of_scraps_breaks_the_reader(text in SCRAPS, dimension in dimension()) {
        check(&text, dimension)?;
    }

    #[test]
    fn a_unit_scales_what_a_bare_number_gives(n in -100_000i32..100_000, decimals in 0usize..5) {
        let text = format!("{:.decimals$}", f64::from(n) / 1000.0);
        // From the SI prefixes, the definitions of inch, pound and ounce (1959), min and h.
        let scales = [
            ("mA", Dimension::Current, 1e-3), ("µA", Dimension::Current, 1e-6),
            ("mV", Dimension::Voltage, 1e-3), ("kV", Dimension::Voltage, 1e3),
            ("kΩ", Dimension::Resistance, 1e3), ("MΩ", Dimension::Resistance, 1e6),
            ("mΩ", Dimension::Resistance, 1e-3), ("cm", Dimension::Length, 10.0),
            ("in", Dimension::Length, 25.4), ("ft", Dimension::Length, 304.8),
            ("thou", Dimension::Length, 0.0254), ("oz", Dimension::Mass, 28.349_523_125),
            ("lb", Dimension::Mass, 453.592_37), ("kg", Dimension::Mass, 1e3),
            ("min", Dimension::Time, 60.0), ("h", Dimension::Time, 3600.0),
            ("ms", Dimension::Time, 1e-3), ("mW", Dimension::Power, 1e-3),
            ("µF", Dimension::Capacitance, 1e-6), ("nF", Dimension::Capacitance, 1e-9),
            ("pF", Dimension::Capacitance, 1e-12), ("kHz", Dimension::Frequency, 1e3),
            ("m/s", Dimension::Speed, 1e3), ("%", Dimension::Number, 1e-2),
        ];
        for (unit, dimension, scale) in scales {
            let bare = parse(&text, &any_field(dimension));
            let glued = parse(&format!("{text}{unit}"), &any_field(dimension));
            let apart = parse(&format!("{text} {unit}"), &any_field(dimension));
            let of_field = parse(&text, &Wanted { bare: unit, ..any_field(dimension) });
            prop_assert_eq!(&glued, &apart);
            prop_assert_eq!(&glued, &of_field);
            let (bare, read) = (bare.unwrap(), glued.unwrap());
            let off = (read - bare * scale).abs();
            prop_assert!(off <= 8e-16 * read.abs(), "{text} {unit}: {read}");
        }
    }

    #[test]
    fn comma_and_point_read_alike(n in -1_000_000i32..1_000_000, decimals in 1usize..7) {
        let point = format!("{:.decimals$}", f64::from(n) / 1000.0);
        let wanted = any_field(Dimension::Number);
        let read = parse(&point, &wanted);
        prop_assert_eq!(&read, &parse(&point.replace('.', ","), &wanted));
        prop_assert_eq!(&read, &parse(&point.replace('-', "\u{2212}"), &wanted));
        prop_assert_eq!(read, Ok(point.parse::<f64>().unwrap() + 0.0));
    }

    #[test]
    fn fractions_add_up(whole in 1u32..100, top in 1u32..64, more in 1u32..64) {
        let bottom = top + more;
        let wanted = any_field(Dimension::Number);
        let value = f64::from(whole * bottom + top) / f64::from(bottom);
        for gap in [" ", "-", "\u{a0}"] {
            let read = parse(&format!("{whole}{gap}{top}/{bottom}"), &wanted).unwrap();
            prop_assert!((read - value).abs() <= 1e-15 * value, "{read} for {value}");
        }
    }

    #[test]
    fn a_value_taken_lies_in_the_range(value in size(), a in size(), b in size()) {
        let wanted = Wanted { least: a.min(b), most: a.max(b), ..any_field(Dimension::Number) };
        match parse(&value.to_string(), &wanted) {
            Ok(read) => prop_assert!(wanted.least <= read && read <= wanted.most),
            Err(_) => prop_assert!(value < wanted.least || value > wanted.most),
        }
    }
}

fn any_field(dimension: Dimension) -> Wanted {
    super::any(dimension, "")
}

/// A text is read as a finite number, or refused with something to say.
fn check(text: &str, dimension: Dimension) -> Result<(), TestCaseError> {
    match parse(text, &any_field(dimension)) {
        Ok(value) => prop_assert!(value.is_finite(), "{text}"),
        Err(refusal) => {
            prop_assert!(!refusal.understood.is_empty() && !refusal.allowed.is_empty(), "{text}");
        }
    }
    if let Ok(Ohms::Value(value)) = parse_ohms(text, &any_field(Dimension::Resistance)) {
        prop_assert!(value.is_finite(), "{text}");
    }
    Ok(())
}
