//! What was typed about a datum, checked.

use super::model::{Datum, Draft};
use crate::calc::datum::{End, From, What};
use crate::db::InstrumentId;
use crate::features::conversions::model::to_thousandths;
use crate::features::instruments::model::Instrument;
use crate::units::{Accuracy, Dimension, Wanted};
use crate::web::form::{Typed, new_token};
use crate::web::{App, Fields, when};

const HEIGHT: Wanted =
    Wanted { dimension: Dimension::Length, bare: "mm", least: 0.0, most: 3000.0 };
const PLACE: Wanted =
    Wanted { dimension: Dimension::Length, bare: "mm", least: -3000.0, most: 3000.0 };
const TOLERANCE: Wanted =
    Wanted { dimension: Dimension::Length, bare: "mm", least: 0.01, most: 10.0 };

/// One of a closed list, or a sentence at the field.
fn listed<T>(form: &mut Fields, field: &str, find: fn(&str) -> Option<T>, what: &str) -> Option<T> {
    let code = form.one(field).trim().to_owned();
    let found = find(&code);
    if found.is_none() {
        form.refuse(field, format!("Choose {what} from the list."));
    }
    found
}

/// Reads the form. `before`: the datum that a measure after cutting repeats; it says what, which end and
/// from where.
pub fn read(
    form: &mut Fields,
    app: &App,
    instruments: &[Instrument],
    before: Option<&Datum>,
) -> Option<Draft> {
    let told = match before {
        Some(b) => Some((b.draft.what, b.draft.end, b.draft.from)),
        None => told(form),
    };
    let name = match before {
        Some(b) => b.draft.name.clone(),
        None => form.optional_text("name", 80),
    };
    if let Some((what, ..)) = told
        && name.is_empty()
        && matches!(what, What::ScrewPlace | What::Other)
    {
        form.refuse("name", "Give it a name, so that you find it again: screw under the cab.");
    }
    let after = match before {
        Some(_) => true,
        None => match form.one("cut").as_str() {
            "" | "before" => false,
            "after" => true,
            _ => {
                form.refuse("cut", "Choose before or after cutting.");
                false
            }
        },
    };
    let values = told.map(|(what, ..)| lengths(form, what)).unwrap_or_default();
    let tolerance = match before {
        Some(_) => None,
        None => form.optional_quantity("tolerance", &TOLERANCE),
    };
    let meter = chosen(form, instruments);
    let remark = form.optional_text("remark", 500);
    let taken_at = form.moment("taken", app);
    let (what, end, from) = told?;
    if form.any_wrong() || values.is_empty() {
        return None;
    }
    Some(Draft {
        what,
        name,
        end: if what.has_ends() { end } else { End::Neither },
        from,
        after,
        before_id: before.map(|b| b.id),
        um: values.iter().map(|t| to_thousandths(t.value)).collect(),
        accuracy: meter.and_then(|m| accuracy(m, &values)),
        typed: values.into_iter().map(|t| t.typed).collect(),
        tolerance_um: tolerance.map(|t| to_thousandths(t.value)),
        instrument_id: meter.map(|m| m.id),
        remark,
        taken_at,
    })
}

/// What, which end, from where.
fn told(form: &mut Fields) -> Option<(What, End, From)> {
    let what = listed(form, "what", What::from_key, "what was measured");
    let end = listed(form, "end", End::from_key, "the end, or neither");
    let from = listed(form, "from", From::from_key, "from where it was measured");
    let (what, end, from) = (what?, end?, from?);
    if what.has_ends() && end == End::Neither {
        form.refuse("end", format!("The {} is one at each end. Choose which.", what.word()));
    }
    Some((what, end, from))
}

/// One length, or x, y and z of a place; empty where one was refused.
fn lengths(form: &mut Fields, what: What) -> Vec<Typed> {
    if !what.is_place() {
        return form.quantity("value", &HEIGHT).into_iter().collect();
    }
    let axes = ["value", "y", "z"].map(|field| form.quantity(field, &PLACE));
    let whole: Option<Vec<Typed>> = axes.into_iter().collect();
    whole.unwrap_or_default()
}

/// The instrument of a form; an id that is no instrument here is refused.
fn chosen<'a>(form: &mut Fields, all: &'a [Instrument]) -> Option<&'a Instrument> {
    let id = form.optional_id::<InstrumentId>("instrument")?;
    let found = all.iter().find(|i| i.id == id);
    if found.is_none() {
        form.refuse("instrument", "There is no such instrument here. Choose one from the list.");
    }
    found
}

/// The instrument's accuracy at the longest of the lengths.
fn accuracy(meter: &Instrument, values: &[Typed]) -> Option<Accuracy> {
    let longest = values.iter().map(|t| t.value.abs()).fold(0.0, f64::max);
    meter.accuracy(Dimension::Length, longest)
}

/// A fresh form. `cut`: the frame was cut already, so that a new one is from after it.
pub fn fresh(app: &App, cut: bool) -> Fields {
    Fields::with([
        ("token", new_token()),
        ("what", What::CouplerHeight.key().to_owned()),
        ("end", End::Front.key().to_owned()),
        ("from", From::RailTop.key().to_owned()),
        ("cut", if cut { "after" } else { "before" }.to_owned()),
        ("taken", when::field_value(app.now(), app.offset)),
    ])
}

/// The form of one that is to be measured again.
pub fn again(app: &App, before: &Datum) -> Fields {
    let mut form = fill(app, before);
    for field in ["value", "y", "z", "remark"] {
        form.set(field, "");
    }
    form.set("again", before.no.to_string());
    form.set("token", new_token());
    form.set("taken", when::field_value(app.now(), app.offset));
    form
}

/// The form filled in from a datum.
pub fn fill(app: &App, d: &Datum) -> Fields {
    let typed = |i: usize| d.draft.typed.get(i).cloned().unwrap_or_default();
    Fields::with([
        ("what", d.draft.what.key().to_owned()),
        ("name", d.draft.name.clone()),
        ("end", d.draft.end.key().to_owned()),
        ("from", d.draft.from.key().to_owned()),
        ("cut", if d.draft.after { "after" } else { "before" }.to_owned()),
        ("value", typed(0)),
        ("y", typed(1)),
        ("z", typed(2)),
        (
            "tolerance",
            d.draft
                .tolerance_um
                .map(|um| crate::units::exact(crate::features::conversions::model::um_to_mm(um)))
                .unwrap_or_default(),
        ),
        ("instrument", d.draft.instrument_id.map(|i| i.to_string()).unwrap_or_default()),
        ("remark", d.draft.remark.clone()),
        ("taken", when::field_value(d.draft.taken_at, app.offset)),
        ("version", d.version.to_string()),
    ])
}
