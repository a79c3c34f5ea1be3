//! The rules of cards that are tried, watched or listened to.

use super::judge::{Line, Read};
use super::name::Shell;
use super::{Bench, Said, readings};
use crate::calc::isolation::Point;
use crate::units::{Interval, millimetres, ohms, volts};

/// Most a speaker's ohms may be off its nominal, either way (one installer's figure, 7.2 to 8.8 of 8 Ω).
const SPEAKER_OFF: f64 = 0.10;
/// Below this share of the nominal a speaker counts as shorted (common practice, no source).
const SPEAKER_SHORT: f64 = 0.5;
/// Drop of the decoder's bridge before the store, V (from memory).
const BRIDGE_V: f64 = 1.5;
/// Most a full store may lie below that, V (common practice, no source).
const STORE_BELOW_V: f64 = 1.0;

pub(super) fn weak_source(read: Read<'_>) -> Vec<Line> {
    let creeps = read.word("creeps").map(|w| match (w, read.word("lights")) {
        ("both", _) => Line::clear("It creeps both ways from the battery."),
        ("one", _) => Line::caution(
            "It creeps one way only.",
            "Clean wheels and press on the leads; if it stays, look at half of the motor output.",
        ),
        (_, Some("both" | "one")) => Line::danger(
            "Lights show, the motor doesn’t turn.",
            "Read the motor leads: mostly one is open. Don’t go on to the full track.",
        ),
        _ => Line::danger(
            "Nothing answers.",
            "Unplug the speaker and try again. Then read from the rails to the decoder’s input. Don’t go on to the full track.",
        ),
    });
    let lights = read
        .word("lights")
        .filter(|w| *w == "none")
        .map(|_| Line::caution("No light shows.", "Do card 10 once it runs."));
    creeps.into_iter().chain(lights).collect()
}

pub(super) fn series_guard(read: Read<'_>) -> Vec<Line> {
    let glow = read.word("glow").map(|w| match w {
        "none" => Line::clear("No glow at rest."),
        "dim" => Line::clear("A dim glow at rest: the decoder’s own current."),
        _ => Line::danger(
            "A bright glow at rest: a short.",
            "Power off. Unplug everything but the motor, then one thing after the other: the one that makes it bright is it.",
        ),
    });
    glow.into_iter().collect()
}

pub(super) fn read_back(read: Read<'_>) -> Vec<Line> {
    if read.word("answered") == Some("no") {
        return vec![Line::danger(
            "It doesn’t answer.",
            "Press it on the rails, clean the wheels, read the motor leads, unplug the store, then read again.",
        )];
    }
    let (Some(first), Some(second)) = (read.number("first"), read.number("second")) else {
        return Vec::new();
    };
    let [a, b] = [first.value, second.value].map(crate::units::exact);
    vec![if (first.value - second.value).abs() < 0.5 {
        Line::clear(format!("It reads {a} twice."))
    } else {
        Line::danger(
            format!("It reads {a}, then {b}: the answer can’t be trusted."),
            "Clean wheels and rails, unplug the store, then read again.",
        )
    }]
}

pub(super) fn functions(read: Read<'_>, bench: &Bench) -> Vec<Line> {
    bench
        .outputs
        .iter()
        .filter_map(|o| {
            Some(match read.word(&format!("output:{o}"))? {
                "cool" => Line::clear(format!("{o} works and stays cool.")),
                "warm" => Line::danger(
                    format!("{o} gets warm."),
                    format!("Check the resistor of {o} and its lead against the frame."),
                ),
                "stuck" => Line::danger(
                    format!("{o} never goes off: its lead touches the frame."),
                    format!("Sleeve the lead of {o}, then read it to the frame."),
                ),
                _ => Line::caution(
                    format!("{o} doesn’t work."),
                    format!("Try {o} with its resistor on 9 V; then turn the LED round."),
                ),
            })
        })
        .collect()
}

