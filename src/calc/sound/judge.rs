//! What is said about speakers and box.

use super::network::{Polarity, Speaker};
use super::sealed::{BoxResult, ClosedBox};
use super::{BOX_FORMULA, BOX_SOURCE, Input, LOAD_FORMULA, LOAD_SOURCE, Output};
use crate::aspect::{Aspect, Finding};
use crate::calc::load::seen;
use crate::units::{Interval, Rounding, exact, fixed, ohms};

/// An ohmmeter shows a healthy speaker no lower than this share of its rated impedance: the least
/// impedance a rating allows (IEC 60268-5, from memory).
const LEAST_SHARE: f64 = 0.8;
/// Nor higher than this share (judgement, no source).
const MOST_SHARE: f64 = 1.3;
/// Power above this many times the rating is danger; between one and this, caution (judgement, no
/// source: the volume can be set down).
const MOST_TIMES: f64 = 2.0;
/// Covers binary rounding when a value is held against a limit.
const SLACK: f64 = 1e-9;

/// Every finding.
pub(super) fn findings(input: &Input, out: &Output) -> Vec<Finding> {
    let speakers = input.network.speakers();
    let mut all = vec![load(input, out)];
    all.extend(speakers.iter().map(|s| coil(input, s)));
    all.extend(speakers.iter().zip(&out.speakers).map(|(s, r)| power(s, r.power_w)));
    all.extend(polarity(&speakers));
    if let (Some(given), Some(result)) = (&input.closed_box, &out.closed_box) {
        all.push(low_end(given, result));
        all.extend(wanted_box(given, result));
    }
    all
}

/// The ends of an ohmmeter reading.
pub(super) fn reading_ends(input: &Input, ohm: f64) -> Interval {
    let ends = seen(ohm, input.ohm_meter);
    Interval { lo: ends.lo.max(1e-6), hi: ends.hi }
}

/// Two decimals, watts.
fn watts(value: f64) -> String {
    format!("{}\u{a0}W", fixed(value, 2, Rounding::Up))
}

/// The load against the amplifier's least.
fn load(input: &Input, out: &Output) -> Finding {
    let rated = out.load_ohm;
    let Some(least) = input.least_load_ohm else {
        return Finding::unlit(
            format!("The speakers are {} together; the least load is not known.", ohms(rated)),
            "Give the amplifier's least load from the decoder's sheet.",
        )
        .input("load by rated impedance", ohms(rated))
        .input("least load", "not known")
        .formula(LOAD_FORMULA)
        .source(LOAD_SOURCE);
    };
    let text =
        format!("The speakers are {} together, the least load is {}", ohms(rated), ohms(least));
    let measured_low =
        out.measured_load_ohm.is_some_and(|m| m.lo < LEAST_SHARE * least * (1.0 - SLACK));
    let finding = if rated < least * (1.0 - SLACK) {
        Finding::new(Aspect::Danger, format!("{text}: the amplifier shuts down or dies."))
    } else if measured_low {
        Finding::new(
            Aspect::Danger,
            format!("{text}, but the ohmmeter shows as little as {}.", {
                ohms(out.measured_load_ohm.map_or(rated, |m| m.lo))
            }),
        )
    } else if out.measured_load_ohm.is_none() {
        Finding::unlit(format!("{text}, by what is printed on them; not measured."), "")
    } else {
        Finding::new(Aspect::Clear, format!("{text}."))
    };
    let finding = match out.measured_load_ohm {
        Some(m) => finding.input("load by ohmmeter", ohms(m.value)),
        None => finding.input("load by ohmmeter", "not measured"),
    };
    let next = if out.measured_load_ohm.is_none() && rated >= least * (1.0 - SLACK) {
        "Measure each speaker across its leads."
    } else {
        "Speakers in series instead of in parallel, or of higher impedance."
    };
    finding
        .input("load by rated impedance", ohms(rated))
        .input("least load", ohms(least))
        .formula(LOAD_FORMULA)
        .source(LOAD_SOURCE)
        .would_change(next)
}

/// A speaker's ohms against what is printed on it.
fn coil(input: &Input, speaker: &Speaker) -> Finding {
    let name = &speaker.name;
    let rated = speaker.impedance_ohm;
    let finding = match speaker.measured_ohm {
        None => {
            Finding::unlit(format!("{name} is not measured."), "Put the ohmmeter across its leads.")
        }
        Some(reading) => {
            let ends = reading_ends(input, reading);
            let text = format!("{name} reads {}, {} is printed on it", ohms(reading), ohms(rated));
            if ends.lo < LEAST_SHARE * rated * (1.0 - SLACK) {
                Finding::new(Aspect::Caution, format!("{text}: too low for that."))
                    .would_change("A lower rated impedance in the calculation, or another speaker.")
            } else if ends.hi > MOST_SHARE * rated * (1.0 + SLACK) {
                Finding::new(Aspect::Caution, format!("{text}: a broken lead or another speaker."))
                    .would_change("A sound joint, or the right rated impedance.")
            } else {
                Finding::new(Aspect::Clear, format!("{text}."))
                    .would_change("A reading below 0.8 or above 1.3 of the rated impedance.")
            }
        }
    };
    finding
        .input("rated impedance", ohms(rated))
        .formula("0.8 to 1.3 of the rated impedance by ohmmeter")
        .source("IEC 60268-5, from memory, for the low end; judgement for the high end, no source")
}

