//! The wiring list made ready to show: drawing, rows, findings, lengths. For every page that shows it.

use super::model::{End, State, Wire};
use super::rules::{self, Found, Total, listed};
use super::standard::{RESERVED, Terminal};
use crate::aspect::{Aspect, Finding};
use crate::calc::gates::GateName;
use crate::choice::Choice;
use crate::draw::arm;
use crate::draw::wiring::{Lead, Plan, key, wiring_svg};
use crate::features::conversions::model::thousandths;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::units::millimetres;
use crate::web::when;

/// A wire of the list.
#[derive(Debug)]
pub struct Row {
    /// Number within the conversion.
    pub no: i64,
    /// `motor +`, or where a free wire begins.
    pub begins: String,
    /// Where it ends.
    pub ends: String,
    /// Colour found: `green`, `not looked at`.
    pub colour: String,
    /// `as the standard says`, `standard: orange`, `any, but none of the seven`.
    pub standard: String,
    /// `AWG 30, 50.0 mm`; says what is not written.
    pub size: String,
    /// `soldered, sleeved`.
    pub joint: String,
    /// `proved`.
    pub state: &'static str,
    /// `Ines, 25 Nov`; empty while planned.
    pub by: String,
    /// Reason, in the person's words.
    pub why: String,
    /// It is in a danger.
    pub bad: bool,
    /// It was taken out.
    pub out: bool,
}

/// A finding as shown.
#[derive(Debug)]
pub struct FoundView {
    /// Sentence.
    pub sentence: String,
    /// Arm and word.
    pub asp: String,
    /// Danger: tinted.
    pub bad: bool,
    /// The word alone.
    pub word: &'static str,
    /// Inputs: name and value.
    pub inputs: Vec<(String, String)>,
    /// Rule.
    pub formula: String,
    /// Source.
    pub source: String,
    /// What would change it.
    pub would_change: String,
    /// It is said here only, and does not bear on the gate.
    pub aside: bool,
}

/// Lengths of one size.
#[derive(Debug)]
pub struct TotalView {
    /// `AWG 30`, `gauge not written`.
    pub size: String,
    /// Colours of what is planned.
    pub colours: String,
    /// Planned, so to be ordered; a word where nothing is.
    pub order: String,
    /// In all.
    pub all: String,
    /// `2 without a length`; empty where all have one.
    pub without: String,
}

/// Everything about the wires of a conversion.
#[derive(Debug)]
pub struct List {
    /// The drawing; empty without a wire.
    pub svg: String,
    /// Its key.
    pub key: Vec<(String, &'static str)>,
    /// The verdict: arm and word.
    pub asp: String,
    /// The verdict's sentence.
    pub says: String,
    /// `2 proved, 1 done, 4 planned.`
    pub counts: String,
    /// Wires, those taken out last.
    pub rows: Vec<Row>,
    /// Findings, worst first.
    pub found: Vec<FoundView>,
    /// Lengths by size.
    pub totals: Vec<TotalView>,
}

/// The list of a conversion.
pub fn list(g: &Gathered, at: At) -> List {
    let plan = plan(g);
    let verdict = verdict(g);
    let mut rows: Vec<Row> = g.wires.iter().map(|w| row(w, &g.wiring, at)).collect();
    rows.sort_by_key(|r| r.out);
    List {
        svg: if g.wires.is_empty() { String::new() } else { wiring_svg(&plan).unwrap_or_default() },
        key: key(&plan),
        asp: arm::asp(verdict.aspect),
        says: verdict.sentence,
        counts: counts(&g.wires),
        rows,
        found: g.wiring.iter().map(found).collect(),
        totals: rules::totals(&g.wires).iter().map(total).collect(),
    }
}

/// The verdict of the gate on the list.
fn verdict(g: &Gathered) -> Finding {
    let gates = g.gates();
    let gate = gates.iter().find(|gate| gate.name == GateName::FirstPower);
    let check = gate.and_then(|gate| gate.check("wiring"));
    check.map_or_else(|| Finding::unlit("", ""), |c| c.finding.clone())
}

fn counts(wires: &[Wire]) -> String {
    let of = |state: State| wires.iter().filter(|w| w.draft.state == state).count();
    let told = [State::Proved, State::Done, State::Changed, State::Planned, State::Removed]
        .into_iter()
        .map(|s| (of(s), s.word()))
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| format!("{n} {word}"));
    let told: Vec<String> = told.collect();
    if told.is_empty() { String::new() } else { format!("{}.", told.join(", ")) }
}

/// Whether a wire is in a danger.
fn in_danger(found: &[Found], no: i64) -> bool {
    found.iter().any(|f| f.finding.aspect == Aspect::Danger && f.wires.contains(&no))
}

