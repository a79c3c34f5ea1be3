//! Three currents on one scale: running free, wheels slipping, held, with the ratings they must
//! stay under.
//!
//! Each current has a lane of its own, from 0. In the slipping lane the part up to the free current
//! is filled: that much of the effort the mechanism eats itself. What nobody measured is dashed.

use super::bar;
use super::svg::El;
use crate::units::{Interval, Rounding, amps, fixed};

/// One current.
#[derive(Debug, Clone, PartialEq)]
pub struct Current {
    /// Its name: `free`, `held at 12.0 V`.
    pub name: String,
    /// Its value, A; below 0 counts as 0.
    pub value_a: f64,
    /// Its bounds, A.
    pub bounds: Option<Interval>,
    /// Measured, or worked out from measured values; otherwise dashed.
    pub measured: bool,
}

/// A rating of the decoder.
#[derive(Debug, Clone, PartialEq)]
pub struct Rating {
    /// Its name: `continuous`, `peak`.
    pub name: String,
    /// Its value, A.
    pub value_a: f64,
    /// What we want to stay under, A: the rating less the headroom wanted.
    pub want_a: Option<f64>,
}

/// The currents of one load test and the ratings beside them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Currents {
    /// Lifted, full speed.
    pub free: Option<Current>,
    /// Held back on the track until the wheels slip.
    pub slipping: Option<Current>,
    /// Wheels held still, at the test voltage.
    pub held_test: Option<Current>,
    /// The same at the voltage the decoder gives the motor.
    pub held_decoder: Option<Current>,
    /// Ratings, at most a few.
    pub ratings: Vec<Rating>,
}

impl Currents {
    /// Friction share: free over slipping current, a ratio. `None` unless both are known and
    /// slipping is above 0.
    ///
    /// Source: common practice, no source; check value 0.27 A over 0.32 A is 0.844.
    pub fn friction_share(&self) -> Option<f64> {
        let (free, slipping) = (self.free.as_ref()?, self.slipping.as_ref()?);
        let share = free.value_a / slipping.value_a;
        (slipping.value_a > 0.0 && share.is_finite()).then_some(share)
    }

    /// The drawing in words.
    pub fn words(&self) -> String {
        let mut parts = Vec::new();
        for c in self.lanes() {
            let planned = if c.measured { "" } else { ", not measured" };
            let bounds = c
                .bounds
                .map(|b| format!(" (between {} and {})", amps(b.lo), amps(b.hi)))
                .unwrap_or_default();
            parts.push(format!("{} {}{bounds}{planned}", c.name, amps(c.value_a)));
        }
        if parts.is_empty() {
            parts.push("No current is measured yet".to_owned());
        }
        for r in &self.ratings {
            let want =
                r.want_a.map(|w| format!(", want at most {}", nearest(w))).unwrap_or_default();
            parts.push(format!("{} rating {}{want}", r.name, nearest(r.value_a)));
        }
        if let Some(share) = self.friction_share() {
            let share = fixed(share, 2, Rounding::Nearest);
            parts.push(format!("the mechanism takes {share} of the slipping current itself"));
        }
        format!("{}.", parts.join("; "))
    }

    fn lanes(&self) -> impl Iterator<Item = &Current> {
        [&self.free, &self.slipping, &self.held_test, &self.held_decoder].into_iter().flatten()
    }

    /// Where the scale ends, A.
    fn end(&self) -> f64 {
        let tops = self.lanes().map(|c| c.bounds.map_or(c.value_a, |b| b.hi.max(c.value_a)));
        let ratings = self.ratings.iter().map(|r| r.value_a.max(r.want_a.unwrap_or(0.0)));
        let most = tops.chain(ratings).filter(|v| v.is_finite()).fold(0.0, f64::max);
        if most > 0.0 { bar::round_up(most * 1.03) } else { 1.0 }
    }
}

fn nearest(value: f64) -> String {
    format!("{}\u{a0}A", fixed(value, 2, Rounding::Nearest))
}

