//! Voltage: rating against what the track can bring, and the share of each cell.

use super::store::{Known, tolerance};
use super::text::{volts_down, volts_up, watts};
use crate::aspect::{Aspect, Finding};
use crate::units::{exact, ohms};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Largest amplitude a digital track may have, V: NEM 670 4.2a.
pub const LARGEST_AMPLITUDE_V: f64 = 22.0;
/// Share of its rating a double-layer cell is usually charged to, from memory.
const USUAL_SHARE: f64 = 0.8;
/// Current of a balancing resistor over leakage, common practice, no source.
const BALANCE_TIMES: f64 = 10.0;

/// Cells of a series string.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Balance {
    /// Voltage of a cell when all share equally, V.
    pub equal_v: f64,
    /// Voltage the smallest cell may reach when charged without balancing, V.
    pub worst_v: f64,
    /// Balancing resistor that passes ten times the leakage, Ω; `None`: leakage not known.
    pub suggested_ohm: Option<f64>,
    /// Power in that resistor, W.
    pub suggested_w: Option<f64>,
}

/// What lies between track and store when nothing runs, V: only a reading of both tells. A full
/// store draws next to nothing and diodes then drop little, so no usual drop is taken off.
fn drop_v(known: &Known<'_>) -> f64 {
    let supply = &known.input.supply;
    match (supply.charge_limit_v, supply.track_v, supply.full_v) {
        (None, Some(track), Some(full)) => (track - full).max(0.0),
        _ => 0.0,
    }
}

/// Highest voltage known to come, V: track as read, as expected, as the scale's standard allows,
/// less the drop that was read.
fn known_v(known: &Known<'_>) -> Option<f64> {
    let supply = &known.input.supply;
    let read = supply.track_v.map(|v| supply.track_accuracy.map_or(v, |a| a.bounds(v).hi));
    let scale = supply.scale.map(super::input::Scale::highest_v);
    let track = [read, supply.highest_track_v, scale].into_iter().flatten().reduce(f64::max);
    let limit = supply.charge_limit_v.unwrap_or(f64::INFINITY);
    let store = track.map(|v| (v - drop_v(known)).min(limit));
    [store, supply.full_v].into_iter().flatten().reduce(f64::max)
}

/// Rating of the store against the highest voltage. Danger below what is known to come; clear only
/// from the largest amplitude on, or with a charge limit that was read on the charged store.
pub(super) fn voltage(known: &Known<'_>) -> Finding {
    let supply = &known.input.supply;
    let expected = known_v(known);
    let words = expected.map_or("not known".to_owned(), volts_up);
    let finding = match known.stack.rating_v {
        None => {
            Finding::unlit("The rating of the cells is not given.", "the volts printed on the cell")
        }
        Some(rating) => {
            rated(known, rating, expected).input("rating of a string", volts_down(rating))
        }
    };
    finding
        .input("highest voltage known", words)
        .input(
            "read on the charged store",
            supply.full_v.map_or("not measured".to_owned(), volts_up),
        )
        .input("largest amplitude", volts_up(LARGEST_AMPLITUDE_V))
        .formula("rating ≥ highest track voltage, less only a drop that was read")
        .source("NEM 670 4.2a: 22 V; NEM 630 + 2 V per scale")
}

/// A known rating against the highest voltage.
fn rated(known: &Known<'_>, rating: f64, expected: Option<f64>) -> Finding {
    let supply = &known.input.supply;
    let limit = supply.charge_limit_v.unwrap_or(f64::INFINITY);
    let amplitude = LARGEST_AMPLITUDE_V - drop_v(known);
    let worst = amplitude.max(expected.unwrap_or(0.0)).min(limit);
    let (shown, top) = (volts_down(rating), volts_up(worst));
    match expected {
        Some(v) if v > rating => Finding::new(
            Aspect::Danger,
            format!("The store is rated {shown} and can get {}.", volts_up(v)),
        )
        .would_change(format!(
            "a rating of {top}, a circuit that stops the charge below {shown}, or lower track volts"
        )),
        _ if limit < amplitude && supply.full_v.is_none() && rating < LARGEST_AMPLITUDE_V => {
            Finding::unlit(
                format!(
                    "The charge should stop at {}; nobody has read it on the store.",
                    volts_up(limit)
                ),
                "a reading on the charged store",
            )
        }
        _ if rating >= worst => Finding::new(
            Aspect::Clear,
            format!("The store is rated {shown}; the most it can get is {top}."),
        )
        .would_change("an old pack that gives more than 22 V, or a decoder without the same limit"),
        Some(v) => Finding::new(
            Aspect::Caution,
            format!(
                "The store is rated {shown}: enough for {}, not for {top} on another track.",
                volts_up(v)
            ),
        )
        .would_change(format!("a rating of {top}, or a circuit that stops the charge")),
        None => Finding::unlit(
            format!("The store is rated {shown}; the highest track voltage is not known."),
            "the track voltage, or the scale",
        ),
    }
}

