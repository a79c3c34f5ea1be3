//! Steam engines: boiler, chimney, dome, cab, tanks or tender. Chimney end at the left.
//! All measures in metres of the prototype.

use super::body::buffers;
use super::gear::{Gear, Set, Wheel, set_out, set_vehicle};
use super::{Board, Plan};
use crate::draw::arrangement::{Arrangement, Group, Vehicle};

/// Radius of the driving wheels, m, by what runs before them and how many there are: fast engines
/// have bogies in front and few large drivers. Common practice, no source.
fn driver_radius(wheels: &Arrangement) -> f64 {
    let groups = wheels.vehicles.first().map_or(&[][..], |v| &v.groups);
    let coupled = groups.iter().filter(|g| g.coupled).map(|g| g.axles.len()).max().unwrap_or(1);
    let by_front: f64 = match leading(wheels) {
        0 => 0.62,
        1 => 0.74,
        _ => 0.9,
    };
    let most = match coupled {
        0..=3 => 0.95,
        4 => 0.72,
        _ => 0.64,
    };
    by_front.min(most)
}

/// Number of carrying axles before the first driven one.
fn leading(wheels: &Arrangement) -> usize {
    let groups = wheels.vehicles.first().map_or(&[][..], |v| &v.groups);
    groups.iter().flat_map(|g| &g.axles).take_while(|driven| !**driven).count()
}

/// The parts every steam engine has.
struct Engine {
    /// Front of the smokebox, back of the boiler (front of the cab).
    boiler: (f64, f64),
    /// Bottom and top of the boiler.
    barrel: (f64, f64),
    /// Top of the chimney.
    chimney: f64,
    /// Back of the cab.
    cab_end: f64,
    /// Height of the running plate.
    plate: f64,
    /// Height of the cab's side.
    eaves: f64,
}

fn boiler(board: &mut Board, e: &Engine, h: f64) {
    let (front, back) = e.boiler;
    let (low, high) = e.barrel;
    let box_back = front + (back - front) * 0.17;
    board.rect("", (front + 0.1, e.plate), (box_back, low + 0.3 * h));
    let r = 0.16 * h;
    let shell = board
        .from(back, low)
        .to(front + r * 0.3, low)
        .bend((front - 0.05, f64::midpoint(low, high)), (front + r * 0.3, high))
        .to(back, high)
        .close();
    board.put("", shell);
    board.stroke("t", (box_back, low), (box_back, high));
    chimney(board, front + (box_back - front) * 0.5 + 0.05, (high, e.chimney), h);
}

fn chimney(board: &mut Board, x: f64, (low, high): (f64, f64), h: f64) {
    let w = 0.21 * h;
    let lip = 0.12 * h;
    let stack = board
        .from(x - w * 1.25, low)
        .bend((x - w, low + 0.06 * h), (x - w, low + 0.15 * h))
        .to(x - w * 0.95, high - lip)
        .to(x - w * 1.2, high - lip)
        .to(x - w * 1.2, high)
        .to(x + w * 1.2, high)
        .to(x + w * 1.2, high - lip)
        .to(x + w * 0.95, high - lip)
        .to(x + w, low + 0.15 * h)
        .bend((x + w, low + 0.06 * h), (x + w * 1.25, low))
        .close();
    board.put("", stack);
}

fn dome(board: &mut Board, x: f64, low: f64, h: f64) {
    let (w, high) = (0.34 * h, low + 0.46 * h);
    let pencil = board
        .from(x - w, low)
        .to(x - w, low + 0.2 * h)
        .bend((x - w, high), (x, high))
        .bend((x + w, high), (x + w, low + 0.2 * h))
        .to(x + w, low)
        .close();
    board.put("", pencil);
}

