//! From a draft to a check, from checks to a gate.

use super::facts::{Alteration, Judgement, ReadingRef, Taken};
use super::snapshot::{GateName, Snapshot};
use super::stale::{ReadingKind, made_stale_by};
use super::{Action, Check, Gate, age, clock, day};
use crate::aspect::{Aspect, Finding};
use crate::calc::Refusals;

/// How a danger of this check is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// It can't be.
    Firm,
    /// It is advice: a person may sign that they know better.
    Advice,
    /// It is an isolation or a short: never.
    Short,
}

/// A reading that a check used.
#[derive(Debug, Clone)]
pub(super) struct Used {
    pub reference: ReadingRef,
    /// What to repeat when it's stale: `free`, `wheel L2`.
    pub repeat: String,
    /// The alteration that made it stale.
    pub by: Option<Alteration>,
}

impl Used {
    pub fn is_stale(&self) -> bool {
        self.by.is_some()
    }
}

/// A check before stale notes, fingerprint and judgements.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    pub key: String,
    pub title: String,
    pub reads: String,
    pub needs: String,
    pub finding: Finding,
    pub used: Vec<Used>,
    pub rule: Rule,
    /// The inputs that matter, for the fingerprint.
    pub prints: Vec<String>,
    pub action: Action,
}

/// The snapshot with the ways to print from it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Book<'a> {
    pub s: &'a Snapshot,
}

impl<'a> Book<'a> {
    pub fn of(s: &'a Snapshot) -> Self {
        Book { s }
    }

    /// `25 Nov`.
    pub fn day(self, ms: i64) -> String {
        day(ms, self.s.now_ms, self.s.offset_minutes)
    }

    /// `25 Nov 21:38`.
    pub fn moment(self, ms: i64) -> String {
        format!("{} {}", self.day(ms), clock(ms, self.s.offset_minutes))
    }

    /// `13 days ago`.
    pub fn age(self, ms: i64) -> String {
        age(ms, self.s.now_ms, self.s.offset_minutes)
    }

    /// A reading of a kind, with what made it stale.
    pub fn used(self, kind: ReadingKind, taken: &Taken, what: &str, reads: &str) -> Used {
        let by = made_stale_by(&self.s.alterations, kind, taken.at_ms);
        Used {
            reference: ReadingRef {
                id: taken.id.clone(),
                no: taken.no,
                what: what.to_owned(),
                reads: reads.to_owned(),
                taken_at_ms: taken.at_ms,
                who: taken.who.clone(),
                instrument: taken.instrument.clone(),
                stale: by.map(|a| self.happened(a)),
            },
            repeat: what.to_owned(),
            by: by.cloned(),
        }
    }

    /// `The motor was changed on 22 Nov by Ines`.
    pub fn happened(self, alteration: &Alteration) -> String {
        let by = if alteration.who.is_empty() {
            String::new()
        } else {
            format!(" by {}", alteration.who)
        };
        format!("{} on {}{by}", alteration.kind.happened(), self.day(alteration.at_ms))
    }

    /// What the stale ones of these readings ask for, a sentence per alteration; empty without any.
    fn stale_note(self, used: &[Used]) -> String {
        let mut seen: Vec<&Alteration> = Vec::new();
        for by in used.iter().filter_map(|u| u.by.as_ref()) {
            if !seen.contains(&by) {
                seen.push(by);
            }
        }
        let told = seen.into_iter().map(|alteration| {
            let of: Vec<&Used> =
                used.iter().filter(|u| u.by.as_ref() == Some(alteration)).collect();
            let names: Vec<&str> = of.iter().map(|u| u.repeat.as_str()).collect();
            let oldest = of.iter().map(|u| u.reference.taken_at_ms).min().unwrap_or_default();
            format!(
                "{}, after these readings ({}, {}): repeat {}.",
                self.happened(alteration),
                self.day(oldest),
                self.age(oldest),
                listed(&names)
            )
        });
        told.collect::<Vec<_>>().join(" ")
    }

    /// `reading 41, 0.4 Ω, 25 Nov 21:38, Ines, multimeter 1, 3 days ago`.
    fn origin(self, reading: &ReadingRef) -> String {
        let mut parts = vec![reading.reads.clone(), self.moment(reading.taken_at_ms)];
        parts.extend([reading.who.clone(), reading.instrument.clone()]);
        parts.push(self.age(reading.taken_at_ms));
        parts.retain(|part| !part.is_empty());
        if reading.stale.is_some() {
            parts.push("no longer counts".to_owned());
        }
        parts.join(", ")
    }

