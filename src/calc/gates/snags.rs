//! The check of open snags: in each gate where one blocks, and always before closing.

use super::build::{Book, Draft, listed};
use super::facts::{Severity, Snag};
use super::observation::Observation;
use super::snapshot::GateName;
use super::{Action, Place, seen};
use crate::aspect::{Aspect, Finding};
use std::cmp::Reverse;

/// No open snag blocks. Clear takes more than an empty list: somebody went through it with the model in
/// hand. `None` where no snag blocks and the gate isn't the closing one.
pub(super) fn draft(book: Book<'_>, gate: GateName) -> Option<Draft> {
    let (mut blocking, others): (Vec<&Snag>, Vec<&Snag>) =
        book.s.snags.iter().partition(|snag| snag.blocks.is_some_and(|b| b <= gate));
    if blocking.is_empty() && gate != GateName::Close {
        return None;
    }
    blocking.sort_by_key(|snag| (Reverse(snag.severity), snag.no));
    let serious: Vec<&Snag> =
        others.into_iter().filter(|snag| snag.severity >= Severity::Serious).collect();
    let mut draft = seen::by_person(book, Observation::SnagsLookedOver);
    "snags".clone_into(&mut draft.key);
    "none that blocks".clone_into(&mut draft.needs);
    draft.reads = match (blocking.len(), book.s.snags.len()) {
        (0, 0) => "none open".to_owned(),
        (0, open) => format!("{open} open, none blocks"),
        (n, _) => format!("{n} blocking"),
    };
    if let Some(first) = blocking.first() {
        draft.finding = Finding::new(
            Aspect::Danger,
            format!(
                "{} this gate. {}",
                count(blocking.len(), "blocks", "block"),
                told(book, &blocking)
            ),
        )
        .would_change("Each of them closed, or no longer blocking.");
        draft.action = close(first);
        draft.used.clear();
    } else if let (Aspect::Clear, Some(first)) = (draft.finding.aspect, serious.first()) {
        let open = count(serious.len(), "is serious", "are serious");
        draft.finding = Finding::new(
            Aspect::Caution,
            format!("No snag blocks, but {open}. {}", told(book, &serious)),
        )
        .would_change("Each of them closed.");
        draft.action = close(first);
    }
    "common practice, no source".clone_into(&mut draft.finding.source);
    draft.prints.extend(book.s.snags.iter().map(|s| format!("snag {} {:?}", s.no, s.blocks)));
    Some(draft)
}

/// `1 open snag blocks`, `2 open snags block`.
fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 open snag {one}") } else { format!("{n} open snags {many}") }
}

fn close(snag: &Snag) -> Action {
    Action {
        what: format!("Close snag {}: {}", snag.no, snag.text),
        place: Place::Snags,
        minutes: 20,
    }
}

fn told(book: Book<'_>, snags: &[&Snag]) -> String {
    let lines: Vec<String> = snags
        .iter()
        .map(|s| {
            let text = s.text.trim_end_matches('.');
            format!("snag {} (“{text}”, {}, {})", s.no, s.who, book.day(s.opened_at_ms))
        })
        .collect();
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let mut out = listed(&lines);
    out.replace_range(0..1, "S");
    out.push('.');
    out
}
