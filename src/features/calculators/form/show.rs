//! The rows of a form, ready to show.

use super::shape::{Place, Shape, Variant};
use super::{MOST_ROWS, SPARE, filled, touched};
use crate::units::Dimension;
use crate::web::Fields;
use serde_json::Value;

/// One row of the form, ready to show.
#[derive(Debug, Clone)]
pub enum Row {
    /// A group begins.
    Open {
        /// Dotted path of the group.
        name: String,
        /// Heading.
        label: String,
        /// One line of help.
        help: String,
        /// Folded away until wanted.
        folded: bool,
    },
    /// A group ends.
    Close,
    /// A line to write on.
    Line(Field),
    /// Many lines to write on.
    Long(Field),
    /// A tick.
    Tick(Field),
    /// A closed list.
    Choice(Field, Vec<(String, String)>),
    /// JSON by hand.
    Json(Field),
}

/// A field of the form.
#[derive(Debug, Clone)]
pub struct Field {
    /// Dotted path: `loads.0.amps_a`.
    pub name: String,
    /// Label.
    pub label: String,
    /// Help.
    pub help: String,
    /// Unit at the right; empty for none.
    pub unit: &'static str,
}

/// Unit shown at the right of a field, from its name's ending.
fn unit(name: &str) -> &'static str {
    Dimension::of_field(name).map_or("", Dimension::unit)
}

/// The rows of one place.
pub(super) fn show(place: &Place, path: &str, form: &Fields, out: &mut Vec<Row>) {
    let field = || Field {
        name: path.to_owned(),
        label: if place.required {
            format!("{}, needed", place.label)
        } else {
            place.label.clone()
        },
        help: place.help.clone(),
        unit: unit(&place.name),
    };
    match &place.shape {
        Shape::Number { .. } | Shape::Text => out.push(Row::Line(field())),
        Shape::Long => out.push(Row::Long(field())),
        Shape::Tick => out.push(Row::Tick(Field { label: place.label.clone(), ..field() })),
        Shape::YesNo => {
            let options = ["yes", "no"].map(|w| (w.to_owned(), w.to_owned())).to_vec();
            out.push(Row::Choice(field(), options));
        }
        Shape::Choice(options) => out.push(Row::Choice(field(), options.clone())),
        Shape::Json => out.push(Row::Json(field())),
        Shape::OneOf(variants) => one_of(field(), variants, form, out),
        Shape::Object(places) => {
            let row = place.name.parse::<usize>().is_ok();
            let folded = !place.required && !row && !touched(path, form);
            let (name, label, help) = (path.to_owned(), place.label.clone(), place.help.clone());
            out.push(Row::Open { name, label, help, folded });
            for inner in places {
                show(inner, &format!("{path}.{}", inner.name), form, out);
            }
            out.push(Row::Close);
        }
        Shape::List(item) => list(place, (item, path), form, out),
    }
}

/// The filled rows of a list and some spare ones; those folded away once others are filled.
fn list(place: &Place, (item, path): (&Shape, &str), form: &Fields, out: &mut Vec<Row>) {
    let filled = filled(path, form);
    for n in 0..(filled + SPARE).min(MOST_ROWS) {
        let one = Place {
            name: n.to_string(),
            label: format!("{} {}", place.label, n + 1),
            help: if n == 0 { place.help.clone() } else { String::new() },
            required: false,
            default: Value::Null,
            shape: item.clone(),
        };
        let at = out.len();
        show(&one, &format!("{path}.{n}"), form, out);
        if let Some(Row::Open { folded, .. }) = out.get_mut(at) {
            *folded = n >= filled && n > 0;
        }
    }
}

/// A list of words, and a group for each word that has fields.
fn one_of(field: Field, variants: &[Variant], form: &Fields, out: &mut Vec<Row>) {
    let path = field.name.clone();
    let options = variants.iter().map(|v| (v.word.clone(), v.word.replace('_', " "))).collect();
    out.push(Row::Choice(field, options));
    for v in variants {
        let Some(shape) = &v.shape else { continue };
        let name = format!("{path}.{}", v.word);
        let chosen = form.is(&path, &v.word);
        let label = v.word.replace('_', " ");
        let (help, folded) = (v.help.clone(), !chosen && !touched(&name, form));
        if let Shape::Object(places) = shape {
            out.push(Row::Open { name: name.clone(), label, help, folded });
            for inner in places {
                show(inner, &format!("{name}.{}", inner.name), form, out);
            }
            out.push(Row::Close);
        } else {
            let (label, help) = (crate::features::readings::words::capital(&label), v.help.clone());
            let (required, default) = (false, Value::Null);
            let word = v.word.clone();
            let one = Place { name: word, label, help, required, default, shape: shape.clone() };
            show(&one, &name, form, out);
        }
    }
}
