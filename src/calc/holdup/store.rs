//! The cells taken together, and the voltage they reach.

use super::input::{Input, Kind, Store, Supply};
use crate::calc::Bounded;
use crate::units::Interval;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Strings of n cells, m strings in parallel: C m/n, ESR n/m, leakage m, voltage n.
/// Source: series and parallel connection, every handbook.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stack {
    /// Capacitance with its tolerance when new, F.
    pub store_f: Option<Bounded>,
    /// ESR, Ω.
    pub esr_ohm: Option<f64>,
    /// Leakage, A.
    pub leakage_a: Option<f64>,
    /// Rating of a string when its cells share equally, V.
    pub rating_v: Option<f64>,
    /// Conductance of the balancing resistors over the whole store, S.
    pub bleed_siemens: f64,
    /// Capacitance at the end of its life over capacitance when new.
    pub aged_capacity: f64,
    /// ESR at the end of its life over ESR when new.
    pub aged_esr: f64,
}

impl Stack {
    /// Joins the cells.
    pub fn of(store: &Store) -> Stack {
        let (n, m) = (f64::from(store.series), f64::from(store.parallel));
        let (low, high) = tolerance(store);
        let aged = match store.kind {
            Kind::Electrolytic => 80.0,
            Kind::DoubleLayer => 70.0,
        };
        Stack {
            store_f: store.cell_f.map(|cell| {
                let whole = cell * m / n;
                Bounded::new(whole, Interval::new(whole * (1.0 - low), whole * (1.0 + high)))
            }),
            esr_ohm: store.esr_ohm.map(|ohm| ohm * n / m),
            leakage_a: store.leakage_a.map(|a| a * m),
            rating_v: store.rating_v.map(|v| v * n),
            bleed_siemens: store.balance_ohm.map_or(0.0, |ohm| m / (n * ohm)),
            aged_capacity: store.aged_capacity_percent.unwrap_or(aged) / 100.0,
            aged_esr: store.aged_esr_factor.unwrap_or(2.0),
        }
    }
}

/// How far a new cell may be below and above its marking, as ratios. Defaults: see [`Kind`].
pub(super) fn tolerance(store: &Store) -> (f64, f64) {
    let high = match store.kind {
        Kind::Electrolytic => 20.0,
        Kind::DoubleLayer => 80.0,
    };
    (
        store.tolerance_low_percent.unwrap_or(20.0) / 100.0,
        store.tolerance_high_percent.unwrap_or(high) / 100.0,
    )
}

/// Voltage of the charged store, V: as read, or track voltage less the drops, at most the charge
/// limit. `None` where neither is known.
pub(super) fn full_v(supply: &Supply) -> Option<Bounded> {
    if let Some(read) = supply.full_v {
        return Some(Bounded::exact(read));
    }
    let track = supply.track_v?;
    let bounds = supply.track_accuracy.map_or(Interval::exact(track), |a| a.bounds(track));
    let after = |v: f64| {
        let charged = (v - supply.bridge_drop_v - supply.charge_diode_v).max(0.0);
        supply.charge_limit_v.map_or(charged, |limit| charged.min(limit))
    };
    Some(Bounded::new(after(track), Interval::new(after(bounds.lo), after(bounds.hi))))
}

/// Energy `E = C V² / 2`, J, with its bounds.
pub(super) fn energy_j(store_f: Bounded, full_v: Bounded) -> Bounded {
    let half = Interval::exact(0.5);
    let joule = half * store_f.interval() * full_v.interval().squared();
    Bounded::new(0.5 * store_f.value * full_v.value * full_v.value, joule)
}

/// Worked numbers that the rooms of the calculation share.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<'a> {
    /// What was given.
    pub(super) input: &'a Input,
    /// The cells together.
    pub(super) stack: Stack,
    /// Charged voltage.
    pub(super) full_v: Option<Bounded>,
    /// Speed of the model, mm/s.
    pub(super) speed: Option<f64>,
}
