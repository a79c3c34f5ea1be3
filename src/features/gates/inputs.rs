//! The inputs of calculations, taken from a conversion's snapshot with stale readings left out, so
//! that the pages work on the same figures as the gates.

use super::gather::Gathered;
use crate::calc::budget::{self, Basis};
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::calc::gates::{Measured, Snapshot};
use crate::calc::isolation::{self, IsolationReading, Pair, Position};
use crate::calc::load;
use crate::calc::pickup::{self, WheelState};
use crate::units::Accuracy;

/// A reading that still holds.
fn fresh(s: &Snapshot, kind: ReadingKind, m: Option<&Measured>) -> Option<f64> {
    m.filter(|m| made_stale_by(&s.alterations, kind, m.taken.at_ms).is_none()).map(|m| m.value)
}

/// The wider of several accuracies, at the values they were read: one meter may be on two ranges.
fn widest(readings: &[Option<&Measured>]) -> Option<Accuracy> {
    let known = readings.iter().flatten().filter_map(|m| Some((m.accuracy?, m.value)));
    known.max_by(|a, b| a.0.spread(a.1).total_cmp(&b.0.spread(b.1))).map(|(a, _)| a)
}

/// Input of `load`: the latest test. Without a test voltage nothing was read, and the input says so
/// by carrying no current.
pub fn load(g: &Gathered) -> load::Input {
    let s = &g.snapshot;
    let test = s.load_test.as_ref();
    let test_v = test.and_then(|t| t.test_v.as_ref());
    let mut input = load::Input::at(test_v.map_or(12.0, |v| v.value));
    input.track_v = s.track_v.as_ref().map(|t| t.value_v);
    input.bridge_drop_v = s.thresholds.bridge_drop_v;
    input.friction_clear_below = s.thresholds.friction_clear_below;
    input.friction_danger_above = s.thresholds.friction_danger_above;
    let Some(t) = test.filter(|_| test_v.is_some()) else { return input };
    let read = |m: &Option<Measured>, kind| fresh(s, kind, m.as_ref());
    input.free_a = read(&t.free_a, ReadingKind::Free);
    input.slipping_a = read(&t.slipping_a, ReadingKind::Slipping);
    input.held_a = read(&t.held_a, ReadingKind::Held);
    input.held_test_v = t.held_v.as_ref().map(|m| m.value);
    input.held_refused = input.held_a.is_none() && t.held_refused.is_some();
    input.winding_ohm = read(&t.winding_ohm, ReadingKind::Winding);
    let currents = [&t.free_a, &t.slipping_a, &t.held_a].map(Option::as_ref);
    input.current_meter = widest(&currents);
    input.voltage_meter = widest(&[t.test_v.as_ref(), t.held_v.as_ref()]);
    input.ohm_meter = widest(&[t.winding_ohm.as_ref()]);
    input
}

/// Input of `budget`: the latest test, the planned loads, the decoder's ratings.
pub fn budget(g: &Gathered) -> budget::Input {
    let s = &g.snapshot;
    let mut input = budget::Input::of(load(g));
    input.loads = s
        .loads
        .iter()
        .map(|fact| {
            let mut l = fact.load.clone();
            let stale = fact.taken.as_ref().is_some_and(|t| {
                made_stale_by(&s.alterations, ReadingKind::Load(l.kind), t.at_ms).is_some()
            });
            if stale {
                l.amps_a = None;
            }
            if l.basis == Basis::Measured && fact.taken.is_none() {
                l.basis = Basis::Guess;
            }
            l
        })
        .collect();
    let ratings = s
        .decoder
        .as_ref()
        .filter(|d| made_stale_by(&s.alterations, ReadingKind::Ratings, d.set_at_ms).is_none());
    input.decoder = ratings.map(|d| d.ratings.clone()).unwrap_or_default();
    input.governing = s.thresholds.governing;
    input.want_headroom_held = s.thresholds.headroom_want_held;
    input.want_headroom_slipping = s.thresholds.headroom_want_slipping;
    input
}

/// Input of `pickup`: the map with its readings that still hold.
pub fn pickup(g: &Gathered) -> pickup::Input {
    let s = &g.snapshot;
    let wheels = s
        .wheels
        .iter()
        .map(|fact| {
            let mut wheel = fact.wheel.clone();
            let holds = fact.taken.as_ref().is_some_and(|t| {
                made_stale_by(&s.alterations, ReadingKind::Wheel, t.at_ms).is_none()
            });
            if !holds {
                wheel.state = WheelState::Unmeasured;
            }
            wheel
        })
        .collect();
    pickup::Input {
        wheels,
        good_below_ohm: s.thresholds.good_below_ohm,
        bad_above_ohm: s.thresholds.bad_above_ohm,
    }
}

/// Input of `isolation`, for every position.
pub fn isolation(g: &Gathered) -> isolation::Input {
    let s = &g.snapshot;
    let readings = s
        .isolation
        .iter()
        .filter(|f| f.a != f.b)
        .map(|f| {
            let kind = ReadingKind::of_pair(&Pair::new(f.a.clone(), f.b.clone()), f.position);
            IsolationReading {
                a: f.a.clone(),
                b: f.b.clone(),
                position: f.position,
                outcome: f.outcome,
                reading: f.taken.id.clone(),
                taken_at_ms: f.taken.at_ms,
                stale: made_stale_by(&s.alterations, kind, f.taken.at_ms).is_some(),
            }
        })
        .collect();
    let positions =
        Position::ALL.into_iter().filter(|p| s.has_bogies || *p != Position::BogiesSwung).collect();
    isolation::Input {
        readings,
        has_bogies: s.has_bogies,
        has_motor: s.goals.motor,
        function_leads: s.function_leads.clone(),
        positions,
        open_above_ohm: s.thresholds.open_above_ohm,
    }
}
