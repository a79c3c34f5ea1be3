//! Ranges of every field of a store.

use super::super::answer::{FieldRefusal, Refusals, require, within};
use super::around::{Booster, Programming, Resistor};
use super::input::{Crossing, Input, Load, Store, Supply};
use crate::units::Accuracy;

/// Everything that is out of range.
pub(super) fn refuse(input: &Input) -> Refusals {
    let mut r = Refusals::new();
    store(&mut r, &input.store);
    supply(&mut r, &input.supply);
    load(&mut r, &input.load);
    crossing(&mut r, &input.crossing);
    resistor(&mut r, "charge", &input.charge);
    programming(&mut r, &input.programming);
    booster(&mut r, &input.booster);
    resistor(&mut r, "make_safe.resistor", &input.make_safe.resistor);
    within(&mut r, "make_safe.safe_v", input.make_safe.safe_v, 0.01, 60.0);
    let m = &input.measured;
    optional(
        &mut r,
        "measured",
        &[
            ("hold_s", m.hold_s, 0.0, 3600.0),
            ("run_on_mm", m.run_on_mm, 0.0, 1e6),
            ("highest_cell_v", m.highest_cell_v, 0.0, 100.0),
        ],
    );
    r
}

/// Field, value, least, most.
type Field<'a> = (&'a str, Option<f64>, f64, f64);

/// Checks those that are given.
fn optional(r: &mut Refusals, path: &str, fields: &[Field<'_>]) {
    for (field, value, least, most) in fields {
        if let Some(value) = value {
            within(r, &format!("{path}.{field}"), *value, *least, *most);
        }
    }
}

/// A count between 1 and `most`.
fn count(r: &mut Refusals, field: &str, value: u32, most: u32) {
    if value < 1 || value > most {
        r.push(FieldRefusal::new(field, value.to_string(), format!("1 to {most}")));
    }
}

fn store(r: &mut Refusals, s: &Store) {
    count(r, "store.series", s.series, 20);
    count(r, "store.parallel", s.parallel, 50);
    let fields = [
        ("cell_f", s.cell_f, 1e-6, 1e4),
        ("tolerance_low_percent", s.tolerance_low_percent, 0.0, 90.0),
        ("tolerance_high_percent", s.tolerance_high_percent, 0.0, 200.0),
        ("aged_capacity_percent", s.aged_capacity_percent, 10.0, 100.0),
        ("aged_esr_factor", s.aged_esr_factor, 1.0, 10.0),
        ("esr_ohm", s.esr_ohm, 0.0, 1000.0),
        ("leakage_a", s.leakage_a, 0.0, 0.1),
        ("rating_v", s.rating_v, 0.5, 500.0),
        ("balance_ohm", s.balance_ohm, 1.0, 1e7),
    ];
    optional(r, "store", &fields);
}

fn supply(r: &mut Refusals, s: &Supply) {
    let fields = [
        ("track_v", s.track_v, 5.0, 40.0),
        ("highest_track_v", s.highest_track_v, 5.0, 60.0),
        ("charge_limit_v", s.charge_limit_v, 1.0, 40.0),
        ("full_v", s.full_v, 0.5, 60.0),
    ];
    optional(r, "supply", &fields);
    within(r, "supply.bridge_drop_v", s.bridge_drop_v, 0.0, 3.0);
    within(r, "supply.charge_diode_v", s.charge_diode_v, 0.0, 2.0);
    accuracy(r, "supply.track_accuracy", s.track_accuracy);
}

fn load(r: &mut Refusals, l: &Load) {
    let fields = [
        ("current_a", l.current_a, 1e-4, 20.0),
        ("power_w", l.power_w, 1e-3, 300.0),
        ("resistance_ohm", l.resistance_ohm, 0.1, 1e6),
        ("cutoff_v", l.cutoff_v, 0.5, 40.0),
    ];
    optional(r, "load", &fields);
    within(r, "load.diode_v", l.diode_v, 0.0, 2.0);
    accuracy(r, "load.accuracy", l.accuracy);
    let given = [l.current_a, l.power_w, l.resistance_ohm].iter().flatten().count();
    require(
        r,
        given <= 1,
        "load",
        "more than one load",
        "one of current_a, power_w, resistance_ohm",
    );
}

fn crossing(r: &mut Refusals, c: &Crossing) {
    let fields = [
        ("wanted_s", c.wanted_s, 1e-3, 3600.0),
        ("gap_mm", c.gap_mm, 0.0, 1e5),
        ("run_on_limit_mm", c.run_on_limit_mm, 0.0, 1e6),
    ];
    optional(r, "crossing", &fields);
    c.speed.refuse(r, "crossing.speed");
}

fn resistor(r: &mut Refusals, path: &str, part: &Resistor) {
    let fields = [("ohm", part.ohm, 0.01, 1e6), ("rating_w", part.rating_w, 0.01, 200.0)];
    optional(r, path, &fields);
}

fn programming(r: &mut Refusals, p: &Programming) {
    let fields = [
        ("output_v", p.output_v, 5.0, 30.0),
        ("output_ohm", p.output_ohm, 0.0, 1000.0),
        ("acknowledgment_a", p.acknowledgment_a, 0.0, 5.0),
    ];
    optional(r, "programming", &fields);
    within(r, "programming.idle_a", p.idle_a, 0.0, 1.0);
}

fn booster(r: &mut Refusals, b: &Booster) {
    let fields = [("trip_a", b.trip_a, 0.1, 50.0), ("trip_s", b.trip_s, 0.0, 60.0)];
    optional(r, "booster", &fields);
    within(r, "booster.other_a", b.other_a, 0.0, 50.0);
    count(r, "booster.count", b.count, 200);
    if b.others.len() > 100 {
        r.push(FieldRefusal::new("booster.others", b.others.len().to_string(), "at most 100"));
    }
    for (i, o) in b.others.iter().enumerate() {
        let path = format!("booster.others.{i}");
        count(r, &format!("{path}.count"), o.count, 200);
        within(r, &format!("{path}.store_f"), o.store_f, 1e-6, 1000.0);
        within(r, &format!("{path}.ohm"), o.ohm, 0.1, 1e5);
        within(r, &format!("{path}.full_v"), o.full_v, 1.0, 60.0);
        let short = o.name.chars().count() <= 80;
        require(r, short, &format!("{path}.name"), "a longer text", "at most 80 characters");
    }
}

fn accuracy(r: &mut Refusals, path: &str, accuracy: Option<Accuracy>) {
    if let Some(a) = accuracy {
        within(r, &format!("{path}.percent"), a.percent, 0.0, 50.0);
        within(r, &format!("{path}.digits"), a.digits, 0.0, 100.0);
        within(r, &format!("{path}.resolution"), a.resolution, 1e-9, 100.0);
    }
}
