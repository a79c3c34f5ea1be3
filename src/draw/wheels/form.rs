//! The pickup map as data for the bench form, where every wheel is a radio button.

use super::{Axle, Map, Run, State, Wheel, real, runs};
use crate::aspect::Aspect;
use crate::draw::arm;
use crate::draw::svg::{El, Path, num};

/// The map as data for a form: one group for every block of columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grid {
    /// Blocks from the front; a long vehicle makes several.
    pub groups: Vec<GridGroup>,
}

/// A block of axles of one vehicle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GridGroup {
    /// Name of the vehicle, empty when there is only one.
    pub vehicle: String,
    /// Number of the vehicle, from 0.
    pub index: usize,
    /// The first block of its vehicle.
    pub first: bool,
    /// The last block of its vehicle.
    pub last: bool,
    /// Number of axles in this block, 1 to 6.
    pub columns: usize,
    /// Classes of the block: `map c3`.
    pub class: String,
    /// Wheels on the left rail, from the front.
    pub left: Vec<Cell>,
    /// Wheels on the right rail, from the front.
    pub right: Vec<Cell>,
    /// The collectors between them, a drawing that fills its box.
    pub body_svg: String,
}

/// One wheel of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Its value in the form.
    pub id: String,
    /// Its name.
    pub label: String,
    /// What it reads.
    pub reads: String,
    /// Its aspect.
    pub aspect: Aspect,
    /// The aspect's word.
    pub word: &'static str,
    /// Arm and word as safe markup.
    pub asp: String,
    /// Classes of the wheel: `wheel`, `wheel open`, `wheel unlit`, `wheel design`, and `tyre`.
    pub class: String,
}

/// The map as data for the bench form, at most `most_columns` axles beside each other (1 to 6;
/// 4 fits a phone).
pub fn grid(map: &Map, most_columns: usize) -> Grid {
    let group = |run: Run<'_>| GridGroup {
        vehicle: run.name.to_owned(),
        index: run.vehicle,
        first: run.first,
        last: run.last,
        columns: run.axles.len(),
        class: format!("map c{}", run.axles.len()),
        left: run.axles.iter().map(|a| cell(&a.left)).collect(),
        right: run.axles.iter().map(|a| cell(&a.right)).collect(),
        body_svg: body_svg(run.axles),
    };
    Grid { groups: runs(map, most_columns.clamp(1, 6)).into_iter().map(group).collect() }
}

fn cell(w: &Wheel) -> Cell {
    let state = match w.state {
        State::PicksUp => "",
        State::Open => " open",
        State::Unmeasured => " unlit",
        State::DeadByDesign => " design",
    };
    let tyre = if w.tyre { " tyre" } else { "" };
    Cell {
        id: w.id.clone(),
        label: w.label.clone(),
        reads: w.reads.clone(),
        aspect: w.aspect,
        word: w.aspect.word(),
        asp: arm::asp(w.aspect),
        class: format!("wheel{state}{tyre}"),
    }
}

/// The two collectors between the wheels, stretched over the columns of a block.
fn body_svg(axles: &[Axle]) -> String {
    let width = real(axles.len()) * 100.0;
    let (upper, lower) = (40.0, 52.0);
    let mut lines = Path::new().m(0.0, upper).l(width, upper).m(0.0, lower).l(width, lower);
    let mut unlit = Path::new();
    for (i, axle) in axles.iter().enumerate() {
        let x = real(i) * 100.0 + 50.0;
        for (wheel, from, to, cut) in
            [(&axle.left, 0.0, upper, 21.0), (&axle.right, 92.0, lower, 71.0)]
        {
            match wheel.state {
                State::PicksUp => lines = lines.m(x, from).l(x, to),
                State::Unmeasured => unlit = unlit.m(x, from).l(x, to),
                State::DeadByDesign => {}
                State::Open => {
                    let next = cut + if to > cut { 11.0 } else { -11.0 };
                    lines = lines.m(x, from).l(x, cut).m(x, next).l(x, to);
                    for at in [cut, next] {
                        lines = lines.m(x - 6.0, at + 3.0).l(x + 6.0, at - 3.0);
                    }
                }
            }
        }
    }
    let still = |path: &Path, class| path.el(class).attr("vector-effect", "non-scaling-stroke");
    let mut root = El::new("svg")
        .class("mapbody")
        .attr("viewBox", &format!("0 0 {} 92", num(width)))
        .attr("preserveAspectRatio", "none")
        .attr("aria-hidden", "true")
        .child(&still(&lines, "col"));
    if !unlit.data().is_empty() {
        root = root.child(&still(&unlit, "col unlit"));
    }
    root.render()
}
