//! Which rows go into an archive: all of them, or one conversion with what hangs on it and what that
//! refers to.

use super::rows::{select_all, select_where};
use super::{Cell, IMPORT, Layout, Reach, Row};
use crate::db::{ConversionId, Error};
use sqlx::SqliteConnection;
use std::collections::{BTreeMap, HashMap, HashSet, VecDeque};
use uuid::Uuid;

/// The rows of each table, in the order of the layouts.
pub type Tables = Vec<Vec<Row>>;

/// Every row of every table that travels.
pub async fn everything(conn: &mut SqliteConnection, layouts: &[Layout]) -> Result<Tables, Error> {
    let mut out = Vec::with_capacity(layouts.len());
    for layout in layouts {
        let rows = select_all(conn, layout).await?;
        out.push(rows.into_iter().filter(|r| travels(layout, r)).collect());
    }
    Ok(out)
}

/// Lines by which an import tells what it brought in stay behind: they tell how this notebook came
/// by a record, and the record's own lines travel.
fn travels(layout: &Layout, row: &Row) -> bool {
    if layout.table.reach != Reach::History {
        return true;
    }
    let text = |name: &str| match layout.place(name).and_then(|p| row.get(p)) {
        Some(Cell::Text(t)) => t.as_str(),
        _ => "",
    };
    text("noun") != IMPORT && (text("via").is_empty() || text("action") != "added")
}

/// One conversion with what hangs on it. What its rows refer to comes along: people, meters,
/// suppliers, things; another conversion that is only referred to comes as its bare facts.
pub async fn of_conversion(
    conn: &mut SqliteConnection,
    layouts: &[Layout],
    conversion: ConversionId,
) -> Result<Tables, Error> {
    let mut walk = Walk::new(layouts);
    let this = Cell::Id(conversion.0);
    for (t, layout) in layouts.iter().enumerate() {
        let column = match layout.table.reach {
            Reach::Conversion(column) => column,
            Reach::PartOf(_) => "conversion_id",
            Reach::Household | Reach::Named | Reach::With(_) | Reach::History => continue,
        };
        if let Some(place) = layout.place(column) {
            for (_, row) in select_where(conn, layout, (place, &this)).await? {
                walk.take(t, row);
            }
        }
    }
    loop {
        walk.follow(conn).await?;
        if !walk.history(conn, conversion.0).await? {
            return Ok(walk.sorted());
        }
    }
}

struct Walk<'a> {
    layouts: &'a [Layout],
    /// Rows by table, then by key.
    taken: Vec<BTreeMap<String, Row>>,
    /// Lines of history by their number in this file.
    lines: BTreeMap<i64, Row>,
    /// Records whose history was looked up.
    looked_up: HashSet<Uuid>,
    waiting: VecDeque<(usize, Row)>,
    by_name: HashMap<&'static str, usize>,
}

impl<'a> Walk<'a> {
    fn new(layouts: &'a [Layout]) -> Self {
        Walk {
            layouts,
            taken: vec![BTreeMap::new(); layouts.len()],
            lines: BTreeMap::new(),
            looked_up: HashSet::new(),
            waiting: VecDeque::new(),
            by_name: layouts.iter().enumerate().map(|(i, l)| (l.table.name, i)).collect(),
        }
    }

    fn take(&mut self, table: usize, row: Row) {
        let key = key(&self.layouts[table], &row);
        if let std::collections::btree_map::Entry::Vacant(free) = self.taken[table].entry(key) {
            free.insert(row.clone());
            self.waiting.push_back((table, row));
        }
    }

    /// What waiting rows refer to, and what comes along with them, until nothing new turns up.
    async fn follow(&mut self, conn: &mut SqliteConnection) -> Result<(), Error> {
        while let Some((table, row)) = self.waiting.pop_front() {
            let layout = &self.layouts[table];
            for (column, cell) in layout.columns.iter().zip(&row) {
                let target = column.link.as_deref().and_then(|l| self.by_name.get(l)).copied();
                if let Some(target) = target {
                    self.fetch(conn, target, cell).await?;
                }
            }
            let Some(id) = layout.id().and_then(|p| row.get(p)) else { continue };
            for (t, other) in self.layouts.iter().enumerate() {
                let (Reach::PartOf(column) | Reach::With(column)) = other.table.reach else {
                    continue;
                };
                let place = other.place(column);
                let belongs = place.and_then(|p| other.columns[p].link.as_deref());
                if let Some(place) = place.filter(|_| belongs == Some(layout.table.name)) {
                    for (_, row) in select_where(conn, other, (place, id)).await? {
                        self.take(t, row);
                    }
                }
            }
        }
        Ok(())
    }

