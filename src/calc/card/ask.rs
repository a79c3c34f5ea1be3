//! What each card asks to be written down, and which ordinary reading each answer is.

use super::name::{CardName, Shell};
use super::{Bench, list};
use crate::calc::isolation::{Point, Position};
use crate::units::{Dimension, Wanted};

/// How an answer is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AskKind {
    /// A number with a unit.
    Number(Wanted),
    /// What an ohmmeter shows: a number, open or joined.
    Ohms(Wanted),
    /// One of these: code and label.
    Choice(&'static [(&'static str, &'static str)]),
    /// A few words, at most 200 characters.
    Text,
}

/// Which ordinary reading an answer is, if any.
#[derive(Debug, Clone, PartialEq)]
pub enum Tie {
    /// Its own; kept with the run alone.
    Own,
    /// Between two points, in a position.
    Isolation(Point, Point, Position),
    /// A wheel of the pickup map, by its label.
    Wheel(String),
    /// Slipping current.
    Slipping,
    /// Held current.
    Held,
    /// Free current at a voltage that the card sets, V.
    FreeAt(f64),
    /// Current of the motor out of the frame, at 12 V.
    MotorAlone,
    /// The voltage at the loco while the reading of that other ask was taken.
    VoltsOf(&'static str),
    /// A temperature, of what.
    Temperature(&'static str),
    /// Cruising current.
    Cruise,
    /// Winding by ohmmeter.
    Winding,
    /// Across the speaker's leads.
    SpeakerOhms,
    /// Voltage of the store.
    StoreVolts,
    /// Current of a planned load, by its name.
    Load(String),
}

/// One thing to write down.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Key within its card: `brush_a:frame`, `volts`.
    pub key: String,
    /// Label of the field.
    pub label: String,
    /// What it should read, short; may be empty.
    pub expect: String,
    /// How it is answered.
    pub kind: AskKind,
    /// Which ordinary reading it is.
    pub tie: Tie,
    /// It may stay empty without leaving the card unlit.
    pub optional: bool,
}

const OHMS: Wanted = Wanted { dimension: Dimension::Resistance, bare: "Ω", least: 0.0, most: 1e9 };
const LOW_OHMS: Wanted =
    Wanted { dimension: Dimension::Resistance, bare: "Ω", least: 0.05, most: 2000.0 };
const AMPS: Wanted = Wanted { dimension: Dimension::Current, bare: "A", least: 0.001, most: 20.0 };
const VOLTS: Wanted = Wanted { dimension: Dimension::Voltage, bare: "V", least: 0.5, most: 30.0 };
const STORE_VOLTS: Wanted =
    Wanted { dimension: Dimension::Voltage, bare: "V", least: -30.0, most: 30.0 };
const CELSIUS: Wanted =
    Wanted { dimension: Dimension::Temperature, bare: "°C", least: -20.0, most: 300.0 };
const WAY: Wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 0.0, most: 20_000.0 };
const COUNT: Wanted = Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 255.0 };

const YES_NO: AskKind = AskKind::Choice(&[("yes", "yes"), ("no", "no")]);
const NO_YES: AskKind = AskKind::Choice(&[("no", "no"), ("yes", "yes")]);
const WAYS: AskKind =
    AskKind::Choice(&[("both", "both ways"), ("one", "one way only"), ("none", "not at all")]);
const GLOW: AskKind = AskKind::Choice(&[
    ("none", "no glow, cold"),
    ("dim", "dim, hand-warm"),
    ("bright", "bright, hot"),
]);
const OUTPUT: AskKind = AskKind::Choice(&[
    ("cool", "works, stays cool"),
    ("warm", "works, gets warm"),
    ("stuck", "never goes off"),
    ("dark", "doesn’t work"),
]);
const HEARD: AskKind = AskKind::Choice(&[
    ("clean", "clean and loud enough"),
    ("faint", "thin or faint"),
    ("buzz", "buzzes or rubs"),
    ("silent", "silent"),
]);