pub(super) fn speaker(read: Read<'_>, shell: Shell, bench: &Bench) -> Vec<Line> {
    let leads = Point::from("speaker leads".to_owned());
    let position = bench.position(shell, false);
    let mut lines: Vec<Line> = across(read).into_iter().collect();
    lines.extend(readings::walk(read, &[(leads, Point::Frame, "frame")], position, bench));
    lines.extend(read.word("heard").map(|w| match w {
        "clean" => Line::clear("It sounds clean."),
        "faint" => {
            Line::caution("It sounds thin.", "Seal its box, or swap one pair of leads of two.")
        }
        "buzz" => Line::caution("It buzzes.", "Find what the cone or the box touches."),
        _ => Line::danger("It is silent.", "Read across its leads; then look at mute and volume."),
    }));
    lines
}

/// Ohms across the leads against the nominal.
fn across(read: Read<'_>) -> Option<Line> {
    match read.said("ohms")? {
        Said::Open => {
            return Some(Line::danger("The speaker reads open.", "A lead or the coil is broken."));
        }
        Said::Joined => {
            return Some(Line::danger(
                "The speaker’s leads are joined.",
                "Don’t plug it in: a short kills the amplifier.",
            ));
        }
        _ => {}
    }
    let (n, nominal) = (read.number("ohms")?, read.number("nominal")?);
    let ratio = n.bounds.checked_div(Interval::exact(nominal.value))?;
    let says = format!("It reads {} of {}", ohms(n.value), ohms(nominal.value));
    Some(if ratio.lo < SPEAKER_SHORT {
        Line::danger(
            format!("{says}: less than half."),
            "Don’t plug it in: such a load kills the amplifier.",
        )
    } else if ratio.lo >= 1.0 - SPEAKER_OFF && ratio.hi <= 1.0 + SPEAKER_OFF {
        Line::clear(format!("{says}."))
    } else {
        Line::caution(
            format!("{says}: more than 10 % off, or the meter can’t tell."),
            "Read it again on the lowest range, the leads’ own ohms taken off.",
        )
    })
}

pub(super) fn store(read: Read<'_>) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(v) = read.number("volts") {
        let says = format!("The store reads {}", volts(v.value));
        let over = read.number("rating").filter(|r| v.bounds.hi > r.value);
        let low =
            read.number("track").is_some_and(|t| v.bounds.lo < t.value - BRIDGE_V - STORE_BELOW_V);
        lines.push(if v.bounds.hi < 0.0 {
            Line::danger(
                format!("{says}: it is the wrong way round."),
                "Power off, discharge it through a resistor, and turn it. A store that was reversed is to be replaced.",
            )
        } else if let Some(rating) = over {
            Line::danger(
                format!("{says}, above its rating of {}.", volts(rating.value)),
                "Power off, discharge it through a resistor, and fit one of a higher rating.",
            )
        } else if low {
            Line::caution(
                format!("{says}: it doesn’t fill."),
                "Give it a minute; then look whether a setting keeps it off, and at its charging resistor.",
            )
        } else {
            Line::clear(format!("{says}, as it should."))
        });
    }
    if let (Some(ran), Some(most)) = (read.number("ran"), read.number("most")) {
        let says = format!(
            "It ran on {}, {} wanted at most",
            millimetres(ran.value),
            millimetres(most.value)
        );
        lines.push(if ran.bounds.hi > most.value {
            Line::caution(format!("{says}."), "Make the store smaller, or set it off sooner.")
        } else {
            Line::clear(format!("{says}."))
        });
    }
    lines
}

pub(super) fn dry_close(read: Read<'_>) -> Vec<Line> {
    let slides = read.word("slides").map(|w| match (w, read.word("where")) {
        ("yes", _) => Line::clear("Every strip slides."),
        (_, Some(place)) => Line::danger(
            format!("A strip is held: {place}."),
            "Reroute what lies there, then close it dry again.",
        ),
        _ => Line::danger("A strip is held.", "Reroute what lies there, then close it dry again."),
    });
    slides.into_iter().collect()
}

pub(super) fn twist(read: Read<'_>) -> Vec<Line> {
    let slip = read.word("slip").map(|w| match (w, read.word("which")) {
        ("no", _) => Line::clear("No wheelset slips."),
        (_, which) => Line::danger(
            format!(
                "A wheelset slips{}: gear or axle tube is cracked.",
                which.map(|w| format!(" ({w})")).unwrap_or_default()
            ),
            "Replace it. Till then the halves can short the rails.",
        ),
    });
    slip.into_iter().collect()
}
