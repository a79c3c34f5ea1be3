//! Which readings no longer hold after which alteration.
//!
//! Answers: does a reading of one kind, taken before an alteration of another, still say anything?
//! A reading strictly older than the alteration is stale; one of the same moment isn't. Work under the
//! shell makes what was read with the shell on stale, whatever the work was.
//! Source: common practice, no source. The rows, word for word as [`TABLE`] holds them:
//!
//! | alteration | what is to be repeated |
//! | --- | --- |
//! | motor_changed | survey:motor, free, slipping, held, winding, brushes, shell_on, runs_smoothly, paper_tried, probe_sheet_done, insulation_on_metal, supply_limited, heat_settled, nothing_pinched, run_in_done, weight_and_balance, motor_wires, card:isolation, card:slip, card:locked, card:free_run, card:motor_heat, card:weak_source, card:series_guard, card:read_back, card:soak, card:winding, cards_shell_on |
//! | brushes_touched | free, slipping, held, winding, brushes, shell_on, probe_sheet_done, insulation_on_metal, nothing_pinched, motor_wires, card:isolation, card:slip, card:locked, card:free_run, card:motor_heat, card:weak_source, card:series_guard, card:read_back, card:winding, cards_shell_on |
//! | mechanism_worked | free, slipping, brushes, shell_on, runs_smoothly, heat_settled, tightest_curve, nothing_pinched, card:isolation, card:slip, card:free_run, card:swing, card:soak, card:twist, cards_shell_on |
//! | decoder_changed | ratings, brushes, leads, shell_on, paper_tried, layout_chosen, probe_sheet_done, insulation_on_metal, supply_limited, heat_settled, lights_proved, sound_proved, store_proved, nothing_pinched, sheet_read_back, every_wire, card:isolation, card:weak_source, card:series_guard, card:read_back, card:functions, card:speaker, card:store, card:soak, cards_shell_on |
//! | joint_remade | wheels, brushes, rails, leads, shell_on, probe_sheet_done, insulation_on_metal, lights_proved, sound_proved, store_proved, nothing_pinched, every_wire, card:isolation, card:pickup, card:weak_source, card:series_guard, card:read_back, card:functions, card:speaker, card:store, card:swing, cards_shell_on |
//! | pickups_worked | wheels, brushes, rails, shell_on, probe_sheet_done, tightest_curve, nothing_pinched, rail_wires, card:isolation, card:pickup, card:weak_source, card:read_back, card:swing, cards_shell_on |
//! | chassis_changed | survey:drive, survey:motor, survey:frame, survey:pickup_scheme, survey:weight, free, slipping, held, winding, wheels, brushes, rails, leads, shell_on, runs_smoothly, paper_tried, datums_recorded, layout_chosen, cut_list_made, nothing_held_is_lost, probe_sheet_done, insulation_on_metal, supply_limited, heat_settled, tightest_curve, coupler_height_checked, gauge_checked, nothing_pinched, run_in_done, weight_and_balance, every_wire, card:isolation, card:pickup, card:slip, card:locked, card:free_run, card:motor_heat, card:weak_source, card:series_guard, card:read_back, card:functions, card:speaker, card:swing, card:soak, card:twist, card:winding, cards_shell_on, datums_of_chassis, datums_on_wheels |
//! | frame_cut | brushes, rails, leads, shell_on, probe_sheet_done, insulation_on_metal, heat_settled, nothing_pinched, weight_and_balance, card:isolation, card:swing, card:soak, cards_shell_on, datums_after |
//! | shell_changed | shell_on, paper_tried, datums_recorded, layout_chosen, heat_settled, lights_proved, sound_proved, tightest_curve, coupler_height_checked, nothing_pinched, weight_and_balance, cards_shell_on, datums_of_shell |
//! | lamps_changed | lamp_loads, leads, shell_on, probe_sheet_done, lights_proved, nothing_pinched, function_wires, card:functions, cards_shell_on |
//! | speaker_changed | sound_loads, leads, shell_on, paper_tried, probe_sheet_done, sound_proved, nothing_pinched, speaker_wires, card:speaker, cards_shell_on |
//! | store_changed | store_loads, leads, shell_on, paper_tried, probe_sheet_done, store_proved, nothing_pinched, store_wires, card:store, cards_shell_on |
//! | part_fitted | brushes, leads, shell_on, probe_sheet_done, insulation_on_metal, heat_settled, lights_proved, sound_proved, store_proved, nothing_pinched, card:isolation, card:functions, card:speaker, card:store, card:soak, cards_shell_on |
//! | wheels_changed | slipping, wheels, rails, tightest_curve, coupler_height_checked, gauge_checked, card:pickup, card:slip, card:swing, card:twist, datums_on_wheels |
//! | rail_wire_changed | wheels, brushes, rails, shell_on, probe_sheet_done, insulation_on_metal, nothing_pinched, card:isolation, card:pickup, card:weak_source, card:series_guard, card:read_back, card:swing, cards_shell_on |
//! | motor_wire_changed | brushes, shell_on, probe_sheet_done, insulation_on_metal, nothing_pinched, card:isolation, card:weak_source, card:series_guard, card:read_back, cards_shell_on |
//! | function_wire_changed | leads, shell_on, probe_sheet_done, insulation_on_metal, lights_proved, nothing_pinched, card:functions, cards_shell_on |
//! | speaker_wire_changed | leads, shell_on, probe_sheet_done, insulation_on_metal, sound_proved, nothing_pinched, card:speaker, cards_shell_on |
//! | store_wire_changed | rails, leads, shell_on, probe_sheet_done, insulation_on_metal, store_proved, nothing_pinched, card:store, cards_shell_on |
//! | other_wire_changed | brushes, rails, leads, shell_on, probe_sheet_done, insulation_on_metal, nothing_pinched, card:isolation, card:functions, card:speaker, card:store, cards_shell_on |

