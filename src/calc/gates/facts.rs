//! The entries of a conversion as plain data: readings, answers, snags, alterations, judgements.

use super::observation::Observation;
use super::snapshot::GateName;
use crate::aspect::{Aspect, Finding};
use crate::calc::budget::{Basis, PlannedLoad, Ratings};
use crate::calc::isolation::{Outcome, Point, Position};
use crate::calc::pickup::Wheel;
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where an entry comes from: who wrote it, when, with what.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Taken {
    /// Id of the entry in the notebook.
    pub id: String,
    /// Number of the reading within the conversion, as people see it: `41`.
    pub no: i64,
    /// When, milliseconds since 1970 in UTC.
    pub at_ms: i64,
    /// Name of the person.
    pub who: String,
    /// Name of the instrument; empty where none was used.
    pub instrument: String,
}

/// One measured number with its doubt and its origin. The unit is in the name of the field it
/// stands in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// The value as read, in the unit of the field.
    pub value: f64,
    /// How far the instrument may be off; `None` where it isn't known (no bounds then). Where the
    /// readings of one test differ, the wider one is used for all.
    pub accuracy: Option<Accuracy>,
    /// Origin.
    pub taken: Taken,
}

/// What the conversion is to get. A goal that isn't wanted has no checks.
#[expect(clippy::struct_excessive_bools, reason = "four goals, each wanted or not by itself")]
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Goals {
    /// The motor runs under a decoder. `false`: lights or sound only.
    pub motor: bool,
    /// Sound.
    pub sound: bool,
    /// Lights.
    pub lights: bool,
    /// A hold-up store.
    pub store: bool,
}

/// What the survey writes down about the model as found.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum SurveyKey {
    /// Scale and gauge: `HO`.
    Scale,
    /// Wheel arrangement: `0-6-0`, `Bo-Bo`.
    Drive,
    /// Kind of motor: open-frame, can, pancake, coreless.
    Motor,
    /// How the frame is joined: split, live to one rail, insulated.
    Frame,
    /// Which wheels are meant to pick up.
    PickupScheme,
    /// Weight as found, g.
    Weight,
}

impl SurveyKey {
    /// Every fact that a complete survey holds.
    pub const ALL: [SurveyKey; 6] = [
        SurveyKey::Scale,
        SurveyKey::Drive,
        SurveyKey::Motor,
        SurveyKey::Frame,
        SurveyKey::PickupScheme,
        SurveyKey::Weight,
    ];

    /// In words: `wheel arrangement`.
    pub fn word(self) -> &'static str {
        match self {
            SurveyKey::Scale => "scale",
            SurveyKey::Drive => "wheel arrangement",
            SurveyKey::Motor => "kind of motor",
            SurveyKey::Frame => "kind of frame",
            SurveyKey::PickupScheme => "pickup scheme",
            SurveyKey::Weight => "weight as found",
        }
    }
}

/// One fact of the survey.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyFact {
    /// Which fact.
    pub key: SurveyKey,
    /// As printed, with unit: `164 g`. Not empty; an empty one counts as not written.
    pub value: String,
    /// Origin.
    pub taken: Taken,
}

/// The latest load test. Parts of it may come from different evenings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadTest {
    /// Number of the test within the conversion: `2`.
    pub no: i64,
    /// Voltage at the loco with wheels free and slipping, V, above 0.
    pub test_v: Option<Measured>,
    /// Current running free, A.
    pub free_a: Option<Measured>,
    /// Current with the wheels slipping, A.
    pub slipping_a: Option<Measured>,
    /// Current with the motor held, A.
    pub held_a: Option<Measured>,
    /// Voltage at the loco while held, V; `None`: same as `test_v`.
    pub held_v: Option<Measured>,
    /// Somebody tried and could not, or would not, hold the motor.
    pub held_refused: Option<Taken>,
    /// Winding by ohmmeter, Ω.
    pub winding_ohm: Option<Measured>,
}

/// The decoder chosen or fitted, with what it may carry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Decoder {
    /// As people call it: `decoder with sound, 1.00 A`.
    pub name: String,
    /// Its ratings. A data sheet is good enough for a limit, a guess isn't.
    pub ratings: Ratings,
    /// When the ratings were written, ms since 1970 UTC.
    pub set_at_ms: i64,
    /// Who wrote them.
    pub set_by: String,
}

/// One load besides the motor. A planned load stays in the list when its current isn't known
/// (`load.amps_a` is `None` then).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadFact {
    /// The load as the headroom calculation takes it.
    pub load: PlannedLoad,
    /// Origin of a measured current. A measured one without origin counts as a guess.
    pub taken: Option<Taken>,
}

/// The voltage on the track the model will run on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TrackVolts {
    /// V, above 0.
    pub value_v: f64,
    /// What it stands on. A data sheet or a setting is good enough, a guess isn't.
    pub basis: Basis,
}

/// A wheel of the pickup map with its latest reading in `wheel.state`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WheelFact {
    /// The wheel; `state` is the latest reading, stale or not.
    pub wheel: Wheel,
    /// Origin of the reading. A state without origin counts as unmeasured.
    pub taken: Option<Taken>,
}

