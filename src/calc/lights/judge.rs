//! What is said about the lights: one finding per string, output and rule.

use super::bands::{meanings, words};
use super::strings::{RATINGS_W, SLACK, string_v, wanted_a};
use super::{
    FORMULA, Input, Light, LightOutput, LightString, Output, OutputResult, Return, SOURCE,
    StringResult,
};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::units::{Rounding, exact, fixed, ohms, percent_down, volts};

/// Share of a rating from which an output is caution (common practice: a cushion of 20 %).
const FULL_SHARE: f64 = 0.8;
/// A lamp above this share of its rated voltage is danger (judgement, no source).
const LAMP_DANGER: f64 = 1.2;
/// A lamp of this power softens plastic that touches it, W (common practice, no source).
const HOT_LAMP_W: f64 = 0.5;

/// Every finding, in the order of the input.
pub(super) fn findings(input: &Input, out: &Output) -> Vec<Finding> {
    let mut all = Vec::new();
    for (given, result) in input.outputs.iter().zip(&out.outputs) {
        for (string, of) in given.strings.iter().zip(&result.strings) {
            all.push(lit(string, of));
            all.extend(maybe_dark(string, of));
            all.push(returns(string, of));
            all.extend(resistor(string, of));
            all.extend(sharing(string));
            all.extend(hot_lamp(string, of));
        }
        all.push(output(given, result));
        all.extend(inrush(given, result));
    }
    all.push(against(
        "All outputs together",
        out.total_a,
        input.total_rating_a,
        "What all outputs may give together is not known.",
    ));
    all
}

/// Milliamperes, rounded up: `8.9 mA`; from 1 A on in A.
fn milliamps(value: f64) -> String {
    if value >= 1.0 {
        return crate::units::amps(value);
    }
    format!("{}\u{a0}mA", fixed(value * 1000.0, 1, Rounding::Up))
}

/// Milliwatts, rounded up: `155 mW`; from 1 W on in W.
fn milliwatts(value: f64) -> String {
    if value >= 1.0 {
        return format!("{}\u{a0}W", fixed(value, 1, Rounding::Up));
    }
    format!("{}\u{a0}mW", fixed(value * 1000.0, 0, Rounding::Up))
}

/// A bounded value as people read it.
fn span(value: Bounded, print: fn(f64) -> String) -> String {
    let (mid, lo, hi) = (print(value.value), print(value.lo), print(value.hi));
    if lo == mid && hi == mid { mid } else { format!("{mid} ({lo} to {hi})") }
}

/// Whether the string lights, and whether its lamps stand the current.
fn lit(string: &LightString, of: &StringResult) -> Finding {
    let finding = match string.light {
        Light::Led { most_a, .. } => led(string, of, most_a),
        Light::Lamp { rated_v, .. } => lamp(string, of, rated_v),
    };
    let mut finding = finding
        .formula(FORMULA)
        .source(SOURCE)
        .input("supply", span(of.supply_v, volts))
        .input("the string takes", span(string_v(string), volts))
        .input("wanted current", milliamps(wanted_a(string)))
        .input("current", span(of.current_a, milliamps));
    if let (Some(ohm), Some(marks)) = (of.resistor_ohm, &of.marks) {
        finding = finding.input("resistor", ohms(ohm)).input("marked", marks.letters.clone());
        for (name, bands) in [("four bands", &marks.four), ("five bands", &marks.five)] {
            if !bands.is_empty() {
                finding = finding.input(name, format!("{}: {}", words(bands), meanings(bands)));
            }
        }
        finding = finding.input("chip digits", marks.chip.clone());
    }
    finding
}

/// How the resistor is named in a sentence: by what is fitted or what to fit.
fn with_resistor(string: &LightString, of: &StringResult) -> String {
    let Some(ohm) = of.resistor_ohm else { return format!("{}: no resistor", string.name) };
    let bands = of.marks.as_ref().map_or_else(String::new, |m| {
        let shown = if m.four.is_empty() { &m.five } else { &m.four };
        if shown.is_empty() { String::new() } else { format!(" ({})", words(shown)) }
    });
    let verb = if string.fitted_ohm.is_some() { "with" } else { "fit" };
    format!("{}: {verb} {}{bands}", string.name, ohms(ohm))
}

