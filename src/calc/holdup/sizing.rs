//! Time from a store, and store from a gap.

use super::discharge::{Discharge, Draw, Sample};
use super::input::Load;
use super::store::Known;
use super::text::{farads, mm_up, time};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::units::{Interval, Rounding};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How long the store carries its load.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Hold {
    /// Time when new, s; the low bound is 0 where the ESR is not known.
    pub time_s: Bounded,
    /// Time at the end of the store's life, s.
    pub aged_s: f64,
    /// Store voltage at which it ends, V.
    pub end_store_v: f64,
    /// The constant power collapses before the cut-off is reached.
    pub collapses: bool,
    /// The ESR was known.
    pub esr_known: bool,
}

/// The smallest store for the time wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Least {
    /// Capacitance of the whole store as it must really be, F.
    pub store_f: Bounded,
    /// Marking of each cell so that a new one at its low tolerance still does it, F.
    pub cell_marked_f: f64,
}

/// The load as read, at its bad end and at its good end.
fn draws(load: &Load) -> Option<[Draw; 3]> {
    let three = |value: f64| {
        let b = load.accuracy.map_or(Interval::exact(value), |a| a.bounds(value));
        (value, b.lo.max(value * 1e-3), b.hi)
    };
    match (load.current_a, load.power_w, load.resistance_ohm) {
        (Some(value), ..) => {
            let (v, lo, hi) = three(value);
            Some([Draw::Current(v), Draw::Current(hi), Draw::Current(lo)])
        }
        (None, Some(value), _) => {
            let (v, lo, hi) = three(value);
            Some([Draw::Power(v), Draw::Power(hi), Draw::Power(lo)])
        }
        (None, None, Some(value)) => {
            let (v, lo, hi) = three(value);
            Some([Draw::Resistance(v), Draw::Resistance(lo), Draw::Resistance(hi)])
        }
        _ => None,
    }
}

/// The three circuits: as read, at the bad end, at the good end of voltage and load.
pub(super) struct Cases {
    pub(super) read: Discharge,
    pub(super) worst: Discharge,
    pub(super) best: Discharge,
}

/// Builds the circuits; `None` where voltage, load or cut-off is not known.
pub(super) fn cases(known: &Known<'_>) -> Option<Cases> {
    let [read, bad, good] = draws(&known.input.load)?;
    let full = known.full_v?;
    let cutoff_v = known.input.load.cutoff_v?;
    let circuit = |full_v: f64, draw: Draw| Discharge {
        full_v,
        esr_ohm: known.stack.esr_ohm.unwrap_or(0.0),
        leakage_a: known.stack.leakage_a.unwrap_or(0.0),
        bleed_siemens: known.stack.bleed_siemens,
        diode_v: known.input.load.diode_v,
        cutoff_v,
        draw,
    };
    Some(Cases {
        read: circuit(full.value, read),
        worst: circuit(full.lo, bad),
        best: circuit(full.hi, good),
    })
}

/// Hold-up time; `None` where something it needs is not known.
pub(super) fn hold(known: &Known<'_>) -> Option<Hold> {
    let cases = cases(known)?;
    let store = known.stack.store_f?;
    let value = store.value * cases.read.seconds_per_farad();
    let esr_known = known.stack.esr_ohm.is_some();
    let low = if esr_known { store.lo * cases.worst.seconds_per_farad() } else { 0.0 };
    let old = Discharge { esr_ohm: cases.read.esr_ohm * known.stack.aged_esr, ..cases.read };
    Some(Hold {
        time_s: Bounded::new(value, Interval::new(low, store.hi * cases.best.seconds_per_farad())),
        aged_s: store.value * known.stack.aged_capacity * old.seconds_per_farad(),
        end_store_v: cases.read.end_store_v(),
        collapses: cases.read.last_v() > cases.read.cutoff_v,
        esr_known,
    })
}

