//! Checks of the load test: made, mechanism, winding.

use super::build::{Book, Draft, Rule, Used, listed, refused};
use super::facts::{LoadTest, Measured};
use super::stale::ReadingKind;
use super::{Action, Place};
use crate::aspect::{Aspect, Finding};
use crate::calc::load::{self, amps_given};
use crate::calc::{Bounded, Refusals};
use crate::units::{Accuracy, exact, ohms, percent, percent_up, volts};

/// Which check works with the test. Each takes only the readings it stands on, so that one which can't
/// be used doesn't hide another's verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    LoadTest,
    Mechanism,
    Winding,
    Headroom,
}

/// The load test with stale readings taken out.
pub(super) struct Test<'a> {
    /// The test itself; `None`: none was made.
    pub made: Option<&'a LoadTest>,
    /// What the calculation takes; `None` without a test voltage.
    pub input: Option<load::Input>,
    /// What came of it.
    pub output: Option<Result<load::Output, Refusals>>,
    pub volts: Option<Used>,
    pub free: Option<Used>,
    pub slipping: Option<Used>,
    pub held: Option<Used>,
    pub winding: Option<Used>,
    /// Somebody could not hold the motor, and that still holds.
    pub refused: bool,
}

/// A reading that still holds, or nothing.
fn fresh(measured: Option<&Measured>, used: Option<&Used>) -> Option<f64> {
    measured.filter(|_| !used.is_some_and(Used::is_stale)).map(|m| m.value)
}

impl<'a> Test<'a> {
    pub fn of(book: Book<'a>, of: Use) -> Self {
        let test = book.s.load_test.as_ref();
        let used =
            |of: fn(&LoadTest) -> Option<&Measured>, kind, what: &str, print: fn(f64) -> String| {
                let measured = test.and_then(of)?;
                Some(book.used(kind, &measured.taken, what, &print(measured.value)))
            };
        let free = used(|t| t.free_a.as_ref(), ReadingKind::Free, "free", amps_given);
        let slipping =
            used(|t| t.slipping_a.as_ref(), ReadingKind::Slipping, "slipping", amps_given);
        let held = used(|t| t.held_a.as_ref(), ReadingKind::Held, "held", amps_given);
        let winding = used(|t| t.winding_ohm.as_ref(), ReadingKind::Winding, "winding", ohms);
        let refusal = test
            .and_then(|t| t.held_refused.as_ref())
            .map(|taken| book.used(ReadingKind::Held, taken, "held", "could not be held"));
        let mut out = Test {
            made: test,
            input: None,
            output: None,
            volts: test.and_then(|t| t.test_v.as_ref()).map(condition),
            free,
            slipping,
            refused: false,
            held,
            winding,
        };
        if out.held.is_none() {
            out.refused = refusal.as_ref().is_some_and(|u| !u.is_stale());
            out.held = refusal;
        }
        out.input = out.input(book, of);
        out.output = out.input.as_ref().map(load::run);
        out
    }

    fn input(&self, book: Book<'_>, of: Use) -> Option<load::Input> {
        let test = self.made?;
        let limits = book.s.thresholds;
        let mut input = load::Input::at(test.test_v.as_ref()?.value);
        input.voltage_meter = widest([&test.test_v]);
        input.friction_clear_below = limits.friction_clear_below;
        input.friction_danger_above = limits.friction_danger_above;
        let mut currents = [&None, &None, &None];
        if matches!(of, Use::LoadTest | Use::Mechanism) {
            input.free_a = fresh(test.free_a.as_ref(), self.free.as_ref());
            currents[0] = &test.free_a;
        }
        if of != Use::Winding {
            input.slipping_a = fresh(test.slipping_a.as_ref(), self.slipping.as_ref());
            currents[1] = &test.slipping_a;
        }
        if of != Use::Mechanism {
            input.held_a = fresh(test.held_a.as_ref(), self.held.as_ref());
            input.held_test_v = test.held_v.as_ref().map(|m| m.value);
            input.held_refused = self.refused;
            input.voltage_meter = widest([&test.test_v, &test.held_v]);
            currents[2] = &test.held_a;
        }
        if of == Use::Winding || (self.refused && of != Use::Mechanism) {
            input.winding_ohm = fresh(test.winding_ohm.as_ref(), self.winding.as_ref());
            input.ohm_meter = widest([&test.winding_ohm]);
        }
        if of == Use::Headroom {
            input.track_v = book.s.track_v.as_ref().map(|t| t.value_v);
            input.bridge_drop_v = limits.bridge_drop_v;
        }
        input.current_meter = widest(currents);
        Some(input)
    }

