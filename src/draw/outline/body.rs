//! Bodies without steam: shunters, bogie locomotives, railcars, trams, the plain box.
//! All measures in metres of the prototype, `h` brings heights to the size of the model at hand.

use super::gear::{Gear, Set, set_out};
use super::{Board, Plan};
use crate::draw::arrangement::Arrangement;

/// Buffers at both ends, their height above the rail.
pub(super) fn buffers(board: &mut Board, length: f64, y: f64) {
    let reach = (length * 0.045).min(0.42);
    let half = 0.26 * y;
    for (tip, root) in [(0.0, reach), (length, length - reach)] {
        board.stroke("", (tip, y), (root, y));
        board.stroke("", (tip, y - half), (tip, y + half));
    }
}

/// A running plate or frame from end to end.
fn frame(board: &mut Board, length: f64, (low, high): (f64, f64)) {
    let inset = (length * 0.045).min(0.42);
    board.rect("", (inset, low), (length - inset, high));
}

/// A box with softened upper corners.
fn rounded(board: &mut Board, (x1, x2): (f64, f64), (low, high): (f64, f64), r: f64) {
    let pencil = board
        .from(x1, low)
        .to(x1, high - r)
        .bend((x1, high), (x1 + r, high))
        .to(x2 - r, high)
        .bend((x2, high), (x2, high - r))
        .to(x2, low)
        .close();
    board.put("", pencil);
}

/// A cab with an arched roof that stands over its sides by a little.
fn cab(board: &mut Board, (x1, x2): (f64, f64), (low, high): (f64, f64), arch: f64) {
    let middle = f64::midpoint(x1, x2);
    let pencil =
        board.from(x1, low).to(x1, high).bend((middle, high + 2.0 * arch), (x2, high)).to(x2, low);
    board.put("", pencil.close());
}

/// Windows of equal width between `x1` and `x2`.
fn windows(board: &mut Board, (x1, x2): (f64, f64), (low, high): (f64, f64), count: u32, gap: f64) {
    let n = f64::from(count.max(1));
    let wide = (x2 - x1 - gap * (n - 1.0)) / n;
    for i in 0..count {
        let x = x1 + f64::from(i) * (wide + gap);
        board.rect("g", (x, low), (x + wide, high));
    }
}

fn loco_wheels(plan: &Plan, wheels: &Arrangement, room: (f64, f64)) -> Gear {
    let h = plan.tall;
    let set = Set { room, driver: 0.55 * h, carrier: 0.48 * h, spread: 1.45, rods: true };
    set_out(wheels, &set)
}

/// A shunter: bonnet in front, cab behind.
pub(super) fn bonnet_shunter(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (floor, bonnet, roof) = (1.26 * h, 2.95 * h, 3.65 * h);
    rounded(board, (0.085 * l, 0.62 * l), (floor, bonnet), 0.18 * h);
    cab(board, (0.62 * l, 0.9 * l), (floor, roof), 0.2 * h);
    windows(board, (0.65 * l, 0.87 * l), (2.4 * h, 3.05 * h), 2, 0.035 * l);
    board.louvres((0.12 * l, 0.21 * l), (1.6 * h, 2.6 * h), 4);
    for x in [0.31, 0.46] {
        board.stroke("t", (x * l, 1.45 * h), (x * l, 2.8 * h));
    }
    board.rect("", (0.3 * l, bonnet), (0.33 * l, bonnet + 0.35 * h));
    buffers(board, l, 1.04 * h);
    frame(board, l, (0.87 * h, floor));
    loco_wheels(plan, wheels, (0.13 * l, 0.76 * l))
}

/// A short bonnet, a cab over its full height, a long bonnet with its doors and a railing.
pub(super) fn bonnet_and_cab(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (floor, low, long, roof) = (1.45 * h, 2.6 * h, 3.35 * h, 3.9 * h);
    rounded(board, (0.08 * l, 0.2 * l), (floor, low), 0.2 * h);
    rounded(board, (0.35 * l, 0.93 * l), (floor, long), 0.12 * h);
    cab(board, (0.2 * l, 0.35 * l), (floor, roof), 0.12 * h);
    windows(board, (0.22 * l, 0.33 * l), (2.75 * h, 3.45 * h), 2, 0.02 * l);
    board.louvres((0.4 * l, 0.76 * l), (1.65 * h, 2.85 * h), 10);
    board.rect("g", (0.8 * l, 1.9 * h), (0.9 * l, 3.0 * h));
    board.louvres((0.825 * l, 0.875 * l), (1.9 * h, 3.0 * h), 3);
    board.rect("", (0.52 * l, long), (0.56 * l, long + 0.3 * h));
    buffers(board, l, 1.04 * h);
    frame(board, l, (1.2 * h, floor));
    railing(board, (0.045 * l, 0.08 * l), (floor, 2.35 * h));
    railing(board, (0.93 * l, 0.955 * l), (floor, 2.35 * h));
    board.rect("", (0.41 * l, 0.55 * h), (0.59 * l, 1.2 * h));
    loco_wheels(plan, wheels, (0.07 * l, 0.93 * l))
}

