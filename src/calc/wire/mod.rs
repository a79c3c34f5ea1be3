//! Wire: what a lead loses, how warm it gets, and which gauge for which job.
//!
//! - inputs: a wire by gauge, diameter or area (or none yet), length out and back in mm, current in
//!   A, copper temperature in °C;
//! - formula: `d = 0.127·92^((36 − n)/39)` mm, `R = ρ·l/A`, `ρ = 1/58 Ω·mm²/m` at 20 °C and
//!   0.393 % more per K, `U = I·R`, `P = I²·R`;
//! - comes back: sizes, ohms, drop, heat, and the range two published guides span;
//! - errors: every field outside its range is refused by its name;
//! - source: ASTM B258 (second-hand); copper from memory; the guides as named in [`gauge`].

pub mod gauge;
mod judge;

use crate::aspect::Finding;
use crate::calc::load::{check_meter, seen};
use crate::calc::read::read;
use crate::calc::registry::{Calculation, schema};
use crate::calc::{Answer, Bounded, Refusals, Value, require, within};
use crate::units::{Accuracy, Interval};
use gauge::{Job, Size, THICKEST, THINNEST};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Formula of the sizes and the ohms.
const FORMULA: &str =
    "d = 0.127·92^((36 − n)/39); R = l/(58·A)·(1 + 0.00393·(T − 20)); U = I·R; P = I²·R";
/// Source of the sizes and the ohms.
const SOURCE: &str = "ASTM B258, read second-hand; copper 1/58 Ω·mm²/m, from memory";
/// Source of the guides.
const GUIDES: &str =
    "700 circular mil per A; chassis-wiring table, from memory; hobby-laboratory table";
/// How much longer the strands of a stranded lead are than the lead, at most (a few per cent, from
/// memory).
const LAY: f64 = 1.05;
/// Heat to warm copper, J/(mm³·K): 8.96 g/cm³ times 0.385 J/(g·K), handbook values from memory.
const COPPER_J_PER_MM3_K: f64 = 8.96e-3 * 0.385;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Wire")]
pub struct Input {
    /// American wire gauge, 10 to 40. Give one of gauge, diameter and area, or none to be told which
    /// would do.
    #[serde(default)]
    #[schemars(title = "Gauge", range(min = 10, max = 40))]
    pub awg: Option<i32>,
    /// Diameter of the copper, mm, 0.079 to 2.6.
    #[serde(default)]
    #[schemars(title = "Diameter", range(min = 0.079, max = 2.6))]
    pub diameter_mm: Option<f64>,
    /// Area of the copper, all strands together, mm², 0.005 to 5.3.
    #[serde(default)]
    #[schemars(title = "Area", range(min = 0.005, max = 5.3))]
    pub area_mm2: Option<f64>,
    /// Whether it is stranded. Not given: not known, and the bounds hold both.
    #[serde(default)]
    #[schemars(title = "Stranded")]
    pub stranded: Option<bool>,
    /// Length of wire the current runs through, out and back, mm, 1 to 1 000 000.
    #[schemars(title = "Length out and back", range(min = 1.0, max = 1_000_000.0))]
    pub loop_mm: f64,
    /// Current, A, 0.0001 to 100.
    #[schemars(title = "Current", range(min = 0.0001, max = 100.0))]
    pub current_a: f64,
    /// Accuracy of the meter that read it. Not given: taken as exact.
    #[serde(default)]
    #[schemars(title = "Current meter")]
    pub current_meter: Option<Accuracy>,
    /// Copper temperature, °C, −40 to 200. Not given: 20.
    #[serde(default)]
    #[schemars(title = "Copper temperature", range(min = -40.0, max = 200.0))]
    pub copper_c: Option<f64>,
    /// Greatest drop you accept, V, 0.001 to 10. Not given: the drop is not judged.
    #[serde(default)]
    #[schemars(title = "Greatest drop", range(min = 0.001, max = 10.0))]
    pub most_drop_v: Option<f64>,
    /// What the wire is for. Not given: the usual gauges are not shown.
    #[serde(default)]
    #[schemars(title = "Job")]
    pub job: Option<Job>,
    /// How large the model is; needed for pickup and motor leads.
    #[serde(default)]
    #[schemars(title = "Size of the model")]
    pub size: Option<Size>,
}

