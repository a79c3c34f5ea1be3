//! The one list of cards: what each is for, what it takes, what to do and what to expect.

use super::name::{CardName, Shell};
use crate::calc::gates::GateName;

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

/// One card.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card {
    /// Which.
    pub name: CardName,
    /// Title as printed.
    pub title: &'static str,
    /// What it tells, one sentence.
    pub tells: &'static str,
    /// What is needed at hand.
    pub needs: &'static [&'static str],
    /// What to do, in order.
    pub steps: &'static [&'static str],
    /// What it should read, with its bounds.
    pub expect: &'static str,
    /// What a bad reading looks like and where to go on then.
    pub fails: &'static str,
    /// The caution at this step; empty where none belongs.
    pub caution: &'static str,
    /// The gate it serves.
    pub gate: GateName,
    /// With which shell.
    pub twin: Twin,
    /// Before or after the decoder.
    pub decoder: Fitted,
    /// Rough time, minutes.
    pub minutes: u32,
    /// Where its bounds come from.
    pub source: &'static str,
}

/// The card of that name.
pub fn card(name: CardName) -> &'static Card {
    &CARDS[name as usize]
}

const PRACTICE: &str = "common practice, no source";
const MEMORY: &str = "common practice; the limits are from memory";
const HOT: &str = "Hot parts: stop, don’t touch, let it cool. Never leave a first run alone.";

