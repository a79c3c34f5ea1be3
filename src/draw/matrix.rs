//! The isolation matrix as a picture: what stands on the track side at the left, what stands on the
//! motor side at the right, and every pair that was or should be measured as a link between them.
//!
//! Open is a hairline with two slashes, joined a thick line on a pale halo, not measured a dotted
//! one. The worst is drawn last, on top, and carries its arm and word.

use super::arm;
use super::svg::{El, Path, circle, label, num};
use super::wheels::KeyEntry;
use crate::aspect::Aspect;

/// Which side of the isolation a point belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bank {
    /// Left rail, frame, right rail.
    Track,
    /// Brushes, leads, function leads.
    Motor,
}

/// A point that is measured against others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Point {
    /// Its name: `brush A`, `frame`.
    pub name: String,
    /// Its side.
    pub bank: Bank,
}

/// What a pair reads, as far as isolation goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Link {
    /// Joined, and it should be open: danger.
    Joined,
    /// Nobody has measured it: unlit.
    Unlit,
    /// Open once, but not to be relied on (old, or only in one position): caution.
    Doubtful,
    /// Open, as it should be: clear.
    Open,
    /// Joined as it should be: the winding between the brushes.
    AsMeant,
}

impl Link {
    /// The aspect of such a link.
    pub fn aspect(self) -> Aspect {
        match self {
            Link::Joined => Aspect::Danger,
            Link::Unlit => Aspect::Unlit,
            Link::Doubtful => Aspect::Caution,
            Link::Open | Link::AsMeant => Aspect::Clear,
        }
    }
}

/// Two points and what was read between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// Index of the first point.
    pub a: usize,
    /// Index of the second point.
    pub b: usize,
    /// What it means.
    pub link: Link,
    /// What it reads: `0.4 Ω`, `open`, `not measured`.
    pub reads: String,
}

/// Indexes of pairs from worst to best; equals keep their order.
pub fn worst_first(pairs: &[Pair]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..pairs.len()).collect();
    order.sort_by_key(|i| pairs.get(*i).map(|p| p.link));
    order
}

/// One pair in words: `brush A to right rail: 0.4 Ω, danger`. Empty when a point is not there.
pub fn sentence(points: &[Point], pair: &Pair) -> String {
    match (points.get(pair.a), points.get(pair.b)) {
        (Some(a), Some(b)) => {
            format!("{} to {}: {}, {}", a.name, b.name, pair.reads, pair.link.aspect().word())
        }
        _ => String::new(),
    }
}

/// Width of the drawing, px at natural size: a phone's 390 less its edges.
const WIDTH: f64 = 366.0;
const TRACK_X: f64 = 84.0;
const MOTOR_X: f64 = 278.0;
const TOP: f64 = 38.0;

/// Distance of two points of the longer side: more room where there are few.
fn step(rows: usize) -> f64 {
    match rows {
        0..=3 => 80.0,
        4..=5 => 62.0,
        _ => 54.0,
    }
}

/// The picture. Pairs that name a point which is not there are left out. With a title for those who
/// cannot see it and all pairs in words, worst first; the caller prints the same list beside it.
pub fn matrix_svg(title: &str, points: &[Point], pairs: &[Pair]) -> String {
    let places = places(points);
    let rows = places.iter().map(|p| p.1).fold(TOP, f64::max);
    let height = rows + 30.0;
    let order = worst_first(pairs);
    let said: Vec<String> = order
        .iter()
        .filter_map(|i| pairs.get(*i))
        .map(|p| sentence(points, p))
        .filter(|s| !s.is_empty())
        .collect();
    let mut root = El::new("svg")
        .class("imx")
        .num("width", WIDTH)
        .num("height", height)
        .attr("viewBox", &format!("0 0 {} {}", num(WIDTH), num(height)))
        .attr("role", "img")
        .title(title)
        .desc(&format!("{}.", said.join(". ")))
        .child(&label("q e", (TRACK_X + 6.0, 15.0), "track"))
        .child(&label("q", (MOTOR_X - 6.0, 15.0), "motor and leads"));
    let drawn: Vec<(&Pair, Curve)> = order
        .iter()
        .rev()
        .filter_map(|i| pairs.get(*i))
        .filter_map(|p| Some((p, between(points, &places, p)?)))
        .collect();
    for (pair, curve) in &drawn {
        root = root.children(&link_els(pair.link, curve));
    }
    for (point, (x, y)) in points.iter().zip(&places) {
        let (class, text_x) = match point.bank {
            Bank::Track => ("e", x - 11.0),
            Bank::Motor => ("", x + 11.0),
        };
        root = root.child(&circle("node", (*x, *y), 5.5));
        root = root.child(&label(class, (text_x, y + 5.0), &point.name));
    }
    root.children(&flags(&drawn)).render()
}

