//! Heat: will it settle below the limit, and when would it pass it.
//!
//! From logged temperatures a first-order rise is fitted,
//! `T(t) = T_amb + dT (1 − exp(−t / tau))`, with the ambient temperature given or fitted too. The
//! settled temperature comes with its confidence interval; *stop now* when the upper end of that
//! interval passes the limit.
//!
//! Inputs: times in s from switching on, temperatures in °C, optional ambient, limit, thermometer
//! accuracy; or watts and thermal resistances for a forecast. Errors: times that do not rise,
//! values outside their range. Fewer than 4 readings, or readings over less than half a time
//! constant, are unlit: the curve cannot tell yet. Source: first-order rise, every heat-transfer
//! handbook; interval by the linear approximation of non-linear least squares with Student's t.
//! Worked example: T_a 22, dT 40, tau 10 min is 47.28 °C after 10 min and passes 50 °C at 12.04
//! min.

mod findings;
mod fit;
mod plots;

use super::answer::{Answer, Bounded, FieldRefusal, Refusals, Value, within};
use super::plot::Plot;
use super::read::read;
use super::registry::{Calculation, schema};
use crate::aspect::Finding;
use crate::units::{Accuracy, Interval};
use fit::{Fit, NoFit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The entry in the list of calculations.
pub const CALCULATION: Calculation = Calculation {
    name: "heat",
    title: "Will it settle",
    question: "Where does the temperature settle, how sure is that, and when does it pass the \
               limit?",
    caution: "Hot parts burn: cut the power, wait, do not touch the decoder. Never leave a first \
              run alone.",
    example: r#"{"ambient_c": 22, "limit_c": 70, "points": [
  {"time_s": 0, "temp_c": 22.1}, {"time_s": 300, "temp_c": 37.6}, {"time_s": 600, "temp_c": 47.4},
  {"time_s": 900, "temp_c": 53.0}, {"time_s": 1200, "temp_c": 56.7},
  {"time_s": 1500, "temp_c": 58.6}]}"#,
    run: |json| read::<Input>(json).and_then(|input| run(&input)).map(|output| output.answer()),
    input_schema: schema::<Input>,
};

/// Readings a fit needs at least.
pub const LEAST_POINTS: usize = 4;
/// Share of a time constant that the readings must span.
pub const LEAST_SPAN: f64 = 0.5;
/// The soak rule looks back so far, s.
const SOAK_WINDOW_S: f64 = 300.0;

/// One logged temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// Time since switching on, s, 0 to 1 000 000.
    #[schemars(title = "Time", range(min = 0.0, max = 1_000_000.0))]
    pub time_s: f64,
    /// Temperature, °C, −50 to 400.
    #[schemars(title = "Temperature", range(min = -50.0, max = 400.0))]
    pub temp_c: f64,
}

/// A temperature log, and what it is judged by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Temperature log")]
pub struct Input {
    /// Logged temperatures, each later than the one before; at most 2000.
    #[serde(default)]
    #[schemars(title = "Readings")]
    pub points: Vec<Point>,
    /// Temperature of the air about the part when the run began, °C, −50 to 150; inside a shell the
    /// air of the shell. Not given: fitted from the log.
    #[serde(default)]
    #[schemars(title = "Ambient", range(min = -50.0, max = 150.0))]
    pub ambient_c: Option<f64>,
    /// Highest temperature allowed, °C, 0 to 400. Not given: nothing to judge by.
    #[serde(default)]
    #[schemars(title = "Limit", range(min = 0.0, max = 400.0))]
    pub limit_c: Option<f64>,
    /// Confidence level of the interval, percent, 50 to 99.9.
    #[serde(default = "level")]
    #[schemars(title = "Confidence level", range(min = 50.0, max = 99.9))]
    pub level_percent: f64,
    /// Accuracy of the thermometer, in °C. Not given: only the scatter of the readings counts.
    #[serde(default)]
    #[schemars(title = "Meter")]
    pub accuracy: Option<Accuracy>,
    /// Power turned into heat in the part, W, 0 to 1000, for a forecast from data sheets.
    #[serde(default)]
    #[schemars(title = "Heat made", range(min = 0.0, max = 1000.0))]
    pub loss_w: Option<f64>,
    /// Thermal resistances from the part to the air, K/W, each 0 to 10 000, at most 20.
    #[serde(default)]
    #[schemars(title = "Thermal resistances")]
    pub path_kelvin_per_watt: Vec<f64>,
}