fn led(string: &LightString, of: &StringResult, most_a: Option<f64>) -> Finding {
    let takes = string_v(string);
    if of.supply_v.value <= takes.value {
        let sentence = format!(
            "{} stays dark: it needs more than {}, the output gives {}.",
            string.name,
            volts(takes.value),
            volts(of.supply_v.value)
        );
        return Finding::new(Aspect::Danger, sentence)
            .would_change("Fewer LEDs in series, or a higher track voltage.");
    }
    let part = with_resistor(string, of);
    let Some(most) = most_a else {
        return Finding::unlit(
            format!(
                "{part}: {} each; the most such an LED may carry is not known.",
                milliamps(of.branch_a.value)
            ),
            "Give the most the LED may carry, from its data sheet.",
        );
    };
    let high = milliamps(of.branch_a.hi);
    let limit = milliamps(most);
    if of.branch_a.hi > most * (1.0 + SLACK) {
        return Finding::new(
            Aspect::Danger,
            format!("{part}: up to {high} in one LED, which may carry {limit}."),
        )
        .would_change("A larger resistor, or one of closer tolerance.");
    }
    Finding::new(Aspect::Clear, format!("{part}: at most {high} of the {limit} an LED may carry."))
        .would_change(format!("A high end above {limit}."))
}

/// A string that lights at the supply as read and may not at its low end.
fn maybe_dark(string: &LightString, of: &StringResult) -> Option<Finding> {
    let takes = string_v(string);
    let led = matches!(string.light, Light::Led { .. });
    (led && of.supply_v.value > takes.value && of.supply_v.lo <= takes.hi).then(|| {
        let sentence = format!(
            "{} may stay dark: the low end of the supply is {}, the string may need {}.",
            string.name,
            volts(of.supply_v.lo),
            volts(takes.hi)
        );
        Finding::new(Aspect::Caution, sentence)
            .input("supply", span(of.supply_v, volts))
            .input("the string takes", span(takes, volts))
            .formula("V_s above n·V_f at the bad ends")
            .source("textbook relation")
            .would_change("One LED fewer in series.")
    })
}

fn lamp(string: &LightString, of: &StringResult, rated_v: f64) -> Finding {
    let part = with_resistor(string, of);
    let share = of.lamp_v.hi / rated_v;
    let text = format!("{part}: up to {} on a {} lamp", volts(of.lamp_v.hi), volts(rated_v));
    if share > LAMP_DANGER * (1.0 + SLACK) {
        Finding::new(Aspect::Danger, format!("{text}; it burns out soon."))
            .would_change("A resistor in series, or a lamp of higher voltage.")
    } else if share > 1.0 + SLACK {
        Finding::new(Aspect::Caution, format!("{text}, a little above its rating."))
            .would_change("The next larger resistor; the lamp then lasts longer.")
    } else {
        Finding::new(Aspect::Clear, format!("{text}."))
            .would_change("A high end above the rated voltage.")
    }
}

/// Where the far end goes.
fn returns(string: &LightString, of: &StringResult) -> Finding {
    let rule = "the far end of a lamp goes to the function common, never to frame or rail";
    let name = &string.name;
    let end = match string.returns_to {
        None => "not known",
        Some(Return::Common) => "function common",
        Some(Return::Rail) => "rail",
        Some(Return::Frame) => "frame",
    };
    match string.returns_to {
        None => Finding::unlit(
            format!("Where the far end of {name} goes is not known."),
            "Follow the wire, or put a meter between it and each rail.",
        ),
        Some(Return::Common) => {
            Finding::new(Aspect::Clear, format!("{name} returns to the function common."))
                .would_change("A far end on a rail or the frame.")
        }
        Some(Return::Rail) => Finding::new(
            Aspect::Caution,
            format!(
                "{name} returns to a rail: it is lit half of the time, {} in the mean, and may flicker.",
                milliamps(of.current_a.value * of.duty)
            ),
        )
        .would_change("Move its far end to the function common."),
        Some(Return::Frame) => Finding::new(
            Aspect::Danger,
            format!("{name} returns to the frame, which may join the output to a rail."),
        )
        .would_change("Lift the lamp from the frame and take its far end to the function common."),
    }
    .input("far end", end)
    .formula(rule)
    .source("NMRA S-9.1.1 (function common positive), read second-hand; half wave: common practice, no source")
}

/// The resistor's rating against its heat.
fn resistor(string: &LightString, of: &StringResult) -> Option<Finding> {
    of.resistor_ohm.filter(|ohm| *ohm > 0.0)?;
    let heat = of.resistor_w.hi;
    let finding = match string.resistor_w {
        Some(w) if w < heat * (1.0 - SLACK) => Finding::new(
            Aspect::Danger,
            format!("{}: {} in a resistor rated {w}\u{a0}W.", string.name, milliwatts(heat)),
        ),
        Some(w) if w < 2.0 * heat * (1.0 - SLACK) => Finding::new(
            Aspect::Caution,
            format!(
                "{}: {} in a resistor rated {w}\u{a0}W; it gets hot.",
                string.name,
                milliwatts(heat)
            ),
        ),
        Some(w) => Finding::new(
            Aspect::Clear,
            format!("{}: {} in a resistor rated {w}\u{a0}W.", string.name, milliwatts(heat)),
        ),
        None if of.rating_w.is_some() => return None,
        None => Finding::new(
            Aspect::Danger,
            format!(
                "{}: {} in one resistor; none up to {}\u{a0}W is rated twice that.",
                string.name,
                milliwatts(heat),
                RATINGS_W[RATINGS_W.len() - 1]
            ),
        ),
    };
    Some(
        finding
            .input("heat", span(of.resistor_w, milliwatts))
            .formula("rating at least 2·P")
            .source("common practice, no source")
            .would_change(format!("A resistor rated {} or more.", milliwatts(2.0 * heat))),
    )
}

