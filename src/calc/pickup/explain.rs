//! What faulty wheels share: the least sets of causes which cover them all and no working wheel.
//!
//! Exact, not a search: once it is settled which sides fail throughout, the vehicles don't depend on
//! each other; once it is settled within a vehicle which sides or the whole fail, its axles don't
//! either. So every case is looked at and the least kept: fewest causes, then least overlap (the sum
//! of the wheels which each cause covers).

use super::read::Map;
use super::{Cause, CauseKind, Contact, Explanation, Side, Wheel};
use std::collections::BTreeMap;

/// Most explanations given when several are equally simple.
const MOST: usize = 6;

/// A set of causes with its size.
#[derive(Clone, Default)]
struct Cover<'a> {
    causes: Vec<Group<'a>>,
}

impl<'a> Cover<'a> {
    /// Count of causes, then wheels covered, overlaps counted twice.
    fn size(&self) -> (usize, usize) {
        (self.causes.len(), self.causes.iter().map(|g| g.faulty.len()).sum())
    }

    fn covers(&self, wheel: &Wheel) -> bool {
        self.causes.iter().any(|group| group.faulty.iter().any(|w| w.id == wheel.id))
    }

    fn with(&self, more: &[Group<'a>]) -> Self {
        Cover { causes: self.causes.iter().chain(more).cloned().collect() }
    }
}

/// A cause that may be: what it lies in and the faulty wheels it covers.
#[derive(Clone)]
struct Group<'a> {
    kind: CauseKind,
    faulty: Vec<&'a Wheel>,
}

/// Equally simple explanations, at most six; empty without a fault.
pub(super) fn explanations(map: &Map<'_>) -> Vec<Explanation> {
    let faulty: Vec<&Wheel> =
        map.each().filter(|(_, c)| *c == Contact::Faulty).map(|(w, _)| w).collect();
    if faulty.is_empty() {
        return Vec::new();
    }
    let mut vehicles: BTreeMap<&str, Vec<&Wheel>> = BTreeMap::new();
    for wheel in faulty {
        vehicles.entry(wheel.vehicle.as_str()).or_default().push(wheel);
    }
    let leads: Vec<Group<'_>> = Side::ALL.into_iter().filter_map(|side| lead(map, side)).collect();
    let covers = subsets(&leads).into_iter().map(|lead| {
        let mut found = vec![Cover { causes: lead }];
        for wheels in vehicles.values() {
            found = within_vehicle(map, wheels, &found);
        }
        found
    });
    least(covers.flatten().collect()).into_iter().map(|cover| explanation(&cover, map)).collect()
}

/// Every cover so far, made longer by the least covers of one vehicle's faulty wheels.
fn within_vehicle<'a>(map: &Map<'a>, wheels: &[&'a Wheel], so_far: &[Cover<'a>]) -> Vec<Cover<'a>> {
    let mut wide: Vec<Group<'a>> = vehicle_sides(map, wheels);
    wide.extend(whole_vehicle(map, wheels));
    let mut out = Vec::new();
    for cover in so_far {
        let tries =
            subsets(&wide).into_iter().map(|chosen| finish_axles(wheels, &cover.with(&chosen)));
        out.extend(least(tries.collect()));
    }
    out
}

/// Covers what is left of a vehicle: an axle where both its wheels are left, else the wheel alone.
fn finish_axles<'a>(wheels: &[&'a Wheel], cover: &Cover<'a>) -> Cover<'a> {
    let mut axles: BTreeMap<u32, Vec<&'a Wheel>> = BTreeMap::new();
    for wheel in wheels.iter().filter(|wheel| !cover.covers(wheel)) {
        axles.entry(wheel.axle).or_default().push(wheel);
    }
    let rest: Vec<Group<'a>> = axles
        .into_values()
        .map(|faulty| Group {
            kind: if faulty.len() > 1 { CauseKind::Axle } else { CauseKind::Wheel },
            faulty,
        })
        .collect();
    cover.with(&rest)
}

/// The least of many, equal ones kept, at most six.
fn least(mut covers: Vec<Cover<'_>>) -> Vec<Cover<'_>> {
    covers.sort_by_key(Cover::size);
    let best = covers.first().map(Cover::size);
    covers.retain(|cover| Some(cover.size()) == best);
    covers.truncate(MOST);
    covers
}

/// All subsets of a few groups; at most three groups come here.
fn subsets<'a>(groups: &[Group<'a>]) -> Vec<Vec<Group<'a>>> {
    groups.iter().fold(vec![Vec::new()], |mut sets, group| {
        let longer: Vec<Vec<Group<'a>>> = sets
            .iter()
            .map(|set| set.iter().cloned().chain(std::iter::once(group.clone())).collect())
            .collect();
        sets.extend(longer);
        sets
    })
}