/// All cards, in the order of [`CardName::ALL`].
pub const CARDS: [Card; 17] = [
    Card {
        name: CardName::Isolation,
        title: "Isolation",
        tells: "Whether the motor is off both rails and the frame.",
        needs: &["multimeter on its highest ohm range, beep off"],
        steps: &[
            "Take the decoder out or unplug it.",
            "Put one probe on a brush, the other on left rail, right rail, then frame. Do the same for the other brush.",
            "Turn the wheels, swing the bogies, squeeze the frame, and watch the meter all the while.",
        ],
        expect: "Over range, six times, and it stays so while everything moves: more than 1 MΩ.",
        fails: "Any beep or number: write down which pair, and find what joins it before power.",
        caution: "",
        gate: GateName::FirstPower,
        twin: Twin::Both,
        decoder: Fitted::Out,
        minutes: 15,
        source: PRACTICE,
    },
    Card {
        name: CardName::Pickup,
        title: "Pickup",
        tells: "Which wheels really bring current to the decoder’s input.",
        needs: &["multimeter on its lowest ohm range", "the pickup map"],
        steps: &[
            "Put one probe on the decoder’s input pad or its wire end.",
            "Put the other on each wheel tread in turn. Turn the wheel, swing the bogie.",
        ],
        expect: "Below 1 Ω and steady at every wheel that should pick up.",
        fails: "Above 2 Ω, open or jumping: dirt, paint, grease, or a wiper that doesn’t touch.",
        caution: "",
        gate: GateName::Close,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 15,
        source: PRACTICE,
    },
    Card {
        name: CardName::Slip,
        title: "Slipping current",
        tells: "What the motor draws at the most it can pull.",
        needs: &["smooth direct-current supply", "ammeter on its 10 A jack", "voltmeter at the loco"],
        steps: &[
            "Hold the loco by its coupler on the track.",
            "Full voltage, wheels slipping: read amps, and volts at the loco.",
        ],
        expect: "A steady current, with the voltage it was read at.",
        fails: "The wheels won’t slip: more weight than grip. Write down the weight; the held current counts then.",
        caution: "",
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 5,
        source: PRACTICE,
    },
    Card {
        name: CardName::Locked,
        title: "Held current",
        tells: "The worst current the decoder can meet.",
        needs: &["smooth direct-current supply", "ammeter on its 10 A jack", "voltmeter at the loco"],
        steps: &[
            "Hold the wheels or the flywheel still, power on, read within two seconds, power off.",
            "Let the motor rest a minute.",
        ],
        expect: "A current, with the voltage at the loco while it was held.",
        fails: "A smell from the winding: stop. It won’t be held: say so.",
        caution: "Two seconds at most: a held motor heats fast.",
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 5,
        source: PRACTICE,
    },
    Card {
        name: CardName::FreeRun,
        title: "Free run at four voltages",
        tells: "Whether the mechanism turns smoothly from slow to fast.",
        needs: &["rollers, or the loco on its back", "smooth direct-current supply", "ammeter"],
        steps: &[
            "Run it at 3, 6, 9 and 12 V, and let it settle at each.",
            "Do the same the other way round.",
            "Watch the needle over a whole turn of the wheels.",
        ],
        expect: "Each step draws as much as the one before or a little more; no swing.",
        fails: "A swing once per wheel turn: a bind, quartering, or a cracked axle gear.",
        caution: "",
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 15,
        source: PRACTICE,
    },
    Card {
        name: CardName::MotorHeat,
        title: "Motor alone, five minutes",
        tells: "Whether the winding itself makes heat with nothing to drive.",
        needs: &["motor out of the frame", "12 V supply", "ammeter", "probe thermometer"],
        steps: &["Read the case.", "Run the motor alone at 12 V for five minutes.", "Read the case again."],
        expect: "Luke-warm: up to 45 °C.",
        fails: "Over 60 °C at a low current: part of the winding is shorted. 45 to 60 °C: clean the commutator first.",
        caution: HOT,
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 10,
        source: MEMORY,
    },
    Card {
        name: CardName::WeakSource,
        title: "Weak source",
        tells: "Whether it answers at all, from a source too weak to burn much.",
        needs: &["9 V battery, not a fresh high-drain one", "two leads to the rails"],
        steps: &["Put the battery on the rails.", "Turn it round and do it again."],
        expect: "Lights show and it creeps, with the battery either way round.",
        fails: "Nothing: unplug the speaker and try again before looking further.",
        caution: "At smoke or smell take the battery off and don’t touch.",
        gate: GateName::Close,
        twin: Twin::OffOnly,
        decoder: Fitted::In,
        minutes: 5,
        source: PRACTICE,
    },
    Card {
        name: CardName::SeriesGuard,
        title: "Series guard",
        tells: "Whether full track voltage finds a short.",
        needs: &["100 Ω resistor of 5 W, or a 12 V bulb of 5 to 21 W, in one track lead"],
        steps: &["Speed zero, lights off.", "Track power on through the resistor or bulb, and look."],
        expect: "No glow, or a dim one, at rest. The resistor stays cold.",
        fails: "A bright glow or a hot resistor: a short. Power off at once.",
        caution: "A resistor that carries a short gets hot within seconds: don’t touch.",
        gate: GateName::Close,
        twin: Twin::OffOnly,
        decoder: Fitted::In,
        minutes: 3,
        source: PRACTICE,
    },
    Card {
        name: CardName::ReadBack,
        title: "Read back",
        tells: "Whether track, pickup and motor carry the decoder’s answer.",
        needs: &["programming output of the command station"],
        steps: &["Read one value, the address say.", "Read the same one again."],
        expect: "The same number twice.",
        fails: "No answer, or two numbers: clean wheels first, then the motor leads, then the store.",
        caution: "",
        gate: GateName::Service,
        twin: Twin::OffOnly,
        decoder: Fitted::In,
        minutes: 3,
        source: PRACTICE,
    },
    Card {
        name: CardName::Functions,
        title: "Function outputs",
        tells: "Whether each output works alone and stays cool.",
        needs: &["track power", "ammeter, if you want its current"],
        steps: &[
            "Switch each output on alone, forward and reverse, then off.",
            "Keep a finger near its resistor for a minute.",
        ],
        expect: "On and off by its own function, no warmth.",
        fails: "Dark: an LED the wrong way round or no common. Warm: its resistor or a part-short. Never off: its lead touches the frame.",
        caution: "",
        gate: GateName::Close,
        twin: Twin::Both,
        decoder: Fitted::In,
        minutes: 10,
        source: PRACTICE,
    },
    Card {
        name: CardName::Speaker,
        title: "Speaker",
        tells: "Whether the speaker is whole, off the frame, and sounds closed in.",
        needs: &["multimeter"],
        steps: &[
            "Unplug the speaker. Read across its leads.",
            "Read from a lead to the frame.",
            "Plug it in and play. Close its opening with a finger and listen.",
        ],
        expect: "Within 10 % of its nominal ohms, open to the frame, clean at the volume you want.",
        fails: "Open: a broken lead. Below half: a short that can kill the amplifier. Joined to the frame: sleeve it.",
        caution: "Small strong magnets: keep them away from children and pets.",
        gate: GateName::Close,
        twin: Twin::Both,
        decoder: Fitted::Either,
        minutes: 10,
        source: "one installer’s figure, an 8 Ω speaker reads 7.2 to 8.8 Ω; the rest common practice, no source",
    },
    Card {
        name: CardName::Store,
        title: "Hold-up store",
        tells: "Whether the store fills, the right way round, and stops the model when it should.",
        needs: &["voltmeter", "rule", "track with a place to lift a wheel"],
        steps: &[
            "Thirty seconds on the track, then read the volts of the store, its plus on the red probe.",
            "Run, lift one side or cut the track, and measure how far it runs on.",
        ],
        expect: "Track voltage less about 1.5 V, never above the store’s rating; run-on no longer than wanted.",
        fails: "A minus, or more than its rating: stop and discharge it. Well below: switched off by a setting, or a part failed.",
        caution: "A store holds energy after power-off: discharge it through a resistor, never with a screwdriver. Reversed, it can burst.",
        gate: GateName::Close,
        twin: Twin::OffOnly,
        decoder: Fitted::In,
        minutes: 10,
        source: PRACTICE,
    },
    Card {
        name: CardName::DryClose,
        title: "Dry close",
        tells: "Whether the shell pinches or presses anything.",
        needs: &["paper strips", "a light"],
        steps: &[
            "Lay a paper strip at every place that may touch.",
            "Lower the shell slowly, stop at any resistance.",
            "Pull each strip.",
        ],
        expect: "Every strip slides.",
        fails: "A strip is held: that is the pinch. Reroute before closing.",
        caution: "",
        gate: GateName::Close,
        twin: Twin::OnOnly,
        decoder: Fitted::Either,
        minutes: 10,
        source: PRACTICE,
    },
    Card {
        name: CardName::Swing,
        title: "Swing",
        tells: "Whether anything touches or pulls with the bogies at full lock.",
        needs: &["multimeter on its highest ohm range", "cradle"],
        steps: &[
            "Loco on its back, decoder unplugged, one probe on each rail’s wheels.",
            "Sweep every bogie, truck or pony wheel from lock to lock, and watch the meter and the leads.",
        ],
        expect: "Open from lock to lock, more than 1 MΩ, and no lead pulls.",
        fails: "A beep: something bridges the rails at that place. A pull: a stiff or short lead.",
        caution: "",
        gate: GateName::Close,
        twin: Twin::Both,
        decoder: Fitted::Out,
        minutes: 5,
        source: PRACTICE,
    },
    Card {
        name: CardName::Soak,
        title: "Soak",
        tells: "Whether heat settles, and how much the shell adds.",
        needs: &["probe thermometer at the decoder", "ammeter", "fifteen minutes at cruising speed"],
        steps: &[
            "Read the decoder’s temperature, then run at cruising speed with a load.",
            "Read again after 5, 10 and 15 minutes, and the current while it runs.",
        ],
        expect: "Less than 3 °C more over the last 5 minutes; 60 °C or less at the end; current below the continuous rating.",
        fails: "It still climbs, or passes 80 °C: stop. Give the decoder a heat path, shed load, or choose a bigger one.",
        caution: HOT,
        gate: GateName::Close,
        twin: Twin::Both,
        decoder: Fitted::In,
        minutes: 25,
        source: MEMORY,
    },
    Card {
        name: CardName::Twist,
        title: "Wheelset twist",
        tells: "Whether an axle gear or tube is cracked.",
        needs: &["wheelsets out of the frame"],
        steps: &["Hold both wheels of a wheelset and twist them against each other. Do each one."],
        expect: "No slip.",
        fails: "Any slip: the gear or tube is cracked. Replace it; it can short the rails too.",
        caution: "",
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Either,
        minutes: 10,
        source: PRACTICE,
    },
    Card {
        name: CardName::Winding,
        title: "Held current from the winding",
        tells: "What the held current should be, without holding the motor.",
        needs: &["multimeter on its lowest ohm range", "motor without power"],
        steps: &[
            "Read the winding at several places of the rotor, and keep the lowest.",
            "The notebook divides the volts of the held test by it.",
        ],
        expect: "Agrees with the held current within 30 %.",
        fails: "A large gap: film on the brushes, or a bad reading. Near zero: a short.",
        caution: "",
        gate: GateName::Order,
        twin: Twin::OffOnly,
        decoder: Fitted::Out,
        minutes: 5,
        source: PRACTICE,
    },
];
