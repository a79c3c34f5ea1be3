//! Wire sizes: gauge number, diameter, area, ohms, and what two published guides let them carry.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Thickest gauge the calculation takes.
pub const THICKEST: i32 = 10;
/// Thinnest gauge the calculation takes.
pub const THINNEST: i32 = 40;
/// Resistivity of copper at 20 °C, Ω·mm²/m: `1/58` (annealed copper standard, from memory; it
/// reproduces the published column).
pub const COPPER: f64 = 1.0 / 58.0;
/// Change of copper's resistance per K from 20 °C.
pub const COPPER_PER_K: f64 = 0.003_93;
/// One circular mil in mm²: a circle of 0.001 in.
const CIRCULAR_MIL_MM2: f64 = 0.0254 * 0.0254 * PI / 4.0;

/// Current guide for leads in open air inside a chassis, A, gauges 10 to 40 (a table widely reprinted
/// without its author; from memory).
const CHASSIS_A: [f64; 31] = [
    55.0, 47.0, 41.0, 35.0, 32.0, 28.0, 22.0, 19.0, 16.0, 14.0, 11.0, 9.0, 7.0, 4.7, 3.5, 2.7, 2.2,
    1.7, 1.4, 1.2, 0.86, 0.70, 0.53, 0.43, 0.33, 0.27, 0.21, 0.17, 0.13, 0.11, 0.09,
];

/// A second current guide, from a hobby laboratory's table (read second-hand): area in mm², current
/// in A, rising.
pub const LABORATORY_A: [(f64, f64); 4] = [(0.05, 1.0), (0.08, 1.5), (0.15, 2.0), (0.25, 4.0)];

/// Diameter of a gauge in mm. `d = 0.127·92^((36 − n)/39)` (ASTM B258, read second-hand; fixed
/// points 0000 = 0.46 in, 36 = 0.005 in). Gauge 30 gives 0.2546 mm.
pub fn diameter_mm(gauge: f64) -> f64 {
    0.127 * 92f64.powf((36.0 - gauge) / 39.0)
}

/// Gauge of a diameter in mm above 0; the inverse of [`diameter_mm`], with fractions.
pub fn gauge_of(diameter_mm: f64) -> f64 {
    36.0 - 39.0 * (diameter_mm / 0.127).ln() / 92f64.ln()
}

/// Area of a round wire, mm².
pub fn area_mm2(diameter_mm: f64) -> f64 {
    PI / 4.0 * diameter_mm * diameter_mm
}

/// Diameter of a round wire of that area, mm.
pub fn diameter_of(area_mm2: f64) -> f64 {
    (4.0 * area_mm2 / PI).sqrt()
}

/// Ω per m of copper at a temperature in °C: `R = (1/58)/A·(1 + 0.00393·(T − 20))`.
pub fn ohm_per_m(area_mm2: f64, copper_c: f64) -> f64 {
    COPPER / area_mm2 * (1.0 + COPPER_PER_K * (copper_c - 20.0))
}

/// The careful guide, A: one ampere for every 700 circular mil.
pub fn careful_a(area_mm2: f64) -> f64 {
    area_mm2 / CIRCULAR_MIL_MM2 / 700.0
}

/// The generous guide, A: the chassis table at the whole gauge, the thinner one between two. `None`
/// outside gauges 10 to 40.
pub fn generous_a(gauge: f64) -> Option<f64> {
    // A gauge a hair above a whole number is that number: 1e-6 of a gauge is 0.1 ppm of diameter.
    let whole = (gauge - 1e-6).ceil();
    let index = (THICKEST..=THINNEST).position(|n| (f64::from(n) - whole).abs() < 0.5)?;
    CHASSIS_A.get(index).copied()
}

/// The laboratory guide, A: the last row that is not thicker. `None` below 0.05 mm² and above
/// 0.25 mm², where it has no row.
pub fn laboratory_a(area_mm2: f64) -> Option<f64> {
    if area_mm2 > 0.26 {
        return None;
    }
    // The table's areas are rounded: gauge 30 is 0.0509, 28 is 0.0810 mm².
    LABORATORY_A.iter().rev().find(|(area, _)| *area <= area_mm2 * 1.000_001).map(|&(_, a)| a)
}

/// What a wire is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Job {
    /// From wheel wipers to the decoder.
    Pickup,
    /// From the decoder to the motor.
    Motor,
    /// To lamps.
    Lights,
    /// To the speaker.
    Speaker,
    /// From the layout's bus to a rail.
    Feeder,
    /// Along the layout.
    Bus,
}

/// How large the model is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// Z and N.
    ZN,
    /// H0 and OO.
    H0Oo,
    /// 0.
    O,
    /// 1, G and up.
    Large,
}

/// The gauges people use for a job, thickest and thinnest; `None` where it depends on a size that is
/// not given. Common practice, no source; feeder and bus from one club's standard (read
/// second-hand).
pub fn usual(job: Job, size: Option<Size>) -> Option<(i32, i32)> {
    Some(match job {
        Job::Pickup | Job::Motor => match size? {
            Size::ZN => (30, 32),
            Size::H0Oo => (28, 30),
            Size::O => (26, 28),
            Size::Large => (22, 24),
        },
        Job::Lights => (32, 36),
        Job::Speaker => (28, 32),
        Job::Feeder => (THICKEST, 24),
        Job::Bus => (THICKEST, 14),
    })
}
