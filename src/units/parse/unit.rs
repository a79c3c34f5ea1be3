//! The units people write, each with the way to the unit a value is kept in.

use crate::units::Dimension;

/// The way from one unit to the kept one: `kept = (typed + offset) · up / down`. Numerator and
/// denominator are both whole, so that `270 mA` gives exactly what `0.27` gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    /// Added before scaling; zero but for temperatures.
    offset: f64,
    /// Numerator.
    up: f64,
    /// Denominator.
    down: f64,
}

/// The kept unit itself.
pub(super) const KEPT: Unit = scale(1.0, 1.0);

impl Unit {
    /// A value typed in this unit, in the kept one.
    pub(super) fn to_kept(self, typed: f64) -> f64 {
        (typed + self.offset) * self.up / self.down
    }

    /// A value in the kept unit, in this one.
    pub(super) fn typed_for(self, kept: f64) -> f64 {
        kept * self.down / self.up - self.offset
    }
}

/// What a unit's letters are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Found {
    /// A unit of the kind asked for.
    Unit(Unit),
    /// One of two units; in words, which.
    Doubtful(&'static str),
    /// No unit of the kind asked for.
    None,
}

/// One unit: its kind, the ways it is written, its scale.
type Row = (Dimension, &'static [&'static str], Unit);

/// A unit that is a multiple of the kept one.
const fn scale(up: f64, down: f64) -> Unit {
    Unit { offset: 0.0, up, down }
}

