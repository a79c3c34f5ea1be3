//! The arithmetic of the load test, with bounds. Each reading stands once in each formula, so that
//! the bounds are as narrow as the readings allow; every step rounds outward.

use super::words::SAME_WITHIN;
use super::{Input, OperatingPoint};
use crate::calc::Bounded;
use crate::units::{Accuracy, Interval};

/// Rise of resistance of copper per kelvin from 20 °C, 1/K: 1/(234.5 + 20). Source: worked examples
/// on two formula pages, read second-hand.
pub const COPPER_PER_K: f64 = 0.00393;
/// Temperature that resistances of windings are given at, °C.
pub const COLD_C: f64 = 20.0;
/// Temperature taken for a winding that has worked for a while, °C. Common practice, no source.
pub const HOT_C: f64 = 80.0;

/// The readings of a test as bounded values; `None` where not measured.
#[derive(Debug, Clone, Copy)]
pub(super) struct Readings {
    /// Test voltage, V.
    pub volts: Bounded,
    /// Voltage when held, V, where it was another reading than the test voltage.
    pub held_volts: Option<Bounded>,
    /// Free current, A.
    pub free: Option<Bounded>,
    /// Cruising current, A.
    pub cruise: Option<Bounded>,
    /// Slipping current, A.
    pub slipping: Option<Bounded>,
    /// Held current, A, at the voltage when held.
    pub held: Option<Bounded>,
    /// Winding, Ω.
    pub winding: Option<Bounded>,
    /// Decoder output voltage, V.
    pub output: Option<Bounded>,
    /// Resistance of the winding at its temperature when held, over that of the cold winding.
    pub over_cold: f64,
    /// The same over that of the hot winding.
    pub over_hot: f64,
}

/// A reading of zero or more as its meter leaves it: value and bounds, never below zero. Bounds that
/// come within a billionth of the value to zero reach it. Without a meter's accuracy the reading
/// counts as exact.
pub(in crate::calc) fn seen(value: f64, meter: Option<Accuracy>) -> Bounded {
    let exact = Interval::exact;
    let Some(meter) = meter else { return Bounded::exact(value) };
    if meter.spread(value) <= 0.0 {
        return Bounded::exact(value);
    }
    // The spread is rounded outward too: where it takes up nearly all of the reading, its own
    // rounding is more than one step of the low end.
    let of_reading = exact(meter.percent) * exact(value.abs()) * HUNDREDTH;
    let spread = of_reading + exact(meter.digits) * exact(meter.resolution);
    let low = exact(value) - spread;
    let high = exact(value) + spread;
    let bounds = not_negative(low.hull(high));
    let reaches_zero = bounds.lo <= SAME_WITHIN * value;
    Bounded::new(value, if reaches_zero { Interval { lo: 0.0, ..bounds } } else { bounds })
}

/// One hundredth, which no binary fraction is.
const HUNDREDTH: Interval = Interval { lo: 0.01_f64.next_down(), hi: 0.01_f64.next_up() };

impl Readings {
    /// Reads an input; the ranges have been checked before.
    pub fn of(input: &Input) -> Self {
        let amps = |v: Option<f64>| v.map(|v| seen(v, input.current_meter));
        let volts = |v: Option<f64>| v.map(|v| seen(v, input.voltage_meter));
        let drop = input.bridge_drop_v;
        let from_track = volts(input.track_v).map(|t| {
            Bounded::new(t.value - drop, not_negative(t.interval() - Interval::exact(drop)))
        });
        Readings {
            volts: seen(input.test_v, input.voltage_meter),
            held_volts: volts(input.held_test_v),
            free: amps(input.free_a),
            cruise: amps(input.cruise_a),
            slipping: amps(input.slipping_a),
            held: amps(input.held_a),
            winding: input.winding_ohm.map(|v| seen(v, input.ohm_meter)),
            output: volts(input.decoder_output_v).or(from_track),
            over_cold: copper_ratio(input.winding_c.min(COLD_C), input.winding_c),
            over_hot: copper_ratio(HOT_C, input.winding_c),
        }
    }

    /// The voltage that stood across the motor when it was held, V.
    pub fn volts_when_held(&self) -> Bounded {
        self.held_volts.unwrap_or(self.volts)
    }
}

