//! What an answer can be drawn from: plain numbers, the same for page, API and command line.
//!
//! A plot carries no more than what its calculation worked out; the page draws it, a program may
//! draw it its own way. Lengths along the axes are in the unit that stands beside them.

use super::gap::{Stretch, Wheel};
use super::lights::bands::Marks;
use crate::aspect::Aspect;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One picture of an answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "shape", rename_all = "snake_case")]
pub enum Plot {
    /// Values over an axis.
    Chart(Chart),
    /// The locomotive over the dead lengths of a route.
    Strip(Strip),
    /// Parts of a demand against ratings.
    Stacks(Stacks),
    /// A resistor and how it is marked.
    Resistor(Resistor),
}

impl Plot {
    /// Its title.
    pub fn title(&self) -> &str {
        match self {
            Plot::Chart(p) => &p.title,
            Plot::Strip(p) => &p.title,
            Plot::Stacks(p) => &p.title,
            Plot::Resistor(p) => &p.title,
        }
    }
}

/// How a series is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// Joined point to point.
    Line,
    /// Points alone: readings.
    Points,
    /// The room between `points` (low) and `high`.
    Band,
    /// Uprights from 0.
    Bars,
    /// Levels, two points each: where it begins and where it ends.
    Step,
}

/// One series of a chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Series {
    /// What it is, in words.
    pub name: String,
    /// How it is drawn.
    pub kind: Line,
    /// Points `[x, y]`, x rising; of a band its low edge.
    pub points: Vec<[f64; 2]>,
    /// The high edge of a band; empty for every other kind.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub high: Vec<[f64; 2]>,
}

/// A level that must not, or should, be passed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Limit {
    /// Its name: `limit`.
    pub label: String,
    /// Where it lies on the y axis.
    pub y: f64,
}

/// A place on the x axis worth seeing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Mark {
    /// Its name: `wanted`.
    pub label: String,
    /// Where it lies on the x axis.
    pub x: f64,
}

/// Values over an axis.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Chart {
    /// Title.
    pub title: String,
    /// What runs along the x axis, in words.
    pub x_label: String,
    /// Its unit.
    pub x_unit: String,
    /// What stands on the y axis, in words.
    pub y_label: String,
    /// Its unit.
    pub y_unit: String,
    /// What is drawn.
    pub series: Vec<Series>,
    /// Levels.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub limits: Vec<Limit>,
    /// Places.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<Mark>,
}

impl Chart {
    /// An empty chart; each axis is its words and its unit.
    pub fn new(title: &str, x: (&str, &str), y: (&str, &str)) -> Self {
        Chart {
            title: title.to_owned(),
            x_label: x.0.to_owned(),
            x_unit: x.1.to_owned(),
            y_label: y.0.to_owned(),
            y_unit: y.1.to_owned(),
            ..Chart::default()
        }
    }

    /// Adds a series; points that are no finite numbers are left out.
    #[must_use]
    pub fn with(mut self, name: &str, kind: Line, points: impl Iterator<Item = [f64; 2]>) -> Self {
        let points = finite(points);
        if !points.is_empty() {
            let name = name.to_owned();
            self.series.push(Series { name, kind, points, high: Vec::new() });
        }
        self
    }

    /// Adds a band from points `[x, low, high]`.
    #[must_use]
    pub fn band(mut self, name: &str, points: impl Iterator<Item = [f64; 3]>) -> Self {
        let good = |p: &[f64; 3]| p.iter().all(|v| v.is_finite());
        let points: Vec<[f64; 3]> = points.filter(good).collect();
        if !points.is_empty() {
            self.series.push(Series {
                name: name.to_owned(),
                kind: Line::Band,
                points: points.iter().map(|p| [p[0], p[1]]).collect(),
                high: points.iter().map(|p| [p[0], p[2]]).collect(),
            });
        }
        self
    }

    /// Adds a level, where it is known.
    #[must_use]
    pub fn limit(mut self, label: &str, y: Option<f64>) -> Self {
        let limit = |y| Limit { label: label.to_owned(), y };
        self.limits.extend(y.filter(|y| y.is_finite()).map(limit));
        self
    }

