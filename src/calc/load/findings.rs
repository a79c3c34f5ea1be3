//! What the load test says: the mechanism, the winding, and whether the readings can be right.

use super::Input;
use super::bounds::Readings;
use super::words::{SAME_WITHIN, amps_at_least, amps_below, amps_given, amps_with_bounds};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::units::{Accuracy, Rounding, fixed, ohms, percent, percent_up, volts};

/// How far terminal resistance and winding may be apart, as a share of the winding. A judgement, no
/// source.
const APART: f64 = 0.25;
/// Words for a limit that clubs may set.
const JUDGEMENT: &str = "common practice, no source; the limits are a judgement";

/// Does the mechanism eat the motor's effort itself? Decided on the high end of the friction share.
pub(super) fn mechanism(input: &Input, r: &Readings, share: Option<Bounded>) -> Finding {
    let (clear, danger) = (input.friction_clear_below, input.friction_danger_above);
    let rule = format!(
        "I_free / I_slip; below {} clear, above {} danger",
        fixed(clear, 2, Rounding::Nearest),
        fixed(danger, 2, Rounding::Nearest)
    );
    let (Some(free), Some(slipping)) = (r.free, r.slipping) else {
        let missing = match (r.free, r.slipping) {
            (None, None) => "free and slipping currents",
            (None, _) => "free current",
            _ => "slipping current",
        };
        let sentence = format!("Not known what the mechanism eats: {missing} not measured.");
        let what = format!("Measure the {missing} at {}.", volts(r.volts.value));
        return with_effort(Finding::unlit(sentence, what), r).formula(rule).source(JUDGEMENT);
    };
    let Some(share) = share else {
        let sentence = "The slipping current can't be told from nothing on this meter.";
        let finding = Finding::unlit(sentence, "Measure it on a finer range.");
        return with_effort(finding, r).formula(rule).source(JUDGEMENT);
    };
    let aspect = if share.hi > danger * (1.0 + SAME_WITHIN) {
        Aspect::Danger
    } else if share.hi < clear * (1.0 - SAME_WITHIN) {
        Aspect::Clear
    } else {
        Aspect::Caution
    };
    let sentence = mechanism_sentence(share, aspect, clear, danger);
    let turn = mechanism_turn(input, free, slipping, aspect);
    with_effort(Finding::new(aspect, sentence), r)
        .input("friction share", share_with_bounds(share))
        .formula(rule)
        .source(JUDGEMENT)
        .would_change(turn)
}

/// The mechanism in one sentence.
fn mechanism_sentence(share: Bounded, aspect: Aspect, clear: f64, danger: f64) -> String {
    let eaten = if share.hi - share.value <= SAME_WITHIN {
        percent(share.value)
    } else {
        format!("{}, at worst {},", percent(share.value), percent_up(share.hi))
    };
    let limit = match aspect {
        Aspect::Danger => format!("above {}", percent_up(danger)),
        Aspect::Clear => format!("below {}", percent_up(clear)),
        _ => format!("not below {}", percent_up(clear)),
    };
    format!("The mechanism itself takes {eaten} of the current at which the wheels slip: {limit}.")
}

/// The free current at which the mechanism's aspect turns, at the same slipping current.
fn mechanism_turn(input: &Input, free: Bounded, slipping: Bounded, aspect: Aspect) -> String {
    let reading_at =
        |share: f64| reading_whose_high_end_is(share * slipping.lo, input.current_meter);
    let clear_at = reading_at(input.friction_clear_below);
    if aspect == Aspect::Clear {
        return format!(
            "A free current of {} or more at the same slipping current would make it caution.",
            amps_below(clear_at.max(free.value))
        );
    }
    if clear_at <= 0.0 {
        return "Measure both currents on a finer range.".to_owned();
    }
    let caution = if aspect == Aspect::Danger {
        let caution_at = reading_at(input.friction_danger_above);
        format!(", {} or less caution", amps_below(caution_at))
    } else {
        String::new()
    };
    format!(
        "A free current below {} at the same slipping current would make it clear{caution}. \
         Clean, oil and run in, then measure again.",
        amps_below(clear_at)
    )
}

