//! What a row of the headroom says.

use super::rows::is_above;
use super::{Case, Input, RatingKind, Row};
use crate::aspect::{Aspect, Finding, Named};
use crate::calc::Bounded;
use crate::calc::load::{amps_at_least, amps_below, amps_given, amps_with_bounds};
use crate::units::{percent_down, percent_up, seconds};

/// The demand's formula.
pub(super) const DEMAND: &str = "motor in the load case + sum of count × current of each load";
/// The headroom's formula.
pub(super) const HEADROOM: &str = "(rating − demand) / rating";
/// What stands among the unmeasured for a rating nobody looked up.
pub(super) const RATING_GUESSED: &str = "the decoder's rating";
/// Where both come from.
pub(super) const PRACTICE: &str = "common practice, no source";

/// The row in words: `Motor continuous, held`, `Output white`.
pub(super) fn row_name(row: &Row) -> String {
    let case = row.case.map_or("", Case::word);
    match (row.rating, &row.output) {
        (RatingKind::MotorPeak, _) => format!("Motor peak, {case}"),
        (RatingKind::MotorContinuous, _) => format!("Motor continuous, {case}"),
        (RatingKind::TotalContinuous, _) => format!("Total continuous, {case}"),
        (RatingKind::Function, output) => format!("Output {}", output.as_deref().unwrap_or("")),
    }
}

/// The verdict of a row in full.
pub(super) fn finding(input: &Input, row: &Row, parts: Vec<Named>, above: Aspect) -> Finding {
    let mut out = Finding::new(row.aspect, sentence(input, row))
        .input("load case", row.case.map_or("any", Case::word))
        .input(rating_name(row), rating_value(input, row));
    out.inputs.extend(parts);
    if row.wanted > 0.0 {
        out = out.input("headroom wanted", percent_up(row.wanted));
    }
    out.formula(format!("{HEADROOM}; {}", rule(row, above)))
        .source(format!("{PRACTICE}; ratings: {}", input.decoder.basis.word()))
        .would_change(would_change(row, above))
}

/// The rating's name: `motor peak rating`, `output white rating`.
pub(super) fn rating_name(row: &Row) -> String {
    match (row.rating, &row.output) {
        (RatingKind::MotorPeak, _) => "motor peak rating".to_owned(),
        (RatingKind::MotorContinuous, _) => "motor continuous rating".to_owned(),
        (RatingKind::TotalContinuous, _) => "total continuous rating".to_owned(),
        (RatingKind::Function, output) => {
            format!("output {} rating", output.as_deref().unwrap_or(""))
        }
    }
}

/// The rating's value in words, with the peak's seconds.
fn rating_value(input: &Input, row: &Row) -> String {
    let Some(rating) = row.rating_a else { return "not given".to_owned() };
    match (row.rating, input.decoder.motor_peak_s) {
        (RatingKind::MotorPeak, _) if row.by_continuous => {
            format!("not given; the motor continuous rating of {} covers it", amps_given(rating))
        }
        (RatingKind::MotorPeak, Some(s)) => format!("{} for {}", amps_given(rating), seconds(s)),
        _ => amps_given(rating),
    }
}

/// Who takes the current.
fn taker(row: &Row) -> String {
    let motor = match row.case {
        Some(Case::Slipping) => "The motor with the wheels slipping",
        _ => "The motor held",
    };
    match (row.rating, &row.output) {
        (RatingKind::Function, output) => format!("Output {}", output.as_deref().unwrap_or("")),
        (RatingKind::TotalContinuous, _) => format!("{motor}, with all loads,"),
        _ => motor.to_owned(),
    }
}

