//! What would make it fit: the least change of one thing that turns a danger or caution to clear.
//!
//! Answers: for each row that is danger or caution, how far the track voltage must come down, which
//! loads must go, how little the lamps may draw, which rating the decoder must have, or how freely
//! the mechanism must run.
//! Inputs: the headroom's own ([`Input`]).
//! Rule: each is found by working the headroom out again at the changed value, and halving the room
//! between a value that turns the row and one that does not. Nothing else is changed. Figures
//! nobody measured are taken as measured while looking, since measuring them is another way.
//! Loads: the fewest that are enough, and of those small ones. Mechanism: what is freed of the free
//! current is taken off the slipping current too (common practice, no source).
//! What comes back: the ways, each with the value now, the value needed, the aspect of the whole
//! headroom afterwards. A row with an unknown part has none: measure that first.
//! Errors: none; what the headroom refuses has no way.
//! Source: the headroom's rules; a decoder is not sure to work below 8 V at the rail (NEM 670).

use super::rows::{self, key_of};
use super::{Basis, Case, Input, Kind, OutputRating, PlannedLoad, RatingKind, Row, run};
use crate::aspect::Aspect;
use crate::calc::load;
use crate::calc::load::{amps_at_least, amps_below, amps_given};
use crate::calc::way::{Change, Way};
use crate::units::{Rounding, fixed};

/// Least track voltage that is proposed, V: the least amplitude of NEM 670.
const LEAST_TRACK_V: f64 = 8.0;
/// Least current that is proposed, A.
const LEAST_A: f64 = 0.001;
/// Highest rating that is proposed, A.
const MOST_RATING_A: f64 = 50.0;
/// Halvings of the room between good and bad: more than doubles can tell apart.
const HALVINGS: u32 = 60;
/// Share of itself by which a figure is moved to its good side.
const HAIR: f64 = 1e-9;

/// The row that is to turn.
struct Target<'a> {
    /// The input, everything in it taken as measured.
    paper: Input,
    row: &'a Row,
    key: String,
    real: &'a Input,
}

/// Every way of every row that is danger or caution.
pub(super) fn all(input: &Input, rows: &[Row]) -> Vec<Way> {
    let mut out = Vec::new();
    for (nth, row) in rows.iter().enumerate() {
        let bad = matches!(row.aspect, Aspect::Danger | Aspect::Caution);
        if !bad || !row.missing.is_empty() {
            continue;
        }
        let target = Target { paper: on_paper(input), row, key: key_of(rows, nth), real: input };
        let ways = [
            target.lower_volts(),
            target.loads_out(),
            target.lesser_lamps(),
            target.freer_mechanism(),
            target.higher_rating(),
        ];
        out.extend(ways.into_iter().flatten());
    }
    out
}

/// The input with every figure taken as measured.
fn on_paper(input: &Input) -> Input {
    let mut paper = input.clone();
    paper.motor_basis = Basis::Measured;
    paper.decoder.basis = Basis::DataSheet;
    for load in &mut paper.loads {
        load.basis = Basis::Measured;
    }
    paper
}

/// The value nearest to `bad` that turns, where `good` does; `None` where `good` does not either.
fn nearest(good: f64, bad: f64, turned: impl Fn(f64) -> bool) -> Option<f64> {
    if !turned(good) {
        return None;
    }
    let (mut at, mut bad) = (good, bad);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(at, bad);
        if turned(middle) { at = middle } else { bad = middle }
    }
    // a hair to the good side, so that the figure holds when it is worked out in another order
    Some(at + (good - at).signum() * at.abs() * HAIR)
}

