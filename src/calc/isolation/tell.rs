//! The words of the walk.

use super::{Cell, Pair, Point, Position};
use crate::aspect::Aspect;
use crate::units::{Rounding, fixed, ohms};

/// Above this a low reading is dirt rather than metal, Ω. Common practice, no source.
const DIRT_ABOVE_OHM: f64 = 1000.0;

/// What a reading amounts to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Read {
    /// Over range.
    Open,
    /// Ohms, all above the limit.
    High { value: f64 },
    /// Ohms, the low end below the limit.
    Low { value: f64, lo: f64 },
    /// The beep.
    Joined,
}

impl Read {
    pub(super) fn aspect(self) -> Aspect {
        match self {
            Read::Open | Read::High { .. } => Aspect::Clear,
            Read::Low { .. } | Read::Joined => Aspect::Danger,
        }
    }

    /// `open`, `joined`, `0.4 Ω`.
    pub(super) fn word(self) -> String {
        match self {
            Read::Open => "open".to_owned(),
            Read::Joined => "joined".to_owned(),
            Read::High { value } | Read::Low { value, .. } => ohms(value),
        }
    }

    /// After *reads*: `open`, `0.4 Ω`; joined reads as a beep.
    fn reads(self) -> String {
        match self {
            Read::Joined => "joined, by the beep".to_owned(),
            other => other.word(),
        }
    }
}

/// The limit in whole numbers where it is one: `1 MΩ`.
pub(super) fn limit(open_above_ohm: f64) -> String {
    let (value, unit) = if open_above_ohm >= 1e6 {
        (open_above_ohm / 1e6, "MΩ")
    } else {
        (open_above_ohm / 1e3, "kΩ")
    };
    let text = fixed(value, 1, Rounding::Nearest);
    format!("{}\u{a0}{unit}", text.strip_suffix(".0").unwrap_or(&text))
}

/// `open, > 1 MΩ`.
pub(super) fn needs(open_above_ohm: f64) -> String {
    format!("open, > {}", limit(open_above_ohm))
}

/// Title of the pair's check: `Brush A is off the right rail`.
pub fn title(pair: &Pair) -> String {
    let verb =
        if matches!(&pair.a, Point::Lead(name) if name.ends_with('s')) { "are" } else { "is" };
    format!("{} {verb} off {}", capital(pair.a.word()), pair.b.the())
}

/// The text with its first letter large.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The sentence of a reading that counts.
pub(super) fn counts(pair: &Pair, position: Position, read: Read, open_above_ohm: f64) -> String {
    let base = format!("{} reads {} {}", capital(&pair.word()), read.reads(), position.word());
    match read {
        Read::Low { value, .. } if value >= open_above_ohm => format!(
            "{base}, but by the meter’s accuracy may be below {}: read it again on a better range.",
            limit(open_above_ohm)
        ),
        Read::Low { lo, .. } if lo >= DIRT_ABOVE_OHM => format!(
            "{base}, below {}: dirt, grease or carbon dust bridges the gap. Clean it and measure again.",
            limit(open_above_ohm)
        ),
        Read::Low { .. } => format!("{base}, below {}.", limit(open_above_ohm)),
        _ => format!("{base}."),
    }
}

/// The sentence where every reading is stale.
pub(super) fn stale(pair: &Pair, position: Position, old: Read) -> String {
    format!(
        "{} read {} {}, before the model was altered: measure it again.",
        capital(&pair.word()),
        old.reads(),
        position.word()
    )
}

/// The sentence where nothing was read.
pub(super) fn missing(pair: &Pair, position: Position) -> String {
    format!("{} isn’t measured {}.", capital(&pair.word()), position.word())
}

/// What a join of the pair means and where to look.
pub fn meaning(pair: &Pair) -> String {
    match (&pair.a, &pair.b) {
        (Point::BrushA | Point::BrushB, Point::Frame) => "The frame carries a rail on many models, and \
             may touch one after a derailment: then track current goes through the motor output and \
             burns the decoder. Look at the keep plate, its screw, the spring and the strip, then at \
             the insulation under the motor."
            .to_owned(),
        (Point::BrushA | Point::BrushB, _) => "First power would put track current through the motor \
             output and burn the decoder. Look at the keep plate, its screw, the spring and the strip \
             to the frame."
            .to_owned(),
        (Point::Lead(_), Point::Frame) => "A function output that touches the frame burns out as soon \
             as the frame carries a rail. Look for an old lamp post, a bare joint and a pinched lead."
            .to_owned(),
        (Point::Lead(_), _) => "Track current would go straight into the output and burn it. Look for an \
             old lamp feed, a bare joint and a pinched lead."
            .to_owned(),
        _ => "The rails are shorted: the supply trips or a wire melts. Lift the brushes or take the motor \
             out and measure again, because ohms through the winding aren’t a fault. Still joined: look \
             for a wheelset the wrong way round, a factory board, a lamp or a suppression part."
            .to_owned(),
    }
}

/// What to do before a brush that reads through the winding can be judged.
pub(super) fn winding_hint(twin: &Pair) -> String {
    format!(
        "{} is joined as well, so this may be read through the winding: mend that first, then measure \
         again.",
        capital(&twin.word())
    )
}

/// What turns the pair's aspect.
pub(super) fn would_change(pair: &Pair, worst: &Cell) -> String {
    match worst.aspect {
        Aspect::Clear => "A reading below the limit in any position.".to_owned(),
        Aspect::Danger => format!(
            "A later reading {} that is open, or writing down what was altered and measuring again.",
            worst.position.word()
        ),
        _ => format!("Measure {} {}: open is clear.", pair.word(), worst.position.word()),
    }
}

/// What to measure next, one sentence.
pub(super) fn ask(pair: &Pair, position: Position, mend: bool) -> String {
    if mend {
        format!(
            "Find what joins {} to {}, then measure again {}.",
            pair.a.the(),
            pair.b.the(),
            position.word()
        )
    } else {
        format!("Measure {} {}.", pair.word(), position.word())
    }
}

/// How to hold probes and model.
pub(super) fn how(pair: &Pair, position: Position) -> String {
    let place = match position {
        Position::Bare => {
            "Motor out on the bench; the frame here is the motor’s own case. Turn the shaft while you watch."
        }
        Position::InFrame => "Decoder out. Turn the wheels and press the frame while you watch.",
        Position::BogiesSwung => "Decoder out. Swing each bogie to both stops while you watch.",
        Position::ShellOn => {
            "Decoder unplugged, shell screwed down. Press and tilt it while you watch."
        }
    };
    let rails = if pair.a.is_rail() {
        " Motor out or brushes lifted: otherwise the winding may show and isn’t a fault."
    } else {
        ""
    };
    format!("{place} Highest ohms range, no fingers on the probes.{rails}")
}
