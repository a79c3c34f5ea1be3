//! The failure catalogue: symptoms people see, causes behind them, and which causes are offered for a
//! symptom, the likelier first.
//!
//! Source: common practice, counted in public discussions of conversions; the order within a symptom is a
//! judgement, no source. It decides only what is offered first.

use crate::choices;
use CauseKind as C;

choices! {
    /// What was seen.
    pub enum Symptom = "symptom" {
        Smoked = "smoked", "smoked, smelt, or the breaker tripped";
        DecoderHot = "decoder_hot", "decoder too hot";
        StopsWhenWarm = "stops_when_warm", "stops when warm, comes back after cooling";
        MotorDead = "motor_dead", "lights and sound work, motor dead";
        Nothing = "nothing", "nothing at all";
        NoRead = "no_read", "can’t be read or written";
        Stutters = "stutters", "stutters, lights flicker, sound restarts";
        OnePlace = "one_place", "shorts or stops in one place or direction";
        ShellOn = "shell_on", "works with the shell off, not with it on";
        Click = "click", "clicks or limps once per wheel turn";
        Surges = "surges", "surges, crawls badly, noisy";
        LightWrong = "light_wrong", "a light is wrong, dim or dead";
        SoundWrong = "sound_wrong", "no sound, or it buzzes or scratches";
        RunsAway = "runs_away", "runs away at power-up";
        BoosterTrips = "booster_trips", "booster trips at power-up";
        OneDirection = "one_direction", "runs one way only, or changes by itself";
        DiedLater = "died_later", "died after working for weeks";
        Slower = "slower", "slower and warmer year by year";
        Derails = "derails", "derails or leans after the work";
        NoHoldUp = "no_hold_up", "hold-up store does nothing";
        NoRoom = "no_room", "does not fit";
        FrameBroken = "frame_broken", "frame grown, cracked or crumbled";
        WentWell = "went_well", "nothing failed: what went well";
        Other = "other", "something else";
    }
}

choices! {
    /// What may be behind it.
    pub enum CauseKind = "cause" {
        BrushJoined = "brush_joined", "motor brush or tag still joined to frame or pickup";
        IsolationLater = "isolation_later", "isolation failed later: swing, wear, loose screw";
        BoardTouches = "board_touches", "board, tag or clip touches metal, or makes bad contact";
        SolderBridge = "solder_bridge", "solder bridge or whisker";
        LeadJoined = "lead_joined", "function lead or lamp holder joined to frame or pickup";
        StrayStrand = "stray_strand", "splice without sleeve, or a stray strand";
        FactoryBoard = "factory_board", "factory board still in the circuit";
        StoreWrong = "store_wrong", "hold-up store reversed, on wrong pads, or of too low a voltage";
        WrongWayRound = "wrong_way_round", "plug or board the wrong way round";
        TooMuchCurrent = "too_much_current", "more current than the rating allows";
        MeasuredWrong = "measured_wrong", "measured wrongly, or not under the conditions that count";
        NotMeasured = "not_measured", "not measured before buying";
        Defective = "defective", "the bought part was defective";
        Suppression = "suppression", "suppression parts still across the motor";
        Winding = "winding", "winding partly shorted";
        Magnets = "magnets", "magnets weak";
        Brushes = "brushes", "brushes or commutator dirty or worn";
        DriveSetting = "drive_setting", "drive frequency or feedback unsuited to the motor";
        Bind = "bind", "mechanism binds: mesh, quartering, old grease";
        BadRunner = "bad_runner", "it ran badly on direct current before";
        PickupPoor = "pickup_poor", "poor pickup: dirt, bent wiper, wheels not used";
        LooseContact = "loose_contact", "loose plug, screw or joint";
        WirePinched = "wire_pinched", "wire pinched or rubbed through";
        LeadStiff = "lead_stiff", "lead to bogie or tender stiff or broken";
        AxleGear = "axle_gear", "axle gear cracked";
        Gauge = "gauge", "wheelset out of gauge or turned round";
        Coupler = "coupler", "coupler height or trip pin";
        Balance = "balance", "weight taken out or put on one side";
        Track = "track", "the track: dead frog, turnout, dirt";
        NoHeatPath = "no_heat_path", "no way for the heat to go";
        TrackVolts = "track_volts", "track voltage too high";
        FullPowerFirst = "full_power_first", "put on full power first";
        LedWrong = "led_wrong", "LED reversed, or without its resistor";
        Bulb = "bulb", "bulb of the wrong voltage, its inrush or its heat";
        OutputBlown = "output_blown", "an output blown by an earlier short";
        SpeakerLoose = "speaker_loose", "speaker leaks, rubs or is loose";
        Amplifier = "amplifier", "amplifier overloaded, or a speaker lead on the frame";
        Settings = "settings", "address, mute, consist or another setting";
        Programming = "programming", "store or weak programming output upsets it";
        Inrush = "inrush", "several stores charge at once";
        ShellIsCircuit = "shell_is_circuit", "the shell or a screw was part of the circuit";
        Colours = "colours", "wire colours were not the standard ones";
        RoomWrong = "room_wrong", "room measured or planned wrongly";
        Swarf = "swarf", "cutting dust in motor or gears";
        FrameGrowth = "frame_growth", "cast frame grows or crumbles";
        Handling = "handling", "damaged by handling or static";
        WrongSupply = "wrong_supply", "wrong supply, or a gap between supplies crossed";
        GoodMethod = "good_method", "a way of working that paid off";
        NotFound = "not_found", "not found";
        Other = "other", "something else";
    }
}

