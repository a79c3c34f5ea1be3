//! A value against its limit. Ink: measured. Dashed: planned. Notch: what we want. Thick end: the
//! limit. Past the limit the bar stands taller, so that one ink shows it. A bar never stands
//! without its figures.

use super::svg::El;
use crate::units::{Interval, Rounding, fixed};

/// One part of a bar: the motor, the lamps, the sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// What it is, in words.
    pub name: String,
    /// How much, in the bar's unit; below 0 counts as 0.
    pub value: f64,
    /// From a data sheet or a plan, not measured.
    pub planned: bool,
}

/// A value in one or more parts, with what is wanted and what must not be passed.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    what: String,
    unit: String,
    decimals: usize,
    rounding: Rounding,
    segments: Vec<Segment>,
    bounds: Option<Interval>,
    want: Option<f64>,
    limit: Option<f64>,
    end: Option<f64>,
}

impl Bar {
    /// An empty bar: what it shows, its unit as printed (`A`, `mm`), and decimals for figures.
    pub fn new(what: &str, unit: &str, decimals: usize) -> Self {
        Bar {
            what: what.to_owned(),
            unit: unit.to_owned(),
            decimals,
            rounding: Rounding::Nearest,
            segments: Vec::new(),
            bounds: None,
            want: None,
            limit: None,
            end: None,
        }
    }

    /// Adds a measured part, drawn solid.
    #[must_use]
    pub fn measured(self, name: &str, value: f64) -> Self {
        self.part(name, value, false)
    }

    /// Adds a planned part, drawn dashed.
    #[must_use]
    pub fn planned(self, name: &str, value: f64) -> Self {
        self.part(name, value, true)
    }

    /// Sets the bounds of the whole value, drawn as a small box over the bar's end.
    #[must_use]
    pub fn bounds(mut self, bounds: Interval) -> Self {
        self.bounds = Some(bounds);
        self
    }

    /// Sets what is wanted, drawn as a notch.
    #[must_use]
    pub fn want(mut self, value: f64) -> Self {
        self.want = Some(value);
        self
    }

    /// Sets the limit, drawn as the thick end.
    #[must_use]
    pub fn limit(mut self, value: f64) -> Self {
        self.limit = Some(value);
        self
    }

    /// Sets where the scale ends. It is moved out when something would not fit.
    #[must_use]
    pub fn end(mut self, value: f64) -> Self {
        self.end = Some(value);
        self
    }

    /// Sets the way figures are rounded in words: currents up, headroom down.
    #[must_use]
    pub fn rounding(mut self, rounding: Rounding) -> Self {
        self.rounding = rounding;
        self
    }

    /// All parts together, in the bar's unit.
    pub fn total(&self) -> f64 {
        self.segments.iter().map(|s| s.value).sum()
    }

    /// Where the scale ends: the end asked for, else the limit, else a round number above the
    /// value; always far enough out for everything that is drawn.
    pub fn scale_end(&self) -> f64 {
        let top = self.bounds.map_or(0.0, |b| finite(b.hi));
        let needed = self.total().max(top).max(self.want.unwrap_or(0.0));
        let needed = needed.max(self.limit.unwrap_or(0.0));
        match self.end.or(self.limit) {
            Some(end) if end >= needed && end > 0.0 => end,
            _ if needed > 0.0 => round_up(needed * 1.05),
            _ => 1.0,
        }
    }

    /// The bar as a drawing, hidden from readers of text: its figures stand beside it.
    pub fn svg(&self) -> String {
        self.draw(El::new("svg").class("bar").attr("aria-hidden", "true"))
    }

    /// The bar as a drawing that carries its own words.
    pub fn svg_named(&self) -> String {
        let root = El::new("svg").class("bar").attr("role", "img");
        self.draw(root.attr("aria-label", &self.words()))
    }

    /// The bar in one sentence.
    pub fn words(&self) -> String {
        if self.segments.is_empty() {
            return format!("{}: not measured.", self.what);
        }
        let name = |s: &Segment| {
            let planned = if s.planned { "planned " } else { "" };
            let name = if s.name.is_empty() { String::new() } else { format!("{} ", s.name) };
            format!("{planned}{name}{}", self.figure(s.value))
        };
        let parts: Vec<String> = self.segments.iter().map(name).collect();
        let mut all = vec![format!("{}: {}", self.what, parts.join(", "))];
        if parts.len() > 1 {
            all.push(format!("{} in all", self.figure(self.total())));
        }
        if let Some(b) = self.bounds {
            all.push(format!("between {} and {}", self.figure(b.lo), self.figure(b.hi)));
        }
        if let Some(want) = self.want {
            all.push(format!("want {}", self.exact(want)));
        }
        if let Some(limit) = self.limit {
            let over = if self.total() > limit { ", passed" } else { "" };
            all.push(format!("limit {}{over}", self.exact(limit)));
        }
        format!("{}.", all.join("; "))
    }

