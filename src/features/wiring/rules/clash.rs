//! Points that may never be joined by wires.

use super::{Found, capital, listed};
use crate::aspect::{Aspect, Finding};
use crate::features::wiring::model::Place;
use crate::features::wiring::nets::Net;
use crate::features::wiring::standard::Terminal;

/// What hangs on one potential of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    RightRail,
    LeftRail,
    Frame,
    Motor(Terminal),
    Brush(Place),
    Common,
    Output(Terminal),
    Speaker(Terminal),
    SpeakerTag,
    StorePlus,
    StoreMinus,
    StoreTag,
}

impl Kind {
    fn of(t: Terminal) -> Option<Kind> {
        Some(match t {
            Terminal::TrackRight => Kind::RightRail,
            Terminal::TrackLeft => Kind::LeftRail,
            Terminal::MotorPlus | Terminal::MotorMinus => Kind::Motor(t),
            Terminal::CommonPlus => Kind::Common,
            Terminal::SpeakerA | Terminal::SpeakerB => Kind::Speaker(t),
            Terminal::StorePlus => Kind::StorePlus,
            Terminal::StoreMinus | Terminal::Ground => Kind::StoreMinus,
            Terminal::Free => return None,
            _ => Kind::Output(t),
        })
    }

    fn at(place: Place) -> Option<Kind> {
        Some(match place {
            Place::RailRight => Kind::RightRail,
            Place::RailLeft => Kind::LeftRail,
            Place::Frame => Kind::Frame,
            Place::BrushA | Place::BrushB => Kind::Brush(place),
            Place::Speaker => Kind::SpeakerTag,
            Place::Store => Kind::StoreTag,
            _ => return None,
        })
    }

    fn word(self) -> &'static str {
        match self {
            Kind::RightRail => "the right rail",
            Kind::LeftRail => "the left rail",
            Kind::Frame => "the frame",
            Kind::Motor(t) | Kind::Output(t) | Kind::Speaker(t) => t.word(),
            Kind::Brush(p) => p.word(),
            Kind::Common => "common +",
            Kind::SpeakerTag => "the speaker",
            Kind::StorePlus => "store +",
            Kind::StoreMinus => "store − or ground",
            Kind::StoreTag => "the store",
        }
    }

    fn is_rail(self) -> bool {
        matches!(self, Kind::RightRail | Kind::LeftRail)
    }

    fn is_motor(self) -> bool {
        matches!(self, Kind::Motor(_) | Kind::Brush(_))
    }

    fn is_store(self) -> bool {
        matches!(self, Kind::StorePlus | Kind::StoreMinus | Kind::StoreTag)
    }

    fn is_speaker(self) -> bool {
        matches!(self, Kind::Speaker(_) | Kind::SpeakerTag)
    }
}

const S911: &str =
    "NMRA S-9.1.1, wire colours, read second-hand: a motor lead goes to the motor only";
const PRACTICE: &str = "common practice, no source";

/// A rule about two kinds: the aspect, what it does, its source.
type Rule = (Aspect, &'static str, &'static str);

/// What follows when two kinds are joined; `None`: they may be. Either order.
fn rule(a: Kind, b: Kind) -> Option<Rule> {
    one_way(a, b).or_else(|| one_way(b, a)).or_else(|| anything_else(a, b))
}

fn one_way(a: Kind, b: Kind) -> Option<Rule> {
    let danger = |why, source| Some((Aspect::Danger, why, source));
    match (a, b) {
        (Kind::RightRail, Kind::LeftRail) => danger("It shorts the track.", PRACTICE),
        (m, r) if m.is_motor() && r.is_rail() => {
            danger("Track power reaches the motor past the decoder, and burns it.", S911)
        }
        (m, Kind::Frame) if m.is_motor() => {
            danger("Whatever touches the frame then touches the decoder’s motor output.", S911)
        }
        (Kind::Motor(x), Kind::Motor(y)) if x != y => {
            danger("It shorts the motor output.", PRACTICE)
        }
        (Kind::Brush(x), Kind::Brush(y)) if x != y => {
            danger("It shorts the motor, and the output with it.", PRACTICE)
        }
        (Kind::Common, r) if r.is_rail() || r == Kind::Frame => danger(
            "Common is the decoder’s own positive; on a rail or the frame it burns the decoder.",
            "NMRA S-9.1.1, blue: function common, positive; read second-hand",
        ),
        (o @ Kind::Output(_), r) if (r.is_rail() || r == Kind::Frame) && o != r => {
            danger("The output burns as soon as it is switched.", PRACTICE)
        }
        (Kind::Common, Kind::Output(_)) => {
            danger("Nothing lies between output and common, so the output burns.", PRACTICE)
        }
        (Kind::Output(x), Kind::Output(y)) if x != y => {
            Some((Aspect::Caution, "Each then works the other’s lamps.", PRACTICE))
        }
        (s, r) if s.is_speaker() && (r.is_rail() || r == Kind::Frame) => danger(
            "Both speaker leads are driven; on a rail or the frame the amplifier dies.",
            PRACTICE,
        ),
        (Kind::Speaker(x), Kind::Speaker(y)) if x != y => {
            danger("It shorts the amplifier.", PRACTICE)
        }
        (s, r) if s.is_store() && r.is_rail() => danger(
            "The store’s negative is the decoder’s ground, not a rail; joined to one the decoder burns.",
            PRACTICE,
        ),
        (Kind::StorePlus | Kind::Common, Kind::StoreMinus) => {
            danger("It shorts the store; a charged one welds and burns.", PRACTICE)
        }
        _ => None,
    }
}

