//! Lights: any mix of LEDs and filament lamps on the function outputs of a decoder.
//!
//! Answers: which resistor goes with each string, what each output and all of them together draw,
//! and what is unsound about the wiring.
//!
//! - inputs: track voltage 3 to 30 V, drop 0 to 5 V, strings with volts and amps, ratings in A;
//! - formula: `R = (V_s − n·V_f)/I`, next value up in the E series, `P = I²R`, a resistor rated at
//!   least `2·P`;
//! - comes back: a resistor with its marks per string, currents with bounds, inrush, findings;
//! - errors: every field outside its range is refused by its path;
//! - source: textbook relation; IEC 60063 and IEC 60062 (lists second-hand and from memory); twice
//!   the rating is common practice, no source.

pub mod bands;
pub mod eseries;
mod input;
mod judge;
pub mod strings;

use crate::aspect::Finding;
use crate::calc::plot::{Plot, Resistor};
use crate::calc::read::read;
use crate::calc::registry::{Calculation, schema};
use crate::calc::{Answer, Bounded, Refusals, Value};
use crate::units::Interval;
use bands::Marks;
use eseries::{Preferred, Series};
pub use input::{Input, Light, LightOutput, LightString, Return};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use strings::{chosen_ohm, draw, exact_ohm, rating_w, supply};

/// Formula as shown with every result.
const FORMULA: &str = "R = (V_s − n·V_f) / I; P = I²·R; part rated at least 2·P";
/// Source as shown with every result.
const SOURCE: &str =
    "textbook relation; IEC 60063 series; twice the power is common practice, no source";

/// What comes back for one string.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StringResult {
    /// Its name.
    pub name: String,
    /// Supply of this string, V.
    pub supply_v: Bounded,
    /// Share of the time it is lit: 1 or 0.5.
    pub duty: f64,
    /// Resistor for exactly the wanted current, Ω; `None` where the supply is too low or no resistor
    /// is needed.
    pub exact_ohm: Option<f64>,
    /// Next value up in E12, Ω.
    pub e12_ohm: Option<f64>,
    /// Next value up in E24, Ω.
    pub e24_ohm: Option<f64>,
    /// Next value up in E96, Ω.
    pub e96_ohm: Option<f64>,
    /// Resistor taken, Ω; `None` where there is none.
    pub resistor_ohm: Option<f64>,
    /// Its tolerance, percent.
    pub tolerance_percent: f64,
    /// How it is marked; `None` where there is none or it has more than three digits.
    pub marks: Option<Marks>,
    /// Current through the resistor while lit, A, one string.
    pub current_a: Bounded,
    /// Current through one branch of lamps while lit, A.
    pub branch_a: Bounded,
    /// Volts on one lamp, V.
    pub lamp_v: Bounded,
    /// Heat in the resistor while lit, W.
    pub resistor_w: Bounded,
    /// Least rating to fit, W; `None` where none up to 5 W will do or no resistor is needed.
    pub rating_w: Option<f64>,
    /// Greatest current at switch-on, A, one string.
    pub inrush_a: f64,
}

/// What comes back for one output.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OutputResult {
    /// Its name.
    pub name: String,
    /// Current of all its strings while lit, A; what the current budget takes.
    pub current_a: Bounded,
    /// Greatest current at switch-on, A.
    pub inrush_a: f64,
    /// Its strings.
    pub strings: Vec<StringResult>,
}

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// Supply on the function common, V.
    pub supply_v: Bounded,
    /// All outputs lit at once, A.
    pub total_a: Bounded,
    /// Greatest current when all are switched on at once, A.
    pub inrush_a: f64,
    /// One per output, in the order given.
    pub outputs: Vec<OutputResult>,
    /// Verdicts.
    pub findings: Vec<Finding>,
}

/// Works the lights out.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = input::refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let outputs: Vec<OutputResult> = input
        .outputs
        .iter()
        .map(|output| {
            let strings: Vec<StringResult> =
                output.strings.iter().map(|s| string_result(input, s)).collect();
            let many = || output.strings.iter().zip(&strings).map(|(s, r)| (s.copies(), r));
            OutputResult {
                name: output.name.clone(),
                current_a: total(many().map(|(n, r)| times(n, r.current_a))),
                inrush_a: many().map(|(n, r)| f64::from(n) * r.inrush_a).sum(),
                strings,
            }
        })
        .collect();
    let common = supply(input, Some(Return::Common));
    let mut out = Output {
        supply_v: Bounded::new(common.value, common.bounds),
        total_a: total(outputs.iter().map(|o| o.current_a)),
        inrush_a: outputs.iter().map(|o| o.inrush_a).sum(),
        outputs,
        findings: Vec::new(),
    };
    out.findings = judge::findings(input, &out);
    Ok(out)
}

/// Works one string out; with no resistor a lamp stands on the supply and an LED stays dark.
fn string_result(input: &Input, string: &LightString) -> StringResult {
    let fed = supply(input, string.returns_to);
    let exact = exact_ohm(fed.value, string);
    let chosen = chosen_ohm(exact, string, input.series);
    let tolerance = string.tolerance_percent.unwrap_or(input.series.tolerance_percent());
    let drawn = draw(fed, string, chosen.unwrap_or(0.0), tolerance);
    let up = |s: Series| (exact > 0.0).then(|| s.next_up(exact).map(Preferred::ohm)).flatten();
    StringResult {
        name: string.name.clone(),
        supply_v: Bounded::new(fed.value, fed.bounds),
        duty: fed.duty,
        exact_ohm: (exact > 0.0).then_some(exact),
        e12_ohm: up(Series::E12),
        e24_ohm: up(Series::E24),
        e96_ohm: up(Series::E96),
        resistor_ohm: chosen,
        tolerance_percent: tolerance,
        marks: chosen.and_then(Preferred::of).map(|p| bands::marks(p, tolerance)),
        current_a: drawn.current_a,
        branch_a: drawn.branch_a,
        lamp_v: drawn.lamp_v,
        resistor_w: drawn.resistor_w,
        rating_w: chosen.filter(|ohm| *ohm > 0.0).and_then(|_| rating_w(drawn.resistor_w.hi)),
        inrush_a: drawn.inrush_a,
    }
}

