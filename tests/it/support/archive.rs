//! Archives taken apart and put together again, also in ways the program never would.

use std::collections::BTreeMap;
use std::io::{Cursor, Read as _, Write as _};
use undershell::db::sha256;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// The files of an archive.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Takes an archive apart.
pub fn files(bytes: &[u8]) -> Files {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).expect("a zip");
    let mut out = Files::new();
    for i in 0..zip.len() {
        let mut entry = zip.by_index(i).expect("an entry");
        let name = entry.name().expect("a name").into_owned();
        let mut text = Vec::new();
        entry.read_to_end(&mut text).expect("its text");
        out.insert(name, text);
    }
    out
}

/// Puts files together as they are.
pub fn pack(files: &Files) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in files {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).expect("an entry");
        zip.write_all(text).expect("its text");
    }
    zip.finish().expect("a zip").into_inner()
}

/// Puts files together with a manifest whose hashes, sizes and counts are right.
pub fn pack_well(mut files: Files) -> Vec<u8> {
    let mut manifest: serde_json::Value =
        serde_json::from_slice(&files["manifest.json"]).expect("a manifest");
    let mut all = 0;
    for table in manifest["tables"].as_array_mut().expect("tables") {
        let text = &files[table["file"].as_str().expect("a file")];
        let rows: Vec<serde_json::Value> = serde_json::from_slice(text).expect("rows");
        all += rows.len();
        table["rows"] = rows.len().into();
        table["bytes"] = text.len().into();
        table["sha256"] = sha256(text).into();
        table["schema_sha256"] = sha256(&files[table["schema"].as_str().expect("a file")]).into();
    }
    manifest["rows"] = all.into();
    files.insert("manifest.json".to_owned(), manifest.to_string().into_bytes());
    pack(&files)
}

/// Changes a piece of a file, which must be there.
pub fn replace(files: &mut Files, name: &str, from: &str, to: &str) {
    let text = String::from_utf8(files[name].clone()).expect("text");
    assert!(text.contains(from), "“{from}” is not in {name}: {text}");
    files.insert(name.to_owned(), text.replacen(from, to, 1).into_bytes());
}