fn railing(board: &mut Board, (x1, x2): (f64, f64), (low, high): (f64, f64)) {
    board.stroke("t", (x1, high), (x2, high));
    board.stroke("t", (x1, low), (x1, high));
}

/// A cab in the middle between two bonnets.
pub(super) fn centre_cab(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (floor, bonnet, roof) = (1.17 * h, 2.85 * h, 3.75 * h);
    for (x1, x2) in [(0.05 * l, 0.365 * l), (0.635 * l, 0.95 * l)] {
        rounded(board, (x1, x2), (floor, bonnet), 0.18 * h);
    }
    cab(board, (0.365 * l, 0.635 * l), (floor, roof), 0.18 * h);
    windows(board, (0.395 * l, 0.605 * l), (2.42 * h, 3.22 * h), 2, 0.03 * l);
    board.louvres((0.105 * l, 0.185 * l), (1.55 * h, 2.5 * h), 3);
    board.louvres((0.815 * l, 0.895 * l), (1.55 * h, 2.5 * h), 3);
    buffers(board, l, 1.04 * h);
    frame(board, l, (0.87 * h, floor));
    loco_wheels(plan, wheels, (0.14 * l, 0.86 * l))
}

/// A full-width body with raked ends, cab windows at both, grilles between.
pub(super) fn box_body(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (sole, waist, roof) = (0.95 * h, 2.5 * h, 3.95 * h);
    let e = (0.035 * l).min(0.5);
    let (nose, brow) = (e, e + 0.3 * h);
    let body = board
        .from(nose, sole)
        .to(nose, waist)
        .to(brow, roof - 0.35 * h)
        .bend((brow + 0.05 * l, roof), (brow + 0.1 * l, roof))
        .to(l - brow - 0.1 * l, roof)
        .bend((l - brow - 0.05 * l, roof), (l - brow, roof - 0.35 * h))
        .to(l - nose, waist)
        .to(l - nose, sole)
        .close();
    board.put("", body);
    board.stroke("t", (nose, waist - 0.25 * h), (l - nose, waist - 0.25 * h));
    board.stroke("t", (brow, roof - 0.38 * h), (l - brow, roof - 0.38 * h));
    for (x1, x2) in [(brow + 0.012 * l, 0.1 * l), (0.9 * l, l - brow - 0.012 * l)] {
        board.rect("g", (x1, waist + 0.05 * h), (x2, 3.3 * h));
    }
    for x in [0.125 * l, 0.835 * l] {
        board.rect("o", (x, 1.15 * h), (x + 0.04 * l, 3.35 * h));
    }
    let wide = 0.1 * l;
    for i in 0..5 {
        let x = 0.2 * l + f64::from(i) * 0.125 * l;
        if i % 2 == 0 {
            board.rect("o", (x, waist - 0.1 * h), (x + wide, 3.35 * h));
            board.louvres((x + wide * 0.14, x + wide * 0.86), (waist - 0.1 * h, 3.35 * h), 6);
        } else {
            board.rect("g", (x + wide * 0.28, waist + 0.2 * h), (x + wide * 0.72, 3.1 * h));
        }
    }
    board.rect("", (0.38 * l, roof), (0.62 * l, roof + 0.16 * h));
    buffers(board, l, 1.04 * h);
    board.rect("", (0.4 * l, 0.5 * h), (0.6 * l, sole));
    loco_wheels(plan, wheels, (0.09 * l, 0.91 * l))
}