/// Time wanted, s: as given, or gap over speed; the longer where both are there.
pub(super) fn wanted_s(known: &Known<'_>) -> Option<f64> {
    let crossing = &known.input.crossing;
    let by_gap = crossing.gap_mm.zip(known.speed).map(|(mm, speed)| mm / speed);
    match (crossing.wanted_s, by_gap) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (a, b) => a.or(b),
    }
}

/// The smallest store for a time: every time is in proportion to the capacitance, so
/// `C = t / (time for each farad)`. `None` where no capacitance is enough (ESR, diode or cut-off
/// too high) or something is not known.
pub(super) fn least(known: &Known<'_>, wanted_s: f64) -> Option<Least> {
    let cases = cases(known)?;
    let per_farad = |d: &Discharge| Some(d.seconds_per_farad()).filter(|s| *s > 0.0);
    let need = |d: &Discharge| per_farad(d).map(|s| wanted_s / s);
    let (value, hi, lo) = (need(&cases.read)?, need(&cases.worst)?, need(&cases.best)?);
    let (low, _) = super::store::tolerance(&known.input.store);
    let store = &known.input.store;
    let cell = hi / (1.0 - low) * f64::from(store.series) / f64::from(store.parallel);
    Some(Least { store_f: Bounded::new(value, Interval::new(lo, hi)), cell_marked_f: cell })
}

/// Voltage over time for the plot.
pub(super) fn samples(known: &Known<'_>) -> Vec<Sample> {
    match (cases(known), known.stack.store_f) {
        (Some(cases), Some(store)) => cases.read.samples(store.value, 96),
        _ => Vec::new(),
    }
}

const FORMULA: &str =
    "C dv/dt = −(i + leakage + bleed), u = v − V_d − (i + bleed) ESR, until u = V_cut";
const SOURCE: &str = "capacitor discharge, published application articles; solved with ESR";

/// Hold-up against what is wanted. A measured time decides; a computed one is unlit or danger.
pub(super) fn finding(
    known: &Known<'_>,
    hold: Option<&Hold>,
    wanted: Option<f64>,
    least: Option<&Least>,
) -> Finding {
    let enough = least.map_or_else(
        || "more capacitance, less load, or a lower cut-off".to_owned(),
        |l| format!("cells marked at least {}", farads(l.cell_marked_f)),
    );
    let finding = match (known.input.measured.hold_s, hold, wanted) {
        (_, _, None) => Finding::unlit(
            "No time is wanted of the store yet.",
            "a longest gap with a speed, or a time",
        ),
        (Some(read), _, Some(want)) if read >= want => Finding::new(
            Aspect::Clear,
            format!("It holds {}, wanted are {}.", down(read), up(want)),
        )
        .would_change("ageing, a heavier load, a slower speed over the gap"),
        (Some(read), _, Some(want)) => Finding::new(
            Aspect::Danger,
            format!("It holds only {}, wanted are {}.", down(read), up(want)),
        )
        .would_change(enough),
        (None, None, Some(_)) => Finding::unlit(
            format!("Hold-up is not known: {}.", missing(known)),
            "the missing values, then lift a wheel and time it",
        ),
        (None, Some(h), Some(want)) => computed(h, want, &enough),
    };
    let finding = match hold {
        None => finding,
        Some(h) => finding.input(
            "computed",
            format!("{} ({} to {})", down(h.time_s.value), down(h.time_s.lo), up(h.time_s.hi)),
        ),
    };
    let finding = match wanted {
        None => finding,
        Some(want) => finding.input("wanted", up(want)),
    };
    let read = known.input.measured.hold_s.map_or("not measured".to_owned(), down);
    finding.input("measured", read).formula(FORMULA).source(SOURCE)
}

/// A time from the data sheet: danger when its bad end falls short, never clear.
fn computed(h: &Hold, want: f64, enough: &str) -> Finding {
    if h.time_s.hi < want || (h.esr_known && h.time_s.lo < want) {
        let low = if h.esr_known { h.time_s.lo } else { h.time_s.hi };
        return Finding::new(
            Aspect::Danger,
            format!(
                "It holds {}, at the bad end {}: short of the {} wanted.",
                down(h.time_s.value),
                down(low),
                up(want)
            ),
        )
        .would_change(enough);
    }
    let esr = if h.esr_known { "" } else { " or less, the ESR is not known" };
    Finding::unlit(
        format!("By its data it holds {}{esr}; wanted are {}.", down(h.time_s.value), up(want)),
        "lift a wheel and time it",
    )
}