/// Kinds with potentials of their own that no rule above names; the rest may be joined.
fn anything_else(a: Kind, b: Kind) -> Option<Rule> {
    let group = |k: Kind| match k {
        Kind::Motor(_) | Kind::Brush(_) => 1,
        Kind::Output(_) => 2,
        Kind::Speaker(_) | Kind::SpeakerTag => 3,
        Kind::Common | Kind::StorePlus | Kind::StoreMinus | Kind::StoreTag => 4,
        Kind::RightRail | Kind::LeftRail | Kind::Frame => 0,
    };
    let (a, b) = (group(a), group(b));
    (a != b && a > 0 && b > 0).then_some((
        Aspect::Danger,
        "They are outputs of two kinds, and one burns the other.",
        PRACTICE,
    ))
}

/// The kinds of a net; a brush behind its motor lead and a tag behind its lead are not named again.
fn kinds(net: &Net) -> Vec<Kind> {
    let mut out: Vec<Kind> = Vec::new();
    let terminals = net.terminals.iter().filter_map(|t| Kind::of(*t));
    let places = net.ends.iter().filter_map(|e| Kind::at(e.place));
    for kind in terminals.chain(places) {
        if !out.contains(&kind) {
            out.push(kind);
        }
    }
    let both = [Place::BrushA, Place::BrushB].iter().all(|p| net.is_at(*p));
    let motor = out.iter().any(|k| matches!(k, Kind::Motor(_)));
    let speaker = out.iter().any(|k| matches!(k, Kind::Speaker(_)));
    let store = out.iter().any(|k| matches!(k, Kind::StorePlus | Kind::StoreMinus));
    out.retain(|k| match k {
        Kind::Brush(_) => both || !motor,
        Kind::SpeakerTag => !speaker,
        Kind::StoreTag => !store,
        _ => true,
    });
    out
}

/// What is wrong within one net.
pub(super) fn in_net(net: &Net) -> Vec<Found> {
    let kinds = kinds(net);
    let mut out = Vec::new();
    for (i, a) in kinds.iter().enumerate() {
        for b in kinds.iter().skip(i + 1) {
            // a lead on the wrong rail is told by `swapped`
            if a.is_rail() && b.is_rail() && lone_swap(net) {
                continue;
            }
            // with the brush behind its lead the pair is told once
            if matches!((a, b), (Kind::Motor(_), Kind::Brush(_))) {
                continue;
            }
            let Some((aspect, why, source)) = rule(*a, *b) else { continue };
            let (a, b) = if a.is_rail() || *a == Kind::Frame { (b, a) } else { (a, b) };
            out.push(told(net, (*a, *b), (aspect, why, source)));
        }
    }
    out
}

fn told(net: &Net, (a, b): (Kind, Kind), (aspect, why, source): Rule) -> Found {
    let finding = Finding::new(
        aspect,
        format!("{} is joined to {} by {}. {why}", capital(a.word()), b.word(), listed(&net.wires)),
    )
    .input("joined by", listed(&net.wires))
    .input(
        "points",
        net.ends.iter().map(super::super::model::End::words).collect::<Vec<_>>().join(", "),
    )
    .formula("points joined by wires are one point; these two may not be")
    .source(source)
    .would_change("One of these wires taken out, or put where it belongs.");
    Found { short: aspect == Aspect::Danger, ..Found::new(finding, net.wires.clone()) }
}

/// The two rails are in the net only as a lead of one and a wiper of the other.
fn lone_swap(net: &Net) -> bool {
    let (right, left) = (net.has(Terminal::TrackRight), net.has(Terminal::TrackLeft));
    let (at_right, at_left) = (net.is_at(Place::RailRight), net.is_at(Place::RailLeft));
    (right && at_left && !left && !at_right) || (left && at_right && !right && !at_left)
}

/// Track leads that end on the other rail.
pub(super) fn swapped(nets: &[Net]) -> Option<Found> {
    let mut wires: Vec<i64> =
        nets.iter().filter(|n| lone_swap(n)).flat_map(|n| n.wires.iter().copied()).collect();
    wires.sort_unstable();
    if wires.is_empty() {
        return None;
    }
    let finding = Finding::new(
        Aspect::Caution,
        format!(
            "{}: a track lead ends on the other rail. Nothing burns, but on direct current it runs the \
             other way.",
            capital(&listed(&wires))
        ),
    )
    .input("wires", listed(&wires))
    .formula("track right to the right rail, track left to the left rail, looking forward")
    .source("NEM 631, read; NMRA S-9.1.1, read second-hand")
    .would_change("The two leads changed over, or their ends written as they are.");
    Some(Found::new(finding, wires))
}
