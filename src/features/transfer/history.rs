//! Lines of history on both sides: which are missing here, and which records were changed where. Pure.

use crate::db::travel::{Cell, Layout, Reach, Row};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// Records by the side that wrote lines the other does not know.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lines {
    there: HashSet<Uuid>,
    here: HashSet<Uuid>,
}

impl Lines {
    /// Whether the record was changed there, and whether it was changed here.
    pub fn of(&self, record: Uuid) -> (bool, bool) {
        (self.there.contains(&record), self.here.contains(&record))
    }
}

/// Columns of a line that are told apart; who wrote it does not count, since people are joined by name.
const CONTENT: [&str; 6] = ["at", "noun", "record_id", "action", "before", "after"];

/// Which records have lines only one side knows.
pub fn edits(layouts: &[Layout], theirs: &[Vec<Row>], ours: &[Vec<Row>]) -> Lines {
    let Some(t) = layouts.iter().position(|l| l.table.reach == Reach::History) else {
        return Lines::default();
    };
    let places: Vec<usize> = CONTENT.iter().filter_map(|c| layouts[t].place(c)).collect();
    let content =
        |row: &Row| format!("{:?}", places.iter().map(|p| row.get(*p)).collect::<Vec<_>>());
    let all = |rows: &[Row]| rows.iter().map(content).collect::<HashSet<String>>();
    let only = |rows: &[Row], other: &HashSet<String>| {
        let rows = rows.iter().filter(|r| !other.contains(&content(r)));
        rows.filter_map(|r| record(&layouts[t], r)).collect()
    };
    let (there, here) = (all(&theirs[t]), all(&ours[t]));
    Lines { there: only(&theirs[t], &here), here: only(&ours[t], &there) }
}

fn record(layout: &Layout, row: &Row) -> Option<Uuid> {
    match layout.place("record_id").and_then(|p| row.get(p)) {
        Some(Cell::Id(id)) => Some(*id),
        _ => None,
    }
}

/// Records that any of the lines tells of.
pub fn told<'a>(layout: &Layout, lines: impl Iterator<Item = &'a Row>) -> HashSet<Uuid> {
    lines.filter_map(|r| record(layout, r)).collect()
}

/// Lines that are not here, each as often as it is missing, in their order.
pub fn missing(theirs: Vec<Row>, ours: &[Row]) -> Vec<Row> {
    let mut here: HashMap<String, usize> = HashMap::new();
    for row in ours {
        *here.entry(format!("{row:?}")).or_default() += 1;
    }
    let fresh = theirs.into_iter().filter(|row| match here.get_mut(&format!("{row:?}")) {
        Some(left) if *left > 0 => {
            *left -= 1;
            false
        }
        _ => true,
    });
    fresh.collect()
}
