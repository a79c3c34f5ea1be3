//! Charging through a resistor, discharging through one before work, and what the resistor bears.

use super::around::Resistor;
use super::store::{Known, energy_j};
use super::text::{joules, time, watts};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::units::{Interval, Rounding, ohms};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Longest pulse over its rating that a resistor is trusted with, s. From memory: short-time
/// overload tests of fixed resistors last 5 s.
const OVERLOAD_S: f64 = 5.0;
/// Highest pulse over its rating, times the rating: 2.5 times the rated voltage, from memory.
const OVERLOAD: f64 = 6.25;

/// One sample of the charge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChargeSample {
    /// Time since switching on, s.
    pub time_s: f64,
    /// Voltage of the store, V.
    pub store_v: f64,
    /// Charging current, A.
    pub current_a: f64,
}

/// A charge from empty, or a discharge to nothing: exponential either way.
///
/// Formula: peak V/R, tau = R C, share after t is 1 − exp(−t/tau); the resistor takes C V²/2 in
/// all, as much as is stored, shared with the ESR in proportion. Source: RC circuit, every
/// handbook. Worked example: 0.2 F to 13.5 V through 100 Ω: 135 mA, 20 s, 99 % after 92.1 s, 18.2
/// J, 1.82 W at first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Charging {
    /// Current at first, A.
    pub peak_a: Bounded,
    /// Time constant, s.
    pub tau_s: Bounded,
    /// Time to 95 %, s.
    pub to_95_s: Bounded,
    /// Time to 99 %, s.
    pub to_99_s: Bounded,
    /// Power in the resistor at first, W.
    pub peak_w: Bounded,
    /// Energy in the resistor in all, J.
    pub resistor_j: Bounded,
    /// Voltage and current for the plot, to five time constants.
    pub samples: Vec<ChargeSample>,
}

/// Charge or discharge of the store through a resistor; `None` where something is not known. An
/// unknown ESR counts as none: the surge is then at its highest.
pub(super) fn through(known: &Known<'_>, resistor: &Resistor) -> Option<Charging> {
    let (ohm, full, store) = (resistor.ohm?, known.full_v?, known.stack.store_f?);
    let all = ohm + known.stack.esr_ohm.unwrap_or(0.0);
    let over = |by: f64, b: Bounded| Bounded { value: b.value / by, lo: b.lo / by, hi: b.hi / by };
    let peak = over(all, full);
    let tau = over(1.0 / all, store);
    let share = ohm / all;
    let watt = |a: f64| a * a * ohm;
    let energy = energy_j(store, full);
    let sample = |k: u32| {
        let time_s = 5.0 * tau.value * f64::from(k) / 80.0;
        let left = (-time_s / tau.value).exp();
        ChargeSample { time_s, store_v: full.value * (1.0 - left), current_a: peak.value * left }
    };
    Some(Charging {
        peak_a: peak,
        tau_s: tau,
        to_95_s: over(1.0 / 20.0_f64.ln(), tau),
        to_99_s: over(1.0 / 100.0_f64.ln(), tau),
        peak_w: Bounded::new(watt(peak.value), Interval::new(watt(peak.lo), watt(peak.hi))),
        resistor_j: over(1.0 / share, energy),
        samples: (0..=80).map(sample).collect(),
    })
}

/// Does the resistor bear the pulse? Below its rating clear; a short pulse above it caution.
///
/// Power falls as exp(−2 t / tau), so it is above the rating for `tau/2 ln(P0 / rating)`.
pub(super) fn pulse(name: &str, charging: &Charging, resistor: &Resistor) -> Finding {
    let peak = charging.peak_w.hi;
    let ohm = resistor.ohm.map_or_else(String::new, ohms);
    let finding = match resistor.rating_w {
        None => Finding::unlit(
            format!("The {name} takes {} at first; its rating is not given.", watts(peak)),
            "the rating of the resistor",
        ),
        Some(rating) if peak <= rating => Finding::new(
            Aspect::Clear,
            format!("The {name} takes {} at first and is rated {}.", watts(peak), watts(rating)),
        )
        .would_change("a higher voltage or a smaller resistance"),
        Some(rating) => {
            let over_s = charging.tau_s.hi / 2.0 * (peak / rating).ln();
            let short = peak <= OVERLOAD * rating && over_s <= OVERLOAD_S;
            Finding::new(
                if short { Aspect::Caution } else { Aspect::Danger },
                format!(
                    "The {name} takes {} at first, above its {} for {}.",
                    watts(peak),
                    watts(rating),
                    time(over_s, Rounding::Up)
                ),
            )
            .would_change(format!("a part rated {}, or more ohms", watts(peak)))
        }
    };
    finding
        .input("resistance", ohm)
        .input("energy in it", joules(charging.resistor_j.hi))
        .formula("P = (V/(R + ESR))² R, falling as exp(−2t/RC)")
        .source("RC circuit; overload of 6.25 times for 5 s from memory")
}

/// No charging resistor given: nothing says what limits the surge.
pub(super) fn surge_unknown(known: &Known<'_>) -> Finding {
    let missing = match (known.input.charge.ohm, known.full_v, known.stack.store_f) {
        (None, ..) => "the charging resistor is not given",
        (_, None, _) => "the track voltage is not given",
        _ => "the capacitance is not given",
    };
    Finding::unlit(format!("The charge surge is not known: {missing}."), "the missing value")
        .input("charging resistor", known.input.charge.ohm.map_or("not given".to_owned(), ohms))
        .formula("I = V / (R + ESR)")
        .source("RC circuit")
}

/// Time until the store is safe to touch, s: `(R + ESR) C ln(V / V_safe)`; 0 where it is already.
pub(super) fn safe_after_s(known: &Known<'_>, charging: &Charging) -> Option<Bounded> {
    let full = known.full_v?;
    let safe = known.input.make_safe.safe_v;
    let wait = |tau: f64, v: f64| tau * (v / safe).max(1.0).ln();
    let tau = charging.tau_s;
    Some(Bounded::new(
        wait(tau.value, full.value),
        Interval::new(wait(tau.lo, full.lo), wait(tau.hi, full.hi)),
    ))
}

/// Time until leakage and balancing resistors alone have made it safe, s, at the slow end; `None`
/// where neither is known. Leakage as a constant current is a rough figure: it falls with the
/// voltage.
pub(super) fn rest_s(known: &Known<'_>) -> Option<f64> {
    let (store, full) = (known.stack.store_f?, known.full_v?);
    let (leak, bleed) = (known.stack.leakage_a.unwrap_or(0.0), known.stack.bleed_siemens);
    let (high, low) = (full.hi, known.input.make_safe.safe_v.min(full.hi));
    let per_farad = if bleed > 0.0 {
        (bleed * (high - low) / (leak + bleed * low)).ln_1p() / bleed
    } else if leak > 0.0 {
        (high - low) / leak
    } else {
        return None;
    };
    Some(store.hi * per_farad)
}