    /// The numbers under the bar, from 0 to the end of the scale, the last with its unit.
    pub fn scale_row(&self) -> String {
        let end = self.scale_end();
        let all = ticks(end, 4);
        let decimals = all.iter().map(|v| decimals_of(*v)).max().unwrap_or(0);
        let last = all.len().saturating_sub(1);
        let numbers: Vec<El> = all
            .iter()
            .enumerate()
            .map(|(i, v)| {
                let place = match i {
                    0 => "s",
                    i if i == last => "e",
                    _ => "m",
                };
                let text =
                    if i == 0 { "0".to_owned() } else { fixed(*v, decimals, Rounding::Nearest) };
                let text = if i == last { format!("{text}\u{a0}{}", self.unit) } else { text };
                let x = 100.0 * v / end;
                El::new("text").class(place).pct("x", x).num("y", 12.0).text(text.trim_end())
            })
            .collect();
        El::new("svg").class("barno").attr("aria-hidden", "true").children(&numbers).render()
    }

    fn part(mut self, name: &str, value: f64, planned: bool) -> Self {
        let value = finite(value).max(0.0);
        self.segments.push(Segment { name: name.to_owned(), value, planned });
        self
    }

    fn figure(&self, value: f64) -> String {
        let text = fixed(value, self.decimals, self.rounding);
        if self.unit.is_empty() { text } else { format!("{text}\u{a0}{}", self.unit) }
    }

    fn exact(&self, value: f64) -> String {
        let text = fixed(value, self.decimals, Rounding::Nearest);
        if self.unit.is_empty() { text } else { format!("{text}\u{a0}{}", self.unit) }
    }

    fn draw(&self, root: El) -> String {
        let end = self.scale_end();
        let at = |v: f64| (100.0 * finite(v) / end).clamp(0.0, 100.0);
        let bed = El::new("rect").class("bed").attr("width", "100%").num("height", 16.0);
        let mut parts = vec![bed];
        let mut from = 0.0;
        for segment in self.segments.iter().filter(|s| s.value > 0.0) {
            let to = from + segment.value;
            let within = self.limit.map_or(to, |l| to.min(l).max(from));
            parts.push(stretch(segment.planned, (at(from), at(within)), false));
            if to > within {
                parts.push(stretch(segment.planned, (at(within), at(to)), true));
            }
            if from > 0.0 {
                parts.push(upright("seam", at(from), (3.0, 13.0)));
            }
            from = to;
        }
        if let Some(b) = self.bounds {
            let rect = El::new("rect").class("whisker").pct("x", at(b.lo)).num("y", 6.0);
            parts.push(rect.pct("width", at(b.hi) - at(b.lo)).num("height", 4.0));
        }
        if let Some(want) = self.want {
            parts.push(upright("want", at(want), (-3.0, 19.0)));
        }
        if let Some(limit) = self.limit {
            parts.push(upright("lim", at(limit), (-3.0, 19.0)));
        }
        root.children(&parts).render()
    }
}

/// One part of the bar from `from` to `to` percent; past the limit it fills the whole height.
fn stretch(planned: bool, (from, to): (f64, f64), past: bool) -> El {
    let (class, y, height) = match (planned, past) {
        (false, false) => ("fill", 4.0, 8.0),
        (true, false) => ("plan", 4.5, 7.0),
        (false, true) => ("fill past", 0.0, 16.0),
        (true, true) => ("plan past", 0.5, 15.0),
    };
    let rect = El::new("rect").class(class).pct("x", from).num("y", y);
    rect.pct("width", (to - from).max(0.0)).num("height", height)
}

fn upright(class: &str, x: f64, (y1, y2): (f64, f64)) -> El {
    El::new("line").class(class).pct("x1", x).pct("x2", x).num("y1", y1).num("y2", y2)
}