fn row(w: &Wire, found: &[Found], at: At) -> Row {
    let d = &w.draft;
    let moment = w.proved_at.or(w.altered_at);
    let by = moment.map(|ms| {
        let day = when::day(ms, at.now, at.offset);
        if w.person.is_empty() { day } else { format!("{}, {day}", w.person) }
    });
    let gauge = d.gauge.map_or("gauge not written".to_owned(), super::gauge::Gauge::words);
    let length =
        d.length_um.map_or("length not written".to_owned(), |um| millimetres(thousandths(um)));
    let nothing = if d.state == State::Planned { "none yet" } else { "not looked at" };
    let sleeve = if d.sleeved { "sleeved" } else { "not sleeved" };
    Row {
        no: w.no,
        begins: w.begins(),
        ends: d.to.words(),
        colour: d.colour.map_or(nothing, Choice::label).to_owned(),
        standard: standard(w, found),
        size: format!("{gauge}, {length}"),
        joint: format!("{}, {sleeve}", d.joint.label()),
        state: d.state.word(),
        by: by.unwrap_or_default(),
        why: d.why.clone(),
        bad: in_danger(found, w.no),
        out: !d.state.counts(),
    }
}

/// The colour by the standard beside the one found.
fn standard(w: &Wire, found: &[Found]) -> String {
    let spoken_for = w.draft.colour.is_some_and(|c| RESERVED.contains(&c));
    let said = |f: &Found| f.wires == [w.no] && f.finding.aspect == Aspect::Caution;
    if w.draft.terminal == Terminal::Free && spoken_for && !found.iter().any(said) {
        return "as the lead it goes on from".to_owned();
    }
    match w.draft.terminal.standard() {
        Some(s) if w.draft.colour == Some(s.colour) => "as the standard says".to_owned(),
        Some(s) => format!("standard: {}", s.colour.label()),
        None => w.draft.terminal.no_colour().to_owned(),
    }
}

fn found(f: &Found) -> FoundView {
    let v = &f.finding;
    let mut inputs: Vec<(String, String)> =
        v.inputs.iter().map(|i| (i.name.clone(), i.value.clone())).collect();
    if inputs.is_empty() && !f.wires.is_empty() {
        inputs.push(("about".to_owned(), listed(&f.wires)));
    }
    FoundView {
        sentence: v.sentence.clone(),
        asp: arm::asp(v.aspect),
        bad: v.aspect == Aspect::Danger,
        word: v.aspect.word(),
        inputs,
        formula: v.formula.clone(),
        source: v.source.clone(),
        would_change: v.would_change.clone(),
        aside: !f.counts,
    }
}

fn total(t: &Total) -> TotalView {
    let none = |um: i64, word: &str| if um == 0 { word.to_owned() } else { Total::mm(um) };
    TotalView {
        size: t.gauge.map_or("gauge not written".to_owned(), super::gauge::Gauge::words),
        colours: t.colours.join(", "),
        order: none(t.planned_um, "nothing planned"),
        all: none(t.all_um, "no length written"),
        without: if t.without == 0 {
            String::new()
        } else {
            format!("{} without a length", t.without)
        },
    }
}

/// The drawing's data: leads left and right in the order of the terminals, those wanted and not written among
/// them; free wires below.
fn plan(g: &Gathered) -> Plan {
    let used: Vec<Wire> = g.wires.iter().filter(|w| w.draft.state.counts()).cloned().collect();
    let wanted = rules::required(g.snapshot.goals, &used);
    let mut plan = Plan {
        decoder: g.decoder.as_ref().map_or("decoder".to_owned(), |d| d.draft.name.clone()),
        ..Plan::default()
    };
    for terminal in Terminal::ALL.iter().filter(|t| **t != Terminal::Free) {
        let of: Vec<&Wire> = used.iter().filter(|w| w.draft.terminal == *terminal).collect();
        let side = if terminal.on_the_left() { &mut plan.left } else { &mut plan.right };
        if of.is_empty() && wanted.contains(terminal) {
            side.push(unwritten(*terminal));
        }
        side.extend(of.into_iter().map(|w| lead(w, &g.wiring)));
    }
    let free = used.iter().filter(|w| w.draft.terminal == Terminal::Free);
    plan.free = free.map(|w| lead(w, &g.wiring)).collect();
    plan
}

fn lead(w: &Wire, found: &[Found]) -> Lead {
    // what is planned is drawn as the standard says; what is in, as it was found
    let by_standard = || w.draft.terminal.standard().map(|s| s.colour);
    let planned = w.draft.state == State::Planned;
    let unseen = match (planned, w.draft.terminal) {
        (false, _) => "not seen",
        (true, Terminal::Free) => "any colour",
        (true, _) => "by maker",
    };
    let colour = if planned { w.draft.colour.or_else(by_standard) } else { w.draft.colour };
    Lead {
        number: w.no.to_string(),
        begins: w.draft.from.as_ref().map_or(w.draft.terminal.word().to_owned(), End::words),
        ends: w.draft.to.words(),
        colour: colour.map_or("", Choice::code).to_owned(),
        word: colour.map_or(unseen, Choice::label).to_owned(),
        planned,
        danger: in_danger(found, w.no),
    }
}

fn unwritten(terminal: Terminal) -> Lead {
    Lead {
        number: String::new(),
        begins: terminal.word().to_owned(),
        ends: String::new(),
        colour: String::new(),
        word: String::new(),
        planned: false,
        danger: false,
    }
}