/// Every unit taken. Sources of the scales that are not powers of ten: 1 in = 25.4 mm and
/// 1 lb = 453.59237 g exactly (international yard and pound, 1959), 1 oz = 1/16 lb =
/// 28.349523125 g; t/°C = (t/°F − 32) · 5/9 by definition; t/°C = T/K − 273.15 (SI brochure).
const UNITS: [Row; 49] = [
    (Dimension::Current, &["A", "amp", "amps", "ampere", "amperes"], KEPT),
    (Dimension::Current, &["mA", "milliamp", "milliamps"], scale(1.0, 1e3)),
    (Dimension::Current, &["uA", "microamp", "microamps"], scale(1.0, 1e6)),
    (Dimension::Voltage, &["V", "volt", "volts"], KEPT),
    (Dimension::Voltage, &["mV", "millivolt", "millivolts"], scale(1.0, 1e3)),
    (Dimension::Voltage, &["uV"], scale(1.0, 1e6)),
    (Dimension::Voltage, &["kV"], scale(1e3, 1.0)),
    (Dimension::Resistance, &["Ω", "ohm", "ohms", "R"], KEPT),
    (Dimension::Resistance, &["mΩ", "milliohm", "milliohms"], scale(1.0, 1e3)),
    (
        Dimension::Resistance,
        &["kΩ", "k", "K", "k ohm", "k ohms", "kohm", "kohms", "kilohm", "kilohms"],
        scale(1e3, 1.0),
    ),
    (
        Dimension::Resistance,
        &["MΩ", "M", "M ohm", "M ohms", "Mohm", "Mohms", "meg", "megohm", "megohms"],
        scale(1e6, 1.0),
    ),
    (Dimension::Resistance, &["GΩ"], scale(1e9, 1.0)),
    (Dimension::Length, &["mm", "millimetre", "millimetres"], KEPT),
    (Dimension::Length, &["um", "micron", "microns"], scale(1.0, 1e3)),
    (Dimension::Length, &["cm", "centimetre", "centimetres"], scale(10.0, 1.0)),
    (Dimension::Length, &["m", "metre", "metres", "meter", "meters"], scale(1e3, 1.0)),
    (Dimension::Length, &["in", "inch", "inches", "\""], scale(254.0, 10.0)),
    (Dimension::Length, &["ft", "foot", "feet", "'"], scale(3048.0, 10.0)),
    (Dimension::Length, &["thou", "mil", "mils"], scale(254.0, 1e4)),
    (Dimension::Mass, &["g", "gram", "grams"], KEPT),
    (Dimension::Mass, &["mg"], scale(1.0, 1e3)),
    (Dimension::Mass, &["kg", "kilo", "kilos"], scale(1e3, 1.0)),
    (Dimension::Mass, &["oz", "ounce", "ounces"], scale(28_349_523_125.0, 1e9)),
    (Dimension::Mass, &["lb", "lbs", "pound", "pounds"], scale(45_359_237.0, 1e5)),
    (Dimension::Time, &["s", "sec", "secs", "second", "seconds"], KEPT),
    (Dimension::Time, &["ms", "msec", "millisecond", "milliseconds"], scale(1.0, 1e3)),
    (Dimension::Time, &["us", "usec", "microsecond", "microseconds"], scale(1.0, 1e6)),
    (Dimension::Time, &["min", "mins", "minute", "minutes"], scale(60.0, 1.0)),
    (Dimension::Time, &["h", "hr", "hrs", "hour", "hours"], scale(3600.0, 1.0)),
    (Dimension::Temperature, &["°C", "C", "deg C", "degC", "celsius"], KEPT),
    (
        Dimension::Temperature,
        &["°F", "F", "deg F", "degF", "fahrenheit"],
        Unit { offset: -32.0, up: 5.0, down: 9.0 },
    ),
    (
        Dimension::Temperature,
        &["K", "kelvin", "kelvins"],
        Unit { offset: -273.15, up: 1.0, down: 1.0 },
    ),
    (Dimension::Power, &["W", "watt", "watts"], KEPT),
    (Dimension::Power, &["mW", "milliwatt", "milliwatts"], scale(1.0, 1e3)),
    (Dimension::Power, &["uW"], scale(1.0, 1e6)),
    (Dimension::Power, &["kW"], scale(1e3, 1.0)),
    (Dimension::Capacitance, &["F", "farad", "farads"], KEPT),
    (Dimension::Capacitance, &["mF", "millifarad", "millifarads"], scale(1.0, 1e3)),
    (Dimension::Capacitance, &["uF", "u", "microfarad", "microfarads"], scale(1.0, 1e6)),
    (Dimension::Capacitance, &["nF", "n", "nanofarad", "nanofarads"], scale(1.0, 1e9)),
    (Dimension::Capacitance, &["pF", "p", "picofarad", "picofarads"], scale(1.0, 1e12)),
    (Dimension::Frequency, &["Hz", "hertz"], KEPT),
    (Dimension::Frequency, &["kHz", "kilohertz"], scale(1e3, 1.0)),
    (Dimension::Frequency, &["MHz", "megahertz"], scale(1e6, 1.0)),
    (Dimension::Speed, &["mm/s", "mm per second"], KEPT),
    (Dimension::Speed, &["cm/s"], scale(10.0, 1.0)),
    (Dimension::Speed, &["m/s", "metres per second"], scale(1e3, 1.0)),
    (Dimension::Speed, &["in/s"], scale(254.0, 10.0)),
    (Dimension::Number, &["%", "percent", "per cent"], scale(1.0, 1e2)),
];

/// Names whose first letter keeps its case, since the other case is another unit.
const CASED: [&str; 14] = [
    "mA", "mV", "mΩ", "MΩ", "M", "M ohm", "M ohms", "Mohm", "Mohms", "mg", "ms", "mW", "mF", "MHz",
];

/// Letters with two meanings in a field of one kind, in lower case. `mohm` is among them since a
/// megohm typed in small letters would turn an open contact into a good one; `mf` and `mfd` since
/// old capacitors are marked so for micro (common practice, no source).
const DOUBTFUL: [(Dimension, &str, &str); 10] = [
    (Dimension::Resistance, "m", "milli (mΩ) or mega (MΩ)"),
    (Dimension::Resistance, "mohm", "milli (mΩ) or mega (MΩ)"),
    (Dimension::Resistance, "mohms", "milli (mΩ) or mega (MΩ)"),
    (Dimension::Time, "m", "minutes (min) or milliseconds (ms)"),
    (Dimension::Temperature, "°", "degrees Celsius or Fahrenheit"),
    (Dimension::Temperature, "deg", "degrees Celsius or Fahrenheit"),
    (Dimension::Temperature, "degrees", "degrees Celsius or Fahrenheit"),
    (Dimension::Capacitance, "m", "milli (mF) or micro (µF)"),
    (Dimension::Capacitance, "mf", "milli (mF) or micro (µF)"),
    (Dimension::Capacitance, "mfd", "milli (mF) or micro (µF)"),
];

