//! What an import would change: the rows of an archive held against those of the notebook. Pure.
//!
//! A record is known by its id; people and suppliers also by name, a wheel also by its place. Parts of
//! a record (the steps of a part, the ranges of a meter) are compared and taken with it.
//!
//! Newer is only what was changed there and not here: a record with a line of history here that the
//! archive does not know was changed on both sides, whatever its version says, and is a clash.

use super::compare::{self, Difference, Met};
use super::history::{self, Lines};
use super::words;
use crate::db::travel::{Cell, Layout, Reach, Row};
use std::collections::{BTreeMap, HashMap, HashSet};
use uuid::Uuid;

/// How a record of the archive stands to the notebook.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// It is not here.
    New,
    /// It was changed there and not here.
    Newer,
    /// It was changed here and not there.
    Older,
    /// It was changed on both sides.
    Clash,
}

/// Rows that are parts of a record, by table.
pub type PartRows = Vec<(usize, Vec<Row>)>;

/// A record that is not the same on both sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Place of its table among the layouts.
    pub table: usize,
    /// What it is known by on the form: `reading:0190…`.
    pub mark: String,
    /// What it is called: `№ 7 · reading 41 held`.
    pub label: String,
    /// How it stands.
    pub standing: Standing,
    /// Put aside or taken back there, and not here.
    pub aside: bool,
    /// A name or number that had to change, or what it was joined with.
    pub notes: Vec<String>,
    /// What differs from the record here.
    pub differences: Vec<Difference>,
    /// The row as it would be written.
    pub row: Row,
    /// The row here.
    pub here: Option<Row>,
    /// The rows that are parts of it, by table.
    pub parts: PartRows,
    /// The parts here.
    pub parts_here: PartRows,
}

/// How many records of a table stand how.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Not here.
    pub new: usize,
    /// The same.
    pub same: usize,
    /// Changed there.
    pub newer: usize,
    /// Changed here.
    pub older: usize,
    /// Changed on both sides.
    pub clash: usize,
    /// Of the changed ones: put aside or taken back there.
    pub aside: usize,
}

/// What an import would change.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plan {
    /// Records that are not the same, in the order of the tables.
    pub steps: Vec<Step>,
    /// By layout; parts are counted with their records.
    pub counts: Vec<Count>,
    /// Lines of history that are not here, in their order.
    pub lines: Vec<Row>,
    /// Records that have a line of history, there or here.
    pub told: HashSet<Uuid>,
}

impl Plan {
    /// Whether nothing at all would come in.
    pub fn is_empty(&self) -> bool {
        self.steps.iter().all(|s| s.standing == Standing::Older) && self.lines.is_empty()
    }

    /// Steps that stand like this.
    pub fn standing(&self, standing: Standing) -> impl Iterator<Item = &Step> {
        self.steps.iter().filter(move |s| s.standing == standing)
    }

    /// A text that is another when anything on the preview is.
    pub fn essence(&self) -> String {
        let of = |s: &Step| format!("{} {:?} {:?} {:?}", s.mark, s.standing, s.row, s.here);
        let steps: Vec<String> = self.steps.iter().map(of).collect();
        format!("{}\n{} lines", steps.join("\n"), self.lines.len())
    }
}

/// Holds the rows of an archive against those of the notebook; both in the order of the layouts.
pub fn plan(layouts: &[Layout], theirs: &[Vec<Row>], ours: &[Vec<Row>]) -> Plan {
    let mut desk = Desk::new(layouts, theirs, ours);
    for (t, layout) in layouts.iter().enumerate() {
        match layout.table.reach {
            Reach::PartOf(_) => {}
            Reach::History => desk.lines(t),
            _ => desk.table(t),
        }
    }
    desk.plan
}

struct Desk<'a> {
    layouts: &'a [Layout],
    theirs: &'a [Vec<Row>],
    ours: &'a [Vec<Row>],
    /// Ids of the archive that stand for a record known here by another id.
    met: HashMap<Uuid, Uuid>,
    /// Records with lines only there, and only here.
    edits: Lines,
    /// Numbers of the conversions, as they will be here.
    numbers: BTreeMap<Uuid, i64>,
    plan: Plan,
}

