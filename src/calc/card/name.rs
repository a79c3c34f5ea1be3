//! The names of the cards, as kept and as printed, and the state of the shell.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Whether the shell was on while a card was done.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Shell {
    /// Chassis alone.
    Off,
    /// Shell on.
    On,
}

impl Shell {
    /// As kept: `off`.
    pub fn key(self) -> &'static str {
        match self {
            Shell::Off => "off",
            Shell::On => "on",
        }
    }

    /// In words: `shell off`.
    pub fn word(self) -> &'static str {
        match self {
            Shell::Off => "shell off",
            Shell::On => "shell on",
        }
    }

    /// The one of that key.
    pub fn from_key(key: &str) -> Option<Shell> {
        [Shell::Off, Shell::On].into_iter().find(|s| s.key() == key)
    }
}

/// One card.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum CardName {
    /// Motor against rails and frame.
    Isolation,
    /// Wheels to the decoder's input.
    Pickup,
    /// Current with the wheels slipping.
    Slip,
    /// Current with the motor held.
    Locked,
    /// Current running free, at four voltages.
    FreeRun,
    /// Motor alone, five minutes.
    MotorHeat,
    /// First power from a 9 V battery.
    WeakSource,
    /// First track power through a resistor or a bulb.
    SeriesGuard,
    /// A value read back twice.
    ReadBack,
    /// Each function output alone.
    Functions,
    /// Speaker.
    Speaker,
    /// Hold-up store.
    Store,
    /// Shell on over paper strips.
    DryClose,
    /// Lock to lock with the meter on.
    Swing,
    /// Fifteen minutes of running, with temperature.
    Soak,
    /// Wheelset twisted by hand.
    Twist,
    /// Held current from the winding.
    Winding,
}

impl CardName {
    /// All, in the order of their numbers.
    pub const ALL: [CardName; 17] = [
        CardName::Isolation,
        CardName::Pickup,
        CardName::Slip,
        CardName::Locked,
        CardName::FreeRun,
        CardName::MotorHeat,
        CardName::WeakSource,
        CardName::SeriesGuard,
        CardName::ReadBack,
        CardName::Functions,
        CardName::Speaker,
        CardName::Store,
        CardName::DryClose,
        CardName::Swing,
        CardName::Soak,
        CardName::Twist,
        CardName::Winding,
    ];

    /// As kept and in addresses: `dry_close`. The same word as in JSON.
    pub fn key(self) -> &'static str {
        match self {
            CardName::Isolation => "isolation",
            CardName::Pickup => "pickup",
            CardName::Slip => "slip",
            CardName::Locked => "locked",
            CardName::FreeRun => "free_run",
            CardName::MotorHeat => "motor_heat",
            CardName::WeakSource => "weak_source",
            CardName::SeriesGuard => "series_guard",
            CardName::ReadBack => "read_back",
            CardName::Functions => "functions",
            CardName::Speaker => "speaker",
            CardName::Store => "store",
            CardName::DryClose => "dry_close",
            CardName::Swing => "swing",
            CardName::Soak => "soak",
            CardName::Twist => "twist",
            CardName::Winding => "winding",
        }
    }

    /// Its number: 1 to 17.
    pub fn no(self) -> usize {
        CardName::ALL.iter().position(|n| *n == self).map_or(0, |i| i + 1)
    }

    /// The card of that key.
    pub fn from_key(key: &str) -> Option<CardName> {
        CardName::ALL.into_iter().find(|n| n.key() == key)
    }
}
