//! Where the decoder and the shell are while a card is done.

use super::name::Shell;

/// Where the decoder is while a card is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fitted {
    /// Not in, or unplugged: a meter can harm it, and it hides a join.
    Out,
    /// In and plugged.
    In,
    /// Either.
    Either,
}

impl Fitted {
    /// In words: `before the decoder goes in, or with it unplugged`.
    pub fn word(self) -> &'static str {
        match self {
            Fitted::Out => "before the decoder goes in, or with it unplugged",
            Fitted::In => "with the decoder in",
            Fitted::Either => "with or without the decoder",
        }
    }
}

/// With which shell a card is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Twin {
    /// Shell off only.
    OffOnly,
    /// Shell on only.
    OnOnly,
    /// Shell off first, then its twin with the shell on.
    Both,
}

impl Twin {
    /// Whether the card can be done with that shell.
    pub fn takes(self, shell: Shell) -> bool {
        match self {
            Twin::OffOnly => shell == Shell::Off,
            Twin::OnOnly => shell == Shell::On,
            Twin::Both => true,
        }
    }

    /// In words, for the paper card.
    pub fn word(self) -> &'static str {
        match self {
            Twin::OffOnly => "shell off",
            Twin::OnOnly => "shell on",
            Twin::Both => "shell off, then the twin with the shell on",
        }
    }
}
