//! Least squares for a first-order rise: where a temperature settles, and how sure that is.

use super::Point;

/// A fitted curve `T(t) = ambient + rise (1 − exp(−t / tau))` with what is needed for intervals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Ambient temperature, °C: given, or fitted.
    pub ambient_c: f64,
    /// Rise of the settled temperature over ambient, K; below 0 for a part that cools.
    pub rise_k: f64,
    /// Time constant, s.
    pub tau_s: f64,
    /// Standard deviation of the readings about the curve, K.
    pub residual_k: f64,
    /// Readings less fitted parameters.
    pub dof: f64,
    /// Covariance of (ambient, rise, ln tau), K², K², and K; zero rows where ambient was given.
    covariance: [[f64; 3]; 3],
}

/// Why no curve could be laid through the readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer readings than parameters and one to spare.
    TooFew,
    /// The readings rise in a straight line or bend upwards: nothing shows where it ends.
    NoBend,
    /// The readings do not rise or fall.
    Flat,
}

/// Steps of the search over tau on a logarithmic scale.
const GRID: u32 = 300;

impl Fit {
    /// Fits by variable projection: for a fixed tau the curve is linear in ambient and rise; tau is
    /// found by a grid and golden section on the remaining sum of squares (Golub and Pereyra 1973).
    ///
    /// `points` in rising time from 0 s, °C; `ambient_c` as given, `None` to fit it.
    /// Source of the covariance: s² (JᵀJ)⁻¹, the linear approximation of every non-linear
    /// least-squares text.
    pub fn of(points: &[Point], ambient_c: Option<f64>) -> Result<Fit, NoFit> {
        let parameters = if ambient_c.is_some() { 2 } else { 3 };
        if points.len() <= parameters {
            return Err(NoFit::TooFew);
        }
        let last = points.last().map_or(0.0, |p| p.time_s);
        let step = points.windows(2).map(|w| w[1].time_s - w[0].time_s).fold(last, f64::min);
        let (low, high) = ((step / 5.0).ln(), (last * 100.0).ln());
        if !(low.is_finite() && high.is_finite() && low < high) {
            return Err(NoFit::Flat);
        }
        let squares = |log_tau: f64| project(points, ambient_c, log_tau.exp()).squares;
        let at = |k: u32| low + (high - low) * f64::from(k) / f64::from(GRID);
        let best = (0..=GRID)
            .map(|k| (k, squares(at(k))))
            .fold((0, f64::INFINITY), |b, c| if c.1 < b.1 { c } else { b });
        let log_tau = golden(squares, at(best.0.saturating_sub(1)), at((best.0 + 1).min(GRID)));
        let line = project(points, ambient_c, log_tau.exp());
        if line.rise_k.abs() < 1e-9 {
            return Err(NoFit::Flat);
        }
        if best.0 >= GRID - 1 {
            return Err(NoFit::NoBend);
        }
        finish(points, ambient_c, log_tau, &line)
    }

    /// The settled temperature, °C.
    pub fn final_c(&self) -> f64 {
        self.ambient_c + self.rise_k
    }

    /// Standard error of the settled temperature, K.
    pub fn final_error_k(&self) -> f64 {
        self.error(&[1.0, 1.0, 0.0])
    }

    /// The curve at a time, °C.
    pub fn at(&self, time_s: f64) -> f64 {
        self.ambient_c - self.rise_k * (-time_s / self.tau_s).exp_m1()
    }

    /// Standard error of the curve at a time, K.
    pub fn error_at(&self, time_s: f64) -> f64 {
        self.error(&gradient(time_s, self.rise_k, self.tau_s))
    }

    /// Standard error of tau, s.
    pub fn tau_error_s(&self) -> f64 {
        self.error(&[0.0, 0.0, 1.0]) * self.tau_s
    }

    /// Standard error of the rise, K.
    pub fn rise_error_k(&self) -> f64 {
        self.error(&[0.0, 1.0, 0.0])
    }

