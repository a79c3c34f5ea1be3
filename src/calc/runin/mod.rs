//! Run-in: has the mechanism really improved?
//!
//! - inputs: readings before and after running in, each repeated, with the meter's accuracy;
//! - formula: `d = mean after − mean before`, `± (meter + t·√(s1²/n1 + s2²/n2))`, t for 95 % with
//!   Welch's degrees of freedom;
//! - comes back: the change with its bounds for each kind of reading; improved, worse or not told
//!   apart;
//! - errors: every field outside its range is refused by its path;
//! - source: Welch's interval, usual statistics; worst case of the meter as its data sheet gives it.

use crate::aspect::{Aspect, Finding};
use crate::calc::load::check_meter;
use crate::calc::read::read;
use crate::calc::registry::{Calculation, schema};
use crate::calc::{Answer, Bounded, FieldRefusal, Refusals, Value, require, within};
use crate::units::{Accuracy, Interval, Rounding, amps, exact, fixed};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Voltages further apart than this share are not compared (judgement, no source).
const SAME_VOLTAGE: f64 = 0.02;
/// Readings of one kind at most.
const MOST_READINGS: usize = 100;
const FORMULA: &str = "d = mean after − mean before, ± (meter + t·√(s1²/n1 + s2²/n2))";
const SOURCE: &str =
    "Welch's interval at 95 %, usual statistics; meter at its worst by its data sheet";

/// Readings of one evening at the bench.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Voltage the currents were read at, V, 0.5 to 30.
    #[schemars(title = "Test voltage", range(min = 0.5, max = 30.0))]
    pub test_v: f64,
    /// Current running free, A, 0 to 50, repeated.
    #[serde(default)]
    #[schemars(title = "Free current")]
    pub free_a: Vec<f64>,
    /// Current with the wheels slipping, A, 0 to 50, repeated.
    #[serde(default)]
    #[schemars(title = "Slipping current")]
    pub slipping_a: Vec<f64>,
    /// Voltage at which it starts, V, 0 to 30, repeated.
    #[serde(default)]
    #[schemars(title = "Starting voltage")]
    pub start_v: Vec<f64>,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Run-in")]
pub struct Input {
    /// Readings before running in.
    #[schemars(title = "Before")]
    pub before: Run,
    /// Readings after running in.
    #[schemars(title = "After")]
    pub after: Run,
    /// Accuracy of the meter that read the currents. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Current meter")]
    pub current_meter: Option<Accuracy>,
    /// Accuracy of the meter that read the starting voltage. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Voltage meter")]
    pub voltage_meter: Option<Accuracy>,
    /// Whether the same meter on the same range read both sides: its percentage is then common to
    /// both. Not given: taken as two meters.
    #[serde(default)]
    #[schemars(title = "One meter for both")]
    pub same_meter: Option<bool>,
}

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Current running free.
    Free,
    /// Current slipping.
    Slipping,
    /// Starting voltage.
    Start,
}

/// What the change says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval lies below zero.
    Improved,
    /// The whole interval lies above zero.
    Worse,
    /// The interval holds zero, or meter or scatter are not known.
    NotToldApart,
}

/// The change of one kind of reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Change {
    /// What was read.
    pub kind: Kind,
    /// Mean before, A or V.
    pub before: f64,
    /// Mean after, A or V.
    pub after: f64,
    /// After less before, with bounds.
    pub change: Bounded,
    /// What the meter adds to the bounds, to either side; `None` where its accuracy is not known.
    pub meter: Option<f64>,
    /// What the scatter adds, to either side; `None` with fewer than two readings on a side.
    pub scatter: Option<f64>,
    /// What it says.
    pub verdict: Verdict,
}

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// One for each kind that was read on both sides.
    pub changes: Vec<Change>,
    /// Verdicts.
    pub findings: Vec<Finding>,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Kind::Free => "The free current",
            Kind::Slipping => "The slipping current",
            Kind::Start => "The starting voltage",
        }
    }

    fn name(self) -> &'static str {
        match self {
            Kind::Free => "free_change_a",
            Kind::Slipping => "slipping_change_a",
            Kind::Start => "start_change_v",
        }
    }

    fn unit(self) -> &'static str {
        if self == Kind::Start { "V" } else { "A" }
    }

    fn readings(self, run: &Run) -> &[f64] {
        match self {
            Kind::Free => &run.free_a,
            Kind::Slipping => &run.slipping_a,
            Kind::Start => &run.start_v,
        }
    }
}