impl<'a> Desk<'a> {
    fn new(layouts: &'a [Layout], theirs: &'a [Vec<Row>], ours: &'a [Vec<Row>]) -> Self {
        let plan = Plan { counts: vec![Count::default(); layouts.len()], ..Plan::default() };
        let edits = history::edits(layouts, theirs, ours);
        Desk { layouts, theirs, ours, met: HashMap::new(), edits, numbers: BTreeMap::new(), plan }
    }

    /// A row of the archive with the ids this notebook knows.
    fn translated(&self, row: &Row) -> Row {
        let cells = row.iter().map(|cell| match cell {
            Cell::Id(id) => Cell::Id(*self.met.get(id).unwrap_or(id)),
            other => other.clone(),
        });
        cells.collect()
    }

    fn table(&mut self, t: usize) {
        let layout = &self.layouts[t];
        let mut places = compare::Places::new(layout, &self.theirs[t], &self.ours[t]);
        let their_parts = self.parts(t, self.theirs);
        let our_parts = self.parts(t, self.ours);
        for row in &self.theirs[t] {
            let translated = self.translated(row);
            let met = places.meet(&translated);
            let id = layout.id().and_then(|p| row.get(p));
            let here = met.as_ref().map(|m| m.here);
            let parts = of_whole(&their_parts, id);
            let our_id = layout.id().and_then(|p| here.and_then(|h| h.get(p)));
            let parts = self.parts_translated(parts, id, our_id.or(id));
            let parts_here = of_whole(&our_parts, our_id);
            if let (Some(Cell::Id(a)), Some(Cell::Id(b))) = (id, our_id)
                && a != b
            {
                self.met.insert(*a, *b);
            }
            let step = match met {
                None => Some(self.new_step(t, translated, &mut places)),
                Some(met) => self.changed_step(t, &translated, met, (&parts, &parts_here)),
            };
            if let Some(mut step) = step {
                (step.parts, step.parts_here) = (parts, parts_here);
                self.plan.steps.push(step);
            }
        }
    }

    fn new_step(&mut self, t: usize, mut row: Row, places: &mut compare::Places<'_>) -> Step {
        let layout = &self.layouts[t];
        let notes = places.make_room(&mut row);
        self.plan.counts[t].new += 1;
        self.remember(layout, &row);
        self.step(t, row, None, (Standing::New, Vec::new(), notes))
    }

    fn changed_step(
        &mut self,
        t: usize,
        row: &Row,
        met: Met<'_>,
        (parts, parts_here): (&PartRows, &PartRows),
    ) -> Option<Step> {
        let layout = &self.layouts[t];
        self.remember(layout, met.here);
        let mut differences = compare::differences(layout, row, &met);
        for ((p, a), (_, b)) in parts.iter().zip(parts_here) {
            differences.extend(compare::parts(&self.layouts[*p], a, b));
        }
        if differences.is_empty() {
            differences.extend(compare::later_version(layout, row, &met));
        }
        for d in &mut differences {
            (d.here, d.there) = (self.named(layout, d, &d.here), self.named(layout, d, &d.there));
        }
        if differences.is_empty() {
            self.plan.counts[t].same += 1;
            return None;
        }
        let edited = match layout.id().and_then(|p| met.here.get(p)) {
            Some(Cell::Id(id)) => self.edits.of(*id),
            _ => (false, false),
        };
        let standing = compare::standing(layout, row, &met, edited);
        let written = compare::written(layout, row, &met, standing);
        let notes =
            met.by.map(|by| format!("joined by its {by} with the one here")).into_iter().collect();
        let here = Some(met.here.clone());
        let step = self.step(t, written, here, (standing, differences, notes));
        let count = &mut self.plan.counts[t];
        match standing {
            Standing::Newer => count.newer += 1,
            Standing::Older => count.older += 1,
            Standing::Clash | Standing::New => count.clash += 1,
        }
        count.aside += usize::from(step.aside);
        Some(step)
    }

    fn step(
        &self,
        t: usize,
        row: Row,
        here: Option<Row>,
        (standing, differences, notes): (Standing, Vec<Difference>, Vec<String>),
    ) -> Step {
        let layout = &self.layouts[t];
        let aside = here.as_ref().is_some_and(|here| compare::put_aside(layout, &row, here));
        Step {
            table: t,
            mark: format!("{}:{}", layout.table.name, compare::key(layout, &row)),
            label: words::label(layout, &row, &self.numbers),
            standing,
            aside,
            notes,
            differences,
            row,
            here,
            parts: Vec::new(),
            parts_here: Vec::new(),
        }
    }

