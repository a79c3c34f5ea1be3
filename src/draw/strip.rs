//! The locomotive over the dead lengths of a route: where its wheels stand at the worst place, and
//! what contact is left along the travel. Seen from above, running to the right; as wide as its
//! place, so letters keep their size.

use super::plot::{Key, Picture, Table};
use super::svg::{El, Path, line};
use crate::calc::gap::{Rail, Rails, Wheel};
use crate::calc::plot::{Lane, Strip};
use crate::draw::bar::{decimals_of, step_up};
use crate::units::{Rounding, fixed};

/// Heights in px: both rails, first lane, one lane, foot of the lanes to the end.
const RAILS: (f64, f64) = (54.0, 98.0);
const LANES: f64 = 162.0;
const LANE: f64 = 40.0;
const TAIL: f64 = 42.0;

/// A stretch of the route as a share of the width.
struct View {
    from: f64,
    to: f64,
}

impl View {
    fn at(&self, mm: f64) -> f64 {
        (100.0 * (mm - self.from) / (self.to - self.from)).clamp(0.0, 100.0)
    }
}

/// Draws the strip.
pub(super) fn picture(s: &Strip) -> Picture {
    Picture {
        title: s.title.clone(),
        svg: svg(s),
        words: words(s),
        lanes: Vec::new(),
        key: key(),
        tables: vec![wheels_table(s), lanes_table(s)],
    }
}

/// What a wheel stands for at the place drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stand {
    /// Picks up from live rail.
    Live,
    /// Picks up, but stands on dead rail.
    Dead,
    /// Does not pick up.
    Fails,
    /// Nobody measured it.
    Unknown,
}

impl Stand {
    fn class(self) -> &'static str {
        match self {
            Stand::Live => "wh live",
            Stand::Dead => "wh dead",
            Stand::Fails => "wh fails",
            Stand::Unknown => "wh unlit",
        }
    }

    fn words(self) -> &'static str {
        match self {
            Stand::Live => "picks up",
            Stand::Dead => "on dead rail",
            Stand::Fails => "does not pick up",
            Stand::Unknown => "not measured, counts as missing",
        }
    }
}

fn stand(s: &Strip, w: &Wheel) -> Stand {
    let at = s.at_mm + w.position_mm;
    let dead = s.dead.iter().any(|d| d.rail.covers(w.rail) && d.from_mm <= at && at <= d.to_mm);
    match w.works {
        Some(false) => Stand::Fails,
        None => Stand::Unknown,
        Some(true) if dead => Stand::Dead,
        Some(true) => Stand::Live,
    }
}

/// First and last wheel, mm from position 0.
fn ends(s: &Strip) -> (f64, f64) {
    let all = || s.wheels.iter().map(|w| w.position_mm).filter(|p| p.is_finite());
    let ends = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    if ends.0.is_finite() { ends } else { (0.0, 0.0) }
}

fn svg(s: &Strip) -> String {
    let (back, front) = ends(s);
    let spare = ((front - back) * 0.6).max(20.0);
    let near = View { from: s.at_mm + back - spare, to: s.at_mm + front + spare };
    let pieces = || s.lanes.iter().flat_map(|l| &l.pieces);
    let from = pieces().map(|p| p.from_mm).fold(f64::INFINITY, f64::min);
    let to = pieces().map(|p| p.to_mm).fold(f64::NEG_INFINITY, f64::max);
    let height = LANES + LANE * f64::from(u32::try_from(s.lanes.len()).unwrap_or(0)) + TAIL;
    let mut root = El::new("svg")
        .class("strip")
        .num("height", height)
        .attr("role", "img")
        .attr("aria-label", &format!("{}. {}", s.title, words(s)))
        .children(&route(s, &near))
        .children(&loco(s, &near));
    if to > from {
        let whole = View { from, to };
        for (i, lane) in s.lanes.iter().enumerate() {
            let y = LANES + LANE * f64::from(u32::try_from(i).unwrap_or(0));
            root = root.children(&lane_of(lane, &whole, y));
        }
        root = root.children(&travel(s, &whole, height));
    }
    root.render()
}

