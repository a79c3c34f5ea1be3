//! The numbers of the Overview: each a value against its limit, with its bar and its aspect.

use crate::aspect::Aspect;
use crate::calc::budget::{self, Case, RatingKind};
use crate::calc::{Bounded, load, pickup};
use crate::draw::{arm, bar};
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::units::{Rounding, fixed, percent_down};

/// One number.
#[derive(Debug)]
pub struct NumberView {
    /// Heading.
    pub title: String,
    /// The value: `0.84`.
    pub big: String,
    /// What it is measured against: `A of 1.00`.
    pub small: String,
    /// The bar.
    pub bar: String,
    /// One or two sentences.
    pub how: String,
    /// Arm and word.
    pub asp: String,
}

/// The numbers that can be shown, in the order people ask for them.
pub fn numbers(g: &Gathered, _at: At) -> Vec<NumberView> {
    let mut out = Vec::new();
    let budget = budget::run(&inputs::budget(g)).ok();
    let load = load::run(&inputs::load(g)).ok();
    if let Some(b) = &budget {
        out.extend(row(b, RatingKind::MotorContinuous, Case::Held, "Held current"));
        out.extend(row(b, RatingKind::TotalContinuous, Case::Held, "All loads, motor held"));
        out.extend(row(
            b,
            RatingKind::TotalContinuous,
            Case::Slipping,
            "All loads, wheels slipping",
        ));
    }
    out.extend(load.as_ref().and_then(friction));
    out.extend(wheels(g));
    out
}

fn row(b: &budget::Output, kind: RatingKind, case: Case, title: &str) -> Option<NumberView> {
    let row = b.rows.iter().find(|r| r.rating == kind && r.case == Some(case))?;
    let rating = row.rating_a?;
    let known = row.known_a;
    if known.value <= 0.0 {
        return None;
    }
    let whole = row.demand.is_some();
    let mut picture = bar::Bar::new(title, "A", 2).limit(rating).want(rating * (1.0 - row.wanted));
    picture = if whole && row.unmeasured.is_empty() {
        picture.measured(title, known.value)
    } else {
        picture.planned(title, known.value)
    };
    let headroom = row.headroom.map_or_else(
        || "Not everything is known yet.".to_owned(),
        |h| {
            let want = if row.wanted > 0.0 {
                format!(", want {}", percent_down(row.wanted))
            } else {
                String::new()
            };
            format!("{}{want}.", left(h))
        },
    );
    Some(NumberView {
        title: title.to_owned(),
        big: fixed(known.value, 2, Rounding::Up),
        small: format!("A of {}", fixed(rating, 2, Rounding::Down)),
        bar: picture.svg(),
        how: if row.aspect == Aspect::Unlit { row.finding.sentence.clone() } else { headroom },
        asp: arm::asp(row.aspect),
    })
}

/// What is left of a rating: decided on the bad end, so that is what is said.
fn left(h: Bounded) -> String {
    format!("Headroom {}{}", percent_down(h.lo), h.at_worst())
}

fn friction(l: &load::Output) -> Option<NumberView> {
    let share = l.friction_share?;
    Some(NumberView {
        title: "Friction share".to_owned(),
        big: fixed(share.value, 2, Rounding::Nearest),
        small: "of the effort at slipping".to_owned(),
        bar: bar::Bar::new("Friction share", "", 2)
            .measured("free over slipping", share.value)
            .limit(1.0)
            .svg(),
        how: l.mechanism.sentence.clone(),
        asp: arm::asp(l.mechanism.aspect),
    })
}

fn wheels(g: &Gathered) -> Option<NumberView> {
    if g.wheels.is_empty() {
        return None;
    }
    let out = pickup::run(&inputs::pickup(g)).ok()?;
    let (working, fitted) =
        (out.left.working + out.right.working, out.left.fitted + out.right.fitted);
    let cells: Vec<bar::Cell> = out
        .wheels
        .iter()
        .filter_map(|w| w.finding.as_ref())
        .map(|f| match f.aspect {
            Aspect::Clear => bar::Cell::Yes,
            Aspect::Unlit => bar::Cell::Unlit,
            Aspect::Caution | Aspect::Danger => bar::Cell::No,
        })
        .collect();
    Some(NumberView {
        title: "Wheels that pick up".to_owned(),
        big: working.to_string(),
        small: format!("of {fitted}"),
        bar: bar::cells(&cells),
        how: out.finding.sentence.clone(),
        asp: arm::asp(out.finding.aspect),
    })
}