/// The verdict in one sentence.
fn sentence(input: &Input, row: &Row) -> String {
    let Some(rating) = row.rating_a else {
        return format!("Not known: the {} is not given.", rating_name(row));
    };
    let limit = if row.by_continuous {
        let rating = amps_given(rating);
        format!("the motor continuous rating of {rating}, which covers a peak too")
    } else {
        format!("the {} of {}", rating_name(row), rating_value(input, row))
    };
    let above = is_above(row.known_a, rating);
    if !row.missing.is_empty() && row.aspect != Aspect::Danger {
        return format!("Missing for {limit}: {}.", all_of(&row.missing));
    }
    let least = if row.missing.is_empty() { "" } else { "at least " };
    let takes = format!("{} takes {least}{}", taker(row), amps_with_bounds(row.known_a));
    let compared = if above {
        let over = amps_at_least(row.known_a.hi - rating);
        format!("{takes}, above {limit} by {over}{}", at_worst(row, rating))
    } else {
        let left = row.headroom.map_or(0.0, |h| h.lo.max(0.0));
        let wanted = if row.aspect == Aspect::Caution {
            format!(", below the {} wanted", percent_up(row.wanted))
        } else {
            String::new()
        };
        let worst = row.headroom.map_or("", Bounded::at_worst);
        format!("{takes} of {limit}: {} headroom{worst}{wanted}", percent_down(left))
    };
    if row.aspect != Aspect::Unlit {
        return format!("{compared}.");
    }
    let holds = if above { "On paper only" } else { "Holds on paper" };
    format!("{holds}; {}. {compared}.", hoped(row))
}

/// Why a row is a hope: what nobody measured, and whether the rating is a guess.
fn hoped(row: &Row) -> String {
    let measurable = measurable(row);
    let loads = format!("nobody measured {}", all_of(&measurable));
    match (measurable.is_empty(), measurable.len() == row.unmeasured.len()) {
        (false, true) => loads,
        (false, false) => format!("{loads}, and the rating is a guess"),
        _ => "the rating is a guess".to_owned(),
    }
}

/// What of the unmeasured a meter can tell.
fn measurable(row: &Row) -> Vec<String> {
    row.unmeasured.iter().filter(|name| *name != RATING_GUESSED).cloned().collect()
}

/// ` at worst` where only the bad end is above the rating.
fn at_worst(row: &Row, rating: f64) -> &'static str {
    if row.known_a.value > rating { "" } else { " at worst" }
}

/// The row's rule in words.
fn rule(row: &Row, above: Aspect) -> String {
    if row.wanted > 0.0 {
        format!("above {}, headroom below {} caution", above.word(), percent_up(row.wanted))
    } else {
        format!("above {}", above.word())
    }
}

/// The demand or the rating at which the aspect turns, or what to measure.
fn would_change(row: &Row, above: Aspect) -> String {
    let Some(rating) = row.rating_a else {
        let or = match row.rating {
            RatingKind::MotorPeak => ", or bring the held current below its continuous rating",
            _ => "",
        };
        return format!("Write down the {} from the decoder’s data sheet{or}.", rating_name(row));
    };
    let clear_to = rating * (1.0 - row.wanted);
    let enough = row.known_a.hi / (1.0 - row.wanted);
    let better = format!(
        "A demand of {} or less, or a rating of {} or more, would make it clear.",
        amps_below(clear_to),
        amps_at_least(enough)
    );
    match row.aspect {
        Aspect::Danger | Aspect::Caution => better,
        Aspect::Unlit if !row.missing.is_empty() => {
            format!("Measure {}.", all_of(&row.missing))
        }
        Aspect::Unlit => format!("{}{}", to_do(row), turns(row, above)),
        Aspect::Clear => turns(row, above),
    }
}

/// What to measure, and where to take a guessed rating from.
fn to_do(row: &Row) -> String {
    let measurable = measurable(row);
    let guessed = measurable.len() < row.unmeasured.len();
    let measure = format!("Measure {}. ", all_of(&measurable));
    let look_up = "Take the rating from the decoder’s data sheet. ";
    match (measurable.is_empty(), guessed) {
        (true, _) => look_up.to_owned(),
        (false, true) => format!("{measure}{look_up}"),
        (false, false) => measure,
    }
}

/// The demands above which a row turns.
fn turns(row: &Row, above: Aspect) -> String {
    let above = if row.by_continuous { Aspect::Unlit } else { above };
    let rating = row.rating_a.unwrap_or(0.0);
    let limit = format!("bove {} it is {}", amps_below(rating), above.word());
    if row.wanted > 0.0 && above == Aspect::Danger {
        format!("Above {} it is caution, a{limit}.", amps_below(rating * (1.0 - row.wanted)))
    } else if row.wanted > 0.0 {
        format!("Above {} it is caution.", amps_below(rating * (1.0 - row.wanted)))
    } else {
        format!("A{limit}.")
    }
}

/// A list in words: `a, b and c`.
fn all_of(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}