    /// The check of a draft.
    fn check(self, gate: GateName, mut draft: Draft) -> Check {
        let note = self.stale_note(&draft.used);
        if !note.is_empty() {
            if draft.finding.aspect == Aspect::Clear {
                draft.finding.aspect = Aspect::Unlit;
            }
            draft.finding.sentence = format!("{} {note}", draft.finding.sentence);
            if draft.finding.aspect == Aspect::Unlit {
                let names: Vec<&str> =
                    draft.used.iter().filter(|u| u.is_stale()).map(|u| u.repeat.as_str()).collect();
                draft.action.what = format!("Repeat {}.", listed(&names));
            }
        }
        if draft.finding.aspect == Aspect::Clear {
            draft.action.what.clear();
            draft.action.minutes = 0;
        }
        for Used { reference, .. } in &draft.used {
            let name = if reference.no > 0 {
                format!("reading {}: {}", reference.no, reference.what)
            } else {
                reference.what.clone()
            };
            draft.finding = draft.finding.input(name, self.origin(reference));
        }
        self.judged(gate, draft)
    }

    /// Adds fingerprint and judgements.
    fn judged(self, gate: GateName, draft: Draft) -> Check {
        let aspect = draft.finding.aspect;
        let fingerprint = format!("{}; {}", aspect.word(), draft.prints.join("; "));
        let why_not_judgeable = why_not_judgeable(aspect, draft.rule, &draft.action.what);
        let judgeable = aspect != Aspect::Clear && why_not_judgeable.is_empty();
        let of_this =
            || self.s.judgements.iter().filter(|j| j.gate == gate && j.check == draft.key);
        let holds =
            |j: &&Judgement| judgeable && j.aspect == aspect && j.fingerprint == fingerprint;
        let judgement = of_this().filter(holds).max_by_key(|j| j.at_ms).cloned();
        let lapsed =
            if judgement.is_none() { of_this().max_by_key(|j| j.at_ms).cloned() } else { None };
        Check {
            key: draft.key.clone(),
            title: draft.title,
            reads: draft.reads,
            needs: draft.needs,
            finding: draft.finding,
            readings: draft.used.into_iter().map(|u| u.reference).collect(),
            judgeable,
            why_not_judgeable,
            fingerprint,
            judgement,
            lapsed,
            action: draft.action,
        }
    }
}

/// Why an aspect can't be judged; empty where it can be, or where there is nothing to judge.
fn why_not_judgeable(aspect: Aspect, rule: Rule, what: &str) -> String {
    match (aspect, rule) {
        (Aspect::Unlit, _) => {
            format!("It isn’t known, so there is nothing to judge yet. {what}")
        }
        (Aspect::Danger, Rule::Short) => format!(
            "A danger on isolation or a short can’t be judged away: it would burn the decoder whatever \
             the reason. {what}"
        ),
        (Aspect::Danger, Rule::Firm) => format!("This danger can’t be judged away. {what}"),
        (Aspect::Danger, Rule::Advice) | (Aspect::Caution | Aspect::Clear, _) => String::new(),
    }
}

/// The gate of its drafts.
pub(super) fn gate(s: &Snapshot, name: GateName, drafts: Vec<Draft>) -> Gate {
    let book = Book::of(s);
    let checks: Vec<Check> = drafts.into_iter().map(|draft| book.check(name, draft)).collect();
    let aspect = Aspect::worst(checks.iter().map(Check::counts_as));
    Gate {
        name,
        title: name.title().to_owned(),
        aspect,
        summary: summary(aspect, &checks),
        passed: s.passings.iter().filter(|p| p.gate == name).max_by_key(|p| p.at_ms).cloned(),
        checks,
    }
}

/// `danger: 1 danger, 3 unlit, 3 clear`; `clear: 6 of 6 checks`.
fn summary(aspect: Aspect, checks: &[Check]) -> String {
    let count = |of: &dyn Fn(&Check) -> bool| checks.iter().filter(|c| of(c)).count();
    if aspect == Aspect::Clear {
        return format!("clear: {0} of {0} checks", checks.len());
    }
    let open = |a: Aspect| move |c: &Check| c.finding.aspect == a && c.judgement.is_none();
    let parts = [
        (count(&open(Aspect::Danger)), "danger"),
        (count(&open(Aspect::Unlit)), "unlit"),
        (count(&open(Aspect::Caution)), "caution"),
        (count(&|c| c.judgement.is_some()), "judged"),
        (count(&open(Aspect::Clear)), "clear"),
    ];
    let told: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    format!("{}: {}", aspect.word(), told.join(", "))
}

/// `free, slipping and held`.
pub(super) fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Why a calculation took none of it: `held_a is 45, allowed 0.001 to 20`.
pub(super) fn refused(what: &str, refusals: &Refusals) -> Finding {
    let told: Vec<String> = refusals
        .iter()
        .map(|r| format!("{} is {}, allowed is {}", r.field, r.given, r.allowed))
        .collect();
    Finding::unlit(
        format!("{what} can’t be used: {}.", told.join("; ")),
        "Put right what was written, then it’s worked out again.",
    )
}
