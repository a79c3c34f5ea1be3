//! Instruments and their ranges.

use crate::choices;
use crate::db::{InstrumentId, RangeId};
use crate::units::{Accuracy, Dimension};
use serde::Serialize;

choices! {
    /// Kind of instrument.
    pub enum Kind = "kind of instrument" {
        Multimeter = "multimeter", "Multimeter";
        BenchSupply = "bench_supply", "Bench supply with meters";
        Thermometer = "thermometer", "Thermometer";
        Caliper = "caliper", "Caliper";
        Balance = "balance", "Balance";
        Gauge = "gauge", "Gauge";
        Other = "other", "Other";
    }
}

choices! {
    /// What a range measures.
    pub enum Measures = "quantity" {
        Current = "current", "current, A";
        Voltage = "voltage", "voltage, V";
        Resistance = "resistance", "resistance, Ω";
        Temperature = "temperature", "temperature, °C";
        Length = "length", "length, mm";
        Mass = "mass", "mass, g";
    }
}

impl Measures {
    /// The dimension of the range.
    pub fn dimension(self) -> Dimension {
        match self {
            Measures::Current => Dimension::Current,
            Measures::Voltage => Dimension::Voltage,
            Measures::Resistance => Dimension::Resistance,
            Measures::Temperature => Dimension::Temperature,
            Measures::Length => Dimension::Length,
            Measures::Mass => Dimension::Mass,
        }
    }
}

/// One range of an instrument.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Range {
    /// Id.
    pub id: RangeId,
    /// What it measures.
    pub measures: Measures,
    /// End of the range, kept unit.
    pub up_to: f64,
    /// Accuracy.
    pub accuracy: Accuracy,
    /// Where the red lead goes.
    pub jack: String,
}

/// What the form says about an instrument.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Draft {
    /// The household's name for it.
    pub name: String,
    /// Kind.
    pub kind: Kind,
    /// Fuse of its current jack.
    pub fuse: String,
    /// Remark.
    pub remark: String,
}

/// An instrument as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Instrument {
    /// Id.
    pub id: InstrumentId,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Ranges, smallest first within a quantity.
    pub ranges: Vec<Range>,
    /// Version.
    pub version: i64,
}

impl Instrument {
    /// The accuracy of a value: of the smallest range that reaches it. `None` when no range does.
    pub fn accuracy(&self, dimension: Dimension, value: f64) -> Option<Accuracy> {
        self.ranges
            .iter()
            .filter(|r| r.measures.dimension() == dimension && value.abs() <= r.up_to)
            .min_by(|a, b| a.up_to.total_cmp(&b.up_to))
            .map(|r| r.accuracy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(up_to: f64, percent: f64) -> Range {
        let accuracy = Accuracy { percent, digits: 3.0, resolution: up_to / 2000.0 };
        let id = RangeId::new();
        Range { id, measures: Measures::Current, up_to, accuracy, jack: String::new() }
    }

    #[test]
    fn the_smallest_range_that_reaches_the_value_says_how_far_it_may_be_off() {
        let draft = Draft {
            name: "multimeter 1".into(),
            kind: Kind::Multimeter,
            fuse: String::new(),
            remark: String::new(),
        };
        let ranges = vec![range(10.0, 2.0), range(0.2, 1.0)];
        let meter = Instrument { id: InstrumentId::new(), draft, ranges, version: 1 };
        let percent = |v| meter.accuracy(Dimension::Current, v).map(|a| a.percent);
        assert_eq!(percent(0.15), Some(1.0));
        assert_eq!(percent(0.8), Some(2.0));
        assert_eq!(percent(11.0), None);
        assert_eq!(meter.accuracy(Dimension::Voltage, 1.0), None);
    }
}
