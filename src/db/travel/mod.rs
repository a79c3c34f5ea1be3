//! Which tables travel in an archive, and how a single conversion comes by their rows.
//!
//! This is the one list. Columns, kinds, references and the rules of uniqueness are read from the
//! file's own schema, so that a new room needs one line here and a new column none. A table that
//! stays behind is named in [`STAYS`] with its reason; `tests/it/travel.rs` holds that every table
//! and every column is in one of the lists.

mod gather;
mod layout;
mod rows;

pub use gather::{everything, of_conversion};
pub use layout::{Column, Kind, Layout, Unique, layouts};
pub use rows::{Cell, Row, delete, insert, select_all, update};

/// How rows of a table come into the archive of one conversion. The archive of everything holds
/// every row of every table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// The household's own affair: only in the archive of everything.
    Household,
    /// Comes along when a row that travels refers to it.
    Named,
    /// Belongs to the conversion this column names; else comes along when referred to.
    Conversion(&'static str),
    /// A part of the row this column names, which may be a part itself: it travels, is compared and is taken with that row. One that
    /// names a conversion (a thing was in it once) brings that row along.
    PartOf(&'static str),
    /// Comes along with the row this column names.
    With(&'static str),
    /// Lines of history: those of the conversion and of every record that travels.
    History,
}

/// A table that travels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Travels {
    /// Name of the table, which is that of its file in the archive.
    pub name: &'static str,
    /// One of them, in words.
    pub one: &'static str,
    /// Several of them, in words.
    pub many: &'static str,
    /// How a row comes into the archive of one conversion.
    pub reach: Reach,
    /// Whether the same name means the same thing: then rows of two notebooks are joined by name.
    /// Otherwise the one that comes in is told apart by a number behind its name.
    pub same_by_name: bool,
    /// References that the schema does not declare: column and table.
    pub more_links: &'static [(&'static str, &'static str)],
}

const fn table(name: &'static str, one: &'static str, many: &'static str, reach: Reach) -> Travels {
    Travels { name, one, many, reach, same_by_name: false, more_links: &[] }
}

/// A table whose rows are known by their names: a person, a supplier.
const fn known_by_name(name: &'static str, one: &'static str, many: &'static str) -> Travels {
    Travels { same_by_name: true, ..table(name, one, many, Reach::Named) }
}

const OWN: Reach = Reach::Conversion("conversion_id");

/// Every table that travels; what is referred to stands before what refers to it.
pub const TRAVELS: &[Travels] = &[
    known_by_name("person", "person", "people"),
    table("setting", "setting", "settings", Reach::Household),
    table("instrument", "meter", "meters", Reach::Named),
    table("instrument_range", "range", "ranges", Reach::PartOf("instrument_id")),
    known_by_name("supplier", "supplier", "suppliers"),
    table("conversion", "conversion", "conversions", Reach::Conversion("id")),
    table("stage_change", "change of stage", "changes of stage", OWN),
    table("stock", "thing", "things", OWN),
    table("stock_move", "move", "moves", Reach::PartOf("stock_id")),
    table("wheel", "wheel", "wheels", OWN),
    table("load_test", "load test", "load tests", OWN),
    table("reading", "reading", "readings", OWN),
    table("decoder", "decoder", "decoders", OWN),
    table("planned_load", "planned load", "planned loads", OWN),
    table("alteration", "alteration", "alterations", OWN),
    table("part", "part", "parts", OWN),
    table("part_event", "step", "steps", Reach::PartOf("part_id")),
    table("part_rating", "rating", "ratings", Reach::PartOf("part_id")),
    table("saved_calc", "kept calculation", "kept calculations", OWN),
    table("wire", "wire", "wires", OWN),
    table("test_run", "run of a test card", "runs of test cards", OWN),
    table(
        "test_run_value",
        "entry of a test card",
        "entries of test cards",
        Reach::PartOf("test_run_id"),
    ),
    table("datum", "datum", "datums", OWN),
    table("snag", "snag", "snags", OWN),
    table("review", "review", "reviews", OWN),
    table("review_cause", "cause", "causes", Reach::PartOf("review_id")),
    table("review_evidence", "piece of evidence", "pieces of evidence", Reach::PartOf("cause_id")),
    table("review_part", "part lost", "parts lost", Reach::With("review_id")),
    table("review_snag", "snag of a review", "snags of reviews", Reach::With("review_id")),
    table("note", "note", "notes", OWN),
    table(
        "stock_alteration",
        "alteration by a move",
        "alterations by moves",
        Reach::With("alteration_id"),
    ),
    table("judgement", "judgement", "judgements", OWN),
    table("gate_passing", "passed gate", "passed gates", OWN),
    Travels {
        more_links: &[("conversion_id", "conversion"), ("left_id", "conversion")],
        ..table("change", "line of history", "lines of history", Reach::History)
    },
];

/// Tables that stay where they are, each with its reason.
pub const STAYS: &[(&str, &str)] = &[
    ("form_seen", "guards against sending a form twice, on this machine, for a month"),
    ("_sqlx_migrations", "the layout of this file; the manifest names it"),
    ("sqlite_sequence", "SQLite's own counter"),
];

/// Columns that stay behind, each with its reason.
pub const STAYS_COLUMNS: &[(&str, &str, &str)] = &[
    ("change", "seq", "counts the lines of this file; they travel in that order"),
    ("change", "first_seq", "counts the lines of this file; elsewhere each line stands by itself"),
];

/// The noun of the lines by which an import tells what it did. They stay in the notebook it came into.
pub const IMPORT: &str = "import";
