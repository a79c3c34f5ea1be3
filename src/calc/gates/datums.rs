//! Checks on datums: taken before cutting, coupler heights after it, and whether all still hold.

use super::build::{Book, Draft, Rule, Used, listed};
use super::facts::{AlterationKind, SurveyKey, Taken};
use super::observation::Observation;
use super::stale::ReadingKind;
use super::{Action, Place, seen};
use crate::aspect::{Aspect, Finding};
use crate::calc::datum::{End, From, Lengths, What, against_standard, still_true};
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One datum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DatumFact {
    /// What was measured.
    pub what: What,
    /// Its own name, where it has one: `screw under the cab`.
    pub name: String,
    /// Which end.
    pub end: End,
    /// From where.
    pub from: From,
    /// Measured after cutting.
    pub after: bool,
    /// The number of the datum before cutting that it repeats.
    pub before_no: Option<i64>,
    /// mm: one, or x, y and z of a place.
    pub lengths_mm: Vec<f64>,
    /// The instrument's accuracy.
    pub accuracy: Option<Accuracy>,
    /// How far it may be off after cutting, mm.
    pub tolerance_mm: f64,
    /// Origin; its number is that of the datum.
    pub taken: Taken,
}

impl DatumFact {
    /// `coupler height, rear`; `screw place, under the cab`.
    pub fn words(&self) -> String {
        let mut parts = vec![self.what.word()];
        if self.end != End::Neither {
            parts.push(self.end.word());
        }
        if !self.name.is_empty() {
            parts.push(&self.name);
        }
        parts.join(", ")
    }

    /// Its lengths with their accuracy.
    pub fn lengths(&self) -> Lengths {
        Lengths { mm: self.lengths_mm.clone(), accuracy: self.accuracy }
    }

    /// A height or a place that a cut can move.
    fn can_move(&self) -> bool {
        matches!(
            self.what,
            What::CouplerHeight
                | What::BufferHeight
                | What::BodyHeight
                | What::SkirtHeight
                | What::FloorHeight
                | What::ScrewPlace
        )
    }
}

const MINUTES: u32 = 15;

fn used(book: Book<'_>, d: &DatumFact) -> Used {
    let kind = ReadingKind::Datum(d.what, d.from, d.after);
    let when = if d.after { "after cutting" } else { "before cutting" };
    // The number is one of a datum, not of a reading.
    let taken = Taken { no: 0, ..d.taken.clone() };
    book.used(kind, &taken, &format!("{}, {when}", d.words()), &d.lengths().words())
}

fn holds(book: Book<'_>, d: &DatumFact) -> bool {
    !used(book, d).is_stale()
}

fn print(d: &DatumFact) -> String {
    let values: Vec<String> = d.lengths_mm.iter().map(|v| crate::units::exact(*v)).collect();
    format!("datum {}={}", d.taken.no, values.join(" "))
}

fn draft(book: Book<'_>, of: &[&DatumFact], finding: Finding, what: String) -> Draft {
    Draft {
        key: String::new(),
        title: String::new(),
        reads: finding.aspect.word().to_owned(),
        needs: String::new(),
        used: of.iter().map(|d| used(book, d)).collect(),
        rule: Rule::Firm,
        prints: of.iter().map(|d| print(d)).collect(),
        action: Action { what, place: Place::Datums, minutes: MINUTES },
        finding,
    }
}

/// What is wanted before cutting, and whether a datum is it.
type Wanted = (&'static str, fn(&DatumFact) -> bool);

fn is_coupler(d: &DatumFact) -> bool {
    matches!(d.what, What::CouplerHeight | What::BufferHeight)
}

/// The least that is to be known before metal goes (common practice, no source).
const WANTED: [Wanted; 4] = [
    ("coupler or buffer height at the front", |d| is_coupler(d) && d.end == End::Front),
    ("coupler or buffer height at the rear", |d| is_coupler(d) && d.end == End::Rear),
    ("body, tank or skirt height", |d| matches!(d.what, What::BodyHeight | What::SkirtHeight)),
    ("a screw place", |d| d.what == What::ScrewPlace),
];

/// Datums taken before cutting. With none in the notebook a person's answer stands, as a word.
pub(super) fn recorded(book: Book<'_>) -> Draft {
    let before: Vec<&DatumFact> = book.s.datums.iter().filter(|d| !d.after).collect();
    if before.is_empty() {
        return seen::draft(book, "datums", Observation::DatumsRecorded);
    }
    let missing: Vec<&str> = WANTED
        .iter()
        .filter(|(_, is)| !before.iter().any(|d| is(d) && holds(book, d)))
        .map(|(name, _)| *name)
        .collect();
    let finding = if missing.is_empty() {
        Finding::new(Aspect::Clear, format!("{} datums are written down.", before.len()))
            .would_change("An alteration that touches them.")
    } else {
        Finding::unlit(
            format!("The datums lack {}.", listed(&missing)),
            "Measure them before any cut: afterwards there is nothing left to measure from.",
        )
    };
    let finding = finding
        .formula(
            "coupler or buffer height at both ends, a body, tank or skirt height, a screw place",
        )
        .source("common practice, no source");
    let what = format!("Measure {} before cutting.", listed(&missing));
    let mut out = draft(book, &before, finding, what);
    // An old datum measured anew makes nothing stale: only what is missing then counts.
    if missing.is_empty() {
        out.used.retain(|u| !u.is_stale());
    }
    "datums".clone_into(&mut out.key);
    Observation::DatumsRecorded.title().clone_into(&mut out.title);
    out.reads = format!("{} of {}", WANTED.len() - missing.len(), WANTED.len());
    "what a cut can move".clone_into(&mut out.needs);
    out
}

/// The newest datum after cutting that repeats one before.
fn repeated<'a>(book: Book<'a>, before: &DatumFact) -> Option<&'a DatumFact> {
    book.s
        .datums
        .iter()
        .filter(|d| d.after && d.before_no == Some(before.taken.no))
        .max_by_key(|d| (d.taken.at_ms, d.taken.no))
}

