//! A whole line-up of stores that charge from one booster at once.

use super::charge::Charging;
use super::store::Known;
use super::text::{stores_draw, time};
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, amps};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One sample of the booster's current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CurrentSample {
    /// Time since switching on, s.
    pub time_s: f64,
    /// Current of the booster, A.
    pub current_a: f64,
}

/// All stores on one booster.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LineUp {
    /// Count of stores.
    pub stores: u32,
    /// Current at switch-on, A, everything else on the booster included.
    pub peak_a: f64,
    /// Time until every store is charged to 95 %, s.
    pub charged_s: f64,
    /// Time above the booster's trip current, s; `None`: the trip current is not known, or it never
    /// falls below.
    pub over_s: Option<f64>,
    /// It never falls below the trip current.
    pub stays_over: bool,
    /// This store's own part is missing from the sum.
    pub own_unknown: bool,
    /// The booster's current for the plot.
    pub samples: Vec<CurrentSample>,
}

/// One exponential: amperes at first and time constant.
struct Surge {
    peak_a: f64,
    tau_s: f64,
}

/// Adds them up: `I(t) = I_other + Σ n V/R exp(−t / R C)`. Source: RC circuit. Worked example: ten
/// at 135 mA are 1.35 A. `None` when nothing charges.
pub(super) fn line_up(known: &Known<'_>, own: Option<&Charging>) -> Option<LineUp> {
    let booster = &known.input.booster;
    let mut surges: Vec<Surge> = booster
        .others
        .iter()
        .map(|o| Surge { peak_a: f64::from(o.count) * o.full_v / o.ohm, tau_s: o.ohm * o.store_f })
        .collect();
    surges.extend(
        own.map(|c| Surge { peak_a: f64::from(booster.count) * c.peak_a.hi, tau_s: c.tau_s.hi }),
    );
    if surges.is_empty() {
        return None;
    }
    let slowest = surges.iter().map(|s| s.tau_s).fold(0.0, f64::max);
    let at = |t: f64| {
        booster.other_a + surges.iter().map(|s| s.peak_a * (-t / s.tau_s).exp()).sum::<f64>()
    };
    let stays_over = booster.trip_a.is_some_and(|trip| booster.other_a >= trip);
    let over_s = booster.trip_a.filter(|_| !stays_over).map(|trip| falls_below(&at, trip, slowest));
    let sample = |k: u32| {
        let time_s = 5.0 * slowest * f64::from(k) / 80.0;
        CurrentSample { time_s, current_a: at(time_s) }
    };
    Some(LineUp {
        stores: booster.others.iter().map(|o| o.count).sum::<u32>()
            + own.map_or(0, |_| booster.count),
        peak_a: at(0.0),
        charged_s: slowest * 20.0_f64.ln(),
        over_s,
        stays_over,
        own_unknown: own.is_none(),
        samples: (0..=80).map(sample).collect(),
    })
}

/// When a falling current passes a limit, s, by bisection; 0 where it begins below.
fn falls_below(at: &impl Fn(f64) -> f64, limit_a: f64, slowest_s: f64) -> f64 {
    if at(0.0) <= limit_a {
        return 0.0;
    }
    let (mut lo, mut hi) = (0.0, slowest_s * 60.0);
    for _ in 0..120 {
        let mid = f64::midpoint(lo, hi);
        if at(mid) > limit_a { lo = mid } else { hi = mid }
    }
    hi
}

/// Does the booster hold? Clear only when everything was powered up together.
pub(super) fn finding(known: &Known<'_>, sum: &LineUp) -> Finding {
    let booster = &known.input.booster;
    let held = known.input.measured.booster_held;
    let cure = "fewer stores at once, more charging ohms, or power up in halves";
    let (who, peak) = (stores_draw(sum.stores), amps(sum.peak_a));
    let finding = match (held, booster.trip_a) {
        (Some(false), _) => Finding::new(
            Aspect::Danger,
            "The booster trips when everything is powered up together.",
        )
        .would_change(cure),
        (_, Some(trip)) => match over(sum, booster.trip_s.unwrap_or(0.0)) {
            Over::TooLong(how_long) => Finding::new(
                if held == Some(true) { Aspect::Caution } else { Aspect::Danger },
                format!(
                    "{who} {peak} at switch-on, above the booster's {} {how_long}.",
                    amps(trip)
                ),
            )
            .would_change(cure),
            Over::Brief | Over::No if held != Some(true) => Finding::unlit(
                format!("{who} {peak} at switch-on; not tried together."),
                "power up everything at once",
            ),
            Over::Brief => Finding::new(
                Aspect::Caution,
                format!("{who} {peak} at switch-on, above {} for a moment.", amps(trip)),
            )
            .would_change(cure),
            Over::No => Finding::new(
                Aspect::Clear,
                format!("{who} {peak} at switch-on and the booster held."),
            )
            .would_change("more locomotives on the same booster"),
        },
        (_, None) => Finding::unlit(
            format!("{who} {peak} at switch-on; the booster's limit is not given."),
            "the current at which the booster trips",
        ),
    };
    finding
        .input("stores", sum.stores.to_string())
        .input("other load", amps(booster.other_a))
        .input("trips at", booster.trip_a.map_or("not known".to_owned(), amps))
        .input("all charged to 95 %", time(sum.charged_s, Rounding::Up))
        .formula("I(t) = I_other + Σ n V/R exp(−t/RC)")
        .source("RC circuit; some boosters read the surge as a short, common practice, no source")
}

/// How long the current is above the limit.
enum Over {
    No,
    Brief,
    TooLong(String),
}

/// Sorts the time above the limit.
fn over(sum: &LineUp, bears_s: f64) -> Over {
    match sum.over_s {
        _ if sum.stays_over => Over::TooLong("and stays there".to_owned()),
        None => Over::No,
        Some(s) if s <= 0.0 => Over::No,
        Some(s) if s <= bears_s => Over::Brief,
        Some(s) => Over::TooLong(format!("for {}", time(s, Rounding::Up))),
    }
}