/// Branches behind one resistor.
fn sharing(string: &LightString) -> Option<Finding> {
    (string.share() > 1).then(|| {
        let what = match string.light {
            Light::Led { .. } => "they share the current unevenly, and one may take it all",
            Light::Lamp { .. } => "when one fails the others get more",
        };
        Finding::new(
            Aspect::Caution,
            format!("{}: {} branches behind one resistor; {what}.", string.name, string.share()),
        )
        .input("branches", string.share().to_string())
        .formula("one resistor to a branch")
        .source("common practice, no source")
        .would_change("A resistor for each branch.")
    })
}

/// A lamp that softens plastic.
fn hot_lamp(string: &LightString, of: &StringResult) -> Option<Finding> {
    let Light::Lamp { rated_v, rated_a, .. } = string.light else { return None };
    let heat = of.branch_a.hi * of.lamp_v.hi;
    (heat >= HOT_LAMP_W).then(|| {
        Finding::new(
            Aspect::Caution,
            format!(
                "{}: {} in one lamp softens plastic that touches it.",
                string.name,
                milliwatts(heat)
            ),
        )
        .input("lamp", format!("{} at {}", volts(rated_v), milliamps(rated_a)))
        .formula("P = V·I, caution from 0.5 W on")
        .source("common practice, no source")
        .would_change("An LED, a lamp of less current, or room and foil between lamp and shell.")
    })
}

/// A current against a rating.
fn against(what: &str, current: Bounded, rating_a: Option<f64>, unknown: &str) -> Finding {
    let finding = match rating_a {
        None => Finding::unlit(
            format!("{unknown} It gives {}.", milliamps(current.hi)),
            "Give the rating from the decoder's sheet.",
        ),
        Some(rating) => {
            let text = format!("{what}: {} of {}", milliamps(current.hi), milliamps(rating));
            if current.hi > rating * (1.0 + SLACK) {
                Finding::new(Aspect::Danger, format!("{text}; too much."))
            } else if current.hi > FULL_SHARE * rating * (1.0 + SLACK) {
                let left = percent_down((rating - current.hi) / rating);
                Finding::new(Aspect::Caution, format!("{text}; {left} are left."))
            } else {
                Finding::new(Aspect::Clear, format!("{text}."))
            }
            .input("rating", milliamps(rating))
            .would_change(format!(
                "Stay below {} for a cushion of 20\u{a0}%.",
                milliamps(FULL_SHARE * rating)
            ))
        }
    };
    finding
        .input("current", span(current, milliamps))
        .formula("headroom = (rating − current) / rating; caution below 20 %")
        .source("common practice, no source")
}

fn output(given: &LightOutput, result: &OutputResult) -> Finding {
    against(
        &format!("Output {}", given.name),
        result.current_a,
        given.rating_a,
        &format!("What output {} may give is not known.", given.name),
    )
}

/// Lamps that draw more at switch-on than the output may give.
fn inrush(given: &LightOutput, result: &OutputResult) -> Option<Finding> {
    let lamps = given.strings.iter().any(|s| matches!(s.light, Light::Lamp { .. }));
    let rating = given.rating_a?;
    (lamps && result.inrush_a > rating * (1.0 + SLACK)).then(|| {
        Finding::new(
            Aspect::Caution,
            format!(
                "Output {}: cold lamps draw up to {} at switch-on, the output may give {}.",
                given.name,
                milliamps(result.inrush_a),
                milliamps(rating)
            ),
        )
        .input("rating", milliamps(rating))
        .input("cold lamps draw", format!("{} times their lit current", cold_words(given)))
        .formula("I = V_s / (R + n·R_cold)")
        .source("common practice, no source: up to ten times when cold")
        .would_change("22 to 33 Ω in series with each lamp, or LEDs.")
    })
}

/// The greatest cold ratio among the lamps, as given.
fn cold_words(given: &LightOutput) -> String {
    let most = given.strings.iter().filter_map(|s| match s.light {
        Light::Lamp { cold_ratio, .. } => Some(cold_ratio.unwrap_or(super::strings::COLD_RATIO)),
        Light::Led { .. } => None,
    });
    exact(most.fold(1.0, f64::max))
}
