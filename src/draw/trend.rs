//! Readings of one kind over time: points with their bounds, and the limit as a line.
//! As wide as its place; lengths run in percent, so letters keep their size.

use super::bar;
use super::svg::El;
use crate::aspect::Aspect;
use crate::units::{Interval, Rounding, fixed};

/// One reading at a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When, in any unit that grows with time (days, for one).
    pub t: f64,
    /// What it read, in the unit of the plot.
    pub value: f64,
    /// Its bounds.
    pub bounds: Option<Interval>,
    /// The aspect it led to, if it was judged.
    pub aspect: Option<Aspect>,
}

/// A plot of readings over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// What was read, in words.
    pub what: String,
    /// Unit as printed.
    pub unit: String,
    /// Decimals of figures.
    pub decimals: usize,
    /// Readings in any order; those without a finite time and value are left out.
    pub points: Vec<Reading>,
    /// A limit and its name.
    pub limit: Option<(f64, String)>,
    /// Places on the time axis with their labels: `(20418.0, "25 Nov")`.
    pub ticks: Vec<(f64, String)>,
}

/// Heights in px: top and foot of the plot, whole drawing.
const TOP: f64 = 22.0;
const FOOT: f64 = 142.0;
const HEIGHT: f64 = 166.0;
/// Left and right end of time, percent of the width.
const LEFT: f64 = 14.0;
const RIGHT: f64 = 97.0;

/// How values and times come to places.
struct Axes {
    t: (f64, f64),
    v: (f64, f64),
    step: f64,
}

impl Axes {
    fn x(&self, t: f64) -> f64 {
        let part = if self.t.1 > self.t.0 { (t - self.t.0) / (self.t.1 - self.t.0) } else { 0.5 };
        LEFT + (RIGHT - LEFT) * part.clamp(0.0, 1.0)
    }

    fn y(&self, v: f64) -> f64 {
        let part = (v - self.v.0) / (self.v.1 - self.v.0);
        FOOT - (FOOT - TOP) * part.clamp(0.0, 1.0)
    }
}

impl Trend {
    /// Readings that can be drawn, oldest first.
    fn sorted(&self) -> Vec<Reading> {
        let good = |r: &&Reading| r.t.is_finite() && r.value.is_finite();
        let mut all: Vec<Reading> = self.points.iter().filter(good).copied().collect();
        all.sort_by(|a, b| a.t.total_cmp(&b.t));
        all
    }

    fn figure(&self, value: f64) -> String {
        let text = fixed(value, self.decimals, Rounding::Nearest);
        if self.unit.is_empty() { text } else { format!("{text}\u{a0}{}", self.unit) }
    }

    /// The plot in one or two sentences: how many, first and last, least and greatest, the limit.
    pub fn words(&self) -> String {
        let all = self.sorted();
        let (Some(first), Some(last)) = (all.first(), all.last()) else {
            return format!("{}: not measured.", self.what);
        };
        let told = if all.len() == 1 {
            format!("1 reading, {}", self.figure(first.value))
        } else {
            let least = all.iter().map(|r| r.value).fold(f64::INFINITY, f64::min);
            let most = all.iter().map(|r| r.value).fold(f64::NEG_INFINITY, f64::max);
            format!(
                "{} readings, first {}, last {}, between {} and {}",
                all.len(),
                self.figure(first.value),
                self.figure(last.value),
                self.figure(least),
                self.figure(most)
            )
        };
        let limit = match &self.limit {
            Some((limit, name)) => format!("; {name} {}", self.figure(*limit)),
            None => String::new(),
        };
        format!("{}: {told}{limit}.", self.what)
    }

    /// The plot. Empty axes when nothing can be drawn.
    pub fn svg(&self) -> String {
        let all = self.sorted();
        let axes = self.axes(&all);
        let mut root = El::new("svg")
            .class("trend")
            .num("height", HEIGHT)
            .attr("role", "img")
            .attr("aria-label", &self.words())
            .children(&self.level_lines(&axes))
            .children(&self.time_ticks(&axes));
        if let Some((limit, name)) = self.limit.as_ref().filter(|l| l.0.is_finite()) {
            let y = axes.y(*limit);
            let text = format!("{name} {}", self.figure(*limit));
            let words = El::new("text").class("e").pct("x", 100.0).num("y", y - 5.0).text(&text);
            root = root.child(&level("lim", y)).child(&words);
        }
        for pair in all.windows(2) {
            let way = El::new("line").class("way");
            let way = way.pct("x1", axes.x(pair[0].t)).pct("x2", axes.x(pair[1].t));
            root =
                root.child(&way.num("y1", axes.y(pair[0].value)).num("y2", axes.y(pair[1].value)));
        }
        for reading in &all {
            root = root.children(&dot(reading, &axes));
        }
        root.render()
    }