/// Causes behind each symptom, the likelier first.
const BEHIND: [(Symptom, &[CauseKind]); 24] = [
    (
        Symptom::Smoked,
        &[
            C::BrushJoined,
            C::BoardTouches,
            C::SolderBridge,
            C::LeadJoined,
            C::StrayStrand,
            C::FactoryBoard,
            C::StoreWrong,
            C::WrongWayRound,
            C::TooMuchCurrent,
            C::FullPowerFirst,
            C::Defective,
        ],
    ),
    (
        Symptom::DecoderHot,
        &[
            C::TooMuchCurrent,
            C::LeadJoined,
            C::Winding,
            C::NoHeatPath,
            C::Suppression,
            C::Amplifier,
            C::StoreWrong,
            C::IsolationLater,
            C::Bind,
            C::MeasuredWrong,
            C::NotMeasured,
            C::TrackVolts,
            C::DriveSetting,
            C::Magnets,
            C::SolderBridge,
            C::Defective,
        ],
    ),
    (
        Symptom::StopsWhenWarm,
        &[C::NoHeatPath, C::TooMuchCurrent, C::Bind, C::LooseContact, C::Brushes, C::Inrush],
    ),
    (
        Symptom::MotorDead,
        &[C::LooseContact, C::BoardTouches, C::Bind, C::Defective, C::Settings, C::Brushes],
    ),
    (
        Symptom::Nothing,
        &[
            C::PickupPoor,
            C::LooseContact,
            C::LeadStiff,
            C::ShellIsCircuit,
            C::Settings,
            C::Defective,
        ],
    ),
    (
        Symptom::NoRead,
        &[C::PickupPoor, C::LooseContact, C::Programming, C::DriveSetting, C::Settings],
    ),
    (Symptom::Stutters, &[C::PickupPoor, C::Track, C::LooseContact, C::StoreWrong, C::LeadStiff]),
    (
        Symptom::OnePlace,
        &[C::Track, C::IsolationLater, C::AxleGear, C::Gauge, C::Coupler, C::WirePinched],
    ),
    (
        Symptom::ShellOn,
        &[
            C::WirePinched,
            C::LeadJoined,
            C::BoardTouches,
            C::NoHeatPath,
            C::Amplifier,
            C::ShellIsCircuit,
        ],
    ),
    (Symptom::Click, &[C::AxleGear, C::Bind, C::Gauge]),
    (Symptom::Surges, &[C::Suppression, C::DriveSetting, C::Bind, C::Brushes, C::Magnets]),
    (
        Symptom::LightWrong,
        &[C::LedWrong, C::OutputBlown, C::Bulb, C::Settings, C::LeadJoined, C::WirePinched],
    ),
    (
        Symptom::SoundWrong,
        &[C::Settings, C::LooseContact, C::SpeakerLoose, C::Amplifier, C::Defective],
    ),
    (Symptom::RunsAway, &[C::Settings, C::WrongSupply, C::LooseContact, C::Defective]),
    (Symptom::BoosterTrips, &[C::Inrush, C::BrushJoined, C::Track]),
    (
        Symptom::OneDirection,
        &[C::Defective, C::Brushes, C::LooseContact, C::BoardTouches, C::Settings],
    ),
    (
        Symptom::DiedLater,
        &[C::IsolationLater, C::WirePinched, C::PickupPoor, C::LooseContact, C::Brushes],
    ),
    (Symptom::Slower, &[C::Magnets, C::Bind, C::Brushes, C::FrameGrowth]),
    (Symptom::Derails, &[C::LeadStiff, C::Balance, C::Coupler, C::Gauge, C::FrameGrowth]),
    (Symptom::NoHoldUp, &[C::Settings, C::StoreWrong, C::TooMuchCurrent, C::Defective]),
    (Symptom::NoRoom, &[C::RoomWrong, C::Handling]),
    (Symptom::FrameBroken, &[C::FrameGrowth, C::Handling, C::RoomWrong]),
    (Symptom::WentWell, &[C::GoodMethod]),
    (Symptom::Other, &[]),
];