/// What is used most.
fn ask(key: &str, label: &str, expect: &str, kind: AskKind) -> Ask {
    Ask {
        key: key.to_owned(),
        label: label.to_owned(),
        expect: expect.to_owned(),
        kind,
        tie: Tie::Own,
        optional: false,
    }
}

impl Ask {
    fn tied(self, tie: Tie) -> Ask {
        Ask { tie, ..self }
    }

    fn or_empty(self) -> Ask {
        Ask { optional: true, ..self }
    }
}

/// What a card asks for, with the shell as said. Cards on wheels and outputs ask once for each that is
/// known; none known gives nothing to ask.
pub fn asks(name: CardName, shell: Shell, bench: &Bench) -> Vec<Ask> {
    let number = AskKind::Number;
    match name {
        CardName::Isolation => isolation(shell, bench),
        CardName::Pickup if bench.wheels.is_empty() => Vec::new(),
        CardName::Pickup => bench
            .wheels
            .iter()
            .map(|w| {
                ask(&format!("wheel:{w}"), &format!("Wheel {w}"), "below 1 Ω", AskKind::Ohms(OHMS))
                    .tied(Tie::Wheel(w.clone()))
            })
            .chain([ask("steady", "Steady while each wheel turns", "yes", YES_NO)])
            .collect(),
        CardName::Slip => vec![
            ask("amps", "Slipping current", "", number(AMPS)).tied(Tie::Slipping),
            volts("amps"),
            ask("slipped", "The wheels slipped", "yes", YES_NO),
        ],
        CardName::Locked => vec![
            ask("amps", "Held current", "", number(AMPS)).tied(Tie::Held),
            volts("amps"),
            ask("smell", "A smell from the winding", "no", NO_YES),
        ],
        CardName::FreeRun => [3.0, 6.0, 9.0, 12.0]
            .into_iter()
            .map(|v: f64| {
                ask(&format!("at_{v}"), &format!("At {v} V"), "", number(AMPS)).tied(Tie::FreeAt(v))
            })
            .chain([ask("swing", "The needle swings once per wheel turn", "no", NO_YES)])
            .collect(),
        CardName::MotorHeat => vec![
            ask("amps", "Current of the motor alone, at 12 V", "", number(AMPS))
                .tied(Tie::MotorAlone),
            ask("start", "Case before", "", number(CELSIUS))
                .tied(Tie::Temperature("motor case, alone, before")),
            ask("end", "Case after 5 minutes", "up to 45 °C", number(CELSIUS))
                .tied(Tie::Temperature("motor case, alone, after 5 min")),
        ],
        CardName::Winding => vec![
            ask("ohms", "Winding, the lowest of several", "", number(LOW_OHMS)).tied(Tie::Winding),
        ],
        CardName::Soak => soak(),
        CardName::Swing => swing(shell, bench),
        CardName::Speaker => speaker(shell, bench),
        CardName::Functions => bench.outputs.iter().flat_map(|o| output(o)).collect(),
        other => tried(other),
    }
}

/// Cards that are tried or watched and ask the same of every model.
fn tried(name: CardName) -> Vec<Ask> {
    let number = AskKind::Number;
    match name {
        CardName::WeakSource => vec![
            ask("creeps", "It creeps", "both ways", WAYS),
            ask("lights", "Lights show", "both ways", WAYS).or_empty(),
        ],
        CardName::SeriesGuard => vec![ask("glow", "Bulb or resistor at rest", "no glow", GLOW)],
        CardName::ReadBack => vec![
            ask("answered", "It answered", "yes", YES_NO),
            ask("first", "First number", "0 to 255", number(COUNT)),
            ask("second", "Second number", "the same", number(COUNT)),
        ],
        CardName::Store => vec![
            ask("volts", "Store after 30 s", "track less 1.5 V", number(STORE_VOLTS))
                .tied(Tie::StoreVolts),
            ask("track", "Track voltage", "", number(VOLTS)),
            ask("rating", "Voltage rating of the store", "", number(VOLTS)),
            ask("ran", "Ran on", "", number(WAY)),
            ask("most", "Longest run-on you want", "", number(WAY)),
        ],
        CardName::DryClose => vec![
            ask("slides", "Every strip slides", "yes", YES_NO),
            ask("where", "Where one is held", "", AskKind::Text).or_empty(),
        ],
        CardName::Twist => vec![
            ask("slip", "A wheelset slips", "no", NO_YES),
            ask("which", "Which one", "", AskKind::Text).or_empty(),
        ],
        _ => Vec::new(),
    }
}

