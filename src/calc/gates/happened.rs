//! The words of the alterations.

use super::facts::AlterationKind;

impl AlterationKind {
    /// All, in the order of the table.
    pub const ALL: [AlterationKind; 14] = [
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
    ];

    /// Key as kept: `motor_changed`. The same word as in JSON.
    pub fn key(self) -> &'static str {
        self.words().0
    }

    /// What happened, to begin a sentence: `The motor was changed`.
    pub fn happened(self) -> &'static str {
        self.words().1
    }

    /// What it is, for a list to choose from: `another motor, or the same one rewound`.
    pub fn word(self) -> &'static str {
        self.words().2
    }

    /// The alteration of that key.
    pub fn from_key(key: &str) -> Option<AlterationKind> {
        AlterationKind::ALL.into_iter().find(|kind| kind.key() == key)
    }

    fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            AlterationKind::MotorChanged => {
                ("motor_changed", "The motor was changed", "another motor, or the same one rewound")
            }
            AlterationKind::BrushesTouched => (
                "brushes_touched",
                "The brushes were touched",
                "brushes, springs, caps or straps out or moved",
            ),
            AlterationKind::MechanismWorked => (
                "mechanism_worked",
                "The mechanism was worked on",
                "gears, rods, bearings or grease worked on",
            ),
            AlterationKind::DecoderChanged => (
                "decoder_changed",
                "The decoder was changed",
                "another decoder, or the same one wired anew",
            ),
            AlterationKind::JointRemade => {
                ("joint_remade", "A joint was made again", "a soldered or plugged joint made again")
            }
            AlterationKind::PickupsWorked => (
                "pickups_worked",
                "The pickups were worked on",
                "wipers, collectors or their leads worked on",
            ),
            AlterationKind::ChassisChanged => {
                ("chassis_changed", "The chassis was changed", "another chassis")
            }
            AlterationKind::FrameCut => {
                ("frame_cut", "The frame was cut", "metal cut off the frame")
            }
            AlterationKind::ShellChanged => (
                "shell_changed",
                "The shell was changed",
                "another shell, or the shell altered inside",
            ),
            AlterationKind::LampsChanged => (
                "lamps_changed",
                "The lamps were changed",
                "lamps, their resistors or leads changed",
            ),
            AlterationKind::SpeakerChanged => {
                ("speaker_changed", "The speaker was changed", "speaker or its leads changed")
            }
            AlterationKind::StoreChanged => {
                ("store_changed", "The store was changed", "store or its charging parts changed")
            }
            AlterationKind::PartFitted => (
                "part_fitted",
                "A part was fitted",
                "a planned part fitted for the first time: decoder, lamps, speaker, store",
            ),
            AlterationKind::WheelsChanged => (
                "wheels_changed",
                "The wheels were changed",
                "wheels or wheelsets changed or turned round",
            ),
        }
    }
}