    /// Standard error of the ambient temperature, K; 0 where it was given.
    pub fn ambient_error_k(&self) -> f64 {
        self.error(&[1.0, 0.0, 0.0])
    }

    /// Time at which the curve passes a temperature, s; `None` when it never does.
    pub fn time_at(&self, temp_c: f64) -> Option<f64> {
        let share = (temp_c - self.ambient_c) / self.rise_k;
        (0.0..1.0).contains(&share).then(|| -self.tau_s * (-share).ln_1p())
    }

    /// Slope of the curve, K/s.
    pub fn slope_at(&self, time_s: f64) -> f64 {
        self.rise_k / self.tau_s * (-time_s / self.tau_s).exp()
    }

    /// `sqrt(gᵀ Σ g)`.
    fn error(&self, g: &[f64; 3]) -> f64 {
        let mut sum = 0.0;
        for (row, gi) in self.covariance.iter().zip(g) {
            for (cell, gj) in row.iter().zip(g) {
                sum += gi * cell * gj;
            }
        }
        sum.max(0.0).sqrt()
    }
}

/// The linear part for one tau.
struct Line {
    ambient_c: f64,
    rise_k: f64,
    squares: f64,
}

/// Best ambient and rise for one tau, and the sum of squares left.
fn project(points: &[Point], ambient_c: Option<f64>, tau_s: f64) -> Line {
    let shape = |p: &Point| -(-p.time_s / tau_s).exp_m1();
    let count = points.iter().map(|_| 1.0).sum::<f64>();
    let (mean_b, mean_t) = match ambient_c {
        Some(ambient) => (0.0, ambient),
        None => (
            points.iter().map(shape).sum::<f64>() / count,
            points.iter().map(|p| p.temp_c).sum::<f64>() / count,
        ),
    };
    let (mut bb, mut bt) = (0.0, 0.0);
    for p in points {
        let b = shape(p) - mean_b;
        bb += b * b;
        bt += b * (p.temp_c - mean_t);
    }
    let rise_k = if bb > 0.0 { bt / bb } else { 0.0 };
    let ambient = mean_t - rise_k * mean_b;
    let squares = points.iter().map(|p| (p.temp_c - ambient - rise_k * shape(p)).powi(2)).sum();
    Line { ambient_c: ambient, rise_k, squares }
}

/// Least of a function between two ends, by golden section, 80 steps.
fn golden(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut c, mut d) = (b - ratio * (b - a), a + ratio * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    for _ in 0..80 {
        if fc < fd {
            b = d;
            d = c;
            fd = fc;
            c = b - ratio * (b - a);
            fc = f(c);
        } else {
            a = c;
            c = d;
            fc = fd;
            d = a + ratio * (b - a);
            fd = f(d);
        }
    }
    f64::midpoint(a, b)
}

/// Derivatives of the curve by ambient, rise and ln tau.
fn gradient(time_s: f64, rise_k: f64, tau_s: f64) -> [f64; 3] {
    let x = time_s / tau_s;
    [1.0, -(-x).exp_m1(), -rise_k * x * (-x).exp()]
}

/// Adds the covariance.
fn finish(
    points: &[Point],
    ambient_c: Option<f64>,
    log_tau: f64,
    line: &Line,
) -> Result<Fit, NoFit> {
    let tau_s = log_tau.exp();
    let first = usize::from(ambient_c.is_some());
    let mut normal = [[0.0; 3]; 3];
    for p in points {
        let g = gradient(p.time_s, line.rise_k, tau_s);
        for (row, gi) in normal.iter_mut().zip(g).skip(first) {
            for (cell, gj) in row.iter_mut().zip(g).skip(first) {
                *cell += gi * gj;
            }
        }
    }
    if first == 1 {
        normal[0][0] = 1.0;
    }
    let mut covariance = inverse(normal).ok_or(NoFit::Flat)?;
    let count = points.iter().map(|_| 1.0).sum::<f64>();
    let dof = count - if first == 1 { 2.0 } else { 3.0 };
    let variance = line.squares / dof;
    for cell in covariance.iter_mut().flatten() {
        *cell *= variance;
    }
    if first == 1 {
        covariance[0] = [0.0; 3];
    }
    let (ambient_c, rise_k) = (line.ambient_c, line.rise_k);
    Ok(Fit { ambient_c, rise_k, tau_s, residual_k: variance.sqrt(), dof, covariance })
}

