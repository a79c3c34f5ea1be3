//! The seed files, read strictly.

use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// One thing that happened.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Seed file it stands in.
    pub file: &'static str,
    /// Its place in the file, from 1.
    pub n: usize,
    /// Days before the demo's day.
    pub days_ago: i64,
    /// Time of day, local.
    pub at: String,
    /// Who.
    pub by: String,
    /// Key of its conversion; empty for household matters.
    pub c: String,
    /// What happened.
    pub what: What,
}

impl Entry {
    /// `readings.json, entry 12`.
    pub fn name(&self) -> String {
        format!("{}, entry {}", self.file, self.n)
    }
}

/// Every kind of entry.
#[derive(Debug, Clone)]
pub enum What {
    Person(Person),
    Settings(BTreeMap<String, String>),
    Instrument(Instrument),
    Conversion(Box<Conversion>),
    Wheels(Wheels),
    Reading(Reading),
    Walk(Walk),
    LoadTest(LoadTest),
    Decoder(Decoder),
    Load(Load),
    WorkedOut(WorkedOut),
    Wires(Wires),
    Snag(Snag),
    Note(Note),
    Review(Box<Review>),
    Alteration(Alteration),
    Judgement(Judgement),
    Passing(Passing),
    Stage(Stage),
    TestRun(TestRun),
    Datum(Datum),
    Supplier(Supplier),
    Part(Part),
    PartStep(PartStep),
    Thing(Thing),
    Swap(Swap),
}

/// When, who and where: the head of every entry.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw<T> {
    days_ago: i64,
    at: String,
    #[serde(default)]
    by: String,
    #[serde(default)]
    c: String,
    what: T,
}