/// What it answers: by how much does a copper winding's resistance change between two temperatures?
///
/// Inputs: temperatures in °C, −20 to 150. Formula: R(T) = R20 (1 + 0.00393 (T − 20)), so
/// R(to)/R(from) = (1 + 0.00393 (to − 20)) / (1 + 0.00393 (from − 20)). Gives a ratio above 0.
/// Source: as [`COPPER_PER_K`]. Worked: 1.21 Ω at 20 °C is 1.4715 Ω at 75 °C.
pub fn copper_ratio(from_c: f64, to_c: f64) -> f64 {
    (1.0 + COPPER_PER_K * (to_c - COLD_C)) / (1.0 + COPPER_PER_K * (from_c - COLD_C))
}

/// What the relations of running free give at another current of the same test: its back-EMF, its
/// copper loss, its power at the shaft and its power taken.
pub(super) fn point(name: &str, current: Bounded, r: &Readings) -> OperatingPoint {
    let there = Readings { free: Some(current), ..*r };
    OperatingPoint {
        name: name.to_owned(),
        current_a: current,
        back_emf_v: back_emf(&there),
        copper_loss_w: copper_loss(&there),
        shaft_power_w: friction_power(&there),
        input_w: input_free(&there),
    }
}

/// Terminal resistance, Ω: R = V / I_held. `None` where the held current can't be told from zero.
pub(super) fn resistance(r: &Readings) -> Option<Bounded> {
    divided(r.volts_when_held(), r.held?)
}

/// Friction share: I_free / I_slip. `None` where the slipping current can't be told from zero.
pub(super) fn friction_share(r: &Readings) -> Option<Bounded> {
    divided(r.free?, r.slipping?)
}

/// Back-EMF running free, V: E = V − I_free R. With one voltage for both readings that is
/// V (1 − I_free / I_held), where each reading stands once.
pub(super) fn back_emf(r: &Readings) -> Option<Bounded> {
    let (v, free, held) = (r.volts, r.free?, r.held?);
    if let Some(held_volts) = r.held_volts {
        let lost = held_volts.interval().checked_div(held.interval())? * free.interval();
        let value = v.value - free.value * held_volts.value / held.value;
        return Some(Bounded::new(value, v.interval() - lost));
    }
    let kept = Interval::exact(1.0) - free.interval().checked_div(held.interval())?;
    let value = v.value * (1.0 - free.value / held.value);
    Some(Bounded::new(value, v.interval() * kept))
}

/// Copper loss running free, W: I_free² R.
pub(super) fn copper_loss(r: &Readings) -> Option<Bounded> {
    let (v, free, held) = (r.volts_when_held(), r.free?, r.held?);
    let bounds = free.interval().squared() * v.interval().checked_div(held.interval())?;
    let value = free.value * free.value * v.value / held.value;
    Some(Bounded::new(value, not_negative(bounds)))
}

/// Friction power, W: E I_free = V I_free − I_free² R. The free current stands twice in it, so the
/// ends are found where it has its top: at half the held current.
pub(super) fn friction_power(r: &Readings) -> Option<Bounded> {
    let (v, free, held) = (r.volts, r.free?, r.held?);
    let one = Interval::exact(1.0);
    let end = Interval::exact;
    let (value, bounds) = if let Some(held_volts) = r.held_volts {
        let ohms = held_volts.interval().checked_div(held.interval())?;
        let low = least_of_hump(free, end(v.lo), end(ohms.hi));
        let high = most_of_hump(free, end(v.hi), end(ohms.lo))?;
        let value = free.value * (v.value - free.value * held_volts.value / held.value);
        (value, low.hull(high))
    } else {
        let low = least_of_hump(free, one, one.checked_div(end(held.lo))?);
        let high = most_of_hump(free, one, one.checked_div(end(held.hi))?)?;
        let value = v.value * free.value * (1.0 - free.value / held.value);
        (value, v.interval() * low.hull(high))
    };
    Some(Bounded::new(value, bounds))
}

/// Power taken running free, W: V I_free.
pub(super) fn input_free(r: &Readings) -> Option<Bounded> {
    times(r.volts, r.free?)
}

/// Held current at the decoder's output voltage, A, cold: I_held V_out / V_test, times the rise of
/// the winding's resistance over cold. Cold is 20 °C, or the temperature of the reading when that
/// is lower.
pub(super) fn held_at_output(r: &Readings) -> Option<Bounded> {
    at_output(r, divided(r.held?, r.volts_when_held())?, r.over_cold)
}

