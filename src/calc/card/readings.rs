//! The rules of cards that are measured.

use super::judge::{Line, Num, Read};
use super::name::Shell;
use super::{Bench, Said};
use crate::aspect::Aspect;
use crate::calc::isolation::{self, IsolationReading, Outcome, Point, Position};
use crate::calc::load::amps_given;
use crate::units::{Dimension, Interval, ohms, percent_up, quantity, volts, with_bounds};

/// Case and decoder up to this stay comfortable to a finger, °C (from memory).
const WARM_C: f64 = 45.0;
/// Above this nobody keeps a finger on it, °C (from memory).
const HOT_C: f64 = 60.0;
/// From about here plastic shells sag, °C (from memory).
const SAG_C: f64 = 80.0;
/// Most rise over the last five minutes that counts as settled, °C (from memory).
const SETTLED_C: f64 = 3.0;
/// Most gap between held current and winding that counts as agreeing (common practice, no source).
const AGREES: f64 = 0.30;

fn celsius(n: Num) -> String {
    with_bounds(n.value, n.bounds, Dimension::Temperature)
}

/// What the isolation walk says of the pairs entered, so that card and gate never differ.
pub(super) fn walk(
    read: Read<'_>,
    pairs: &[(Point, Point, &str)],
    position: Position,
    bench: &Bench,
) -> Vec<Line> {
    let readings: Vec<IsolationReading> = pairs
        .iter()
        .filter_map(|(a, b, key)| {
            let outcome = match read.said(key)? {
                Said::Open => Outcome::Open,
                Said::Joined => Outcome::Joined,
                Said::Number { .. } => {
                    let n = read.number(key)?;
                    Outcome::Ohms { value: n.value, lo: n.bounds.lo.max(0.0), hi: n.bounds.hi }
                }
                Said::Word(_) => return None,
            };
            let (a, b) = (a.clone(), b.clone());
            let reading = (*key).to_owned();
            Some(IsolationReading {
                a,
                b,
                position,
                outcome,
                reading,
                taken_at_ms: 0,
                stale: false,
            })
        })
        .collect();
    let mut input = isolation::Input::of(readings);
    input.has_bogies = bench.has_bogies;
    input.open_above_ohm = bench.open_above_ohm;
    input.positions = vec![position];
    let Ok(out) = isolation::run(&input) else {
        return vec![Line::unlit("What was read can’t be used.", "Read it again.")];
    };
    out.cells
        .into_iter()
        .filter(|c| c.reading.is_some())
        .map(|c| {
            let next = if c.aspect == Aspect::Danger {
                "Find what joins them before any power, then read all of them again."
            } else {
                ""
            };
            Line::new(c.aspect, c.sentence, next)
        })
        .collect()
}

pub(super) fn isolation(read: Read<'_>, shell: Shell, bench: &Bench) -> Vec<Line> {
    let keys: Vec<(Point, Point, String)> = [Point::BrushA, Point::BrushB]
        .into_iter()
        .flat_map(|brush| {
            [Point::RailLeft, Point::RailRight, Point::Frame].map(|other| {
                let key = format!("{}:{}", brush.key(), other.key());
                (brush.clone(), other, key)
            })
        })
        .collect();
    let pairs: Vec<(Point, Point, &str)> =
        keys.iter().map(|(a, b, key)| (a.clone(), b.clone(), key.as_str())).collect();
    let mut lines = walk(read, &pairs, bench.position(shell, false), bench);
    if lines.len() == pairs.len() && lines.iter().all(|l| l.aspect == Aspect::Clear) {
        lines = vec![Line::clear("The motor is off both rails and the frame, six times.")];
    }
    lines.extend(read.word("moved").map(|w| match w {
        "yes" => Line::clear("It stays so while everything moves."),
        _ => Line::danger(
            "It doesn’t stay open while things move.",
            "Move one thing at a time till the meter drops: that is the place.",
        ),
    }));
    lines
}

