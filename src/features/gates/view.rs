//! Checks and gates made ready to show, the same on the Overview and on a gate's own page.

use crate::aspect::Aspect;
use crate::calc::gates::{Check, Gate, GateName, Place, age};
use crate::draw::arm;
use crate::web::when;
use time::UtcOffset;

/// One reading a check stands on.
#[derive(Debug, Clone)]
pub struct RefView {
    /// Address of the reading; empty where it has none.
    pub href: String,
    /// `reading 41`.
    pub name: String,
    /// `brush A to right rail, in the frame: 0.4 Ω`.
    pub what: String,
    /// `25 Nov 21:38, Ines, multimeter 1, 3 days ago`.
    pub from: String,
    /// Why it no longer counts; empty where it does.
    pub stale: String,
}

/// A judgement as shown.
#[derive(Debug, Clone)]
pub struct JudgedView {
    /// The reason, in the person's words.
    pub reason: String,
    /// `Judged by Ines, 14 Nov`.
    pub by: String,
    /// It no longer holds, since the values changed.
    pub lapsed: bool,
}

/// One check.
#[derive(Debug, Clone)]
pub struct CheckView {
    /// Key within its gate.
    pub key: String,
    /// Safe id for anchors.
    pub anchor: String,
    /// Title.
    pub title: String,
    /// Reads column.
    pub reads: String,
    /// Needs column.
    pub needs: String,
    /// Arm and word.
    pub asp: String,
    /// The word alone.
    pub word: &'static str,
    /// Danger: the row is tinted.
    pub bad: bool,
    /// The verdict's sentence.
    pub sentence: String,
    /// Inputs of the verdict: name and value.
    pub inputs: Vec<(String, String)>,
    /// Formula or rule.
    pub formula: String,
    /// Source.
    pub source: String,
    /// What would change it.
    pub would_change: String,
    /// What it stands on.
    pub readings: Vec<RefView>,
    /// A judgement that holds, or the newest one that lapsed.
    pub judged: Option<JudgedView>,
    /// A person may judge it now.
    pub judgeable: bool,
    /// Why not; empty where it can, or where it is clear.
    pub why_not: String,
    /// Next action, its first sentence; empty where nothing is to do.
    pub action: String,
    /// The rest of the action: how to do it.
    pub action_how: String,
    /// Where to do it; empty where the notebook has no page for it yet.
    pub action_href: String,
    /// Fingerprint that a judgement is signed on.
    pub fingerprint: String,
}

/// What the views need to know of time.
#[derive(Debug, Clone, Copy)]
pub struct At {
    /// Now, ms.
    pub now: i64,
    /// Local time against UTC.
    pub offset: UtcOffset,
}

/// A check made ready to show.
pub fn check(no: i64, check: &Check, at: At) -> CheckView {
    let f = &check.finding;
    let judged = check.judgement.as_ref().or(check.lapsed.as_ref()).map(|j| JudgedView {
        reason: j.reason.clone(),
        by: format!("Judged by {}, {}", j.person, when::day(j.at_ms, at.now, at.offset)),
        lapsed: check.judgement.is_none(),
    });
    let (action, action_how) = first_sentence(&check.action.what);
    CheckView {
        anchor: anchor(&check.key),
        key: check.key.clone(),
        title: check.title.clone(),
        reads: check.reads.clone(),
        needs: check.needs.clone(),
        asp: arm::asp(f.aspect),
        word: f.aspect.word(),
        bad: f.aspect == Aspect::Danger && check.judgement.is_none(),
        sentence: f.sentence.clone(),
        inputs: f.inputs.iter().map(|i| (i.name.clone(), i.value.clone())).collect(),
        formula: f.formula.clone(),
        source: f.source.clone(),
        would_change: f.would_change.clone(),
        readings: check.readings.iter().map(|r| reading(no, r, at)).collect(),
        judged,
        judgeable: check.judgeable,
        // that an unknown can’t be judged is plain from its word; only a danger’s reason is said
        why_not: if f.aspect == Aspect::Danger {
            first_sentence(&check.why_not_judgeable).0
        } else {
            String::new()
        },
        action,
        action_how,
        action_href: href(no, check.action.place),
        fingerprint: check.fingerprint.clone(),
    }
}

