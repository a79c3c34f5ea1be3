//! Checks of the current headroom: the motor before ordering, function loads before power, all loads
//! before closing.

use super::build::{Book, Draft, Rule, Used, listed, refused};
use super::motor::{Test, Use};
use super::supply::{Loads, load_now, ratings_now};
use super::{Action, Place};
use crate::aspect::{Aspect, Finding, Named};
use crate::calc::Bounded;
use crate::calc::budget::{self, Basis, Case, Input, Kind, Output, RatingKind, Ratings, Row};
use crate::calc::load::{self, amps_at_least, amps_given};
use crate::units::{exact, percent_down, percent_up};

/// The headroom worked out, with everything it stands on.
struct Worked<'a> {
    book: Book<'a>,
    test: Test<'a>,
    of: Loads,
    loads: Vec<budget::PlannedLoad>,
    ratings: Ratings,
    used_loads: Vec<Used>,
    used_ratings: Option<Used>,
}

impl<'a> Worked<'a> {
    fn of(book: Book<'a>, of: Loads) -> Self {
        let (loads, used): (Vec<_>, Vec<_>) =
            book.s.loads.iter().map(|fact| load_now(book, fact, of)).unzip();
        let (ratings, used_ratings) = ratings_now(book);
        Worked {
            book,
            of,
            test: Test::of(book, Use::Headroom),
            loads,
            ratings,
            used_loads: used.into_iter().flatten().collect(),
            used_ratings,
        }
    }

    /// Runs the headroom on a motor; on paper every load counts as measured.
    fn run(&self, motor: &load::Input) -> Result<Output, Box<Finding>> {
        let limits = self.book.s.thresholds;
        let mut input = Input::of(motor.clone());
        input.loads.clone_from(&self.loads);
        if self.of == Loads::OnPaper {
            for load in &mut input.loads {
                load.basis = Basis::Measured;
            }
        }
        input.decoder = self.ratings.clone();
        input.governing = limits.governing;
        input.want_headroom_held = limits.headroom_want_held;
        input.want_headroom_slipping = limits.headroom_want_slipping;
        let mut output =
            budget::run(&input).map_err(|refusals| Box::new(refused("The headroom", &refusals)))?;
        if self.of == Loads::OnPaper {
            self.say_where_loads_come_from(&mut output);
        }
        Ok(output)
    }

    /// On paper every load was counted as if measured; the inputs shown still say what each one
    /// really rests on.
    fn say_where_loads_come_from(&self, output: &mut Output) {
        for load in self.loads.iter().filter(|l| l.basis != Basis::Measured) {
            let really = format!(", {}", load.basis.word());
            let inputs = output.rows.iter_mut().flat_map(|r| &mut r.finding.inputs);
            for input in inputs.filter(|i| i.name == load.name) {
                input.value = input.value.replace(", measured", &really);
            }
        }
    }

    /// The motor's test as an input, or why there is none.
    fn motor(&self) -> Result<&load::Input, Box<Finding>> {
        if let Some(finding) = self.test.unusable() {
            return Err(Box::new(finding));
        }
        self.test
            .input
            .as_ref()
            .ok_or_else(|| Box::new(Finding::unlit("No load test is made.", "Make one.")))
    }

    /// The aspect of a row: a motor that can't be held is caution by its winding, not unlit.
    fn aspect(&self, row: &Row) -> Aspect {
        let stands_in = self.test.refused
            && row.case == Some(Case::Held)
            && self.test.worked().is_some_and(|o| o.held_stand_in_a.is_some())
            && row.rating_a.is_some()
            && row.missing.is_empty()
            && row.unmeasured.len() == 1;
        if stands_in && row.aspect == Aspect::Unlit { Aspect::Caution } else { row.aspect }
    }

    /// What the verdict rests on, exactly.
    fn prints(&self) -> Vec<String> {
        let mut out = self.test.prints();
        let number = |value: Option<f64>| value.map_or_else(|| "none".to_owned(), exact);
        let (r, limits) = (&self.ratings, self.book.s.thresholds);
        out.push(format!(
            "ratings={} {} {} {} {:?}",
            number(r.motor_continuous_a),
            number(r.motor_peak_a),
            number(r.total_continuous_a),
            number(r.function_a),
            r.basis
        ));
        out.extend(r.outputs.iter().map(|o| format!("{}={}", o.output, exact(o.rating_a))));
        out.push(format!("track_v={}", number(self.book.s.track_v.as_ref().map(|t| t.value_v))));
        out.push(format!(
            "wanted={} {} {:?} drop={}",
            exact(limits.headroom_want_held),
            exact(limits.headroom_want_slipping),
            limits.governing,
            exact(limits.bridge_drop_v)
        ));
        let loads = self.loads.iter();
        out.extend(
            loads.map(|l| format!("{}={}x{} {:?}", l.name, l.count, number(l.amps_a), l.basis)),
        );
        out
    }