pub(super) fn pickup(read: Read<'_>, bench: &Bench) -> Vec<Line> {
    let mut lines: Vec<Line> = bench
        .wheels
        .iter()
        .filter_map(|w| {
            let key = format!("wheel:{w}");
            let clean =
                format!("Clean wheel and wiper of {w}, see that they touch, then read again.");
            Some(match read.said(&key)? {
                Said::Open => Line::danger(format!("Wheel {w} is open."), clean),
                Said::Joined => Line::clear(format!("Wheel {w} picks up.")),
                _ => {
                    let n = read.number(&key)?;
                    let reads = format!("Wheel {w} reads {}", ohms(n.value));
                    if n.bounds.hi < bench.good_below_ohm {
                        Line::clear(format!("{reads}."))
                    } else if n.bounds.hi > bench.bad_above_ohm {
                        Line::danger(format!("{reads}, too much."), clean)
                    } else {
                        Line::caution(format!("{reads}, more than it should."), clean)
                    }
                }
            })
        })
        .collect();
    if !lines.is_empty()
        && lines.len() == bench.wheels.len()
        && lines.iter().all(|l| l.aspect == Aspect::Clear)
    {
        lines = vec![Line::clear(format!("All {} wheels pick up.", bench.wheels.len()))];
    }
    lines.extend(read.word("steady").map(|w| match w {
        "yes" => Line::clear("Steady while they turn."),
        _ => Line::danger(
            "It jumps while a wheel turns.",
            "Find which wheel by turning one at a time; clean it and its wiper.",
        ),
    }));
    lines
}

fn current_at(read: Read<'_>, what: &str) -> Option<Line> {
    let (amps, v) = (read.number("amps")?, read.number("volts")?);
    Some(Line::clear(format!("{what} {} at {}.", amps_given(amps.value), volts(v.value))))
}

pub(super) fn slip(read: Read<'_>) -> Vec<Line> {
    let slipped = read.word("slipped").filter(|w| *w != "yes").map(|_| {
        Line::caution(
            "The wheels did not slip, so this is not the most it can draw.",
            "Write down its weight, and read the held current: that one governs.",
        )
    });
    current_at(read, "Slipping, it draws").into_iter().chain(slipped).collect()
}

pub(super) fn locked(read: Read<'_>) -> Vec<Line> {
    let smell = read.word("smell").filter(|w| *w != "no").map(|_| {
        Line::danger(
            "The winding smelt.",
            "Stop. Let it cool, then do cards 6 and 17: part of the winding may be shorted.",
        )
    });
    current_at(read, "Held, it draws").into_iter().chain(smell).collect()
}

pub(super) fn free_run(read: Read<'_>) -> Vec<Line> {
    let steps: Vec<(f64, Num)> = [3.0, 6.0, 9.0, 12.0]
        .into_iter()
        .filter_map(|v: f64| Some((v, read.number(&format!("at_{v}"))?)))
        .collect();
    let drops: Vec<Line> = steps
        .windows(2)
        .filter(|w| read.difference(w[0].1, w[1].1).hi < 0.0)
        .map(|w| {
            let [low, high] = [w[0].0, w[1].0].map(volts);
            Line::caution(
                format!("It draws less at {high} than at {low}: it sticks when slow."),
                "Look for a bind or old grease, then run it again.",
            )
        })
        .collect();
    let mut lines = drops;
    if lines.is_empty() && steps.len() == 4 {
        let (first, last) = (steps[0].1.value, steps[3].1.value);
        lines.push(Line::clear(format!(
            "The current goes up evenly, from {} to {}.",
            amps_given(first),
            amps_given(last)
        )));
    }
    lines.extend(read.word("swing").map(|w| match w {
        "no" => Line::clear("No swing."),
        _ => Line::danger(
            "The needle swings once per wheel turn: a bind, quartering, or a cracked axle gear.",
            "Twist each wheelset (card 16), then check rods and quartering.",
        ),
    }));
    lines
}

pub(super) fn motor_heat(read: Read<'_>) -> Vec<Line> {
    let (Some(start), Some(end)) = (read.number("start"), read.number("end")) else {
        return Vec::new();
    };
    let says = format!("The case went from {} to {}.", celsius(start), celsius(end));
    vec![if end.bounds.hi <= WARM_C {
        Line::clear(says)
    } else if end.bounds.hi <= HOT_C {
        Line::caution(says, "Clean the commutator and brushes, then run it alone again.")
    } else {
        Line::danger(
            says,
            "With nothing to drive, that heat comes from the winding: another motor, or a rewind.",
        )
    }]
}

