//! What was typed about a decoder or a load, checked.

use super::model::{Basis, Decoder, DecoderDraft, Load, LoadDraft, LoadKind};
use crate::choice::Choice;
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::units::{Dimension, Wanted, exact};
use crate::web::Fields;

const RATING: Wanted =
    Wanted { dimension: Dimension::Current, bare: "A", least: 0.001, most: 50.0 };
const PEAK_S: Wanted = Wanted { dimension: Dimension::Time, bare: "s", least: 0.001, most: 600.0 };
const LOAD: Wanted =
    Wanted { dimension: Dimension::Current, bare: "mA", least: 0.000_001, most: 10.0 };

/// Reads the form of a decoder. At least one motor or total rating must be there.
pub fn read(form: &mut Fields) -> Option<DecoderDraft> {
    let name = form.text("name", 80);
    let mut rating =
        |field: &str| form.optional_quantity(field, &RATING).map(|t| to_thousandths(t.value));
    let motor_continuous_ma = rating("motor_continuous");
    let motor_peak_ma = rating("motor_peak");
    let total_continuous_ma = rating("total_continuous");
    let function_ma = rating("function");
    let motor_peak_ms =
        form.optional_quantity("motor_peak_s", &PEAK_S).map(|t| to_thousandths(t.value));
    let basis = form.choice::<Basis>("basis");
    let rated_for = form.optional_text("rated_for", 200);
    if motor_continuous_ma.is_none() && total_continuous_ma.is_none() && !form.any_wrong() {
        form.refuse("motor_continuous", "Write at least what the motor output or the whole decoder may carry for long: people compare held current with the wrong number when it is missing.");
    }
    if let (Some(c), Some(p)) = (motor_continuous_ma, motor_peak_ma)
        && p < c
    {
        form.refuse(
            "motor_peak",
            "The peak rating is below the continuous one. Look at the sheet again.",
        );
    }
    if form.any_wrong() {
        return None;
    }
    Some(DecoderDraft {
        name,
        motor_continuous_ma,
        motor_peak_ma,
        motor_peak_ms,
        total_continuous_ma,
        function_ma,
        basis: basis?,
        rated_for,
    })
}

/// The form filled in from a decoder.
pub fn fill(d: &Decoder) -> Fields {
    let amps = |ma: Option<i64>| ma.map(|v| exact(thousandths(v))).unwrap_or_default();
    let r = &d.draft;
    Fields::with([
        ("name", r.name.clone()),
        ("motor_continuous", amps(r.motor_continuous_ma)),
        ("motor_peak", amps(r.motor_peak_ma)),
        ("motor_peak_s", amps(r.motor_peak_ms)),
        ("total_continuous", amps(r.total_continuous_ma)),
        ("function", amps(r.function_ma)),
        ("basis", r.basis.code().to_owned()),
        ("rated_for", r.rated_for.clone()),
        ("version", d.version.to_string()),
    ])
}

/// Reads the form of a load.
pub fn read_load(form: &mut Fields) -> Option<LoadDraft> {
    let name = form.text("name", 80);
    let kind = form.choice::<LoadKind>("kind");
    let each = form.quantity("each", &LOAD);
    let count = form.whole("count", 1, 99);
    let output = form.optional_text("output", 40);
    let basis = form.choice::<Basis>("basis");
    if form.any_wrong() {
        return None;
    }
    let each = each?;
    Some(LoadDraft {
        name,
        kind: kind?,
        each_ua: to_thousandths(each.value * 1000.0),
        count: count?,
        output,
        typed: each.typed,
        basis: basis?,
    })
}

/// The form filled in from a load.
pub fn fill_load(l: &Load) -> Fields {
    let d = &l.draft;
    Fields::with([
        ("name", d.name.clone()),
        ("kind", d.kind.code().to_owned()),
        ("each", d.typed.clone()),
        ("count", d.count.to_string()),
        ("output", d.output.clone()),
        ("basis", d.basis.code().to_owned()),
        ("version", l.version.to_string()),
    ])
}
