//! Discharge of a store through its ESR and a diode, solved properly.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the store feeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Draw {
    /// Constant current, A.
    Current(f64),
    /// Constant power at the decoder, W.
    Power(f64),
    /// Resistance, Ω.
    Resistance(f64),
}

/// One sample of the voltage over time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Sample {
    /// Time since the supply went, s.
    pub time_s: f64,
    /// Voltage of the store inside its ESR, V.
    pub store_v: f64,
    /// Voltage at the decoder, V.
    pub decoder_v: f64,
}

/// A charged store and its load. All of it scales with capacitance, which therefore stays outside.
///
/// Between store voltage v and decoder voltage u: `v = u + V_d + (i(u) + (u + V_d) G) ESR`, G the
/// balancing resistors across the cells. The load draws i until u falls to the cut-off; without
/// balancing the store is then empty for it at `v_end = V_cut + V_d + i ESR`. A constant power
/// collapses earlier when its cut-off is below `√(P ESR / (1 + G ESR))`: no lower u can carry it.
/// Leakage flows inside the ESR.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Discharge {
    /// Store voltage at the start, V.
    pub full_v: f64,
    /// ESR of the whole store, Ω.
    pub esr_ohm: f64,
    /// Leakage of the whole store, A.
    pub leakage_a: f64,
    /// Conductance of the balancing resistors over the whole store, S.
    pub bleed_siemens: f64,
    /// Diode drop, V.
    pub diode_v: f64,
    /// Cut-off at the decoder, V.
    pub cutoff_v: f64,
    /// The load.
    pub draw: Draw,
}

/// Panels of the integration; each takes five Gauss points.
const PANELS: u32 = 48;
/// Gauss-Legendre points and weights of order five on −1 to 1 (Abramowitz and Stegun 25.4.30).
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

impl Discharge {
    /// How much the balancing resistors add to the voltage over diode and load: 1 + G ESR.
    fn bleed_factor(&self) -> f64 {
        1.0 + self.bleed_siemens * self.esr_ohm
    }

    /// Decoder voltage at the moment the load is taken on, V; `None` where the store cannot carry
    /// it.
    pub fn start_v(&self) -> Option<f64> {
        let factor = self.bleed_factor();
        let open = self.full_v - factor * self.diode_v;
        let start = match self.draw {
            Draw::Current(a) => (open - a * self.esr_ohm) / factor,
            Draw::Resistance(ohm) => open / (factor + self.esr_ohm / ohm),
            Draw::Power(w) => {
                let root = open * open - 4.0 * factor * w * self.esr_ohm;
                if open <= 0.0 || root < 0.0 {
                    return None;
                }
                f64::midpoint(open, root.sqrt()) / factor
            }
        };
        (start > self.last_v()).then_some(start)
    }

    /// Decoder voltage at which it ends, V: the cut-off, or where a constant power collapses.
    pub fn last_v(&self) -> f64 {
        match self.draw {
            Draw::Power(w) => self.cutoff_v.max((w * self.esr_ohm / self.bleed_factor()).sqrt()),
            Draw::Current(_) | Draw::Resistance(_) => self.cutoff_v,
        }
    }

    /// Current out of the cells at a decoder voltage, leakage not counted, A.
    fn outside_a(&self, decoder_v: f64) -> f64 {
        self.load_a(decoder_v) + (decoder_v + self.diode_v) * self.bleed_siemens
    }

    /// Store voltage that belongs to a decoder voltage, V.
    fn store_v(&self, decoder_v: f64) -> f64 {
        decoder_v + self.diode_v + self.outside_a(decoder_v) * self.esr_ohm
    }

    /// Load current at a decoder voltage, A.
    fn load_a(&self, decoder_v: f64) -> f64 {
        match self.draw {
            Draw::Current(a) => a,
            Draw::Power(w) => w / decoder_v,
            Draw::Resistance(ohm) => decoder_v / ohm,
        }
    }

    /// Slope of store voltage over decoder voltage.
    fn slope(&self, decoder_v: f64) -> f64 {
        let factor = self.bleed_factor();
        match self.draw {
            Draw::Current(_) => factor,
            Draw::Power(w) => factor - w * self.esr_ohm / (decoder_v * decoder_v),
            Draw::Resistance(ohm) => factor + self.esr_ohm / ohm,
        }
    }

    /// Seconds for each farad that the fall from one decoder voltage to a lower one takes:
    /// `t / C = ∫ (dv/du) / (i(u) + (u + V_d) G + I_leak) du`, five-point Gauss on a logarithmic
    /// scale.
    fn time_between(&self, high_v: f64, low_v: f64, panels: u32) -> f64 {
        let width = (high_v / low_v).ln() / f64::from(panels);
        let mut sum = 0.0;
        for panel in 0..panels {
            let middle = low_v.ln() + width * (f64::from(panel) + 0.5);
            for (x, weight) in GAUSS {
                let u = (middle + x * width / 2.0).exp();
                let amps = self.outside_a(u) + self.leakage_a;
                sum += weight * width / 2.0 * u * self.slope(u) / amps;
            }
        }
        sum
    }