/// Height of a lane: its name above its bar.
const LANE: f64 = 38.0;
/// Height of a line of rating names.
const LINE: f64 = 17.0;

/// The drawing, as wide as its place; lengths run in percent, so letters keep their size.
pub fn currents_svg(currents: &Currents) -> String {
    let end = currents.end();
    let at = |v: f64| if v.is_finite() { (100.0 * v / end).clamp(0.0, 100.0) } else { 0.0 };
    let lanes: Vec<&Current> = currents.lanes().collect();
    let top = LINE * real(currents.ratings.len()) + 4.0;
    let foot = top + LANE * real(lanes.len().max(1));
    let mut root = El::new("svg")
        .class("amps")
        .num("height", foot + 24.0)
        .attr("role", "img")
        .attr("aria-label", &currents.words());
    root = root.children(&axis(end, foot, &at));
    for (i, r) in currents.ratings.iter().enumerate() {
        root = root.children(&rating(r, LINE * real(i) + 12.0, foot, &at));
    }
    let free = currents.free.as_ref().map(|c| c.value_a);
    for (i, c) in lanes.iter().enumerate() {
        let slips = currents.slipping.as_ref().is_some_and(|s| std::ptr::eq(s, *c));
        let filled = if slips { free.unwrap_or(0.0).min(c.value_a) } else { c.value_a };
        let y = top + LANE * real(i);
        root = root.children(&lane(c, filled, y, &at));
        for want in currents.ratings.iter().filter_map(|r| r.want_a) {
            root = root.child(&upright("want", at(want), (y + 17.0, y + 35.0)));
        }
    }
    root.render()
}

/// A rating: its name at the top, its line down to the axis.
fn rating(r: &Rating, y: f64, foot: f64, at: &impl Fn(f64) -> f64) -> Vec<El> {
    let x = at(r.value_a);
    let (class, words) = if x > 50.0 {
        ("e", format!("{} {}\u{a0}", r.name, nearest(r.value_a)))
    } else {
        ("", format!("\u{a0}{} {}", r.name, nearest(r.value_a)))
    };
    vec![
        upright("lim", x, (y - 11.0, foot)),
        El::new("text").class(class).pct("x", x).num("y", y).text(&words),
    ]
}

/// A lane: name and value above, the bar from 0, bounds as a small box over its end.
fn lane(c: &Current, filled: f64, y: f64, at: &impl Fn(f64) -> f64) -> Vec<El> {
    let rect = |class: &str, from: f64, to: f64, high: f64| {
        El::new("rect")
            .class(class)
            .pct("x", at(from))
            .num("y", y + 26.0 - high / 2.0)
            .pct("width", (at(to) - at(from)).max(0.0))
            .num("height", high)
    };
    let name = El::new("text").num("x", 0.0).num("y", y + 14.0);
    let name = name
        .text(&format!("{} ", c.name))
        .child(&El::new("tspan").class("b").text(&amps(c.value_a)));
    let mut out = vec![name];
    if c.measured {
        out.push(rect("fill", 0.0, filled, 9.0));
        if filled < c.value_a {
            out.push(rect("rest", filled, c.value_a, 9.0));
        }
    } else {
        out.push(rect("plan", 0.0, c.value_a, 8.0));
    }
    if let Some(b) = c.bounds {
        out.push(rect("whisker", b.lo, b.hi, 4.0));
    }
    out
}

/// The axis in ampere with its numbers.
fn axis(end: f64, y: f64, at: &impl Fn(f64) -> f64) -> Vec<El> {
    let base = El::new("line").class("axis").pct("x1", 0.0).pct("x2", 100.0);
    let mut out = vec![base.num("y1", y).num("y2", y)];
    let all = bar::ticks(end, 5);
    let decimals = all.iter().map(|v| bar::decimals_of(*v)).max().unwrap_or(0);
    let last = all.len().saturating_sub(1);
    for (i, v) in all.iter().enumerate() {
        let figure = fixed(*v, decimals, Rounding::Nearest);
        let (class, text) = match i {
            0 => ("q", "0".to_owned()),
            i if i == last => ("q e", format!("{figure}\u{a0}A")),
            _ => ("q m", figure),
        };
        out.push(upright("axis", at(*v), (y, y + 5.0)));
        out.push(El::new("text").class(class).pct("x", at(*v)).num("y", y + 19.0).text(&text));
    }
    out
}