use super::facts::{Alteration, AlterationKind, SurveyKey};
use super::observation::Observation as O;
use super::wiring::WireJob;
use crate::calc::budget::Kind;
use crate::calc::card::{CardName as N, Shell};
use crate::calc::datum::{From, What};
use crate::calc::isolation::{Pair, Point, Position};
use std::borrow::Cow;

/// What a reading is a reading of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ReadingKind {
    /// A fact of the survey.
    Survey(SurveyKey),
    /// Current running free.
    Free,
    /// Current with the wheels slipping.
    Slipping,
    /// Current with the motor held.
    Held,
    /// Winding by ohmmeter.
    Winding,
    /// A wheel of the pickup map.
    Wheel,
    /// A brush to a rail or the frame, in a position.
    Brushes(Position),
    /// Rail to rail, in a position.
    Rails(Position),
    /// A function lead to a rail or the frame, in a position.
    Leads(Position),
    /// Current of a load besides the motor.
    Load(Kind),
    /// The decoder's ratings.
    Ratings,
    /// The proof of a wire.
    Wire(WireJob),
    /// What a person saw or tried.
    Seen(O),
    /// A run of a test card, with that shell.
    Card(N, Shell),
    /// A datum: what, measured from where, and whether after cutting.
    Datum(What, From, bool),
}

impl ReadingKind {
    /// The kind of an isolation reading.
    pub fn of_pair(pair: &Pair, position: Position) -> ReadingKind {
        match pair.a {
            Point::BrushA | Point::BrushB => ReadingKind::Brushes(position),
            Point::Lead(_) => ReadingKind::Leads(position),
            _ => ReadingKind::Rails(position),
        }
    }
}

