//! Side elevations of models, drawn from their data: kind, length over buffers, scale, wheels.
//!
//! One user unit is one millimetre of the model, rail top at 0, front at the left. Bodies are laid
//! out in metres of the prototype and brought to the model's scale, so that all models of a shelf
//! stand beside each other as they do on the table. The shapes are our own, of no particular
//! locomotive; proportions are common practice, no source.

mod body;
mod gear;
mod steam;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::arrangement::{self, Arrangement};
use super::svg::{El, Path, circle};
use gear::{Gear, Wheel};

/// The kind of model, by its outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A bonnet in front, the cab at the end.
    BonnetShunter,
    /// A short bonnet, the cab, a long bonnet.
    BonnetAndCab,
    /// The cab in the middle between two bonnets.
    CentreCab,
    /// A full-width body with a cab at each end.
    BoxBody,
    /// A passenger railcar.
    Railcar,
    /// A steam engine with tanks beside the boiler.
    SideTankEngine,
    /// A steam engine with the tank over the boiler or out of sight.
    SaddleOrPlainTank,
    /// A steam engine with a tender.
    TenderEngine,
    /// A tram.
    Tram,
    /// Anything else.
    Generic,
}

impl Kind {
    /// All kinds, in the order they are offered.
    pub const ALL: [Kind; 10] = [
        Kind::BonnetShunter,
        Kind::BonnetAndCab,
        Kind::CentreCab,
        Kind::BoxBody,
        Kind::Railcar,
        Kind::SideTankEngine,
        Kind::SaddleOrPlainTank,
        Kind::TenderEngine,
        Kind::Tram,
        Kind::Generic,
    ];

    /// The key as stored: `bonnet_shunter`.
    pub fn key(self) -> &'static str {
        match self {
            Kind::BonnetShunter => "bonnet_shunter",
            Kind::BonnetAndCab => "bonnet_and_cab",
            Kind::CentreCab => "centre_cab",
            Kind::BoxBody => "box_body",
            Kind::Railcar => "railcar",
            Kind::SideTankEngine => "side_tank_engine",
            Kind::SaddleOrPlainTank => "saddle_or_plain_tank",
            Kind::TenderEngine => "tender_engine",
            Kind::Tram => "tram",
            Kind::Generic => "generic",
        }
    }

    /// The kind of a stored key, or `None` for a key nobody knows.
    pub fn from_key(key: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|k| k.key() == key)
    }

    /// The kind in words, as offered in a form.
    pub fn word(self) -> &'static str {
        match self {
            Kind::BonnetShunter => "shunter, bonnet in front",
            Kind::BonnetAndCab => "short bonnet, cab, long bonnet",
            Kind::CentreCab => "centre cab",
            Kind::BoxBody => "box body, two cabs",
            Kind::Railcar => "railcar",
            Kind::SideTankEngine => "side tank engine",
            Kind::SaddleOrPlainTank => "tank engine, saddle or plain",
            Kind::TenderEngine => "tender engine",
            Kind::Tram => "tram",
            Kind::Generic => "other",
        }
    }

    /// Length over buffers when nobody has measured it, in metres of the prototype.
    /// Common practice, no source.
    pub fn default_length_m(self) -> f64 {
        match self {
            Kind::BonnetShunter => 9.4,
            Kind::BonnetAndCab => 14.2,
            Kind::CentreCab => 11.5,
            Kind::BoxBody => 16.5,
            Kind::Railcar => 14.0,
            Kind::SideTankEngine => 10.6,
            Kind::SaddleOrPlainTank => 7.8,
            Kind::TenderEngine => 18.0,
            Kind::Tram => 9.6,
            Kind::Generic => 12.0,
        }
    }

    /// The wheels when nobody has written them, as [`arrangement::parse`] reads them.
    pub fn default_wheels(self) -> &'static str {
        match self {
            Kind::BonnetShunter | Kind::SideTankEngine => "0-6-0",
            Kind::SaddleOrPlainTank => "0-4-0",
            Kind::TenderEngine => "2-6-0",
            Kind::BonnetAndCab | Kind::CentreCab | Kind::BoxBody | Kind::Generic => "Bo-Bo",
            Kind::Railcar | Kind::Tram => "2-axle",
        }
    }
}

