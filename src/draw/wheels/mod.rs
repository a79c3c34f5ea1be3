//! The pickup map: every wheel by vehicle, axle and rail side, with what it reads to its lead.
//!
//! Two forms from the same data: [`plan_svg`], a plan drawing for the overview and for print, and
//! [`grid`], plain data for the bench form, where the wheels are radio buttons.

mod form;
mod key;
mod plan;

pub use form::{Cell, Grid, GridGroup, grid};
pub use key::{KeyEntry, key};
pub use plan::plan_svg;

use crate::aspect::Aspect;

/// What is known of a wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Measured, and it reaches its lead.
    PicksUp,
    /// Measured, and it does not, or it comes and goes.
    Open,
    /// Nobody has measured it.
    Unmeasured,
    /// Insulated or without a collector on purpose.
    DeadByDesign,
}

/// One wheel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wheel {
    /// Its value in a form.
    pub id: String,
    /// Its name, short: `L1`.
    pub label: String,
    /// What it reads: `0.3 Ω`, `open`, `not measured`, `dead by design`.
    pub reads: String,
    /// Its aspect.
    pub aspect: Aspect,
    /// What is known of it.
    pub state: State,
    /// It wears a traction tyre.
    pub tyre: bool,
}

/// The two wheels of an axle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axle {
    /// On the left rail.
    pub left: Wheel,
    /// On the right rail.
    pub right: Wheel,
}

/// A vehicle: engine, tender, half of a railcar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vehicle {
    /// Its name, empty when there is only one.
    pub name: String,
    /// Its axles from the front.
    pub axles: Vec<Axle>,
}

/// The whole map.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Map {
    /// Vehicles from the front.
    pub vehicles: Vec<Vehicle>,
    /// Name of the left rail and its lead: `left rail, black lead`.
    pub left_lead: String,
    /// Name of the right rail and its lead.
    pub right_lead: String,
    /// When and by whom: `22 Nov, Ines`. May be empty.
    pub note: String,
}

impl Map {
    /// The map in words: how many pick up, and every wheel that does not.
    pub fn words(&self) -> String {
        let all: Vec<&Wheel> = self.wheels().collect();
        if all.is_empty() {
            return "No wheel is written yet.".to_owned();
        }
        let named = |state: State| {
            let some = all.iter().filter(|w| w.state == state);
            some.map(|w| w.label.as_str()).collect::<Vec<_>>().join(", ")
        };
        let dead = all.iter().filter(|w| w.state == State::DeadByDesign).count();
        let good = all.iter().filter(|w| w.state == State::PicksUp).count();
        let word = if all.len() - dead == 1 { "wheel picks" } else { "wheels pick" };
        let mut out = vec![format!("{good} of {} {word} up.", all.len() - dead)];
        for (state, what) in [
            (State::Open, "Open"),
            (State::Unmeasured, "Not measured"),
            (State::DeadByDesign, "Dead by design"),
        ] {
            let names = named(state);
            if !names.is_empty() {
                out.push(format!("{what}: {names}."));
            }
        }
        let tyres: Vec<&str> = all.iter().filter(|w| w.tyre).map(|w| w.label.as_str()).collect();
        if !tyres.is_empty() {
            out.push(format!("Traction tyre: {}.", tyres.join(", ")));
        }
        out.join(" ")
    }

    /// All wheels: vehicle by vehicle, axle by axle, left then right.
    pub fn wheels(&self) -> impl Iterator<Item = &Wheel> {
        self.vehicles.iter().flat_map(|v| &v.axles).flat_map(|a| [&a.left, &a.right])
    }
}

/// Axles of one vehicle that stand beside each other.
struct Run<'a> {
    vehicle: usize,
    name: &'a str,
    first: bool,
    last: bool,
    axles: &'a [Axle],
}

/// Cuts every vehicle into runs of nearly equal length, none over `most` axles (1 to 40).
fn runs(map: &Map, most: usize) -> Vec<Run<'_>> {
    let most = most.clamp(1, 40);
    let mut out = Vec::new();
    for (vehicle, v) in map.vehicles.iter().enumerate().filter(|(_, v)| !v.axles.is_empty()) {
        let parts = v.axles.len().div_ceil(most);
        let each = v.axles.len().div_ceil(parts);
        let last = v.axles.chunks(each).count() - 1;
        for (i, axles) in v.axles.chunks(each).enumerate() {
            out.push(Run { vehicle, name: &v.name, first: i == 0, last: i == last, axles });
        }
    }
    out
}

fn real(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests;
