//! What was typed about a conversion, checked.

use super::model::{
    Body, Conversion, Draft, Drive, Frame, Motor, Outcome, Pickup, SCALES, Stage, scale,
    thousandths, to_thousandths,
};
use crate::choice::Choice;
use crate::db::PersonId;
use crate::draw::arrangement;
use crate::units::{Dimension, Wanted, exact};
use crate::web::{App, Fields, when};

const LENGTH: Wanted =
    Wanted { dimension: Dimension::Length, bare: "mm", least: 10.0, most: 3000.0 };
const GAUGE: Wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 1.0, most: 500.0 };
const TRACK: Wanted = Wanted { dimension: Dimension::Voltage, bare: "V", least: 5.0, most: 30.0 };
const RATIO: Wanted = Wanted { dimension: Dimension::Number, bare: "", least: 1.0, most: 1000.0 };
const MONEY: Wanted =
    Wanted { dimension: Dimension::Number, bare: "", least: 0.0, most: 10_000_000.0 };
const HOURS: Wanted =
    Wanted { dimension: Dimension::Time, bare: "h", least: 0.0, most: 36_000_000.0 };

/// Reads the form of a conversion. `None` when a field was refused; the reasons are in `form`.
pub fn read(form: &mut Fields, app: &App) -> Option<Draft> {
    let title = form.text("title", 120);
    let (scale, ratio, gauge_um) = read_scale(form);
    let wheels = read_wheels(form);
    let length_um = form.optional_quantity("length", &LENGTH).map(|t| to_thousandths(t.value));
    let (body, drive) = (form.choice::<Body>("body"), form.choice::<Drive>("drive"));
    let (motor, pickup) = (form.choice::<Motor>("motor"), form.choice::<Pickup>("pickup"));
    let frame = form.choice::<Frame>("frame");
    let (goal_sound, goal_lights, goal_store) =
        (form.tick("goal_sound"), form.tick("goal_lights"), form.tick("goal_store"));
    let why = form.optional_text("why", 2000);
    let (give_up_cents, give_up_currency) = read_money(form);
    let give_up_minutes =
        form.optional_quantity("give_up_hours", &HOURS).map(|t| to_thousandths(t.value / 60_000.0));
    let track_mv = form.optional_quantity("track_v", &TRACK).map(|t| to_thousandths(t.value));
    let person_id = form.optional_id::<PersonId>("person");
    let started_at = form.moment("started", app);
    if form.any_wrong() {
        return None;
    }
    Some(Draft {
        title,
        scale,
        ratio,
        gauge_um,
        body: body?,
        wheels,
        length_um,
        drive: drive?,
        motor: motor?,
        pickup: pickup?,
        frame: frame?,
        goal_sound,
        goal_lights,
        goal_store,
        why,
        give_up_cents,
        give_up_currency,
        give_up_minutes,
        track_mv,
        person_id,
        started_at,
    })
}

/// A scale of the list brings ratio and gauge; a free one may say its own.
fn read_scale(form: &mut Fields) -> (String, Option<f64>, Option<i64>) {
    let listed = form.optional_text("scale", 40);
    if let Some(s) = scale(&listed) {
        return (listed, Some(s.ratio), Some(to_thousandths(s.gauge_mm)));
    }
    if !listed.is_empty() && listed != "other" {
        let names: Vec<&str> = SCALES.iter().map(|s| s.name).collect();
        form.refuse("scale", format!("“{listed}” is not in the list. Choose one of {}, or “another scale” and write it below.", names.join(", ")));
    }
    let name = form.optional_text("scale_other", 40);
    if name.is_empty() {
        form.refuse("scale", "Choose a scale, or write another one below.");
    }
    let ratio = form.optional_quantity("ratio", &RATIO).map(|t| t.value);
    let gauge = form.optional_quantity("gauge", &GAUGE).map(|t| to_thousandths(t.value));
    (name, ratio, gauge)
}

/// A wheel arrangement may be left empty; one that is written must be readable, since the pickup
/// map starts from it.
fn read_wheels(form: &mut Fields) -> String {
    let wheels = form.optional_text("wheels", 40);
    if !wheels.is_empty() && arrangement::parse(&wheels).is_err() {
        form.refuse("wheels", format!("“{wheels}” is no wheel arrangement read here. Write it as 0-6-0, Bo-Bo, C or 2 axles, or leave it empty."));
    }
    wheels
}