/// What is known of a model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Model<'a> {
    /// Its kind.
    pub kind: Kind,
    /// Length over buffers in mm of the model, if known; taken as unknown outside 5 to 2000 mm.
    pub length_mm: Option<f64>,
    /// The scale as its ratio: 87 for 1:87. Outside 5 to 500 it counts as 87.
    pub scale: f64,
    /// Wheel arrangement as written: `0-6-0`, `Bo-Bo`. Unreadable: the kind's own, dashed.
    pub wheels: &'a str,
}

/// A drawn side elevation.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The drawing, `<svg class="ol loco">`, hidden from readers of text.
    pub svg: String,
    /// Length over buffers as drawn, mm of the model.
    pub length_mm: f64,
    /// Height above the rail as drawn, mm of the model.
    pub height_mm: f64,
    /// The length is a guess by the kind; the body is dashed.
    pub assumed_length: bool,
    /// The wheels are a guess by the kind; they are dashed.
    pub assumed_wheels: bool,
    /// The drawing in words.
    pub words: String,
}

/// One shape of a body: path data in mm, the classes of its pen, and whether it is part of the
/// silhouette.
struct Shape {
    path: Path,
    class: &'static str,
    solid: bool,
}

/// A drawing board in metres of the prototype, y up from the rail, that keeps shapes in mm.
struct Board {
    /// Millimetres of the model for one metre of the prototype.
    k: f64,
    shapes: Vec<Shape>,
}

impl Board {
    fn new(k: f64) -> Self {
        Board { k, shapes: Vec::new() }
    }

    /// A path that begins at a point in metres.
    fn from(&self, x: f64, y: f64) -> Pencil {
        Pencil { k: self.k, path: Path::new().m(x * self.k, -y * self.k) }
    }

    fn put(&mut self, class: &'static str, pencil: Pencil) {
        let solid = class.is_empty();
        self.shapes.push(Shape { path: pencil.path, class, solid });
    }

    /// A box from `(x1, y1)` to `(x2, y2)` in metres.
    fn rect(&mut self, class: &'static str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) {
        let pencil = self.from(x1, y1).to(x1, y2).to(x2, y2).to(x2, y1).close();
        self.put(class, pencil);
    }

    /// A straight stroke in metres.
    fn stroke(&mut self, class: &'static str, a: (f64, f64), b: (f64, f64)) {
        let pencil = self.from(a.0, a.1).to(b.0, b.1);
        let solid = false;
        self.shapes.push(Shape { path: pencil.path, class, solid });
    }

    /// Upright strokes at equal distances between `x1` and `x2`, both included.
    fn louvres(&mut self, (x1, x2): (f64, f64), (y1, y2): (f64, f64), count: u32) {
        for i in 0..count {
            let part = f64::from(i) / f64::from(count.max(2) - 1);
            let x = x1 + (x2 - x1) * part;
            self.stroke("t", (x, y1), (x, y2));
        }
    }

    /// Height of the highest point, mm.
    fn top(&self) -> f64 {
        let ys = self.shapes.iter().flat_map(|s| heights(s.path.data()));
        ys.fold(0.0, f64::max)
    }
}

/// A path under way, in metres.
struct Pencil {
    k: f64,
    path: Path,
}

impl Pencil {
    fn to(mut self, x: f64, y: f64) -> Self {
        self.path = self.path.l(x * self.k, -y * self.k);
        self
    }

    fn bend(mut self, (cx, cy): (f64, f64), (x, y): (f64, f64)) -> Self {
        self.path = self.path.q(cx * self.k, -cy * self.k, x * self.k, -y * self.k);
        self
    }