/// A railcar: rounded ends, doors, windows all along.
pub(super) fn railcar(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (sole, roof) = (0.7 * h, 3.48 * h);
    let (e, curve) = ((0.028 * l).min(0.4), (0.065 * l).min(0.9));
    let body = board
        .from(e, sole)
        .to(e, 2.26 * h)
        .bend((e + 0.1 * curve, roof), (e + curve, roof))
        .to(l - e - curve, roof)
        .bend((l - e - 0.1 * curve, roof), (l - e, 2.26 * h))
        .to(l - e, sole)
        .close();
    board.put("", body);
    let light = (2.0 * h, 2.87 * h);
    // Two doors; windows in three bays between and beside them, each about 1.5 m wide.
    let bays = [(0.09 * l, 0.36 * l), (0.44 * l, 0.56 * l), (0.64 * l, 0.91 * l)];
    for (x1, x2) in bays {
        let count = if x2 - x1 < 2.4 { 1 } else { whole((x2 - x1) / 1.75) };
        windows(board, (x1, x2), light, count, 0.22 * h);
    }
    for x in [0.378 * l, 0.578 * l] {
        board.rect("o", (x, sole + 0.12 * h), (x + 0.044 * l, 3.1 * h));
        board.rect("g", (x + 0.009 * l, light.0), (x + 0.035 * l, light.1));
    }
    board.stroke("t", (e, 1.57 * h), (l - e, 1.57 * h));
    buffers(board, l, 0.98 * h);
    let set = Set {
        room: (0.12 * l, 0.88 * l),
        driver: 0.47 * h,
        carrier: 0.45 * h,
        spread: 6.0,
        rods: false,
    };
    // Two axles stand further in than bogies do.
    let bogies = wheels.vehicles.iter().any(|v| v.groups.len() > 1);
    let room = if bogies { set.room } else { (0.19 * l, 0.81 * l) };
    set_out(wheels, &Set { room, ..set })
}

/// A number of windows, 1 to 12.
fn whole(value: f64) -> u32 {
    (1..=12u32).rev().find(|n| f64::from(*n) <= value).unwrap_or(1)
}

/// A tram: open platforms, large windows, skirts over small wheels, a raised roof.
pub(super) fn tram(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (skirt, floor, eaves) = (0.42 * h, 0.85 * h, 3.0 * h);
    // Saloon between two platforms with a dash each.
    board.rect("", (0.19 * l, skirt), (0.81 * l, eaves));
    for (tip, root) in [(0.035 * l, 0.19 * l), (0.965 * l, 0.81 * l)] {
        let dash = board.from(tip, skirt + 0.12 * h).to(tip, 1.75 * h).to(root, 1.75 * h);
        let dash = dash.to(root, skirt + 0.12 * h).close();
        board.put("", dash);
        board.stroke("", (tip, 1.75 * h), (tip, eaves));
        let head = tip + (root - tip) * 0.5;
        board.stroke("t", (head, 1.75 * h), (head, eaves));
    }
    let bows = board
        .from(0.015 * l, eaves)
        .bend((0.03 * l, eaves + 0.28 * h), (0.1 * l, eaves + 0.28 * h))
        .to(0.9 * l, eaves + 0.28 * h)
        .bend((0.97 * l, eaves + 0.28 * h), (0.985 * l, eaves))
        .close();
    board.put("", bows);
    board.rect("", (0.24 * l, eaves + 0.28 * h), (0.76 * l, eaves + 0.55 * h));
    board.louvres((0.31 * l, 0.69 * l), (eaves + 0.28 * h, eaves + 0.55 * h), 7);
    windows(board, (0.22 * l, 0.78 * l), (1.75 * h, 2.75 * h), 4, 0.022 * l);
    board.stroke("t", (0.19 * l, 1.5 * h), (0.81 * l, 1.5 * h));
    board.stroke("t", (0.19 * l, floor), (0.81 * l, floor));
    // The pole, trailing.
    board.stroke("o", (0.5 * l, eaves + 0.55 * h), (0.86 * l, eaves + 1.25 * h));
    board.stroke("o", (0.47 * l, eaves + 0.55 * h), (0.53 * l, eaves + 0.55 * h));
    board.stroke("t", (0.0, 0.75 * h), (0.035 * l, 0.75 * h));
    board.stroke("t", (l, 0.75 * h), (0.965 * l, 0.75 * h));
    let set = Set {
        room: (0.22 * l, 0.78 * l),
        driver: 0.4 * h,
        carrier: 0.36 * h,
        spread: 2.2,
        rods: false,
    };
    let mut gear = set_out(wheels, &set);
    gear.behind = true;
    gear
}

/// Anything else: a plain box on a frame with its diagonals, as a part is drawn before it is known.
pub(super) fn generic(board: &mut Board, plan: &Plan, wheels: &Arrangement) -> Gear {
    let (l, h) = (plan.length, plan.tall);
    let (floor, roof) = (1.2 * h, 3.6 * h);
    rounded(board, (0.06 * l, 0.94 * l), (floor, roof), 0.25 * h);
    board.stroke("t", (0.06 * l, floor), (0.94 * l, roof - 0.12 * h));
    board.stroke("t", (0.94 * l, floor), (0.06 * l, roof - 0.12 * h));
    buffers(board, l, 1.04 * h);
    frame(board, l, (0.9 * h, floor));
    loco_wheels(plan, wheels, (0.1 * l, 0.9 * l))
}