/// One reading of the isolation walk. Pass all of them; the newest of each place counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IsolationFact {
    /// One probe.
    pub a: Point,
    /// The other probe.
    pub b: Point,
    /// State of the model while reading.
    pub position: Position,
    /// What the meter showed.
    pub outcome: Outcome,
    /// Origin.
    pub taken: Taken,
}

/// A yes or no that a person gave by looking or trying.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seen {
    /// Which question.
    pub observation: Observation,
    /// The answer.
    pub yes: bool,
    /// The number that goes with it, in the unit of [`Observation::amount_unit`].
    pub amount: Option<f64>,
    /// Anything the person added, or empty.
    pub note: String,
    /// Origin.
    pub taken: Taken,
}

/// How bad a snag is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Looks, comfort.
    Minor,
    /// Runs, but not as wanted.
    Serious,
    /// May damage something.
    Grave,
}

/// An open snag. Closed ones are left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Snag {
    /// Number within the conversion: `31`.
    pub no: i64,
    /// What the person wrote.
    pub text: String,
    /// How bad.
    pub severity: Severity,
    /// The gate it blocks; `None`: it blocks nothing.
    pub blocks: Option<GateName>,
    /// When opened, ms since 1970 UTC.
    pub opened_at_ms: i64,
    /// Who opened it.
    pub who: String,
}

/// A review: what failed or went well.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewFact {
    /// Number over the whole notebook: `3`.
    pub no: i64,
    /// What was seen: `decoder too hot`.
    pub symptom: String,
    /// Who wrote it; empty where not said.
    pub who: String,
    /// When written, ms since 1970 UTC.
    pub written_at_ms: i64,
    /// When closed, ms since 1970 UTC; `None`: open.
    pub closed_at_ms: Option<i64>,
}

/// What was done to the model. Readings from before may no longer hold: see [`super::stale`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AlterationKind {
    /// Another motor, or the same one rewound.
    MotorChanged,
    /// Brushes, springs, caps or straps taken out or moved.
    BrushesTouched,
    /// Gears, rods, bearings or grease worked on.
    MechanismWorked,
    /// Another decoder, or the same one wired anew.
    DecoderChanged,
    /// A soldered or plugged joint made again.
    JointRemade,
    /// Wipers, collectors or their leads worked on.
    PickupsWorked,
    /// Another chassis.
    ChassisChanged,
    /// Metal cut off the frame.
    FrameCut,
    /// Another shell, or the shell altered inside.
    ShellChanged,
    /// Lamps, their resistors or leads changed.
    LampsChanged,
    /// Speaker or its leads changed.
    SpeakerChanged,
    /// Store or its charging parts changed.
    StoreChanged,
    /// A planned part fitted for the first time: decoder, lamps, speaker, store.
    PartFitted,
    /// Wheels or wheelsets changed or turned round.
    WheelsChanged,
    /// A wire between a rail and the decoder put in, moved or taken out.
    RailWireChanged,
    /// A wire between the decoder and the motor put in, moved or taken out.
    MotorWireChanged,
    /// A wire on a function output or the common put in, moved or taken out.
    FunctionWireChanged,
    /// A wire to the speaker put in, moved or taken out.
    SpeakerWireChanged,
    /// A wire to the store put in, moved or taken out.
    StoreWireChanged,
    /// Ground, or a wire that does not begin at the decoder, put in, moved or taken out.
    OtherWireChanged,
}

/// One alteration as written in the notebook.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Alteration {
    /// What kind.
    pub kind: AlterationKind,
    /// When, ms since 1970 UTC.
    pub at_ms: i64,
    /// Who.
    pub who: String,
    /// In the person's words, or empty.
    pub what: String,
}

/// A person's signed reason to pass a check that isn't clear.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Judgement {
    /// Gate of the check.
    pub gate: GateName,
    /// Key of the check.
    pub check: String,
    /// Aspect that was judged.
    pub aspect: Aspect,
    /// Who signed.
    pub person: String,
    /// The reason, in the person's words.
    pub reason: String,
    /// When, ms since 1970 UTC.
    pub at_ms: i64,
    /// [`super::Check::fingerprint`] at that moment. It lapses when the check's differs.
    pub fingerprint: String,
}

/// A gate passed by a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Passing {
    /// Which gate.
    pub gate: GateName,
    /// When, ms since 1970 UTC.
    pub at_ms: i64,
    /// Who.
    pub who: String,
}

/// A reading or entry that a check used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingRef {
    /// Id of the entry in the notebook.
    pub id: String,
    /// Its number within the conversion.
    pub no: i64,
    /// What it is: `brush A to right rail, in the frame`.
    pub what: String,
    /// What it reads, with unit: `0.4 Ω`.
    pub reads: String,
    /// When, ms since 1970 UTC.
    pub taken_at_ms: i64,
    /// Who.
    pub who: String,
    /// Instrument, or empty.
    pub instrument: String,
    /// Why it no longer counts; `None`: it counts.
    pub stale: Option<String>,
}

/// A verdict that another part of the notebook worked out for a check (a layout found, a cut list,
/// a heat fit). A danger, caution or clear of it decides; an unlit one leaves the check to what a
/// person has seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorkedOut {
    /// The observation it answers in place of a person.
    pub observation: Observation,
    /// Short text for the *reads* column.
    pub reads: String,
    /// The verdict.
    pub finding: Finding,
    /// What it stands on.
    pub readings: Vec<ReadingRef>,
}
