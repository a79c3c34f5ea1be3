//! What is said about a trace.

use super::spectrum::Swing;
use super::{FORMULA, Input, Output, Plateau, SOURCE, STILL_A, SWING_FORMULA};
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, amps, exact, fixed, percent_up, seconds};

/// Swing over mean from which it is caution (judgement, no source).
const CAUTION: f64 = 0.10;
/// Swing over mean from which it is danger (judgement, no source).
const DANGER: f64 = 0.30;
/// A gap this many times the usual interval is told.
const GAP: f64 = 5.0;

/// Every finding.
pub(super) fn findings(input: &Input, out: &Output) -> Vec<Finding> {
    let mut all = vec![swing(input, out)];
    all.extend(unit(input, out));
    all.extend(skipped(out));
    all.extend(gap(out));
    all.extend(too_many(out));
    all
}

fn hertz(value: f64) -> String {
    format!("{}\u{a0}Hz", fixed(value, 2, Rounding::Nearest))
}

/// The longest stretch on which current flows: the running one, with its place from 0.
pub(super) fn running(plateaus: &[Plateau]) -> Option<(usize, &Plateau)> {
    plateaus
        .iter()
        .enumerate()
        .filter(|(_, p)| p.mean_a.value >= STILL_A)
        .max_by(|a, b| a.1.duration_s().total_cmp(&b.1.duration_s()))
}

/// The swing on the running stretch.
fn swing(input: &Input, out: &Output) -> Finding {
    let Some((_, plateau)) = running(&out.plateaus) else {
        return Finding::unlit(
            "No stretch of the log carries current.",
            "Log a run of ten wheel turns or more at one speed.",
        )
        .input("counts as standing still below", amps(STILL_A))
        .formula(SWING_FORMULA)
        .source(SOURCE);
    };
    let caution = input.swing_clear_below.unwrap_or(CAUTION);
    let danger = input.swing_danger_above.unwrap_or(DANGER);
    let finding = match (plateau.searched_hz, plateau.strongest) {
        (Some(_), Some(strongest)) => strong(plateau, out.turn_hz, strongest, (caution, danger)),
        _ => Finding::unlit(
            format!(
                "The running stretch of {} is too short, or logged too seldom, to show a swing.",
                seconds(plateau.duration_s())
            ),
            "Log ten wheel turns or more, with at least ten readings to a turn.",
        ),
    };
    let mut finding = finding
        .input("running stretch", format!("from {} on", seconds(plateau.from_s)))
        .input("mean", amps(plateau.mean_a.value))
        .input("length", seconds(plateau.duration_s()));
    if let Some(band) = plateau.searched_hz {
        finding = finding.input("searched", format!("{} to {}", hertz(band.lo), hertz(band.hi)));
    }
    let turn = out.turn_hz.map_or_else(|| "not known".to_owned(), hertz);
    finding
        .input("wheel turns", turn)
        .input("clear below", percent_up(caution))
        .input("danger above", percent_up(danger))
        .formula(SWING_FORMULA)
        .source(SOURCE)
}

/// A stretch whose spectrum could be made: the swing at the wheel's turn and the strongest one.
fn strong(
    plateau: &Plateau,
    turn_hz: Option<f64>,
    strongest: Swing,
    (caution, danger): (f64, f64),
) -> Finding {
    let judged = |s: Swing| {
        if !s.stands_out || s.of_mean < caution {
            Aspect::Clear
        } else if s.of_mean <= danger {
            Aspect::Caution
        } else {
            Aspect::Danger
        }
    };
    let told = |s: Swing| {
        format!(
            "At {} the current swings by {}, {} of it, {} times a second",
            amps(plateau.mean_a.value),
            amps(s.swing_a),
            percent_up(s.of_mean),
            fixed(s.hz, 2, Rounding::Nearest)
        )
    };
    let look = "Look for a bind, rods out of quarter or a wheel out of round, ease it, log again.";
    if let Some(turn) = plateau.once_per_turn
        && judged(turn) != Aspect::Clear
    {
        let sentence = format!("{}: once per wheel turn.", told(turn));
        return Finding::new(judged(turn), sentence).would_change(look);
    }
    if judged(strongest) != Aspect::Clear {
        let (known, next) = match turn_hz {
            Some(turn) => (
                format!("{} to a wheel turn", fixed(strongest.hz / turn, 2, Rounding::Nearest)),
                "Find what turns so often: a gear, the worm, the motor.",
            ),
            None => (
                "the wheel's turns are not known".to_owned(),
                "Count wheel turns over ten seconds, or give speed and wheel diameter.",
            ),
        };
        return Finding::new(judged(strongest), format!("{}; {known}.", told(strongest)))
            .would_change(next);
    }
    weak(plateau, turn_hz, caution)
}