    /// A check of these rows, the worst one speaking, with what else stands in the way.
    fn draft(
        &self,
        key: &str,
        title: &str,
        rows: &[(Aspect, Row)],
        instead: Option<Finding>,
    ) -> Draft {
        let worst = rows.iter().max_by(|a, b| {
            let left = |row: &Row| row.headroom.map_or(f64::INFINITY, |h| h.lo);
            let asked = a.1.known_a.value.total_cmp(&b.1.known_a.value);
            a.0.rank().cmp(&b.0.rank()).then(left(&b.1).total_cmp(&left(&a.1))).then(asked)
        });
        let mut finding = match (worst, instead) {
            (Some((Aspect::Danger, row)), _) => said(Aspect::Danger, row),
            (_, Some(instead)) => instead,
            (Some((aspect, row)), None) => said(*aspect, row),
            (None, None) => {
                Finding::unlit("No rating is known.", "Write down the decoder’s ratings.")
            }
        };
        finding.inputs.extend(rows.iter().map(|(aspect, row)| line(*aspect, row)));
        let (reads, needs) = worst.map_or_else(
            || ("not known".to_owned(), "within the ratings".to_owned()),
            |(_, row)| (reads(row), needs(row)),
        );
        let place = place(self, worst.map(|(_, row)| row));
        Draft {
            key: key.to_owned(),
            title: title.to_owned(),
            reads,
            needs,
            action: Action { what: to_do(&finding), place, minutes: 15 },
            finding,
            used: self.used_ratings.iter().cloned().collect(),
            rule: Rule::Advice,
            prints: self.prints(),
        }
    }
}

/// What to do about it, one sentence.
fn to_do(finding: &Finding) -> String {
    match finding.aspect {
        Aspect::Danger => "Choose a decoder that carries it, or bring the current down.".to_owned(),
        Aspect::Caution => {
            "Choose a decoder that carries more, bring the current down, or judge it.".to_owned()
        }
        _ => finding.would_change.clone(),
    }
}

/// The finding of a row, with the aspect that counts here.
fn said(aspect: Aspect, row: &Row) -> Finding {
    Finding { aspect, ..row.finding.clone() }
}

/// `0.84 A of 1.00 A`.
fn reads(row: &Row) -> String {
    let known = if row.missing.is_empty() {
        amps_at_least(row.known_a.value)
    } else {
        "not known".to_owned()
    };
    match row.rating_a {
        Some(rating) => format!("{known} of {}", amps_given(rating)),
        None => known,
    }
}

/// `, 12 % headroom at worst`: decided on the bad end, so that is what is said.
fn left(h: Bounded) -> String {
    format!(", {} headroom{}", percent_down(h.lo), h.at_worst())
}

fn needs(row: &Row) -> String {
    if row.wanted > 0.0 {
        format!("{} headroom", percent_up(row.wanted))
    } else {
        "within the rating".to_owned()
    }
}

/// One row as an input of the verdict: both load cases are always shown.
fn line(aspect: Aspect, row: &Row) -> Named {
    let rating = match (row.rating, &row.output) {
        (RatingKind::MotorPeak, _) => "motor peak".to_owned(),
        (RatingKind::MotorContinuous, _) => "motor continuous".to_owned(),
        (RatingKind::TotalContinuous, _) => "total continuous".to_owned(),
        (RatingKind::Function, output) => {
            format!("output {}", output.as_deref().unwrap_or_default())
        }
    };
    let case = row.case.map(|c| format!(", {}", c.word())).unwrap_or_default();
    let left = row.headroom.map(left).unwrap_or_default();
    Named::new(format!("{rating}{case}"), format!("{}{left}, {}", reads(row), aspect.word()))
}

/// Where the next thing to write down belongs.
fn place(worked: &Worked<'_>, worst: Option<&Row>) -> Place {
    if worked.test.unusable().is_some() {
        return Place::LoadTest;
    }
    let Some(row) = worst else { return Place::Decoder };
    if row.rating_a.is_none() || worked.ratings.basis == Basis::Guess {
        return Place::Decoder;
    }
    let of_loads = |names: &[String]| {
        names.iter().any(|name| worked.loads.iter().any(|load| name.contains(load.name.as_str())))
    };
    if worked.book.s.track_v.is_none() || of_loads(&row.missing) || of_loads(&row.unmeasured) {
        return Place::Loads;
    }
    if row.aspect == Aspect::Unlit { Place::LoadTest } else { Place::Decoder }
}

/// The track voltage is nobody's measurement nor setting.
fn track_is_a_guess(book: Book<'_>) -> Option<Finding> {
    let track = book.s.track_v.as_ref()?;
    (track.basis == Basis::Guess).then(|| {
        Finding::unlit(
            "The track voltage is a guess, and the held current goes with it.",
            "Measure the track voltage, or take it from the supply’s setting.",
        )
    })
}

fn with_motor(mut draft: Draft, test: &Test<'_>) -> Draft {
    draft.used.extend([&test.slipping, &test.held].into_iter().flatten().cloned());
    if test.refused {
        draft.used.extend(test.winding.clone());
    }
    draft
}