    fn close(mut self) -> Self {
        self.path = self.path.z();
        self
    }
}

/// Heights above the rail of the points of a path.
fn heights(data: &str) -> Vec<f64> {
    let numbers = data.split(|c: char| c.is_ascii_alphabetic() || c == ' ');
    let numbers: Vec<f64> = numbers.filter_map(|t| t.parse().ok()).collect();
    numbers.chunks(2).filter_map(|p| p.get(1)).map(|y| -y).collect()
}

/// Everything a body needs to be laid out, in metres of the prototype.
struct Plan {
    /// Length over buffers.
    length: f64,
    /// How tall against a full-size engine of this kind, 0.6 to 1.1.
    tall: f64,
}

/// A model laid out and ready to be drawn.
struct Laid {
    board: Board,
    gear: Gear,
    length_mm: f64,
    assumed_length: bool,
    assumed_wheels: bool,
}

fn ratio(scale: f64) -> f64 {
    if (5.0..=500.0).contains(&scale) { scale } else { 87.0 }
}

/// Length over buffers as it will be drawn, mm of the model: the measured one, else the kind's own.
pub fn drawn_length_mm(model: &Model<'_>) -> f64 {
    known_length(model).unwrap_or(model.kind.default_length_m() * 1000.0 / ratio(model.scale))
}

fn known_length(model: &Model<'_>) -> Option<f64> {
    model.length_mm.filter(|l| (5.0..=2000.0).contains(l))
}

/// Pixels per millimetre at which every given length fits into `room_px`, at most 1.28, at least
/// 0.2. Lengths are mm of the model.
pub fn one_scale(lengths_mm: &[f64], room_px: f64) -> f64 {
    let longest = lengths_mm.iter().copied().filter(|l| l.is_finite()).fold(0.0, f64::max);
    let fit = room_px / (longest + 2.0);
    if fit.is_finite() { fit.clamp(0.2, 1.28) } else { 1.28 }
}

/// The wheels as written, or the kind's own when they cannot be read or do not suit a drawing.
fn wheels_of(model: &Model<'_>) -> (Arrangement, bool) {
    match arrangement::parse(model.wheels) {
        Ok(read) => (read, false),
        Err(_) => match arrangement::parse(model.kind.default_wheels()) {
            Ok(own) => (own, true),
            Err(_) => (Arrangement { vehicles: Vec::new() }, true),
        },
    }
}

fn lay_out(model: &Model<'_>) -> Laid {
    let k = 1000.0 / ratio(model.scale);
    let length_mm = drawn_length_mm(model);
    let (wheels, assumed_wheels) = wheels_of(model);
    let length = length_mm / k;
    let tall = (0.62 + 0.38 * length / model.kind.default_length_m()).clamp(0.6, 1.08);
    let plan = Plan { length, tall };
    let mut board = Board::new(k);
    let gear = match model.kind {
        Kind::BonnetShunter => body::bonnet_shunter(&mut board, &plan, &wheels),
        Kind::BonnetAndCab => body::bonnet_and_cab(&mut board, &plan, &wheels),
        Kind::CentreCab => body::centre_cab(&mut board, &plan, &wheels),
        Kind::BoxBody => body::box_body(&mut board, &plan, &wheels),
        Kind::Railcar => body::railcar(&mut board, &plan, &wheels),
        Kind::SideTankEngine => steam::side_tank(&mut board, &plan, &wheels),
        Kind::SaddleOrPlainTank => steam::saddle_tank(&mut board, &plan, &wheels),
        Kind::TenderEngine => steam::tender_engine(&mut board, &plan, &wheels),
        Kind::Tram => body::tram(&mut board, &plan, &wheels),
        Kind::Generic => body::generic(&mut board, &plan, &wheels),
    };
    let assumed_length = known_length(model).is_none();
    Laid { board, gear, length_mm, assumed_length, assumed_wheels }
}