/// Lock to lock with the meter on both rails.
fn swing(shell: Shell, bench: &Bench) -> Vec<Ask> {
    let position = bench.position(shell, true);
    let rails = Tie::Isolation(Point::RailLeft, Point::RailRight, position);
    vec![
        ask("rails", "Left rail to right rail, lock to lock", "open", AskKind::Ohms(OHMS))
            .tied(rails),
        ask("tug", "A lead pulls", "no", NO_YES),
    ]
}

fn volts(of: &'static str) -> Ask {
    ask("volts", "Voltage at the loco while reading", "", AskKind::Number(VOLTS))
        .tied(Tie::VoltsOf(of))
}

/// The six pairs of the motor, and whether it holds while moved.
fn isolation(shell: Shell, bench: &Bench) -> Vec<Ask> {
    let position = bench.position(shell, false);
    let pairs = [Point::BrushA, Point::BrushB].into_iter().flat_map(|brush| {
        [Point::RailLeft, Point::RailRight, Point::Frame].map(|other| (brush.clone(), other))
    });
    let mut out: Vec<Ask> = pairs
        .map(|(a, b)| {
            let label = format!("Brush {} to {}", a.word().trim_start_matches("brush "), b.word());
            let key = format!("{}:{}", a.key(), b.key());
            ask(&key, &label, "open", AskKind::Ohms(OHMS)).tied(Tie::Isolation(a, b, position))
        })
        .collect();
    out.push(ask("moved", "Stays open while everything moves", "yes", YES_NO));
    out
}

/// One output: how it did, and its current if it was read.
fn output(name: &str) -> [Ask; 2] {
    let current = format!("Current of {name}, if you read it");
    [
        ask(&format!("output:{name}"), name, "works, cool", OUTPUT),
        ask(&format!("amps:{name}"), &current, "", AskKind::Number(AMPS))
            .tied(Tie::Load(name.to_owned()))
            .or_empty(),
    ]
}

fn speaker(shell: Shell, bench: &Bench) -> Vec<Ask> {
    let leads = Point::from("speaker leads".to_owned());
    let frame = Tie::Isolation(leads, Point::Frame, bench.position(shell, false));
    vec![
        ask("nominal", "Nominal, as printed on it", "", AskKind::Number(LOW_OHMS)),
        ask("ohms", "Across its leads", "within 10 %", AskKind::Ohms(OHMS)).tied(Tie::SpeakerOhms),
        ask("frame", "A lead to the frame", "open", AskKind::Ohms(OHMS)).tied(frame),
        ask("heard", "It sounds", "clean", HEARD),
    ]
}

fn soak() -> Vec<Ask> {
    let warm = |key, label, expect, of| {
        ask(key, label, expect, AskKind::Number(CELSIUS)).tied(Tie::Temperature(of))
    };
    vec![
        warm("at_0", "Decoder before", "", "decoder, soak, before"),
        warm("at_5", "After 5 minutes", "", "decoder, soak, 5 min"),
        warm("at_10", "After 10 minutes", "", "decoder, soak, 10 min"),
        warm("at_15", "After 15 minutes", "less than 3 °C more", "decoder, soak, 15 min"),
        ask("amps", "Current while cruising", "below the rating", AskKind::Number(AMPS))
            .tied(Tie::Cruise),
    ]
}

impl list::Card {
    /// What it asks for, with the shell as said.
    pub fn asks(&self, shell: Shell, bench: &Bench) -> Vec<Ask> {
        asks(self.name, shell, bench)
    }
}
