//! The archive itself: a plain zip of JSON files, written the same way each time and read with
//! distrust. Works on bytes in memory; nothing is unpacked to disk.

use super::json;
use super::model::{
    FORMAT, FORMAT_VERSION, Holds, MOST_BYTES, MOST_FILES, MOST_RATIO, MOST_UNPACKED, Manifest,
    RATIO_FROM, Refused, TableEntry,
};
use crate::db::travel::{Cell, Layout, Row};
use crate::db::{MIGRATOR, sha256};
use serde_json::Value;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::io::{Cursor, Read, Write};
use uuid::Uuid;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

const README: &str = "An archive of an Undershell notebook.

manifest.json names every table with its count of rows and the SHA-256 of its file.
tables/<name>.json is a JSON array, one row a line. Times are milliseconds since 1970-01-01 UTC,
ids are UUIDs; schemas/<name>.json is its JSON Schema and says the unit of each column.
A row refers to another by its id. Lines of history (change) stand in the order they were written.

To bring it into a notebook: undershell import FILE, or the page Transfer.
";

/// Packs tables. The same rows give the same bytes.
///
/// Errors: a file of the archive could not be packed.
pub fn write(layouts: &[Layout], tables: &[Vec<Row>], holds: Holds) -> Result<Vec<u8>, String> {
    let mut files = BTreeMap::from([("read-me.txt".to_owned(), README.to_owned())]);
    let mut entries = Vec::new();
    for (layout, rows) in layouts.iter().zip(tables) {
        let name = layout.table.name;
        let (text, schema) = (json::table(layout, rows), json::schema(layout));
        let entry = TableEntry {
            name: name.to_owned(),
            rows: rows.len(),
            file: format!("tables/{name}.json"),
            bytes: text.len(),
            sha256: sha256(text.as_bytes()),
            schema: format!("schemas/{name}.json"),
            schema_sha256: sha256(schema.as_bytes()),
        };
        files.insert(entry.file.clone(), text);
        files.insert(entry.schema.clone(), schema);
        entries.push(entry);
    }
    let manifest = Manifest {
        format: FORMAT.to_owned(),
        format_version: FORMAT_VERSION,
        program: concat!("undershell ", env!("CARGO_PKG_VERSION")).to_owned(),
        layout: MIGRATOR.iter().map(|m| m.version).max().unwrap_or(0),
        holds,
        rows: entries.iter().map(|e| e.rows).sum(),
        tables: entries,
    };
    let text = serde_json::to_string_pretty(&manifest).map_err(|e| e.to_string())?;
    files.insert("manifest.json".to_owned(), text + "\n");
    pack(&files).map_err(|e| format!("the archive could not be packed: {e}"))
}

/// Files in the order of their names, deflated, all of 1980-01-01, the oldest day a zip can name.
fn pack(files: &BTreeMap<String, String>) -> zip::result::ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(6))
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in files {
        zip.start_file(name.as_str(), options)?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}

/// An archive that was looked over: every hash and count is right, every row fits, every reference
/// leads to a row of the archive.
#[derive(Debug, Clone)]
pub struct Archive {
    /// Its manifest.
    pub manifest: Manifest,
    /// SHA-256 of the whole file.
    pub sha256: String,
    /// The rows of each layout.
    pub tables: Vec<Vec<Row>>,
}

/// Reads an archive.
///
/// Errors: anything about it that is not as it should be, in one sentence.
pub fn read(layouts: &[Layout], bytes: &[u8]) -> Result<Archive, Refused> {
    let mut files = unpack(bytes)?;
    let text = files.remove("manifest.json").ok_or_else(|| {
        Refused::new("There is no manifest.json in it: this is no archive of a notebook.")
    })?;
    let manifest = manifest(&text)?;
    files.remove("read-me.txt");
    let mut tables = vec![Vec::new(); layouts.len()];
    let mut seen = HashSet::new();
    for entry in &manifest.tables {
        let name = short(&entry.name);
        let found = layouts.iter().position(|l| l.table.name == entry.name);
        let Some(t) = found else {
            return Err(Refused::new(format!(
                "It holds a table “{name}” that is not known here. It may be of a newer Undershell: use that program."
            )));
        };
        if !seen.insert(t) {
            return Err(Refused::new(format!("Its manifest names the table {name} twice.")));
        }
        let schema = file(&mut files, &entry.schema, &entry.schema_sha256)?;
        let text = file(&mut files, &entry.file, &entry.sha256)?;
        let columns = json::columns_of(&layouts[t], &schema)?;
        let rows = json::rows(&layouts[t], &columns, &text)?;
        if rows.len() != entry.rows || text.len() != entry.bytes {
            return Err(Refused::new(format!(
                "{name} has {} rows in {} bytes, but the manifest counts {} in {}.",
                rows.len(),
                text.len(),
                entry.rows,
                entry.bytes
            )));
        }
        tables[t] = rows;
    }
    if let Some(extra) = files.keys().next() {
        return Err(Refused::new(format!(
            "It holds a file “{}” that its manifest does not name.",
            short(extra)
        )));
    }
    if tables.iter().map(Vec::len).sum::<usize>() != manifest.rows {
        return Err(Refused::new("The manifest’s count of all rows is not the sum of its tables."));
    }
    references(layouts, &tables)?;
    Ok(Archive { manifest, sha256: sha256(bytes), tables })
}

