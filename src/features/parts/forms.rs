//! What was typed about a part, checked.

use super::model::{Draft, Kind, Part, Rating, Size, State, Supplier, SupplierDraft};
use crate::choice::Choice;
use crate::db::{Millis, PartId, PartRatingId, SupplierId};
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::features::decoders::model::Basis;
use crate::features::snags::model::GateName;
use crate::units::{Dimension, Wanted, exact};
use crate::web::{App, Fields, when};

/// Rows of ratings on the form.
pub const ROWS: usize = 5;

const SIDE: Wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 0.01, most: 3000.0 };
const MASS: Wanted = Wanted { dimension: Dimension::Mass, bare: "g", least: 0.001, most: 50_000.0 };
const MONEY: Wanted =
    Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 10_000_000.0 };
const RATING: Wanted = Wanted { dimension: Dimension::Number, bare: "", least: -1e12, most: 1e12 };
/// 1 Jan 1950 and 1 Jan 2100, ms.
const CALENDAR: std::ops::Range<Millis> = -631_152_000_000..4_102_444_800_000;

/// Reads the form of a part. `None` when a field was refused; the reasons are in `form`.
pub fn read(form: &mut Fields, app: &App) -> Option<Draft> {
    let name = form.text("name", 120);
    let kind = form.choice::<Kind>("kind");
    let quantity = form.whole("quantity", 1, 999);
    let supplier_id = form.optional_id::<SupplierId>("supplier");
    let instead_of = form.optional_id::<PartId>("instead_of");
    let blocks = form.optional_choice::<GateName>("blocks");
    let promised_at = day(form, "promised", app);
    let (price_cents, postage_cents, currency) = read_money(form);
    let size = read_size(form);
    let mass_mg = form.optional_quantity("mass", &MASS).map(|t| to_thousandths(t.value));
    let mass_basis = basis(form, "mass_basis", mass_mg.is_some());
    let ratings = (1..=ROWS).filter_map(|row| read_rating(form, row)).collect();
    let remark = form.optional_text("remark", 2000);
    if form.any_wrong() {
        return None;
    }
    Some(Draft {
        name,
        kind: kind?,
        quantity: quantity?,
        supplier_id,
        instead_of,
        blocks,
        promised_at,
        price_cents,
        postage_cents,
        currency,
        size,
        mass_mg,
        mass_basis,
        ratings,
        remark,
    })
}

/// Where a value comes from; asked for only where there is one.
fn basis(form: &mut Fields, name: &str, there: bool) -> Option<Basis> {
    if there { form.choice::<Basis>(name) } else { None }
}

fn read_size(form: &mut Fields) -> Size {
    let mut side =
        |name: &str| form.optional_quantity(name, &SIDE).map(|t| to_thousandths(t.value));
    let (length_um, width_um) = (side("length"), side("width"));
    let (height_um, diameter_um) = (side("height"), side("diameter"));
    if diameter_um.is_some() && (width_um.is_some() || height_um.is_some()) {
        form.refuse("diameter", "A round part has a diameter and a length. Leave width and height empty, or the diameter.");
    }
    let any = [length_um, width_um, height_um, diameter_um].iter().any(Option::is_some);
    let size_basis = basis(form, "size_basis", any);
    Size { length_um, width_um, height_um, diameter_um, size_basis }
}

/// Price and postage in hundredths, with their currency.
fn read_money(form: &mut Fields) -> (Option<i64>, Option<i64>, String) {
    let mut cents =
        |name: &str| form.optional_quantity(name, &MONEY).map(|t| to_thousandths(t.value / 10.0));
    let (price, postage) = (cents("price"), cents("postage"));
    let currency = form.optional_text("currency", 3).to_uppercase();
    let three = currency.len() == 3 && currency.chars().all(|c| c.is_ascii_uppercase());
    if !currency.is_empty() && !three {
        form.refuse("currency", "Write the currency as its three letters, such as EUR or GBP.");
    }
    if currency.is_empty() && (price.is_some() || postage.is_some()) {
        form.refuse("currency", "Write the currency of the price, such as EUR or GBP.");
    }
    (price, postage, currency)
}