/// Causes offered for a symptom, the likelier first. “Not found” and “something else” are always offered
/// after them.
pub fn offered(symptom: Symptom) -> &'static [CauseKind] {
    BEHIND.iter().find(|(s, _)| *s == symptom).map_or(&[], |(_, causes)| causes)
}

/// Codes and labels for a select: likely ones, and all others.
pub fn groups(symptom: Symptom) -> Vec<(&'static str, Vec<(String, String)>)> {
    use crate::choice::Choice;
    let row = |c: CauseKind| (c.code().to_owned(), c.label().to_owned());
    let always = [CauseKind::NotFound, CauseKind::Other];
    let likely = offered(symptom);
    let first: Vec<_> = likely.iter().chain(&always).map(|c| row(*c)).collect();
    let rest = CauseKind::ALL.iter().filter(|c| !likely.contains(c) && !always.contains(c));
    vec![("often behind this", first), ("any other", rest.map(|c| row(*c)).collect())]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choice::Choice;

    #[test]
    fn each_cause_can_be_chosen_once_whatever_the_symptom() {
        for symptom in Symptom::ALL {
            let mut codes: Vec<String> =
                groups(*symptom).into_iter().flat_map(|(_, rows)| rows).map(|(c, _)| c).collect();
            codes.sort();
            let before = codes.len();
            codes.dedup();
            assert_eq!((before, codes.len()), (CauseKind::ALL.len(), CauseKind::ALL.len()));
            assert!(BEHIND.iter().any(|(s, _)| s == symptom), "{}", symptom.code());
        }
    }

    #[test]
    fn every_cause_is_offered_for_some_symptom_or_is_general() {
        let general = [
            CauseKind::NotFound,
            CauseKind::Other,
            CauseKind::BadRunner,
            CauseKind::Colours,
            CauseKind::Swarf,
        ];
        for cause in CauseKind::ALL {
            let somewhere = Symptom::ALL.iter().any(|s| offered(*s).contains(cause));
            assert!(somewhere || general.contains(cause), "{}", cause.code());
        }
    }
}