    /// What came of it, if the readings could be used.
    pub fn worked(&self) -> Option<&load::Output> {
        self.output.as_ref().and_then(|o| o.as_ref().ok())
    }

    /// The verdict where there is nothing to work with; `None`: there is.
    pub fn unusable(&self) -> Option<Finding> {
        let Some(test) = self.made else {
            return Some(Finding::unlit(
                "No load test is made.",
                "Measure free, slipping and held at one voltage.",
            ));
        };
        match &self.output {
            None => Some(Finding::unlit(
                format!("Load test {} has no voltage.", test.no),
                "Write down the volts at the loco: a current without them says nothing.",
            )),
            Some(Err(refusals)) => Some(refused("The load test", refusals)),
            Some(Ok(_)) => None,
        }
    }

    /// Everything that was read, exactly, for fingerprints.
    pub fn prints(&self) -> Vec<String> {
        let Some(test) = self.made else { return Vec::new() };
        [
            ("test_v", &test.test_v),
            ("free_a", &test.free_a),
            ("slipping_a", &test.slipping_a),
            ("held_a", &test.held_a),
            ("held_v", &test.held_v),
            ("winding_ohm", &test.winding_ohm),
        ]
        .into_iter()
        .filter_map(|(name, value)| Some(format!("{name}={}", exact(value.as_ref()?.value))))
        .chain(self.refused.then(|| "could not be held".to_owned()))
        .collect()
    }
}

/// The test voltage is a condition, not a reading that goes stale by itself.
fn condition(volts_read: &Measured) -> Used {
    let taken = &volts_read.taken;
    Used {
        reference: super::ReadingRef {
            id: taken.id.clone(),
            no: taken.no,
            what: "test voltage".to_owned(),
            reads: volts(volts_read.value),
            taken_at_ms: taken.at_ms,
            who: taken.who.clone(),
            instrument: taken.instrument.clone(),
            stale: None,
        },
        repeat: "test voltage".to_owned(),
        by: None,
    }
}

/// An accuracy at least as wide as each of these; `None` where none is known.
fn widest<const N: usize>(readings: [&Option<Measured>; N]) -> Option<Accuracy> {
    let known = readings.into_iter().flatten().filter_map(|m| m.accuracy);
    known.reduce(|a, b| {
        let step = (a.digits * a.resolution).max(b.digits * b.resolution);
        let percent = a.percent.max(b.percent);
        if a == b {
            a
        } else if step > 0.0 {
            Accuracy { percent, digits: 1.0, resolution: step }
        } else {
            Accuracy { percent, digits: 0.0, resolution: a.resolution }
        }
    })
}

fn action(minutes: u32, what: impl Into<String>) -> Action {
    Action { what: what.into(), place: Place::LoadTest, minutes }
}

/// Free, slipping and held are read at a known voltage, and can all be right.
pub(super) fn load_test(book: Book<'_>) -> Draft {
    let test = Test::of(book, Use::LoadTest);
    let finding = test.unusable().unwrap_or_else(|| made(book, &test));
    let mut used: Vec<Used> = [&test.volts, &test.free, &test.slipping, &test.held]
        .into_iter()
        .flatten()
        .cloned()
        .collect();
    if test.refused {
        used.extend(test.winding.clone());
    }
    let read = [&test.free, &test.slipping, &test.held]
        .map(|u| u.as_ref().map_or("not measured", |u| u.reference.reads.as_str()));
    Draft {
        key: "load_test".to_owned(),
        title: "Load test is made".to_owned(),
        reads: if test.made.is_some() { read.join(" / ") } else { "not made".to_owned() },
        needs: "free, slipping, held".to_owned(),
        action: action(20, finding.would_change.clone()),
        finding,
        used,
        rule: Rule::Firm,
        prints: test.prints(),
    }
}