/// Held current from the winding, `V / R`, against the one read: `|V / (R · I) − 1| ≤ 0.30`.
pub(super) fn winding(read: Read<'_>, bench: &Bench) -> Vec<Line> {
    let Some(r) = read.number("ohms") else { return Vec::new() };
    let Some((held_a, held_v)) = bench.held else {
        return vec![Line::unlit(
            format!(
                "The winding reads {}. There is no held current to compare with.",
                ohms(r.value)
            ),
            "Do card 4, then open this run again.",
        )];
    };
    let Some(ratio) = held_v.checked_div(r.bounds * held_a) else {
        return vec![Line::danger(
            "The winding reads zero: a short.",
            "Another motor, or a rewind.",
        )];
    };
    let gap = (ratio.hi - 1.0).max(1.0 - ratio.lo);
    let least = (ratio.lo - 1.0).max(1.0 - ratio.hi).max(0.0);
    let says = format!("The winding and the held current differ by {} at most", percent_up(gap));
    vec![if gap <= AGREES {
        Line::clear(format!("{says}: they agree."))
    } else if least <= AGREES {
        Line::caution(
            format!("{says}; by the meters’ accuracy they may agree or not."),
            "Read both again on a finer range.",
        )
    } else if ratio.lo > 1.0 {
        Line::danger(
            format!("{says}: the winding is too low for that current."),
            "Read it at more places of the rotor; if it stays, part of it is shorted.",
        )
    } else {
        Line::caution(
            format!("{says}: the winding reads high, mostly film on brushes and commutator."),
            "Clean them, then read again.",
        )
    }]
}

pub(super) fn swing(read: Read<'_>, shell: Shell, bench: &Bench) -> Vec<Line> {
    let pair = [(Point::RailLeft, Point::RailRight, "rails")];
    let mut lines = walk(read, &pair, bench.position(shell, true), bench);
    lines.extend(read.word("tug").map(|w| match w {
        "no" => Line::clear("No lead pulls."),
        _ => Line::caution(
            "A lead pulls at full lock.",
            "Give it a softer lead or a longer loop, clear of the wheels.",
        ),
    }));
    lines
}

pub(super) fn soak(read: Read<'_>, bench: &Bench) -> Vec<Line> {
    let mut lines = Vec::new();
    if let Some(end) = read.number("at_15") {
        lines.extend(read.number("at_10").map(|before| settled(read.difference(before, end))));
        lines.push(at_the_end(end));
    }
    if let (Some(amps), Some(limit)) = (read.number("amps"), bench.motor_continuous_a) {
        let says = format!("{} of {}", amps_given(amps.value), amps_given(limit));
        lines.push(if amps.bounds.hi < limit {
            Line::clear(format!("It cruises at {says}."))
        } else if amps.bounds.lo > limit {
            Line::danger(
                format!("It cruises at {says}: above the continuous rating."),
                "Stop. Shed load, or choose a bigger decoder.",
            )
        } else {
            Line::caution(
                format!("It cruises at {says}: at the rating."),
                "Shed load, or choose a bigger decoder.",
            )
        });
    }
    lines
}

fn settled(rise: Interval) -> Line {
    let says = format!(
        "Over the last 5 minutes it rose by {} to {}",
        crate::units::fixed(rise.lo, 1, crate::units::Rounding::Down),
        quantity(rise.hi, Dimension::Temperature)
    );
    let next = "Run it longer with somebody beside it, till 5 minutes add less than 3 °C.";
    if rise.hi < SETTLED_C {
        Line::clear(format!("{says}: it settles."))
    } else if rise.lo < SETTLED_C {
        Line::caution(format!("{says}: it may or may not settle."), next)
    } else {
        Line::danger(
            format!("{says}: it still climbs."),
            "Stop and let it cool. Give the decoder a heat path, shed load, or choose a bigger one.",
        )
    }
}

fn at_the_end(end: Num) -> Line {
    let says = format!("After 15 minutes the decoder is at {}", celsius(end));
    if end.bounds.hi <= HOT_C {
        Line::clear(format!("{says}."))
    } else if end.bounds.hi < SAG_C {
        Line::caution(
            format!("{says}: too hot to hold."),
            "Give it a heat path, and keep it off capacitors and plastic.",
        )
    } else {
        Line::danger(
            format!("{says}: a plastic shell can sag."),
            "Stop and let it cool. Shed load, or choose a bigger decoder.",
        )
    }
}
