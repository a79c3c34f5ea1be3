//! One string of lamps on an output: its resistor, its current, what it turns into heat.

use super::eseries::Series;
use super::{Input, Light, LightString, Return};
use crate::calc::Bounded;
use crate::calc::load::seen;
use crate::units::Interval;

/// Bridge drop on the way to the function common when none is given, V (common practice, no source).
pub const DROP_V: f64 = 1.4;
/// How many times its lit current a lamp draws when cold (common practice: up to ten).
pub const COLD_RATIO: f64 = 10.0;
/// Filament current goes with voltage to this power (from memory).
pub const FILAMENT_POWER: f64 = 0.55;
/// Ratings resistors are sold in, W (common practice, no source).
pub const RATINGS_W: [f64; 9] = [0.063, 0.1, 0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0];
/// Relative slack that covers binary rounding when a value is held against a limit.
pub const SLACK: f64 = 1e-9;

/// What a string gets, V: the rectified rail on the function common, or the rail less one diode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// As read.
    pub value: f64,
    /// With the meter's accuracy.
    pub bounds: Interval,
    /// Share of the time it is there: 1, or 0.5 where the string returns to a rail.
    pub duty: f64,
}

/// What a string draws with a resistor of `ohm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// Current through the resistor while lit, A.
    pub current_a: Bounded,
    /// Current through one branch of lamps while lit, A; the high end is that of unequal sharing.
    pub branch_a: Bounded,
    /// Volts across one lamp, V.
    pub lamp_v: Bounded,
    /// Heat in the resistor while lit, W.
    pub resistor_w: Bounded,
    /// Greatest current at switch-on, A.
    pub inrush_a: f64,
}

/// The supply of a string. Inputs in V: track 3 to 30, drop 0 to 5.
///
/// `V_s = V_track − drop` on the function common; a string that returns to a rail is fed through
/// one diode of the bridge, half of the time: `V_s = V_track − drop/2`. Common practice, no source.
pub fn supply(input: &Input, returns: Option<Return>) -> Supply {
    let drop = input.drop_v.unwrap_or(DROP_V);
    let track = seen(input.track_v, input.voltage_meter);
    let half = matches!(returns, Some(Return::Rail | Return::Frame));
    let drop = if half { drop / 2.0 } else { drop };
    Supply {
        value: (input.track_v - drop).max(0.0),
        bounds: Interval::new((track.lo - drop).max(0.0), (track.hi - drop).max(0.0)),
        duty: if half { 0.5 } else { 1.0 },
    }
}

/// Volts the whole string takes, as given and its ends.
pub fn string_v(string: &LightString) -> Bounded {
    let n = f64::from(string.in_series);
    match string.light {
        Light::Led { forward_v, spread_v, .. } => {
            let spread = spread_v.unwrap_or(0.0);
            Bounded::new(
                n * forward_v,
                Interval::new(n * (forward_v - spread).max(0.0), n * (forward_v + spread)),
            )
        }
        Light::Lamp { rated_v, .. } => Bounded::exact(n * rated_v),
    }
}

/// Current wanted through the resistor, A: that of one branch times the branches.
pub fn wanted_a(string: &LightString) -> f64 {
    let each = match string.light {
        Light::Led { wanted_a, .. } => wanted_a,
        Light::Lamp { rated_a, .. } => rated_a,
    };
    each * f64::from(string.share())
}

/// The resistor that gives exactly the wanted current, Ω. Zero or less: none is needed (lamps), or
/// the string stays dark (LEDs).
///
/// `R = (V_s − n·V_f) / I`, usual textbook relation. Worked example, published: 5 V, one LED of
/// 2.0 V at 20 mA gives 150 Ω.
pub fn exact_ohm(supply_v: f64, string: &LightString) -> f64 {
    (supply_v - string_v(string).value) / wanted_a(string)
}

/// The resistor taken: the one fitted, else the next one up in the series. `None`: no resistor is
/// needed or possible.
pub fn chosen_ohm(exact: f64, string: &LightString, series: Series) -> Option<f64> {
    string.fitted_ohm.or_else(|| {
        (exact > 0.0).then(|| series.next_up(exact)).flatten().map(super::eseries::Preferred::ohm)
    })
}

