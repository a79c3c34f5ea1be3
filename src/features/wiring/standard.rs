//! The leads of a decoder and the colours the standards give them. Pure.
//!
//! Colours: NMRA S-9.1.1, reproduced on two pages (read second-hand); contacts: NEM 651 and NEM 652 (2017,
//! read). Where the lists contradict each other or leave it to the maker, no colour is said: a colour that
//! is guessed is worse than none.

use crate::calc::gates::WireJob;
use crate::choice::Choice;
use crate::choices;

choices! {
    /// Where a wire begins on the decoder.
    pub enum Terminal = "terminal" {
        TrackRight = "track_right", "track right";
        TrackLeft = "track_left", "track left";
        MotorPlus = "motor_plus", "motor +";
        MotorMinus = "motor_minus", "motor −";
        CommonPlus = "common_plus", "common +";
        LightFront = "light_front", "front light";
        LightRear = "light_rear", "rear light";
        Function1 = "function_1", "function 1";
        Function2 = "function_2", "function 2";
        Function3 = "function_3", "function 3";
        Function4 = "function_4", "function 4";
        SpeakerA = "speaker_a", "speaker A";
        SpeakerB = "speaker_b", "speaker B";
        StorePlus = "store_plus", "store +";
        StoreMinus = "store_minus", "store −";
        Ground = "ground", "ground";
        Free = "free", "free: not on the decoder";
    }
}

choices! {
    /// Colour of the insulation.
    pub enum Colour = "colour" {
        Red = "red", "red";
        Black = "black", "black";
        Orange = "orange", "orange";
        Grey = "grey", "grey";
        White = "white", "white";
        Yellow = "yellow", "yellow";
        Blue = "blue", "blue";
        Green = "green", "green";
        Violet = "violet", "violet";
        Brown = "brown", "brown";
        Pink = "pink", "pink";
        BlackWhite = "black_white", "black and white";
        Bare = "bare", "bare or clear";
        Other = "other", "another colour";
    }
}

/// A colour as the standards give it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standard {
    /// The colour.
    pub colour: Colour,
    /// What the row says.
    pub row: &'static str,
    /// Which standard, which contact, how it was read.
    pub source: &'static str,
}

/// The seven colours that no other wire should have (NMRA S-9.1.1, read second-hand).
pub const RESERVED: [Colour; 7] = [
    Colour::Red,
    Colour::Black,
    Colour::Orange,
    Colour::Grey,
    Colour::White,
    Colour::Yellow,
    Colour::Blue,
];

impl Terminal {
    /// The colour of this lead; `None` where the standards don't say, or contradict each other.
    pub fn standard(self) -> Option<Standard> {
        let (colour, row, source) = match self {
            Terminal::TrackRight => (
                Colour::Red,
                "red: right-hand rail pickup",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 3, NEM 652 contact 8",
            ),
            Terminal::TrackLeft => (
                Colour::Black,
                "black: left-hand rail pickup",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 4, NEM 652 contact 4",
            ),
            Terminal::MotorPlus => (
                Colour::Orange,
                "orange: the motor terminal that was on the right rail",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 1, NEM 652 contact 1",
            ),
            Terminal::MotorMinus => (
                Colour::Grey,
                "grey: the motor terminal that was on the left rail",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 2, NEM 652 contact 5",
            ),
            Terminal::LightFront => (
                Colour::White,
                "white: front headlight, switched negative",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 5, NEM 652 contact 6",
            ),
            Terminal::LightRear => (
                Colour::Yellow,
                "yellow: rear headlight, switched negative",
                "NMRA S-9.1.1, read second-hand; NEM 651 contact 6, NEM 652 contact 2",
            ),
            Terminal::CommonPlus => (
                Colour::Blue,
                "blue: function common, positive",
                "NMRA S-9.1.1, read second-hand; NEM 652 contact 7",
            ),
            Terminal::Function1 => (
                Colour::Green,
                "green: function 1",
                "NMRA S-9.1.1, read second-hand; NEM 652 contact 3, which may be empty",
            ),
            Terminal::Function2 => (
                Colour::Violet,
                "violet: function 2",
                "NMRA S-9.1.1 by one list, read second-hand; from memory",
            ),
            _ => return None,
        };
        Some(Standard { colour, row, source })
    }

