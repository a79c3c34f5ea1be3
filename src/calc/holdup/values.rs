//! The values of a store as every face shows them, most wanted first.

use super::Output;
use super::charge::Charging;
use crate::calc::{Bounded, Value};

/// Collects values.
struct Sheet(Vec<Value>);

impl Sheet {
    /// Adds one; name carries the unit, `by` is formula and source.
    fn put(&mut self, name: &str, label: &str, value: Bounded, unit: &str, by: (&str, &str)) {
        self.0.push(Value::new(name, label, value, unit).by(by.0, by.1));
    }

    /// Adds one without bounds, where it is known.
    fn plain(&mut self, name: &str, label: &str, value: Option<f64>, unit: &str, by: (&str, &str)) {
        if let Some(value) = value {
            self.put(name, label, Bounded::exact(value), unit, by);
        }
    }
}

const DISCHARGE: (&str, &str) = (
    "C dv/dt = −(i + leakage + bleed), u = v − V_d − (i + bleed) ESR",
    "capacitor discharge with ESR",
);
const RC: (&str, &str) = ("I = V/(R + ESR) exp(−t/tau), tau = (R + ESR) C", "RC circuit, handbook");
const ENERGY: (&str, &str) = ("E = C V² / 2", "handbook");

/// All values of an output.
pub(super) fn of(o: &Output) -> Vec<Value> {
    let mut sheet = Sheet(Vec::new());
    hold(o, &mut sheet);
    store(o, &mut sheet);
    if let Some(c) = &o.charging {
        charge(c, &mut sheet);
    }
    around(o, &mut sheet);
    make_safe(o, &mut sheet);
    sheet.0
}

fn hold(o: &Output, sheet: &mut Sheet) {
    if let Some(h) = &o.hold {
        sheet.put("hold_s", "Hold-up time", h.time_s, "s", DISCHARGE);
        sheet.plain("aged_hold_s", "Hold-up time at end of life", Some(h.aged_s), "s", DISCHARGE);
        sheet.plain("end_v", "Store voltage at the end", Some(h.end_store_v), "V", DISCHARGE);
    }
    let time = ("t = gap / speed", "kinematics");
    sheet.plain("wanted_s", "Time wanted", o.wanted_s, "s", time);
    if let Some(l) = &o.least {
        let by = ("C = t / (time for each farad)", "capacitor discharge with ESR");
        sheet.put("least_store_f", "Least capacitance of the store", l.store_f, "F", by);
        sheet.plain(
            "least_cell_f",
            "Marking of each cell, at least",
            Some(l.cell_marked_f),
            "F",
            by,
        );
    }
    if let Some(mm) = o.run_on_mm {
        let by = ("speed × hold-up time", "kinematics");
        sheet.put("run_on_mm", "Runs on after the power is cut", mm, "mm", by);
    }
}

fn store(o: &Output, sheet: &mut Sheet) {
    let stack = ("C m/n, ESR n/m, V n", "series and parallel connection, handbook");
    if let Some(farad) = o.stack.store_f {
        sheet.put("store_f", "Capacitance of the store", farad, "F", stack);
    }
    sheet.plain("store_esr_ohm", "ESR of the store", o.stack.esr_ohm, "Ω", stack);
    sheet.plain("store_rating_v", "Rating of the store", o.stack.rating_v, "V", stack);
    if let Some(v) = o.full_v {
        let by =
            ("track − rectifier − diode, at most the charge limit", "common practice, no source");
        sheet.put("full_v", "Charged to", v, "V", by);
    }
    if let Some(joule) = o.energy_j {
        sheet.put("energy_j", "Energy stored", joule, "J", ENERGY);
    }
    sheet.plain("usable_j", "Energy until the cut-off", o.usable_j, "J", ENERGY);
}

fn charge(c: &Charging, sheet: &mut Sheet) {
    sheet.put("inrush_a", "Charge surge", c.peak_a, "A", RC);
    sheet.put("charge_tau_s", "Charging time constant", c.tau_s, "s", RC);
    sheet.put("charge_95_s", "Charged to 95 % after", c.to_95_s, "s", RC);
    sheet.put("charge_99_s", "Charged to 99 % after", c.to_99_s, "s", RC);
    sheet.put("charge_peak_w", "Charging resistor at first", c.peak_w, "W", RC);
    sheet.put("charge_j", "Energy in the charging resistor", c.resistor_j, "J", ENERGY);
}

fn around(o: &Output, sheet: &mut Sheet) {
    if let Some(b) = &o.balance {
        let by = ("R = V / (10 I_leak)", "common practice, no source");
        let share = ("V (1/(1−l)) / (1/(1−l) + (n−1)/(1+h))", "charge on series capacitors");
        sheet.plain("cell_v", "Each cell, equal share", Some(b.equal_v), "V", share);
        sheet.plain("worst_cell_v", "Smallest cell, not balanced", Some(b.worst_v), "V", share);
        sheet.plain("balance_ohm", "Balancing resistor, at most", b.suggested_ohm, "Ω", by);
        sheet.plain("balance_w", "Power in a balancing resistor", b.suggested_w, "W", by);
    }
    if let Some(e) = &o.programming {
        let by = ("I = V/(R + ESR + R_out) exp(−t/tau)", "RC circuit; limits of NMRA S-9.2.3");
        sheet.plain(
            "programming_peak_a",
            "On the programming track at first",
            Some(e.peak_a),
            "A",
            by,
        );
        sheet.plain("programming_over_s", "Above 250 mA there for", e.over_limit_s, "s", by);
        let wait = Some(e.above_acknowledgment_s);
        sheet.plain("programming_wait_s", "Above 60 mA there for", wait, "s", by);
        sheet.plain("acknowledgment_seen_a", "Acknowledgment the track sees", e.seen_a, "A", by);
    }
    if let Some(l) = &o.line_up {
        let by = ("I(t) = I_other + Σ n V/R exp(−t/RC)", "RC circuit");
        sheet.plain("line_up_peak_a", "All stores together at switch-on", Some(l.peak_a), "A", by);
        sheet.plain("line_up_over_s", "Above the booster's limit for", l.over_s, "s", by);
        sheet.plain("line_up_charged_s", "All charged to 95 % after", Some(l.charged_s), "s", by);
    }
}

fn make_safe(o: &Output, sheet: &mut Sheet) {
    let by = ("t = (R + ESR) C ln(V / V_safe)", "RC circuit, handbook");
    if let Some(c) = &o.make_safe {
        sheet.put("discharge_peak_a", "Discharging resistor, current at first", c.peak_a, "A", RC);
        sheet.put("discharge_peak_w", "Discharging resistor at first", c.peak_w, "W", RC);
    }
    if let Some(s) = o.safe_after_s {
        sheet.put("safe_after_s", "Safe through that resistor after", s, "s", by);
    }
    let rest = ("∫ C dv / (I_leak + v/R_bal)", "capacitor discharge; leakage taken as constant");
    sheet.plain("rest_s", "Safe by itself after about", o.rest_s, "s", rest);
}
