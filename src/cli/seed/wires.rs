//! Entries of the wiring list.

use super::entries;
use super::tell::Told;
use super::typed::{code, maybe, maybe_quantity, words};
use crate::db::{ConversionId, Write};
use crate::features::conversions::model::to_thousandths;
use crate::features::wiring::gauge::Gauge;
use crate::features::wiring::model::{Draft, End, State};
use crate::features::wiring::store;
use crate::units::Dimension;

/// Wires written down, then wires proved.
pub async fn write(w: &mut Write, id: ConversionId, v: &entries::Wires) -> Told {
    for wire in &v.wires {
        let at = w.at;
        store::add(w, id, draft(wire)?, at).await.map_err(words)?;
    }
    for no in &v.prove {
        let old = store::find(w.conn(), id, *no).await.map_err(words)?;
        let old = old.ok_or(format!("no wire {no}"))?;
        let draft = Draft { state: State::Proved, ..old.draft.clone() };
        let new = old.rewritten(draft, w.at).map_err(|n| n.why.to_owned())?;
        store::change(w, id, (&old, old.version), new).await.map_err(words)?;
    }
    Ok(())
}

fn draft(v: &entries::Wire) -> Result<Draft, String> {
    let from = maybe(&v.from)?.map(|place| End { place, name: v.from_name.clone() });
    let gauge = if v.gauge.is_empty() { None } else { Some(Gauge::parse(&v.gauge)?) };
    Ok(Draft {
        terminal: code(&v.terminal)?,
        from,
        to: End { place: code(&v.to)?, name: v.to_name.clone() },
        colour: maybe(&v.colour)?,
        gauge,
        length_um: maybe_quantity(&v.length, Dimension::Length)?.map(to_thousandths),
        sleeved: v.sleeved,
        joint: code(&v.joint)?,
        why: v.why.clone(),
        state: code(&v.state)?,
    })
}