/// Inverse of a symmetric 3 × 3 matrix by its cofactors; `None` where it is singular.
fn inverse(m: [[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let cofactor = |i: usize, j: usize| {
        let (a, b) = ((i + 1) % 3, (i + 2) % 3);
        let (c, d) = ((j + 1) % 3, (j + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let det = m[0][0] * cofactor(0, 0) + m[0][1] * cofactor(0, 1) + m[0][2] * cofactor(0, 2);
    let size = m[0][0] * m[1][1] * m[2][2];
    if !det.is_finite() || det <= 1e-13 * size.abs() {
        return None;
    }
    let mut out = [[0.0; 3]; 3];
    for (i, row) in out.iter_mut().enumerate() {
        for (j, cell) in row.iter_mut().enumerate() {
            *cell = cofactor(j, i) / det;
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(ambient: f64, rise: f64, tau: f64, times: &[f64]) -> Vec<Point> {
        times
            .iter()
            .map(|&t| Point { time_s: t, temp_c: ambient + rise * (1.0 - (-t / tau).exp()) })
            .collect()
    }

    /// Handbook first-order rise, worked by hand: T_a 22, dT 40, tau 10 min gives 37.74 at 5,
    /// 47.28 at 10, 56.59 at 20, 60.01 at 30 min and 50 °C at 12.04 min.
    #[test]
    fn the_hand_worked_curve_comes_back_from_its_own_points() {
        let points = [(300.0, 37.74), (600.0, 47.28), (1200.0, 56.59), (1800.0, 60.01)]
            .map(|(time_s, temp_c)| Point { time_s, temp_c });
        let fit = Fit::of(&points, Some(22.0)).unwrap();
        assert!((fit.final_c() - 62.0).abs() < 0.02 && (fit.tau_s - 600.0).abs() < 1.0);
        assert!((fit.time_at(50.0).unwrap() / 60.0 - 12.04).abs() < 0.01);
        let free = Fit::of(&points, None).unwrap();
        assert!((free.ambient_c - 22.0).abs() < 0.2 && (free.final_c() - 62.0).abs() < 0.1);
    }

    #[test]
    fn a_straight_rise_shows_no_end() {
        let points: Vec<Point> = (0..10)
            .map(|k| Point { time_s: 60.0 * f64::from(k), temp_c: 20.0 + 2.0 * f64::from(k) })
            .collect();
        assert_eq!(Fit::of(&points, Some(20.0)), Err(NoFit::NoBend));
    }

    #[test]
    fn a_flat_log_has_nothing_to_fit() {
        let points = log(20.0, 0.0, 100.0, &[0.0, 60.0, 120.0, 180.0, 240.0]);
        assert_eq!(Fit::of(&points, None), Err(NoFit::Flat));
        assert_eq!(Fit::of(&points, Some(20.0)), Err(NoFit::Flat));
    }

    #[test]
    fn two_readings_are_too_few() {
        let points = log(20.0, 30.0, 600.0, &[0.0, 300.0]);
        assert_eq!(Fit::of(&points, Some(20.0)), Err(NoFit::TooFew));
    }

    #[test]
    fn a_part_that_cools_fits_with_a_fall() {
        let points = log(60.0, -35.0, 400.0, &[0.0, 120.0, 300.0, 600.0, 900.0, 1500.0]);
        let fit = Fit::of(&points, None).unwrap();
        assert!((fit.final_c() - 25.0).abs() < 1e-4 && (fit.tau_s - 400.0).abs() < 1e-2);
    }
}