/// The reading whose high end, by its meter, is a given value.
fn reading_whose_high_end_is(high: f64, meter: Option<Accuracy>) -> f64 {
    meter.map_or(high, |m| (high - m.digits * m.resolution) / (1.0 + m.percent / 100.0))
}

/// Do ohmmeter and held current tell the same resistance? Decided on the far end of their bounds.
pub(super) fn winding_agrees(
    r: &Readings,
    resistance: Option<Bounded>,
    disagreement: Option<Bounded>,
) -> Finding {
    let rule = "|R / R_winding − 1|, R = V / I_held; up to 0.25 clear, above caution";
    let done = |f: Finding| f.formula(rule).source(JUDGEMENT);
    let (Some(ohm), Some(apart), Some(winding)) = (resistance, disagreement, r.winding) else {
        return done(winding_unlit(r));
    };
    let agrees = apart.hi <= APART * (1.0 + SAME_WITHIN);
    let both =
        format!("{} from the held current, {} by ohmmeter", ohms(ohm.value), ohms(winding.value));
    let sentence = if agrees {
        format!("The winding agrees: {both}.")
    } else if ohm.value < winding.value {
        format!("{both}: brushes can't take less than nothing, so one of them may be wrong.")
    } else {
        format!("{both}: more than 25 % may be lost in brushes and contacts, or in the supply.")
    };
    let (least, most) = held_that_agrees(r.volts_when_held(), winding);
    let turn = format!(
        "A held current of {} to {} at {} agrees with this winding.",
        amps_at_least(least),
        amps_below(most),
        volts(r.volts_when_held().value)
    );
    let aspect = if agrees { Aspect::Clear } else { Aspect::Caution };
    let turn = if agrees {
        turn
    } else {
        format!(
            "{turn} Clean brushes and commutator, check the supply's current limit, measure both again."
        )
    };
    done(Finding::new(aspect, sentence))
        .input("terminal resistance", ohms(ohm.value))
        .input("winding", ohms(winding.value))
        .input("apart", share_with_bounds(apart))
        .would_change(turn)
}

/// The held currents, least and most, A, that lie within 25 % of a winding as read.
fn held_that_agrees(volts: Bounded, winding: Bounded) -> (f64, f64) {
    let alike = volts.value / winding.value;
    (alike / (1.0 + APART), alike / (1.0 - APART))
}

/// Why winding and held current can't be compared.
fn winding_unlit(r: &Readings) -> Finding {
    match (r.winding, r.held) {
        (None, _) => Finding::unlit(
            "The winding is not measured.",
            "Measure the winding by ohmmeter in several rotor positions, write down the lowest.",
        ),
        (_, None) => Finding::unlit(
            "No held current to compare the winding with.",
            "Measure the held current.",
        ),
        _ => Finding::unlit(
            "The held current or the winding can't be told from nothing on this meter.",
            "Measure on a finer range.",
        ),
    }
}