/// Before ordering: the motor against the decoder. All loads on paper may only fail it: that they fit
/// is proved before closing.
pub(super) fn motor(book: Book<'_>) -> Draft {
    let worked = Worked::of(book, Loads::OnPaper);
    let (rows, instead) = match worked.motor().and_then(|motor| worked.run(motor)) {
        Ok(output) => (output.rows, track_is_a_guess(book)),
        Err(finding) => (Vec::new(), Some(*finding)),
    };
    let rows: Vec<(Aspect, Row)> = rows
        .into_iter()
        .filter(|row| row.rating != RatingKind::Function)
        .map(|row| (worked.aspect(&row), row))
        .collect();
    let on_paper: Vec<&str> = worked
        .loads
        .iter()
        .filter(|l| l.basis != Basis::Measured && l.amps_a.is_some())
        .map(|l| l.name.as_str())
        .collect();
    let mut draft = worked.draft("headroom", "Decoder carries the motor", &rows, instead);
    if !on_paper.is_empty() {
        draft.finding.sentence = format!(
            "{} On paper only: {}. Measured loads prove it before closing.",
            draft.finding.sentence,
            listed(&on_paper)
        );
    }
    with_motor(draft, &worked.test)
}

/// Before closing: motor and all loads, all measured.
pub(super) fn all_loads(book: Book<'_>) -> Draft {
    let worked = Worked::of(book, Loads::Proof);
    let (rows, instead) = match worked.motor().and_then(|motor| worked.run(motor)) {
        Ok(output) => (output.rows, not_all_written(&worked).or_else(|| track_is_a_guess(book))),
        Err(finding) => (Vec::new(), Some(*finding)),
    };
    let rows: Vec<(Aspect, Row)> = rows
        .into_iter()
        .filter(|row| row.rating != RatingKind::Function)
        .map(|row| (worked.aspect(&row), row))
        .collect();
    let mut draft = worked.draft("headroom_all", "Decoder carries all loads", &rows, instead);
    draft.used.extend(worked.used_loads.iter().cloned());
    with_motor(draft, &worked.test)
}

/// A goal without a load: what it takes is not known.
fn not_all_written(worked: &Worked<'_>) -> Option<Finding> {
    let goals = worked.book.s.goals;
    let has = |of: &dyn Fn(Kind) -> bool| worked.loads.iter().any(|load| of(load.kind));
    let missing: Vec<&str> = [
        ("lights", goals.lights, has(&|k| matches!(k, Kind::Lamp | Kind::Led))),
        ("sound", goals.sound, has(&|k| k == Kind::Sound)),
        ("the store while it charges", goals.store, has(&|k| k == Kind::Store)),
    ]
    .into_iter()
    .filter_map(|(name, wanted, has)| (wanted && !has).then_some(name))
    .collect();
    (!missing.is_empty()).then(|| {
        let names = listed(&missing);
        Finding::unlit(
            format!("No current is written for {names}."),
            format!("Write down and measure the current of {names}."),
        )
    })
}

/// Before power: what hangs on each function output, measured, within its rating. Left out where
/// nothing is to hang on any.
pub(super) fn functions(book: Book<'_>) -> Option<Draft> {
    let mut worked = Worked::of(book, Loads::Proof);
    let on_output = |kind: Kind| !matches!(kind, Kind::Sound | Kind::Store);
    worked.loads.retain(|load| on_output(load.kind) || load.output.is_some());
    if worked.loads.is_empty() && !book.s.goals.lights {
        return None;
    }
    let lights = worked.loads.iter().any(|load| matches!(load.kind, Kind::Lamp | Kind::Led));
    let nowhere: Vec<&str> =
        worked.loads.iter().filter(|l| l.output.is_none()).map(|l| l.name.as_str()).collect();
    let instead = if book.s.goals.lights && !lights {
        Some(Finding::unlit(
            "Lights are wanted, but no lamp is among the loads.",
            "Write down each lamp with its output, then measure its current with its resistor.",
        ))
    } else if nowhere.is_empty() {
        None
    } else {
        Some(Finding::unlit(
            format!("Not known on which output: {}.", listed(&nowhere)),
            "Write down the function output of each lamp.",
        ))
    };
    // The motor has no part in these rows.
    let (rows, instead) = match worked.run(&load::Input::at(12.0)) {
        Ok(output) => (output.rows, instead),
        Err(finding) => (Vec::new(), Some(*finding)),
    };
    let rows: Vec<(Aspect, Row)> = rows
        .into_iter()
        .filter(|row| row.rating == RatingKind::Function)
        .map(|row| (row.aspect, row))
        .collect();
    let mut draft = worked.draft("function_loads", "Function loads are measured", &rows, instead);
    draft.rule = Rule::Firm;
    draft.action.place = if worked.used_ratings.is_none() { Place::Decoder } else { Place::Loads };
    let names: Vec<&str> = worked.loads.iter().map(|l| l.name.as_str()).collect();
    let of_these = worked.used_loads.iter().filter(|u| names.contains(&u.reference.what.as_str()));
    draft.used.extend(of_these.cloned());
    Some(draft)
}