const KINDS: [Kind; 3] = [Kind::Free, Kind::Slipping, Kind::Start];

/// Compares before and after.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let mut out = Output { changes: Vec::new(), findings: Vec::new() };
    for kind in KINDS {
        let (before, after) = (kind.readings(&input.before), kind.readings(&input.after));
        match (before.is_empty(), after.is_empty()) {
            (true, true) => {}
            (false, false) => {
                let change = compare(input, kind, before, after);
                out.findings.push(judge(input, &change, before.len(), after.len()));
                out.changes.push(change);
            }
            (missing_before, _) => {
                let side = if missing_before { "before" } else { "after" };
                out.findings.push(
                    Finding::unlit(
                        format!("{} is not measured {side} running in.", kind.word()),
                        "Read it on both sides, several times each.",
                    )
                    .input(side, "not measured")
                    .formula(FORMULA)
                    .source(SOURCE),
                );
            }
        }
    }
    Ok(out)
}

/// Mean, variance of the mean and count less one.
fn moments(values: &[f64]) -> (f64, f64, f64) {
    let n = values.iter().map(|_| 1.0).sum::<f64>();
    let mean = values.iter().sum::<f64>() / n;
    let square = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>();
    let freedom = n - 1.0;
    (mean, if freedom > 0.0 { square / freedom / n } else { 0.0 }, freedom)
}

/// The change of one kind of reading with its bounds.
///
/// Worked example by hand: 0.30, 0.32, 0.31 A before and 0.26, 0.27, 0.25 A after: d = −0.05 A,
/// √(s²/n + s²/n) = 0.00816 A, 4 degrees of freedom, t = 2.776: ± 0.0227 A.
fn compare(input: &Input, kind: Kind, before: &[f64], after: &[f64]) -> Change {
    let (mean_b, var_b, free_b) = moments(before);
    let (mean_a, var_a, free_a) = moments(after);
    let change = mean_a - mean_b;
    let accuracy = if kind == Kind::Start { input.voltage_meter } else { input.current_meter };
    let meter = accuracy.map(|a| {
        if input.same_meter == Some(true) {
            a.percent / 100.0 * change.abs() + 2.0 * a.digits * a.resolution
        } else {
            a.spread(mean_b) + a.spread(mean_a)
        }
    });
    let scatter = (before.len() > 1 && after.len() > 1).then(|| {
        let whole = var_b + var_a;
        if whole <= 0.0 {
            return 0.0;
        }
        let freedom = whole * whole / (var_b * var_b / free_b + var_a * var_a / free_a);
        crate::calc::student::two_sided(0.95, freedom) * whole.sqrt()
    });
    let bounds = Interval::around(change, meter.unwrap_or(0.0) + scatter.unwrap_or(0.0));
    let verdict = match (meter, scatter) {
        (Some(_), Some(_)) if same_voltage(input, kind) && bounds.hi < 0.0 => Verdict::Improved,
        (Some(_), Some(_)) if same_voltage(input, kind) && bounds.lo > 0.0 => Verdict::Worse,
        _ => Verdict::NotToldApart,
    };
    Change {
        kind,
        before: mean_b,
        after: mean_a,
        change: Bounded::new(change, bounds),
        meter,
        scatter,
        verdict,
    }
}

/// Whether both sides were read at the same voltage; the starting voltage does not depend on it.
fn same_voltage(input: &Input, kind: Kind) -> bool {
    let (b, a) = (input.before.test_v, input.after.test_v);
    kind == Kind::Start || (a - b).abs() <= SAME_VOLTAGE * a.max(b)
}

