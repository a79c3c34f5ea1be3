//! Current headroom: does the decoder carry this motor and these loads?
//!
//! What it answers: for each rating the decoder gives, what is asked of it with the motor held and
//! with the wheels slipping, what is left, and the aspect that leads to.
//!
//! Inputs: see [`Input`]; the load test (currents in A, voltages in V), loads in A each, ratings in
//! A, headroom wanted as a share of the rating.
//!
//! Formulas: demand = motor in the load case + sum of count × current of every load;
//! headroom = (rating − demand) / rating = 1 − demand / rating.
//!
//! Rules, decided on the bad end of the bounds:
//!
//! | demand | rating | above | below the wanted headroom |
//! | --- | --- | --- | --- |
//! | motor held | motor peak | danger | – |
//! | motor held, no peak rating given | motor continuous, as long as it holds | unlit | – |
//! | motor held | motor continuous | caution | caution where held governs |
//! | motor slipping | motor continuous | danger | caution |
//! | motor and loads, governing case | total continuous | danger | caution |
//! | motor and loads, other case | total continuous | caution | – |
//! | loads of one output | that output | danger | – |
//!
//! A missing rating or current leaves its row unlit, unless what is known is already too much for a
//! row whose *above* is danger. A row that rests on a figure nobody measured is unlit unless it is
//! danger: a hope is unlit until measured, a computed failure shows at once. Ratings from a data
//! sheet are as good as they get and count; a guessed rating does not.
//!
//! What may be carried for as long as one likes may be carried for a moment: where a sheet gives no
//! peak rating, a continuous motor rating that holds the held current at its bad end covers it. One
//! that does not leaves the peak unlit, since the peak may well be higher.
//!
//! Which case governs is a known disagreement in the trade (standards and magazines differ), so
//! both cases are always shown.
//!
//! Errors: every field outside its range is refused; nothing is guessed.
//!
//! Worked (common practice, no source): 0.80 A held of 1.0 A leaves 20 %, 0.32 A slipping leaves
//! 68 %. The same motor at 14.6 V with 60 mA of lamps and 150 mA of sound is over 1.0 A: danger.

mod demand;
mod input;
mod rows;
mod steps;
mod ways;
mod words;

#[cfg(test)]
mod tests;

pub use input::{Basis, Case, Input, Kind, OutputRating, PlannedLoad, Ratings};

use super::plot::{Part, Plot, Stack, Stacks};
use super::way::Way;
use super::{Answer, Bounded, Refusals, Value, load};
use crate::aspect::{Aspect, Finding};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Which rating of the decoder a row compares with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RatingKind {
    /// Motor output, for a short time.
    MotorPeak,
    /// Motor output, for as long as one likes.
    MotorContinuous,
    /// Motor and all outputs together.
    TotalContinuous,
    /// One function output.
    Function,
}

/// One rating in one load case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Row {
    /// The rating compared with.
    pub rating: RatingKind,
    /// The function output, where the rating is one's.
    pub output: Option<String>,
    /// The load case; none for a function output, which does not feed the motor.
    pub case: Option<Case>,
    /// The rating, A; none where the decoder does not give it.
    pub rating_a: Option<f64>,
    /// The rating is the motor's continuous one, which covers a peak rating nobody gives.
    pub by_continuous: bool,
    /// What is known of the demand, A: all of it where nothing is missing.
    pub known_a: Bounded,
    /// The demand, A; none where a part of it is missing.
    pub demand: Option<Bounded>,
    /// What is left, as a share of the rating; below zero where the demand is above it.
    pub headroom: Option<Bounded>,
    /// The headroom wanted, as a share; 0 where none is.
    pub wanted: f64,
    /// The parts of the demand, in order.
    pub parts: Vec<Part>,
    /// What of the demand is not known.
    pub missing: Vec<String>,
    /// What of the demand, or of the rating, nobody measured.
    pub unmeasured: Vec<String>,
    /// The aspect.
    pub aspect: Aspect,
    /// The verdict in full.
    pub finding: Finding,
}

