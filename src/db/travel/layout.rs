//! What a table looks like, read from the file: columns, kinds, references, what must be unique.

use super::{Cell, STAYS_COLUMNS, TRAVELS, Travels};
use crate::db::{Error, MIGRATOR};
use sqlx::SqliteConnection;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A whole number.
    Whole,
    /// A number.
    Real,
    /// Text.
    Text,
    /// A UUID.
    Id,
    /// Bytes, written in hexadecimal.
    Bytes,
}

/// A column that travels.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its name, here and in the archive.
    pub name: String,
    /// What it holds.
    pub kind: Kind,
    /// Whether it must be filled.
    pub required: bool,
    /// What an older archive, written before there was this column, leaves it at.
    pub default: Cell,
    /// Whether it may be missing from an older archive.
    pub may_miss: bool,
    /// Table it refers to.
    pub link: Option<String>,
    /// What the migration says of it, with its unit.
    pub says: String,
}

/// Columns that no two rows may share.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unique {
    /// Places of the columns.
    pub columns: Vec<usize>,
    /// Whether capitals make no difference.
    pub no_case: bool,
    /// Whether rows put aside don't count.
    pub in_use: bool,
}

/// A table as it is in this file.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Its line in the list.
    pub table: Travels,
    /// Its columns in order.
    pub columns: Vec<Column>,
    /// Places of the key. Empty: rows are known by everything they hold.
    pub key: Vec<usize>,
    /// What else must be unique.
    pub unique: Vec<Unique>,
}

impl Layout {
    /// The place of a column.
    pub fn place(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|c| c.name == name)
    }

    /// The place of the id, where the key is an id.
    pub fn id(&self) -> Option<usize> {
        match self.key.as_slice() {
            [one] if self.columns.get(*one).is_some_and(|c| c.kind == Kind::Id) => Some(*one),
            _ => None,
        }
    }
}

#[derive(sqlx::FromRow)]
struct Info {
    name: String,
    #[sqlx(rename = "type")]
    kind: String,
    notnull: i64,
    dflt_value: Option<String>,
    pk: i64,
    hidden: i64,
}

/// The layouts of every table that travels, in the order of the list.
///
/// Errors: a table of the list is not in the file, or has a column of a kind not known here.
pub async fn layouts(conn: &mut SqliteConnection) -> Result<Vec<Layout>, Error> {
    let mut out = Vec::with_capacity(TRAVELS.len());
    for table in TRAVELS {
        out.push(layout(conn, *table).await?);
    }
    Ok(out)
}

async fn layout(conn: &mut SqliteConnection, table: Travels) -> Result<Layout, Error> {
    let infos: Vec<Info> = sqlx::query_as(
        "SELECT name, type, \"notnull\", dflt_value, pk, hidden FROM pragma_table_xinfo(?1) ORDER BY cid",
    )
    .bind(table.name)
    .fetch_all(&mut *conn)
    .await?;
    if infos.is_empty() {
        return Err(Error::File(format!(
            "the table {} is not in this file: open it once with `undershell serve`",
            table.name
        )));
    }
    let links: Vec<(String, String)> =
        sqlx::query_as("SELECT \"from\", \"table\" FROM pragma_foreign_key_list(?1)")
            .bind(table.name)
            .fetch_all(&mut *conn)
            .await?;
    let says = comments(table.name);
    let stays = |name: &str| STAYS_COLUMNS.iter().any(|(t, c, _)| *t == table.name && *c == name);
    let mut columns = Vec::new();
    let mut key = Vec::new();
    // a generated column (hidden 2 or 3) is worked out again where it arrives
    for info in infos.into_iter().filter(|i| i.hidden == 0 && !stays(&i.name)) {
        let declared = links.iter().find(|(from, _)| *from == info.name).map(|(_, to)| to.clone());
        let more = table.more_links.iter().find(|(from, _)| *from == info.name);
        let link = declared.or_else(|| more.map(|(_, to)| (*to).to_owned()));
        if info.pk > 0 {
            key.push(columns.len());
        }
        let kind = kind(table.name, &info, link.is_some())?;
        let default = info.dflt_value.as_deref().map_or(Cell::Null, literal);
        let required = info.notnull != 0;
        columns.push(Column {
            may_miss: info.pk == 0 && (!required || default != Cell::Null),
            says: says
                .iter()
                .find(|(n, _)| *n == info.name)
                .map(|(_, s)| s.clone())
                .unwrap_or_default(),
            name: info.name,
            kind,
            required,
            default,
            link,
        });
    }
    let unique = unique(conn, table.name, &columns).await?;
    Ok(Layout { table, columns, key, unique })
}

