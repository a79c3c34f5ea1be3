//! What an archive is: its manifest, its limits, and why one is not taken.

use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use uuid::Uuid;

/// What the manifest calls the format.
pub const FORMAT: &str = "undershell-archive";
/// Version of the format this program writes, and the only one it reads.
pub const FORMAT_VERSION: u64 = 1;
/// Largest archive taken, bytes.
pub const MOST_BYTES: usize = 64 * 1024 * 1024;
/// Most its files may hold together once unpacked, bytes.
pub const MOST_UNPACKED: u64 = 256 * 1024 * 1024;
/// Most a file may be larger than its packed form: beyond this it is made to do harm.
pub const MOST_RATIO: u64 = 200;
/// Files smaller than this are not asked for their ratio, bytes.
pub const RATIO_FROM: u64 = 1024 * 1024;
/// Most files in an archive.
pub const MOST_FILES: usize = 200;

/// What an archive holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what", deny_unknown_fields)]
pub enum Holds {
    /// The whole notebook.
    Everything,
    /// One conversion with what hangs on it and what that refers to.
    Conversion {
        /// Its id.
        id: Uuid,
        /// Its number where it was exported.
        no: i64,
        /// Its title.
        title: String,
    },
}

/// One table of an archive.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableEntry {
    /// Name of the table.
    pub name: String,
    /// How many rows.
    pub rows: usize,
    /// File with the rows: a JSON array, one row a line.
    pub file: String,
    /// Its size, bytes.
    pub bytes: usize,
    /// Its SHA-256.
    pub sha256: String,
    /// File with the JSON Schema of the rows.
    pub schema: String,
    /// Its SHA-256.
    pub schema_sha256: String,
}

/// What stands in `manifest.json`. No time and no machine: the same notebook gives the same bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    /// Always `undershell-archive`.
    pub format: String,
    /// Version of the format.
    pub format_version: u64,
    /// Program that wrote it.
    pub program: String,
    /// Newest step of the notebook's layout.
    pub layout: i64,
    /// What it holds.
    pub holds: Holds,
    /// Rows of all tables together.
    pub rows: usize,
    /// Every table, in an order in which each row comes after what it refers to.
    pub tables: Vec<TableEntry>,
}

/// Why an archive is not taken, in one sentence for the person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Refused(pub String);

impl Refused {
    /// A refusal.
    pub fn new(why: impl Into<String>) -> Self {
        Refused(why.into())
    }
}

/// Which records that are here already are written over. What is new comes in always.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taking {
    /// None: what is here stays as it is.
    Mine,
    /// Those that were only changed there.
    Newer,
    /// Those that were changed there, whatever was written here.
    Theirs,
    /// Those with these marks.
    Marked(BTreeSet<String>),
}

/// The household's day in the name of a file: `undershell-2026-11-25.zip`.
pub fn file_name(holds: &Holds, day: &str) -> String {
    match holds {
        Holds::Everything => format!("undershell-{day}.zip"),
        Holds::Conversion { no, .. } => format!("undershell-conversion-{no}-{day}.zip"),
    }
}

/// A name as it may stand in the history: the last part of a path, without control characters, at
/// most 80 characters.
pub fn plain_name(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let plain: String = last.chars().filter(|c| !c.is_control()).take(80).collect();
    if plain.trim().is_empty() { "archive.zip".to_owned() } else { plain.trim().to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_from_outside_is_made_plain() {
        assert_eq!(plain_name("C:\\bench\\loco.zip"), "loco.zip");
        assert_eq!(plain_name("../../etc/passwd"), "passwd");
        assert_eq!(plain_name("a\r\nb.zip"), "ab.zip");
        assert_eq!(plain_name("  "), "archive.zip");
    }
}
