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
    Snag(Snag),
    Note(Note),
    Alteration(Alteration),
    Judgement(Judgement),
    Passing(Passing),
    Stage(Stage),
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
    /// `close` names a snag by its beginning and says how it was put right; otherwise it opens one.
    Snag {
        what: String, #[serde(default)] severity: String, #[serde(default)] blocks: String,
        #[serde(default)] close: String,
    }
    Note { text: String, }
    Alteration { kind: String, what: String, }
    Judgement { gate: String, check: String, reason: String, }
    Passing { gate: String, }
    Stage { stage: String, outcome: String, #[serde(default)] why: String, }
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
        file!("snags", What::Snag);
        file!("notes", What::Note);
        file!("alterations", What::Alteration);
        file!("judgements", What::Judgement);
        file!("passings", What::Passing);
        file!("stages", What::Stage);
        Ok(Story { entries })
    }
}

fn read<T: DeserializeOwned>(
    file: &'static str,
    text: &str,
    what: impl Fn(T) -> What,
) -> Result<Vec<Entry>, String> {
    let raw: Vec<Raw<T>> = serde_json::from_str(text).map_err(|e| format!("{file}: {e}"))?;
    Ok(raw
        .into_iter()
        .enumerate()
        .map(|(n, r)| Entry {
            file,
            n: n + 1,
            days_ago: r.days_ago,
            at: r.at,
            by: r.by,
            c: r.c,
            what: what(r.what),
        })
        .collect())
}
