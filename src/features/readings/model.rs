//! A reading: one value with unit, conditions, instrument, who and when. Never overwritten.

use crate::choices;
use crate::db::{InstrumentId, LoadTestId, Millis, ReadingId, WheelId};
use crate::units::{self, Accuracy, Dimension, Interval};
use serde::Serialize;

choices! {
    /// What was read.
    pub enum Kind = "kind of reading" {
        Free = "free", "Free current";
        Slipping = "slipping", "Slipping current";
        Held = "held", "Held current";
        Winding = "winding", "Winding, by ohmmeter";
        Pickup = "pickup", "Wheel to its lead";
        Isolation = "isolation", "Between two points";
        Observation = "observation", "Looked at or tried";
        StartingVoltage = "starting_voltage", "Starting voltage";
        Cruise = "cruise", "Cruising current";
        Temperature = "temperature", "Temperature";
        Mass = "mass", "Mass";
        Height = "height", "Height above the rail";
        SpeakerOhms = "speaker_ohms", "Speaker, across its leads";
        LoadCurrent = "load_current", "Current of a lamp, amplifier or other load";
        StoreVolts = "store_volts", "Voltage of the store";
        Other = "other", "Something else";
    }
}

impl Kind {
    /// The quantity it is a value of. `None`: a word (open, yes) or free.
    pub fn dimension(self) -> Option<Dimension> {
        match self {
            Kind::Free | Kind::Slipping | Kind::Held | Kind::Cruise | Kind::LoadCurrent => {
                Some(Dimension::Current)
            }
            Kind::Winding | Kind::Pickup | Kind::Isolation | Kind::SpeakerOhms => {
                Some(Dimension::Resistance)
            }
            Kind::StartingVoltage | Kind::StoreVolts => Some(Dimension::Voltage),
            Kind::Temperature => Some(Dimension::Temperature),
            Kind::Mass => Some(Dimension::Mass),
            Kind::Height => Some(Dimension::Length),
            Kind::Observation | Kind::Other => None,
        }
    }

    /// The kinds offered under “something else” at the bench, where the pickup map, the isolation
    /// walk and the load test have pages of their own.
    pub const LOOSE: [Kind; 11] = [
        Kind::Winding,
        Kind::Cruise,
        Kind::StartingVoltage,
        Kind::SpeakerOhms,
        Kind::LoadCurrent,
        Kind::Temperature,
        Kind::Mass,
        Kind::Height,
        Kind::StoreVolts,
        Kind::Free,
        Kind::Slipping,
    ];
}

choices! {
    /// Where the motor and bogies were.
    pub enum Position = "position" {
        Bare = "bare", "motor out, bare";
        InFrame = "in_frame", "in the frame";
        BogiesSwung = "bogies_swung", "bogies swung";
        ShellOn = "shell_on", "shell on";
    }
}

choices! {
    /// Whether the shell was on.
    pub enum Shell = "state of the shell" {
        On = "on", "shell on";
        Off = "off", "shell off";
    }
}

choices! {
    /// Whether a decoder was in.
    pub enum DecoderState = "state of the decoder" {
        In = "in", "decoder in";
        Out = "out", "decoder out";
        Unplugged = "unplugged", "decoder unplugged";
    }
}

choices! {
    /// Whether the motor was warm.
    pub enum Warmth = "warmth" {
        Cold = "cold", "cold";
        Warm = "warm", "warm";
    }
}

/// What came out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// A number, in the kept unit of its dimension.
    Value(f64),
    /// Over range on the ohmmeter.
    Open,
    /// The beep, no number.
    Joined,
    /// Looked at, and it is so.
    Yes,
    /// Looked at, and it is not so.
    No,
    /// It could not be made to happen: the motor would not stall.
    NotReached,
}

impl Outcome {
    /// The stored word.
    pub fn code(self) -> &'static str {
        match self {
            Outcome::Value(_) => "value",
            Outcome::Open => "open",
            Outcome::Joined => "joined",
            Outcome::Yes => "yes",
            Outcome::No => "no",
            Outcome::NotReached => "not_reached",
        }
    }

    /// From the stored word and value.
    pub fn from_stored(code: &str, value: Option<f64>) -> Option<Self> {
        Some(match (code, value) {
            ("value", Some(v)) => Outcome::Value(v),
            ("open", None) => Outcome::Open,
            ("joined", None) => Outcome::Joined,
            ("yes", None) => Outcome::Yes,
            ("no", None) => Outcome::No,
            ("not_reached", None) => Outcome::NotReached,
            _ => return None,
        })
    }

    /// The number, where there is one.
    pub fn value(self) -> Option<f64> {
        if let Outcome::Value(v) = self { Some(v) } else { None }
    }
}

