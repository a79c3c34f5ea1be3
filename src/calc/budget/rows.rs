//! A row per rating and load case, and the rule that decides it.

use super::demand::Demand;
use super::{Basis, Case, Input, RatingKind, Row, words};
use crate::aspect::{Aspect, Finding};
use crate::calc::Bounded;
use crate::calc::load::{self, SAME_WITHIN};
use crate::units::Interval;
use std::collections::BTreeSet;

/// Name of the row at a place as used in an answer's values: `motor_peak_held`, `function_2`.
pub(super) fn key_of(rows: &[Row], place: usize) -> String {
    let outputs = rows.iter().take(place + 1).filter(|r| r.rating == RatingKind::Function).count();
    rows.get(place).map_or_else(String::new, |row| row.key(outputs))
}

/// What a row compares, before it is decided.
pub(super) struct Compared {
    rating: RatingKind,
    output: Option<String>,
    case: Option<Case>,
    rating_a: Option<f64>,
    /// Headroom wanted, 0 where none is.
    pub wanted: f64,
    /// Aspect of a demand above the rating.
    above: Aspect,
}

/// Every row: motor peak, motor continuous, total, then each function output in order of its name.
pub(super) fn all(input: &Input, motor: &load::Output) -> Vec<Row> {
    let mut out: Vec<Row> = motor_and_total(input)
        .into_iter()
        .map(|compared| {
            let case = compared.case.unwrap_or_default();
            let mut demand = Demand::motor(input, motor, case);
            if compared.rating == RatingKind::TotalContinuous {
                demand = demand.and(Demand::loads(input.loads.iter()));
            }
            decided(input, compared, demand)
        })
        .collect();
    let outputs: BTreeSet<&str> = input.loads.iter().filter_map(|l| l.output.as_deref()).collect();
    for output in outputs {
        let on_it = input.loads.iter().filter(|l| l.output.as_deref() == Some(output));
        let compared = Compared {
            rating: RatingKind::Function,
            output: Some(output.to_owned()),
            case: None,
            rating_a: input.decoder.of_output(output),
            wanted: 0.0,
            above: Aspect::Danger,
        };
        out.push(decided(input, compared, Demand::loads(on_it)));
    }
    out
}

impl Compared {
    /// The total rating in a case, with its rule.
    pub fn total(input: &Input, case: Case) -> Compared {
        let governs = input.governing == case;
        Compared {
            rating: RatingKind::TotalContinuous,
            output: None,
            case: Some(case),
            rating_a: input.decoder.total_continuous_a,
            wanted: if governs { input.wanted(case) } else { 0.0 },
            above: if governs { Aspect::Danger } else { Aspect::Caution },
        }
    }
}

/// The rows that carry the motor, with their rules.
fn motor_and_total(input: &Input) -> [Compared; 5] {
    use Case::{Held, Slipping};
    use RatingKind::{MotorContinuous, MotorPeak};
    let decoder = &input.decoder;
    let row = |rating, case, wanted, above| Compared {
        rating,
        output: None,
        case: Some(case),
        rating_a: match rating {
            MotorPeak => decoder.motor_peak_a,
            _ => decoder.motor_continuous_a,
        },
        wanted,
        above,
    };
    let held_wanted = if input.governing == Held { input.wanted(Held) } else { 0.0 };
    [
        row(MotorPeak, Held, 0.0, Aspect::Danger),
        row(MotorContinuous, Held, held_wanted, Aspect::Caution),
        row(MotorContinuous, Slipping, input.wanted(Slipping), Aspect::Danger),
        Compared::total(input, Held),
        Compared::total(input, Slipping),
    ]
}

/// Decides a row on the bad end of its demand.
fn decided(input: &Input, mut compared: Compared, mut demand: Demand) -> Row {
    let complete = demand.missing.is_empty().then_some(demand.known);
    let covered = complete.and_then(|d| covered(input, &compared, d));
    compared.rating_a = compared.rating_a.or(covered);
    if compared.rating_a.is_some() && input.decoder.basis == Basis::Guess {
        demand.unmeasured.push(words::RATING_GUESSED.to_owned());
    }
    let headroom = compared.rating_a.zip(complete).and_then(|(rating, d)| left(rating, d));
    let aspect = aspect_of(&compared, &demand, headroom);
    let mut row = Row {
        rating: compared.rating,
        output: compared.output,
        case: compared.case,
        rating_a: compared.rating_a,
        by_continuous: covered.is_some(),
        known_a: demand.known,
        demand: complete,
        headroom,
        wanted: compared.wanted,
        parts: demand.amounts,
        missing: demand.missing,
        unmeasured: demand.unmeasured,
        aspect,
        finding: Finding::unlit("", ""),
    };
    row.finding = words::finding(input, &row, demand.parts, compared.above);
    row
}

/// The continuous motor rating in place of a peak rating nobody gives, A: where it holds the demand.
fn covered(input: &Input, compared: &Compared, demand: Bounded) -> Option<f64> {
    if compared.rating != RatingKind::MotorPeak || compared.rating_a.is_some() {
        return None;
    }
    input.decoder.motor_continuous_a.filter(|rating| !is_above(demand, *rating))
}

/// The aspect of a row: the table at the head of this folder.
pub(super) fn aspect_of(compared: &Compared, demand: &Demand, headroom: Option<Bounded>) -> Aspect {
    let Some(rating) = compared.rating_a else { return Aspect::Unlit };
    let above = is_above(demand.known, rating);
    if above && compared.above == Aspect::Danger {
        return Aspect::Danger;
    }
    let Some(headroom) = headroom else { return Aspect::Unlit };
    if !demand.unmeasured.is_empty() {
        return Aspect::Unlit;
    }
    if above || headroom.lo < compared.wanted - SAME_WITHIN {
        return Aspect::Caution;
    }
    Aspect::Clear
}

/// Whether a demand's bad end is above a rating, A.
pub(super) fn is_above(demand: Bounded, rating: f64) -> bool {
    demand.hi > rating * (1.0 + SAME_WITHIN)
}

/// What is left of a rating: 1 − demand / rating.
pub(super) fn left(rating: f64, demand: Bounded) -> Option<Bounded> {
    let used = demand.interval().checked_div(Interval::exact(rating))?;
    Some(Bounded::new(1.0 - demand.value / rating, Interval::exact(1.0) - used))
}
