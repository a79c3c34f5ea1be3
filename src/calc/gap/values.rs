//! The values of a route as every face shows them, most wanted first.

use super::{Output, Travel};
use crate::calc::{Bounded, Value};

const SOURCE: &str = "geometry";
const BOTH: &str = "union of the dead travel of left and right rail";
const ONE: &str = "intersection over the working wheels of (dead stretch − position)";

/// All values of an output.
pub(super) fn of(o: &Output) -> Vec<Value> {
    let mut values = Vec::new();
    if let Some(t) = o.supply {
        values.push(mm("longest_mm", "Longest travel without supply", t.longest_mm, BOTH));
        values.extend(o.longest_s.map(|s| time(s, &t)));
        values.push(mm("total_mm", "Travel without supply in all", t.total_mm, BOTH));
        values.push(pieces("breaks", "Breaks of the supply", &t, BOTH));
    }
    for (side, travel) in [("left", o.left), ("right", o.right)] {
        let Some(t) = travel else { continue };
        let name = |what: &str| format!("{side}_{what}");
        let longest = format!("Longest without the {side} rail");
        values.push(mm(&name("longest_mm"), &longest, t.longest_mm, ONE));
        values.push(mm(
            &name("total_mm"),
            &format!("In all without the {side} rail"),
            t.total_mm,
            ONE,
        ));
        values.push(pieces(&name("breaks"), &format!("Breaks of the {side} rail"), &t, ONE));
    }
    let plain = [
        ("turned_longest_mm", "Longest without supply, turned end for end", o.turned_longest_mm),
        ("least_live_mm", "Shortest travel with supply between breaks", o.least_live_mm),
    ];
    for (name, label, value) in plain {
        values.extend(value.map(|v| mm(name, label, Bounded::exact(v), BOTH)));
    }
    values
}

/// A length.
fn mm(name: &str, label: &str, value: Bounded, formula: &str) -> Value {
    Value::new(name, label, value, "mm").by(formula, SOURCE)
}

/// The time of the longest break, its bounds in the proportion of the length.
fn time(longest_s: f64, t: &Travel) -> Value {
    let length = t.longest_mm;
    let share = if length.value > 0.0 { (length.lo / length.value).min(1.0) } else { 1.0 };
    let value = Bounded { value: longest_s, lo: longest_s * share, hi: longest_s };
    Value::new("longest_s", "Longest time without supply", value, "s").by("longest / speed", SOURCE)
}

/// A count of pieces, unmeasured wheels counted as missing.
fn pieces(name: &str, label: &str, t: &Travel, formula: &str) -> Value {
    let count = f64::from(u32::try_from(t.pieces).unwrap_or(u32::MAX));
    Value::new(name, label, Bounded::exact(count), "").by(formula, SOURCE)
}