/// The conditions a reading was taken under.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Conditions {
    /// Volts at the loco while reading.
    pub volts: Option<f64>,
    /// The same, as typed.
    pub volts_typed: String,
    /// The voltmeter's accuracy at the time.
    pub volts_accuracy: Option<Accuracy>,
    /// How it was done.
    pub method: String,
    /// Position.
    pub position: Option<Position>,
    /// Shell.
    pub shell: Option<Shell>,
    /// Decoder.
    pub decoder: Option<DecoderState>,
    /// Warmth.
    pub warmth: Option<Warmth>,
    /// Instrument.
    pub instrument_id: Option<InstrumentId>,
    /// Remark.
    pub remark: String,
}

/// A reading about to be written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Draft {
    /// What was read.
    pub kind: Kind,
    /// One end, or the key of an observation, or the name of what was read.
    pub point_a: String,
    /// The other end.
    pub point_b: String,
    /// The wheel, on the pickup map.
    pub wheel_id: Option<WheelId>,
    /// The load test it belongs to.
    pub load_test_id: Option<LoadTestId>,
    /// What came out.
    pub outcome: Outcome,
    /// Dimension of the value.
    pub dimension: Option<Dimension>,
    /// As typed.
    pub typed: String,
    /// Steady or not.
    pub steady: Option<bool>,
    /// The meter's accuracy at the time.
    pub accuracy: Option<Accuracy>,
    /// Conditions.
    pub conditions: Conditions,
    /// When it was read, ms.
    pub taken_at: Millis,
}

impl Draft {
    /// A reading of a kind with nothing said about it yet.
    pub fn new(kind: Kind, outcome: Outcome, typed: impl Into<String>, taken_at: Millis) -> Self {
        Draft {
            kind,
            point_a: String::new(),
            point_b: String::new(),
            wheel_id: None,
            load_test_id: None,
            outcome,
            dimension: outcome.value().and(kind.dimension()),
            typed: typed.into(),
            steady: None,
            accuracy: None,
            conditions: Conditions::default(),
            taken_at,
        }
    }
}

/// A reading as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// Id.
    pub id: ReadingId,
    /// Number within its conversion.
    pub no: i64,
    /// What was written.
    #[serde(flatten)]
    pub draft: Draft,
    /// When it was written down, ms.
    pub entered_at: Millis,
    /// Who; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// The instrument's name; empty when not said.
    #[serde(skip)]
    pub instrument: String,
    /// Taken back when, ms.
    pub taken_back_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

impl Reading {
    /// What it reads, as shown: `0.4 Ω`, `open`, `could not make it stall`.
    pub fn reads(&self) -> String {
        match self.draft.outcome {
            Outcome::Value(v) => match self.draft.dimension {
                Some(Dimension::Current) => {
                    format!("{}\u{a0}A", units::fixed(v, 2, units::Rounding::Nearest))
                }
                Some(dimension) => units::quantity(v, dimension),
                None => self.draft.typed.clone(),
            },
            Outcome::Open => "open".to_owned(),
            Outcome::Joined => "joined".to_owned(),
            Outcome::Yes => "yes".to_owned(),
            Outcome::No => "no".to_owned(),
            Outcome::NotReached => "could not make it stall".to_owned(),
        }
    }

    /// The value's bounds by the meter's accuracy; the value alone when that is not known.
    pub fn bounds(&self) -> Option<Interval> {
        let value = self.draft.outcome.value()?;
        Some(match self.draft.accuracy {
            Some(a) => a.bounds(value),
            None => Interval::exact(value),
        })
    }
}

/// A load test: three currents at one voltage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LoadTest {
    /// Id.
    pub id: LoadTestId,
    /// Number within its conversion.
    pub no: i64,
    /// When, ms.
    pub at: Millis,
}
