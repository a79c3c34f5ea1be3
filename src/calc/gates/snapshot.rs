//! One conversion as plain data: everything the checks of the five gates look at.
//!
//! Whoever gathers it (see the arrows in DEVELOPERS.md) fills it from the notebook as it stands and
//! passes the clock in `now_ms`. What nobody wrote down stays `None` or out of the list; nothing is
//! filled in for it. Staleness isn't stored: the checks work it out from `alterations`.

use super::cards::CardFact;
use super::datums::DatumFact;
use super::facts::{
    Alteration, Decoder, Goals, IsolationFact, Judgement, LoadFact, LoadTest, Passing, ReviewFact,
    Seen, Snag, SurveyFact, TrackVolts, WheelFact, WorkedOut,
};
use super::parts::PartFact;
use super::wiring::Wiring;
use crate::calc::budget::Case;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The five points of no return, in their order.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum GateName {
    /// Before parts are ordered.
    Order,
    /// Before metal or plastic is cut.
    Cut,
    /// Before the decoder gets power for the first time.
    FirstPower,
    /// Before the shell goes on for good.
    Close,
    /// Before the model goes into service.
    Service,
}

impl GateName {
    /// All five, first to last.
    pub const ALL: [GateName; 5] =
        [GateName::Order, GateName::Cut, GateName::FirstPower, GateName::Close, GateName::Service];

    /// Key as kept and as used in addresses: `first_power`.
    pub fn key(self) -> &'static str {
        match self {
            GateName::Order => "order",
            GateName::Cut => "cut",
            GateName::FirstPower => "first_power",
            GateName::Close => "close",
            GateName::Service => "service",
        }
    }

    /// Title as printed: `First power`.
    pub fn title(self) -> &'static str {
        match self {
            GateName::Order => "Order",
            GateName::Cut => "Cut",
            GateName::FirstPower => "First power",
            GateName::Close => "Close",
            GateName::Service => "Service",
        }
    }

    /// The gate of that key.
    pub fn from_key(key: &str) -> Option<GateName> {
        GateName::ALL.into_iter().find(|g| g.key() == key)
    }
}

/// Limits a household can set. The defaults are in `Default`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Thresholds {
    /// Friction share below this is clear, 0 to 1. Default 0.5 (judgement, no source).
    pub friction_clear_below: f64,
    /// Friction share above this is danger, 0 to 1. Default 0.75 (judgement, no source).
    pub friction_danger_above: f64,
    /// Headroom wanted with the motor held, a share of the rating. Default 0.10 (common practice,
    /// no source).
    pub headroom_want_held: f64,
    /// Headroom wanted with the wheels slipping, a share of the rating. Default 0.20 (common
    /// practice, no source).
    pub headroom_want_slipping: f64,
    /// The load case that governs. Default held.
    pub governing: Case,
    /// Bridge drop of the decoder, V. Default 1.4 (from memory).
    pub bridge_drop_v: f64,
    /// At or above this a pair counts as open, Ω. Default 1 000 000 (common practice).
    pub open_above_ohm: f64,
    /// A wheel below this is good, Ω. Default 1.0 (common practice, no source).
    pub good_below_ohm: f64,
    /// A wheel above this is bad, Ω. Default 2.0 (common practice, no source).
    pub bad_above_ohm: f64,
    /// Greatest limit of the supply for first power, A. Default 0.25.
    pub supply_limit_a: f64,
}

impl Default for Thresholds {
    fn default() -> Self {
        Thresholds {
            friction_clear_below: 0.5,
            friction_danger_above: 0.75,
            headroom_want_held: 0.10,
            headroom_want_slipping: 0.20,
            governing: Case::Held,
            bridge_drop_v: 1.4,
            open_above_ohm: 1_000_000.0,
            good_below_ohm: 1.0,
            bad_above_ohm: 2.0,
            supply_limit_a: 0.25,
        }
    }
}

/// One conversion at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Snapshot {
    /// The moment the checks are made for, ms since 1970 UTC. Used to print years and ages.
    pub now_ms: i64,
    /// Minutes to add to UTC for the days and times people read, −1439 to 1439.
    pub offset_minutes: i32,
    /// Bogies, trucks or pony wheels swing, so isolation is read with them swung too.
    pub has_bogies: bool,
    /// What is wanted.
    pub goals: Goals,
    /// Facts of the survey; of the same key the newest counts.
    #[serde(default)]
    pub survey: Vec<SurveyFact>,
    /// The latest load test, its newest readings.
    pub load_test: Option<LoadTest>,
    /// Decoder chosen or fitted.
    pub decoder: Option<Decoder>,
    /// Loads besides the motor.
    #[serde(default)]
    pub loads: Vec<LoadFact>,
    /// Track voltage.
    pub track_v: Option<TrackVolts>,
    /// Household limits.
    #[serde(default)]
    pub thresholds: Thresholds,
    /// The pickup map.
    #[serde(default)]
    pub wheels: Vec<WheelFact>,
    /// Names of the function and speaker leads planned: `front lamp lead`, `speaker leads`.
    #[serde(default)]
    pub function_leads: Vec<String>,
    /// The wiring list with what is wrong in it.
    #[serde(default)]
    pub wiring: Wiring,
    /// Readings of the isolation walk, all of them.
    #[serde(default)]
    pub isolation: Vec<IsolationFact>,
    /// What people saw or tried; of the same question the newest counts.
    #[serde(default)]
    pub seen: Vec<Seen>,
    /// Verdicts worked out elsewhere; at most one per observation.
    #[serde(default)]
    pub worked_out: Vec<WorkedOut>,
    /// Runs of test cards, all of them; of the same card and shell the newest counts.
    #[serde(default)]
    pub cards: Vec<CardFact>,
    /// Datums, before and after cutting.
    #[serde(default)]
    pub datums: Vec<DatumFact>,
    /// Open snags.
    #[serde(default)]
    pub snags: Vec<Snag>,
    /// Parts that hold a gate up.
    #[serde(default)]
    pub parts: Vec<PartFact>,
    /// Reviews, open and closed, newest number first.
    #[serde(default)]
    pub reviews: Vec<ReviewFact>,
    /// Everything done to the model.
    #[serde(default)]
    pub alterations: Vec<Alteration>,
    /// Signed judgements; of the same check the newest that still fits counts.
    #[serde(default)]
    pub judgements: Vec<Judgement>,
    /// Gates passed; of the same gate the newest counts.
    #[serde(default)]
    pub passings: Vec<Passing>,
}

impl Snapshot {
    /// A conversion of which nothing is known.
    pub fn empty(now_ms: i64, offset_minutes: i32) -> Self {
        Snapshot {
            now_ms,
            offset_minutes,
            has_bogies: false,
            goals: Goals::default(),
            survey: Vec::new(),
            load_test: None,
            decoder: None,
            loads: Vec::new(),
            track_v: None,
            thresholds: Thresholds::default(),
            wheels: Vec::new(),
            function_leads: Vec::new(),
            wiring: Wiring::default(),
            isolation: Vec::new(),
            seen: Vec::new(),
            worked_out: Vec::new(),
            cards: Vec::new(),
            datums: Vec::new(),
            snags: Vec::new(),
            parts: Vec::new(),
            reviews: Vec::new(),
            alterations: Vec::new(),
            judgements: Vec::new(),
            passings: Vec::new(),
        }
    }
}