fn manifest(text: &[u8]) -> Result<Manifest, Refused> {
    let unreadable =
        |e: serde_json::Error| Refused::new(format!("Its manifest can’t be read: {e}."));
    let value: Value = serde_json::from_slice(text).map_err(unreadable)?;
    if value.get("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(Refused::new("Its manifest is not that of an Undershell archive."));
    }
    match value.get("format_version").and_then(Value::as_u64) {
        Some(FORMAT_VERSION) => serde_json::from_value(value).map_err(unreadable),
        Some(other) => Err(Refused::new(format!(
            "It is of format version {other}; this program reads version {FORMAT_VERSION}. Use the Undershell that wrote it."
        ))),
        None => Err(Refused::new("Its manifest does not say which version of the format it is.")),
    }
}

/// A file the manifest names, with the hash it names.
fn file(files: &mut BTreeMap<String, Vec<u8>>, name: &str, hash: &str) -> Result<Vec<u8>, Refused> {
    let Some(bytes) = files.remove(name) else {
        return Err(Refused::new(format!("The file {} is missing.", short(name))));
    };
    if sha256(&bytes) != hash {
        return Err(Refused::new(format!(
            "{} is not as it was written: its SHA-256 is another than the manifest’s. Fetch the archive again.",
            short(name)
        )));
    }
    Ok(bytes)
}

fn unpack(bytes: &[u8]) -> Result<BTreeMap<String, Vec<u8>>, Refused> {
    if bytes.len() > MOST_BYTES {
        return Err(Refused::new(format!(
            "It is larger than {} MiB, the most that is taken.",
            MOST_BYTES >> 20
        )));
    }
    let broken = || Refused::new("This is no zip archive, or it is cut short. Fetch it again.");
    let mut zip = ZipArchive::new(Cursor::new(bytes)).map_err(|_| broken())?;
    if zip.has_duplicate_names() {
        return Err(Refused::new("It holds two files of one name."));
    }
    if zip.has_overlapping_files().map_err(|_| broken())? {
        return Err(Refused::new("Its files overlap: it is made to do harm, or damaged."));
    }
    if zip.len() > MOST_FILES {
        return Err(Refused::new(format!(
            "It holds {} files; {MOST_FILES} is the most that is taken.",
            zip.len()
        )));
    }
    let mut files = BTreeMap::new();
    let mut left = MOST_UNPACKED;
    for i in 0..zip.len() {
        let mut entry = zip.by_index(i).map_err(|_| {
            Refused::new("A file in it is packed in a way that is not taken: only stored and deflated, without a password.")
        })?;
        let name = entry.name().map_err(|_| broken())?.into_owned();
        if !fits(&name) || entry.is_symlink() {
            return Err(Refused::new(format!(
                "It holds a file “{}” that belongs in no archive of a notebook.",
                short(&name)
            )));
        }
        let packed = entry.compressed_size().max(1);
        let mut text = Vec::new();
        let read = entry.by_ref().take(left + 1).read_to_end(&mut text);
        read.map_err(|_| {
            Refused::new(format!("{} is damaged. Fetch the archive again.", short(&name)))
        })?;
        let size = text.len() as u64;
        if size > left {
            return Err(Refused::new(format!(
                "Unpacked it is larger than {} MiB, the most that is taken.",
                MOST_UNPACKED >> 20
            )));
        }
        if size > RATIO_FROM && size / packed > MOST_RATIO {
            return Err(Refused::new(format!(
                "{} unpacks to {} times its size: it is made to do harm.",
                short(&name),
                size / packed
            )));
        }
        left -= size;
        files.insert(name, text);
    }
    Ok(files)
}

/// Whether a file of that name may be in an archive: no path that leads elsewhere has this form.
fn fits(name: &str) -> bool {
    let table = |rest: &str| {
        rest.strip_suffix(".json").is_some_and(|t| {
            !t.is_empty()
                && t.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
        })
    };
    matches!(name, "manifest.json" | "read-me.txt")
        || name.strip_prefix("tables/").is_some_and(table)
        || name.strip_prefix("schemas/").is_some_and(table)
}

fn references(layouts: &[Layout], tables: &[Vec<Row>]) -> Result<(), Refused> {
    let mut ids: HashMap<&str, HashSet<Uuid>> = HashMap::new();
    for (layout, rows) in layouts.iter().zip(tables) {
        let Some(place) = layout.id() else { continue };
        let found = rows.iter().filter_map(|r| match r.get(place) {
            Some(Cell::Id(id)) => Some(*id),
            _ => None,
        });
        ids.insert(layout.table.name, found.collect());
    }
    for (layout, rows) in layouts.iter().zip(tables) {
        for (place, column) in layout.columns.iter().enumerate() {
            let Some(target) = column.link.as_deref() else { continue };
            let lost = rows.iter().position(|r| match r.get(place) {
                Some(Cell::Id(id)) => !ids.get(target).is_some_and(|known| known.contains(id)),
                _ => false,
            });
            if let Some(i) = lost {
                return Err(Refused::new(format!(
                    "Row {} of {} refers by its {} to a {target} that is not in the archive.",
                    i + 1,
                    layout.table.name,
                    column.name
                )));
            }
        }
    }
    Ok(())
}

/// At most sixty characters of a name from outside.
fn short(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(60).collect()
}