/// A group of readings that goes stale together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Group {
    /// One fact of the survey.
    Survey(SurveyKey),
    /// Current running free.
    Free,
    /// Current with the wheels slipping.
    Slipping,
    /// Current with the motor held.
    Held,
    /// Winding by ohmmeter.
    Winding,
    /// The pickup map.
    Wheels,
    /// Every isolation reading on a brush.
    Brushes,
    /// Rail to rail in every position.
    Rails,
    /// Every isolation reading on a function lead.
    Leads,
    /// Every isolation reading with the shell on.
    ShellOn,
    /// Currents of lamps and of anything else on a function output.
    LampLoads,
    /// Current of the sound amplifier.
    SoundLoads,
    /// Charging current of the store.
    StoreLoads,
    /// The decoder's ratings.
    Ratings,
    /// The proofs of the wires of one job.
    Wires(WireJob),
    /// The proof of every wire.
    EveryWire,
    /// What a person saw or tried.
    Seen(O),
    /// Runs of one test card, shell off or on.
    Card(N),
    /// Runs of every test card done with the shell on.
    CardsShellOn,
    /// Datums of what sits on the shell.
    DatumsOfShell,
    /// Datums of what sits on the chassis.
    DatumsOfChassis,
    /// Datums over the rail, and distances of axles.
    DatumsOnWheels,
    /// Datums measured after cutting.
    DatumsAfter,
}

impl Group {
    /// As written in the table at the head of this file.
    pub fn key(self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Group::Survey(key) => return Cow::Owned(format!("survey:{}", survey_key(key))),
            Group::Seen(observation) => observation.key(),
            Group::Card(name) => return Cow::Owned(format!("card:{}", name.key())),
            Group::CardsShellOn => "cards_shell_on",
            Group::DatumsOfShell => "datums_of_shell",
            Group::DatumsOfChassis => "datums_of_chassis",
            Group::DatumsOnWheels => "datums_on_wheels",
            Group::DatumsAfter => "datums_after",
            Group::Free => "free",
            Group::Slipping => "slipping",
            Group::Held => "held",
            Group::Winding => "winding",
            Group::Wheels => "wheels",
            Group::Brushes => "brushes",
            Group::Rails => "rails",
            Group::Leads => "leads",
            Group::ShellOn => "shell_on",
            Group::LampLoads => "lamp_loads",
            Group::SoundLoads => "sound_loads",
            Group::StoreLoads => "store_loads",
            Group::Ratings => "ratings",
            Group::Wires(job) => wire_key(job),
            Group::EveryWire => "every_wire",
        })
    }

    /// Whether a reading is of this group.
    pub fn holds(self, reading: ReadingKind) -> bool {
        match (self, reading) {
            (Group::Survey(a), ReadingKind::Survey(b)) => a == b,
            (Group::Seen(a), ReadingKind::Seen(b)) => a == b,
            (Group::Wires(a), ReadingKind::Wire(b)) => a == b,
            (Group::Card(a), ReadingKind::Card(b, _)) => a == b,
            (Group::CardsShellOn, ReadingKind::Card(_, shell)) => shell == Shell::On,
            (Group::DatumsOfShell, ReadingKind::Datum(what, ..)) => what.on_shell(),
            (Group::DatumsOfChassis, ReadingKind::Datum(what, ..)) => !what.on_shell(),
            (Group::DatumsOnWheels, ReadingKind::Datum(what, from, _)) => {
                from == From::RailTop || what.of_wheels()
            }
            (Group::DatumsAfter, ReadingKind::Datum(.., after)) => after,
            (Group::Free, ReadingKind::Free)
            | (Group::Slipping, ReadingKind::Slipping)
            | (Group::Held, ReadingKind::Held)
            | (Group::Winding, ReadingKind::Winding)
            | (Group::Wheels, ReadingKind::Wheel)
            | (Group::Brushes, ReadingKind::Brushes(_))
            | (Group::Rails, ReadingKind::Rails(_))
            | (Group::Leads, ReadingKind::Leads(_))
            | (Group::SoundLoads, ReadingKind::Load(Kind::Sound))
            | (Group::StoreLoads, ReadingKind::Load(Kind::Store))
            | (Group::EveryWire, ReadingKind::Wire(_))
            | (Group::Ratings, ReadingKind::Ratings) => true,
            (Group::LampLoads, ReadingKind::Load(kind)) => {
                !matches!(kind, Kind::Sound | Kind::Store)
            }
            (
                Group::ShellOn,
                ReadingKind::Brushes(p) | ReadingKind::Rails(p) | ReadingKind::Leads(p),
            ) => p == Position::ShellOn,
            _ => false,
        }
    }
}