/// A double-layer cell close to its rating ages fast.
pub(super) fn derating(known: &Known<'_>) -> Option<Finding> {
    let store = &known.input.store;
    let (rating, full) = (store.rating_v?, known.full_v?);
    let share = full.hi / f64::from(store.series);
    let double_layer = store.kind == super::input::Kind::DoubleLayer;
    (double_layer && share > USUAL_SHARE * rating).then(|| {
        Finding::new(
            Aspect::Caution,
            format!(
                "Each cell is charged to {} of {}: above 80\u{a0}% it ages faster.",
                volts_up(share),
                volts_down(rating)
            ),
        )
        .input("cell", volts_up(share))
        .input("rating", volts_down(rating))
        .formula("V / n ≤ 0.8 rating")
        .source("usual derating, from memory")
        .would_change("one more cell in series")
    })
}

/// Shares of the cells; `None` for single cells or an unknown voltage.
///
/// Formula: a series string charges all cells with the same charge, so voltage goes with 1/C. The
/// smallest cell at the low tolerance and all others at the high one give it
/// `V (1/(1−l)) / (1/(1−l) + (n−1)/(1+h))`. Balancing: R = V_rated / (10 I_leak). Source: charge on
/// series capacitors, every handbook; ten times is common practice, no source. Worked example: 2.7
/// V, 10 µA: 27 kΩ, 0.27 mW.
pub(super) fn balance(known: &Known<'_>) -> Option<Balance> {
    let store = &known.input.store;
    let full = known.full_v?.hi;
    if store.series < 2 {
        return None;
    }
    let n = f64::from(store.series);
    let (low, high) = tolerance(store);
    let small = 1.0 / (1.0 - low);
    let cell = store.rating_v.unwrap_or(full / n);
    let suggested = store.leakage_a.filter(|a| *a > 0.0).map(|a| cell / (BALANCE_TIMES * a));
    Some(Balance {
        equal_v: full / n,
        worst_v: full * small / (small + (n - 1.0) / (1.0 + high)),
        suggested_ohm: suggested,
        suggested_w: suggested.map(|ohm| cell * cell / ohm),
    })
}

/// The highest cell of a string: read, or what the tolerance may bring.
pub(super) fn balance_finding(known: &Known<'_>, b: &Balance) -> Finding {
    let store = &known.input.store;
    let finding = match (store.rating_v, known.input.measured.highest_cell_v) {
        (Some(rating), Some(read)) if read > rating => Finding::new(
            Aspect::Danger,
            format!("One cell reads {} and is rated {}.", volts_up(read), volts_down(rating)),
        )
        .would_change("cells that match, or balancing resistors"),
        (Some(rating), Some(read)) => Finding::new(
            Aspect::Clear,
            format!("The highest cell reads {}, rated {}.", volts_up(read), volts_down(rating)),
        )
        .would_change("ageing: read the cells again after a year"),
        (Some(rating), None) if store.balance_ohm.is_none() && b.worst_v > rating => Finding::new(
            Aspect::Danger,
            format!(
                "Without balancing the smallest cell may reach {}, rated {}.",
                volts_up(b.worst_v),
                volts_down(rating)
            ),
        )
        .would_change("balancing resistors and a reading of each cell"),
        _ => Finding::unlit(balance_words(known, b), "a reading across each cell when charged"),
    };
    let finding = match (b.suggested_ohm, b.suggested_w) {
        (Some(ohm), Some(watt)) => {
            finding.input("balancing resistor", format!("{} at most, {}", ohms(ohm), watts(watt)))
        }
        _ => finding.input("leakage", "not known"),
    };
    finding
        .input("equal share", volts_up(b.equal_v))
        .input("smallest cell, not balanced", volts_up(b.worst_v))
        .formula("V (1/(1−l)) / (1/(1−l) + (n−1)/(1+h)); R_bal = V / (10 I_leak)")
        .source("charge on series capacitors; ten times the leakage is common practice, no source")
}

/// Why the shares are unlit.
fn balance_words(known: &Known<'_>, b: &Balance) -> String {
    let store = &known.input.store;
    match (store.balance_ohm, store.leakage_a) {
        (Some(ohm), Some(leak)) if b.equal_v / ohm < BALANCE_TIMES * leak => format!(
            "The balancing resistors pass {} times the leakage, ten are usual; no cell is read.",
            exact(b.equal_v / ohm / leak)
        ),
        (Some(_), _) => "Balanced by resistors; the cells are not read yet.".to_owned(),
        (None, _) => "Not balanced, and the cells are not read yet.".to_owned(),
    }
}