/// Sum of bounded currents.
fn total(many: impl Iterator<Item = Bounded>) -> Bounded {
    many.fold(Bounded::exact(0.0), |sum, one| {
        let ends = sum.interval() + one.interval();
        Bounded::new(sum.value + one.value, Interval { lo: ends.lo.max(0.0), hi: ends.hi })
    })
}

/// A bounded current so many times.
fn times(count: u32, one: Bounded) -> Bounded {
    let n = f64::from(count);
    let ends = one.interval() * Interval::exact(n);
    Bounded::new(n * one.value, Interval { lo: ends.lo.max(0.0), hi: ends.hi })
}

impl Output {
    /// The answer as page, API and command line show it.
    pub fn answer(&self) -> Answer {
        let value = |name: &str, label: &str, v: Bounded, unit: &str| {
            Value::new(name, label, v, unit).by(FORMULA, SOURCE)
        };
        let mut values = vec![
            value("total_a", "All outputs lit", self.total_a, "A"),
            value("inrush_a", "All switched on at once", Bounded::exact(self.inrush_a), "A"),
            value("supply_v", "On the function common", self.supply_v, "V"),
        ];
        for (i, output) in (1..).zip(&self.outputs) {
            let name = format!("output_{i}_a");
            values.push(value(&name, &output.name, output.current_a, "A"));
            for (j, string) in (1..).zip(&output.strings) {
                string_values(&mut values, &format!("output_{i}_string_{j}"), string);
            }
        }
        Answer::new("lights", values, self.findings.clone()).drawn(self.plots())
    }

    /// Every resistor that has marks.
    fn plots(&self) -> Vec<Plot> {
        let drawn = |string: &StringResult| {
            Some(Plot::Resistor(Resistor {
                title: format!("Resistor of {}", string.name),
                ohm: string.resistor_ohm?,
                tolerance_percent: string.tolerance_percent,
                rating_w: string.rating_w,
                marks: string.marks.clone()?,
            }))
        };
        self.outputs.iter().flat_map(|o| &o.strings).filter_map(drawn).collect()
    }
}

/// The lines of one string.
fn string_values(values: &mut Vec<Value>, at: &str, string: &StringResult) {
    let mut add = |name: &str, label: &str, v: Option<Bounded>, unit: &str| {
        if let Some(v) = v {
            let label = format!("{}: {label}", string.name);
            values.push(Value::new(&format!("{at}_{name}"), &label, v, unit).by(FORMULA, SOURCE));
        }
    };
    let ohm = |v: Option<f64>| v.map(Bounded::exact);
    let spread = string.resistor_ohm.map(|ohm| {
        Bounded::new(ohm, Interval::around(ohm, ohm * string.tolerance_percent / 100.0))
    });
    add("resistor_ohm", "resistor", spread, "Ω");
    add("rating_w", "resistor rated at least", ohm(string.rating_w), "W");
    add("current_a", "current", Some(string.current_a), "A");
    add("mean_a", "mean current", Some(scaled(string.current_a, string.duty)), "A");
    add("branch_a", "each lamp", Some(string.branch_a), "A");
    add("lamp_v", "volts on each lamp", Some(string.lamp_v), "V");
    add("resistor_w", "heat in the resistor", Some(string.resistor_w), "W");
    add("inrush_a", "at switch-on", ohm(Some(string.inrush_a)), "A");
    add("exact_ohm", "exact resistor", ohm(string.exact_ohm), "Ω");
    add("e12_ohm", "next up in E12", ohm(string.e12_ohm), "Ω");
    add("e24_ohm", "next up in E24", ohm(string.e24_ohm), "Ω");
    add("e96_ohm", "next up in E96", ohm(string.e96_ohm), "Ω");
}

fn scaled(v: Bounded, by: f64) -> Bounded {
    Bounded::new(v.value * by, Interval::new(v.lo * by, v.hi * by))
}

/// Its entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "lights",
    title: "Lights on the function outputs",
    question: "Which resistor does each lamp need, and what do the outputs draw?",
    caution: "Filament lamps and their resistors get hot enough to melt a shell: keep them off the plastic.",
    example: r#"{"track_v":15.4,"series":"e24","total_rating_a":0.5,"outputs":[
{"name":"white","rating_a":0.1,"strings":[{"name":"headlamps","light":{"led":{"forward_v":3.2,"wanted_a":0.005,"most_a":0.02}},"in_series":2,"returns_to":"common"}]},
{"name":"function 1","rating_a":0.2,"strings":[{"name":"cab lamp","light":{"lamp":{"rated_v":12,"rated_a":0.05}},"in_series":1,"returns_to":"common"}]}]}"#,
    run: |json| Ok(run(&read(json)?)?.answer()),
    input_schema: schema::<Input>,
};

#[cfg(test)]
mod tests;