/// Usual confidence level, percent.
fn level() -> f64 {
    95.0
}

/// One sample of the fitted curve for the plot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sample {
    /// Time since switching on, s.
    pub time_s: f64,
    /// The curve, °C.
    pub temp_c: f64,
    /// Low end of the band, °C.
    pub lo_c: f64,
    /// High end of the band, °C.
    pub hi_c: f64,
}

/// Time to the limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToLimit {
    /// When the fitted curve passes the limit, s from switching on; `None`: never.
    pub time_s: Option<f64>,
    /// When the high end of the band passes it, s.
    pub earliest_s: f64,
    /// When the low end of the band passes it, s; `None`: it never does.
    pub latest_s: Option<f64>,
}

/// The fitted curve and what follows from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Curve {
    /// Settled temperature with its interval, °C.
    pub final_c: Bounded,
    /// Rise over ambient with its interval, K.
    pub rise_k: Bounded,
    /// Time constant with its interval, s.
    pub tau_s: Bounded,
    /// Ambient temperature, °C, with its interval where it was fitted.
    pub ambient_c: Bounded,
    /// Standard deviation of the readings about the curve, K.
    pub residual_k: f64,
    /// Slope at the last reading, °C per minute.
    pub rate_c_per_min: f64,
    /// Time to the limit; `None`: no limit given, or not even the band reaches it.
    pub to_limit: Option<ToLimit>,
    /// Curve and band for the plot.
    pub samples: Vec<Sample>,
}

/// What the log tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Output {
    /// The curve; `None` while the log is too short to tell.
    pub curve: Option<Curve>,
    /// Why there is no curve, empty where there is one.
    pub why_no_curve: String,
    /// Highest temperature read, °C.
    pub highest_c: Option<f64>,
    /// Time of the last reading, s.
    pub last_s: Option<f64>,
    /// Rise over the last 5 minutes with its bounds, K; `None`: the log is shorter.
    pub soak_rise_k: Option<Bounded>,
    /// Forecast from watts and thermal resistances, °C.
    pub steady_c: Option<f64>,
    /// The verdicts.
    pub findings: Vec<Finding>,
    /// Readings, curve, band and limit; empty where nothing was read.
    pub plots: Vec<Plot>,
}

/// Settled temperature of a part, °C: `T = T_a + P Σ R_th`, P in W, R in K/W.
/// Source: thermal Ohm's law, every data book on cooling.
pub fn steady_c(ambient_c: f64, loss_w: f64, path_kelvin_per_watt: &[f64]) -> f64 {
    ambient_c + loss_w * path_kelvin_per_watt.iter().sum::<f64>()
}

/// Runs the calculation.
pub fn run(input: &Input) -> Result<Output, Refusals> {
    let refusals = refuse(input);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let (curve, why_no_curve) = match curve(input) {
        Ok(curve) => (Some(curve), String::new()),
        Err(why) => (None, why),
    };
    let steady = match (input.loss_w, input.ambient_c) {
        (Some(watts), Some(ambient)) if !input.path_kelvin_per_watt.is_empty() => {
            Some(steady_c(ambient, watts, &input.path_kelvin_per_watt))
        }
        _ => None,
    };
    let mut output = Output {
        curve,
        why_no_curve,
        highest_c: input.points.iter().map(|p| p.temp_c).reduce(f64::max),
        last_s: input.points.last().map(|p| p.time_s),
        soak_rise_k: soak_rise(input),
        steady_c: steady,
        findings: Vec::new(),
        plots: Vec::new(),
    };
    output.findings = findings::all(input, &output);
    output.plots = plots::all(input, &output);
    Ok(output)
}

