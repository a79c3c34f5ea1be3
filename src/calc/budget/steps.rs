//! From the held test to everything together: why a motor that passes its held test may still be too
//! much.
//!
//! Answers: how the demand on the total rating grows from the held test alone, at the test's own
//! voltage, through the voltage on the track, to each load in turn, and what each step leaves.
//! Inputs: the headroom's own ([`Input`]). Formula: held at the test's voltage = I_held V_test /
//! V_held; each further step is the headroom of its own demand, by the headroom's own rules.
//! What comes back: a stack for each step and one sentence; nothing where the total rating or the
//! held current is not known. Errors: none. Source: the headroom's rules.
//! Worked (common practice, no source): 0.80 A of 1.0 A at 12 V leaves 20 %; at 14.6 V 0.973 A
//! leaves 2 %; with 60 mA of lamps and 150 mA of sound it is over.

use super::demand::Demand;
use super::rows::{Compared, aspect_of, left};
use super::{Case, Input, RatingKind, Row};
use crate::aspect::Aspect;
use crate::calc::load::{self, amps_given};
use crate::calc::plot::{Stack, Stacks};
use crate::units::{percent_down, volts};

/// The total row with the motor held.
fn total_held(rows: &[Row]) -> Option<&Row> {
    let wanted = |r: &&Row| r.rating == RatingKind::TotalContinuous && r.case == Some(Case::Held);
    rows.iter().find(wanted)
}

/// The steps; `None` where nothing grows, or too little is known.
pub(super) fn steps(input: &Input, rows: &[Row]) -> Option<Stacks> {
    let row = total_held(rows)?;
    let rating = row.rating_a?;
    input.load.held_a?;
    let on_track = load::work_out(&load::Input { free_a: None, ..input.load.clone() });
    let at_test = load::work_out(&as_tested(&input.load));
    let step = |name: String, demand: Demand| stack(input, rating, name, demand);
    let held = |motor: &load::Output| Demand::motor(input, motor, Case::Held);
    let test_v = volts(input.load.test_v);
    let mut out = vec![step(format!("held at the test’s {test_v}"), held(&at_test))];
    let output_v = on_track.decoder_output_v?.value;
    if (output_v - input.load.test_v).abs() > load::SAME_WITHIN {
        let name = format!("held at the decoder’s {}", volts(output_v));
        out.push(step(name, held(&on_track)));
    }
    for count in 1..=input.loads.len() {
        let name = format!("with {}", input.loads[count - 1].name);
        let demand = held(&on_track).and(Demand::loads(input.loads.iter().take(count)));
        out.push(step(name, demand));
    }
    let says = says(&out)?;
    (out.len() > 1).then(|| Stacks {
        title: "From the held test to everything together".to_owned(),
        says,
        stacks: out,
    })
}

/// The test as it stood: the voltage of the three currents, no decoder in between. A current read at
/// that voltage needs no voltmeter.
fn as_tested(load: &load::Input) -> load::Input {
    load::Input {
        free_a: None,
        track_v: None,
        decoder_output_v: Some(load.test_v),
        voltage_meter: load.held_test_v.and(load.voltage_meter),
        ..load.clone()
    }
}

/// One step: its demand against the total rating, by the rule of the total row.
fn stack(input: &Input, rating: f64, name: String, demand: Demand) -> Stack {
    let compared = Compared::total(input, Case::Held);
    let headroom = demand.missing.is_empty().then_some(demand.known).and_then(|d| left(rating, d));
    Stack {
        name,
        rating_a: Some(rating),
        left_at_worst: headroom.map(|h| h.lo),
        wanted: compared.wanted,
        aspect: aspect_of(&compared, &demand, headroom),
        parts: demand.amounts,
    }
}

/// What the steps come to in a sentence; `None` where the held test itself is not known.
fn says(steps: &[Stack]) -> Option<String> {
    let sum = |s: &Stack| -> Option<f64> { s.parts.iter().map(|p| p.amps_a).sum() };
    let first = steps.first()?;
    let (asked, rating, left) = (sum(first)?, first.rating_a?, first.left_at_worst?);
    let sure = left >= 1.0 - asked / rating - load::SAME_WITHIN;
    let alone = format!(
        "The held test alone asks {} of {}: {} left{}",
        amps_given(asked),
        amps_given(rating),
        percent_down(left),
        if sure { "" } else { " at worst" }
    );
    let passes = if first.aspect == Aspect::Clear { "so it passes" } else { first.aspect.word() };
    let mut turns: Vec<String> = Vec::new();
    let mut at = first.aspect;
    for s in &steps[1..] {
        if s.aspect != at {
            turns.push(format!("{} {}", s.aspect.word(), s.name));
            at = s.aspect;
        }
    }
    Some(match turns.as_slice() {
        [] => format!("{alone}, {passes}."),
        _ => format!("{alone}, {passes}. It is {}.", turns.join(", ")),
    })
}
