//! Checks that a person answers by looking or trying.

use super::build::{Book, Draft, Rule, Used};
use super::facts::{Seen, WorkedOut};
use super::observation::Observation;
use super::stale::ReadingKind;
use super::{Action, Place, cards, datums};
use crate::aspect::{Aspect, Finding};
use crate::calc::load::amps_given;
use crate::units::exact;

const BY_LOOKING: &str = "common practice, no source: a person looked or tried";

/// The check of one observation, under its key in the gate.
pub(super) fn draft(book: Book<'_>, key: &str, observation: Observation) -> Draft {
    let by_person = by_person(book, observation);
    let worked = book.s.worked_out.iter().find(|w| w.observation == observation);
    let mut draft = match worked {
        Some(worked) if worked.finding.aspect != Aspect::Unlit => {
            let by_sheet = by_sheet(observation, worked);
            let worst = match by_measure(book, observation) {
                Some(m) if m.finding.aspect.rank() > by_sheet.finding.aspect.rank() => m,
                _ => by_sheet,
            };
            worse_no(book, observation, by_person, worst)
        }
        _ => match by_measure(book, observation) {
            Some(measured) => worse_no(book, observation, by_person, measured),
            None => by_person,
        },
    };
    key.clone_into(&mut draft.key);
    draft
}

/// What test cards or datums say in place of a person; `None`: nothing that decides.
fn by_measure(book: Book<'_>, observation: Observation) -> Option<Draft> {
    match observation {
        Observation::CouplerHeightChecked => datums::couplers(book),
        _ => cards::in_place_of(book, observation),
    }
}

/// A fresh no of a person is a measurement too: the worse of the two stands.
fn worse_no(book: Book<'_>, observation: Observation, by_person: Draft, other: Draft) -> Draft {
    let worse = by_person.finding.aspect.rank() > other.finding.aspect.rank();
    let says_no = newest(book, observation).is_some_and(|seen| !seen.yes);
    if says_no && worse { by_person } else { other }
}

/// The newest answer; of two of one moment a no.
fn newest(book: Book<'_>, observation: Observation) -> Option<&Seen> {
    book.s
        .seen
        .iter()
        .filter(|seen| seen.observation == observation)
        .max_by_key(|seen| (seen.taken.at_ms, !seen.yes))
}

pub(super) fn by_person(book: Book<'_>, observation: Observation) -> Draft {
    let seen = newest(book, observation);
    let used: Vec<Used> = seen
        .map(|seen| {
            let what = observation.title().to_owned();
            let mut used = book.used(
                ReadingKind::Seen(observation),
                &seen.taken,
                &what,
                if seen.yes { "yes" } else { "no" },
            );
            used.repeat = format!("“{}”", observation.question());
            used
        })
        .into_iter()
        .collect();
    let fresh = seen.filter(|_| !used.iter().any(Used::is_stale));
    let (finding, reads) = match fresh {
        Some(seen) => answered(book, observation, seen),
        None => (nobody_looked(observation), unread(observation).to_owned()),
    };
    let word_only = finding.aspect == Aspect::Caution && fresh.is_some_and(|seen| seen.yes);
    let (what, place) = if word_only {
        (format!("Judge “{}”. It rests on somebody’s word.", observation.title()), Place::Later)
    } else {
        let what = format!("{} {}", observation.act(), observation.how());
        (what, Place::Observation(observation))
    };
    Draft {
        key: observation.key().to_owned(),
        title: observation.title().to_owned(),
        reads,
        needs: needs(book, observation),
        finding: finding.source(BY_LOOKING),
        used,
        rule: Rule::Firm,
        prints: seen.map(print).into_iter().collect(),
        action: Action { what, place, minutes: observation.minutes() },
    }
}

fn print(seen: &Seen) -> String {
    let amount = seen.amount.map(exact).unwrap_or_default();
    format!("{}={} {amount}", seen.observation.key(), if seen.yes { "yes" } else { "no" })
}

fn needs(book: Book<'_>, observation: Observation) -> String {
    if observation == Observation::SupplyLimited {
        format!("{} or less", amps_given(book.s.thresholds.supply_limit_a))
    } else {
        "yes".to_owned()
    }
}

fn unread(observation: Observation) -> &'static str {
    if observation.needs_amount() { "not written" } else { "not seen" }
}

/// What turns it: a yes.
fn yes_to(observation: Observation) -> String {
    format!("A yes to “{}”", observation.question())
}