/// No wheel of the kind works.
fn none_works(map: &Map<'_>, of: impl Fn(&Wheel) -> bool) -> bool {
    !map.each().any(|(w, c)| of(w) && matches!(c, Contact::Good | Contact::Weak))
}

/// One side throughout, where faults are in several vehicles.
fn lead<'a>(map: &Map<'a>, side: Side) -> Option<Group<'a>> {
    let faulty: Vec<&Wheel> = map
        .each()
        .filter(|(w, c)| w.side == side && *c == Contact::Faulty)
        .map(|(w, _)| w)
        .collect();
    let several = faulty.iter().any(|w| w.vehicle != faulty[0].vehicle);
    (several && none_works(map, |w| w.side == side))
        .then_some(Group { kind: CauseKind::Lead, faulty })
}

/// Sides of one vehicle with two faulty wheels or more and no working one.
fn vehicle_sides<'a>(map: &Map<'a>, wheels: &[&'a Wheel]) -> Vec<Group<'a>> {
    let of_side = |side: Side| {
        let faulty: Vec<&Wheel> = wheels.iter().copied().filter(|w| w.side == side).collect();
        let vehicle = faulty.first()?.vehicle.as_str();
        (faulty.len() > 1 && none_works(map, |w| w.side == side && w.vehicle == vehicle))
            .then_some(Group { kind: CauseKind::VehicleSide, faulty })
    };
    Side::ALL.into_iter().filter_map(of_side).collect()
}

/// The whole vehicle, where both sides and several axles fail and no wheel works.
fn whole_vehicle<'a>(map: &Map<'a>, wheels: &[&'a Wheel]) -> Option<Group<'a>> {
    let first = wheels.first()?;
    let both = wheels.iter().any(|w| w.side != first.side);
    let axles = wheels.iter().any(|w| w.axle != first.axle);
    (both && axles && none_works(map, |w| w.vehicle == first.vehicle))
        .then(|| Group { kind: CauseKind::Vehicle, faulty: wheels.to_vec() })
}

fn explanation(cover: &Cover<'_>, map: &Map<'_>) -> Explanation {
    let mut groups = cover.causes.clone();
    groups.sort_by_key(|group| group.kind);
    let causes: Vec<Cause> = groups.iter().map(|group| cause(group, map)).collect();
    let told: Vec<&str> = causes.iter().map(|cause| cause.sentence.as_str()).collect();
    let sentence = match told.as_slice() {
        [one] => (*one).to_owned(),
        many => format!("{} causes together. {}", many.len(), many.join(" ")),
    };
    Explanation { causes, sentence }
}

fn cause(group: &Group<'_>, map: &Map<'_>) -> Cause {
    let in_map = |w: &&Wheel| group.faulty.iter().any(|f| f.id == w.id);
    let wheels = map.input.wheels.iter().filter(in_map).map(|w| w.id.clone()).collect();
    let sentence = group.faulty.first().map(|wheel| tell(group.kind, wheel)).unwrap_or_default();
    Cause { kind: group.kind, wheels, sentence }
}

fn tell(kind: CauseKind, wheel: &Wheel) -> String {
    let (side, vehicle, axle) = (wheel.side.word(), wheel.vehicle.as_str(), wheel.axle);
    match kind {
        CauseKind::Lead => format!(
            "Every {side} wheel fails in more than one vehicle: look at the common {side} lead to the \
             decoder terminal."
        ),
        CauseKind::Vehicle => {
            format!("Every wheel of the {vehicle} fails: look at its lead or plug.")
        }
        CauseKind::VehicleSide => format!(
            "Every {side} wheel of the {vehicle} fails: look at that side’s collector or its lead."
        ),
        CauseKind::Axle => format!(
            "Both wheels of axle {axle}, {vehicle}, fail: look at that axle’s contacts, then for a \
             broken axle or gear."
        ),
        CauseKind::Wheel => {
            format!("{} fails by itself: look at its wiper and clean its tread.", wheel.id)
        }
    }
}
