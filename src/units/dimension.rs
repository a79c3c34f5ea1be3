//! The kinds of quantity the notebook knows, each with the unit it is kept in.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A kind of quantity. `unit()` is the unit values are kept and computed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// Electric current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// Resistance, Ω.
    Resistance,
    /// Length, mm.
    Length,
    /// Mass, g.
    Mass,
    /// Time, s.
    Time,
    /// Temperature, °C.
    Temperature,
    /// Power, W.
    Power,
    /// Capacitance, F.
    Capacitance,
    /// Frequency, Hz.
    Frequency,
    /// Speed, mm/s.
    Speed,
    /// A plain number or ratio.
    Number,
}

impl Dimension {
    /// Every kind, in the order messages name them.
    pub const ALL: [Dimension; 12] = [
        Dimension::Current,
        Dimension::Voltage,
        Dimension::Resistance,
        Dimension::Length,
        Dimension::Mass,
        Dimension::Time,
        Dimension::Temperature,
        Dimension::Power,
        Dimension::Capacitance,
        Dimension::Frequency,
        Dimension::Speed,
        Dimension::Number,
    ];

    /// The unit values of this kind are kept in, as printed.
    pub fn unit(self) -> &'static str {
        match self {
            Dimension::Current => "A",
            Dimension::Voltage => "V",
            Dimension::Resistance => "Ω",
            Dimension::Length => "mm",
            Dimension::Mass => "g",
            Dimension::Time => "s",
            Dimension::Temperature => "°C",
            Dimension::Power => "W",
            Dimension::Capacitance => "F",
            Dimension::Frequency => "Hz",
            Dimension::Speed => "mm/s",
            Dimension::Number => "",
        }
    }

    /// The kind in words, as used in messages.
    pub fn word(self) -> &'static str {
        match self {
            Dimension::Current => "current",
            Dimension::Voltage => "voltage",
            Dimension::Resistance => "resistance",
            Dimension::Length => "length",
            Dimension::Mass => "mass",
            Dimension::Time => "time",
            Dimension::Temperature => "temperature",
            Dimension::Power => "power",
            Dimension::Capacitance => "capacitance",
            Dimension::Frequency => "frequency",
            Dimension::Speed => "speed",
            Dimension::Number => "number",
        }
    }

    /// The kind that a field name ending carries: `held_a` is a current, `track_v` a voltage,
    /// `top_mm_s` a speed. A name that is nothing but an ending counts too. `None` where the ending
    /// names no unit.
    pub fn of_field(name: &str) -> Option<Dimension> {
        if name == "mm_s" || name.ends_with("_mm_s") {
            return Some(Dimension::Speed);
        }
        let ending = name.rsplit('_').next()?;
        Some(match ending {
            "a" => Dimension::Current,
            "v" => Dimension::Voltage,
            "ohm" => Dimension::Resistance,
            "mm" => Dimension::Length,
            "g" => Dimension::Mass,
            "s" => Dimension::Time,
            "c" => Dimension::Temperature,
            "w" => Dimension::Power,
            "f" => Dimension::Capacitance,
            "hz" => Dimension::Frequency,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_name_says_its_kind() {
        let table = [
            ("held_a", Some(Dimension::Current)),
            ("track_v", Some(Dimension::Voltage)),
            ("winding_ohm", Some(Dimension::Resistance)),
            ("length_mm", Some(Dimension::Length)),
            ("weight_g", Some(Dimension::Mass)),
            ("ride_s", Some(Dimension::Time)),
            ("end_c", Some(Dimension::Temperature)),
            ("heat_w", Some(Dimension::Power)),
            ("store_f", Some(Dimension::Capacitance)),
            ("pulse_hz", Some(Dimension::Frequency)),
            ("top_mm_s", Some(Dimension::Speed)),
            ("mm_s", Some(Dimension::Speed)),
            ("mm", Some(Dimension::Length)),
            ("poles", None),
            ("ratio", None),
            ("comm_s", Some(Dimension::Time)),
            ("held_a_", None),
            ("", None),
        ];
        for (name, kind) in table {
            assert_eq!(Dimension::of_field(name), kind, "{name}");
        }
    }

    /// SI brochure (2019), tables 2 and 4: symbols as printed there, `mm/s` from them.
    #[test]
    fn units_print_as_their_symbols() {
        let all = ["A", "V", "Ω", "mm", "g", "s", "°C", "W", "F", "Hz", "mm/s", ""];
        assert_eq!(Dimension::ALL.map(Dimension::unit), all);
    }

    #[test]
    fn kinds_travel_as_snake_case() {
        let text = serde_json::to_string(&Dimension::Capacitance).unwrap();
        assert_eq!(text, "\"capacitance\"");
        assert_eq!(Dimension::Capacitance.word(), "capacitance");
    }
}