fn reading(no: i64, r: &crate::calc::gates::ReadingRef, at: At) -> RefView {
    let mut from = vec![when::day_time(r.taken_at_ms, at.now, at.offset)];
    from.extend([r.who.clone(), r.instrument.clone()].into_iter().filter(|p| !p.is_empty()));
    from.push(age(r.taken_at_ms, at.now, i32::from(at.offset.whole_minutes())));
    RefView {
        href: if r.no > 0 { format!("/c/{no}/readings/{}", r.no) } else { String::new() },
        name: if r.no > 0 { format!("reading {}", r.no) } else { "entry".to_owned() },
        what: format!("{}: {}", r.what, r.reads),
        from: from.join(", "),
        stale: r.stale.clone().unwrap_or_default(),
    }
}

/// A text as its first sentence and the rest.
pub fn first_sentence(text: &str) -> (String, String) {
    let end =
        text.match_indices(['.', '?']).map(|(i, _)| i + 1).find(|i| text[*i..].starts_with(' '));
    match end {
        Some(end) => (text[..end].to_owned(), text[end..].trim().to_owned()),
        None => (text.to_owned(), String::new()),
    }
}

/// An id that is safe in an address: letters, digits, hyphens.
fn anchor(key: &str) -> String {
    let mut out: String =
        key.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    out.insert_str(0, "k-");
    out
}

/// Where an action is done.
pub fn href(no: i64, place: Place) -> String {
    match place {
        Place::Survey => format!("/c/{no}/edit"),
        Place::LoadTest => format!("/c/{no}/bench#test"),
        Place::PickupMap => format!("/c/{no}/bench#map"),
        Place::Isolation => format!("/c/{no}/isolation"),
        Place::Decoder => format!("/c/{no}/decoder#decoder"),
        Place::Loads => format!("/c/{no}/decoder#loads"),
        Place::Wiring => format!("/c/{no}/wiring"),
        Place::Snags => format!("/c/{no}/snags"),
        Place::Parts => format!("/c/{no}/parts"),
        Place::Review => format!("/c/{no}/review#reviews"),
        Place::Observation(o) => format!("/c/{no}/look/{}", o.key()),
        Place::Card(name) => format!("/c/{no}/cards/{}", name.key()),
        Place::Datums => format!("/c/{no}/datums"),
        Place::Later => String::new(),
    }
}

/// One gate on the line.
#[derive(Debug, Clone)]
pub struct GateView {
    /// Key.
    pub key: &'static str,
    /// Title.
    pub title: String,
    /// Address.
    pub href: String,
    /// Arm for the line.
    pub arm: String,
    /// `danger: 1 danger, 3 unlit`.
    pub summary: String,
    /// `passed 4 Nov, Ines`; empty where not passed.
    pub passed: String,
    /// Lies ahead of where the conversion stands.
    pub ahead: bool,
    /// The first one ahead: “you are here” stands before it.
    pub here_before: bool,
}

/// A gate made ready to show. `ahead`: it is not behind the conversion's stage yet.
pub fn gate(no: i64, gate: &Gate, (ahead, here_before): (bool, bool), at: At) -> GateView {
    let passed = gate
        .passed
        .as_ref()
        .map(|p| format!("passed {}, {}", when::day(p.at_ms, at.now, at.offset), p.who));
    GateView {
        key: gate.name.key(),
        title: gate.title.clone(),
        href: format!("/c/{no}/gates/{}", gate.name.key()),
        arm: arm::arm(gate.aspect, arm::Size::Placed),
        summary: gate.summary.clone(),
        passed: passed.unwrap_or_default(),
        ahead,
        here_before,
    }
}

/// The first gate that was not passed; the last one when all were.
pub fn next(gates: &[Gate]) -> GateName {
    gates.iter().find(|g| g.passed.is_none()).map_or(GateName::Service, |g| g.name)
}