    /// Why no colour is said; empty where one is.
    pub fn no_colour(self) -> &'static str {
        match self {
            Terminal::Function3 => "lists disagree: brown here, or brown on the speaker",
            Terminal::SpeakerA | Terminal::SpeakerB => "by maker; brown in some lists",
            Terminal::Function4 | Terminal::StorePlus | Terminal::StoreMinus | Terminal::Ground => {
                "by maker"
            }
            Terminal::Free => "any, but none of the seven",
            _ => "",
        }
    }

    /// What the wire is for, as the staleness table knows it.
    pub fn job(self) -> WireJob {
        match self {
            Terminal::TrackRight | Terminal::TrackLeft => WireJob::Rail,
            Terminal::MotorPlus | Terminal::MotorMinus => WireJob::Motor,
            Terminal::SpeakerA | Terminal::SpeakerB => WireJob::Speaker,
            Terminal::StorePlus | Terminal::StoreMinus => WireJob::Store,
            Terminal::Ground | Terminal::Free => WireJob::Other,
            _ => WireJob::Function,
        }
    }

    /// A switched output: its other end hangs on the common.
    pub fn is_output(self) -> bool {
        self.job() == WireJob::Function && self != Terminal::CommonPlus
    }

    /// The side of the decoder it is drawn on: track and motor left, the rest right.
    pub fn on_the_left(self) -> bool {
        matches!(self.job(), WireJob::Rail | WireJob::Motor)
    }

    /// Name on the drawing and in sentences: `motor +`, `free`.
    pub fn word(self) -> &'static str {
        if self == Terminal::Free { "free" } else { self.label() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The order of the contacts as NEM 651 (2017) and NEM 652 (2017) list them, read in the standards: 651:
    /// 1 orange, 2 grey, 3 red, 4 black, 5 white, 6 yellow; 652: 1 orange, 2 yellow, 3 green, 4 black, 5 grey,
    /// 6 white, 7 blue, 8 red.
    #[test]
    fn colours_and_contacts_are_those_of_the_published_plugs() {
        use Colour as C;
        let six = [C::Orange, C::Grey, C::Red, C::Black, C::White, C::Yellow];
        let eight = [C::Orange, C::Yellow, C::Green, C::Black, C::Grey, C::White, C::Blue, C::Red];
        let said = |plug: &str, colour: C| {
            let all = Terminal::ALL.iter().filter_map(|t| t.standard());
            let found = all.filter(|s| s.colour == colour).map(|s| s.source).collect::<Vec<_>>();
            assert_eq!(found.len(), 1, "{colour:?}");
            let after = found[0].split(&format!("{plug} contact ")).nth(1)?;
            after.chars().next()?.to_digit(10)
        };
        for (contact, colour) in (1..).zip(six) {
            assert_eq!(said("NEM 651", colour), Some(contact), "{colour:?}");
        }
        for (contact, colour) in (1..).zip(eight) {
            assert_eq!(said("NEM 652", colour), Some(contact), "{colour:?}");
        }
        assert_eq!(said("NEM 651", C::Blue), None);
    }

    #[test]
    fn where_the_lists_disagree_no_colour_is_said_but_why() {
        for t in Terminal::ALL {
            assert_eq!(t.standard().is_none(), !t.no_colour().is_empty(), "{t:?}");
        }
        assert_eq!(Terminal::Function3.standard(), None);
        assert_eq!(Terminal::SpeakerA.standard(), None);
    }

    #[test]
    fn every_reserved_colour_belongs_to_one_lead() {
        for colour in RESERVED {
            let of = Terminal::ALL.iter().filter_map(|t| t.standard());
            assert_eq!(of.filter(|s| s.colour == colour).count(), 1, "{colour:?}");
        }
    }
}