    /// The range of both axes: round values, from 0 unless the readings keep close together.
    fn axes(&self, all: &[Reading]) -> Axes {
        let ends = |r: &Reading| r.bounds.map_or([r.value; 2], |b| [b.lo, b.hi]);
        let values = all.iter().flat_map(ends).chain(self.limit.iter().map(|l| l.0));
        let (lo, hi) = range(values);
        let (lo, hi) = if lo.is_finite() { (lo, hi) } else { (0.0, 1.0) };
        let lo = if lo > 0.0 && lo < 0.6 * hi { 0.0 } else { lo };
        let span = if hi > lo { hi - lo } else { lo.abs().max(1.0) * 0.2 };
        let step = bar::step_up(span / 4.0);
        let low = (lo / step + 1e-9).floor() * step;
        let high = ((hi / step - 1e-9).ceil() * step).max(low + step);
        let times = all.iter().map(|r| r.t).chain(self.ticks.iter().map(|t| t.0));
        let (t0, t1) = range(times);
        let t = if t0.is_finite() { (t0, t1) } else { (0.0, 1.0) };
        Axes { t, v: (low, high), step }
    }

    /// Level hairlines with their values standing on them at the left.
    fn level_lines(&self, axes: &Axes) -> Vec<El> {
        let mut out = Vec::new();
        let decimals = bar::decimals_of(axes.step);
        for i in 0..=12u32 {
            let v = axes.v.0 + axes.step * f64::from(i);
            if v > axes.v.1 + axes.step * 1e-6 {
                break;
            }
            let y = axes.y(v);
            let last = v > axes.v.1 - axes.step * 0.5;
            let figure = fixed(v, decimals, Rounding::Nearest);
            let text = if last { format!("{figure}\u{a0}{}", self.unit) } else { figure };
            let class = if i == 0 { "axis" } else { "grid" };
            out.push(level(class, y));
            out.push(
                El::new("text").class("q").num("x", 0.0).num("y", y - 4.0).text(text.trim_end()),
            );
        }
        out
    }

    /// Marks on the time axis; labels that would crowd the one before are left out.
    fn time_ticks(&self, axes: &Axes) -> Vec<El> {
        let mut sorted: Vec<&(f64, String)> =
            self.ticks.iter().filter(|t| t.0.is_finite()).collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut out = Vec::new();
        let mut free_from = 0.0;
        for (t, text) in sorted {
            let x = axes.x(*t);
            let mark = El::new("line").class("axis").pct("x1", x).pct("x2", x);
            out.push(mark.num("y1", FOOT).num("y2", FOOT + 5.0));
            if x >= free_from {
                let class = if x > 92.0 { "q e" } else { "q m" };
                let at = if x > 92.0 { 100.0 } else { x };
                out.push(
                    El::new("text").class(class).pct("x", at).num("y", FOOT + 20.0).text(text),
                );
                free_from = x + 16.0;
            }
        }
        out
    }
}

/// A point by its aspect, told by shape: filled, hollow, ringed, dashed; its whisker behind it.
fn dot(r: &Reading, axes: &Axes) -> Vec<El> {
    let (x, y) = (axes.x(r.t), axes.y(r.value));
    let circle = |class: &str, radius: f64| {
        El::new("circle").class(class).pct("cx", x).num("cy", y).num("r", radius)
    };
    let mut out = Vec::new();
    if let Some(b) = r.bounds {
        let whisker = El::new("line").class("whisker").pct("x1", x).pct("x2", x);
        out.push(whisker.num("y1", axes.y(b.lo)).num("y2", axes.y(b.hi)));
    }
    match r.aspect {
        Some(Aspect::Danger) => {
            out.push(circle("ring", 7.5));
            out.push(circle("bad", 4.0));
        }
        Some(Aspect::Caution) => out.push(circle("hollow", 4.5)),
        Some(Aspect::Unlit) => out.push(circle("hollow unlit", 4.5)),
        Some(Aspect::Clear) | None => out.push(circle("dot", 4.0)),
    }
    out
}