/// Every rating in every case, and what it comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The worst aspect of the rows and the readings.
    pub aspect: Aspect,
    /// A row per rating and load case: motor peak, motor continuous, total, then each output.
    pub rows: Vec<Row>,
    /// That slipping and held currents can't both be right, where that is so.
    pub readings: Option<Finding>,
    /// From the held test to everything together; `None` where too little is known.
    pub steps: Option<Stacks>,
    /// What would turn a row that is danger or caution; only [`run_with_ways`] looks for it.
    pub ways: Vec<Way>,
}

/// Works out the headroom, and what would turn each row that is danger or caution: about a thousand
/// times the work of [`run`]. Refuses the same.
pub fn run_with_ways(input: &Input) -> Result<Output, Refusals> {
    let mut out = run(input)?;
    out.ways = ways::all(input, &out.rows);
    for nth in 0..out.rows.len() {
        let key = rows::key_of(&out.rows, nth);
        let told: Vec<&str> =
            out.ways.iter().filter(|w| w.turns == key).map(|w| w.sentence.as_str()).collect();
        if !told.is_empty() {
            let finding = &mut out.rows[nth].finding;
            finding.would_change = format!("{} One of: {}", finding.would_change, told.join(" "));
        }
    }
    Ok(out)
}

/// Works out the headroom. Refuses fields outside their ranges.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = input.refusals();
    if !refusals.is_empty() {
        return Err(refusals);
    }
    // The free current asks nothing of a decoder; its order is checked with the load test.
    let motor = load::work_out(&load::Input { free_a: None, ..input.load.clone() });
    let rows = rows::all(input, &motor);
    let readings = Some(motor.plausibility).filter(|f| f.aspect == Aspect::Caution);
    let aspects = rows.iter().map(|r| r.aspect).chain(readings.iter().map(|f| f.aspect));
    let steps = steps::steps(input, &rows);
    Ok(Output { aspect: Aspect::worst(aspects), rows, readings, steps, ways: Vec::new() })
}

impl Row {
    /// Name of the row as used in an answer's values: `motor_peak_held`, `function_2`. `nth` is the
    /// row's place among the function outputs, from 1.
    fn key(&self, nth: usize) -> String {
        let case = match self.case {
            Some(Case::Held) => "held",
            Some(Case::Slipping) => "slipping",
            None => "any",
        };
        match self.rating {
            RatingKind::MotorPeak => format!("motor_peak_{case}"),
            RatingKind::MotorContinuous => format!("motor_continuous_{case}"),
            RatingKind::TotalContinuous => format!("total_continuous_{case}"),
            RatingKind::Function => format!("function_{nth}"),
        }
    }
}

impl Output {
    /// The result in the shape that page, API and command line show.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        for (nth, row) in self.rows.iter().enumerate() {
            let key = rows::key_of(&self.rows, nth);
            let name = words::row_name(row);
            if let Some(demand) = row.demand {
                let label = format!("{name}: demand");
                values.push(
                    Value::new(&format!("{key}_demand_a"), &label, demand, "A")
                        .by(words::DEMAND, words::PRACTICE),
                );
            }
            if let Some(headroom) = row.headroom {
                let label = format!("{name}: headroom");
                values.push(
                    Value::new(&format!("{key}_headroom"), &label, headroom, "")
                        .by(words::HEADROOM, words::PRACTICE),
                );
            }
        }
        let findings = self.rows.iter().map(|r| r.finding.clone()).chain(self.readings.clone());
        let answer = Answer::new("budget", values, findings.collect());
        Answer { ways: self.ways.clone(), ..answer.drawn(self.plots()) }
    }

    /// A stack for each rating and case; those without a rating are drawn too.
    fn plots(&self) -> Vec<Plot> {
        let stacks = self.rows.iter().filter(|r| !r.parts.is_empty()).map(|row| Stack {
            name: words::row_name(row),
            parts: row.parts.clone(),
            rating_a: row.rating_a,
            left_at_worst: row.headroom.map(|h| h.lo),
            wanted: row.wanted,
            aspect: row.aspect,
        });
        let stacks: Vec<Stack> = stacks.collect();
        if stacks.is_empty() {
            return Vec::new();
        }
        let title = "What is asked of each rating".to_owned();
        let all = Stacks { title, says: String::new(), stacks };
        [Some(all), self.steps.clone()].into_iter().flatten().map(Plot::Stacks).collect()
    }
}