fn upright(class: &str, x: f64, (y1, y2): (f64, f64)) -> El {
    El::new("line").class(class).pct("x1", x).pct("x2", x).num("y1", y1).num("y2", y2)
}

fn real(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_inside, assert_sound};

    fn current(name: &str, value_a: f64) -> Current {
        Current { name: name.to_owned(), value_a, bounds: None, measured: true }
    }

    fn test_3() -> Currents {
        Currents {
            free: Some(current("free", 0.14)),
            slipping: Some(current("slipping", 0.35)),
            held_test: Some(current("held at 12.0 V", 0.74)),
            held_decoder: Some(current("held at 13.6 V", 0.84)),
            ratings: vec![Rating { name: "continuous".into(), value_a: 1.0, want_a: Some(0.9) }],
        }
    }

    #[test]
    fn friction_share_is_free_over_slipping() {
        // Published check value of the trade (common practice, no source): 0.27 of 0.32 is 0.844.
        let c = Currents {
            free: Some(current("free", 0.27)),
            slipping: Some(current("slipping", 0.32)),
            ..Currents::default()
        };
        assert!((c.friction_share().unwrap() - 0.844).abs() < 0.0005);
        assert_eq!(Currents::default().friction_share(), None);
        let still = Currents {
            free: Some(current("free", 0.2)),
            slipping: Some(current("slipping", 0.0)),
            ..Currents::default()
        };
        assert_eq!(still.friction_share(), None);
    }

    #[test]
    fn lanes_rating_and_notch_stand_to_scale() {
        let out = currents_svg(&test_3());
        assert_sound(&out);
        assert_inside(&out);
        // The scale ends at 1.25 A: 1.00 A stands at 80 %, 0.90 A at 72 %.
        assert!(out.contains(r#"class="lim" x1="80%" x2="80%""#), "{out}");
        assert_eq!(out.matches(r#"class="want" x1="72%""#).count(), 4);
        assert!(out.contains(r#"class="rest" x="11.2%""#) && out.contains(r#"width="16.8%""#));
    }

    #[test]
    fn the_words_carry_every_figure() {
        assert_eq!(
            test_3().words().replace('\u{a0}', " "),
            "free 0.14 A; slipping 0.35 A; held at 12.0 V 0.74 A; held at 13.6 V 0.84 A; \
             continuous rating 1.00 A, want at most 0.90 A; the mechanism takes 0.40 of the \
             slipping current itself."
        );
    }

    #[test]
    fn nothing_measured_draws_no_bar() {
        let out = currents_svg(&Currents::default());
        assert_sound(&out);
        assert_inside(&out);
        assert!(!out.contains("rect"));
        assert!(Currents::default().words().starts_with("No current is measured yet"));
    }

    #[test]
    fn what_is_not_measured_is_dashed_and_said() {
        let mut c = test_3();
        c.held_decoder = c.held_decoder.map(|h| Current {
            measured: false,
            bounds: Some(Interval::new(0.8, 1.9)),
            ..h
        });
        let out = currents_svg(&c);
        assert_inside(&out);
        assert!(out.contains(r#"class="plan""#) && out.contains("whisker"));
        assert!(c.words().contains("not measured"));
    }

    #[test]
    fn odd_values_and_names_do_no_harm() {
        for nasty in NASTY {
            let mut c = test_3();
            c.free = Some(current(nasty, f64::NAN));
            c.slipping = Some(current(nasty, -1.0));
            c.ratings.push(Rating {
                name: nasty.into(),
                value_a: f64::INFINITY,
                want_a: Some(f64::NAN),
            });
            let out = currents_svg(&c);
            assert_sound(&out);
            assert_inside(&out);
            assert_eq!(out, currents_svg(&c));
        }
    }
}
