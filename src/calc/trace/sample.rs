//! A made-up log: for tests, benchmarks and the worked example. The same seed gives the same text.

use std::fmt::Write;

/// The worked example: ten seconds at 16 readings a second, standing still and then running with a
/// bind 1.5 times a second.
pub const EXAMPLE: &str = include_str!("example.json");

/// A run of a made-up mechanism.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made<'a> {
    /// Readings per second, above 0.
    pub rate_hz: f64,
    /// Stretches: length in s, current in A.
    pub stretches: &'a [(f64, f64)],
    /// Swing, from lowest to highest, as a share of the current.
    pub swing: f64,
    /// How often it swings, Hz.
    pub swing_hz: f64,
    /// Noise, A, standard deviation.
    pub noise_a: f64,
    /// Seed of the noise.
    pub seed: u64,
}

impl Made<'_> {
    /// The readings as time in s and current in A.
    pub fn readings(&self) -> Vec<(f64, f64)> {
        let mut noise = Noise(self.seed);
        let mut out = Vec::new();
        let mut end = 0.0;
        for (length_s, amps) in self.stretches {
            end += length_s;
            loop {
                let time = super::real(out.len()) / self.rate_hz;
                if time >= end {
                    break;
                }
                let wave = (std::f64::consts::TAU * self.swing_hz * time).sin();
                let value = amps * (1.0 + self.swing / 2.0 * wave) + self.noise_a * noise.next();
                out.push((time, value));
            }
        }
        out
    }

    /// The readings as a log with a header, `time_s;current_A`.
    pub fn text(&self) -> String {
        let mut text = String::from("time_s;current_A\n");
        for (time, amps) in self.readings() {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{time:.6};{amps:.5}");
        }
        text
    }
}

/// Noise of standard deviation one, nearly normal: the sum of twelve even numbers less six, each from
/// a linear congruential generator (multiplier and increment of Knuth's MMIX).
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        let mut sum = -6.0;
        for _ in 0..12 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            sum += f64::from(u32::try_from(self.0 >> 32).unwrap_or(0)) / 4_294_967_296.0;
        }
        sum
    }
}
