//! The verdicts of a temperature log.

use super::{Curve, Input, LEAST_POINTS, LEAST_SPAN, Output};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::units::{Rounding, exact, fixed};

/// Rise in the last 5 minutes that counts as settled, K. Common practice, from memory.
const SETTLED_K: f64 = 3.0;
/// Scatter about the curve from which the curve is doubted, K. Judgement, no source.
const DOUBTFUL_K: f64 = 2.0;

/// The rule of the limit.
const RULE: &str =
    "T(t) = T_amb + dT (1 − exp(−t / tau)); upper end of the interval against the limit";
/// Its source.
const SOURCE: &str = "first-order rise, handbook; Student's t interval";

/// All verdicts.
pub(super) fn all(input: &Input, output: &Output) -> Vec<Finding> {
    let mut findings = vec![limit(input, output)];
    findings.extend(soak(input, output));
    findings.extend(output.curve.as_ref().and_then(scatter));
    findings.extend(forecast(input, output));
    findings
}

/// A time in minutes, or seconds below two minutes, to the nearest.
pub(super) fn minutes(time_s: f64) -> String {
    if time_s < 120.0 {
        format!("{}\u{a0}s", fixed(time_s, 0, Rounding::Nearest))
    } else {
        format!("{}\u{a0}min", fixed(time_s / 60.0, 1, Rounding::Nearest))
    }
}

/// A temperature with one decimal, rounded up so that no danger is rounded away.
fn celsius(temp_c: f64) -> String {
    format!("{}\u{a0}°C", fixed(temp_c, 1, Rounding::Up))
}

/// `62.0 °C to 64.1 °C`, rounded outward.
fn range(c: &Bounded) -> String {
    format!("{}\u{a0}°C to {}", fixed(c.lo, 1, Rounding::Down), celsius(c.hi))
}

/// Does it stay below the limit?
fn limit(input: &Input, output: &Output) -> Finding {
    let Some(limit_c) = input.limit_c else {
        return Finding::unlit(
            "No limit is given, so nothing says whether this temperature is good.",
            "the highest temperature that the part or the shell takes",
        )
        .input("readings", input.points.len().to_string())
        .formula(RULE)
        .source(SOURCE);
    };
    let finding = match (read_above(input, limit_c), &output.curve) {
        (Some(high), _) => Finding::new(
            Aspect::Danger,
            format!(
                "Stop now: it reads {}, above the limit of {}.",
                celsius(high),
                celsius(limit_c)
            ),
        )
        .would_change("let it cool, find what makes the heat, log again"),
        (None, None) => unknown(output),
        (None, Some(curve)) => settled(curve, limit_c, output.last_s.unwrap_or(0.0)),
    };
    let finding = match &output.curve {
        None => finding,
        Some(c) => finding
            .input("settles at", format!("{} ({})", celsius(c.final_c.value), range(&c.final_c)))
            .input("time constant", minutes(c.tau_s.value))
            .input("confidence level", format!("{}\u{a0}%", exact(input.level_percent))),
    };
    finding
        .input("readings", input.points.len().to_string())
        .input("limit", celsius(limit_c))
        .formula(RULE)
        .source(SOURCE)
}

/// The highest reading, with the thermometer's error, where it passes the limit.
fn read_above(input: &Input, limit_c: f64) -> Option<f64> {
    let high = input
        .points
        .iter()
        .map(|p| p.temp_c + input.accuracy.map_or(0.0, |a| a.spread(p.temp_c)))
        .reduce(f64::max)?;
    (high > limit_c).then_some(high)
}

/// No curve: unlit, with what to do.
fn unknown(output: &Output) -> Finding {
    Finding::unlit(
        format!("Not known yet where it settles: {}.", output.why_no_curve),
        format!("at least {LEAST_POINTS} readings over at least {LEAST_SPAN} of the time constant"),
    )
}