fn nobody_looked(observation: Observation) -> Finding {
    let sentence = match (observation, observation.answered_by()) {
        (Observation::PaperTried, Some(sheet)) => format!(
            "No layout is known. The {sheet} sheet will answer this; until then a dry fit with paper \
             dummies can be entered as seen."
        ),
        (Observation::DatumsRecorded, Some(_)) => {
            "No datum is written down. Datums kept elsewhere can \
             be entered as done, which is caution and takes a judgement."
                .to_owned()
        }
        (_, Some(sheet)) => format!(
            "{}: not known. The {sheet} sheet will answer this; until then it can be entered as done, \
             which is caution and takes a judgement.",
            observation.title()
        ),
        (_, None) => format!("{}: nobody has entered it.", observation.title()),
    };
    Finding::unlit(sentence, yes_to(observation))
}

/// The verdict of an answer that still holds.
fn answered(book: Book<'_>, observation: Observation, seen: &Seen) -> (Finding, String) {
    let by = format!("{}, {}", seen.taken.who, book.day(seen.taken.at_ms));
    let with_note = |finding: Finding| {
        if seen.note.is_empty() { finding } else { finding.input("note", seen.note.clone()) }
    };
    if !seen.yes {
        let finding = Finding::new(
            observation.no_gives(),
            format!("{} Entered by {by}.", observation.no_says()),
        );
        return (with_note(finding.would_change(yes_to(observation))), "no".to_owned());
    }
    if observation == Observation::SupplyLimited {
        let (finding, reads) = supply(book, seen, &by);
        return (with_note(finding), reads);
    }
    let finding = match (observation.yes_gives(), observation.answered_by()) {
        (Aspect::Caution, Some(sheet)) => Finding::new(
            Aspect::Caution,
            format!(
                "{}: entered as done by {by}. {}, so this is somebody’s word.",
                observation.title(),
                not_there(observation, sheet)
            ),
        )
        .would_change(format!("The {sheet} sheet working it out, or a judgement.")),
        (aspect, _) => Finding::new(aspect, format!("{}: seen by {by}.", observation.title()))
            .would_change("A no, or an alteration that touches it."),
    };
    (with_note(finding), "yes".to_owned())
}

/// What is missing where only somebody's word stands.
fn not_there(observation: Observation, sheet: &str) -> String {
    if observation == Observation::ReviewWritten {
        "No review stands on the Review sheet".to_owned()
    } else {
        format!("The {sheet} sheet doesn’t work it out yet")
    }
}

/// The supply's limit against what is allowed for first power, A.
fn supply(book: Book<'_>, seen: &Seen, by: &str) -> (Finding, String) {
    let most = book.s.thresholds.supply_limit_a;
    let rule = |finding: Finding| finding.formula(format!("limit ≤ {}", amps_given(most)));
    let Some(amps) = seen.amount.filter(|a| a.is_finite() && *a > 0.0) else {
        let finding = Finding::unlit(
            format!("The supply’s limit is said to be set ({by}), but not at how many amps."),
            "Write down the amps of the limit.",
        );
        return (rule(finding), "not written".to_owned());
    };
    let reads = amps_given(amps);
    let finding = if amps <= most {
        Finding::new(Aspect::Clear, format!("The supply is limited to {reads}, by {by}."))
            .would_change(format!("A limit above {}.", amps_given(most)))
    } else {
        Finding::new(
            Aspect::Danger,
            format!(
                "The supply is limited to {reads}, by {by}: a fault could still burn the decoder. Turn \
                 it down to {} or less.",
                amps_given(most)
            ),
        )
        .would_change(format!("A limit of {} or less.", amps_given(most)))
    };
    (rule(finding), reads)
}

/// The verdict that a sheet worked out.
fn by_sheet(observation: Observation, worked: &WorkedOut) -> Draft {
    let used = worked
        .readings
        .iter()
        .map(|r| Used { reference: r.clone(), repeat: r.what.clone(), by: None })
        .collect();
    let inputs = &worked.finding.inputs;
    Draft {
        key: observation.key().to_owned(),
        title: observation.title().to_owned(),
        reads: worked.reads.clone(),
        needs: "as wanted".to_owned(),
        finding: worked.finding.clone(),
        used,
        rule: Rule::Firm,
        prints: std::iter::once(format!("{} worked out", observation.key()))
            .chain(inputs.iter().map(|i| format!("{}={}", i.name, i.value)))
            .collect(),
        action: Action {
            what: worked.finding.would_change.clone(),
            place: Place::Later,
            minutes: observation.minutes(),
        },
    }
}
