//! One record there, one record here: whether they are the same thing, what differs, which is newer. Pure.

use super::plan::Standing;
use crate::db::travel::{Cell, Layout, Row, Unique};
use std::collections::{HashMap, HashSet};

/// A value that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// Name of the column, or of the parts.
    pub field: String,
    /// What is here.
    pub here: Cell,
    /// What is there.
    pub there: Cell,
}

/// The record here that a record of the archive is.
#[derive(Debug, Clone, Copy)]
pub struct Met<'a> {
    /// Its row.
    pub here: &'a Row,
    /// What it was known by, where not by its id.
    pub by: Option<&'static str>,
}

/// The numbers people say. They are the notebook's own: a record keeps the one it has here.
const NUMBER: &str = "no";
/// When a record was made is not what makes two of them differ once they are joined.
const MADE: [&str; 2] = ["created_at", "changed_at"];
/// Columns that say when a record stopped to count.
const ASIDE: [&str; 3] = ["aside_at", "taken_back_at", "withdrawn_at"];

/// What a row is known by, as text.
pub fn key(layout: &Layout, row: &Row) -> String {
    let cells = layout.key.iter().filter_map(|p| row.get(*p));
    cells.map(plain).collect::<Vec<_>>().join("/")
}

fn plain(cell: &Cell) -> String {
    match cell {
        Cell::Null => String::new(),
        Cell::Whole(v) => v.to_string(),
        Cell::Real(v) => v.to_string(),
        Cell::Text(v) => v.clone(),
        Cell::Id(v) => v.to_string(),
        Cell::Bytes(v) => format!("{v:?}"),
    }
}

/// Where the rows of a table stand: by key, and by what else no two may share.
#[derive(Debug)]
pub struct Places<'a> {
    layout: &'a Layout,
    by_key: HashMap<String, &'a Row>,
    /// Keys of the archive: a row found by its id there is not joined with another.
    theirs: HashSet<String>,
    /// For each rule, what is taken and by which row here.
    taken: Vec<HashMap<String, Option<&'a Row>>>,
    /// For each rule with a number, the highest of each group.
    highest: Vec<HashMap<String, i64>>,
}

impl<'a> Places<'a> {
    /// The places of a table's rows here; numbers the archive uses are kept free for it.
    pub fn new(layout: &'a Layout, theirs: &'a [Row], ours: &'a [Row]) -> Self {
        let mut places = Places {
            layout,
            by_key: ours.iter().map(|r| (key(layout, r), r)).collect(),
            theirs: theirs.iter().map(|r| key(layout, r)).collect(),
            taken: vec![HashMap::new(); layout.unique.len()],
            highest: vec![HashMap::new(); layout.unique.len()],
        };
        for row in ours {
            places.occupy(row, Some(row));
        }
        for row in theirs {
            for (u, unique) in layout.unique.iter().enumerate() {
                places.count(u, unique, row);
            }
        }
        places
    }

    fn occupy(&mut self, row: &Row, owner: Option<&'a Row>) {
        for (u, unique) in self.layout.unique.iter().enumerate() {
            if let Some(value) = shared(self.layout, unique, row) {
                self.taken[u].insert(value, owner);
            }
            self.count(u, unique, row);
        }
    }

    fn count(&mut self, u: usize, unique: &Unique, row: &Row) {
        let Some((group, no)) = numbered(self.layout, unique, row) else { return };
        let highest = self.highest[u].entry(group).or_insert(no);
        *highest = no.max(*highest);
    }

    /// The record here that this row of the archive is: by its key, else by what no two may share.
    pub fn meet(&self, row: &Row) -> Option<Met<'a>> {
        if let Some(here) = self.by_key.get(&key(self.layout, row)) {
            return Some(Met { here, by: None });
        }
        for (unique, taken) in self.layout.unique.iter().zip(&self.taken) {
            if !joins(self.layout, unique) {
                continue;
            }
            let value = shared(self.layout, unique, row);
            let here = value.and_then(|v| taken.get(&v).copied().flatten());
            if let Some(here) = here.filter(|h| !self.theirs.contains(&key(self.layout, h))) {
                let by = if is_name(self.layout, unique) { "name" } else { "place" };
                return Some(Met { here, by: Some(by) });
            }
        }
        None
    }

    /// Gives a new row a number or a name that is free; what changed is told.
    pub fn make_room(&mut self, row: &mut Row) -> Vec<String> {
        let mut notes = Vec::new();
        for (u, unique) in self.layout.unique.iter().enumerate() {
            let is_taken = |row: &Row| {
                shared(self.layout, unique, row).is_some_and(|v| self.taken[u].contains_key(&v))
            };
            if !is_taken(row) {
                continue;
            }
            if let Some((group, no)) = numbered(self.layout, unique, row)
                && let Some(place) = self.layout.place(NUMBER)
            {
                let next = self.highest[u].get(&group).map_or(1, |h| h + 1);
                row[place] = Cell::Whole(next);
                notes.push(format!("number {no} is taken here: it becomes {next}"));
            } else if is_name(self.layout, unique)
                && let Some(Cell::Text(name)) = row.get(unique.columns[0]).cloned()
            {
                let place = unique.columns[0];
                for n in 2..1000 {
                    row[place] = Cell::Text(told_apart(&name, n));
                    if !is_taken(row) {
                        break;
                    }
                }
                notes.push(format!("“{name}” is taken here: it becomes “{}”", plain(&row[place])));
            }
        }
        let row = row.clone();
        self.occupy(&row, None);
        notes
    }
}

