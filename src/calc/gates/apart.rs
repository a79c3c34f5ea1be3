//! Checks of the isolation walk.

use super::build::{Book, Draft, Rule, Used, refused};
use super::facts::IsolationFact;
use super::stale::{ReadingKind, made_stale_by};
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use crate::calc::Refusals;
use crate::calc::isolation::{
    self, Input, IsolationReading, Outcome, Output, Pair, PairFinding, Point, Position, title,
};
use crate::units::{exact, ohms};

/// The walk judged for some positions.
fn walk(book: Book<'_>, positions: &[Position]) -> Result<Output, Refusals> {
    let s = book.s;
    let readings = s
        .isolation
        .iter()
        .filter(|fact| fact.a != fact.b)
        .map(|fact| IsolationReading {
            a: fact.a.clone(),
            b: fact.b.clone(),
            position: fact.position,
            outcome: fact.outcome,
            reading: fact.taken.id.clone(),
            taken_at_ms: fact.taken.at_ms,
            stale: made_stale_by(&s.alterations, kind(fact), fact.taken.at_ms).is_some(),
        })
        .collect();
    isolation::run(&Input {
        readings,
        has_bogies: s.has_bogies,
        has_motor: s.goals.motor,
        function_leads: s.function_leads.clone(),
        positions: positions.to_vec(),
        open_above_ohm: s.thresholds.open_above_ohm,
    })
}

fn pair_of(fact: &IsolationFact) -> Pair {
    Pair::new(fact.a.clone(), fact.b.clone())
}

fn kind(fact: &IsolationFact) -> ReadingKind {
    ReadingKind::of_pair(&pair_of(fact), fact.position)
}

/// The readings of these ids that are of this pair.
fn used(book: Book<'_>, pair: &Pair, ids: &[String]) -> Vec<Used> {
    ids.iter()
        .filter_map(|id| {
            book.s.isolation.iter().find(|fact| fact.taken.id == *id && pair_of(fact) == *pair)
        })
        .map(|fact| {
            let what = format!("{} {}", pair.word(), fact.position.word());
            book.used(kind(fact), &fact.taken, &what, &reads(fact.outcome))
        })
        .collect()
}

fn reads(outcome: Outcome) -> String {
    match outcome {
        Outcome::Open => "open".to_owned(),
        Outcome::Joined => "joined".to_owned(),
        Outcome::Ohms { value, .. } => ohms(value),
    }
}

fn prints(book: Book<'_>, used: &[Used]) -> Vec<String> {
    let of = |u: &Used| book.s.isolation.iter().find(|fact| fact.taken.id == u.reference.id);
    used.iter()
        .filter_map(|u| Some((u, of(u)?)))
        .map(|(u, fact)| {
            let read = match fact.outcome {
                Outcome::Ohms { value, .. } => exact(value),
                other => reads(other),
            };
            format!("{}={read}", u.reference.what)
        })
        .collect()
}

/// The pair checks before first power: one per brush pair and rail pair, one per lead.
pub(super) fn before_power(book: Book<'_>) -> Vec<Draft> {
    let output = match walk(book, &[Position::InFrame, Position::BogiesSwung]) {
        Ok(output) => output,
        Err(refusals) => return vec![unusable("isolation", "Isolation is proved", &refusals)],
    };
    let mut out: Vec<Draft> = output
        .pairs
        .iter()
        .filter(|p| !matches!(p.pair.a, Point::Lead(_)))
        .map(|p| one(book, p, &output))
        .collect();
    let mut leads: Vec<&str> = Vec::new();
    for pair in &output.pairs {
        if let Point::Lead(name) = &pair.pair.a
            && !leads.contains(&name.as_str())
        {
            leads.push(name);
        }
    }
    out.extend(leads.into_iter().filter_map(|name| lead(book, name, &output)));
    out
}