/// No swing above the limit: clear only where the wheel's turn is known and could be seen.
fn weak(plateau: &Plateau, turn_hz: Option<f64>, caution: f64) -> Finding {
    match (turn_hz, plateau.once_per_turn) {
        (Some(turn), Some(at_turn)) => Finding::new(
            Aspect::Clear,
            format!(
                "At {} the current swings by {} once per wheel turn ({}).",
                amps(plateau.mean_a.value),
                if at_turn.stands_out {
                    percent_up(at_turn.of_mean)
                } else {
                    "no more than its noise".to_owned()
                },
                hertz(turn)
            ),
        )
        .would_change(format!("A swing of {} of the mean or more.", percent_up(caution))),
        (Some(turn), None) => Finding::unlit(
            format!(
                "The wheel turns {} times a second, outside what this log can show.",
                exact(turn)
            ),
            "Log more often, or longer.",
        ),
        (None, _) => Finding::unlit(
            "No strong swing is seen, but how often the wheel turns is not known.",
            "Count wheel turns over ten seconds, or give speed and wheel diameter.",
        ),
    }
}

/// A unit that was neither in the header nor given.
fn unit(input: &Input, out: &Output) -> Option<Finding> {
    out.unit_assumed.then(|| {
        let time = if input.sample_s.is_some() {
            String::new()
        } else {
            format!(" and time as {}", out.time_unit.word())
        };
        Finding::new(
            Aspect::Caution,
            format!(
                "Not every unit is given: current is taken as {}{time}.",
                out.current_unit.word()
            ),
        )
        .input("current", out.current_unit.word())
        .input("time", out.time_unit.word())
        .formula("units from the header or as given, else A and s")
        .source("common practice, no source")
        .would_change("Give both units.")
    })
}

fn skipped(out: &Output) -> Option<Finding> {
    let first = out.skipped.first()?;
    let mut finding = Finding::new(
        Aspect::Caution,
        format!("{} bad lines are left out, the first is line {}.", out.skipped.len(), first.line),
    );
    for bad in out.skipped.iter().take(5) {
        let wanted = format!("{}: wanted {}", bad.text, bad.wanted);
        finding = finding.input(format!("line {}", bad.line), wanted);
    }
    Some(
        finding.would_change("Mend the lines in the log.").source("the log itself").formula("none"),
    )
}

fn gap(out: &Output) -> Option<Finding> {
    let (gap_s, at_s) = out.longest_gap_s;
    (gap_s > GAP * out.interval_s).then(|| {
        Finding::new(
            Aspect::Caution,
            format!("From {} on {} are missing from the log.", seconds(at_s), seconds(gap_s)),
        )
        .input("usual interval", format!("{}\u{a0}s", exact(out.interval_s)))
        .formula("a gap of more than five usual intervals")
        .source("judgement, no source")
        .would_change("A log without the gap.")
    })
}

fn too_many(out: &Output) -> Option<Finding> {
    (out.found > out.plateaus.len()).then(|| {
        Finding::new(
            Aspect::Caution,
            format!("{} plateaus are found, the first {} are told.", out.found, out.plateaus.len()),
        )
        .input("least step", amps(out.step_a))
        .input("shortest plateau", seconds(out.least_s))
        .formula(FORMULA)
        .source(SOURCE)
        .would_change("A larger least step or a longer shortest plateau.")
    })
}
