//! An answer made ready to show.

use crate::aspect::Finding;
use crate::calc::{Answer, Value};
use crate::draw::arm;
use crate::draw::plot::{Picture, pictures};
use crate::units::{Rounding, exact, fixed};

/// An answer as shown.
#[derive(Debug)]
pub struct AnswerView {
    /// Arm and word.
    pub asp: String,
    /// The sentence that decides.
    pub sentence: String,
    /// Its pictures.
    pub pictures: Vec<Picture>,
    /// What would turn a verdict: which, what to do, and where it leads.
    pub ways: Vec<(String, String, String)>,
    /// Its values.
    pub values: Vec<ValueView>,
    /// Its verdicts with their arms.
    pub findings: Vec<(String, Finding)>,
}

/// One value of an answer.
#[derive(Debug)]
pub struct ValueView {
    /// Label.
    pub label: String,
    /// Value with unit.
    pub value: String,
    /// Bounds; empty where it has none.
    pub bounds: String,
    /// Formula.
    pub formula: String,
    /// Source.
    pub source: String,
}

/// Makes an answer ready to show.
pub fn view(a: Answer) -> AnswerView {
    AnswerView {
        asp: arm::asp(a.aspect),
        sentence: a.sentence,
        pictures: pictures(&a.plots),
        ways: a
            .ways
            .into_iter()
            .map(|w| (w.turns.replace('_', " "), w.sentence, arm::asp(w.aspect_after)))
            .collect(),
        values: a.values.into_iter().map(value).collect(),
        findings: a.findings.into_iter().map(|f| (arm::asp(f.aspect), f)).collect(),
    }
}

/// Least significant figures shown of a value.
const FIGURES: i32 = 3;

/// Decimals a value is shown with: the usual ones of its unit, and enough for three figures.
fn decimals(value: f64, unit: &str) -> usize {
    let usual = match unit {
        "A" | "W" => 2,
        "V" | "Ω" | "mm" | "s" | "°C" | "K" => 1,
        _ => 0,
    };
    // the power of ten, taken from the text: `4.7e-6`
    let power = format!("{value:e}").rsplit('e').next().and_then(|p| p.parse::<i32>().ok());
    let enough = FIGURES - 1 - power.filter(|_| value != 0.0).unwrap_or(FIGURES - 1);
    usize::try_from(enough).unwrap_or(0).max(usual)
}

fn value(v: Value) -> ValueView {
    let whole = v.value.fract().abs() <= 0.0 && v.lo >= v.hi;
    let places = decimals(v.value, &v.unit);
    let rounding = if v.unit == "A" { Rounding::Up } else { Rounding::Nearest };
    let shown = if whole { exact(v.value) } else { fixed(v.value, places, rounding) };
    ValueView {
        value: format!("{shown}\u{a0}{}", v.unit).trim_end_matches(['\u{a0}', ' ']).to_owned(),
        bounds: if v.lo < v.hi {
            let (low, high) = (Rounding::Down, Rounding::Up);
            format!("{} to {}", fixed(v.lo, places, low), fixed(v.hi, places, high))
        } else {
            String::new()
        },
        label: v.label,
        formula: v.formula,
        source: v.source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::Bounded;
    use crate::units::Interval;

    fn shown(value: Bounded, unit: &str) -> (String, String) {
        let view = value_of(value, unit);
        (view.value.replace('\u{a0}', " "), view.bounds)
    }

    fn value_of(value: Bounded, unit: &str) -> ValueView {
        super::value(Value::new("x", "X", value, unit))
    }

    #[test]
    fn values_carry_the_usual_decimals_and_at_least_three_figures() {
        let sure = |v: f64, unit: &str| shown(Bounded::exact(v), unit).0;
        assert_eq!(sure(58.04, "°C"), "58.0 °C");
        assert_eq!(sure(0.008_8, "A"), "0.00880 A");
        assert_eq!(sure(0.973_333, "A"), "0.974 A");
        assert_eq!(sure(380.433, "s"), "380.4 s");
        assert_eq!(sure(1000.0, "Ω"), "1000 Ω");
        assert_eq!(sure(0.843_75, ""), "0.844");
        assert_eq!(sure(0.0, "A"), "0 A");
    }

    #[test]
    fn bounds_are_rounded_outward_to_the_decimals_of_their_value() {
        let wide = Bounded::new(46.6626, Interval::new(45.6094, 47.7158));
        assert_eq!(shown(wide, "°C"), ("46.7 °C".to_owned(), "45.6 to 47.8".to_owned()));
    }
}
