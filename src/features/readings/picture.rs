//! The pickup map and the isolation walk made ready to draw, for every page that shows them.

use super::words;
use crate::aspect::Aspect;
use crate::calc::isolation::Point;
use crate::calc::{isolation, pickup};
use crate::draw::wheels::{Axle, KeyEntry, Map, State, Vehicle, Wheel};
use crate::draw::{arm, matrix};
use crate::features::circuits::model::{Side, Wheel as Kept};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::web::when;

/// The map of a conversion; `None` without wheels.
pub fn map(g: &Gathered, at: At) -> Option<Map> {
    if g.wheels.is_empty() {
        return None;
    }
    let verdict = pickup::run(&inputs::pickup(g)).ok();
    let aspect = |label: &str| {
        verdict
            .as_ref()
            .and_then(|v| v.wheels.iter().find(|w| w.id == label))
            .and_then(|w| w.finding.as_ref())
            .map_or(Aspect::Unlit, |f| f.aspect)
    };
    let mut vehicles: Vec<Vehicle> = Vec::new();
    for left in g.wheels.iter().filter(|w| w.draft.side == Side::Left) {
        let other = g
            .wheels
            .iter()
            .find(|w| w.draft.side == Side::Right && w.draft.axle == left.draft.axle);
        let Some(right) = other else { continue };
        let axle = Axle {
            left: wheel(g, left, aspect(&left.label())),
            right: wheel(g, right, aspect(&right.label())),
        };
        match vehicles.last_mut().filter(|v| v.name == left.draft.vehicle) {
            Some(v) => v.axles.push(axle),
            None => vehicles.push(Vehicle { name: left.draft.vehicle.clone(), axles: vec![axle] }),
        }
    }
    if vehicles.len() == 1 {
        vehicles[0].name.clear();
    }
    let newest = g.readings.iter().find(|r| r.draft.wheel_id.is_some());
    let note = newest.map(|r| {
        let day = when::day(r.draft.taken_at, at.now, at.offset);
        if r.person.is_empty() { day } else { format!("{day}, {}", r.person) }
    });
    Some(Map {
        vehicles,
        left_lead: "left rail, black lead".to_owned(),
        right_lead: "right rail, red lead".to_owned(),
        note: note.unwrap_or_default(),
    })
}

fn wheel(g: &Gathered, w: &Kept, aspect: Aspect) -> Wheel {
    let read = g.readings.iter().find(|r| r.draft.wheel_id == Some(w.id));
    let by_design = w.draft.dead_by_design || w.draft.traction_tyre;
    let reads = match read {
        _ if w.draft.dead_by_design => "dead by design".to_owned(),
        Some(r) if r.draft.steady == Some(false) => "comes and goes".to_owned(),
        Some(r) => words::reads(r),
        None if w.draft.traction_tyre => "tyre".to_owned(),
        None => "not measured".to_owned(),
    };
    let state = match aspect {
        _ if by_design => State::DeadByDesign,
        Aspect::Unlit => State::Unmeasured,
        Aspect::Caution | Aspect::Danger if reads == "open" => State::Open,
        Aspect::Clear | Aspect::Caution | Aspect::Danger => State::PicksUp,
    };
    Wheel {
        id: w.id.to_string(),
        label: w.label(),
        reads: if reads == "joined" { "picks up".to_owned() } else { reads },
        aspect,
        state,
        tyre: w.draft.traction_tyre,
    }
}

/// The isolation walk: its picture, the key of it, its verdict.
#[derive(Debug, Default)]
pub struct Walk {
    /// The picture; empty where nothing can be drawn.
    pub svg: String,
    /// Key of what occurs in it.
    pub key: Vec<KeyEntry>,
    /// Arm and word of the verdict.
    pub asp: String,
    /// The verdict's sentence.
    pub says: String,
}

/// The walk drawn: the worst state of each pair over the positions.
pub fn walk(g: &Gathered) -> Walk {
    let Ok(out) = isolation::run(&inputs::isolation(g)) else { return Walk::default() };
    let cells = || out.cells.iter().filter(|c| c.needed || c.reading.is_some());
    let mut points: Vec<Point> =
        cells().flat_map(|c| [c.pair.a.clone(), c.pair.b.clone()]).collect();
    points.sort();
    points.dedup();
    let index = |p: &Point| points.iter().position(|x| x == p);
    let mut pairs: Vec<matrix::Pair> = Vec::new();
    for cell in cells() {
        let (Some(a), Some(b)) = (index(&cell.pair.a), index(&cell.pair.b)) else { continue };
        let (link, reads) = (link(cell.aspect), cell.reads.clone());
        match pairs.iter_mut().find(|p| p.a == a && p.b == b) {
            Some(p) if rank(link) > rank(p.link) => (p.link, p.reads) = (link, reads),
            Some(_) => {}
            None => pairs.push(matrix::Pair { a, b, link, reads }),
        }
    }
    let drawn: Vec<matrix::Point> = points.iter().map(point).collect();
    Walk {
        svg: matrix::matrix_svg("What is joined to what", &drawn, &pairs),
        key: matrix::key(&pairs),
        asp: arm::asp(out.finding.aspect),
        says: out.finding.sentence,
    }
}

fn point(p: &Point) -> matrix::Point {
    let bank = match p {
        Point::RailLeft | Point::RailRight | Point::Frame => matrix::Bank::Track,
        Point::BrushA | Point::BrushB | Point::Lead(_) => matrix::Bank::Motor,
    };
    matrix::Point { name: p.word().to_owned(), bank }
}

fn link(aspect: Aspect) -> matrix::Link {
    match aspect {
        Aspect::Clear => matrix::Link::Open,
        Aspect::Caution => matrix::Link::Doubtful,
        Aspect::Unlit => matrix::Link::Unlit,
        Aspect::Danger => matrix::Link::Joined,
    }
}

/// From best to worst.
fn rank(link: matrix::Link) -> u8 {
    match link {
        matrix::Link::Open | matrix::Link::AsMeant => 0,
        matrix::Link::Doubtful => 1,
        matrix::Link::Unlit => 2,
        matrix::Link::Joined => 3,
    }
}