fn steam_cab(board: &mut Board, e: &Engine, h: f64, closed: bool) {
    let (from, to) = (e.boiler.1, e.cab_end);
    let wide = to - from;
    board.rect("", (from, e.plate), (to, e.eaves));
    let over = 0.16 * h;
    let roof = board
        .from(from - over, e.eaves)
        .bend((f64::midpoint(from, to), e.eaves + 0.62 * h), (to + over, e.eaves))
        .close();
    board.put("", roof);
    let sill = e.plate + (e.eaves - e.plate) * 0.52;
    let head = e.eaves - 0.3 * h;
    if closed {
        board.rect("g", (from + wide * 0.14, sill), (from + wide * 0.5, head));
        board.rect("o", (from + wide * 0.62, e.plate + 0.12 * h), (from + wide * 0.9, head));
    } else {
        let cut = board
            .from(from + wide * 0.3, head)
            .to(from + wide * 0.3, sill)
            .bend((from + wide * 0.34, sill - 0.5 * h), (from + wide * 0.62, sill - 0.5 * h))
            .to(to, sill - 0.5 * h)
            .to(to, head)
            .close();
        board.put("g", cut);
    }
}

/// Cylinder ahead of the drivers and its rod to the second of them.
fn motion(board: &mut Board, gear: &mut Gear, x: f64, h: f64) {
    let Some(first) = gear.first_driver() else { return };
    let y = first.r * 0.95;
    let to = main_driver(gear, first);
    let half = (first.x - first.r - x).min(x - 0.05 * h).clamp(0.08 * h, 0.42 * h);
    board.rect("", (x - half, y - 0.14 * h), (x + half, y + 0.34 * h));
    gear.rods.push(((x + half, y), (to.x, to.r * 0.78)));
}

/// The wheel the piston works on: the second driver where there is one.
fn main_driver(gear: &Gear, first: Wheel) -> Wheel {
    let same = gear.wheels.iter().filter(|w| (w.r - first.r).abs() < 1e-9);
    same.copied().nth(1).unwrap_or(first)
}

fn plate(board: &mut Board, (from, to): (f64, f64), y: f64, h: f64) {
    board.rect("", (from, y - 0.2 * h), (to, y));
}

/// An engine with tanks beside the boiler, cab and bunker.
pub(super) fn side_tank(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let e = Engine {
        boiler: (0.1 * l, 0.62 * l),
        barrel: (1.6 * h, 2.85 * h),
        chimney: 3.85 * h,
        cab_end: 0.8 * l,
        plate: 1.4 * h,
        eaves: 3.45 * h,
    };
    boiler(board, &e, h);
    dome(board, 0.4 * l, e.barrel.1, h);
    board.rect("", (0.27 * l, e.plate), (0.62 * l, 2.65 * h));
    board.stroke("t", (0.27 * l, 2.53 * h), (0.62 * l, 2.53 * h));
    steam_cab(board, &e, h, true);
    let bunker = board
        .from(0.8 * l, e.plate)
        .to(0.8 * l, 2.65 * h)
        .to(0.9 * l, 2.65 * h)
        .to(0.945 * l, 2.75 * h)
        .to(0.945 * l, e.plate)
        .close();
    board.put("", bunker);
    plate(board, (0.04 * l, 0.96 * l), e.plate, h);
    buffers(board, l, 1.04 * h);
    engine_wheels(board, plan, wheels, (0.06 * l, 0.9 * l))
}

/// A small engine with the tank saddled over the boiler, an open cab and no bunker.
pub(super) fn saddle_tank(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let e = Engine {
        boiler: (0.11 * l, 0.66 * l),
        barrel: (1.5 * h, 2.5 * h),
        chimney: 3.5 * h,
        cab_end: 0.9 * l,
        plate: 1.28 * h,
        eaves: 3.15 * h,
    };
    boiler(board, &e, h);
    let (from, to, low, high) = (0.235 * l, 0.63 * l, 1.95 * h, 2.85 * h);
    let saddle = board
        .from(from, low)
        .to(from, high - 0.28 * h)
        .bend((from, high), (from + 0.28 * h, high))
        .to(to - 0.28 * h, high)
        .bend((to, high), (to, high - 0.28 * h))
        .to(to, low)
        .close();
    board.put("", saddle);
    for part in [0.33, 0.67] {
        let x = from + (to - from) * part;
        board.stroke("t", (x, low), (x, high));
    }
    board.rect("", (from + 0.3 * h, high), (from + 0.75 * h, high + 0.14 * h));
    steam_cab(board, &e, h, false);
    plate(board, (0.05 * l, 0.95 * l), e.plate, h);
    buffers(board, l, 1.0 * h);
    engine_wheels(board, plan, wheels, (0.1 * l, 0.9 * l))
}

