//! A run made ready to show.

use crate::aspect::Aspect;
use crate::calc::card::{Ask, Bench, CardName, Shell, Verdict, asks, card};
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::draw::arm;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::test_runs::model::{Run, verdict};
use crate::web::when;

/// One run.
#[derive(Debug, Clone)]
pub struct RunView {
    /// Number within its conversion.
    pub no: i64,
    /// `shell off`.
    pub shell: &'static str,
    /// `25 Nov 21:38, Ines`.
    pub by: String,
    /// Arm and word; unlit where it no longer counts.
    pub asp: String,
    /// What it means.
    pub sentence: String,
    /// What to do next; empty where nothing is to do.
    pub next: String,
    /// What was entered: label and value.
    pub inputs: Vec<(String, String)>,
    /// The rule.
    pub formula: String,
    /// Where the rule comes from.
    pub source: String,
    /// What would change it.
    pub would_change: String,
    /// Remark.
    pub remark: String,
    /// Why it no longer counts; empty where it does.
    pub stale: String,
    /// Taken back as a mistake.
    pub taken_back: bool,
    /// What a snag about it would say; empty where there is nothing to put right.
    pub snag: String,
    /// How bad that snag would be: its code.
    pub severity: &'static str,
    /// The gate it would block: its code.
    pub blocks: &'static str,
    /// Version.
    pub version: i64,
}

/// Why a run no longer counts; empty where it does.
pub fn stale(g: &Gathered, run: &Run, at: At) -> String {
    let kind = ReadingKind::Card(run.card, run.shell);
    made_stale_by(&g.snapshot.alterations, kind, run.done_at).map_or_else(String::new, |a| {
        let by = if a.who.is_empty() { String::new() } else { format!(" by {}", a.who) };
        format!("{} on {}{by}", a.kind.happened(), when::day(a.at_ms, at.now, at.offset))
    })
}

/// The aspect a run counts with now.
pub fn counts_as(verdict: &Verdict, stale: &str) -> Aspect {
    if stale.is_empty() { verdict.finding.aspect } else { Aspect::Unlit }
}

/// A run with its verdict as its entries stand now.
pub fn run(g: &Gathered, r: &Run, bench: &Bench, at: At) -> RunView {
    let v = verdict(r, &g.readings, bench);
    let stale = stale(g, r, at);
    let f = &v.finding;
    let mut by = vec![when::day_time(r.done_at, at.now, at.offset)];
    by.extend(Some(r.person.clone()).filter(|p| !p.is_empty()));
    RunView {
        no: r.no,
        shell: r.shell.word(),
        by: by.join(", "),
        asp: arm::asp(counts_as(&v, &stale)),
        sentence: f.sentence.clone(),
        next: v.next.clone(),
        inputs: f.inputs.iter().map(|i| (i.name.clone(), i.value.clone())).collect(),
        formula: f.formula.clone(),
        source: f.source.clone(),
        would_change: f.would_change.clone(),
        remark: r.remark.clone(),
        stale,
        taken_back: r.taken_back_at.is_some(),
        snag: v.snag.clone(),
        severity: if f.aspect == Aspect::Danger { "dangerous" } else { "must_fix" },
        blocks: card(r.card).gate.key(),
        version: r.version,
    }
}

/// What a card asks on this conversion.
pub fn asked(g: &Gathered, name: CardName, shell: Shell) -> Vec<Ask> {
    asks(name, shell, &Bench::of(&g.snapshot))
}

/// The newest run of a card that was not taken back.
pub fn newest(runs: &[Run], name: CardName, shell: Shell) -> Option<&Run> {
    runs.iter().find(|r| r.card == name && r.shell == shell && r.taken_back_at.is_none())
}