    /// An id as what it refers to is called, on whichever side that is known.
    fn named(&self, layout: &Layout, d: &Difference, cell: &Cell) -> Cell {
        let column = layout.columns.iter().find(|c| c.name == d.field);
        let target = column.and_then(|c| c.link.as_deref());
        let t = target.and_then(|l| self.layouts.iter().position(|o| o.table.name == l));
        let (Cell::Id(_), Some(t)) = (cell, t) else { return cell.clone() };
        let Some(place) = self.layouts[t].id() else { return cell.clone() };
        let row = self.ours[t].iter().chain(&self.theirs[t]).find(|r| r.get(place) == Some(cell));
        let label = |r| Cell::Text(words::label(&self.layouts[t], r, &self.numbers));
        row.map_or(cell.clone(), label)
    }

    /// Keeps the number of a conversion, for labels.
    fn remember(&mut self, layout: &Layout, row: &Row) {
        let cell = |name: &str| layout.place(name).and_then(|p| row.get(p));
        if layout.table.name == "conversion"
            && let (Some(Cell::Id(id)), Some(Cell::Whole(no))) = (cell("id"), cell("no"))
        {
            self.numbers.insert(*id, *no);
        }
    }

    /// Tables whose rows are parts of rows of this one, or parts of such parts: rows by their whole.
    fn parts<'r>(&self, t: usize, tables: &'r [Vec<Row>]) -> Vec<Parts<'r>> {
        let mut out = Vec::new();
        // for each table of parts, the whole that each of its rows belongs to
        let mut wholes: HashMap<&str, HashMap<Uuid, Uuid>> = HashMap::new();
        for (p, layout) in self.layouts.iter().enumerate() {
            let Reach::PartOf(column) = layout.table.reach else { continue };
            let Some(place) = layout.place(column) else { continue };
            let of = layout.columns[place].link.as_deref().unwrap_or_default();
            let direct = of == self.layouts[t].table.name;
            if !direct && !wholes.contains_key(of) {
                continue;
            }
            let mut rows: HashMap<Uuid, Vec<&Row>> = HashMap::new();
            let mut own: HashMap<Uuid, Uuid> = HashMap::new();
            for row in &tables[p] {
                let Some(Cell::Id(named)) = row.get(place) else { continue };
                let whole = if direct { Some(*named) } else { wholes[of].get(named).copied() };
                let Some(whole) = whole else { continue };
                rows.entry(whole).or_default().push(row);
                if let Some(Cell::Id(id)) = layout.id().and_then(|i| row.get(i)) {
                    own.insert(*id, whole);
                }
            }
            wholes.insert(layout.table.name, own);
            out.push(Parts { table: p, rows });
        }
        out
    }

    /// Parts with the ids known here, those of the whole included.
    fn parts_translated(
        &self,
        parts: PartRows,
        from: Option<&Cell>,
        to: Option<&Cell>,
    ) -> PartRows {
        let swapped = |cell: Cell| match (from, to) {
            (Some(from), Some(to)) if cell == *from => to.clone(),
            _ => cell,
        };
        let one = |r: Row| self.translated(&r).into_iter().map(swapped).collect();
        parts.into_iter().map(|(t, r)| (t, r.into_iter().map(one).collect())).collect()
    }

    fn lines(&mut self, t: usize) {
        let layout = &self.layouts[t];
        let theirs: Vec<Row> = self.theirs[t].iter().map(|r| self.translated(r)).collect();
        self.plan.counts[t].same = theirs.len();
        self.plan.told = history::told(layout, theirs.iter().chain(&self.ours[t]));
        self.plan.lines = history::missing(theirs, &self.ours[t]);
        self.plan.counts[t].new = self.plan.lines.len();
        self.plan.counts[t].same -= self.plan.lines.len();
    }
}

struct Parts<'r> {
    table: usize,
    rows: HashMap<Uuid, Vec<&'r Row>>,
}

fn of_whole(parts: &[Parts<'_>], id: Option<&Cell>) -> PartRows {
    let Some(Cell::Id(id)) = id else { return Vec::new() };
    let rows = |p: &Parts<'_>| p.rows.get(id).into_iter().flatten().map(|r| (*r).clone()).collect();
    parts.iter().map(|p| (p.table, rows(p))).collect()
}