/// Wheels under an engine and its motion; the cylinder stands before the first driver. Without a
/// carrying axle in front the wheels stand further back, to leave it room.
fn engine_wheels(board: &mut Board, plan: &Plan, wheels: &Arrangement, room: (f64, f64)) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let driver = driver_radius(wheels) * h;
    let room = if leading(wheels) == 0 { (0.19 * l, room.1) } else { room };
    let set = Set { room, driver, carrier: 0.43 * h, spread: 1.3, rods: true };
    let mut gear = set_out(wheels, &set);
    let ahead = gear.first_driver().map_or(room.0, |d| d.x - d.r - 0.45 * h);
    motion(board, &mut gear, ahead.clamp(0.09 * l, 0.2 * l), h);
    gear
}

/// An engine and its tender.
pub(super) fn tender_engine(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let engine = wheels.vehicles.first().cloned().unwrap_or(Vehicle { groups: Vec::new() });
    let tender = wheels.vehicles.get(1).cloned().unwrap_or_else(three_axles);
    // The tender takes 0.36 to 0.44 of the length, more when it has more axles than the engine.
    let (a, b) = (count(&engine), count(&tender));
    let split = (1.0 - (0.12 + 0.56 * b / (a + b)).clamp(0.33, 0.46)) * l;
    let alone = Arrangement { vehicles: vec![engine] };
    let driver = driver_radius(&alone) * h;
    let plate_y = (2.0 * driver + 0.12 * h).max(1.45 * h);
    let e = Engine {
        boiler: (0.045 * l, split * 0.74),
        barrel: (plate_y + 0.2 * h, plate_y + 1.65 * h),
        chimney: (plate_y + 2.25 * h).max(3.95 * h),
        cab_end: split * 0.955,
        plate: plate_y,
        eaves: plate_y + 2.15 * h,
    };
    boiler(board, &e, h);
    dome(board, split * 0.38, e.barrel.1, h);
    board.rect("", (split * 0.58, e.barrel.1), (split * 0.66, e.barrel.1 + 0.2 * h));
    board.stroke("t", (split * 0.55, e.barrel.0), (split * 0.55, e.barrel.1));
    steam_cab(board, &e, h, true);
    plate(board, (0.022 * l, split * 0.97), plate_y, h);
    tender_body(board, (split + 0.012 * l, 0.975 * l), e.eaves, h);
    board.stroke("", (split * 0.97, 1.1 * h), (split + 0.012 * l, 1.1 * h));
    buffers(board, l, 1.04 * h);
    let set =
        Set { room: (0.03 * l, split * 0.95), driver, carrier: 0.45 * h, spread: 1.35, rods: true };
    let mut gear = set_out(&alone, &set);
    let x = gear.first_driver().map_or(0.1 * l, |d| d.x - d.r - 0.55 * h).clamp(0.05 * l, 0.2 * l);
    motion(board, &mut gear, x, h);
    let room = (split + 0.03 * l, 0.955 * l);
    let own = Set { room, driver: 0.5 * h, carrier: 0.5 * h, spread: 1.7, rods: false };
    gear.extend(set_vehicle(&tender, &own));
    gear
}

fn tender_body(board: &mut Board, (from, to): (f64, f64), eaves: f64, h: f64) {
    let (sole, top) = (1.25 * h, (eaves - 0.6 * h).min(3.2 * h));
    let coal = board
        .from(from + 0.1 * h, top)
        .to(from + 0.3 * h, top + 0.4 * h)
        .bend(
            (from + (to - from) * 0.35, top + 0.7 * h),
            (from + (to - from) * 0.6, top + 0.22 * h),
        )
        .to(to - 0.6 * h, top)
        .close();
    board.put("t", coal);
    board.rect("", (from, sole), (to, top));
    board.stroke("t", (from, top - 0.18 * h), (to, top - 0.18 * h));
    board.rect("", (from, sole - 0.2 * h), (to, sole));
}

fn three_axles() -> Vehicle {
    Vehicle { groups: vec![Group { axles: vec![false; 3], coupled: false, bogie: false }] }
}

fn count(vehicle: &Vehicle) -> f64 {
    f64::from(u32::try_from(vehicle.axles().max(1)).unwrap_or(1))
}