/// One of several things that count alike: a wheel that picks up or does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    /// It does: drawn solid.
    Yes,
    /// It does not: drawn dashed and empty.
    No,
    /// Nobody knows: drawn dotted and empty.
    Unlit,
}

/// A bar of equal cells, such as “5 of 6 wheels”. Empty when there is nothing to count.
pub fn cells(all: &[Cell]) -> String {
    let bed = El::new("rect").class("bed").attr("width", "100%").num("height", 16.0);
    let root = El::new("svg").class("bar").attr("aria-hidden", "true").child(&bed);
    let each = 100.0 / f64::from(u32::try_from(all.len().max(1)).unwrap_or(u32::MAX));
    let gap = (each * 0.06).min(1.0);
    let mut left = 0.0;
    let mut parts = Vec::with_capacity(all.len());
    for cell in all {
        let (class, y, height) = match cell {
            Cell::Yes => ("fill", 4.0, 8.0),
            Cell::No => ("plan", 4.5, 7.0),
            Cell::Unlit => ("plan unlit", 4.5, 7.0),
        };
        let rect = El::new("rect").class(class).pct("x", left + gap / 2.0).num("y", y);
        parts.push(rect.pct("width", each - gap).num("height", height));
        left += each;
    }
    root.children(&parts).render()
}

/// Round places on a scale from 0 to `end`, both included, at most `most` steps apart by 1, 2, 2.5
/// or 5 times a power of ten. When no such step meets the end, the last round place before it is
/// left out if it would crowd the end. `end` not above 0 gives 0 alone.
pub fn ticks(end: f64, most: usize) -> Vec<f64> {
    if !end.is_finite() || end <= 0.0 {
        return vec![0.0];
    }
    let most = most.clamp(1, 20);
    let parts = f64::from(u32::try_from(most).unwrap_or(20));
    let step = if let Some(step) = exact_step(end, most) { step } else { step_up(end / parts) };
    let mut out = Vec::new();
    let mut i = 0u32;
    loop {
        let v = step * f64::from(i);
        if v > end - 0.45 * step {
            break;
        }
        out.push(v);
        i += 1;
    }
    out.push(end);
    out
}

/// The finest round step that divides `end` into at most `most` equal parts, if there is one.
fn exact_step(end: f64, most: usize) -> Option<f64> {
    (2..=u32::try_from(most).ok()?).rev().map(|n| end / f64::from(n)).find(|step| {
        let up = step_up(*step);
        (up - step).abs() < 1e-9 * up
    })
}

/// The least of 1, 2, 2.5 and 5 times a power of ten that is not below `value` (above 0).
pub(crate) fn step_up(value: f64) -> f64 {
    let power = 10f64.powf(value.log10().floor());
    let lead = value / power;
    let round = [1.0, 2.0, 2.5, 5.0, 10.0].into_iter().find(|m| lead <= m * (1.0 + 1e-9));
    round.unwrap_or(10.0) * power
}

/// A round end for a scale that must hold `value` (above 0).
pub(crate) fn round_up(value: f64) -> f64 {
    let step = step_up(value / 5.0);
    let steps = (value / step - 1e-9).ceil().max(1.0);
    steps * step
}

/// Decimals needed to print a round number, at most 4.
pub(crate) fn decimals_of(value: f64) -> usize {
    (0..4usize)
        .find(|d| {
            let shown: f64 = format!("{value:.d$}").parse().unwrap_or(f64::NAN);
            (shown - value).abs() <= 1e-9 * value.abs().max(1e-6)
        })
        .unwrap_or(4)
}

fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_inside, assert_sound, attribute, tags};

    fn held() -> Bar {
        Bar::new("Held current", "A", 2).measured("motor", 0.84).want(0.9).limit(1.0)
    }

    fn x_of(markup: &str, class: &str) -> Vec<f64> {
        let all = tags(markup).unwrap();
        all.iter()
            .filter(|t| attribute(t, "class") == Some(class))
            .filter_map(|t| attribute(t, "x").or(attribute(t, "x1")))
            .map(|v| v.trim_end_matches('%').parse().unwrap())
            .collect()
    }

    #[test]
    fn held_current_stands_where_the_drawn_page_has_it() {
        // Outside value: the hand-drawn bench page, 0.84 A of 1.00 A, notch at 90 %, end at 100 %.
        let out = held().svg();
        assert_sound(&out);
        assert_inside(&out);
        assert!(out.contains(r#"x="0%" y="4" width="84%" height="8""#), "{out}");
        assert_eq!(x_of(&out, "want"), [90.0]);
        assert_eq!(x_of(&out, "lim"), [100.0]);
    }

    #[test]
    fn planned_parts_are_dashed_after_the_measured_ones() {
        // Outside value: the hand-drawn overview, 36 % measured then 15 % planned.
        let bar = Bar::new("All loads", "A", 2)
            .measured("motor", 0.36)
            .planned("sound", 0.12)
            .planned("lamps", 0.03)
            .want(0.8)
            .limit(1.0);
        let out = bar.svg();
        assert_inside(&out);
        assert_eq!(x_of(&out, "plan"), [36.0, 48.0]);
        assert_eq!(x_of(&out, "seam"), [36.0, 48.0]);
        assert_eq!(
            bar.words().replace('\u{a0}', " "),
            "All loads: motor 0.36 A, planned sound 0.12 A, planned lamps 0.03 A; 0.51 A in all; want 0.80 A; limit 1.00 A."
        );
        assert_sound(&bar.svg_named());
    }

    #[test]
    fn a_value_past_its_limit_is_seen_without_colour() {
        let bar = Bar::new("Held current", "A", 2).measured("", 1.3).limit(1.0);
        let out = bar.svg();
        assert_inside(&out);
        assert!((bar.scale_end() - 1.5).abs() < 1e-9);
        assert!(out.contains("fill past"));
        assert!(x_of(&out, "lim")[0] < 70.0);
        assert!(bar.words().contains("limit 1.00\u{a0}A, passed"));
    }

    #[test]
    fn nothing_measured_is_said_not_drawn_as_zero() {
        let bar = Bar::new("Hold-up time", "s", 1).want(0.5);
        assert_eq!(bar.words(), "Hold-up time: not measured.");
        assert!(!bar.svg().contains("fill"));
        assert_inside(&bar.svg());
    }

    #[test]
    fn the_numbers_under_a_bar_are_those_of_the_drawn_page() {
        // Outside value: the hand-drawn bench page, 0, 0.25, 0.50, 0.75, 1.00 A.
        assert_eq!(ticks(1.0, 4), [0.0, 0.25, 0.5, 0.75, 1.0]);
        let row = held().scale_row();
        assert_sound(&row);
        assert_inside(&row);
        for number in [">0<", ">0.25<", ">0.50<", ">0.75<", ">1.00\u{a0}A<"] {
            assert!(row.contains(number), "{number} in {row}");
        }
    }

    #[test]
    fn scales_use_round_steps_and_do_not_crowd_their_end() {
        assert_eq!(ticks(25.0, 5), [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]);
        assert_eq!(ticks(1.37, 5), [0.0, 0.5, 1.0, 1.37]);
        assert_eq!(ticks(0.0, 5), [0.0]);
        assert_eq!(ticks(f64::NAN, 5), [0.0]);
        for end in [0.003, 0.25, 0.8, 1.0, 1.2, 1.37, 2.0, 7.0, 164.0, 3000.0] {
            let t = ticks(end, 5);
            assert!(t.len() <= 7 && t.len() >= 2, "{end}: {t:?}");
            assert!(t.windows(2).all(|w| w[1] - w[0] > end * 0.08), "{end}: {t:?}");
            assert!((t[t.len() - 1] - end).abs() < 1e-12);
        }
    }

    #[test]
    fn cells_count_what_they_show() {
        let out = cells(&[Cell::Yes, Cell::Yes, Cell::No, Cell::Unlit]);
        assert_sound(&out);
        assert_inside(&out);
        assert_eq!(out.matches(r#"class="fill""#).count(), 2);
        assert_eq!(out.matches(r#"class="plan""#).count(), 1);
        assert_eq!(out.matches(r#"class="plan unlit""#).count(), 1);
        assert_sound(&cells(&[]));
    }

    #[test]
    fn odd_numbers_and_names_do_no_harm() {
        for nasty in NASTY {
            let bar = Bar::new(nasty, nasty, 2)
                .measured(nasty, f64::NAN)
                .planned(nasty, f64::INFINITY)
                .measured(nasty, -3.0)
                .bounds(Interval { lo: -1.0, hi: f64::INFINITY })
                .want(-1.0);
            for out in [bar.svg(), bar.svg_named(), bar.scale_row()] {
                assert_sound(&out);
                assert_inside(&out);
            }
            assert_eq!(bar.svg_named(), bar.clone().svg_named());
        }
    }
}