fn judge(input: &Input, of: &Change, count_before: usize, count_after: usize) -> Finding {
    let what = of.kind.word();
    let unit = of.kind.unit();
    let small = |v: f64| format!("{}\u{a0}{unit}", fixed(v, 3, Rounding::Nearest));
    let span = format!("{} to {}", small(of.change.lo), small(of.change.hi));
    let finding = match of.verdict {
        Verdict::Improved => Finding::new(
            Aspect::Clear,
            format!("{what} has fallen: it changed by {span}, all of it below zero."),
        )
        .would_change("More scatter, or a meter less sure."),
        Verdict::Worse => Finding::new(
            Aspect::Caution,
            format!("{what} has risen: it changed by {span}, all of it above zero."),
        )
        .would_change("Look for what binds, then read it again."),
        Verdict::NotToldApart if !same_voltage(input, of.kind) => Finding::unlit(
            format!(
                "{what} was read at {} before and {} after; they cannot be compared.",
                crate::units::volts(input.before.test_v),
                crate::units::volts(input.after.test_v)
            ),
            "Read both at the same voltage.",
        ),
        Verdict::NotToldApart if of.meter.is_none() => Finding::unlit(
            format!("{what} is not told apart: how far the meter may be off is not known."),
            "Give the meter's accuracy from its data sheet.",
        ),
        Verdict::NotToldApart if of.scatter.is_none() => Finding::unlit(
            format!("{what} is not told apart: one reading shows no scatter."),
            "Read it at least three times on each side.",
        ),
        Verdict::NotToldApart => Finding::unlit(
            format!("{what} is not told apart: the change may be anything from {span}."),
            "More readings on each side, or one meter on one range for both.",
        ),
    };
    let mean = |v: f64| if unit == "A" { amps(v) } else { small(v) };
    let add =
        |v: Option<f64>| v.map_or_else(|| "not known".to_owned(), |v| format!("± {}", small(v)));
    finding
        .input("mean before", format!("{} of {count_before} readings", mean(of.before)))
        .input("mean after", format!("{} of {count_after} readings", mean(of.after)))
        .input("from the meter", add(of.meter))
        .input("from the scatter", add(of.scatter))
        .input("voltage before, after", {
            format!("{}\u{a0}V, {}\u{a0}V", exact(input.before.test_v), exact(input.after.test_v))
        })
        .formula(FORMULA)
        .source(SOURCE)
}

/// Everything about the input that is not allowed.
fn refuse(input: &Input) -> Refusals {
    let mut no = Refusals::new();
    for (side, run) in [("before", &input.before), ("after", &input.after)] {
        within(&mut no, &format!("{side}.test_v"), run.test_v, 0.5, 30.0);
        for (field, values, most) in [
            ("free_a", &run.free_a, 50.0),
            ("slipping_a", &run.slipping_a, 50.0),
            ("start_v", &run.start_v, 30.0),
        ] {
            if values.len() > MOST_READINGS {
                let given = format!("{} readings", values.len());
                no.push(FieldRefusal::new(format!("{side}.{field}"), given, "at most 100"));
            }
            for (i, v) in values.iter().enumerate().take(MOST_READINGS) {
                within(&mut no, &format!("{side}.{field}.{i}"), *v, 0.0, most);
            }
        }
    }
    check_meter(&mut no, "current_meter", input.current_meter);
    check_meter(&mut no, "voltage_meter", input.voltage_meter);
    let any = KINDS
        .into_iter()
        .any(|k| !k.readings(&input.before).is_empty() || !k.readings(&input.after).is_empty());
    require(&mut no, any, "before.free_a", "no readings", "at least one kind of reading");
    no
}

impl Output {
    /// The answer as page, API and command line show it.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        for of in &self.changes {
            let unit = of.kind.unit();
            let label = format!("{}, after less before", of.kind.word());
            values.push(Value::new(of.kind.name(), &label, of.change, unit).by(FORMULA, SOURCE));
            if of.before > 0.0 {
                let part = |v: f64| v / of.before;
                let bounds = Interval::new(part(of.change.lo), part(of.change.hi));
                let name = of.kind.name().rsplit_once('_').map_or("", |(stem, _)| stem);
                let share = Bounded::new(part(of.change.value), bounds);
                let label = format!("{}, change over before", of.kind.word());
                values.push(
                    Value::new(&format!("{name}_share"), &label, share, "").by(FORMULA, SOURCE),
                );
            }
        }
        Answer::new("runin", values, self.findings.clone())
    }
}

/// Its entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "runin",
    title: "Run-in: has it really improved?",
    question: "Is the change between the readings before and after larger than meter and scatter?",
    caution: "",
    example: r#"{"before":{"test_v":12.0,"free_a":[0.31,0.30,0.32,0.31],"start_v":[3.4,3.5,3.5]},
"after":{"test_v":12.0,"free_a":[0.24,0.25,0.24,0.24],"start_v":[2.9,3.0,2.9]},
"current_meter":{"percent":1.5,"digits":1,"resolution":0.01},
"voltage_meter":{"percent":0.5,"digits":1,"resolution":0.05},"same_meter":true}"#,
    run: |json| Ok(run(&read(json)?)?.answer()),
    input_schema: schema::<Input>,
};

#[cfg(test)]
mod tests;
