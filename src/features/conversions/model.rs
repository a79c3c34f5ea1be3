//! A conversion: what it is, what it is for, where it stands.

use crate::choice::Choice;
use crate::choices;
use crate::db::{ConversionId, Millis, PersonId};
use serde::Serialize;

choices! {
    /// Kind of body; it drives the drawing on the shelf.
    pub enum Body = "kind of body" {
        BonnetAndCab = "bonnet_and_cab", "Bonnet and cab (shunter)";
        BonnetShunter = "bonnet_shunter", "Bonnets at both ends, cab behind (small shunter)";
        CentreCab = "centre_cab", "Centre cab";
        BoxBody = "box_body", "Box body, cabs at the ends";
        Railcar = "railcar", "Railcar";
        SideTankEngine = "side_tank_engine", "Tank engine with side tanks";
        SaddleOrPlainTank = "saddle_or_plain_tank", "Tank engine, saddle or small tanks";
        TenderEngine = "tender_engine", "Engine with tender";
        Tram = "tram", "Tram";
        Generic = "generic", "Something else";
    }
}

choices! {
    /// How the motor reaches the wheels.
    pub enum Drive = "drive" {
        RigidWorm = "rigid_worm", "Rigid frame, worm to an axle";
        RigidSpur = "rigid_spur", "Rigid frame, spur gears";
        OneBogie = "one_bogie", "One motor bogie";
        TwoBogies = "two_bogies", "Both bogies driven by shafts";
        TwoMotorBogies = "two_motor_bogies", "Two motor bogies";
        TenderDrive = "tender_drive", "Motor in the tender";
        Other = "other", "Other";
    }
}

impl Drive {
    /// Whether something swings on curves, so that isolation is measured with it swung too.
    pub fn has_bogies(self) -> bool {
        matches!(self, Drive::OneBogie | Drive::TwoBogies | Drive::TwoMotorBogies)
    }
}

choices! {
    /// Kind of motor.
    pub enum Motor = "kind of motor" {
        Can = "can", "Can motor, two tags";
        OpenFrame = "open_frame", "Open frame";
        Flat = "flat", "Flat armature with ring magnet";
        Coreless = "coreless", "Coreless";
        Other = "other", "Other or not known yet";
    }
}

choices! {
    /// How current gets in.
    pub enum Pickup = "pickup scheme" {
        SplitFrame = "split_frame", "Split frame: each half is one rail";
        Wipers = "wipers", "Wipers to a board or wires";
        FrameIsOneSide = "frame_is_one_side", "The frame is one rail, wipers for the other";
        EngineAndTender = "engine_and_tender", "One rail by the engine, one by the tender";
        Bogies = "bogies", "Bogies wired to a board";
        Other = "other", "Other or not known yet";
    }
}

choices! {
    /// What the frame is.
    pub enum Frame = "kind of frame" {
        CastMetal = "cast_metal", "Cast metal, one piece";
        SplitMetal = "split_metal", "Cast metal, split in halves";
        Plastic = "plastic", "Plastic with a weight";
        SheetMetal = "sheet_metal", "Sheet or milled metal";
        Other = "other", "Other or not known yet";
    }
}

choices! {
    /// Where a conversion stands: the whole job in nine stages.
    pub enum Stage = "stage" {
        Survey = "survey", "survey";
        BenchTest = "bench_test", "bench test";
        Plan = "plan", "plan";
        OrderAndWait = "order_and_wait", "order and wait";
        StripAndIsolate = "strip_and_isolate", "strip and isolate";
        WireAndProve = "wire_and_prove", "wire and prove";
        CloseUp = "close_up", "close up";
        SetUp = "set_up", "set up";
        Learn = "learn", "learn";
    }
}

impl Stage {
    /// How many of the five gates lie behind this stage.
    pub fn gates_behind(self) -> usize {
        match self {
            Stage::Survey | Stage::BenchTest | Stage::Plan => 0,
            Stage::OrderAndWait => 1,
            Stage::StripAndIsolate => 2,
            Stage::WireAndProve | Stage::CloseUp => 3,
            Stage::SetUp => 4,
            Stage::Learn => 5,
        }
    }
}

choices! {
    /// How it ended, or that it goes on.
    pub enum Outcome = "outcome" {
        InWork = "in_work", "in work";
        InService = "in_service", "in service";
        GivenUp = "given_up", "given up";
        Donor = "donor", "donor";
        SwappedChassis = "swapped_chassis", "swapped chassis";
    }
}

choices! {
    /// Which load case governs the current budget.
    pub enum Governing = "governing load case" {
        Held = "held", "held (stall)";
        Slipping = "slipping", "wheels slipping";
    }
}

/// A scale of the standards' list: NEM 010 (2011); OO is British practice (16.5 mm at 1:76.2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Designation.
    pub name: &'static str,
    /// Scale 1:ratio.
    pub ratio: f64,
    /// Gauge, mm.
    pub gauge_mm: f64,
    /// Usual track voltage on digital track: the RMS limit of NEM 670 for the size, V.
    pub track_v: f64,
}