/// Both rails with their dead stretches, and what those are called.
fn route(s: &Strip, view: &View) -> Vec<El> {
    let mut out = Vec::new();
    let level = |class: &str, (a, b): (f64, f64), y: f64| {
        El::new("line").class(class).pct("x1", a).pct("x2", b).num("y1", y).num("y2", y)
    };
    for (rail, y) in [(Rail::Left, RAILS.0), (Rail::Right, RAILS.1)] {
        let mut at = 0.0;
        let dead = s.dead.iter().filter(|d| d.rail.covers(rail));
        for d in dead.filter(|d| d.to_mm >= view.from && d.from_mm <= view.to) {
            let (a, b) = (view.at(d.from_mm), view.at(d.to_mm));
            if a > at {
                out.push(level("rail", (at, a), y));
            }
            out.push(level("gone", (a, b), y));
            at = f64::max(at, b);
        }
        if at < 100.0 {
            out.push(level("rail", (at, 100.0), y));
        }
    }
    let named = s.dead.iter().filter(|d| d.to_mm >= view.from && d.from_mm <= view.to);
    let mut free_from = [0.0, 0.0];
    for d in named.filter(|d| !d.name.is_empty()) {
        let low = usize::from(d.rail == Rails::Right);
        let x = view.at(f64::midpoint(d.from_mm.max(view.from), d.to_mm.min(view.to)));
        if x < free_from[low] {
            continue;
        }
        free_from[low] = x + 24.0;
        let y = if low == 1 { RAILS.1 + 34.0 } else { RAILS.0 - 22.0 };
        let class = if x > 80.0 {
            "q e"
        } else if x < 20.0 {
            "q"
        } else {
            "q m"
        };
        out.push(El::new("text").class(class).pct("x", x).num("y", y).text(&d.name));
    }
    out.push(El::new("text").class("b").num("x", 0.0).num("y", 12.0).text("at the worst place"));
    out.push(El::new("text").class("q e").pct("x", 100.0).num("y", 12.0).text("front ▸"));
    out
}

/// The locomotive: an outline between its wheels, and each wheel told by its shape.
fn loco(s: &Strip, view: &View) -> Vec<El> {
    let (back, front) = ends(s);
    let (a, b) = (view.at(s.at_mm + back - 6.0), view.at(s.at_mm + front + 6.0));
    let body = El::new("rect").class("body").pct("x", a).num("y", RAILS.0 + 12.0);
    let body = body.pct("width", (b - a).max(0.5)).num("height", RAILS.1 - RAILS.0 - 24.0);
    let mut out = vec![body];
    for w in &s.wheels {
        let x = view.at(s.at_mm + w.position_mm);
        let y = if w.rail == Rail::Left { RAILS.0 } else { RAILS.1 };
        let stand = stand(s, w);
        let wheel = El::new("circle").class(stand.class()).pct("cx", x).num("cy", y);
        out.push(wheel.num("r", 7.0));
        if stand == Stand::Fails {
            let bar = El::new("line").class("cross").pct("x1", x).pct("x2", x);
            out.push(bar.num("y1", y - 11.0).num("y2", y + 11.0));
        }
    }
    out
}

/// One lane: a full bar is contact, a dashed low one none.
fn lane_of(lane: &Lane, view: &View, y: f64) -> Vec<El> {
    let mut out = vec![El::new("text").class("b").num("x", 0.0).num("y", y - 4.0).text(&lane.name)];
    for p in &lane.pieces {
        let (a, b) = (view.at(p.from_mm), view.at(p.to_mm));
        let (class, top, high) =
            if p.contact { ("contact", y, 14.0) } else { ("none", y + 3.5, 7.0) };
        let rect = El::new("rect").class(class).pct("x", a).num("y", top);
        out.push(rect.pct("width", (b - a).max(0.0)).num("height", high));
    }
    out
}

/// The travel below the lanes, and where the locomotive is drawn.
fn travel(s: &Strip, view: &View, height: f64) -> Vec<El> {
    let (factor, unit) =
        if view.to.abs().max(view.from.abs()) >= 3000.0 { (0.001, "m") } else { (1.0, "mm") };
    let y = height - TAIL;
    let step = step_up((view.to - view.from) * factor / 5.0);
    let decimals = decimals_of(step);
    let first = (view.from * factor / step - 1e-9).ceil();
    let mut out = Vec::new();
    for i in 0..=8u32 {
        let v = (first + f64::from(i)) * step;
        if v > view.to * factor + step * 1e-6 {
            break;
        }
        let x = view.at(v / factor);
        let tick = El::new("line").class("axis").pct("x1", x).pct("x2", x);
        out.push(tick.num("y1", y - 8.0).num("y2", y - 3.0));
        let class = if x > 94.0 {
            "q e"
        } else if x < 5.0 {
            "q"
        } else {
            "q m"
        };
        let text = fixed(v, decimals, Rounding::Nearest);
        out.push(El::new("text").class(class).pct("x", x).num("y", y + 11.0).text(&text));
    }
    let here = view.at(s.at_mm);
    let mark = El::new("line").class("mark").pct("x1", here).pct("x2", here);
    out.push(mark.num("y1", LANES - 2.0).num("y2", y - 4.0));
    let name = format!("travel, {unit}");
    out.push(El::new("text").class("b e").pct("x", 100.0).num("y", height - 8.0).text(&name));
    out
}

fn millimetres(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 1, Rounding::Nearest))
}

