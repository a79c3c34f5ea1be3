//! The points of the walk, the pairs they make and the positions of the model.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A point a probe is put on. As text: `brush_a`, `brush_b`, `rail_left`, `rail_right`, `frame`; any
/// other text is the name of a function or speaker lead.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(from = "String", into = "String")]
#[schemars(with = "String")]
pub enum Point {
    /// One motor brush.
    BrushA,
    /// The other motor brush.
    BrushB,
    /// A function or speaker lead by its name.
    Lead(String),
    /// Wheels on the left rail.
    RailLeft,
    /// Wheels on the right rail.
    RailRight,
    /// The frame (chassis metal); with the motor bare, its own case.
    Frame,
}

impl Point {
    /// As kept and as text in JSON.
    pub fn key(&self) -> &str {
        match self {
            Point::BrushA => "brush_a",
            Point::BrushB => "brush_b",
            Point::Lead(name) => name,
            Point::RailLeft => "rail_left",
            Point::RailRight => "rail_right",
            Point::Frame => "frame",
        }
    }

    /// In words: `brush A`, `right rail`.
    pub fn word(&self) -> &str {
        match self {
            Point::BrushA => "brush A",
            Point::BrushB => "brush B",
            Point::Lead(name) => name,
            Point::RailLeft => "left rail",
            Point::RailRight => "right rail",
            Point::Frame => "frame",
        }
    }

    /// With its article where it takes one: `brush A`, `the right rail`.
    pub fn the(&self) -> String {
        match self {
            Point::BrushA | Point::BrushB => self.word().to_owned(),
            _ => format!("the {}", self.word()),
        }
    }

    /// One of the two brushes.
    pub fn is_brush(&self) -> bool {
        matches!(self, Point::BrushA | Point::BrushB)
    }

    /// One of the two rails.
    pub fn is_rail(&self) -> bool {
        matches!(self, Point::RailLeft | Point::RailRight)
    }
}

impl From<String> for Point {
    fn from(text: String) -> Self {
        match text.as_str() {
            "brush_a" => Point::BrushA,
            "brush_b" => Point::BrushB,
            "rail_left" => Point::RailLeft,
            "rail_right" => Point::RailRight,
            "frame" => Point::Frame,
            _ => Point::Lead(text),
        }
    }
}

impl From<Point> for String {
    fn from(point: Point) -> Self {
        point.key().to_owned()
    }
}

/// Two points, in the order people name them.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
pub struct Pair {
    /// The point named first.
    pub a: Point,
    /// The point named second.
    pub b: Point,
}

impl Pair {
    /// The pair of two points, in either order.
    pub fn new(a: Point, b: Point) -> Self {
        if a <= b { Pair { a, b } } else { Pair { a: b, b: a } }
    }

    /// As kept: `brush_a:rail_right`.
    pub fn key(&self) -> String {
        format!("{}:{}", self.a.key(), self.b.key())
    }

    /// In words: `brush A to right rail`.
    pub fn word(&self) -> String {
        format!("{} to {}", self.a.word(), self.b.word())
    }

    /// Whether the walk has this pair at all.
    pub fn belongs(&self) -> bool {
        match (&self.a, &self.b) {
            (Point::BrushA | Point::BrushB | Point::Lead(_), b) => {
                b.is_rail() || *b == Point::Frame
            }
            (Point::RailLeft, Point::RailRight) => true,
            _ => false,
        }
    }

    /// The pairs in the order people work: brushes to rails, then to the frame, then rail to rail, then
    /// each lead to frame and rails.
    pub fn in_order(has_motor: bool, leads: &[String]) -> Vec<Pair> {
        let brushes: &[Point] = if has_motor { &[Point::BrushA, Point::BrushB] } else { &[] };
        let mut out = Vec::new();
        for brush in brushes {
            for rail in [Point::RailLeft, Point::RailRight] {
                out.push(Pair::new(brush.clone(), rail));
            }
        }
        out.extend(brushes.iter().map(|brush| Pair::new(brush.clone(), Point::Frame)));
        out.push(Pair::new(Point::RailLeft, Point::RailRight));
        for lead in leads {
            for other in [Point::Frame, Point::RailLeft, Point::RailRight] {
                out.push(Pair::new(Point::Lead(lead.clone()), other));
            }
        }
        out
    }
}

/// State of the model while reading. Each adds something that can make a contact.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Position {
    /// The motor alone on the bench.
    Bare,
    /// Motor in the frame, mechanism turned by hand.
    InFrame,
    /// Bogies swung to both stops.
    BogiesSwung,
    /// Shell on and screwed down.
    ShellOn,
}

impl Position {
    /// All, in the order people work.
    pub const ALL: [Position; 4] =
        [Position::Bare, Position::InFrame, Position::BogiesSwung, Position::ShellOn];

    /// As kept: `bogies_swung`.
    pub fn key(self) -> &'static str {
        match self {
            Position::Bare => "bare",
            Position::InFrame => "in_frame",
            Position::BogiesSwung => "bogies_swung",
            Position::ShellOn => "shell_on",
        }
    }

    /// The position of that key.
    pub fn from_key(key: &str) -> Option<Position> {
        Position::ALL.into_iter().find(|p| p.key() == key)
    }

    /// In words: `with the shell on`.
    pub fn word(self) -> &'static str {
        match self {
            Position::Bare => "with the motor bare",
            Position::InFrame => "in the frame",
            Position::BogiesSwung => "with the bogies swung",
            Position::ShellOn => "with the shell on",
        }
    }

    /// Whether a pair is to be read in this position.
    pub fn needs(self, pair: &Pair, has_bogies: bool) -> bool {
        match self {
            Position::Bare => pair.a.is_brush() && pair.b == Point::Frame,
            Position::InFrame | Position::ShellOn => true,
            Position::BogiesSwung => has_bogies && !matches!(pair.a, Point::Lead(_)),
        }
    }
}