/// A name with a number behind it, within sixty characters.
fn told_apart(name: &str, n: usize) -> String {
    let ending = format!(" ({n})");
    let room = 60 - ending.chars().count();
    name.chars().take(room).collect::<String>() + &ending
}

/// Whether a name here is that name with a number behind it.
fn is_told_apart(here: &Cell, there: &Cell) -> bool {
    let (Cell::Text(here), Cell::Text(there)) = (here, there) else { return false };
    let number = here.rsplit_once(" (").and_then(|(_, n)| n.strip_suffix(')')?.parse().ok());
    number.is_some_and(|n| told_apart(there, n) == *here)
}

fn is_name(layout: &Layout, unique: &Unique) -> bool {
    layout.place("name").is_some_and(|p| unique.columns == [p])
}

fn joins(layout: &Layout, unique: &Unique) -> bool {
    let number = layout.place(NUMBER).is_some_and(|p| unique.columns.contains(&p));
    !number && (layout.table.same_by_name || !is_name(layout, unique))
}

/// The values of a rule's columns, as one text; none where one is empty or the row does not count.
fn shared(layout: &Layout, unique: &Unique, row: &Row) -> Option<String> {
    let aside = layout.place("aside_at").and_then(|p| row.get(p));
    if unique.in_use && aside.is_some_and(|c| *c != Cell::Null) {
        return None;
    }
    let cells: Vec<&Cell> = unique.columns.iter().filter_map(|p| row.get(*p)).collect();
    if cells.iter().any(|c| **c == Cell::Null) {
        return None;
    }
    let text = cells.into_iter().map(plain).collect::<Vec<_>>().join("\u{1f}");
    Some(if unique.no_case { text.to_ascii_lowercase() } else { text })
}

/// The group a number counts in, and the number.
fn numbered(layout: &Layout, unique: &Unique, row: &Row) -> Option<(String, i64)> {
    let place = layout.place(NUMBER).filter(|p| unique.columns.contains(p))?;
    let Some(Cell::Whole(no)) = row.get(place) else { return None };
    let rest = unique.columns.iter().filter(|p| **p != place).filter_map(|p| row.get(*p));
    Some((rest.map(plain).collect::<Vec<_>>().join("\u{1f}"), *no))
}

/// Columns that are not compared: the key, the version, the number, and when a joined one was made.
fn skipped(layout: &Layout, place: usize, joined: bool) -> bool {
    let name = layout.columns[place].name.as_str();
    layout.key.contains(&place)
        || name == "version"
        || (name == NUMBER && numbers_are_own(layout, place))
        || (joined && MADE.contains(&name))
}

fn numbers_are_own(layout: &Layout, place: usize) -> bool {
    layout.unique.iter().any(|u| u.columns.contains(&place))
}

/// What differs between a row of the archive and the row here.
pub fn differences(layout: &Layout, there: &Row, met: &Met<'_>) -> Vec<Difference> {
    let mut out = Vec::new();
    for (place, column) in layout.columns.iter().enumerate() {
        let (Some(a), Some(b)) = (met.here.get(place), there.get(place)) else { continue };
        let same = a == b || skipped(layout, place, met.by.is_some());
        if same || (column.name == "name" && is_told_apart(a, b)) || same_name(layout, place, a, b)
        {
            continue;
        }
        out.push(Difference { field: column.name.clone(), here: a.clone(), there: b.clone() });
    }
    out
}