/// The curve against the limit.
fn settled(curve: &Curve, limit_c: f64, last_s: f64) -> Finding {
    let end = curve.final_c;
    let range = range(&end);
    if end.hi <= limit_c {
        return Finding::new(
            Aspect::Clear,
            format!(
                "It settles at {} ({range}), below the limit of {}.",
                celsius(end.value),
                celsius(limit_c)
            ),
        )
        .would_change("a run with the shell on, a load, or a higher track voltage");
    }
    let when = curve.to_limit.and_then(|t| t.time_s).map_or_else(String::new, |t| {
        format!(" It passes the limit {} from the last reading.", minutes((t - last_s).max(0.0)))
    });
    let sentence = if end.value > limit_c {
        format!(
            "Stop now: it settles at {} ({range}), above the limit of {}.{when}",
            celsius(end.value),
            celsius(limit_c)
        )
    } else {
        format!(
            "Stop now: it may settle as high as {} ({range}), above the limit of {}.",
            celsius(end.hi),
            celsius(limit_c)
        )
    };
    Finding::new(Aspect::Danger, sentence)
        .would_change("less load, a heat path to metal, or more readings that narrow the interval")
}

/// The soak rule: less than 3 K in the last 5 minutes.
fn soak(input: &Input, output: &Output) -> Option<Finding> {
    if input.points.is_empty() {
        return None;
    }
    let finding = match output.soak_rise_k {
        None => Finding::unlit(
            "The log is shorter than 5 minutes, so the soak rule cannot be used.",
            "readings at 0, 5 and 15 minutes",
        )
        .input("last reading at", minutes(output.last_s.unwrap_or(0.0))),
        Some(rise) => {
            let rose = fixed(rise.value, 1, Rounding::Up);
            let (aspect, word) = if rise.hi < SETTLED_K {
                (Aspect::Clear, "settled")
            } else {
                (Aspect::Caution, "still rising")
            };
            Finding::new(aspect, format!("In the last 5 minutes it rose {rose}\u{a0}K: {word}."))
                .input("rise in the last 5 minutes", format!("{rose}\u{a0}K"))
                .would_change("run on until the rise is below 3 K in 5 minutes")
        }
    };
    Some(finding.formula("rise in the last 5 min < 3 K").source("common practice, from memory"))
}

/// Readings far off the curve: the run was not one steady run.
fn scatter(curve: &Curve) -> Option<Finding> {
    (curve.residual_k > DOUBTFUL_K).then(|| {
        let off = fixed(curve.residual_k, 1, Rounding::Up);
        Finding::new(
            Aspect::Caution,
            format!(
                "The readings lie about {off}\u{a0}K off the curve: log one steady run from cold."
            ),
        )
        .input("scatter", format!("{off}\u{a0}K"))
        .formula("s = √(Σ (T − curve)² / (n − p)) > 2 K")
        .source("judgement, no source")
        .would_change("a log without stops or changes of speed")
    })
}

/// The forecast from data sheets: a failure is shown, a pass stays unlit until logged.
fn forecast(input: &Input, output: &Output) -> Option<Finding> {
    let (steady, limit_c) = (output.steady_c?, input.limit_c?);
    let finding = if steady > limit_c {
        Finding::new(
            Aspect::Danger,
            format!(
                "By its watts it would reach {}, above the limit of {}.",
                celsius(steady),
                celsius(limit_c)
            ),
        )
        .would_change("fewer watts or less thermal resistance")
    } else {
        Finding::unlit(
            format!(
                "By its watts it would reach {}; that is a forecast, not a reading.",
                celsius(steady)
            ),
            "a logged run",
        )
    };
    Some(
        finding
            .input("heat", format!("{}\u{a0}W", exact(input.loss_w.unwrap_or(0.0))))
            .input(
                "thermal resistance",
                format!("{}\u{a0}K/W", exact(input.path_kelvin_per_watt.iter().sum())),
            )
            .formula("T = T_a + P Σ R_th")
            .source("thermal Ohm's law, data books on cooling"),
    )
}