/// A speaker's power against its rating.
fn power(speaker: &Speaker, power_w: Option<f64>) -> Finding {
    let name = &speaker.name;
    let finding = match (power_w, speaker.rated_w) {
        (None, _) => Finding::unlit(
            format!("What power {name} gets is not known."),
            "Give the amplifier's greatest output, in volts or in watts into its least load.",
        ),
        (Some(gets), None) => Finding::unlit(
            format!("{name} gets up to {}; what it stands is not known.", watts(gets)),
            "Give its rated power from its sheet.",
        ),
        (Some(gets), Some(stands)) => {
            let text = format!("{name} gets up to {}, it stands {}", watts(gets), watts(stands));
            let down = format!(
                "Set the volume to at most {}\u{a0}% of full voltage.",
                fixed(100.0 * (stands / gets).sqrt(), 0, Rounding::Down)
            );
            if gets > MOST_TIMES * stands * (1.0 + SLACK) {
                Finding::new(Aspect::Danger, format!("{text}: it fails at full volume."))
                    .would_change(down)
            } else if gets > stands * (1.0 + SLACK) {
                Finding::new(Aspect::Caution, format!("{text}: keep the volume down."))
                    .would_change(down)
            } else {
                Finding::new(Aspect::Clear, format!("{text}."))
                    .would_change("A higher output or a speaker of lower rating.")
            }
        }
    };
    finding
        .input("rated impedance", ohms(speaker.impedance_ohm))
        .formula(LOAD_FORMULA)
        .source("textbook relations; caution to twice the rating is judgement, no source")
}

/// Whether several speakers move together. One alone has nobody to work against.
fn polarity(speakers: &[&Speaker]) -> Option<Finding> {
    if speakers.len() < 2 {
        return None;
    }
    let unknown: Vec<&str> =
        speakers.iter().filter(|s| s.moves.is_none()).map(|s| s.name.as_str()).collect();
    let is = |way: Polarity| speakers.iter().any(|s| s.moves == Some(way));
    let touch =
        "Touch a 1.5 V cell to the leads for a moment and see that all cones move the same way.";
    let mut finding = if is(Polarity::Outward) && is(Polarity::Inward) {
        Finding::new(Aspect::Caution, "The cones move against each other and cancel the low end.")
            .would_change("Swap the two leads of the one that moves the other way.")
    } else if !unknown.is_empty() {
        Finding::unlit(format!("Which way {} moves is not tried.", unknown.join(" and ")), touch)
    } else {
        Finding::new(Aspect::Clear, "All cones move the same way.").would_change("A swapped pair.")
    };
    let ways = |s: &&Speaker| match s.moves {
        None => "not tried",
        Some(Polarity::Outward) => "outward",
        Some(Polarity::Inward) => "inward",
    };
    for speaker in speakers {
        finding = finding.input(speaker.name.clone(), ways(speaker));
    }
    Some(finding.formula("all cones move the same way").source("common practice, no source"))
}

/// The low end against the lowest wanted note.
fn low_end(given: &ClosedBox, result: &BoxResult) -> Finding {
    let hz = |v: f64| format!("{}\u{a0}Hz", fixed(v, 0, Rounding::Up));
    let finding = match (result.f3_hz, given.band_low_hz) {
        (None, _) => Finding::unlit(
            "The volume of the box is not known.",
            "Measure the box inside, or take what the layout leaves.",
        ),
        (Some(f3), None) => Finding::unlit(
            format!("The box goes down to {}; the lowest wanted note is not stated.", hz(f3.hi)),
            "State the lowest note the prototype's sound needs.",
        ),
        (Some(f3), Some(low)) => {
            let down = result.at_band_low_db.unwrap_or(0.0);
            let text = format!("The box goes down to {}, wanted is {}", hz(f3.hi), hz(low));
            if f3.hi <= low * (1.0 + SLACK) {
                Finding::new(Aspect::Clear, format!("{text}."))
            } else {
                let level = fixed(down, 0, Rounding::Nearest);
                Finding::new(Aspect::Caution, format!("{text}: there it is at {level}\u{a0}dB."))
            }
            .would_change("A box nearer the volume for Q 0.71, or a speaker of lower resonance.")
        }
    };
    let finding = match given.box_cm3 {
        Some(v) => finding.input("air in the box", format!("{}\u{a0}cm³", exact(v))),
        None => finding.input("air in the box", "not measured"),
    };
    finding
        .input("f_s", hz(given.fs_hz))
        .input("Q_ts", exact(given.qts))
        .input("V_as", format!("{}\u{a0}cm³", exact(given.vas_cm3)))
        .formula(BOX_FORMULA)
        .source(BOX_SOURCE)
}

/// Where no closed box reaches the wanted Q.
fn wanted_box(given: &ClosedBox, result: &BoxResult) -> Option<Finding> {
    let wanted = given.wanted_qtc.unwrap_or(super::sealed::FLATTEST);
    result.wanted_box_cm3.is_none().then(|| {
        Finding::new(
            Aspect::Caution,
            format!(
                "No closed box gives Q {}: the speaker alone has {}.",
                fixed(wanted, 2, Rounding::Nearest),
                fixed(given.qts, 2, Rounding::Nearest)
            ),
        )
        .input("wanted Q", exact(wanted))
        .formula(BOX_FORMULA)
        .source(BOX_SOURCE)
        .would_change("A speaker of lower Q, or a larger box with the rise accepted.")
    })
}