/// That a record that is the same in everything else was saved more often there.
pub fn later_version(layout: &Layout, there: &Row, met: &Met<'_>) -> Option<Difference> {
    let (here, theirs) = (version(layout, met.here)?, version(layout, there)?);
    let later = met.by.is_none() && theirs > here;
    let (here, there) = (Cell::Whole(here), Cell::Whole(theirs));
    later.then(|| Difference { field: "version".to_owned(), here, there })
}

/// Names that are one where capitals make no difference.
fn same_name(layout: &Layout, place: usize, a: &Cell, b: &Cell) -> bool {
    let rule = layout.unique.iter().find(|u| u.columns == [place] && u.no_case);
    rule.is_some() && layout.table.same_by_name && plain(a).eq_ignore_ascii_case(&plain(b))
}

/// What differs between the parts of a record; an id of their own does not make them differ.
pub fn parts(layout: &Layout, there: &[Row], here: &[Row]) -> Option<Difference> {
    let content = |rows: &[Row]| {
        let cells = |r: &Row| {
            let said = r.iter().enumerate().filter(|(p, _)| layout.id() != Some(*p));
            said.map(|(_, c)| plain(c)).collect::<Vec<_>>().join("\u{1f}")
        };
        let mut out: Vec<String> = rows.iter().map(cells).collect();
        out.sort();
        out
    };
    if content(there) == content(here) {
        return None;
    }
    let words = |n: usize| Cell::Text(format!("{n} {}", layout.table.many));
    let (here, there) = (words(here.len()), words(there.len()));
    Some(Difference { field: layout.table.many.to_owned(), here, there })
}

fn version(layout: &Layout, row: &Row) -> Option<i64> {
    match layout.place("version").and_then(|p| row.get(p)) {
        Some(Cell::Whole(v)) => Some(*v),
        _ => None,
    }
}

/// Which of two differing rows is newer. `edited`: whether lines of history that the other side does
/// not know were written there, and here.
pub fn standing(
    layout: &Layout,
    there: &Row,
    met: &Met<'_>,
    (edited_there, edited_here): (bool, bool),
) -> Standing {
    if met.by.is_some() || (edited_there && edited_here) {
        return Standing::Clash;
    }
    match (version(layout, there), version(layout, met.here)) {
        (Some(a), Some(b)) if a > b && !edited_here => Standing::Newer,
        (Some(a), Some(b)) if a < b && !edited_there => Standing::Older,
        (Some(_), Some(_)) => Standing::Clash,
        _ => by_aside(layout, there, met.here),
    }
}

/// Rows without a version only ever stop to count: the one that did is newer.
fn by_aside(layout: &Layout, there: &Row, here: &Row) -> Standing {
    let differ: Vec<usize> = (0..layout.columns.len())
        .filter(|p| there.get(*p) != here.get(*p) && !skipped(layout, *p, false))
        .collect();
    let aside = |p: &usize| ASIDE.contains(&layout.columns[*p].name.as_str());
    let empty = |row: &Row, p: &usize| row.get(*p) == Some(&Cell::Null);
    if !differ.is_empty() && differ.iter().all(|p| aside(p) && empty(here, p)) {
        Standing::Newer
    } else if !differ.is_empty() && differ.iter().all(|p| aside(p) && empty(there, p)) {
        Standing::Older
    } else {
        Standing::Clash
    }
}

/// Whether a record stopped to count there and counts here.
pub fn put_aside(layout: &Layout, there: &Row, here: &Row) -> bool {
    let cell = |row: &Row, p: usize| row.get(p).is_some_and(|c| *c != Cell::Null);
    let places = ASIDE.iter().filter_map(|name| layout.place(name));
    places.into_iter().any(|p| cell(there, p) && !cell(here, p))
}

/// The row as it is written when it is taken from there: the key, the number and the version stay
/// this notebook's own; whoever has the record open here will be told that it changed.
pub fn written(layout: &Layout, there: &Row, met: &Met<'_>, standing: Standing) -> Row {
    let mut row = there.clone();
    for (place, cell) in row.iter_mut().enumerate() {
        let Some(here) = met.here.get(place) else { continue };
        let name = layout.columns[place].name.as_str();
        let told_apart = name == "name" && is_told_apart(here, cell);
        if name == "version" {
            if let (Cell::Whole(a), Cell::Whole(b)) = (&*cell, here)
                && standing != Standing::Newer
            {
                *cell = Cell::Whole(*a.max(b) + 1);
            }
        } else if told_apart || skipped(layout, place, met.by.is_some()) {
            *cell = here.clone();
        }
    }
    row
}