/// Checks every field.
fn refuse(input: &Input) -> Refusals {
    let mut r = Refusals::new();
    if input.points.len() > 2000 {
        r.push(FieldRefusal::new("points", input.points.len().to_string(), "at most 2000"));
    }
    let mut before = f64::NEG_INFINITY;
    for (i, p) in input.points.iter().enumerate() {
        within(&mut r, &format!("points.{i}.time_s"), p.time_s, 0.0, 1e6);
        within(&mut r, &format!("points.{i}.temp_c"), p.temp_c, -50.0, 400.0);
        if p.time_s - before < 1e-3 {
            let field = format!("points.{i}.time_s");
            let given = crate::units::exact(p.time_s);
            r.push(FieldRefusal::new(field, given, "at least 1 ms later than the reading before"));
        }
        before = p.time_s;
    }
    let optional = [
        ("ambient_c", input.ambient_c, -50.0, 150.0),
        ("limit_c", input.limit_c, 0.0, 400.0),
        ("loss_w", input.loss_w, 0.0, 1000.0),
    ];
    for (field, value, least, most) in optional {
        if let Some(value) = value {
            within(&mut r, field, value, least, most);
        }
    }
    within(&mut r, "level_percent", input.level_percent, 50.0, 99.9);
    if input.path_kelvin_per_watt.len() > 20 {
        r.push(FieldRefusal::new(
            "path_kelvin_per_watt",
            input.path_kelvin_per_watt.len().to_string(),
            "at most 20",
        ));
    }
    for (i, &ohm) in input.path_kelvin_per_watt.iter().enumerate() {
        within(&mut r, &format!("path_kelvin_per_watt.{i}"), ohm, 0.0, 10_000.0);
    }
    if let Some(a) = input.accuracy {
        within(&mut r, "accuracy.percent", a.percent, 0.0, 50.0);
        within(&mut r, "accuracy.digits", a.digits, 0.0, 100.0);
        within(&mut r, "accuracy.resolution", a.resolution, 1e-6, 100.0);
    }
    r
}

/// Fits, and refuses to tell from too little.
fn curve(input: &Input) -> Result<Curve, String> {
    let points = &input.points;
    if points.len() < LEAST_POINTS {
        return Err(format!("{} of at least {LEAST_POINTS} readings", points.len()));
    }
    let fit = Fit::of(points, input.ambient_c).map_err(|why| {
        match why {
            NoFit::TooFew => "too few readings",
            NoFit::NoBend => "the readings still rise in a straight line",
            NoFit::Flat => "the readings show no rise to fit",
        }
        .to_owned()
    })?;
    let (first, last) = (points[0].time_s, points[points.len() - 1].time_s);
    if last - first < LEAST_SPAN * fit.tau_s {
        return Err(format!(
            "the readings span {} of about {} that are needed",
            findings::minutes(last - first),
            findings::minutes(LEAST_SPAN * fit.tau_s)
        ));
    }
    Ok(describe(input, &fit, last))
}

/// The numbers of a good fit.
fn describe(input: &Input, fit: &Fit, last_s: f64) -> Curve {
    let factor = crate::calc::student::two_sided(input.level_percent / 100.0, fit.dof);
    let offset = |value: f64| input.accuracy.map_or(0.0, |a| a.spread(value));
    let bound = |value: f64, error: f64, extra: f64| {
        Bounded::new(value, Interval::around(value, factor * error + extra))
    };
    let band = |time_s: f64| {
        let temp_c = fit.at(time_s);
        let spread = factor * fit.error_at(time_s) + offset(temp_c);
        Sample { time_s, temp_c, lo_c: temp_c - spread, hi_c: temp_c + spread }
    };
    let until = (last_s * 1.2).max((5.0 * fit.tau_s).min(4.0 * last_s));
    let samples = (0..=96_u32).map(|k| band(until * f64::from(k) / 96.0)).collect();
    let ambient = fit.ambient_c;
    let extra = if input.ambient_c.is_some() { 0.0 } else { offset(ambient) };
    let tau = bound(fit.tau_s, fit.tau_error_s(), 0.0);
    Curve {
        final_c: bound(fit.final_c(), fit.final_error_k(), offset(fit.final_c())),
        rise_k: bound(fit.rise_k, fit.rise_error_k(), offset(fit.final_c())),
        tau_s: Bounded { lo: tau.lo.max(0.0), ..tau },
        ambient_c: bound(ambient, fit.ambient_error_k(), extra),
        residual_k: fit.residual_k,
        rate_c_per_min: fit.slope_at(last_s) * 60.0,
        to_limit: input.limit_c.and_then(|limit| to_limit(fit, limit, &band)),
        samples,
    }
}