fn scale(book: Book<'_>) -> &str {
    let fact = book.s.survey.iter().rev().find(|f| f.key == SurveyKey::Scale);
    fact.and_then(|f| f.value.split(',').next()).unwrap_or_default().trim()
}

/// Coupler and buffer heights after cutting, at both ends. `None` where they aren't measured again and
/// nothing speaks against them: then a person with the gauge decides.
pub(super) fn couplers(book: Book<'_>) -> Option<Draft> {
    let mut told: Vec<(Aspect, String, Finding)> = Vec::new();
    let (mut of, mut ends) = (Vec::new(), Vec::new());
    for before in book.s.datums.iter().filter(|d| !d.after && is_coupler(d) && holds(book, d)) {
        let Some(after) = repeated(book, before).filter(|a| holds(book, a)) else { continue };
        let moved = still_true(&before.lengths(), &after.lengths(), before.tolerance_mm);
        let standard = against_standard(after.what, after.from, scale(book), &after.lengths());
        for f in [Some(moved), standard].into_iter().flatten() {
            told.push((f.aspect, format!("{}: {}", after.words(), f.sentence), f));
        }
        of.extend([before, after]);
        ends.push(after.end);
    }
    let (aspect, _, worst) = told.iter().max_by_key(|(a, ..)| a.rank())?.clone();
    let both = ends.contains(&End::Front) && ends.contains(&End::Rear);
    if aspect == Aspect::Unlit || (aspect == Aspect::Clear && !both) {
        return None;
    }
    let say: Vec<&str> =
        told.iter().filter(|(a, ..)| *a == aspect).map(|(_, s, _)| s.as_str()).collect();
    let mut finding = worst;
    finding.sentence = capital(&say.join(" "));
    let mut out = draft(book, &of, finding, "Put the height right, then measure it again.".into());
    Observation::CouplerHeightChecked.title().clone_into(&mut out.title);
    "where it was".clone_into(&mut out.needs);
    out.rule = Rule::Advice;
    Some(out)
}

/// After a cut: what could move is measured again and where it was. `None` without a cut, or without a
/// datum from before it.
pub(super) fn hold(book: Book<'_>) -> Option<Draft> {
    let cut = book.s.alterations.iter().filter(|a| a.kind == AlterationKind::FrameCut);
    let last = cut.map(|a| a.at_ms).max()?;
    let before: Vec<&DatumFact> = book
        .s
        .datums
        .iter()
        .filter(|d| !d.after && d.can_move() && d.taken.at_ms <= last && holds(book, d))
        .collect();
    if before.is_empty() {
        return None;
    }
    let (mut of, mut missing, mut told) = (before.clone(), Vec::new(), Vec::new());
    for one in &before {
        let after = repeated(book, one);
        of.extend(after);
        match after.filter(|a| holds(book, a)) {
            Some(a) => {
                let f = still_true(&one.lengths(), &a.lengths(), one.tolerance_mm);
                told.push((f.aspect, format!("{}: {}", capital(&one.words()), f.sentence)));
            }
            None => missing.push(one.words()),
        }
    }
    let good = told.iter().filter(|(a, _)| *a == Aspect::Clear).count();
    let mut say: Vec<String> =
        told.iter().filter(|(a, _)| *a != Aspect::Clear).map(|(_, s)| s.clone()).collect();
    let mut aspect = Aspect::worst(told.iter().map(|(a, _)| *a));
    if !missing.is_empty() {
        aspect = aspect.and(Aspect::Unlit);
        let names: Vec<&str> = missing.iter().map(String::as_str).collect();
        say.push(format!("Not measured again since the cut: {}.", listed(&names)));
    }
    if say.is_empty() {
        say.push(format!("All {good} are where they were before the cut."));
    }
    let finding = Finding::new(aspect, say.join(" "))
        .formula("|after − before| ≤ tolerance for each height and screw place")
        .source("common practice, no source; tolerances of buffers by NEM 303 (2015)")
        .would_change("Each of them measured again and within its tolerance.");
    let what = "Measure again what the cut could move, then put right what is off.".to_owned();
    let mut out = draft(book, &of, finding, what);
    "datums_hold".clone_into(&mut out.key);
    "Datums still hold after cutting".clone_into(&mut out.title);
    out.reads = format!("{good} of {}", before.len());
    "within tolerance".clone_into(&mut out.needs);
    out.rule = Rule::Advice;
    Some(out)
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}
