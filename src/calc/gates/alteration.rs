//! The kinds of alteration in words.

use super::facts::AlterationKind;

/// Key, what happened, what it is: for each kind.
#[rustfmt::skip]
const WORDS: [(AlterationKind, [&str; 3]); 20] = [
    (AlterationKind::MotorChanged, ["motor_changed", "The motor was changed",
        "another motor, or the same one rewound"]),
    (AlterationKind::BrushesTouched, ["brushes_touched", "The brushes were touched",
        "brushes, springs, caps or straps out or moved"]),
    (AlterationKind::MechanismWorked, ["mechanism_worked", "The mechanism was worked on",
        "gears, rods, bearings or grease worked on"]),
    (AlterationKind::DecoderChanged, ["decoder_changed", "The decoder was changed",
        "another decoder, or the same one wired anew"]),
    (AlterationKind::JointRemade, ["joint_remade", "A joint was made again",
        "a soldered or plugged joint made again"]),
    (AlterationKind::PickupsWorked, ["pickups_worked", "The pickups were worked on",
        "wipers, collectors or their leads worked on"]),
    (AlterationKind::ChassisChanged, ["chassis_changed", "The chassis was changed",
        "another chassis"]),
    (AlterationKind::FrameCut, ["frame_cut", "The frame was cut",
        "metal cut off the frame"]),
    (AlterationKind::ShellChanged, ["shell_changed", "The shell was changed",
        "another shell, or the shell altered inside"]),
    (AlterationKind::LampsChanged, ["lamps_changed", "The lamps were changed",
        "lamps, their resistors or leads changed"]),
    (AlterationKind::SpeakerChanged, ["speaker_changed", "The speaker was changed",
        "speaker or its leads changed"]),
    (AlterationKind::StoreChanged, ["store_changed", "The store was changed",
        "store or its charging parts changed"]),
    (AlterationKind::PartFitted, ["part_fitted", "A part was fitted",
        "a planned part fitted for the first time: decoder, lamps, speaker, store"]),
    (AlterationKind::WheelsChanged, ["wheels_changed", "The wheels were changed",
        "wheels or wheelsets changed or turned round"]),
    (AlterationKind::RailWireChanged, ["rail_wire_changed", "A wire to a rail was changed",
        "a wire between rail and decoder put in, moved or out"]),
    (AlterationKind::MotorWireChanged, ["motor_wire_changed", "A wire to the motor was changed",
        "a wire between decoder and motor put in, moved or out"]),
    (AlterationKind::FunctionWireChanged, ["function_wire_changed", "A function wire was changed",
        "a wire of a function or the common put in, moved or out"]),
    (AlterationKind::SpeakerWireChanged, ["speaker_wire_changed", "A speaker wire was changed",
        "a wire to the speaker put in, moved or out"]),
    (AlterationKind::StoreWireChanged, ["store_wire_changed", "A wire to the store was changed",
        "a wire to the store put in, moved or out"]),
    (AlterationKind::OtherWireChanged, ["other_wire_changed", "Another wire was changed",
        "ground, or a wire not on the decoder, put in, moved or out"]),
];

impl AlterationKind {
    /// All, in the order of the table.
    pub const ALL: [AlterationKind; 20] = [
        AlterationKind::MotorChanged,
        AlterationKind::BrushesTouched,
        AlterationKind::MechanismWorked,
        AlterationKind::DecoderChanged,
        AlterationKind::JointRemade,
        AlterationKind::PickupsWorked,
        AlterationKind::ChassisChanged,
        AlterationKind::FrameCut,
        AlterationKind::ShellChanged,
        AlterationKind::LampsChanged,
        AlterationKind::SpeakerChanged,
        AlterationKind::StoreChanged,
        AlterationKind::PartFitted,
        AlterationKind::WheelsChanged,
        AlterationKind::RailWireChanged,
        AlterationKind::MotorWireChanged,
        AlterationKind::FunctionWireChanged,
        AlterationKind::SpeakerWireChanged,
        AlterationKind::StoreWireChanged,
        AlterationKind::OtherWireChanged,
    ];

    /// Key as kept: `motor_changed`. The same word as in JSON.
    pub fn key(self) -> &'static str {
        self.words()[0]
    }

    /// What happened, to begin a sentence: `The motor was changed`.
    pub fn happened(self) -> &'static str {
        self.words()[1]
    }

    /// What it is, for a list to choose from: `another motor, or the same one rewound`.
    pub fn word(self) -> &'static str {
        self.words()[2]
    }

    /// The alteration of that key.
    pub fn from_key(key: &str) -> Option<AlterationKind> {
        AlterationKind::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// The words of the table; a test holds that every kind is in it.
    fn words(self) -> [&'static str; 3] {
        WORDS.iter().find(|(kind, _)| *kind == self).map_or([""; 3], |(_, words)| *words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_come_back() {
        for kind in AlterationKind::ALL {
            assert_eq!(AlterationKind::from_key(kind.key()), Some(kind));
            assert_eq!(serde_json::to_value(kind).unwrap(), kind.key());
        }
        assert_eq!(AlterationKind::from_key("polished"), None);
    }
}