    /// Adds a place, where it is known.
    #[must_use]
    pub fn mark(mut self, label: &str, x: Option<f64>) -> Self {
        let mark = |x| Mark { label: label.to_owned(), x };
        self.marks.extend(x.filter(|x| x.is_finite()).map(mark));
        self
    }

    /// The chart as a plot; `None` where it has nothing to draw.
    pub fn plot(self) -> Option<Plot> {
        (!self.series.is_empty()).then_some(Plot::Chart(self))
    }
}

/// Points that can be drawn.
fn finite(points: impl Iterator<Item = [f64; 2]>) -> Vec<[f64; 2]> {
    points.filter(|p| p[0].is_finite() && p[1].is_finite()).collect()
}

/// A piece of travel in one lane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Piece {
    /// Travel at its start, mm.
    pub from_mm: f64,
    /// Travel at its end, mm.
    pub to_mm: f64,
    /// Whether there is contact.
    pub contact: bool,
}

/// One lane of the strip: a rail, or the supply.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Lane {
    /// `left rail`, `right rail`, `supply`.
    pub name: String,
    /// Its pieces, in order, without a gap.
    pub pieces: Vec<Piece>,
}

/// The locomotive over the dead lengths, and what contact is left along its travel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Strip {
    /// Title.
    pub title: String,
    /// All wheels, those that do not count too.
    pub wheels: Vec<Wheel>,
    /// The dead stretches, in order.
    pub dead: Vec<Stretch>,
    /// Travel at which the locomotive is drawn, mm: the middle of its longest break, or of the
    /// travel.
    pub at_mm: f64,
    /// Contact along the travel.
    pub lanes: Vec<Lane>,
}

/// One part of a stack.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Part {
    /// What it is: `motor held`.
    pub name: String,
    /// Its current, A; `None`: not known.
    pub amps_a: Option<f64>,
    /// Measured, not from a data sheet or guessed.
    pub measured: bool,
}

/// One stack of parts against a rating.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stack {
    /// What is compared: `Total continuous, held`.
    pub name: String,
    /// Its parts, in order.
    pub parts: Vec<Part>,
    /// The rating, A; `None`: not given.
    pub rating_a: Option<f64>,
    /// Headroom at the bad end of the demand, as a share of the rating; `None`: not known.
    pub left_at_worst: Option<f64>,
    /// Headroom wanted, as a share of the rating.
    pub wanted: f64,
    /// Where it leads.
    pub aspect: Aspect,
}

/// Stacks on one scale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stacks {
    /// Title.
    pub title: String,
    /// What they come to, in a sentence; empty where each says it itself.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub says: String,
    /// The stacks.
    pub stacks: Vec<Stack>,
}

/// A resistor and how it is marked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Resistor {
    /// Title: which string it belongs to.
    pub title: String,
    /// Resistance, Ω.
    pub ohm: f64,
    /// Tolerance, percent.
    pub tolerance_percent: f64,
    /// Least power rating to fit, W; `None`: none up to 5 W will do.
    pub rating_w: Option<f64>,
    /// Its marks.
    pub marks: Marks,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_not_drawn_and_an_empty_chart_is_no_plot() {
        let empty = Chart::new("t", ("x", "s"), ("y", "A"));
        assert_eq!(empty.clone().plot(), None);
        let odd = [[0.0, 1.0], [f64::NAN, 1.0], [1.0, f64::INFINITY], [2.0, 3.0]];
        let chart = empty
            .with("line", Line::Line, odd.into_iter())
            .band("band", [[0.0, 1.0, 2.0], [1.0, f64::NAN, 2.0]].into_iter())
            .limit("limit", Some(f64::NAN))
            .limit("limit", Some(2.0))
            .mark("here", None);
        assert_eq!(chart.series[0].points, [[0.0, 1.0], [2.0, 3.0]]);
        assert_eq!(chart.series[1].high, [[0.0, 2.0]]);
        assert_eq!((chart.limits.len(), chart.marks.len()), (1, 0));
        let json = serde_json::to_value(chart.plot().unwrap()).unwrap();
        assert_eq!(json["shape"], "chart");
        assert!(json["series"][0].get("high").is_none());
    }
}