/// A current by name, at the test voltage.
type NamedCurrent = (&'static str, Bounded);

/// Can the three currents all be right? Free takes no more than slipping, slipping no more than
/// held at the same voltage. Wrong order beyond the meters' bounds is a caution that names the
/// doubtful reading.
pub(super) fn plausibility(r: &Readings) -> Finding {
    let rule = "I_free ≤ I_slip ≤ I_held, all at the test voltage";
    let free = r.free.map(|v| ("free", v));
    let slipping = r.slipping.map(|v| ("slipping", v));
    let held = held_at_test_volts(r).map(|v| ("held", v));
    let pairs = [(free, slipping), (slipping, held), (free, held)];
    let wrong: Vec<(NamedCurrent, NamedCurrent)> = pairs
        .into_iter()
        .filter_map(|(less, more)| Some((less?, more?)))
        .filter(|(less, more)| less.1.lo > more.1.hi * (1.0 + SAME_WITHIN))
        .collect();
    let finding = if let Some(first) = wrong.first() {
        doubtful(*first, &wrong)
    } else if free.is_some() && slipping.is_some() && held.is_some() {
        Finding::new(Aspect::Clear, "Free, slipping and held stand in the order they must.")
            .would_change("Free above slipping, or slipping above held, would make it caution.")
    } else {
        Finding::unlit(
            "Not all three currents are measured, so they don't check each other.",
            "Measure free, slipping and held.",
        )
    };
    with_currents(finding, r)
        .formula(rule)
        .source("friction adds to the load, and nothing draws more than a motor held still")
}

/// The held current at the test voltage, A.
fn held_at_test_volts(r: &Readings) -> Option<Bounded> {
    let (held, Some(low_volts)) = (r.held?, r.held_volts) else { return r.held };
    let per_volt = super::bounds::divided(held, low_volts)?;
    super::bounds::times(per_volt, r.volts)
}

/// Which reading is doubtful: the one that is wrong against both others, else either of the two.
fn doubtful(
    first: (NamedCurrent, NamedCurrent),
    wrong: &[(NamedCurrent, NamedCurrent)],
) -> Finding {
    let (less, more) = first;
    let in_all = |name: &str| wrong.iter().all(|(a, b)| a.0 == name || b.0 == name);
    let which = match (wrong.len() > 1, in_all(less.0), in_all(more.0)) {
        (true, true, false) => format!("most likely the {} current", less.0),
        (true, false, true) => format!("most likely the {} current", more.0),
        (true, ..) => "free, slipping or held".to_owned(),
        _ => format!("{} or {}", less.0, more.0),
    };
    let sentence = format!(
        "{} takes {}, {} only {}: one of these readings is wrong, {which}.",
        capital(less.0),
        amps_given(less.1.value),
        more.0,
        amps_given(more.1.value)
    );
    let turn = format!(
        "Measure both again at one voltage. {} of {} or less, or {} of {} or more, would fit.",
        capital(less.0),
        amps_below(more.1.hi),
        more.0,
        amps_at_least(less.1.lo)
    );
    Finding::new(Aspect::Caution, sentence).would_change(turn)
}

/// What to do about a held current that was not read; `None` where it was.
pub(super) fn held(input: &Input, r: &Readings, stand_in: Option<Bounded>) -> Option<Finding> {
    if r.held.is_some() {
        return None;
    }
    let why = if input.held_refused {
        "The motor could not be made to stall: its held current is not known."
    } else {
        "The held current is not measured."
    };
    let (stands_in, turn) = match (r.winding, stand_in) {
        (Some(_), Some(amps)) => (
            format!(" The winding stands in for it: at most {}, cold.", amps_at_least(amps.hi)),
            "A held reading at a lower, safer voltage replaces the stand-in.",
        ),
        (Some(_), None) => (
            String::new(),
            "Write down the track voltage; then the winding stands in for the held current.",
        ),
        _ => (
            String::new(),
            "Measure the winding by ohmmeter, the lowest of several rotor positions: it stands in \
             for the held current.",
        ),
    };
    let sentence = format!("{why}{stands_in}");
    let mut finding = Finding::unlit(sentence, turn)
        .formula("V_out / R_winding, winding cold; brushes only lower it")
        .source("Ohm’s law");
    if let Some(winding) = r.winding {
        finding = finding.input("winding", ohms(winding.value));
    }
    if let Some(output) = r.output {
        finding = finding.input("decoder output", volts(output.value));
    }
    Some(finding)
}

/// Adds the currents that were read, and the voltage, to a finding.
fn with_currents(finding: Finding, r: &Readings) -> Finding {
    let finding = with_effort(finding, r).input("held current", current(r.held));
    match r.held_volts {
        Some(held_volts) => finding.input("voltage when held", volts(held_volts.value)),
        None => finding,
    }
}

/// Adds what the mechanism's effort is told by: voltage, free and slipping current.
fn with_effort(finding: Finding, r: &Readings) -> Finding {
    finding
        .input("test voltage", volts(r.volts.value))
        .input("free current", current(r.free))
        .input("slipping current", current(r.slipping))
}

/// A current with its bounds, or that nobody measured it.
fn current(value: Option<Bounded>) -> String {
    value.map_or_else(|| "not measured".to_owned(), amps_with_bounds)
}

/// A share as whole percent with its bounds.
fn share_with_bounds(share: Bounded) -> String {
    if share.hi - share.lo <= SAME_WITHIN {
        return percent(share.value);
    }
    let low = fixed(share.lo * 100.0, 0, Rounding::Down);
    let high = fixed(share.hi * 100.0, 0, Rounding::Up);
    format!("{} ({low} to {high})", percent(share.value))
}

/// The word with a capital first letter.
fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}