/// What comes back for a given wire.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WireResult {
    /// Gauge, with fractions where diameter or area was given.
    pub awg: f64,
    /// Diameter of the copper as one round wire, mm.
    pub diameter_mm: f64,
    /// Area of the copper, mm².
    pub area_mm2: f64,
    /// Ω per km at the copper temperature.
    pub ohm_per_km: Bounded,
    /// Ω of the whole loop.
    pub resistance_ohm: Bounded,
    /// Drop, V.
    pub drop_v: Bounded,
    /// Heat in the whole loop, W.
    pub heat_w: Bounded,
    /// Heat per metre, W.
    pub heat_w_per_m: Bounded,
    /// Current over area, A/mm².
    pub density_a_mm2: f64,
    /// How fast the copper warms while no heat leaves it, K/s.
    pub rise_k_per_s: Bounded,
    /// What the careful guide lets it carry (700 circular mil per A), A.
    pub careful_a: f64,
    /// What the generous guide lets it carry (chassis wiring), A.
    pub generous_a: Option<f64>,
    /// What the laboratory table lets it carry, A; it has rows from 0.05 to 0.25 mm² only.
    pub laboratory_a: Option<f64>,
}

/// The thinnest gauges that would do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Choice {
    /// Thinnest by the careful guide; `None` where not even gauge 10 is enough.
    pub careful_awg: Option<i32>,
    /// Thinnest by the generous guide.
    pub generous_awg: Option<i32>,
    /// Thinnest that keeps the drop within what you accept.
    pub drop_awg: Option<i32>,
    /// Thickest and thinnest people use for the job.
    pub usual_awg: Option<(i32, i32)>,
}

/// What comes back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The wire that was given.
    pub wire: Option<WireResult>,
    /// Which gauges would do.
    pub choice: Choice,
    /// Verdicts.
    pub findings: Vec<Finding>,
}

/// Works a wire out.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let wire = input
        .awg
        .map(|n| gauge::diameter_mm(f64::from(n)))
        .or(input.diameter_mm)
        .or(input.area_mm2.map(gauge::diameter_of))
        .map(|diameter| work(input, diameter));
    let current = current(input).hi;
    let thinnest = |fits: &dyn Fn(i32) -> bool| (THICKEST..=THINNEST).rev().find(|n| fits(*n));
    let area = |n: i32| gauge::area_mm2(gauge::diameter_mm(f64::from(n)));
    let choice = Choice {
        careful_awg: thinnest(&|n| gauge::careful_a(area(n)) >= current),
        generous_awg: thinnest(&|n| gauge::generous_a(f64::from(n)).is_some_and(|a| a >= current)),
        drop_awg: input.most_drop_v.and_then(|most| {
            thinnest(&|n| work(input, gauge::diameter_mm(f64::from(n))).drop_v.hi <= most)
        }),
        usual_awg: input.job.and_then(|job| gauge::usual(job, input.size)),
    };
    let mut out = Output { wire, choice, findings: Vec::new() };
    out.findings = judge::findings(input, &out);
    Ok(out)
}

/// The current with its ends.
fn current(input: &Input) -> Bounded {
    seen(input.current_a, input.current_meter)
}

/// Works one size out.
///
/// Worked examples by hand: gauge 30, 1 m, 1 A gives 0.339 V; gauge 34, 0.3 m, 1 A gives 0.257 V;
/// gauge 30 at 60 °C has 391.8 Ω/km.
fn work(input: &Input, diameter_mm: f64) -> WireResult {
    let area = gauge::area_mm2(diameter_mm);
    let awg = gauge::gauge_of(diameter_mm);
    let solid = gauge::ohm_per_m(area, input.copper_c.unwrap_or(20.0));
    let lay = match input.stranded {
        Some(false) => 1.0,
        Some(true) | None => LAY,
    };
    let per_m = Bounded::new(solid, Interval { lo: solid, hi: solid * lay });
    let metres = input.loop_mm / 1000.0;
    let i = current(input);
    let square = i.interval().squared();
    let square = Bounded::new(i.value * i.value, Interval { lo: square.lo.max(0.0), ..square });
    let resistance = times(per_m, Bounded::exact(metres));
    let heat_per_m = times(square, per_m);
    WireResult {
        awg,
        diameter_mm,
        area_mm2: area,
        ohm_per_km: times(per_m, Bounded::exact(1000.0)),
        resistance_ohm: resistance,
        drop_v: times(i, resistance),
        heat_w: times(square, resistance),
        heat_w_per_m: heat_per_m,
        density_a_mm2: i.value / area,
        rise_k_per_s: times(heat_per_m, Bounded::exact(1.0 / (1000.0 * area * COPPER_J_PER_MM3_K))),
        careful_a: gauge::careful_a(area),
        generous_a: gauge::generous_a(awg),
        laboratory_a: gauge::laboratory_a(area),
    }
}

/// Product of two bounded values that are not negative.
fn times(a: Bounded, b: Bounded) -> Bounded {
    let ends = a.interval() * b.interval();
    Bounded::new(a.value * b.value, Interval { lo: ends.lo.max(0.0), hi: ends.hi })
}