fn kind(table: &str, info: &Info, linked: bool) -> Result<Kind, Error> {
    Ok(match info.kind.as_str() {
        "INTEGER" | "INT" => Kind::Whole,
        "REAL" => Kind::Real,
        "TEXT" => Kind::Text,
        "BLOB" if linked || info.pk > 0 || info.name.ends_with("_id") => Kind::Id,
        "BLOB" => Kind::Bytes,
        other => {
            let what = format!("{table}.{} is of kind {other}, which can't travel", info.name);
            return Err(Error::File(what));
        }
    })
}

/// A default of the schema: a quoted text or a number.
fn literal(sql: &str) -> Cell {
    if let Some(text) = sql.strip_prefix('\'').and_then(|s| s.strip_suffix('\'')) {
        return Cell::Text(text.replace("''", "'"));
    }
    sql.parse().map(Cell::Whole).or_else(|_| sql.parse().map(Cell::Real)).unwrap_or(Cell::Null)
}

async fn unique(
    conn: &mut SqliteConnection,
    table: &str,
    columns: &[Column],
) -> Result<Vec<Unique>, Error> {
    let rows: Vec<(String, i64, String, String)> = sqlx::query_as(
        "SELECT l.name, l.partial, x.name, x.coll FROM pragma_index_list(?1) l, pragma_index_xinfo(l.name) x
         WHERE l.\"unique\" = 1 AND l.origin <> 'pk' AND x.key = 1 AND x.name IS NOT NULL ORDER BY l.name, x.seqno",
    )
    .bind(table)
    .fetch_all(conn)
    .await?;
    let mut found: Vec<(String, Unique)> = Vec::new();
    for (index, partial, column, collation) in rows {
        let place = columns.iter().position(|c| c.name == column);
        if found.last().is_none_or(|(name, _)| *name != index) {
            let empty = Unique { columns: Vec::new(), no_case: false, in_use: partial != 0 };
            found.push((index, empty));
        }
        if let (Some((_, unique)), Some(place)) = (found.last_mut(), place) {
            unique.columns.push(place);
            unique.no_case |= collation.eq_ignore_ascii_case("nocase");
        }
    }
    Ok(found.into_iter().map(|(_, unique)| unique).collect())
}

/// What the migrations say of each column of a table, behind the two dashes.
fn comments(table: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let (create, alter) =
        (format!("CREATE TABLE {table} ("), format!("ALTER TABLE {table} ADD COLUMN "));
    for migration in MIGRATOR.iter() {
        let mut inside = false;
        for line in migration.sql.as_str().lines() {
            let line = line.trim();
            let column = if line.starts_with(&create) {
                inside = true;
                None
            } else if let Some(rest) = line.strip_prefix(&alter) {
                Some(rest)
            } else {
                inside &= !line.starts_with(')');
                inside.then_some(line)
            };
            if let Some((code, says)) = column.and_then(|c| c.split_once("--"))
                && let Some(name) = code.split_whitespace().next()
            {
                out.push((name.to_owned(), says.trim().to_owned()));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_migration_says_of_a_column_is_found() {
        let says = comments("wheel");
        let of = |name: &str| says.iter().find(|(n, _)| n == name).map(|(_, s)| s.as_str());
        assert_eq!(of("axle"), Some("1 is the front axle"));
        let says = comments("reading");
        assert!(says.iter().any(|(n, s)| n == "stock_id" && s.starts_with("the motor")));
    }

    #[test]
    fn defaults_of_the_schema_are_read() {
        assert_eq!(literal("'held'"), Cell::Text("held".into()));
        assert_eq!(literal("''"), Cell::Text(String::new()));
        assert_eq!(literal("1"), Cell::Whole(1));
        assert_eq!(literal("CURRENT_TIMESTAMP"), Cell::Null);
    }
}