/// What a string draws. `ohm` at least 0 (above 0 for LEDs), tolerance in percent.
///
/// LEDs: `I = (V_s − n·V_f)/R`, never below zero; `P = I²·R`. Lamps: the voltage share y of the
/// rating that solves `k·I_r·y^0.55·R + n·V_r·y = V_s` (exponent from memory). Ends: every input at
/// its worst, each function being monotone in it.
pub fn draw(supply: Supply, string: &LightString, ohm: f64, tolerance_percent: f64) -> Draw {
    let spread = ohm * tolerance_percent / 100.0;
    let (ohm_lo, ohm_hi) = ((ohm - spread).max(0.0), ohm + spread);
    let taken = string_v(string);
    let at = |supply_v: f64, string_v: f64, ohm: f64| operate(supply_v, string_v, ohm, string);
    let value = at(supply.value, taken.value, ohm);
    let high = at(supply.bounds.hi, taken.lo, ohm_lo);
    let low = at(supply.bounds.lo, taken.hi, ohm_hi);
    let steep = at(supply.bounds.hi, taken.lo, ohm_hi);
    let gentle = at(supply.bounds.lo, taken.hi, ohm_lo);
    let least_lamp_v = at(supply.bounds.lo, taken.lo, ohm_hi).lamp_v;
    let most_lamp_v = at(supply.bounds.hi, taken.hi, ohm_lo).lamp_v;
    let share = f64::from(string.share());
    let uneven = if string.share() > 1 && matches!(string.light, Light::Led { .. }) {
        high.current_a
    } else {
        high.current_a / share
    };
    Draw {
        current_a: bounded(value.current_a, low.current_a, high.current_a),
        branch_a: bounded(value.current_a / share, low.current_a / share, uneven),
        lamp_v: bounded(value.lamp_v, least_lamp_v, most_lamp_v),
        resistor_w: bounded(
            value.current_a * value.resistor_v,
            low.current_a * gentle.resistor_v.min(low.resistor_v),
            high.current_a * steep.resistor_v.max(high.resistor_v),
        ),
        inrush_a: inrush_a(supply.bounds.hi, string, ohm_lo).max(high.current_a),
    }
}

/// A value between two ends, one step of the grid outward so that rounding cuts nothing off.
fn bounded(value: f64, low: f64, high: f64) -> Bounded {
    if low.total_cmp(&high).is_eq() {
        return Bounded::new(value, Interval { lo: low, hi: high });
    }
    Bounded::new(value, Interval { lo: low.next_down().max(0.0), hi: high.next_up() })
}

/// One operating point.
struct Operating {
    current_a: f64,
    lamp_v: f64,
    resistor_v: f64,
}

fn operate(supply_v: f64, string_v: f64, ohm: f64, string: &LightString) -> Operating {
    let n = f64::from(string.in_series);
    match string.light {
        Light::Led { .. } => {
            let left = (supply_v - string_v).max(0.0);
            let current_a = if ohm > 0.0 { left / ohm } else { 0.0 };
            Operating { current_a, lamp_v: string_v.min(supply_v) / n, resistor_v: left }
        }
        Light::Lamp { rated_v, rated_a, .. } => {
            let full = rated_a * f64::from(string.share());
            let y = lamp_share(supply_v, n * rated_v, full * ohm);
            let current_a = full * y.powf(FILAMENT_POWER);
            Operating { current_a, lamp_v: y * rated_v, resistor_v: current_a * ohm }
        }
    }
}

/// Share of its rated voltage a lamp string runs at: the y that solves
/// `drop·y^0.55 + rated·y = supply`, by 200 halvings at most (it stops when the ends meet).
fn lamp_share(supply_v: f64, rated_v: f64, drop_v: f64) -> f64 {
    let (mut low, mut high) = (0.0, supply_v / rated_v);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if drop_v * middle.powf(FILAMENT_POWER) + rated_v * middle < supply_v {
            low = middle;
        } else {
            high = middle;
        }
    }
    if drop_v > 0.0 { low } else { supply_v / rated_v }
}

/// Greatest current at switch-on, A: `V_s / (R + n·R_cold/k)` with `R_cold = V_r/(I_r·ratio)`.
/// LEDs have none of their own. Common practice, no source, for the ratio.
fn inrush_a(supply_v: f64, string: &LightString, ohm: f64) -> f64 {
    match string.light {
        Light::Led { .. } => 0.0,
        Light::Lamp { rated_v, rated_a, cold_ratio } => {
            let cold = rated_v / rated_a / cold_ratio.unwrap_or(COLD_RATIO);
            supply_v / (ohm + f64::from(string.in_series) * cold / f64::from(string.share()))
        }
    }
}

/// The least resistor rating of at least twice the heat, W; `None` above 5 W.
pub fn rating_w(heat_w: f64) -> Option<f64> {
    RATINGS_W.into_iter().find(|r| *r >= 2.0 * heat_w * (1.0 - SLACK))
}
