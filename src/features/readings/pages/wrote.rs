//! The line after an entry: what was written, its aspect, and Take back.

use crate::aspect::Aspect;
use crate::calc::gates::{Check, Gate};
use crate::draw::arm;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::readings::model::Reading;
use crate::features::readings::words;
use crate::web::when;
use serde::Deserialize;

/// The number of the reading written just now, in the address.
#[derive(Debug, Default, Deserialize)]
pub struct Query {
    /// Number of the reading.
    pub wrote: Option<i64>,
    /// A pair to begin with on the isolation walk.
    pub what: Option<String>,
}

/// What was written just now.
#[derive(Debug, Clone)]
pub struct Wrote {
    /// Number of the reading.
    pub no: i64,
    /// When: `21:38`.
    pub when: String,
    /// What was read.
    pub what: String,
    /// What it reads.
    pub reads: String,
    /// Arm and word of the check it decides; empty where it decides none.
    pub asp: String,
    /// What that means, one sentence; empty where it decides nothing.
    pub means: String,
}

/// The line for a reading of that number, when it is there and was not taken back.
pub fn wrote(g: &Gathered, no: Option<i64>, at: At) -> Option<Wrote> {
    let r: &Reading = g.readings.iter().find(|r| Some(r.no) == no)?;
    let id = r.id.to_string();
    let gates = g.gates();
    let decided = worst(&gates, &id);
    Some(Wrote {
        no: r.no,
        when: when::clock_time(r.entered_at, at.offset),
        what: words::what(r, &g.wheels),
        reads: words::reads(r),
        asp: decided.map(|k| arm::asp_new(k.finding.aspect)).unwrap_or_default(),
        means: decided.map(|k| k.finding.sentence.clone()).unwrap_or_default(),
    })
}

/// The worst check that stands on this reading.
fn worst<'a>(gates: &'a [Gate], id: &str) -> Option<&'a Check> {
    gates
        .iter()
        .flat_map(|g| &g.checks)
        .filter(|k| k.readings.iter().any(|r| r.id == id && r.stale.is_none()))
        .max_by_key(|k| if k.finding.aspect == Aspect::Unlit { 0 } else { k.finding.aspect.rank() })
}