fn made(book: Book<'_>, test: &Test<'_>) -> Finding {
    let (Some(output), Some(input), Some(of)) = (test.worked(), &test.input, test.made) else {
        return Finding::unlit("No load test is made.", "Make one.");
    };
    let missing: Vec<&str> = [
        ("free", input.free_a.is_none()),
        ("slipping", input.slipping_a.is_none()),
        ("held", input.held_a.is_none() && !test.refused),
        ("winding", test.refused && input.winding_ohm.is_none()),
    ]
    .into_iter()
    .filter_map(|(name, is)| is.then_some(name))
    .collect();
    if !missing.is_empty() {
        return Finding::unlit(
            format!("Load test {} lacks {}.", of.no, listed(&missing)),
            format!("Measure {} at {}.", listed(&missing), volts(input.test_v)),
        );
    }
    if output.plausibility.aspect == Aspect::Caution {
        return output.plausibility.clone();
    }
    let amps = |value: Option<f64>| value.map_or_else(|| "not measured".to_owned(), amps_given);
    let day = test.slipping.as_ref().map(|u| book.day(u.reference.taken_at_ms)).unwrap_or_default();
    let two = format!(
        "Load test {}, {day}: free {}, slipping {}",
        of.no,
        amps(input.free_a),
        amps(input.slipping_a)
    );
    let finding = if test.refused {
        Finding::new(
            Aspect::Caution,
            format!("{two} at {}. The motor could not be held; the winding stands in.", volts(input.test_v)),
        )
        .would_change("Read held at a lower, safer voltage for a second or two, or judge that the winding stands in.")
    } else {
        Finding::new(
            Aspect::Clear,
            format!(
                "{two}, held {} at {}.",
                amps(input.held_a),
                volts(input.held_test_v.unwrap_or(input.test_v))
            ),
        )
        .would_change(
            "Work on motor, brushes, mechanism or wheels, or readings that can’t all be right.",
        )
    };
    finding
        .formula("three currents at a known voltage, free ≤ slipping ≤ held")
        .source("common practice, no source")
}

/// How much of its effort the mechanism eats.
pub(super) fn mechanism(book: Book<'_>) -> Draft {
    let test = Test::of(book, Use::Mechanism);
    let worked = test.worked();
    let finding = test
        .unusable()
        .or_else(|| worked.map(|o| o.mechanism.clone()))
        .unwrap_or_else(|| Finding::unlit("No load test is made.", "Make one."));
    let share = worked.and_then(|o| o.friction_share);
    let limit = book.s.thresholds;
    let mut prints = test.prints();
    prints.push(format!(
        "limits={} {}",
        exact(limit.friction_clear_below),
        exact(limit.friction_danger_above)
    ));
    Draft {
        key: "mechanism".to_owned(),
        title: "Mechanism runs free enough".to_owned(),
        reads: share.map_or_else(|| "not measured".to_owned(), share_read),
        needs: format!("below {}", percent_up(limit.friction_clear_below)),
        action: action(
            30,
            match finding.aspect {
                Aspect::Unlit => finding.would_change.clone(),
                _ => "Free the mechanism: clean, oil, run in both ways, then read free and slipping again."
                    .to_owned(),
            },
        ),
        finding,
        used: [test.free, test.slipping].into_iter().flatten().collect(),
        rule: Rule::Advice,
        prints,
    }
}

/// `84 %, at worst 92 %`.
fn share_read(s: Bounded) -> String {
    if s.is_sure() {
        percent(s.value)
    } else {
        format!("{}, at worst {}", percent(s.value), percent_up(s.hi))
    }
}

/// Ohmmeter and held current tell the same winding.
pub(super) fn winding(book: Book<'_>) -> Draft {
    let test = Test::of(book, Use::Winding);
    let worked = test.worked();
    let finding = test
        .unusable()
        .or_else(|| worked.map(|o| o.winding_agrees.clone()))
        .unwrap_or_else(|| Finding::unlit("No load test is made.", "Make one."));
    let measured = test.input.as_ref().and_then(|i| i.winding_ohm);
    let prints = test.prints();
    let needs = worked.and_then(|o| o.resistance_ohm).map_or_else(
        || "as the held current says".to_owned(),
        // |R / winding − 1| up to 0.25: see calc::load.
        |r| format!("{} to {}", ohms(r.value / 1.25), ohms(r.value / 0.75)),
    );
    Draft {
        key: "winding".to_owned(),
        title: "Winding agrees with held current".to_owned(),
        reads: measured.map_or_else(|| "not measured".to_owned(), ohms),
        needs,
        action: action(
            5,
            match finding.aspect {
                Aspect::Unlit => finding.would_change.clone(),
                _ => "Clean brushes and commutator, then read held and winding again.".to_owned(),
            },
        ),
        finding,
        used: [test.winding, test.held].into_iter().flatten().collect(),
        rule: Rule::Firm,
        prints,
    }
}
