//! Test cards, datums and snags for the snapshot; a part of the gatherer.

use super::gather::Gathered;
use crate::calc::card::{Bench, CardName, Shell};
use crate::calc::gates::{CardFact, DatumFact, GateName, Severity, Snag, Taken};
use crate::choice::Choice;
use crate::features::conversions::model::um_to_mm;
use crate::features::datums::model::Datum;
use crate::features::snags;
use crate::features::test_runs::model::{Run, verdict};

/// Fills cards and datums, once everything else is in.
pub(super) fn fill(g: &mut Gathered) {
    g.snapshot.datums =
        g.datums.iter().map(|d| datum(d, &g.datums, &g.conversion.draft.scale)).collect();
    let bench = Bench::of(&g.snapshot);
    // of the same card and shell only the newest counts
    let mut seen: Vec<(CardName, Shell)> = Vec::new();
    let mut facts = Vec::new();
    for run in g.runs.iter().filter(|r| r.taken_back_at.is_none()) {
        if !seen.contains(&(run.card, run.shell)) {
            seen.push((run.card, run.shell));
            facts.push(card(g, run, &bench));
        }
    }
    g.snapshot.cards = facts;
}

fn card(g: &Gathered, run: &Run, bench: &Bench) -> CardFact {
    CardFact {
        card: run.card,
        shell: run.shell,
        finding: verdict(run, &g.readings, bench).finding,
        taken: Taken {
            id: run.id.to_string(),
            no: run.no,
            at_ms: run.done_at,
            who: run.person.clone(),
            instrument: String::new(),
        },
    }
}

fn datum(d: &Datum, all: &[Datum], scale: &str) -> DatumFact {
    let before = d.draft.before_id.and_then(|id| all.iter().find(|o| o.id == id));
    DatumFact {
        what: d.draft.what,
        name: d.draft.name.clone(),
        end: d.draft.end,
        from: d.draft.from,
        after: d.draft.after,
        before_no: before.map(|b| b.no),
        lengths_mm: d.draft.um.iter().copied().map(um_to_mm).collect(),
        accuracy: d.draft.accuracy,
        tolerance_mm: d.tolerance_mm(scale),
        taken: Taken {
            id: d.id.to_string(),
            no: d.no,
            at_ms: d.draft.taken_at,
            who: d.person.clone(),
            instrument: d.instrument.clone(),
        },
    }
}

/// An open snag.
pub(super) fn snag(s: &snags::model::Snag) -> Snag {
    use crate::features::snags::model::Severity as Stored;
    Snag {
        no: s.no,
        text: s.draft.what.clone(),
        severity: match s.draft.severity {
            Stored::Small => Severity::Minor,
            Stored::MustFix => Severity::Serious,
            Stored::Dangerous => Severity::Grave,
        },
        blocks: s.draft.blocks.and_then(|b| GateName::from_key(b.code())),
        opened_at_ms: s.opened_at,
        who: s.opened_by.clone(),
    }
}