fn read_rating(form: &mut Fields, row: usize) -> Option<Rating> {
    let field = |name: &str| format!("{name}-{row}");
    let name = form.optional_text(&field("rating"), 60);
    let unit = form.optional_text(&field("unit"), 12);
    if name.is_empty() {
        if !form.value(&field("value")).trim().is_empty() || !unit.is_empty() {
            form.refuse(&field("rating"), "Write what is rated, or empty the row.");
        }
        return None;
    }
    let value = form.quantity(&field("value"), &RATING);
    let basis = form.choice::<Basis>(&field("from"));
    let value = value?;
    Some(Rating {
        id: PartRatingId::new(),
        name,
        value: value.value,
        typed: value.typed,
        unit,
        basis: basis?,
    })
}

/// A day, past or to come; empty: none. 1950 to 2100.
fn day(form: &mut Fields, name: &str, app: &App) -> Option<Millis> {
    let typed = form.one(name).trim().to_owned();
    if typed.is_empty() {
        return None;
    }
    let at = when::parse(&typed, app.offset).filter(|at| CALENDAR.contains(at));
    if at.is_none() {
        form.refuse(name, no_such_day(&typed));
    }
    at
}

/// What is wrong with a day that does not exist.
fn no_such_day(typed: &str) -> String {
    const MONTHS: [(&str, u8); 12] = [
        ("January", 31),
        ("February", 28),
        ("March", 31),
        ("April", 30),
        ("May", 31),
        ("June", 30),
        ("July", 31),
        ("August", 31),
        ("September", 30),
        ("October", 31),
        ("November", 30),
        ("December", 31),
    ];
    let parts: Vec<Option<u32>> = typed.splitn(3, '-').map(|p| p.trim().parse().ok()).collect();
    if let [Some(_), Some(month), Some(_)] = parts[..]
        && let Some((name, days)) = month.checked_sub(1).and_then(|m| MONTHS.get(m as usize))
    {
        let days = if *name == "February" {
            "28 days, 29 in a leap year"
        } else {
            &format!("{days} days")
        };
        return format!("{name} has {days}. Write the day as 2026-11-25.");
    }
    let short: String = typed.chars().filter(|c| !c.is_control()).take(40).collect();
    format!("“{short}” is no day that is kept here. Write it as 2026-11-25.")
}

/// A day that has come, as a moment: today means now. `None`: the field is empty.
fn past_day(form: &mut Fields, name: &str, app: &App) -> Option<Millis> {
    let at = day(form, name, app)?;
    let now = app.now();
    if same_day(at, now, app) {
        return Some(now);
    }
    if at > now {
        form.refuse(name, "This day is still to come. Write the day it was.");
    }
    Some(at)
}

/// Whether two moments lie on one calendar day.
pub fn same_day(a: Millis, b: Millis, app: &App) -> bool {
    when::local(a, app.offset).date() == when::local(b, app.offset).date()
}

/// The day of a step: empty means now.
pub fn step_day(form: &mut Fields, app: &App) -> Millis {
    past_day(form, "at", app).unwrap_or_else(|| app.now())
}

/// Reads the steps a new part took so far: its state now, and the days it was ordered, shipped and
/// arrived, as far as they are known.
pub fn read_steps(form: &mut Fields, app: &App) -> Option<Vec<(State, Millis)>> {
    let state = form.choice::<State>("state");
    let mut steps: Vec<(State, Millis)> = Vec::new();
    let state = state?;
    let known = [State::Ordered, State::Shipped, State::Arrived];
    if !known.contains(&state) && !state.is_wanted() {
        form.refuse("state", "A part begins as wanted, tried in paper, ordered, shipped or arrived. Take it on from there on its own page.");
    }
    let reached = known.iter().position(|s| *s == state);
    for (i, step) in known.iter().enumerate() {
        let field = step.code();
        let Some(at) = past_day(form, field, app).or((reached == Some(i)).then(|| app.now()))
        else {
            continue;
        };
        if reached.is_none_or(|r| i > r) {
            form.refuse(
                field,
                format!(
                    "The part is {}. Choose a later state, or leave this day empty.",
                    state.label()
                ),
            );
        }
        match steps.last() {
            Some((before, last)) if at < *last && !same_day(at, *last, app) => form.refuse(
                field,
                format!("It can’t be {} before it was {}.", step.label(), before.label()),
            ),
            Some((_, last)) => steps.push((*step, at.max(*last))),
            None => steps.push((*step, at)),
        }
    }
    if state.is_wanted() {
        steps.push((state, app.now()));
    }
    if form.any_wrong() { None } else { Some(steps) }
}

