//! The check of awaited parts: in each gate that a part was said to hold up.

use super::build::{Book, Draft, Rule, listed};
use super::snapshot::GateName;
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where a part stands, as a gate sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PartIs {
    /// Nobody ordered it.
    Wanted,
    /// Ordered or shipped.
    OnTheWay,
    /// Arrived, proved or fitted.
    Here,
    /// Sent back.
    Returned,
    /// Dead, and nothing stands in for it.
    Dead,
}

impl PartIs {
    /// As a sentence says it.
    pub fn words(self) -> &'static str {
        match self {
            PartIs::Wanted => "not ordered",
            PartIs::OnTheWay => "on the way",
            PartIs::Here => "here",
            PartIs::Returned => "sent back",
            PartIs::Dead => "dead",
        }
    }

    /// Which of several missing parts is seen to first; the highest.
    fn urgency(self) -> u8 {
        match self {
            PartIs::Here => 0,
            PartIs::OnTheWay => 1,
            PartIs::Wanted => 2,
            PartIs::Returned => 3,
            PartIs::Dead => 4,
        }
    }
}

/// A part that was said to hold a gate up. Of parts that may stand in for each other: the nearest to use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PartFact {
    /// Its number over the whole notebook.
    pub no: i64,
    /// Its name.
    pub name: String,
    /// The gate it holds up.
    pub blocks: GateName,
    /// Where it stands.
    pub is: PartIs,
    /// Since when, ms since 1970 UTC.
    pub since_ms: Option<i64>,
}

/// Every part that holds this gate up is here. Clear once all of them arrived; unlit while one is wanted or on
/// the way, since nobody has it in hand; danger where one is dead and nothing stands in for it. `None` where no
/// part holds this gate up.
pub(super) fn draft(book: Book<'_>, gate: GateName) -> Option<Draft> {
    let mut parts: Vec<&PartFact> = book.s.parts.iter().filter(|p| p.blocks == gate).collect();
    if parts.is_empty() {
        return None;
    }
    parts.sort_by_key(|p| p.no);
    let missing: Vec<&PartFact> = parts.iter().copied().filter(|p| p.is != PartIs::Here).collect();
    let worst = missing.iter().max_by_key(|p| p.is.urgency()).copied();
    Some(Draft {
        key: "parts".to_owned(),
        title: "Parts are here".to_owned(),
        reads: format!("{} of {} here", parts.len() - missing.len(), parts.len()),
        needs: "every part it waits for".to_owned(),
        finding: finding(book, &parts, &missing)
            .formula("every part said to hold this gate up has arrived, or another one standing in for it")
            .source("common practice, no source"),
        used: Vec::new(),
        rule: Rule::Firm,
        prints: parts.iter().map(|p| format!("part {} {:?}", p.no, p.is)).collect(),
        action: worst.map_or(Action { what: String::new(), place: Place::Parts, minutes: 0 }, action),
    })
}

fn finding(book: Book<'_>, parts: &[&PartFact], missing: &[&PartFact]) -> Finding {
    let said = |some: &[&PartFact]| {
        let lines: Vec<String> = some.iter().map(|p| told(book, p)).collect();
        let mut out = listed(&lines.iter().map(String::as_str).collect::<Vec<_>>());
        out.replace_range(0..1, "P");
        out.push('.');
        out
    };
    let dead = missing.iter().any(|p| p.is == PartIs::Dead);
    let sentence = if missing.is_empty() { said(parts) } else { said(missing) };
    if missing.is_empty() {
        Finding::new(Aspect::Clear, sentence).would_change("One of them dead, sent back or lost.")
    } else if dead {
        Finding::new(Aspect::Danger, sentence)
            .would_change("Another one here, or the part no longer said to hold this gate up.")
    } else {
        Finding::unlit(sentence, "Each of them arrived, or another one standing in for it.")
    }
}

/// `part 12 (sound decoder) is on the way since 9 Nov`.
fn told(book: Book<'_>, part: &PartFact) -> String {
    let since = part.since_ms.map(|ms| format!(" since {}", book.day(ms))).unwrap_or_default();
    format!("part {} ({}) is {}{since}", part.no, part.name, part.is.words())
}

/// What the part that is farthest from use asks for.
fn action(part: &PartFact) -> Action {
    let (no, name) = (part.no, &part.name);
    let (what, minutes) = match part.is {
        PartIs::Here => (String::new(), 0),
        PartIs::OnTheWay => (format!("Write down when part {no} ({name}) arrives."), 2),
        PartIs::Wanted => (format!("Order part {no} ({name})."), 10),
        PartIs::Returned | PartIs::Dead => {
            (format!("Order another one for part {no} ({name})."), 10)
        }
    };
    Action { what, place: Place::Parts, minutes }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{NOW, READ, proved};
    use super::super::{Check, gates};
    use super::*;

    fn fact(no: i64, is: PartIs) -> PartFact {
        let name = format!("part {no}");
        PartFact { no, name, blocks: GateName::FirstPower, is, since_ms: Some(READ) }
    }

    /// The check of each gate, with these parts in an otherwise proved conversion.
    fn checks(parts: &[PartFact]) -> Vec<Option<Check>> {
        let mut s = proved();
        s.parts = parts.to_vec();
        gates(&s).iter().map(|g| g.check("parts").cloned()).collect()
    }

    #[test]
    fn only_the_gate_named_waits_and_no_part_means_no_check() {
        assert!(checks(&[]).iter().all(Option::is_none));
        let found = checks(&[fact(1, PartIs::Here)]);
        assert_eq!(
            found.iter().map(Option::is_some).collect::<Vec<_>>(),
            [false, false, true, false, false]
        );
    }

    #[test]
    fn the_part_farthest_from_use_decides() {
        use PartIs::{Dead, Here, OnTheWay, Returned, Wanted};
        for (parts, aspect, reads) in [
            (vec![Here, Here], Aspect::Clear, "2 of 2 here"),
            (vec![Here, OnTheWay], Aspect::Unlit, "1 of 2 here"),
            (vec![Wanted, OnTheWay], Aspect::Unlit, "0 of 2 here"),
            (vec![Here, Returned], Aspect::Unlit, "1 of 2 here"),
            (vec![Dead, OnTheWay, Here], Aspect::Danger, "1 of 3 here"),
        ] {
            let facts: Vec<PartFact> = (1..).zip(&parts).map(|(no, is)| fact(no, *is)).collect();
            let check = checks(&facts)[2].clone().unwrap();
            assert_eq!((check.finding.aspect, check.reads.as_str()), (aspect, reads), "{parts:?}");
            assert_eq!(check.action.what.is_empty(), aspect == Aspect::Clear, "{parts:?}");
            assert!(!check.judgeable, "{parts:?}");
        }
    }

    #[test]
    fn what_is_missing_is_named_with_its_day_and_what_to_do() {
        let check = checks(&[fact(7, PartIs::OnTheWay), fact(9, PartIs::Dead)])[2].clone().unwrap();
        let day = super::super::day(READ, NOW, 60);
        assert_eq!(
            check.finding.sentence,
            format!(
                "Part 7 (part 7) is on the way since {day} and part 9 (part 9) is dead since {day}."
            )
        );
        assert_eq!(check.action.what, "Order another one for part 9 (part 9).");
    }
}