/// The side elevation at `px_per_mm` pixels for a millimetre of the model (0.05 to 20).
/// A guessed length draws the body dashed, guessed wheels are dashed.
pub fn side(model: &Model<'_>, px_per_mm: f64) -> Drawn {
    let laid = lay_out(model);
    let px = if px_per_mm.is_finite() { px_per_mm.clamp(0.05, 20.0) } else { 1.0 };
    let top = laid.board.top().max(laid.gear.top() * laid.board.k);
    let (wide, high) = (laid.length_mm + 2.0, top + 1.8);
    let root = El::new("svg")
        .class("ol loco")
        .num("width", (wide * px).round())
        .num("height", (high * px).round())
        .attr("viewBox", &view_box((-1.0, -(top + 1.4)), (wide, high)))
        .attr("aria-hidden", "true");
    let body_class = if laid.assumed_length { "guess" } else { "" };
    let wheel_class = if laid.assumed_wheels { "guess" } else { "" };
    let shapes: Vec<El> = laid.board.shapes.iter().map(|s| s.path.el(s.class)).collect();
    let body = El::new("g").class(body_class).children(&shapes);
    let wheels = El::new("g").class(wheel_class).children(&running_gear(&laid));
    let (first, second) = if laid.gear.behind { (&wheels, &body) } else { (&body, &wheels) };
    let svg = root.child(first).child(second).render();
    Drawn {
        svg,
        length_mm: laid.length_mm,
        height_mm: top,
        assumed_length: laid.assumed_length,
        assumed_wheels: laid.assumed_wheels,
        words: words(model, &laid),
    }
}

/// The silhouette of a model for the place where it stands on the line. It has no size of its own
/// and stands on the bottom of its box.
pub fn here(model: &Model<'_>) -> String {
    let laid = lay_out(model);
    let top = laid.board.top().max(laid.gear.top() * laid.board.k);
    let root = El::new("svg")
        .class("here-ol")
        .attr("viewBox", &view_box((0.0, -top - 0.5), (laid.length_mm, top + 0.5)))
        .attr("preserveAspectRatio", "xMidYMax")
        .attr("aria-hidden", "true");
    let solid = laid.board.shapes.iter().filter(|s| s.solid);
    let body: Vec<El> = solid.map(|s| s.path.el("hb")).collect();
    let k = laid.board.k;
    let wheel = |w: &Wheel| circle("hw", (w.x * k, -w.r * k), w.r * k);
    let wheels: Vec<El> = laid.gear.wheels.iter().map(wheel).collect();
    root.children(&body).children(&wheels).render()
}

fn view_box((x, y): (f64, f64), (w, h): (f64, f64)) -> String {
    let n = super::svg::num;
    format!("{} {} {} {}", n(x), n(y), n(w), n(h))
}

/// Wheels with their hubs, rods over them, bogie frames.
fn running_gear(laid: &Laid) -> Vec<El> {
    let k = laid.board.k;
    let mut out: Vec<El> = Vec::new();
    for (a, b) in &laid.gear.frames {
        out.push(Path::new().m(a.0 * k, -a.1 * k).l(b.0 * k, -b.1 * k).el("t"));
    }
    for w in &laid.gear.wheels {
        out.push(circle("", (w.x * k, -w.r * k), w.r * k));
        out.push(circle("t", (w.x * k, -w.r * k), w.r * k * 0.22));
    }
    for (a, b) in &laid.gear.rods {
        out.push(Path::new().m(a.0 * k, -a.1 * k).l(b.0 * k, -b.1 * k).el("t"));
    }
    out
}

fn words(model: &Model<'_>, laid: &Laid) -> String {
    let mm = crate::units::millimetres(laid.length_mm);
    let guess = if laid.assumed_length { ", length not measured" } else { "" };
    let wheels = if laid.assumed_wheels {
        "wheels not written".to_owned()
    } else {
        model.wheels.trim().to_owned()
    };
    format!("Side view, {}, {wheels}, {mm} over buffers{guess}.", model.kind.word())
}

#[cfg(test)]
mod tests;