/// Where the points stand: two columns, the shorter spread over the height of the longer.
fn places(points: &[Point]) -> Vec<(f64, f64)> {
    let count = |bank| points.iter().filter(|p| p.bank == bank).count();
    let (track, motor) = (count(Bank::Track), count(Bank::Motor));
    let rows = track.max(motor).max(3);
    let height = step(rows) * real(rows - 1);
    let mut at = (0usize, 0usize);
    let place = |p: &Point| {
        let (x, n, i) = match p.bank {
            Bank::Track => {
                at.0 += 1;
                (TRACK_X, track, at.0 - 1)
            }
            Bank::Motor => {
                at.1 += 1;
                (MOTOR_X, motor, at.1 - 1)
            }
        };
        let gap = if n > 1 { height / real(n - 1) } else { 0.0 };
        let lone = if n == 1 { height / 2.0 } else { 0.0 };
        (x, TOP + lone + gap * real(i))
    };
    points.iter().map(place).collect()
}

/// A link from one point over a control point to another.
#[derive(Debug, Clone, Copy)]
struct Curve {
    from: (f64, f64),
    over: (f64, f64),
    to: (f64, f64),
    /// Where its slashes stand, as a share of its way.
    mark: f64,
}

impl Curve {
    fn at(&self, t: f64) -> (f64, f64) {
        let mix = |a: f64, b: f64, c: f64| {
            (1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c
        };
        (mix(self.from.0, self.over.0, self.to.0), mix(self.from.1, self.over.1, self.to.1))
    }

    /// Direction at a place, of length 1.
    fn along(&self, t: f64) -> (f64, f64) {
        let slope = |a: f64, b: f64, c: f64| (1.0 - t) * (b - a) + t * (c - b);
        let (x, y) = (
            slope(self.from.0, self.over.0, self.to.0),
            slope(self.from.1, self.over.1, self.to.1),
        );
        let size = x.hypot(y).max(1e-9);
        (x / size, y / size)
    }

    /// The part between two shares of the way, as a path.
    fn part(&self, t1: f64, t2: f64) -> Path {
        let (start, end) = (self.at(t1), self.at(t2));
        let (dx, dy) = self.along(t1);
        // The control point of the cut piece of a quadratic curve: start + (t2 - t1) / 2 × slope.
        let slope = |a: f64, b: f64, c: f64| 2.0 * ((1.0 - t1) * (b - a) + t1 * (c - b));
        let size = slope(self.from.0, self.over.0, self.to.0).hypot(slope(
            self.from.1,
            self.over.1,
            self.to.1,
        ));
        let reach = (t2 - t1) / 2.0 * size;
        Path::new().m(start.0, start.1).q(start.0 + dx * reach, start.1 + dy * reach, end.0, end.1)
    }
}

/// The way between two points: straight across, or a bow inwards on one side. Slashes stand near
/// the motor end, where links fan out, those of neighbouring track points beside each other.
fn between(points: &[Point], places: &[(f64, f64)], pair: &Pair) -> Option<Curve> {
    let (a, b) = (*places.get(pair.a)?, *places.get(pair.b)?);
    if pair.a == pair.b {
        return None;
    }
    let (from, to) = if a.0 <= b.0 { (a, b) } else { (b, a) };
    if (from.0 - to.0).abs() > 1.0 {
        let over = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
        let track = if points.get(pair.a)?.bank == Bank::Track { pair.a } else { pair.b };
        let before = points.iter().take(track).filter(|p| p.bank == Bank::Track).count();
        let mark = [0.82, 0.74, 0.66].get(before % 3).copied().unwrap_or(0.74);
        return Some(Curve { from, over, to, mark });
    }
    let depth = (18.0 + 0.25 * (from.1 - to.1).abs()).min(90.0);
    let inward = if from.0 < WIDTH / 2.0 { depth } else { -depth };
    Some(Curve { from, over: (from.0 + inward, f64::midpoint(from.1, to.1)), to, mark: 0.25 })
}

fn link_els(link: Link, curve: &Curve) -> Vec<El> {
    let whole = |class| curve.part(0.0, 1.0).el(class);
    match link {
        Link::Joined => vec![whole("halo"), whole("flt")],
        Link::Unlit => vec![whole("unlit")],
        Link::AsMeant => vec![whole("meant")],
        Link::Open => slashed(curve, "open"),
        Link::Doubtful => slashed(curve, "open doubt"),
    }
}

/// A line with a gap between two slashes.
fn slashed(curve: &Curve, class: &str) -> Vec<El> {
    let (x1, y1) = curve.from;
    let (x2, y2) = curve.to;
    let length = (x2 - x1).hypot(y2 - y1).max(20.0);
    let half = 4.5 / length;
    let ends = [curve.mark - half, curve.mark + half];
    let mut out = vec![curve.part(0.0, ends[0]).el(class), curve.part(ends[1], 1.0).el(class)];
    for t in ends {
        let (x, y) = curve.at(t);
        let (dx, dy) = curve.along(t);
        // A slash leans 60 degrees against its line.
        let (sx, sy) = (0.5 * dx - 0.866 * dy, 0.866 * dx + 0.5 * dy);
        let slash = Path::new().m(x - 6.5 * sx, y - 6.5 * sy).l(x + 6.5 * sx, y + 6.5 * sy);
        out.push(slash.el("cut"));
    }
    out
}

/// The readings of joined pairs, each on a small flag upon its line; the worst carries arm and word.
fn flags(drawn: &[(&Pair, Curve)]) -> Vec<El> {
    let mut taken: Vec<(f64, f64, f64, f64)> = Vec::new();
    let mut out = Vec::new();
    let mut first = true;
    for (pair, curve) in drawn.iter().rev() {
        if !matches!(pair.link, Link::Joined | Link::AsMeant) {
            continue;
        }
        let danger = pair.link == Link::Joined && first;
        let text = if danger { format!("danger {}", pair.reads) } else { pair.reads.clone() };
        let wide = 7.2 * real(text.chars().count()) + if danger { 30.0 } else { 10.0 };
        let boxed = |t: f64| {
            let (x, y) = curve.at(t);
            let left = (x - wide / 2.0).clamp(1.0, (WIDTH - wide - 1.0).max(1.0));
            (left, y - 11.0, wide, 22.0)
        };
        let order = match pair.link {
            Link::Joined => [0.42, 0.55, 0.3, 0.66, 0.22],
            _ => [0.5, 0.6, 0.4, 0.7, 0.3],
        };
        let free = order.into_iter().map(boxed).find(|b| !taken.iter().any(|o| overlap(*o, *b)));
        let place = free.unwrap_or(boxed(order[0]));
        taken.push(place);
        out.extend(flag(pair, &text, place, danger));
        first = first && pair.link != Link::Joined;
    }
    out
}

fn flag(pair: &Pair, text: &str, (x, y, w, h): (f64, f64, f64, f64), danger: bool) -> Vec<El> {
    let class = if pair.link == Link::Joined { "flag" } else { "flag meant" };
    let rect =
        El::new("rect").class(class).num("x", x).num("y", y).num("width", w).num("height", h);
    let mut out = vec![rect];
    let from = if danger { x + 24.0 } else { x + 5.0 };
    if danger {
        out.push(arm::arm_at(Aspect::Danger, (x + 3.0, y + 1.0), 19.0));
    }
    let ink = if pair.link == Link::Joined { "ft" } else { "" };
    out.push(label(ink, (from, y + 15.5), text));
    out
}

fn overlap(a: (f64, f64, f64, f64), b: (f64, f64, f64, f64)) -> bool {
    a.0 < b.0 + b.2 && b.0 < a.0 + a.2 && a.1 < b.1 + b.3 && b.1 < a.1 + a.3
}

fn real(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

/// The key of the picture: only what occurs.
pub fn key(pairs: &[Pair]) -> Vec<KeyEntry> {
    let all = [
        (Link::Joined, "joined, should be open"),
        (Link::Unlit, "not measured"),
        (Link::Doubtful, "open, measure again"),
        (Link::Open, "open, measured"),
        (Link::AsMeant, "joined as meant"),
    ];
    let occurs = |link| pairs.iter().any(|p| p.link == link);
    let entry = |(link, words): (Link, &'static str)| {
        let curve = Curve { from: (1.0, 9.0), over: (17.0, 9.0), to: (33.0, 9.0), mark: 0.5 };
        let root = El::new("svg").class("imx").attr("viewBox", "0 0 34 18");
        let root = root.attr("aria-hidden", "true");
        KeyEntry { svg: root.children(&link_els(link, &curve)).render(), words }
    };
    all.into_iter().filter(|(link, _)| occurs(*link)).map(entry).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_inside, assert_sound};

    fn points(names: &[(&str, Bank)]) -> Vec<Point> {
        names.iter().map(|(n, b)| Point { name: (*n).to_owned(), bank: *b }).collect()
    }

    fn five() -> Vec<Point> {
        points(&[
            ("left rail", Bank::Track),
            ("frame", Bank::Track),
            ("right rail", Bank::Track),
            ("brush A", Bank::Motor),
            ("brush B", Bank::Motor),
        ])
    }

    fn pair(a: usize, b: usize, link: Link, reads: &str) -> Pair {
        Pair { a, b, link, reads: reads.to_owned() }
    }

    fn tonight() -> Vec<Pair> {
        vec![
            pair(0, 2, Link::Open, "open"),
            pair(3, 0, Link::Open, "open"),
            pair(4, 0, Link::Doubtful, "open"),
            pair(3, 2, Link::Joined, "0.4 Ω"),
            pair(4, 1, Link::Unlit, "not measured"),
            pair(3, 4, Link::AsMeant, "16.2 Ω"),
        ]
    }

    #[test]
    fn the_worst_comes_first_in_words_and_last_in_paint() {
        let out = matrix_svg("Isolation", &five(), &tonight());
        assert_sound(&out);
        assert_inside(&out);
        // Outside value: the hand-drawn circuit page, brush A to right rail 0.4 Ω, danger.
        assert!(
            out.contains("<desc>brush A to right rail: 0.4 Ω, danger. brush B to frame"),
            "{out}"
        );
        let fault = out.find(r#"class="flt""#).unwrap();
        for class in ["open", "open doubt", "unlit", "meant"] {
            assert!(out.find(&format!(r#"class="{class}""#)).unwrap() < fault, "{class}");
        }
        assert_eq!(worst_first(&tonight()), [3, 4, 2, 0, 1, 5]);
    }

    #[test]
    fn the_worst_link_carries_arm_and_word_once() {
        let mut pairs = tonight();
        pairs.push(pair(4, 2, Link::Joined, "16.6 Ω"));
        let out = matrix_svg("Isolation", &five(), &pairs);
        assert_eq!(out.matches("#a-danger").count(), 1);
        assert!(out.contains(">danger 0.4 Ω<") && out.contains(">16.6 Ω<"));
    }

    #[test]
    fn each_kind_of_link_is_told_by_line_alone() {
        let one = |link| matrix_svg("t", &five(), &[pair(0, 3, link, "x")]);
        assert_eq!(one(Link::Open).matches(r#"class="cut""#).count(), 2);
        assert_eq!(one(Link::Joined).matches("halo").count(), 1);
        assert_eq!(one(Link::Unlit).matches(r#"class="cut""#).count(), 0);
        assert!(one(Link::Unlit).contains(r#"class="unlit""#));
        assert_eq!(key(&tonight()).len(), 5);
        assert_eq!(key(&[]).len(), 0);
        for entry in key(&tonight()) {
            assert_sound(&entry.svg);
            assert_inside(&entry.svg);
        }
    }

    #[test]
    fn an_unmeasured_pair_is_never_clear() {
        assert_eq!(Link::Unlit.aspect(), Aspect::Unlit);
        assert!(sentence(&five(), &pair(0, 3, Link::Unlit, "not measured")).ends_with("unlit"));
    }

    #[test]
    fn any_number_of_points_and_pairs_stays_inside() {
        for motor in 0..12usize {
            let mut all = five();
            all.truncate(3);
            for i in 0..motor {
                all.push(Point { name: format!("lead {i}"), bank: Bank::Motor });
            }
            let links = [Link::Open, Link::Joined, Link::Unlit, Link::Doubtful, Link::AsMeant];
            let mut pairs = Vec::new();
            for a in 0..all.len() {
                for b in a..all.len() {
                    pairs.push(pair(a, b, links[(a + 2 * b) % 5], "0.4 Ω"));
                }
            }
            pairs.push(pair(0, 99, Link::Joined, "x"));
            let out = matrix_svg("Isolation", &all, &pairs);
            assert_sound(&out);
            assert_inside(&out);
            assert_eq!(out, matrix_svg("Isolation", &all, &pairs));
        }
        assert_sound(&matrix_svg("Isolation", &[], &[]));
    }

    #[test]
    fn odd_names_do_no_harm() {
        for nasty in NASTY {
            let all = points(&[(nasty, Bank::Track), (nasty, Bank::Motor)]);
            assert_sound(&matrix_svg(nasty, &all, &[pair(0, 1, Link::Joined, nasty)]));
        }
    }
}