impl Target<'_> {
    /// Whether the row is clear with this input; a row that is gone asks for nothing.
    fn turned(&self, input: &Input) -> bool {
        let motor = load::work_out(&load::Input { free_a: None, ..input.load.clone() });
        let rows = rows::all(input, &motor);
        let same = |r: &&Row| {
            (r.rating, r.case, &r.output) == (self.row.rating, self.row.case, &self.row.output)
        };
        rows.iter().find(same).is_none_or(|r| r.aspect == Aspect::Clear)
    }

    /// A way whose change, done to the paper and to the real input, is `apply`.
    fn way(
        &self,
        (change, what, unit): (Change, String, &str),
        (from, to): (f64, f64),
        sentence: String,
        apply: impl Fn(&mut Input),
    ) -> Way {
        let mut after = self.real.clone();
        apply(&mut after);
        Way {
            turns: self.key.clone(),
            change,
            what,
            from,
            to,
            unit: unit.to_owned(),
            out: Vec::new(),
            aspect_after: run(&after).map_or(Aspect::Unlit, |o| o.aspect),
            sentence,
        }
    }

    /// The input with a change.
    fn with(&self, apply: impl Fn(&mut Input)) -> Input {
        let mut input = self.paper.clone();
        apply(&mut input);
        input
    }

    /// A lower voltage: only a held motor draws less of it.
    fn lower_volts(&self) -> Option<Way> {
        if self.row.case != Some(Case::Held) {
            return None;
        }
        let given = self.paper.load.decoder_output_v;
        let drop = self.paper.load.bridge_drop_v;
        let (what, from, least) = match given {
            Some(v) => ("decoder output voltage", v, LEAST_TRACK_V - drop),
            None => ("track voltage", self.paper.load.track_v?, LEAST_TRACK_V),
        };
        let set = |input: &mut Input, v: f64| match given {
            Some(_) => input.load.decoder_output_v = Some(v),
            None => input.load.track_v = Some(v),
        };
        if from <= least {
            return None;
        }
        let to = nearest(least, from, |v| self.turned(&self.with(|i| set(i, v))))?;
        let volts = |v, rounding| format!("{}\u{a0}V", fixed(v, 1, rounding));
        let sentence = format!(
            "Lower the {what} from {} to {} or less.",
            volts(from, Rounding::Nearest),
            volts(to, Rounding::Down)
        );
        let told = (Change::LowerVolts, what.to_owned(), "V");
        Some(self.way(told, (from, to), sentence, |i| set(i, to)))
    }

    /// Whether a load adds to the row.
    fn adds(&self, load: &PlannedLoad) -> bool {
        let on_it = match self.row.rating {
            RatingKind::TotalContinuous => true,
            RatingKind::Function => load.output == self.row.output,
            RatingKind::MotorPeak | RatingKind::MotorContinuous => false,
        };
        on_it && load.amps_a.is_some_and(|a| a > 0.0)
    }

    /// Loads left out: how many of each stay, by place in the list.
    fn loads_out(&self) -> Option<Way> {
        let mut places: Vec<usize> =
            (0..self.paper.loads.len()).filter(|i| self.adds(&self.paper.loads[*i])).collect();
        places.sort_by(|a, b| self.amps(*b).total_cmp(&self.amps(*a)));
        let enough = |out: &[usize]| self.turned(&self.with(|i| leave_out(i, out)));
        let count = (1..=places.len()).find(|n| enough(&places[..*n]))?;
        let mut out = places[..count].to_vec();
        // the last and smallest of them may be a smaller one still
        if let Some(last) = out.pop() {
            let smaller = places[count - 1..].iter().rev().find(|place| {
                let mut tried = out.clone();
                tried.push(**place);
                enough(&tried)
            });
            out.push(smaller.copied().unwrap_or(last));
        }
        let from: f64 = places.iter().map(|i| self.amps(*i)).sum();
        let gone: f64 = out.iter().map(|i| self.amps(*i)).sum();
        let names: Vec<String> = out.iter().map(|i| self.paper.loads[*i].name.clone()).collect();
        let sentence = format!("Leave out {} ({}).", names.join(" and "), amps_given(gone));
        let told = (Change::LoadsOut, "loads".to_owned(), "A");
        let mut way = self.way(told, (from, from - gone), sentence, |i| leave_out(i, &out));
        way.out = names;
        Some(way)
    }

    /// Current of a load and all of its like, A.
    fn amps(&self, place: usize) -> f64 {
        let load = &self.paper.loads[place];
        load.amps_a.unwrap_or(0.0) * f64::from(load.count)
    }

    /// Lamps that draw less, all by the same share.
    fn lesser_lamps(&self) -> Option<Way> {
        let lamp = |l: &PlannedLoad| matches!(l.kind, Kind::Lamp | Kind::Led) && self.adds(l);
        let places: Vec<usize> =
            (0..self.paper.loads.len()).filter(|i| lamp(&self.paper.loads[*i])).collect();
        let from: f64 = places.iter().map(|i| self.amps(*i)).sum();
        let share = |input: &mut Input, share: f64| {
            for place in &places {
                let amps = &mut input.loads[*place].amps_a;
                *amps = amps.map(|a| a * share);
            }
        };
        if from <= LEAST_A {
            return None;
        }
        let least = LEAST_A / from;
        let to = nearest(least, 1.0, |s| self.turned(&self.with(|i| share(i, s))))?;
        let sentence = format!(
            "Fit lamps that take {} together or less, instead of {}.",
            amps_below(from * to),
            amps_given(from)
        );
        let told = (Change::LesserLamps, "lamps together".to_owned(), "A");
        Some(self.way(told, (from, from * to), sentence, |i| share(i, to)))
    }

    /// A mechanism that runs freer: less free current, and as much less slipping current.
    fn freer_mechanism(&self) -> Option<Way> {
        if self.row.case != Some(Case::Slipping) {
            return None;
        }
        let (from, slipping) = (self.paper.load.free_a?, self.paper.load.slipping_a?);
        let set = |input: &mut Input, free: f64| {
            input.load.free_a = Some(free);
            input.load.slipping_a = Some(slipping - (from - free));
        };
        if from <= LEAST_A || slipping - from < 0.0 {
            return None;
        }
        let to = nearest(LEAST_A, from, |a| self.turned(&self.with(|i| set(i, a))))?;
        let sentence = format!(
            "Free the mechanism until it runs at {} or less with the wheels off the rail, instead of {}.",
            amps_below(to),
            amps_given(from)
        );
        let told = (Change::FreerMechanism, "free current".to_owned(), "A");
        Some(self.way(told, (from, to), sentence, |i| set(i, to)))
    }

    /// A decoder with a higher rating.
    fn higher_rating(&self) -> Option<Way> {
        let from = self.row.rating_a?;
        let set = |input: &mut Input, amps: f64| self.set_rating(input, amps);
        if from >= MOST_RATING_A {
            return None;
        }
        let to = nearest(MOST_RATING_A, from, |a| self.turned(&self.with(|i| set(i, a))))?;
        let what = super::words::rating_name(self.row);
        let sentence = format!(
            "Take a decoder whose {what} is {} or more, instead of {}.",
            amps_at_least(to),
            amps_given(from)
        );
        Some(self.way((Change::HigherRating, what, "A"), (from, to), sentence, |i| set(i, to)))
    }

    /// Sets the rating the row compares with.
    fn set_rating(&self, input: &mut Input, amps: f64) {
        let decoder = &mut input.decoder;
        match (self.row.rating, &self.row.output) {
            (RatingKind::MotorPeak, _) => decoder.motor_peak_a = Some(amps),
            (RatingKind::MotorContinuous, _) => decoder.motor_continuous_a = Some(amps),
            (RatingKind::TotalContinuous, _) => decoder.total_continuous_a = Some(amps),
            (RatingKind::Function, None) => decoder.function_a = Some(amps),
            (RatingKind::Function, Some(output)) => {
                decoder.outputs.retain(|o| o.output != *output);
                decoder.outputs.push(OutputRating { output: output.clone(), rating_a: amps });
            }
        }
    }
}

/// Takes the loads at these places out.
fn leave_out(input: &mut Input, places: &[usize]) {
    let mut at = 0..;
    input.loads.retain(|_| at.next().is_none_or(|place| !places.contains(&place)));
}

#[cfg(test)]
#[path = "ways_tests.rs"]
mod tests;
