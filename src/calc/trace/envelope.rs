//! A trace cut down for drawing: lowest and highest current of each column.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One column of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Column {
    /// Begin, s.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
    /// Lowest current, A.
    pub lo_a: f64,
    /// Highest current, A.
    pub hi_a: f64,
}

/// Cuts a trace into at most `columns` columns of equal time. A column without a sample is left out;
/// no lowest or highest value is lost.
pub fn envelope(time_s: &[f64], amps: &[f64], columns: usize) -> Vec<Column> {
    let Some(last) = time_s.last() else { return Vec::new() };
    let columns = columns.max(1);
    let width = last / super::real(columns);
    let mut out: Vec<(usize, Column)> = Vec::with_capacity(columns);
    for (t, a) in time_s.iter().zip(amps) {
        let index = if width > 0.0 { super::count_of(t / width).min(columns - 1) } else { 0 };
        match out.last_mut() {
            Some((i, column)) if *i == index => {
                column.lo_a = column.lo_a.min(*a);
                column.hi_a = column.hi_a.max(*a);
            }
            _ => {
                let from_s = width * super::real(index);
                out.push((index, Column { from_s, to_s: from_s + width, lo_a: *a, hi_a: *a }));
            }
        }
    }
    out.into_iter().map(|(_, column)| column).collect()
}
