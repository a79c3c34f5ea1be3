//! Where the wheels stand: an arrangement spread over the room a body gives it.

use crate::draw::arrangement::{Arrangement, Group, Vehicle};

/// One wheel, metres of the prototype, standing on the rail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wheel {
    /// Distance of its centre from the front.
    pub x: f64,
    /// Radius.
    pub r: f64,
}

/// A stroke from one point to another, metres.
pub(super) type Stroke = ((f64, f64), (f64, f64));

/// All wheels of a model with rods and bogie frames.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Gear {
    pub wheels: Vec<Wheel>,
    pub rods: Vec<Stroke>,
    pub frames: Vec<Stroke>,
    /// Wheels stand behind the body (a tram's skirts).
    pub behind: bool,
}

impl Gear {
    /// Height of the highest wheel, metres.
    pub fn top(&self) -> f64 {
        self.wheels.iter().map(|w| 2.0 * w.r).fold(0.0, f64::max)
    }

    /// The foremost of the largest wheels, if there is one.
    pub fn first_driver(&self) -> Option<Wheel> {
        let largest = self.wheels.iter().map(|w| w.r).fold(0.0, f64::max);
        self.wheels.iter().copied().find(|w| w.r > largest - 1e-9)
    }

    /// Adds another vehicle's wheels.
    pub fn extend(&mut self, other: Gear) {
        self.wheels.extend(other.wheels);
        self.rods.extend(other.rods);
        self.frames.extend(other.frames);
    }
}

/// How wheels are to be set out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Set {
    /// The room for wheel centres and rims, from and to, metres from the front.
    pub room: (f64, f64),
    /// Radius of driven wheels in the main frame, m.
    pub driver: f64,
    /// Radius of all others, m.
    pub carrier: f64,
    /// How far beyond their usual distance axles may be spread.
    pub spread: f64,
    /// Coupled axles show their rod.
    pub rods: bool,
}

/// Sets out all vehicles of an arrangement in one room.
pub(super) fn set_out(all: &Arrangement, set: &Set) -> Gear {
    let vehicles = f64::from(u32::try_from(all.vehicles.len().max(1)).unwrap_or(1));
    let each = (set.room.1 - set.room.0) / vehicles;
    let mut gear = Gear::default();
    let mut from = set.room.0;
    for vehicle in &all.vehicles {
        let mut part = *set;
        let air = if all.vehicles.len() > 1 { each * 0.06 } else { 0.0 };
        part.room = (from + air, from + each - air);
        gear.extend(set_vehicle(vehicle, &part));
        from += each;
    }
    gear
}

/// Sets out one vehicle: bogies at even distances, or groups in a row in the main frame.
pub(super) fn set_vehicle(vehicle: &Vehicle, set: &Set) -> Gear {
    let all_bogies = vehicle.groups.len() > 1 && vehicle.groups.iter().all(|g| g.bogie);
    if all_bogies { bogies(&vehicle.groups, set) } else { row(&vehicle.groups, set) }
}

/// Bogies: their middles at even distances, their frame a stroke over the wheels.
fn bogies(groups: &[Group], set: &Set) -> Gear {
    let (from, to) = set.room;
    let count = f64::from(u32::try_from(groups.len()).unwrap_or(2));
    let most = groups.iter().map(|g| g.axles.len()).max().unwrap_or(2);
    let most = f64::from(u32::try_from(most).unwrap_or(2));
    // A bogie may take two thirds of its share of the room.
    let share = (to - from) / count * 0.72;
    let r = set.carrier.min(share / (2.0 * most) * 0.92);
    let step = (r * 2.5).min(if most > 1.0 { (share - 2.0 * r) / (most - 1.0) } else { 0.0 });
    let half = step * (most - 1.0) / 2.0 + r;
    let mut gear = Gear::default();
    for (i, group) in groups.iter().enumerate() {
        let part = f64::from(u32::try_from(i).unwrap_or(0)) / (count - 1.0).max(1.0);
        let middle = (from + half) + (to - from - 2.0 * half) * part;
        let axles = f64::from(u32::try_from(group.axles.len()).unwrap_or(1));
        let first = middle - step * (axles - 1.0) / 2.0;
        let mut x = first;
        for _ in &group.axles {
            gear.wheels.push(Wheel { x, r });
            x += step;
        }
        let y = r * 1.62;
        gear.frames.push(((first - r * 1.1, y), (x - step + r * 1.1, y)));
    }
    gear
}

/// Groups one after another; distances grow to fill the room as far as `spread` allows, and
/// everything shrinks when it would not fit.
fn row(groups: &[Group], set: &Set) -> Gear {
    let mut wheels: Vec<(f64, usize)> = Vec::new();
    for (i, group) in groups.iter().enumerate() {
        for driven in &group.axles {
            let r =
                if *driven && (!group.bogie || group.coupled) { set.driver } else { set.carrier };
            wheels.push((r, i));
        }
    }
    let gaps: Vec<f64> = wheels.windows(2).map(|w| natural_gap(w[0], w[1])).collect();
    let ends = wheels.first().map_or(0.0, |w| w.0) + wheels.last().map_or(0.0, |w| w.0);
    let span: f64 = gaps.iter().sum();
    let room = set.room.1 - set.room.0;
    let shrink = (room / (span + ends)).min(1.0);
    // Axles without rods between them may stand wider apart.
    let loose = groups.iter().all(|g| !g.coupled);
    let spread = set.spread * if loose { 1.7 } else { 1.0 };
    let grow = if span > 0.0 { ((room - ends) / span).clamp(1.0, spread.max(1.0)) } else { 1.0 };
    let total = (span * grow + ends) * shrink;
    let mut x = set.room.0 + (room - total) / 2.0;
    let mut gear = Gear::default();
    for (i, (r, _)) in wheels.iter().enumerate() {
        x += if i == 0 { r * shrink } else { gaps[i - 1] * grow * shrink };
        gear.wheels.push(Wheel { x, r: r * shrink });
    }
    if set.rods {
        gear.rods = rods(groups, &gear.wheels);
    }
    gear
}

/// Usual distance of two neighbouring axles: rims just apart, a little more between groups.
fn natural_gap((a, in_a): (f64, usize), (b, in_b): (f64, usize)) -> f64 {
    (a + b) * 1.08 + if in_a == in_b { 0.05 } else { 0.12 }
}

/// A rod through the crank pins of every group of coupled axles.
fn rods(groups: &[Group], wheels: &[Wheel]) -> Vec<Stroke> {
    let mut out = Vec::new();
    let mut at = 0;
    for group in groups {
        let own = &wheels[at..at + group.axles.len()];
        at += group.axles.len();
        if let (true, [first, .., last]) = (group.coupled, own) {
            out.push(((first.x, first.r * 0.78), (last.x, last.r * 0.78)));
        }
    }
    out
}