macro_rules! strict {
    ($($(#[$meta:meta])* $name:ident { $($(#[$fmeta:meta])* $field:ident: $kind:ty,)* })+) => {$(
        $(#[$meta])*
        #[derive(Debug, Clone, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($(#[$fmeta])* pub $field: $kind,)* }
    )+};
}

strict! {
    Person { name: String, }
    Instrument {
        name: String, kind: String, #[serde(default)] fuse: String, ranges: Vec<Range>,
    }
    Range {
        measures: String, up_to: String, percent: f64, digits: f64, step: String,
        #[serde(default)] jack: String,
    }
    Conversion {
        title: String, scale: String, body: String, wheels: String, length: String, drive: String,
        motor: String, pickup: String, frame: String, #[serde(default)] goals: Vec<String>,
        why: String, #[serde(default)] track_v: String, #[serde(default)] give_up_hours: i64,
    }
    /// One entry per axle: what shares its collector, place back from the front axle, and the
    /// wheels that never pick up (`tyre-L1`, `dead-R2`).
    Wheels { axles: Vec<Axle>, #[serde(default)] marks: Vec<String>, }
    Axle { vehicle: String, place: String, }
    #[cfg_attr(test, derive(Default))]
    Reading {
        kind: String, #[serde(default)] a: String, #[serde(default)] b: String,
        #[serde(default)] wheel: String, reads: String, #[serde(default)] steady: Option<bool>,
        #[serde(default)] with: String, #[serde(default)] volts: String,
        #[serde(default)] position: String, #[serde(default)] shell: String,
        #[serde(default)] decoder: String, #[serde(default)] warmth: String,
        #[serde(default)] method: String, #[serde(default)] remark: String,
    }
    /// Several pairs read one after the other in one position, a minute each.
    Walk { position: String, with: String, pairs: Vec<String>, #[serde(default)] reads: String, }
    LoadTest {
        volts: String, with: String, #[serde(default)] free: String, #[serde(default)] slipping: String,
        #[serde(default)] held: String, #[serde(default)] held_volts: String,
        #[serde(default)] warmth: String, #[serde(default)] remark: String,
    }
    Decoder {
        name: String, motor_continuous_ma: i64, motor_peak_ma: i64, motor_peak_ms: i64,
        total_continuous_ma: i64, function_ma: i64,
    }
    Load { name: String, kind: String, each: String, count: i64, #[serde(default)] output: String, basis: String, }
    /// What a person kept in a calculation, over what the conversion knows.
    WorkedOut { name: String, input: serde_json::Map<String, serde_json::Value>, }
    /// Wires written down together, and wires proved by their numbers.
    Wires { #[serde(default)] wires: Vec<Wire>, #[serde(default)] prove: Vec<i64>, }
    Wire {
        terminal: String, #[serde(default)] from: String, #[serde(default)] from_name: String, to: String,
        #[serde(default)] to_name: String, #[serde(default)] colour: String, #[serde(default)] gauge: String,
        #[serde(default)] length: String, joint: String, #[serde(default)] sleeved: bool,
        #[serde(default)] why: String, state: String,
    }
    /// `close` names a snag by its beginning and says how it was put right; otherwise it opens one.
    Snag {
        what: String, #[serde(default)] severity: String, #[serde(default)] blocks: String,
        #[serde(default)] close: String,
    }
    /// `about` names a snag by its beginning.
    #[cfg_attr(test, derive(Default))]
    Note { text: String, #[serde(default)] about: String, }
    Supplier { name: String, #[serde(default)] lane: String, #[serde(default)] remark: String, }
    /// Wanted from then on; without a conversion it belongs to the drawer. `promised_in`: days from the
    /// demo's day, also past ones.
    #[cfg_attr(test, derive(Default))]
    Part {
        name: String, kind: String, #[serde(default = "one")] quantity: i64,
        #[serde(default)] supplier: String, #[serde(default)] instead_of: String,
        #[serde(default)] blocks: String, #[serde(default)] promised_in: Option<i64>,
        #[serde(default)] price: String, #[serde(default)] postage: String,
        #[serde(default)] size: String, #[serde(default)] size_from: String,
        #[serde(default)] mass: String, #[serde(default)] mass_from: String,
        #[serde(default)] ratings: Vec<Rating>, #[serde(default)] remark: String,
    }
    Rating { name: String, value: String, unit: String, from: String, }
    PartStep { part: String, state: String, #[serde(default)] remark: String, }
    Thing {
        kind: String, name: String, #[serde(default)] mark: String, #[serde(default)] mass: String,
        #[serde(default)] remark: String, why: String,
    }
    /// Things by their marks, and the key of the conversion each goes to; empty: the drawer.
    Swap { things: BTreeMap<String, String>, why: String, }
    /// Noticed so many minutes before it was written. Parts, snags and what was changed are named by their
    /// beginnings.
    Review {
        symptom: String, words: String, minutes_before: i64, #[serde(default)] changed: String,
        #[serde(default)] hours: i64, #[serde(default)] cost: String, #[serde(default)] currency: String,
        #[serde(default)] snag: String, #[serde(default)] lost: Vec<String>, causes: Vec<Candidate>,
        lesson: String, #[serde(default)] close: bool,
    }
    Candidate {
        cause: String, #[serde(default)] words: String, sure: String, #[serde(default)] evidence: Vec<Evidence>,
    }
    /// `record` is `reading`, `snag` or `alteration`, and what its words begin with.
    Evidence { side: String, #[serde(default)] words: String, #[serde(default)] record: Vec<String>, }
    Alteration { kind: String, what: String, }
    Judgement { gate: String, check: String, reason: String, }
    Passing { gate: String, }
    /// What a card asks by key, as typed.
    TestRun {
        card: String, shell: String, #[serde(default)] with: Vec<String>, reads: BTreeMap<String, String>,
        #[serde(default)] remark: String,
    }
    /// `again`: after cutting, the one of before with the same what, end and name.
    Datum {
        what: String, #[serde(default)] end: String, #[serde(default)] name: String, reads: Vec<String>,
        #[serde(default)] again: bool, #[serde(default)] with: String, #[serde(default)] tolerance: String,
        #[serde(default)] remark: String,
    }
    /// To another stage.
    #[expect(clippy::struct_field_names, reason = "the file says stage as people do")]
    Stage { stage: String, outcome: String, #[serde(default)] why: String, }
}

fn one() -> i64 {
    1
}

/// Everything that happened, file by file.
#[derive(Debug)]
pub struct Story {
    /// The entries, in the order of the files.
    pub entries: Vec<Entry>,
}

impl Story {
    /// Reads all seed files.
    pub fn read() -> Result<Self, String> {
        let mut entries = Vec::new();
        macro_rules! file {
            ($name:literal, $what:expr) => {
                entries.extend(read(
                    concat!($name, ".json"),
                    include_str!(concat!("../../../seed-data/", $name, ".json")),
                    $what,
                )?);
            };
        }
        file!("people", What::Person);
        file!("settings", What::Settings);
        file!("instruments", What::Instrument);
        file!("conversions", |c| What::Conversion(Box::new(c)));
        file!("wheels", What::Wheels);
        file!("readings", What::Reading);
        file!("walks", What::Walk);
        file!("load_tests", What::LoadTest);
        file!("decoders", What::Decoder);
        file!("loads", What::Load);
        file!("worked_out", What::WorkedOut);
        file!("wires", What::Wires);
        file!("datums", What::Datum);
        file!("test_runs", What::TestRun);
        file!("snags", What::Snag);
        file!("notes", What::Note);
        file!("alterations", What::Alteration);
        file!("judgements", What::Judgement);
        file!("passings", What::Passing);
        file!("stages", What::Stage);
        file!("suppliers", What::Supplier);
        file!("parts", What::Part);
        file!("part_steps", What::PartStep);
        file!("stock", What::Thing);
        file!("swaps", What::Swap);
        file!("reviews", |r| What::Review(Box::new(r)));
        Ok(Story { entries })
    }
}

/// Reads one file. Errors name the file, the entry and the field.
fn read<T: DeserializeOwned>(
    file: &'static str,
    text: &str,
    what: impl Fn(T) -> What,
) -> Result<Vec<Entry>, String> {
    let mut json = serde_json::Deserializer::from_str(text);
    let raw: Vec<Raw<T>> =
        serde_path_to_error::deserialize(&mut json).map_err(|e| place(file, &e))?;
    json.end().map_err(|e| format!("{file}: {e}"))?;
    Ok(raw
        .into_iter()
        .zip(1..)
        .map(|(r, n)| Entry {
            file,
            n,
            days_ago: r.days_ago,
            at: r.at,
            by: r.by,
            c: r.c,
            what: what(r.what),
        })
        .collect())
}

/// `readings.json, entry 12, what.reads: …`.
fn place(file: &str, e: &serde_path_to_error::Error<serde_json::Error>) -> String {
    use serde_path_to_error::Segment;
    let (mut entry, mut fields) = (String::new(), Vec::new());
    for part in e.path() {
        match part {
            Segment::Seq { index } if entry.is_empty() => entry = format!(", entry {}", index + 1),
            Segment::Seq { index } => fields.push((index + 1).to_string()),
            Segment::Map { key } => fields.push(key.clone()),
            Segment::Enum { .. } | Segment::Unknown => {}
        }
    }
    let fields = if fields.is_empty() { String::new() } else { format!(", {}", fields.join(".")) };
    format!("{file}{entry}{fields}: {}", e.inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> String {
        read("snags.json", text, What::Snag).unwrap_err()
    }

    #[test]
    fn a_bad_file_names_file_entry_and_field() {
        let good = r#"{"days_ago": 3, "at": "21:00", "what": {"what": "Bent."}}"#;
        for (bad, says) in [
            (r#"{"days_ago": 3, "at": "21:00", "what": {}}"#, "missing field `what`"),
            (r#"{"days_ago": "3", "at": "21:00", "what": {"what": "Bent."}}"#, "days_ago: invalid"),
            (
                r#"{"days_ago": 3, "at": "21:00", "what": {"what": "B", "how": "C"}}"#,
                "what.how: unknown",
            ),
            (
                r#"{"days_ago": 3, "at": "21:00", "who": "Ines", "what": {"what": "B"}}"#,
                "who: unknown",
            ),
            (
                r#"{"days_ago": 3, "at": "1", "at": "2", "what": {"what": "B"}}"#,
                "duplicate field `at`",
            ),
            ("{", "key must be a string"),
        ] {
            let why = refused(&format!("[{good}, {bad}]"));
            assert!(why.starts_with("snags.json, entry 2"), "{why}");
            assert!(why.contains(says), "{why}");
        }
    }

    #[test]
    fn a_file_that_is_no_list_or_goes_on_after_it_is_refused() {
        for text in ["", "{}", "[] []", "[", "null"] {
            assert!(refused(text).starts_with("snags.json: "), "{text}");
        }
    }
}