    async fn fetch(
        &mut self,
        conn: &mut SqliteConnection,
        table: usize,
        id: &Cell,
    ) -> Result<(), Error> {
        let layout = &self.layouts[table];
        let (Cell::Id(wanted), Some(place)) = (id, layout.id()) else { return Ok(()) };
        if self.taken[table].contains_key(&wanted.to_string()) {
            return Ok(());
        }
        for (_, row) in select_where(conn, layout, (place, id)).await? {
            self.take(table, row);
        }
        Ok(())
    }

    /// The lines of the conversion and of every record taken, as far as the conversion they name is
    /// taken too. Whether that brought in a row (somebody who wrote).
    async fn history(
        &mut self,
        conn: &mut SqliteConnection,
        conversion: Uuid,
    ) -> Result<bool, Error> {
        let Some(table) = self.layouts.iter().position(|l| l.table.reach == Reach::History) else {
            return Ok(false);
        };
        let layout = &self.layouts[table];
        let (Some(of), Some(record)) = (layout.place("conversion_id"), layout.place("record_id"))
        else {
            return Ok(false);
        };
        let mut found = Vec::new();
        if self.looked_up.is_empty() {
            found.extend(select_where(conn, layout, (of, &Cell::Id(conversion))).await?);
        }
        let ids: Vec<Uuid> = self.ids().filter(|id| !self.looked_up.contains(id)).collect();
        for id in ids {
            self.looked_up.insert(id);
            found.extend(select_where(conn, layout, (record, &Cell::Id(id))).await?);
        }
        let conversions = self.by_name.get("conversion").map(|t| &self.taken[*t]);
        // a line is told where every conversion it names is
        let named: Vec<usize> = (0..layout.columns.len())
            .filter(|p| layout.columns[*p].link.as_deref() == Some("conversion"))
            .collect();
        let here = |row: &Row| {
            named.iter().all(|p| match row.get(*p) {
                Some(Cell::Id(id)) => conversions.is_some_and(|c| c.contains_key(&id.to_string())),
                _ => true,
            })
        };
        let fresh: Vec<(i64, Row)> = found
            .into_iter()
            .filter(|(seq, row)| !self.lines.contains_key(seq) && travels(layout, row) && here(row))
            .collect();
        for (seq, row) in fresh {
            self.lines.insert(seq, row.clone());
            self.waiting.push_back((table, row));
        }
        let before = self.waiting.len();
        self.follow(conn).await?;
        Ok(before > 0)
    }

    fn ids(&self) -> impl Iterator<Item = Uuid> {
        self.layouts.iter().zip(&self.taken).filter_map(|(l, rows)| Some((l.id()?, rows))).flat_map(
            |(place, rows)| {
                rows.values().filter_map(move |r| match r.get(place) {
                    Some(Cell::Id(id)) => Some(*id),
                    _ => None,
                })
            },
        )
    }

    fn sorted(self) -> Tables {
        let mut lines = Some(self.lines);
        self.layouts
            .iter()
            .zip(self.taken)
            .map(|(layout, rows)| match layout.table.reach {
                Reach::History => lines.take().unwrap_or_default().into_values().collect(),
                _ => rows.into_values().collect(),
            })
            .collect()
    }
}

/// What a row is known by, as text: sorts like the key itself.
pub fn key(layout: &Layout, row: &Row) -> String {
    let cells = layout.key.iter().filter_map(|p| row.get(*p));
    cells
        .map(|cell| match cell {
            Cell::Id(id) => id.to_string(),
            Cell::Text(t) => t.clone(),
            Cell::Whole(n) => n.to_string(),
            Cell::Null | Cell::Real(_) | Cell::Bytes(_) => String::new(),
        })
        .collect::<Vec<_>>()
        .join("/")
}