fn survey_key(key: SurveyKey) -> &'static str {
    match key {
        SurveyKey::Scale => "scale",
        SurveyKey::Drive => "drive",
        SurveyKey::Motor => "motor",
        SurveyKey::Frame => "frame",
        SurveyKey::PickupScheme => "pickup_scheme",
        SurveyKey::Weight => "weight",
    }
}

fn wire_key(job: WireJob) -> &'static str {
    match job {
        WireJob::Rail => "rail_wires",
        WireJob::Motor => "motor_wires",
        WireJob::Function => "function_wires",
        WireJob::Speaker => "speaker_wires",
        WireJob::Store => "store_wires",
        WireJob::Other => "other_wires",
    }
}

/// One row: an alteration and the groups it makes stale.
pub type Row = (AlterationKind, &'static [Group]);

/// Every alteration with what it makes stale. The same as the table at the head of this file.
#[rustfmt::skip]
pub const TABLE: &[Row] = {
    use Group as G;
    use Group::{Card, Seen};
    &[
        (AlterationKind::MotorChanged, &[
            G::Survey(SurveyKey::Motor), G::Free, G::Slipping, G::Held, G::Winding, G::Brushes, G::ShellOn,
            Seen(O::RunsSmoothly), Seen(O::PaperTried), Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal),
            Seen(O::SupplyLimited), Seen(O::HeatSettled), Seen(O::NothingPinched), Seen(O::RunInDone),
            Seen(O::WeightAndBalance),
            G::Wires(WireJob::Motor),
            Card(N::Isolation), Card(N::Slip), Card(N::Locked), Card(N::FreeRun), Card(N::MotorHeat),
            Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack), Card(N::Soak), Card(N::Winding),
            G::CardsShellOn,
        ]),
        (AlterationKind::BrushesTouched, &[
            G::Free, G::Slipping, G::Held, G::Winding, G::Brushes, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::NothingPinched),
            G::Wires(WireJob::Motor),
            Card(N::Isolation), Card(N::Slip), Card(N::Locked), Card(N::FreeRun), Card(N::MotorHeat),
            Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack), Card(N::Winding), G::CardsShellOn,
        ]),
        (AlterationKind::MechanismWorked, &[
            G::Free, G::Slipping, G::Brushes, G::ShellOn,
            Seen(O::RunsSmoothly), Seen(O::HeatSettled), Seen(O::TightestCurve), Seen(O::NothingPinched),
            Card(N::Isolation), Card(N::Slip), Card(N::FreeRun), Card(N::Swing), Card(N::Soak), Card(N::Twist),
            G::CardsShellOn,
        ]),
        (AlterationKind::DecoderChanged, &[
            G::Ratings, G::Brushes, G::Leads, G::ShellOn,
            Seen(O::PaperTried), Seen(O::LayoutChosen), Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal),
            Seen(O::SupplyLimited), Seen(O::HeatSettled), Seen(O::LightsProved), Seen(O::SoundProved),
            Seen(O::StoreProved), Seen(O::NothingPinched), Seen(O::SheetReadBack),
            G::EveryWire,
            Card(N::Isolation), Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack),
            Card(N::Functions), Card(N::Speaker), Card(N::Store), Card(N::Soak), G::CardsShellOn,
        ]),
        (AlterationKind::JointRemade, &[
            G::Wheels, G::Brushes, G::Rails, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::LightsProved), Seen(O::SoundProved),
            Seen(O::StoreProved), Seen(O::NothingPinched),
            G::EveryWire,
            Card(N::Isolation), Card(N::Pickup), Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack),
            Card(N::Functions), Card(N::Speaker), Card(N::Store), Card(N::Swing), G::CardsShellOn,
        ]),
        (AlterationKind::PickupsWorked, &[
            G::Wheels, G::Brushes, G::Rails, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::TightestCurve), Seen(O::NothingPinched),
            G::Wires(WireJob::Rail),
            Card(N::Isolation), Card(N::Pickup), Card(N::WeakSource), Card(N::ReadBack), Card(N::Swing),
            G::CardsShellOn,
        ]),
        (AlterationKind::ChassisChanged, &[
            G::Survey(SurveyKey::Drive), G::Survey(SurveyKey::Motor), G::Survey(SurveyKey::Frame),
            G::Survey(SurveyKey::PickupScheme), G::Survey(SurveyKey::Weight),
            G::Free, G::Slipping, G::Held, G::Winding, G::Wheels, G::Brushes, G::Rails, G::Leads, G::ShellOn,
            Seen(O::RunsSmoothly), Seen(O::PaperTried), Seen(O::DatumsRecorded), Seen(O::LayoutChosen),
            Seen(O::CutListMade), Seen(O::NothingHeldIsLost), Seen(O::ProbeSheetDone),
            Seen(O::InsulationOnMetal), Seen(O::SupplyLimited), Seen(O::HeatSettled), Seen(O::TightestCurve),
            Seen(O::CouplerHeightChecked), Seen(O::GaugeChecked), Seen(O::NothingPinched), Seen(O::RunInDone),
            Seen(O::WeightAndBalance),
            G::EveryWire,
            Card(N::Isolation), Card(N::Pickup), Card(N::Slip), Card(N::Locked), Card(N::FreeRun),
            Card(N::MotorHeat), Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack),
            Card(N::Functions), Card(N::Speaker), Card(N::Swing), Card(N::Soak), Card(N::Twist),
            Card(N::Winding), G::CardsShellOn, G::DatumsOfChassis, G::DatumsOnWheels,
        ]),
        (AlterationKind::FrameCut, &[
            G::Brushes, G::Rails, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::HeatSettled), Seen(O::NothingPinched),
            Seen(O::WeightAndBalance),
            Card(N::Isolation), Card(N::Swing), Card(N::Soak), G::CardsShellOn, G::DatumsAfter,
        ]),
        (AlterationKind::ShellChanged, &[
            G::ShellOn,
            Seen(O::PaperTried), Seen(O::DatumsRecorded), Seen(O::LayoutChosen), Seen(O::HeatSettled),
            Seen(O::LightsProved), Seen(O::SoundProved), Seen(O::TightestCurve), Seen(O::CouplerHeightChecked),
            Seen(O::NothingPinched), Seen(O::WeightAndBalance),
            G::CardsShellOn, G::DatumsOfShell,
        ]),
        (AlterationKind::LampsChanged, &[
            G::LampLoads, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::LightsProved), Seen(O::NothingPinched),
            G::Wires(WireJob::Function),
            Card(N::Functions), G::CardsShellOn,
        ]),
        (AlterationKind::SpeakerChanged, &[
            G::SoundLoads, G::Leads, G::ShellOn,
            Seen(O::PaperTried), Seen(O::ProbeSheetDone), Seen(O::SoundProved), Seen(O::NothingPinched),
            G::Wires(WireJob::Speaker),
            Card(N::Speaker), G::CardsShellOn,
        ]),
        (AlterationKind::StoreChanged, &[
            G::StoreLoads, G::Leads, G::ShellOn,
            Seen(O::PaperTried), Seen(O::ProbeSheetDone), Seen(O::StoreProved), Seen(O::NothingPinched),
            G::Wires(WireJob::Store),
            Card(N::Store), G::CardsShellOn,
        ]),
        (AlterationKind::PartFitted, &[
            G::Brushes, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::HeatSettled), Seen(O::LightsProved),
            Seen(O::SoundProved), Seen(O::StoreProved), Seen(O::NothingPinched),
            Card(N::Isolation), Card(N::Functions), Card(N::Speaker), Card(N::Store), Card(N::Soak), G::CardsShellOn,
        ]),
        (AlterationKind::WheelsChanged, &[
            G::Slipping, G::Wheels, G::Rails,
            Seen(O::TightestCurve), Seen(O::CouplerHeightChecked), Seen(O::GaugeChecked),
            Card(N::Pickup), Card(N::Slip), Card(N::Swing), Card(N::Twist), G::DatumsOnWheels,
        ]),
        (AlterationKind::RailWireChanged, &[
            G::Wheels, G::Brushes, G::Rails, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::NothingPinched),
            Card(N::Isolation), Card(N::Pickup), Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack), Card(N::Swing), G::CardsShellOn,
        ]),
        (AlterationKind::MotorWireChanged, &[
            G::Brushes, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::NothingPinched),
            Card(N::Isolation), Card(N::WeakSource), Card(N::SeriesGuard), Card(N::ReadBack), G::CardsShellOn,
        ]),
        (AlterationKind::FunctionWireChanged, &[
            G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::LightsProved), Seen(O::NothingPinched),
            Card(N::Functions), G::CardsShellOn,
        ]),
        (AlterationKind::SpeakerWireChanged, &[
            G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::SoundProved), Seen(O::NothingPinched),
            Card(N::Speaker), G::CardsShellOn,
        ]),
        (AlterationKind::StoreWireChanged, &[
            G::Rails, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::StoreProved), Seen(O::NothingPinched),
            Card(N::Store), G::CardsShellOn,
        ]),
        (AlterationKind::OtherWireChanged, &[
            G::Brushes, G::Rails, G::Leads, G::ShellOn,
            Seen(O::ProbeSheetDone), Seen(O::InsulationOnMetal), Seen(O::NothingPinched),
            Card(N::Isolation), Card(N::Functions), Card(N::Speaker), Card(N::Store), G::CardsShellOn,
        ]),
    ]
};

