//! A speaker in a closed box: resonance, Q, low end, and the box for a wanted Q.
//!
//! Relations of Thiele and Small for the closed box, checked against a published example. Sheets of
//! small speakers rarely give V_as, so every result is a guide.

use crate::calc::Bounded;
use crate::units::Interval;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Q_tc of the flattest closed box, `1/√2`.
pub const FLATTEST: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// The speaker's small-signal values and the box.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClosedBox {
    /// Free-air resonance f_s, Hz, 10 to 5000.
    #[schemars(title = "Resonance in free air", range(min = 10.0, max = 5000.0))]
    pub fs_hz: f64,
    /// Total Q of the speaker in free air Q_ts, 0.1 to 10.
    #[schemars(title = "Q in free air", range(min = 0.1, max = 10.0))]
    pub qts: f64,
    /// Equivalent volume of its suspension V_as, cm³, 0.01 to 1 000 000.
    #[schemars(title = "Equivalent volume", range(min = 0.01, max = 1_000_000.0))]
    pub vas_cm3: f64,
    /// Volume of air in the box, cm³, 0.01 to 1 000 000. Not given: not known.
    #[serde(default)]
    #[schemars(title = "Air in the box", range(min = 0.01, max = 1_000_000.0))]
    pub box_cm3: Option<f64>,
    /// How far f_s, Q_ts and V_as may each be off, percent, 0 to 50. Not given: taken as exact.
    #[serde(default)]
    #[schemars(title = "Spread", range(min = 0.0, max = 50.0))]
    pub spread_percent: Option<f64>,
    /// Wanted Q_tc, 0.3 to 3. Not given: 0.7071, the flattest.
    #[serde(default)]
    #[schemars(title = "Wanted Q", range(min = 0.3, max = 3.0))]
    pub wanted_qtc: Option<f64>,
    /// Lowest note the prototype's sound needs, Hz, 20 to 10 000. Not given: not stated.
    #[serde(default)]
    #[schemars(title = "Lowest wanted note", range(min = 20.0, max = 10000.0))]
    pub band_low_hz: Option<f64>,
}

/// What the box does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BoxResult {
    /// Resonance in the box, Hz.
    pub fc_hz: Option<Bounded>,
    /// Q in the box.
    pub qtc: Option<Bounded>,
    /// Where the response is 3 dB down, Hz.
    pub f3_hz: Option<Bounded>,
    /// Response at the lowest wanted note, dB against the flat part.
    pub at_band_low_db: Option<f64>,
    /// Rise at the peak, dB; 0 where there is none.
    pub peak_db: Option<f64>,
    /// Air for the wanted Q_tc, cm³; `None` where Q_ts is already at or above it.
    pub wanted_box_cm3: Option<f64>,
}

/// Works a closed box out.
///
/// `u = 1 + V_as/V_b`, `f_c = f_s·√u`, `Q_tc = Q_ts·√u`, `x = 1/(2·Q_tc²) − 1`,
/// `f_3 = f_c·√(x + √(x² + 1))`, `V_b = V_as/((Q_tc/Q_ts)² − 1)`. Worked example, published: f_s 35 Hz,
/// Q_ts 0.65, V_as 45 l, V_b 30 l give Q_tc 1.03 and f_3 43 Hz.
pub fn work(of: &ClosedBox) -> BoxResult {
    let wanted = of.wanted_qtc.unwrap_or(FLATTEST);
    let ratio = (wanted / of.qts).powi(2) - 1.0;
    let wanted_box_cm3 = (ratio > 0.0).then(|| of.vas_cm3 / ratio);
    let Some(box_cm3) = of.box_cm3 else {
        return BoxResult {
            fc_hz: None,
            qtc: None,
            f3_hz: None,
            at_band_low_db: None,
            peak_db: None,
            wanted_box_cm3,
        };
    };
    let part = of.spread_percent.unwrap_or(0.0) / 100.0;
    let ends = |v: f64| Interval::around(v, v * part);
    let (fs, q) = (ends(of.fs_hz), ends(of.qts));
    let u_of = |vas: f64| 1.0 + vas / box_cm3;
    let vas = ends(of.vas_cm3);
    let u = Interval { lo: u_of(vas.lo).next_down(), hi: u_of(vas.hi).next_up() };
    let root = u_of(of.vas_cm3).sqrt();
    let (fc, qtc) = (of.fs_hz * root, of.qts * root);
    let grown = |v: Interval| Interval {
        lo: (v.lo * u.lo.sqrt()).next_down(),
        hi: (v.hi * u.hi.sqrt()).next_up(),
    };
    BoxResult {
        fc_hz: Some(Bounded::new(fc, grown(fs))),
        qtc: Some(Bounded::new(qtc, grown(q))),
        f3_hz: Some(Bounded::new(f3_hz(of.fs_hz, of.qts, u_of(of.vas_cm3)), f3_ends(fs, q, u))),
        at_band_low_db: of.band_low_hz.map(|f| response_db(f, fc, qtc)),
        peak_db: Some(peak_db(qtc)),
        wanted_box_cm3,
    }
}

/// `f_3` from f_s, Q_ts and u.
fn f3_hz(fs_hz: f64, qts: f64, u: f64) -> f64 {
    let x = 1.0 / (2.0 * qts * qts * u) - 1.0;
    fs_hz * u.sqrt() * (x + (x * x + 1.0).sqrt()).sqrt()
}

/// Ends of `f_3`: it rises with f_s, falls with Q_ts, and over u has its one low point where Q_tc is
/// 1/√2, that is at `u = 1/(2·Q_ts²)`.
fn f3_ends(fs: Interval, q: Interval, u: Interval) -> Interval {
    let lowest = (1.0 / (2.0 * q.hi * q.hi)).clamp(u.lo, u.hi);
    let low = f3_hz(fs.lo, q.hi, lowest);
    let high = f3_hz(fs.hi, q.lo, u.lo).max(f3_hz(fs.hi, q.lo, u.hi));
    let step = 4.0 * f64::EPSILON;
    Interval { lo: low * (1.0 - step), hi: high * (1.0 + step) }
}

/// Response of the closed box at `hz` against the flat part, dB: the second-order high pass
/// `|H|² = w⁴/((w² − 1)² + w²/Q²)` with `w = f/f_c`.
pub fn response_db(hz: f64, fc_hz: f64, qtc: f64) -> f64 {
    let w2 = (hz / fc_hz).powi(2);
    super::network::decibels(w2 * w2 / ((w2 - 1.0).powi(2) + w2 / (qtc * qtc)))
}

/// Rise at the peak in dB: `20·lg(Q²/√(Q² − 1/4))` above Q = 1/√2, else 0.
pub fn peak_db(qtc: f64) -> f64 {
    if qtc <= FLATTEST {
        return 0.0;
    }
    let q2 = qtc * qtc;
    super::network::decibels(q2 * q2 / (q2 - 0.25))
}