/// Money limit in hundredths with its currency.
fn read_money(form: &mut Fields) -> (Option<i64>, String) {
    let cents =
        form.optional_quantity("give_up_money", &MONEY).map(|t| to_thousandths(t.value / 10.0));
    let currency = form.optional_text("give_up_currency", 3).to_uppercase();
    let three = currency.len() == 3 && currency.chars().all(|c| c.is_ascii_uppercase());
    if !currency.is_empty() && !three {
        form.refuse(
            "give_up_currency",
            "Write the currency as its three letters, such as EUR, GBP or USD.",
        );
    }
    if cents.is_some() && currency.is_empty() {
        form.refuse(
            "give_up_currency",
            "Write the currency of the limit, such as EUR, GBP or USD.",
        );
    }
    (cents, currency)
}

/// Fields of the form with their labels, for showing what somebody else wrote.
pub const LABELS: &[(&str, &str)] = &[
    ("title", "Title"),
    ("scale", "Scale"),
    ("scale_other", "Another scale"),
    ("ratio", "Ratio"),
    ("gauge", "Gauge"),
    ("wheels", "Wheels"),
    ("length", "Length"),
    ("body", "Body"),
    ("drive", "Drive"),
    ("motor", "Motor"),
    ("pickup", "Pickup"),
    ("frame", "Frame"),
    ("goal_sound", "Sound"),
    ("goal_lights", "Lights"),
    ("goal_store", "Hold-up store"),
    ("why", "Why"),
    ("give_up_money", "Money limit"),
    ("give_up_currency", "Currency"),
    ("give_up_hours", "Time limit"),
    ("track_v", "Track voltage"),
    ("person", "Whose"),
    ("started", "Begun"),
];

/// A form filled in from a conversion, for editing.
pub fn fill(c: &Conversion, app: &App) -> Fields {
    let mut form = fill_draft(&c.draft, app);
    form.set("version", c.version.to_string());
    form
}

/// A form filled in from what a conversion's form says.
pub fn fill_draft(d: &Draft, app: &App) -> Fields {
    let listed = scale(&d.scale).is_some();
    let tick = |on: bool| if on { "1".to_owned() } else { String::new() };
    let number = |v: Option<f64>| v.map(exact).unwrap_or_default();
    let units = |v: Option<i64>| number(v.map(thousandths));
    let free = |text: String| if listed { String::new() } else { text };
    Fields::with([
        ("title", d.title.clone()),
        ("scale", if listed { d.scale.clone() } else { "other".to_owned() }),
        ("scale_other", free(d.scale.clone())),
        ("ratio", free(number(d.ratio))),
        ("gauge", free(units(d.gauge_um))),
        ("wheels", d.wheels.clone()),
        ("length", units(d.length_um)),
        ("body", d.body.code().to_owned()),
        ("drive", d.drive.code().to_owned()),
        ("motor", d.motor.code().to_owned()),
        ("pickup", d.pickup.code().to_owned()),
        ("frame", d.frame.code().to_owned()),
        ("goal_sound", tick(d.goal_sound)),
        ("goal_lights", tick(d.goal_lights)),
        ("goal_store", tick(d.goal_store)),
        ("why", d.why.clone()),
        ("give_up_money", number(d.give_up_cents.map(|c| thousandths(c) * 10.0))),
        ("give_up_currency", d.give_up_currency.clone()),
        ("give_up_hours", number(d.give_up_minutes.map(|m| thousandths(m) * 1000.0 / 60.0))),
        ("track_v", units(d.track_mv)),
        ("person", d.person_id.map(|p| p.to_string()).unwrap_or_default()),
        ("started", when::field_value(d.started_at, app.offset)),
    ])
}

/// What was typed about a move to another stage or an outcome.
pub struct Move {
    /// Stage.
    pub stage: Stage,
    /// Outcome.
    pub outcome: Outcome,
    /// Why.
    pub why: String,
}

/// Reads a move. An ending needs its reason.
pub fn read_move(form: &mut Fields) -> Option<Move> {
    let stage = form.choice::<Stage>("stage");
    let outcome = form.choice::<Outcome>("outcome");
    let why = form.optional_text("why", 2000);
    if outcome.is_some_and(|o| !matches!(o, Outcome::InWork | Outcome::InService)) && why.is_empty()
    {
        form.refuse(
            "why",
            "Write why it ends here: the next one to try a similar model will want to know.",
        );
    }
    if form.any_wrong() {
        return None;
    }
    Some(Move { stage: stage?, outcome: outcome?, why })
}