/// Whether an alteration makes older readings of a kind stale.
pub fn affects(alteration: AlterationKind, reading: ReadingKind) -> bool {
    TABLE
        .iter()
        .filter(|(kind, _)| *kind == alteration)
        .any(|(_, groups)| groups.iter().any(|group| group.holds(reading)))
}

/// The newest alteration that makes a reading of that moment stale; `None`: it still holds.
pub fn made_stale_by(
    alterations: &[Alteration],
    reading: ReadingKind,
    taken_at_ms: i64,
) -> Option<&Alteration> {
    alterations
        .iter()
        .filter(|a| taken_at_ms < a.at_ms && affects(a.kind, reading))
        .max_by_key(|a| a.at_ms)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table people read and the table that decides are one.
    #[test]
    fn the_table_in_the_head_is_the_table_that_decides() {
        let written: Vec<(String, Vec<String>)> = include_str!("stale.rs")
            .lines()
            .filter_map(|line| line.strip_prefix("//! | "))
            .skip(2)
            .map(|line| {
                let (kind, groups) = line.trim_end_matches(" |").split_once(" | ").unwrap();
                (kind.to_owned(), groups.split(", ").map(str::to_owned).collect())
            })
            .collect();
        let held: Vec<(String, Vec<String>)> = TABLE
            .iter()
            .map(|(kind, groups)| {
                (kind.key().to_owned(), groups.iter().map(|g| g.key().into_owned()).collect())
            })
            .collect();
        assert_eq!(written, held);
        assert_eq!(held.len(), AlterationKind::ALL.len());
    }

    /// Per row: one thing it makes stale and one it leaves, as a person at the bench would say.
    #[test]
    fn each_alteration_makes_stale_what_it_touches_and_leaves_the_rest() {
        use AlterationKind as A;
        use ReadingKind as R;
        let in_frame = Position::InFrame;
        let rows: [(A, R, R); 20] = [
            (A::MotorChanged, R::Held, R::Wheel),
            (A::BrushesTouched, R::Brushes(in_frame), R::Rails(in_frame)),
            (A::MechanismWorked, R::Free, R::Held),
            (A::DecoderChanged, R::Ratings, R::Free),
            (A::JointRemade, R::Leads(in_frame), R::Winding),
            (A::PickupsWorked, R::Wheel, R::Leads(in_frame)),
            (A::ChassisChanged, R::Seen(O::GaugeChecked), R::Ratings),
            (A::FrameCut, R::Seen(O::InsulationOnMetal), R::Seen(O::DatumsRecorded)),
            (A::ShellChanged, R::Rails(Position::ShellOn), R::Rails(in_frame)),
            (A::LampsChanged, R::Load(Kind::Led), R::Load(Kind::Sound)),
            (A::SpeakerChanged, R::Load(Kind::Sound), R::Load(Kind::Lamp)),
            (A::StoreChanged, R::Load(Kind::Store), R::Load(Kind::Smoke)),
            (A::PartFitted, R::Leads(in_frame), R::Seen(O::PaperTried)),
            (A::WheelsChanged, R::Slipping, R::Free),
            (A::RailWireChanged, R::Wheel, R::Leads(in_frame)),
            (A::MotorWireChanged, R::Brushes(in_frame), R::Held),
            (A::FunctionWireChanged, R::Seen(O::LightsProved), R::Brushes(in_frame)),
            (A::SpeakerWireChanged, R::Seen(O::SoundProved), R::Load(Kind::Sound)),
            (A::StoreWireChanged, R::Seen(O::StoreProved), R::Seen(O::LightsProved)),
            (A::OtherWireChanged, R::Rails(in_frame), R::Wheel),
        ];
        for (alteration, stale, holds) in rows {
            assert!(affects(alteration, stale), "{alteration:?} should make {stale:?} stale");
            assert!(!affects(alteration, holds), "{alteration:?} should leave {holds:?}");
        }
    }

    /// Per row that loses the proof of wires: one job it takes and, where there is one, a job it leaves.
    #[test]
    fn each_alteration_takes_the_proof_of_the_wires_it_touches() {
        use AlterationKind as A;
        use WireJob as W;
        let rows: [(A, W, Option<W>); 9] = [
            (A::MotorChanged, W::Motor, Some(W::Rail)),
            (A::BrushesTouched, W::Motor, Some(W::Function)),
            (A::DecoderChanged, W::Speaker, None),
            (A::JointRemade, W::Other, None),
            (A::PickupsWorked, W::Rail, Some(W::Motor)),
            (A::ChassisChanged, W::Function, None),
            (A::LampsChanged, W::Function, Some(W::Speaker)),
            (A::SpeakerChanged, W::Speaker, Some(W::Store)),
            (A::StoreChanged, W::Store, Some(W::Function)),
        ];
        for (kind, lost, kept) in rows {
            assert!(affects(kind, ReadingKind::Wire(lost)), "{kind:?} {lost:?}");
            assert!(kept.is_none_or(|job| !affects(kind, ReadingKind::Wire(job))), "{kind:?}");
        }
        // the proof of a wire falls with the wire itself, by its state; another wire leaves it
        for kind in AlterationKind::ALL {
            let takes = rows.iter().any(|(k, ..)| *k == kind);
            let any = [W::Rail, W::Motor, W::Function, W::Speaker, W::Store, W::Other];
            let some = any.into_iter().any(|job| affects(kind, ReadingKind::Wire(job)));
            assert_eq!(some, takes, "{kind:?}");
        }
    }

    use ReadingKind::{Card, Datum};
    use Shell::{Off, On};
    const COUPLER: ReadingKind = Datum(What::CouplerHeight, From::RailTop, false);
    const SCREW: ReadingKind = Datum(What::ScrewPlace, From::FrontBeam, false);

    /// Per alteration: runs of cards and datums it makes stale, and some it leaves.
    #[rustfmt::skip]
    const CARD_ROWS: [(AlterationKind, [ReadingKind; 2], [ReadingKind; 2]); 20] = [
        (
            AlterationKind::MotorChanged,
            [Card(N::Locked, Off), Card(N::Swing, On)],
            [Card(N::Swing, Off), COUPLER],
        ),
        (
            AlterationKind::BrushesTouched,
            [Card(N::Winding, Off), Card(N::Soak, On)],
            [Card(N::Soak, Off), SCREW],
        ),
        (
            AlterationKind::MechanismWorked,
            [Card(N::FreeRun, Off), Card(N::Twist, Off)],
            [Card(N::Locked, Off), COUPLER],
        ),
        (
            AlterationKind::DecoderChanged,
            [Card(N::ReadBack, Off), Card(N::Isolation, On)],
            [Card(N::Slip, Off), SCREW],
        ),
        (
            AlterationKind::JointRemade,
            [Card(N::Functions, Off), Card(N::Pickup, Off)],
            [Card(N::Winding, Off), COUPLER],
        ),
        (
            AlterationKind::PickupsWorked,
            [Card(N::Pickup, Off), Card(N::Swing, Off)],
            [Card(N::Store, Off), COUPLER],
        ),
        (
            AlterationKind::ChassisChanged,
            [SCREW, COUPLER],
            [Datum(What::BufferHeight, From::Other, false), Card(N::Store, Off)],
        ),
        (
            AlterationKind::FrameCut,
            [Datum(What::CouplerHeight, From::RailTop, true), Card(N::Isolation, Off)],
            [COUPLER, Card(N::Functions, Off)],
        ),
        (
            AlterationKind::ShellChanged,
            [Card(N::DryClose, On), Datum(What::BodyHeight, From::RailTop, false)],
            [Card(N::Soak, Off), COUPLER],
        ),
        (
            AlterationKind::LampsChanged,
            [Card(N::Functions, Off), Card(N::DryClose, On)],
            [Card(N::Speaker, Off), COUPLER],
        ),
        (
            AlterationKind::SpeakerChanged,
            [Card(N::Speaker, Off), Card(N::Speaker, On)],
            [Card(N::Functions, Off), SCREW],
        ),
        (
            AlterationKind::StoreChanged,
            [Card(N::Store, Off), Card(N::DryClose, On)],
            [Card(N::Speaker, Off), SCREW],
        ),
        (
            AlterationKind::PartFitted,
            [Card(N::Isolation, Off), Card(N::DryClose, On)],
            [Card(N::Slip, Off), SCREW],
        ),
        (
            AlterationKind::RailWireChanged,
            [Card(N::Pickup, Off), Card(N::Isolation, Off)],
            [Card(N::Functions, Off), COUPLER],
        ),
        (
            AlterationKind::MotorWireChanged,
            [Card(N::WeakSource, Off), Card(N::Soak, On)],
            [Card(N::Pickup, Off), COUPLER],
        ),
        (
            AlterationKind::FunctionWireChanged,
            [Card(N::Functions, Off), Card(N::Isolation, On)],
            [Card(N::Speaker, Off), COUPLER],
        ),
        (
            AlterationKind::SpeakerWireChanged,
            [Card(N::Speaker, Off), Card(N::Speaker, On)],
            [Card(N::Store, Off), COUPLER],
        ),
        (
            AlterationKind::StoreWireChanged,
            [Card(N::Store, Off), Card(N::DryClose, On)],
            [Card(N::Functions, Off), COUPLER],
        ),
        (
            AlterationKind::OtherWireChanged,
            [Card(N::Isolation, Off), Card(N::Functions, Off)],
            [Card(N::Pickup, Off), SCREW],
        ),
        (
            AlterationKind::WheelsChanged,
            [COUPLER, Datum(What::Wheelbase, From::FirstAxle, false)],
            [SCREW, Card(N::Soak, On)],
        ),
    ];

    /// Per row: a run of a card or a datum it makes stale, and one it leaves.
    #[test]
    fn each_alteration_makes_stale_the_cards_and_datums_it_touches_and_leaves_the_rest() {
        for (alteration, stale, holds) in CARD_ROWS {
            for one in stale {
                assert!(affects(alteration, one), "{alteration:?} should make {one:?} stale");
            }
            for one in holds {
                assert!(!affects(alteration, one), "{alteration:?} should leave {one:?}");
            }
        }
    }

    #[test]
    fn only_a_strictly_older_reading_is_stale_and_the_newest_alteration_is_named() {
        let of = |kind, at_ms| Alteration { kind, at_ms, who: "Ines".into(), what: String::new() };
        let done = [
            of(AlterationKind::MotorChanged, 100),
            of(AlterationKind::BrushesTouched, 200),
            of(AlterationKind::ShellChanged, 900),
        ];
        let by = |at| made_stale_by(&done, ReadingKind::Held, at).map(|a| a.at_ms);
        assert_eq!([by(99), by(100), by(199), by(200)], [Some(200), Some(200), Some(200), None]);
    }
}