/// Refuses a promised day before the order.
pub fn check_promised(
    form: &mut Fields,
    promised: Option<Millis>,
    ordered: Option<Millis>,
    app: &App,
) {
    if let (Some(promised), Some(ordered)) = (promised, ordered)
        && promised < ordered
        && !same_day(promised, ordered, app)
    {
        form.refuse("promised", "The promised day is before the order. Look at both again.");
    }
}

/// `2026-11-25`, as a day field holds it.
pub fn day_value(at: Option<Millis>, app: &App) -> String {
    at.map(|at| when::field_value(at, app.offset).chars().take(10).collect()).unwrap_or_default()
}

/// The form filled in from a part.
pub fn fill(p: &Part, app: &App) -> Fields {
    let d = &p.draft;
    let number = |v: Option<i64>| v.map(|v| exact(thousandths(v))).unwrap_or_default();
    let money = |v: Option<i64>| v.map(|v| exact(thousandths(v) * 10.0)).unwrap_or_default();
    let code = |b: Option<Basis>| b.map_or("", Choice::code).to_owned();
    let mut form = Fields::with([
        ("name", d.name.clone()),
        ("kind", d.kind.code().to_owned()),
        ("quantity", d.quantity.to_string()),
        ("supplier", d.supplier_id.map(|s| s.to_string()).unwrap_or_default()),
        ("instead_of", d.instead_of.map(|s| s.to_string()).unwrap_or_default()),
        ("blocks", d.blocks.map_or("", Choice::code).to_owned()),
        ("promised", day_value(d.promised_at, app)),
        ("price", money(d.price_cents)),
        ("postage", money(d.postage_cents)),
        ("currency", d.currency.clone()),
        ("length", number(d.size.length_um)),
        ("width", number(d.size.width_um)),
        ("height", number(d.size.height_um)),
        ("diameter", number(d.size.diameter_um)),
        ("size_basis", code(d.size.size_basis)),
        ("mass", number(d.mass_mg)),
        ("mass_basis", code(d.mass_basis)),
        ("remark", d.remark.clone()),
        ("version", p.version.to_string()),
    ]);
    for (r, row) in d.ratings.iter().zip(1..) {
        form.set(&format!("rating-{row}"), r.name.clone());
        form.set(&format!("value-{row}"), r.typed.clone());
        form.set(&format!("unit-{row}"), r.unit.clone());
        form.set(&format!("from-{row}"), r.basis.code());
    }
    form
}

/// Fields of the form with their labels, for showing what somebody else wrote.
pub const LABELS: &[(&str, &str)] = &[
    ("name", "Part"),
    ("kind", "Kind"),
    ("quantity", "How many"),
    ("supplier", "From"),
    ("instead_of", "Instead of"),
    ("blocks", "Holds up"),
    ("promised", "Promised for"),
    ("price", "Price"),
    ("postage", "Postage"),
    ("currency", "Currency"),
    ("length", "Length"),
    ("width", "Width"),
    ("height", "Height"),
    ("diameter", "Diameter"),
    ("size_basis", "Sizes from"),
    ("mass", "Mass"),
    ("mass_basis", "Mass from"),
    ("remark", "Remark"),
];

/// Reads the form of a supplier.
pub fn read_supplier(form: &mut Fields) -> Option<SupplierDraft> {
    let name = form.text("name", 80);
    let lane = form.optional_text("lane", 80);
    let remark = form.optional_text("remark", 500);
    if form.any_wrong() { None } else { Some(SupplierDraft { name, lane, remark }) }
}

/// The form filled in from a supplier.
pub fn fill_supplier(s: &Supplier) -> Fields {
    Fields::with([
        ("name", s.draft.name.clone()),
        ("lane", s.draft.lane.clone()),
        ("remark", s.draft.remark.clone()),
        ("version", s.version.to_string()),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_does_not_exist_is_told_by_its_month() {
        assert_eq!(no_such_day("2026-11-31"), "November has 30 days. Write the day as 2026-11-25.");
        assert!(no_such_day("2026-02-30").contains("29 in a leap year"));
        assert!(no_such_day("2026-13-01").starts_with("“2026-13-01” is no day"));
        assert!(no_such_day("soon").starts_with("“soon” is no day"));
    }
}