/// Everything about the input that is not allowed.
fn refuse(input: &Input) -> Refusals {
    let mut no = Refusals::new();
    let mut optional = |field: &str, value: Option<f64>, least: f64, most: f64| {
        if let Some(v) = value {
            within(&mut no, field, v, least, most);
        }
    };
    optional("awg", input.awg.map(f64::from), f64::from(THICKEST), f64::from(THINNEST));
    optional("diameter_mm", input.diameter_mm, 0.079, 2.6);
    optional("area_mm2", input.area_mm2, 0.005, 5.3);
    optional("loop_mm", Some(input.loop_mm), 1.0, 1e6);
    optional("current_a", Some(input.current_a), 1e-4, 100.0);
    optional("copper_c", input.copper_c, -40.0, 200.0);
    optional("most_drop_v", input.most_drop_v, 0.001, 10.0);
    check_meter(&mut no, "current_meter", input.current_meter);
    let given = [input.awg.is_some(), input.diameter_mm.is_some(), input.area_mm2.is_some()];
    let count = given.into_iter().filter(|g| *g).count();
    let one = "at most one of awg, diameter_mm and area_mm2";
    require(&mut no, count <= 1, "awg", &format!("{count} sizes"), one);
    no
}

impl Output {
    /// The answer as page, API and command line show it.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        let mut add = |name: &str, label: &str, v: Option<Bounded>, unit: &str, source: &str| {
            if let Some(v) = v {
                values.push(Value::new(name, label, v, unit).by(FORMULA, source));
            }
        };
        let plain = |v: f64| Some(Bounded::exact(v));
        if let Some(w) = self.wire {
            add("drop_v", "Drop", Some(w.drop_v), "V", SOURCE);
            add("heat_w", "Heat in the wire", Some(w.heat_w), "W", SOURCE);
            add("heat_w_per_m", "Heat per metre", Some(w.heat_w_per_m), "W/m", SOURCE);
            add("resistance_ohm", "The whole loop", Some(w.resistance_ohm), "Ω", SOURCE);
            add("ohm_per_km", "Per kilometre", Some(w.ohm_per_km), "Ω/km", SOURCE);
            add("rise_k_per_s", "Warms by, if no heat leaves", Some(w.rise_k_per_s), "K/s", SOURCE);
            add("density_a_mm2", "Current over area", plain(w.density_a_mm2), "A/mm²", SOURCE);
            add(
                "careful_a",
                "Careful guide, 700 circular mil per A",
                plain(w.careful_a),
                "A",
                GUIDES,
            );
            let exact = |v: Option<f64>| v.map(Bounded::exact);
            add("generous_a", "Generous guide, chassis wiring", exact(w.generous_a), "A", GUIDES);
            add("laboratory_a", "Laboratory table", exact(w.laboratory_a), "A", GUIDES);
            add("awg", "Gauge", plain(w.awg), "AWG", SOURCE);
            add("diameter_mm", "Diameter of the copper", plain(w.diameter_mm), "mm", SOURCE);
            add("area_mm2", "Area of the copper", plain(w.area_mm2), "mm²", SOURCE);
        }
        let gauge = |n: Option<i32>| n.map(|n| Bounded::exact(f64::from(n)));
        let c = self.choice;
        add("careful_awg", "Thinnest by the careful guide", gauge(c.careful_awg), "AWG", GUIDES);
        add("generous_awg", "Thinnest by the generous guide", gauge(c.generous_awg), "AWG", GUIDES);
        add("drop_awg", "Thinnest for the drop", gauge(c.drop_awg), "AWG", SOURCE);
        let usual = "common practice, no source; feeder and bus one club's standard";
        add(
            "usual_thickest_awg",
            "Usual for the job, thickest",
            gauge(c.usual_awg.map(|u| u.0)),
            "AWG",
            usual,
        );
        add(
            "usual_thinnest_awg",
            "Usual for the job, thinnest",
            gauge(c.usual_awg.map(|u| u.1)),
            "AWG",
            usual,
        );
        Answer::new("wire", values, self.findings.clone())
    }
}

/// Its entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "wire",
    title: "Wire: drop, heat and gauge",
    question: "What does this lead lose, how warm does it get, and which gauge suits the job?",
    caution: "",
    example: r#"{"awg":30,"stranded":true,"loop_mm":300,"current_a":0.8,"most_drop_v":0.2,"job":"motor","size":"h0_oo"}"#,
    run: |json| Ok(run(&read(json)?)?.answer()),
    input_schema: schema::<Input>,
};

#[cfg(test)]
mod tests;
