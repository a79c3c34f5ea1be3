//! What was typed about an instrument, checked.

use super::model::{Draft, Instrument, Kind, Measures, Range};
use crate::choice::Choice;
use crate::db::RangeId;
use crate::units::{Accuracy, Dimension, Wanted, exact};
use crate::web::Fields;

/// Rows of ranges on the form.
pub const ROWS: usize = 8;

/// Greatest end of a range, by quantity: in the kept unit.
fn reach(m: Measures) -> f64 {
    match m {
        Measures::Current => 100.0,
        Measures::Voltage | Measures::Temperature => 2000.0,
        Measures::Resistance => 1e9,
        Measures::Length => 3000.0,
        Measures::Mass => 50_000.0,
    }
}

/// Reads the form. A row without a quantity is left out.
pub fn read(form: &mut Fields) -> Option<(Draft, Vec<Range>)> {
    let name = form.text("name", 60);
    let kind = form.choice::<Kind>("kind");
    let fuse = form.optional_text("fuse", 60);
    let remark = form.optional_text("remark", 500);
    let mut ranges: Vec<Range> = Vec::new();
    for row in 1..=ROWS {
        let Some(range) = read_range(form, row) else { continue };
        let same = |r: &Range| {
            r.measures == range.measures && (r.up_to - range.up_to).abs() <= 1e-9 * range.up_to
        };
        if ranges.iter().any(same) {
            form.refuse(
                &format!("up_to-{row}"),
                "There is a range of that quantity with that end already.",
            );
        }
        ranges.push(range);
    }
    if form.any_wrong() {
        return None;
    }
    Some((Draft { name, kind: kind?, fuse, remark }, ranges))
}

fn read_range(form: &mut Fields, row: usize) -> Option<Range> {
    let field = |name: &str| format!("{name}-{row}");
    let rest = ["up_to", "percent", "digits", "step"].map(field);
    let measures = form.optional_choice::<Measures>(&field("measures"));
    let Some(measures) = measures else {
        if rest.iter().any(|n| !form.value(n).trim().is_empty()) {
            form.refuse(&field("measures"), "Choose what this range measures, or empty the row.");
        }
        return None;
    };
    let dimension = measures.dimension();
    let bare = dimension.unit();
    let most = reach(measures);
    let number = |most: f64| Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most };
    let up_to = form.quantity(&field("up_to"), &Wanted { dimension, bare, least: 1e-9, most });
    let percent = form.quantity(&field("percent"), &number(50.0));
    let digits = form.quantity(&field("digits"), &number(100.0));
    let step = form.quantity(&field("step"), &Wanted { dimension, bare, least: 1e-9, most });
    let jack = form.optional_text(&field("jack"), 40);
    let accuracy =
        Accuracy { percent: percent?.value, digits: digits?.value, resolution: step?.value };
    Some(Range { id: RangeId::new(), measures, up_to: up_to?.value, accuracy, jack })
}

/// The form filled in from an instrument.
pub fn fill(i: &Instrument) -> Fields {
    let mut form = Fields::with([
        ("name", i.draft.name.clone()),
        ("kind", i.draft.kind.code().to_owned()),
        ("fuse", i.draft.fuse.clone()),
        ("remark", i.draft.remark.clone()),
        ("version", i.version.to_string()),
    ]);
    for (row, r) in i.ranges.iter().enumerate().map(|(n, r)| (n + 1, r)) {
        form.set(&format!("measures-{row}"), r.measures.code());
        form.set(&format!("up_to-{row}"), exact(r.up_to));
        form.set(&format!("percent-{row}"), exact(r.accuracy.percent));
        form.set(&format!("digits-{row}"), exact(r.accuracy.digits));
        form.set(&format!("step-{row}"), exact(r.accuracy.resolution));
        form.set(&format!("jack-{row}"), r.jack.clone());
    }
    form
}