/// When curve and band pass the limit: looked for over twelve time constants.
fn to_limit(fit: &Fit, limit_c: f64, band: &impl Fn(f64) -> Sample) -> Option<ToLimit> {
    let horizon = 12.0 * fit.tau_s;
    let first = |over: &dyn Fn(f64) -> bool| {
        let at = |k: u32| horizon * f64::from(k) / 480.0;
        let k = (0..=480_u32).find(|&k| over(at(k)))?;
        let (mut lo, mut hi) = (at(k.saturating_sub(1)), at(k));
        for _ in 0..60 {
            let mid = f64::midpoint(lo, hi);
            if over(mid) { hi = mid } else { lo = mid }
        }
        Some(hi)
    };
    let time_s = fit.time_at(limit_c);
    let earliest_s = first(&|t| band(t).hi_c >= limit_c).or(time_s)?;
    Some(ToLimit { time_s, earliest_s, latest_s: first(&|t| band(t).lo_c >= limit_c) })
}

/// Rise over the last 5 minutes. The thermometer's steady error falls out of a difference; its
/// percent of the difference and one step of its display stay.
fn soak_rise(input: &Input) -> Option<Bounded> {
    let last = input.points.last()?;
    let from = last.time_s - SOAK_WINDOW_S;
    let pair = input.points.windows(2).find(|w| w[0].time_s <= from && from <= w[1].time_s)?;
    let share = (from - pair[0].time_s) / (pair[1].time_s - pair[0].time_s);
    let then = pair[0].temp_c + share * (pair[1].temp_c - pair[0].temp_c);
    let rise = last.temp_c - then;
    let spread = input.accuracy.map_or(0.0, |a| a.percent / 100.0 * rise.abs() + a.resolution);
    Some(Bounded::new(rise, Interval::around(rise, spread)))
}

impl Output {
    /// The answer as every face shows it.
    pub fn answer(&self) -> Answer {
        let mut values = Vec::new();
        if let Some(c) = &self.curve {
            curve_values(c, self.last_s.unwrap_or(0.0), &mut values);
        }
        if let Some(rise) = self.soak_rise_k {
            values.push(
                Value::new("soak_rise_k", "Rise in the last 5 minutes", rise, "K")
                    .by("T(last) − T(5 min before)", "common practice, from memory"),
            );
        }
        if let Some(steady) = self.steady_c {
            values.push(
                Value::new("steady_c", "Forecast from watts", Bounded::exact(steady), "°C")
                    .by("T = T_a + P Σ R_th", "thermal Ohm's law"),
            );
        }
        Answer::new("heat", values, self.findings.clone()).drawn(self.plots.clone())
    }
}

/// The fitted values, most wanted first.
fn curve_values(c: &Curve, last_s: f64, values: &mut Vec<Value>) {
    const FORMULA: &str = "T(t) = T_amb + dT (1 − exp(−t / tau)), least squares";
    const SOURCE: &str = "first-order rise; s² (JᵀJ)⁻¹ and Student's t for the interval";
    let mut put = |name: &str, label: &str, value: Bounded, unit: &str| {
        values.push(Value::new(name, label, value, unit).by(FORMULA, SOURCE));
    };
    put("final_c", "Settles at", c.final_c, "°C");
    if let Some(to) = c.to_limit {
        put("earliest_to_limit_s", "May pass the limit after", Bounded::exact(to.earliest_s), "s");
        if let Some(time) = to.time_s {
            let hi = to.latest_s.unwrap_or(12.0 * c.tau_s.value).max(time);
            let bounds = Bounded::new(time, Interval::new(to.earliest_s.min(time), hi));
            put("time_to_limit_s", "Passes the limit after", bounds, "s");
            let left = |t: f64| (t - last_s).max(0.0);
            let bounds = Bounded { value: left(time), lo: left(bounds.lo), hi: left(bounds.hi) };
            put("time_left_s", "Time left from the last reading", bounds, "s");
        }
    }
    put("tau_s", "Time constant", c.tau_s, "s");
    put("rise_k", "Rise over ambient", c.rise_k, "K");
    put("ambient_c", "Ambient", c.ambient_c, "°C");
    put("rate_c_per_min", "Rises now by", Bounded::exact(c.rate_c_per_min), "°C/min");
    put("residual_k", "Scatter about the curve", Bounded::exact(c.residual_k), "K");
}

#[cfg(test)]
mod tests;