/// Finds a unit of a kind: as spelled, else in any case. An empty text is the kept unit.
pub(super) fn find(typed: &str, dimension: Dimension) -> Found {
    if typed.is_empty() {
        return Found::Unit(KEPT);
    }
    let name = tidy(typed);
    if let Some(unit) = spelled(&name, dimension) {
        return Found::Unit(unit);
    }
    let lower = name.to_lowercase();
    if let Some((.., why)) = DOUBTFUL.iter().find(|row| row.0 == dimension && row.1 == lower) {
        return Found::Doubtful(why);
    }
    // `g` is a gram before it is anything in another case.
    if Dimension::ALL.into_iter().any(|kind| spelled(&name, kind).is_some()) {
        return Found::None;
    }
    let alike = || names(dimension).filter(|(known, _)| known.to_lowercase() == lower);
    let fits = |known: &str| !CASED.contains(&known) || same_start(known, &name);
    match (alike().find(|(known, _)| fits(known)), alike().next()) {
        (Some((_, unit)), _) => Found::Unit(unit),
        (None, Some(_)) => Found::Doubtful("milli (m) or mega (M)"),
        (None, None) => Found::None,
    }
}

/// Every name of every unit of a kind.
fn names(dimension: Dimension) -> impl Iterator<Item = (&'static str, Unit)> {
    let rows = UNITS.iter().filter(move |row| row.0 == dimension);
    rows.flat_map(|row| row.1.iter().map(move |known| (*known, row.2)))
}

/// The unit of a kind with exactly this name.
fn spelled(name: &str, dimension: Dimension) -> Option<Unit> {
    names(dimension).find(|(known, _)| *known == name).map(|(_, unit)| unit)
}

/// The kinds a unit belongs to; where there are none, those it may belong to.
pub(super) fn kinds(typed: &str) -> Vec<Dimension> {
    let found = Dimension::ALL.map(|kind| (kind, find(typed, kind)));
    let kinds = |fits: fn(Found) -> bool| -> Vec<Dimension> {
        found.iter().filter(|(_, found)| fits(*found)).map(|(kind, _)| *kind).collect()
    };
    let sure = kinds(|found| matches!(found, Found::Unit(_)));
    if sure.is_empty() { kinds(|found| matches!(found, Found::Doubtful(_))) } else { sure }
}

/// Whether two texts start with the same letter in the same case.
fn same_start(a: &str, b: &str) -> bool {
    a.chars().next() == b.chars().next()
}

/// The spelling of a unit with look-alike signs folded together, one blank where several stand,
/// and the full stop of an abbreviation (`in.`) dropped.
fn tidy(typed: &str) -> String {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let mut out = String::new();
    for c in words.join(" ").chars() {
        match c {
            'µ' | 'μ' => out.push('u'),
            '\u{2126}' | 'ω' => out.push('Ω'),
            '\u{212a}' => out.push('K'),
            '\u{2103}' => out.push_str("°C"),
            '\u{2109}' => out.push_str("°F"),
            'º' | '˚' => out.push('°'),
            '″' | '“' | '”' | '„' => out.push('"'),
            '′' | '‘' | '’' => out.push('\''),
            other => out.push(other),
        }
    }
    let out = out.replace("''", "\"").replace("° ", "°");
    match out.strip_suffix('.') {
        Some(word) if word.ends_with(char::is_alphabetic) => word.to_owned(),
        _ => out,
    }
}