/// The strip in a few sentences.
fn words(s: &Strip) -> String {
    let lane = |l: &Lane| {
        let breaks: Vec<f64> =
            l.pieces.iter().filter(|p| !p.contact).map(|p| p.to_mm - p.from_mm).collect();
        match breaks.iter().copied().reduce(f64::max) {
            None => format!("{}: contact throughout", l.name),
            Some(longest) => format!(
                "{}: no contact in {} place{}, longest {}",
                l.name,
                breaks.len(),
                if breaks.len() == 1 { "" } else { "s" },
                millimetres(longest)
            ),
        }
    };
    let lanes: Vec<String> = s.lanes.iter().map(lane).collect();
    let live = s.wheels.iter().filter(|w| stand(s, w) == Stand::Live).count();
    format!(
        "At travel {}, {live} of {} wheels pick up from live rail; {}.",
        millimetres(s.at_mm),
        s.wheels.len(),
        lanes.join("; ")
    )
}

fn key() -> Vec<Key> {
    let root =
        || El::new("svg").class("strip").attr("viewBox", "0 0 34 18").attr("aria-hidden", "true");
    let wheel = |s: Stand| {
        let circle =
            El::new("circle").class(s.class()).num("cx", 17.0).num("cy", 9.0).num("r", 7.0);
        let cross = Path::new().m(17.0, 0.0).l(17.0, 18.0).el("cross");
        let svg = root().child(&circle);
        let svg = if s == Stand::Fails { svg.child(&cross) } else { svg };
        Key { svg: svg.render(), words: s.words().to_owned() }
    };
    let mut out: Vec<Key> =
        [Stand::Live, Stand::Dead, Stand::Fails, Stand::Unknown].into_iter().map(wheel).collect();
    let gone = line("gone", (1.0, 9.0), (33.0, 9.0));
    out.push(Key { svg: root().child(&gone).render(), words: "dead rail".to_owned() });
    out
}

fn wheels_table(s: &Strip) -> Table {
    let row = |w: &Wheel| {
        let rail = if w.rail == Rail::Left { "left" } else { "right" };
        vec![millimetres(w.position_mm), rail.to_owned(), stand(s, w).words().to_owned()]
    };
    Table {
        caption: "Wheels at the worst place".to_owned(),
        heads: ["Position", "Rail", "There"].map(str::to_owned).to_vec(),
        rows: s.wheels.iter().map(row).collect(),
    }
}

/// Pieces without contact, lane by lane.
fn lanes_table(s: &Strip) -> Table {
    let none = s.lanes.iter().flat_map(|l| {
        l.pieces.iter().filter(|p| !p.contact).map(|p| {
            let length = p.to_mm - p.from_mm;
            vec![
                l.name.clone(),
                millimetres(p.from_mm),
                millimetres(p.to_mm),
                format!("{}\u{a0}mm", fixed(length, 1, Rounding::Up)),
            ]
        })
    });
    Table {
        caption: "Travel without contact".to_owned(),
        heads: ["Rail", "From", "To", "Length"].map(str::to_owned).to_vec(),
        rows: none.take(60).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::{find, plot::Plot};
    use crate::draw::checks::{NASTY, assert_inside, assert_sound};

    fn example() -> Strip {
        let c = find("gap").unwrap();
        let answer = (c.run)(c.example).unwrap();
        match answer.plots.into_iter().next() {
            Some(Plot::Strip(s)) => s,
            other => panic!("{other:?}"),
        }
    }

    /// The worked example of the gap: the right rail is insulated for 40 mm, both its wheels 30 mm
    /// apart; 10 mm without it. The left has one wheel that works, over 22 mm of frog.
    #[test]
    fn the_example_shows_its_breaks_where_they_are() {
        let s = example();
        let p = picture(&s);
        assert_sound(&p.svg);
        assert_inside(&p.svg);
        let said = p.words.replace('\u{a0}', " ");
        assert!(said.contains("left rail: no contact in 1 place, longest 22.0 mm"), "{said}");
        assert!(said.contains("right rail: no contact in 1 place, longest 10.0 mm"), "{said}");
        assert_eq!(p.tables[1].rows.len(), 4, "{:?}", p.tables[1]);
        assert!(p.svg.contains("wh fails") && p.svg.contains("wh dead"));
    }

    #[test]
    fn odd_routes_and_names_do_no_harm() {
        for nasty in NASTY {
            let mut s = example();
            s.title = nasty.into();
            s.dead[0].name = nasty.into();
            s.lanes[0].name = nasty.into();
            assert_sound(&picture(&s).svg);
        }
        let mut s = example();
        s.wheels.truncate(1);
        s.wheels[0].works = None;
        s.dead.clear();
        s.lanes.clear();
        assert_sound(&picture(&s).svg);
        assert_inside(&picture(&s).svg);
    }
}
