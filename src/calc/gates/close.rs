//! The checks before the shell goes on for good.

use super::build::{Book, Draft};
use super::observation::Observation;
use super::snapshot::Snapshot;
use super::{GateName, apart, cards, datums, headroom, parts, seen, snags, wheels};

/// Pickups, headroom with all loads, heat, snags, goals proved, curve, coupler, gauge, pinch, datums,
/// twins, isolation.
pub(super) fn checks(s: &Snapshot) -> Vec<Draft> {
    let book = Book::of(s);
    let mut out = vec![wheels::all(book)];
    if s.goals.motor {
        out.push(headroom::all_loads(book));
    }
    out.push(seen::draft(book, "heat", Observation::HeatSettled));
    out.extend(parts::draft(book, GateName::Close));
    out.extend(snags::draft(book, GateName::Close));
    for (wanted, key, observation) in [
        (s.goals.lights, "lights", Observation::LightsProved),
        (s.goals.sound, "sound", Observation::SoundProved),
        (s.goals.store, "store", Observation::StoreProved),
        (true, "tightest_curve", Observation::TightestCurve),
        (true, "coupler_height", Observation::CouplerHeightChecked),
        (true, "gauge", Observation::GaugeChecked),
        (true, "nothing_pinched", Observation::NothingPinched),
    ] {
        if wanted {
            out.push(seen::draft(book, key, observation));
        }
    }
    out.extend(datums::hold(book));
    out.extend(cards::others(book, GateName::Close));
    out.push(cards::twins(book));
    out.push(apart::shell_on(book));
    out
}