fn level(class: &str, y: f64) -> El {
    let line = El::new("line").class(class).pct("x1", 0.0).pct("x2", 100.0);
    line.num("y1", y).num("y2", y)
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let good = values.filter(|v| v.is_finite());
    good.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_inside, assert_sound, attribute, tags};

    fn reading(t: f64, value: f64) -> Reading {
        Reading { t, value, bounds: None, aspect: None }
    }

    fn trend(points: Vec<Reading>) -> Trend {
        Trend {
            what: "Held current".into(),
            unit: "A".into(),
            decimals: 2,
            points,
            limit: Some((1.0, "rating".into())),
            ticks: vec![(0.0, "12 Nov".into()), (13.0, "25 Nov".into())],
        }
    }

    #[test]
    fn readings_are_told_oldest_first_whatever_their_order() {
        let t = trend(vec![reading(13.0, 0.74), reading(0.0, 0.9), reading(5.0, 0.6)]);
        assert_eq!(
            t.words().replace('\u{a0}', " "),
            "Held current: 3 readings, first 0.90 A, last 0.74 A, between 0.60 A and 0.90 A; rating 1.00 A."
        );
        let mut other = t.clone();
        other.points.reverse();
        assert_eq!(t.svg(), other.svg());
    }

    #[test]
    fn higher_values_stand_higher_and_later_ones_further_right() {
        let svg = trend(vec![reading(0.0, 0.2), reading(13.0, 0.8)]).svg();
        assert_sound(&svg);
        assert_inside(&svg);
        let all = tags(&svg).unwrap();
        let dots: Vec<(f64, f64)> = all
            .iter()
            .filter(|t| t.name == "circle")
            .map(|t| {
                let of = |k: &str| attribute(t, k).unwrap().trim_end_matches('%').parse().unwrap();
                (of("cx"), of("cy"))
            })
            .collect();
        // 0 to 1 A over 120 px from the foot at 142: 0.2 A at 118, 0.8 A at 46.
        assert_eq!(dots, [(LEFT, 118.0), (RIGHT, 46.0)]);
    }

    #[test]
    fn aspects_are_told_by_shape() {
        let with =
            |aspect| trend(vec![Reading { aspect: Some(aspect), ..reading(1.0, 0.5) }]).svg();
        assert!(with(Aspect::Danger).contains(r#"class="ring""#));
        assert!(with(Aspect::Caution).contains(r#"class="hollow""#));
        assert!(with(Aspect::Unlit).contains(r#"class="hollow unlit""#));
        assert!(with(Aspect::Clear).contains(r#"class="dot""#));
    }

    #[test]
    fn few_odd_or_no_readings_still_make_a_drawing() {
        let sets = [
            vec![],
            vec![reading(3.0, 0.0)],
            vec![reading(3.0, -2.0), reading(3.0, -2.0)],
            vec![reading(1.0, 1e-6), reading(2.0, 3e-6)],
            vec![reading(1.0, 20.1), reading(2.0, 20.3), reading(9.0, 1e6)],
            vec![reading(f64::NAN, 1.0), reading(1.0, f64::INFINITY)],
        ];
        for points in sets {
            for limit in [None, Some((1.0, "limit".to_owned())), Some((f64::NAN, "x".to_owned()))] {
                let mut t = trend(points.clone());
                t.limit = limit;
                let svg = t.svg();
                assert_sound(&svg);
                for tag in tags(&svg).unwrap() {
                    for key in ["y", "y1", "y2", "cy"] {
                        let y = attribute(&tag, key).map(|v| v.parse::<f64>().unwrap());
                        assert!(y.is_none_or(|y| (0.0..=HEIGHT).contains(&y)), "{tag:?}");
                    }
                }
                assert_inside(&svg);
            }
        }
        assert_eq!(trend(vec![]).words(), "Held current: not measured.");
    }

    #[test]
    fn time_labels_do_not_crowd() {
        let mut t = trend(vec![reading(0.0, 0.5), reading(100.0, 0.6)]);
        t.ticks = (0..=100).map(|d| (f64::from(d), format!("{d} Nov"))).collect();
        let shown = t.svg().matches(" Nov<").count();
        assert!((4..=7).contains(&shown), "{shown}");
    }

    #[test]
    fn odd_names_do_no_harm() {
        for nasty in NASTY {
            let mut t = trend(vec![reading(0.0, 0.5)]);
            t.what = nasty.into();
            t.unit = nasty.into();
            t.limit = Some((1.0, nasty.into()));
            t.ticks = vec![(0.0, nasty.into())];
            assert_sound(&t.svg());
        }
    }
}