fn one(book: Book<'_>, pair: &PairFinding, output: &Output) -> Draft {
    let used = used(book, &pair.pair, &pair.readings);
    Draft {
        key: pair.pair.key(),
        title: pair.title.clone(),
        reads: pair.reads.clone(),
        needs: pair.needs.clone(),
        finding: pair.finding.clone(),
        prints: prints(book, &used),
        used,
        rule: Rule::Short,
        action: action(output, |p| *p == pair.pair, pair.finding.aspect),
    }
}

/// One check over the three pairs of a lead.
fn lead(book: Book<'_>, name: &str, output: &Output) -> Option<Draft> {
    let point = Point::Lead(name.to_owned());
    let pairs: Vec<&PairFinding> = output.pairs.iter().filter(|p| p.pair.a == point).collect();
    let worst = *pairs.iter().rev().max_by_key(|p| p.finding.aspect.rank())?;
    let used: Vec<Used> = pairs.iter().flat_map(|p| used(book, &p.pair, &p.readings)).collect();
    let off_frame = title(&Pair::new(point.clone(), Point::Frame));
    let mut finding = worst.finding.clone();
    for pair in pairs.iter().filter(|p| p.pair != worst.pair) {
        if pair.finding.aspect != Aspect::Clear {
            finding.sentence = format!("{} {}", finding.sentence, pair.finding.sentence);
        }
        finding = finding.input(pair.pair.word(), pair.reads.clone());
    }
    Some(Draft {
        key: format!("lead:{name}"),
        title: format!("{off_frame} and both rails"),
        reads: worst.reads.clone(),
        needs: worst.needs.clone(),
        finding,
        prints: prints(book, &used),
        used,
        rule: Rule::Short,
        action: action(output, |p| p.a == point, worst.finding.aspect),
    })
}

/// The walk with the shell on, as one check.
pub(super) fn shell_on(book: Book<'_>) -> Draft {
    let (key, name) = ("isolation_shell_on", "Isolation holds with the shell on");
    let output = match walk(book, &[Position::ShellOn]) {
        Ok(output) => output,
        Err(refusals) => return unusable(key, name, &refusals),
    };
    let of = |aspect| output.pairs.iter().filter(|p| p.finding.aspect == aspect).count();
    let (joined, open) = (of(Aspect::Danger), of(Aspect::Clear));
    let reads = if joined > 0 {
        format!("{joined} joined")
    } else {
        format!("{open} of {} open", output.pairs.len())
    };
    let used: Vec<Used> =
        output.pairs.iter().flat_map(|p| used(book, &p.pair, &p.readings)).collect();
    Draft {
        key: key.to_owned(),
        title: name.to_owned(),
        reads,
        needs: output.pairs.first().map(|p| p.needs.clone()).unwrap_or_default(),
        finding: output.finding.clone(),
        prints: prints(book, &used),
        used,
        rule: Rule::Short,
        action: Action { minutes: 15, ..action(&output, |_| true, output.finding.aspect) },
    }
}

/// The next reading of the walk that fits. What reads joined is mended before anything else of it is measured:
/// the walk asks for that last.
fn action(output: &Output, fits: impl Fn(&Pair) -> bool, aspect: Aspect) -> Action {
    let mut asks = output.asks.iter().filter(|ask| fits(&ask.pair));
    let (ask, minutes) =
        if aspect == Aspect::Danger { (asks.next_back(), 25) } else { (asks.next(), 2) };
    let what = ask.map_or_else(String::new, |ask| {
        let open = if ask.what.starts_with("Measure") { " Expect open." } else { "" };
        format!("{}{open} {}", ask.what, ask.how)
    });
    Action { what, place: Place::Isolation, minutes }
}

fn unusable(key: &str, title: &str, refusals: &Refusals) -> Draft {
    let finding: Finding = refused("The isolation walk", refusals);
    Draft {
        key: key.to_owned(),
        title: title.to_owned(),
        reads: "not usable".to_owned(),
        needs: "open".to_owned(),
        action: Action { what: finding.would_change.clone(), place: Place::Isolation, minutes: 5 },
        finding,
        used: Vec::new(),
        rule: Rule::Short,
        prints: Vec::new(),
    }
}