/// The list offered; anything else may be typed.
pub const SCALES: &[Scale] = &[
    Scale { name: "Z", ratio: 220.0, gauge_mm: 6.5, track_v: 10.0 },
    Scale { name: "N", ratio: 160.0, gauge_mm: 9.0, track_v: 14.0 },
    Scale { name: "TT", ratio: 120.0, gauge_mm: 12.0, track_v: 14.0 },
    Scale { name: "H0", ratio: 87.0, gauge_mm: 16.5, track_v: 14.0 },
    Scale { name: "H0m", ratio: 87.0, gauge_mm: 12.0, track_v: 14.0 },
    Scale { name: "H0e", ratio: 87.0, gauge_mm: 9.0, track_v: 14.0 },
    Scale { name: "OO", ratio: 76.2, gauge_mm: 16.5, track_v: 14.0 },
    Scale { name: "S", ratio: 64.0, gauge_mm: 22.5, track_v: 14.0 },
    Scale { name: "0", ratio: 45.0, gauge_mm: 32.0, track_v: 18.0 },
    Scale { name: "0m", ratio: 45.0, gauge_mm: 22.5, track_v: 18.0 },
    Scale { name: "0e", ratio: 45.0, gauge_mm: 16.5, track_v: 18.0 },
    Scale { name: "1", ratio: 32.0, gauge_mm: 45.0, track_v: 18.0 },
    Scale { name: "2", ratio: 22.5, gauge_mm: 64.0, track_v: 18.0 },
];

/// The scale of that name.
pub fn scale(name: &str) -> Option<&'static Scale> {
    SCALES.iter().find(|s| s.name == name)
}

/// Everything a person says about a conversion on its form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Draft {
    /// Title.
    pub title: String,
    /// Designation of the scale.
    pub scale: String,
    /// Scale 1:ratio.
    pub ratio: Option<f64>,
    /// Gauge, µm.
    pub gauge_um: Option<i64>,
    /// Body.
    pub body: Body,
    /// Wheel arrangement.
    pub wheels: String,
    /// Length over buffers, µm.
    pub length_um: Option<i64>,
    /// Drive.
    pub drive: Drive,
    /// Motor.
    pub motor: Motor,
    /// Pickup scheme.
    pub pickup: Pickup,
    /// Frame.
    pub frame: Frame,
    /// Sound is wanted.
    pub goal_sound: bool,
    /// Lights are wanted.
    pub goal_lights: bool,
    /// A hold-up store is wanted.
    pub goal_store: bool,
    /// Why.
    pub why: String,
    /// Money limit, hundredths.
    pub give_up_cents: Option<i64>,
    /// ISO 4217 code.
    pub give_up_currency: String,
    /// Time limit, minutes.
    pub give_up_minutes: Option<i64>,
    /// Track voltage, mV; `None`: the household's.
    pub track_mv: Option<i64>,
    /// Whose it is.
    pub person_id: Option<PersonId>,
    /// Begun, ms.
    pub started_at: Millis,
}

/// A conversion as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Conversion {
    /// Id.
    pub id: ConversionId,
    /// № as people say it.
    pub no: i64,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Name of the person whose it is; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Governing load case.
    pub governing: Governing,
    /// Signed reason when slipping governs.
    pub governing_why: String,
    /// Who signed.
    #[serde(skip)]
    pub governing_by: String,
    /// When, ms.
    pub governing_at: Option<Millis>,
    /// Stage.
    pub stage: Stage,
    /// Since when, ms.
    pub stage_at: Millis,
    /// Outcome.
    pub outcome: Outcome,
    /// Why it ended so.
    pub outcome_why: String,
    /// Version.
    pub version: i64,
}

impl Conversion {
    /// `H0, 1:87`.
    pub fn scale_words(&self) -> String {
        match self.draft.ratio {
            Some(ratio) => format!("{}, 1:{}", self.draft.scale, crate::units::exact(ratio)),
            None => self.draft.scale.clone(),
        }
    }

    /// Length over buffers, mm.
    pub fn length_mm(&self) -> Option<f64> {
        self.draft.length_um.map(um_to_mm)
    }

    /// Track voltage it will run at, V; the household's where none is set.
    pub fn track_v(&self, household_v: f64) -> f64 {
        self.draft.track_mv.map_or(household_v, thousandths)
    }
}

/// Micrometres to millimetres.
pub fn um_to_mm(um: i64) -> f64 {
    thousandths(um)
}

/// Whole thousandths to units. Stored lengths and currents stay far below 2^53.
#[expect(
    clippy::cast_precision_loss,
    reason = "stored whole numbers are below 2^53 by their CHECKs"
)]
pub fn thousandths(value: i64) -> f64 {
    value as f64 / 1000.0
}

/// A value in units to whole thousandths, nearest.
#[expect(clippy::cast_possible_truncation, reason = "callers pass values bounded by their forms")]
pub fn to_thousandths(value: f64) -> i64 {
    (value * 1000.0).round() as i64
}

/// Options of a closed list for a select.
pub fn options<T: Choice>() -> Vec<(&'static str, &'static str)> {
    T::ALL.iter().map(|c| (c.code(), c.label())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gauges and ratios of NEM 010 (2011); OO 1:76.2 on 16.5 mm is British practice.
    #[test]
    fn scales_are_those_of_the_standards_list() {
        let h0 = scale("H0").unwrap();
        assert!((h0.ratio - 87.0).abs() < 1e-9 && (h0.gauge_mm - 16.5).abs() < 1e-9);
        let n = scale("N").unwrap();
        assert!((n.ratio - 160.0).abs() < 1e-9 && (n.gauge_mm - 9.0).abs() < 1e-9);
        assert!(scale("XX").is_none());
    }

    #[test]
    fn each_later_stage_has_at_least_as_many_gates_behind_it() {
        let behind: Vec<_> = Stage::ALL.iter().map(|s| s.gates_behind()).collect();
        assert!(behind.windows(2).all(|w| w[0] <= w[1]));
    }
}
