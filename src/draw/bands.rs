//! A resistor with its colour bands, and the bands in words.

use super::plot::{Picture, Table};
use super::svg::{El, line};
use crate::calc::lights::bands::{Band, meanings, words};
use crate::calc::plot::Resistor;
use crate::units::{exact, ohms};

/// Width and height of the drawing, user units.
const WIDE: f64 = 240.0;
const HIGH: f64 = 64.0;
/// Where the body begins and ends.
const BODY: (f64, f64) = (44.0, 196.0);
/// Width of a band.
const BAND: f64 = 13.0;

/// The resistor as an answer's page shows it.
pub(super) fn picture(r: &Resistor) -> Picture {
    let bands = chosen(r);
    let value = format!("{}, ±\u{a0}{}\u{a0}%", ohms(r.ohm), exact(r.tolerance_percent));
    let rated = r.rating_w.map(|w| format!(", rated {}\u{a0}W or more", exact(w)));
    let said = if bands.is_empty() { "no colour bands".to_owned() } else { words(bands) };
    Picture {
        title: r.title.clone(),
        svg: svg(bands, &format!("Resistor, {value}: {said}")),
        words: format!("{value}{}: {said}.", rated.unwrap_or_default()),
        lanes: Vec::new(),
        key: Vec::new(),
        tables: vec![table(r)],
    }
}

/// The bands drawn: four where the value has two digits, else five.
fn chosen(r: &Resistor) -> &[Band] {
    if r.marks.four.is_empty() { &r.marks.five } else { &r.marks.four }
}

/// A resistor with its bands, the tolerance band set apart at the right end. `name` is read out in
/// its place.
pub fn svg(bands: &[Band], name: &str) -> String {
    let root = El::new("svg")
        .class("resistor")
        .attr("viewBox", &format!("0 0 {WIDE} {HIGH}"))
        .attr("role", "img")
        .attr("aria-label", name);
    let middle = HIGH / 2.0;
    let body = El::new("rect").class("rbody").num("x", BODY.0).num("y", 12.0).num("rx", 12.0);
    let mut parts = vec![
        line("lead", (2.0, middle), (BODY.0, middle)),
        line("lead", (BODY.1, middle), (WIDE - 2.0, middle)),
        body.num("width", BODY.1 - BODY.0).num("height", HIGH - 24.0),
    ];
    let last = bands.len().saturating_sub(1);
    for (i, band) in bands.iter().enumerate() {
        let place = f64::from(u32::try_from(i).unwrap_or(0));
        let x =
            if i == last && i > 2 { BODY.1 - 16.0 - BAND } else { BODY.0 + 16.0 + 24.0 * place };
        let class = format!("rband {}", band.colour.word());
        let rect = El::new("rect").class(&class).num("x", x).num("y", 12.0);
        parts.push(rect.num("width", BAND).num("height", HIGH - 24.0));
    }
    root.children(&parts).render()
}

/// Every mark of the value.
fn table(r: &Resistor) -> Table {
    let row = |name: &str, text: String, means: String| vec![name.to_owned(), text, means];
    let mut rows = Vec::new();
    if !r.marks.four.is_empty() {
        rows.push(row("Four bands", words(&r.marks.four), meanings(&r.marks.four)));
    }
    if !r.marks.five.is_empty() {
        rows.push(row("Five bands", words(&r.marks.five), meanings(&r.marks.five)));
    }
    rows.push(row("Letters", r.marks.letters.clone(), ohms(r.ohm)));
    rows.push(row("Chip", r.marks.chip.clone(), ohms(r.ohm)));
    Table {
        caption: "How it is marked".to_owned(),
        heads: ["Mark", "Reads", "Means"].map(str::to_owned).to_vec(),
        rows,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::lights::bands::marks;
    use crate::calc::lights::eseries::Preferred;
    use crate::draw::checks::{assert_inside, assert_sound};

    fn resistor(ohm: f64, tolerance: f64) -> Resistor {
        Resistor {
            title: "Resistor of headlamps".into(),
            ohm,
            tolerance_percent: tolerance,
            rating_w: Some(0.25),
            marks: marks(Preferred::of(ohm).unwrap(), tolerance),
        }
    }

    /// 4.7 kΩ ± 5 % is yellow, violet, red, gold (IEC 60062, from memory).
    #[test]
    fn a_resistor_shows_its_bands_in_order_and_in_words() {
        let p = picture(&resistor(4700.0, 5.0));
        assert_sound(&p.svg);
        assert_inside(&p.svg);
        let order = ["rband yellow", "rband violet", "rband red", "rband gold"];
        let at: Vec<usize> = order.iter().map(|c| p.svg.find(c).unwrap()).collect();
        assert!(at.windows(2).all(|w| w[0] < w[1]), "{}", p.svg);
        assert!(p.words.contains("yellow violet red gold"), "{}", p.words);
        assert_eq!(p.tables[0].rows[0][2].replace('\u{a0}', " "), "4 7 × 100 ± 5 %");
    }

    #[test]
    fn three_digits_take_five_bands_and_lie_inside() {
        let p = picture(&resistor(887.0, 1.0));
        assert_inside(&p.svg);
        assert_eq!(p.svg.matches("rband").count(), 5);
    }
}