/// End of life: a caution before it happens.
pub(super) fn aged(known: &Known<'_>, hold: &Hold, wanted_s: f64) -> Option<Finding> {
    let kept = if hold.time_s.value > 0.0 { hold.aged_s / hold.time_s.value } else { 0.0 };
    let old = known.input.measured.hold_s.map_or(hold.aged_s, |read| read * kept);
    (old < wanted_s).then(|| {
        Finding::new(
            Aspect::Caution,
            format!(
                "At the end of its life it holds {}, short of the {} wanted.",
                down(old),
                up(wanted_s)
            ),
        )
        .input("capacitance left", crate::units::percent_down(known.stack.aged_capacity))
        .input("ESR grown", format!("{} times", crate::units::exact(known.stack.aged_esr)))
        .formula(FORMULA)
        .source("end of life of the kind of cell, from memory")
        .would_change("a larger store, or a hold-up test once a year")
    })
}

/// Distance it runs on, mm: speed × hold-up time.
pub(super) fn run_on_mm(known: &Known<'_>, hold: Option<&Hold>) -> Option<Bounded> {
    let (speed, hold) = (known.speed?, hold?);
    let time = hold.time_s;
    Some(Bounded { value: speed * time.value, lo: speed * time.lo, hi: speed * time.hi })
}

/// Run-on against the distance allowed; the bad end is the far one.
pub(super) fn run_on(known: &Known<'_>, computed: Option<Bounded>) -> Option<Finding> {
    let limit = known.input.crossing.run_on_limit_mm?;
    let cure = "less capacitance, or a decoder setting that limits the time";
    let finding = match (known.input.measured.run_on_mm, computed) {
        (Some(read), _) if read <= limit => Finding::new(
            Aspect::Clear,
            format!("It runs on {} after the power is cut, within {}.", mm_up(read), mm_up(limit)),
        )
        .would_change("a higher speed or a lighter train"),
        (Some(read), _) => Finding::new(
            Aspect::Danger,
            format!("It runs on {} after the power is cut, beyond {}.", mm_up(read), mm_up(limit)),
        )
        .would_change(cure),
        (None, Some(mm)) if mm.hi > limit => Finding::new(
            Aspect::Danger,
            format!(
                "It may run on {} after the power is cut, beyond {}.",
                mm_up(mm.hi),
                mm_up(limit)
            ),
        )
        .would_change(cure),
        (None, Some(mm)) => Finding::unlit(
            format!("By its data it runs on up to {} after the power is cut.", mm_up(mm.hi)),
            "cut the power at that speed and measure",
        ),
        (None, None) => {
            Finding::unlit("How far it runs on is not known.", "a speed, a load and the store")
        }
    };
    Some(
        finding.input("allowed", mm_up(limit)).formula("speed × hold-up time").source("kinematics"),
    )
}

/// What is missing for a hold-up time.
fn missing(known: &Known<'_>) -> String {
    let load = &known.input.load;
    let gaps = [
        (known.stack.store_f.is_none(), "the capacitance"),
        (known.full_v.is_none(), "the track voltage"),
        (draws(load).is_none(), "the load"),
        (load.cutoff_v.is_none(), "the cut-off voltage"),
    ];
    let named: Vec<&str> = gaps.iter().filter(|g| g.0).map(|g| g.1).collect();
    format!("{} not given", named.join(", "))
}

/// Hold-up, rounded down.
fn down(time_s: f64) -> String {
    time(time_s, Rounding::Down)
}

/// A time wanted, rounded up.
fn up(time_s: f64) -> String {
    time(time_s, Rounding::Up)
}