    /// Hold-up time for each farad, s/F; 0 where the store cannot take the load on.
    ///
    /// Closed forms it agrees with: `C (V1 − V2) / I` and `C (V1² − V2²) / (2 P)`.
    pub fn seconds_per_farad(&self) -> f64 {
        self.start_v().map_or(0.0, |start| self.time_between(start, self.last_v(), PANELS))
    }

    /// Store voltage at which it ends, V.
    pub fn end_store_v(&self) -> f64 {
        self.store_v(self.last_v())
    }

    /// Voltage over time until the cut-off, `count` pieces; empty where it cannot take the load on.
    pub fn samples(&self, store_f: f64, count: u32) -> Vec<Sample> {
        let Some(start) = self.start_v() else { return Vec::new() };
        let last = self.last_v();
        let mut time_s = 0.0;
        let mut before = start;
        let mut out = vec![Sample { time_s, store_v: self.full_v, decoder_v: start }];
        for k in 1..=count {
            let u = start - (start - last) * f64::from(k) / f64::from(count);
            time_s += self.time_between(before, u, 2) * store_f;
            out.push(Sample { time_s, store_v: self.store_v(u), decoder_v: u });
            before = u;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(full_v: f64, cutoff_v: f64, draw: Draw) -> Discharge {
        Discharge {
            full_v,
            esr_ohm: 0.0,
            leakage_a: 0.0,
            bleed_siemens: 0.0,
            diode_v: 0.0,
            cutoff_v,
            draw,
        }
    }

    /// Closed forms of published application articles, t = C (V1 − V2) / I,
    /// t = C (V1² − V2²) / (2 P), t = R C ln(V1 / V2), with values worked from them.
    #[test]
    fn hold_up_times_by_table() {
        let table = [
            (3000.0, 2.7, 1.5, Draw::Current(0.5), 7200.0),
            (1000e-6, 15.0, 7.0, Draw::Current(0.25), 32.0e-3),
            (2200e-6, 15.0, 7.0, Draw::Current(0.25), 70.4e-3),
            (4700e-6, 15.0, 7.0, Draw::Current(0.25), 150.4e-3),
            (10_000e-6, 15.0, 7.0, Draw::Current(0.25), 320.0e-3),
            (1000e-6, 15.0, 7.0, Draw::Power(3.75), 23.47e-3),
            (1000e-6, 15.0, 7.0, Draw::Resistance(60.0), 45.73e-3),
            (0.2, 13.5, 7.0, Draw::Power(3.0), 4.4417),
            (0.2, 13.5, 7.0, Draw::Current(0.25), 5.2),
            (4.762, 12.0, 9.0, Draw::Power(5.0), 30.0),
            (2200e-6, 12.0, 6.0, Draw::Current(0.25), 52.8e-3),
            (0.2, 12.0, 6.0, Draw::Current(0.25), 4.8),
        ];
        for (farad, full, cut, draw, want) in table {
            let got = plain(full, cut, draw).seconds_per_farad() * farad;
            assert!((got / want - 1.0).abs() < 2e-4, "{farad} F {full}–{cut} V {draw:?}: {got} s");
        }
    }

    /// Constant power through ESR has a closed form too (integrated by hand):
    /// t = C [(u0² − u1²) / (2 P) − ESR ln(u0 / u1)].
    #[test]
    fn constant_power_through_esr_by_its_closed_form() {
        let d = Discharge { esr_ohm: 1.5, diode_v: 0.7, ..plain(13.5, 6.0, Draw::Power(3.6)) };
        let open = 12.8_f64;
        let u0 = f64::midpoint(open, (open * open - 4.0 * 3.6 * 1.5).sqrt());
        let want = (u0 * u0 - 36.0) / 7.2 - 1.5 * (u0 / 6.0).ln();
        assert!((d.seconds_per_farad() / want - 1.0).abs() < 1e-10);
    }

    /// With balancing resistors the constant current solution is R C ln((I + V1/R) / (I + V2/R)).
    #[test]
    fn leakage_and_bleed_shorten_the_time_by_the_closed_form() {
        let d = Discharge {
            bleed_siemens: 1.0 / 500.0,
            leakage_a: 0.01,
            ..plain(13.5, 7.0, Draw::Current(0.25))
        };
        let want = 500.0 * ((0.26_f64 + 13.5 / 500.0) / (0.26 + 7.0 / 500.0)).ln();
        assert!((d.seconds_per_farad() / want - 1.0).abs() < 1e-10);
    }

    #[test]
    fn a_load_beyond_the_store_s_esr_is_not_carried_at_all() {
        let d = Discharge { esr_ohm: 20.0, ..plain(12.0, 6.0, Draw::Power(3.6)) };
        assert!(
            d.start_v().is_none() && d.seconds_per_farad() == 0.0 && d.samples(1.0, 10).is_empty()
        );
    }

    #[test]
    fn the_samples_end_at_the_hold_up_time_and_the_cut_off() {
        let d = Discharge { esr_ohm: 0.5, diode_v: 0.7, ..plain(13.5, 7.0, Draw::Power(3.0)) };
        let last = d.samples(0.2, 60).pop().unwrap();
        assert!((last.time_s / (0.2 * d.seconds_per_farad()) - 1.0).abs() < 1e-9);
        assert!((last.decoder_v - 7.0).abs() < 1e-9);
        assert!((last.store_v - d.end_store_v()).abs() < 1e-9);
    }
}
