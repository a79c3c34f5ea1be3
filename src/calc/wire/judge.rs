//! What is said about a wire.

use super::gauge::{Job, usual};
use super::{FORMULA, GUIDES, Input, Output, SOURCE, WireResult, current};
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, amps, exact, fixed};

/// Covers binary rounding when a value is held against a limit.
const SLACK: f64 = 1e-9;
/// A drop up to this many times what is accepted is caution (judgement, no source).
const MOST_TIMES: f64 = 2.0;

/// Every finding.
pub(super) fn findings(input: &Input, out: &Output) -> Vec<Finding> {
    let Some(wire) = &out.wire else { return vec![no_wire(input, out)] };
    let mut all = vec![carries(input, wire)];
    all.extend(input.most_drop_v.map(|most| drop(input, wire, most)));
    all.extend(input.job.map(|job| suits(input, wire, job)));
    all
}

/// Three decimals, volts.
fn millivolts(value: f64) -> String {
    format!("{}\u{a0}V", fixed(value, 3, Rounding::Up))
}

fn gauge_words(n: Option<i32>) -> String {
    n.map_or_else(|| "none up to AWG 10".to_owned(), |n| format!("AWG {n}"))
}

/// No wire given: which would do.
fn no_wire(input: &Input, out: &Output) -> Finding {
    let choice = out.choice;
    let mut finding = Finding::unlit(
        format!(
            "For {} the careful guide asks for {}, the generous one for {}.",
            amps(input.current_a),
            gauge_words(choice.careful_awg),
            gauge_words(choice.generous_awg)
        ),
        "Choose a wire and give its gauge, diameter or area.",
    )
    .input("current", amps(input.current_a))
    .formula("the thinnest gauge whose guide is not below the current")
    .source(GUIDES);
    if input.most_drop_v.is_some() {
        finding = finding.input("thinnest for the drop", gauge_words(choice.drop_awg));
    }
    if let Some((thick, thin)) = choice.usual_awg {
        finding = finding.input("usual for the job", format!("AWG {thick} to {thin}"));
    }
    finding
}

/// The current against the range the guides span.
fn carries(input: &Input, wire: &WireResult) -> Finding {
    let high = current(input).hi;
    let careful = wire.careful_a;
    let generous = [wire.generous_a, wire.laboratory_a, Some(careful)]
        .into_iter()
        .flatten()
        .fold(0.0, f64::max);
    let two = |v: f64| format!("{}\u{a0}A", fixed(v, 2, Rounding::Down));
    let text = format!(
        "{} through AWG {}: the guides let it carry {} to {}",
        amps(high),
        fixed(wire.awg, 0, Rounding::Nearest),
        two(careful),
        two(generous)
    );
    let finding = if high > generous * (1.0 + SLACK) {
        Finding::new(Aspect::Danger, format!("{text}; it is above them all."))
    } else if high > careful * (1.0 + SLACK) {
        Finding::new(Aspect::Caution, format!("{text}; they differ, and it is between them."))
    } else {
        Finding::new(Aspect::Clear, format!("{text}; it is below them all."))
    };
    let laboratory = wire.laboratory_a.map_or_else(|| "no row for this size".to_owned(), two);
    finding
        .input("careful guide, 700 circular mil per A", two(careful))
        .input(
            "generous guide, chassis wiring",
            wire.generous_a.map_or_else(|| "no row".to_owned(), two),
        )
        .input("laboratory table", laboratory)
        .input(
            "warms by, if no heat leaves",
            format!("{}\u{a0}K/s", exact(wire.rise_k_per_s.value)),
        )
        .formula("clear up to the least guide, danger above the greatest")
        .source(GUIDES)
        .would_change("A thicker wire, or less current.")
}

/// The drop against what is accepted.
fn drop(input: &Input, wire: &WireResult, most: f64) -> Finding {
    let high = wire.drop_v.hi;
    let text =
        format!("It loses up to {} of the {} you accept", millivolts(high), millivolts(most));
    let aspect = if high > MOST_TIMES * most * (1.0 + SLACK) {
        Aspect::Danger
    } else if high > most * (1.0 + SLACK) {
        Aspect::Caution
    } else {
        Aspect::Clear
    };
    Finding::new(aspect, format!("{text}."))
        .input("length out and back", format!("{}\u{a0}mm", exact(input.loop_mm)))
        .input("current", amps(input.current_a))
        .formula(FORMULA)
        .source(SOURCE)
        .would_change("A thicker or shorter wire.")
}

/// The gauge against what people use for the job.
fn suits(input: &Input, wire: &WireResult, job: Job) -> Finding {
    let Some((thick, thin)) = usual(job, input.size) else {
        return Finding::unlit(
            "Which gauge is usual depends on the size of the model, which is not given.",
            "Give the size of the model.",
        )
        .input("size of the model", "not given")
        .formula("gauge within the usual range")
        .source("common practice, no source");
    };
    let asked = format!("people use AWG {thick} to {thin} for this");
    let shown = fixed(wire.awg, 0, Rounding::Nearest);
    // Half a gauge either way counts as the gauge.
    let finding = if wire.awg > f64::from(thin) + 0.5 {
        Finding::new(Aspect::Caution, format!("AWG {shown} is thin: {asked}."))
            .would_change(format!("AWG {thin} or thicker."))
    } else if wire.awg < f64::from(thick) - 0.5 {
        Finding::new(Aspect::Caution, format!("AWG {shown} is thick and stiff: {asked}."))
            .would_change(format!("AWG {thick} or thinner."))
    } else {
        Finding::new(Aspect::Clear, format!("AWG {shown} is usual: {asked}."))
            .would_change("A wire outside this range.")
    };
    finding
        .input("gauge", format!("AWG {shown}"))
        .formula("gauge within the usual range")
        .source("common practice, no source; feeder and bus one club's standard, read second-hand")
}