/// Held current at the decoder's output voltage, A, with the winding at 80 °C.
pub(super) fn held_hot_at_output(r: &Readings) -> Option<Bounded> {
    at_output(r, divided(r.held?, r.volts_when_held())?, r.over_hot)
}

/// What stands in for a held current that could not be read, A: V_out / R_winding, cold. Brushes
/// and contacts only lower it.
pub(super) fn held_stand_in(r: &Readings) -> Option<Bounded> {
    let siemens = divided(Bounded::exact(1.0), r.winding?)?;
    at_output(r, siemens, r.over_cold)
}

/// Brushes and contacts, Ω: terminal resistance less winding. Below zero, one reading is wrong.
pub(super) fn brush_and_contact(r: &Readings) -> Option<Bounded> {
    let (ohms, winding) = (resistance(r)?, r.winding?);
    Some(Bounded::new(ohms.value - winding.value, ohms.interval() - winding.interval()))
}

/// How far terminal resistance and winding are apart, as a share of the winding: |R / R_w − 1|.
pub(super) fn disagreement(r: &Readings) -> Option<Bounded> {
    let (ohms, winding) = (resistance(r)?, r.winding?);
    let ratio = ohms.interval().checked_div(winding.interval())? - Interval::exact(1.0);
    let ends = (ratio.lo.abs(), ratio.hi.abs());
    let low = if ratio.contains(0.0) { 0.0 } else { ends.0.min(ends.1) };
    let value = (ohms.value / winding.value - 1.0).abs();
    Some(Bounded::new(value, Interval { lo: low, hi: ends.0.max(ends.1) }))
}

/// A current per volt, 1/Ω, at the decoder's output voltage and over a change of temperature.
fn at_output(r: &Readings, siemens: Bounded, over: f64) -> Option<Bounded> {
    let at_voltage = times(siemens, r.output?)?;
    let over_bounds = Interval { lo: over * (1.0 - 1e-15), hi: over * (1.0 + 1e-15) };
    let over_bounds = if (over - 1.0).abs() > 0.0 { over_bounds } else { Interval::exact(1.0) };
    times(at_voltage, Bounded::new(over, over_bounds))
}

/// Product of two values of zero or more.
pub(super) fn times(a: Bounded, b: Bounded) -> Option<Bounded> {
    let bounds = not_negative(a.interval() * b.interval());
    bounds.hi.is_finite().then(|| Bounded::new(a.value * b.value, bounds))
}

/// Quotient of two values of zero or more, `None` where the divisor can't be told from zero.
pub(super) fn divided(a: Bounded, by: Bounded) -> Option<Bounded> {
    let bounds = not_negative(a.interval().checked_div(by.interval())?);
    (bounds.hi.is_finite()).then(|| Bounded::new(a.value / by.value, bounds))
}

/// Cuts off what rounding outward put below zero where the exact value can't be.
fn not_negative(bounds: Interval) -> Interval {
    Interval { lo: bounds.lo.max(0.0), hi: bounds.hi.max(0.0) }
}

/// The hump i·a − i²·b at one current.
fn hump(i: f64, a: Interval, b: Interval) -> Interval {
    Interval::exact(i) * (a - Interval::exact(i) * b)
}

/// Least of i·a − i²·b over the bounds of i: a hump is least at one of its ends.
fn least_of_hump(i: Bounded, a: Interval, b: Interval) -> Interval {
    let (left, right) = (hump(i.lo, a, b), hump(i.hi, a, b));
    if left.lo <= right.lo { left } else { right }
}

/// Most of i·a − i²·b over the bounds of i: a²/(4b) at i = a/(2b) where that lies inside, else at
/// the nearer end. `None` where b can't be told from zero.
fn most_of_hump(i: Bounded, a: Interval, b: Interval) -> Option<Interval> {
    let top = a.checked_div(b)? * Interval::exact(0.5);
    if top.hi >= i.lo && top.lo <= i.hi {
        return Some(a * top * Interval::exact(0.5));
    }
    let (left, right) = (hump(i.lo, a, b), hump(i.hi, a, b));
    Some(if left.hi >= right.hi { left } else { right })
}
