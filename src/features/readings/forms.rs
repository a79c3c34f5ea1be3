//! What was typed at the bench, checked.

use super::model::{Conditions, DecoderState, Draft, Kind, Outcome, Position, Shell, Warmth};
use crate::calc::gates::Observation;
use crate::calc::isolation::{Pair, Point};
use crate::db::{InstrumentId, WheelId};
use crate::features::instruments::model::Instrument;
use crate::units::{Accuracy, Dimension, Ohms, Wanted};
use crate::web::form::Typed;
use crate::web::{App, Fields};

const OHMS: Wanted = Wanted { dimension: Dimension::Resistance, bare: "Ω", least: 0.0, most: 1e9 };
const WINDING: Wanted =
    Wanted { dimension: Dimension::Resistance, bare: "Ω", least: 0.05, most: 2000.0 };
const AMPS: Wanted = Wanted { dimension: Dimension::Current, bare: "A", least: 0.001, most: 20.0 };
const VOLTS: Wanted = Wanted { dimension: Dimension::Voltage, bare: "V", least: 0.5, most: 30.0 };
const STARTING: Wanted =
    Wanted { dimension: Dimension::Voltage, bare: "V", least: 0.0, most: 30.0 };
const CELSIUS: Wanted =
    Wanted { dimension: Dimension::Temperature, bare: "°C", least: -20.0, most: 300.0 };
const MASS: Wanted = Wanted { dimension: Dimension::Mass, bare: "g", least: 0.1, most: 20_000.0 };
const HEIGHT: Wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 0.0, most: 300.0 };

/// What a loose reading of a kind takes.
fn wanted(kind: Kind) -> Option<Wanted> {
    Some(match kind {
        Kind::Free | Kind::Slipping | Kind::Held | Kind::Cruise | Kind::LoadCurrent => AMPS,
        Kind::Winding => WINDING,
        Kind::Pickup | Kind::Isolation | Kind::SpeakerOhms => OHMS,
        Kind::StartingVoltage | Kind::StoreVolts => STARTING,
        Kind::Temperature => CELSIUS,
        Kind::Mass => MASS,
        Kind::Height => HEIGHT,
        Kind::Observation | Kind::Other => return None,
    })
}

/// The instrument named in a form, and the accuracy it gives a value.
pub struct Meters<'a>(pub &'a [Instrument]);

impl Meters<'_> {
    /// Reads the field; an id that is no instrument here is refused.
    fn named(&self, form: &mut Fields, field: &str) -> Option<&Instrument> {
        let id = form.optional_id::<InstrumentId>(field)?;
        let found = self.0.iter().find(|i| i.id == id);
        if found.is_none() {
            form.refuse(field, "There is no such instrument here. Choose one from the list.");
        }
        found
    }
}

fn accuracy(meter: Option<&Instrument>, dimension: Dimension, value: f64) -> Option<Accuracy> {
    meter.and_then(|m| m.accuracy(dimension, value))
}

/// The conditions every bench form may say. Volts are taken where the form has the field.
fn conditions(form: &mut Fields, meters: &Meters<'_>) -> Conditions {
    let meter = meters.named(form, "instrument");
    let volts = form.optional_quantity("volts", &VOLTS);
    let volts_accuracy = volts.as_ref().and_then(|v| accuracy(meter, Dimension::Voltage, v.value));
    let instrument_id = meter.map(|m| m.id);
    Conditions {
        volts: volts.as_ref().map(|v| v.value),
        volts_typed: volts.map(|v| v.typed).unwrap_or_default(),
        volts_accuracy,
        method: form.optional_text("method", 120),
        position: form.optional_choice::<Position>("position"),
        shell: form.optional_choice::<Shell>("shell"),
        decoder: form.optional_choice::<DecoderState>("decoder"),
        warmth: form.optional_choice::<Warmth>("warmth"),
        instrument_id,
        remark: form.optional_text("remark", 500),
    }
}

/// A draft with its conditions and, for a number, the meter's accuracy.
fn draft(
    form: &mut Fields,
    (app, meters): (&App, &Meters<'_>),
    kind: Kind,
    (outcome, typed): (Outcome, String),
) -> Draft {
    let taken_at = form.moment("taken", app);
    let conditions = conditions(form, meters);
    let mut draft = Draft::new(kind, outcome, typed, taken_at);
    let meter = meters.0.iter().find(|i| Some(i.id) == conditions.instrument_id);
    draft.accuracy =
        draft.outcome.value().and_then(|v| draft.dimension.and_then(|d| accuracy(meter, d, v)));
    draft.conditions = conditions;
    draft
}

/// What the meter shows, by button or number: open, joined, or ohms.
fn ohms(form: &mut Fields) -> Option<(Outcome, String)> {
    match form.one("reads").as_str() {
        "open" => Some((Outcome::Open, "open".to_owned())),
        "joined" => Some((Outcome::Joined, "joined".to_owned())),
        "number" | "" => {
            let (ohms, typed) = form.ohms("number", &OHMS)?;
            Some(match ohms {
                Ohms::Value(v) => (Outcome::Value(v), typed),
                Ohms::Open => (Outcome::Open, typed),
                Ohms::Joined => (Outcome::Joined, typed),
            })
        }
        other => {
            let why =
                format!("“{other}” is no answer here. Tap open or joined, or write the number.");
            form.refuse("number", why);
            None
        }
    }
}

/// A reading between two points: `what` is `brush_a:rail_right@in_frame`.
pub fn isolation(
    form: &mut Fields,
    app: &App,
    meters: &Meters<'_>,
    leads: &[String],
) -> Option<Draft> {
    let what = form.text("what", 200);
    let parsed = parse_pair(&what, leads);
    if parsed.is_none() && !form.wrong("what") {
        form.refuse("what", format!("“{what}” is no pair of this walk. Pick one from the list."));
    }
    let shown = ohms(form);
    let mut d = draft(
        form,
        (app, meters),
        Kind::Isolation,
        shown.clone().unwrap_or((Outcome::Open, String::new())),
    );
    if form.any_wrong() {
        return None;
    }
    let (pair, position) = parsed?;
    shown?;
    pair.a.key().clone_into(&mut d.point_a);
    pair.b.key().clone_into(&mut d.point_b);
    d.conditions.position = Some(position);
    Some(d)
}

/// `brush_a:rail_right@in_frame`; leads must be known by name.
fn parse_pair(what: &str, leads: &[String]) -> Option<(Pair, Position)> {
    use crate::choice::Choice;
    let (pair, position) = what.rsplit_once('@')?;
    let (a, b) = pair.split_once(':')?;
    let pair = Pair::new(Point::from(a.to_owned()), Point::from(b.to_owned()));
    let known = |p: &Point| match p {
        Point::Lead(name) => leads.contains(name),
        _ => true,
    };
    let fits = pair.belongs() && known(&pair.a) && known(&pair.b);
    fits.then_some((pair, Position::from_code(position)?))
}

/// A wheel's reading: picks up, open, comes and goes, or a number.
pub fn wheel(form: &mut Fields, app: &App, meters: &Meters<'_>) -> Option<Draft> {
    let wheel = form.id::<WheelId>("wheel");
    let (shown, steady) = match form.one("reads").as_str() {
        "picks-up" => (Some((Outcome::Joined, "picks up".to_owned())), Some(true)),
        "unsteady" => (Some((Outcome::Open, "comes and goes".to_owned())), Some(false)),
        _ => (ohms(form), None),
    };
    let steady = if form.tick("unsteady") { Some(false) } else { steady };
    let mut d = draft(
        form,
        (app, meters),
        Kind::Pickup,
        shown.clone().unwrap_or((Outcome::Open, String::new())),
    );
    if form.any_wrong() {
        return None;
    }
    shown?;
    d.wheel_id = Some(wheel?);
    d.steady = steady;
    Some(d)
}

/// A load test: three currents at one voltage, perhaps the winding. At least one of them.
pub struct Test {
    /// The readings, in the order they are made.
    pub readings: Vec<Draft>,
}

/// Reads the load test form.
pub fn load_test(form: &mut Fields, app: &App, meters: &Meters<'_>) -> Option<Test> {
    if form.value("volts").trim().is_empty() {
        form.refuse(
            "volts",
            "Write the voltage at the loco while reading: a current without it says little.",
        );
    }
    let held_volts = form.optional_quantity("held_volts", &VOLTS);
    let refused_to_stall = form.tick("held_refused");
    let mut readings = Vec::new();
    for (field, kind) in [("free", Kind::Free), ("slipping", Kind::Slipping), ("held", Kind::Held)]
    {
        if let Some(t) = form.optional_quantity(field, &AMPS) {
            readings.push(draft(form, (app, meters), kind, (Outcome::Value(t.value), t.typed)));
        }
    }
    let held = readings.iter().position(|d| d.kind == Kind::Held);
    if refused_to_stall && held.is_some() {
        form.refuse(
            "held",
            "There is a held current and a tick that it would not stall. Keep one of the two.",
        );
    }
    if refused_to_stall {
        let said = "could not make it stall".to_owned();
        readings.push(draft(form, (app, meters), Kind::Held, (Outcome::NotReached, said)));
    }
    if let (Some(i), Some(v)) = (held, held_volts) {
        set_volts(&mut readings[i], &v, meters);
    }
    if let Some(t) = form.optional_quantity("winding", &WINDING) {
        let mut d = draft(form, (app, meters), Kind::Winding, (Outcome::Value(t.value), t.typed));
        d.conditions.volts = None;
        d.conditions.volts_typed.clear();
        d.conditions.volts_accuracy = None;
        readings.push(d);
    }
    if readings.is_empty() {
        form.refuse("free", "Write at least one current, or tick that it would not stall.");
    }
    if form.any_wrong() { None } else { Some(Test { readings }) }
}

/// The held reading may be made at a lower, safer voltage than the others.
fn set_volts(d: &mut Draft, volts: &Typed, meters: &Meters<'_>) {
    let meter = meters.0.iter().find(|i| Some(i.id) == d.conditions.instrument_id);
    d.conditions.volts_accuracy = accuracy(meter, Dimension::Voltage, volts.value);
    d.conditions.volts = Some(volts.value);
    d.conditions.volts_typed.clone_from(&volts.typed);
}

/// A yes or no by looking or trying, with its number where one belongs to it.
pub fn look(form: &mut Fields, app: &App, meters: &Meters<'_>, what: Observation) -> Option<Draft> {
    let yes = match form.one("answer").as_str() {
        "yes" => true,
        "no" => false,
        other => {
            form.refuse("answer", format!("“{other}” is no answer here. Tap yes or no."));
            return None;
        }
    };
    let amount =
        if what.amount_unit().is_some() && yes { form.quantity("amount", &AMPS) } else { None };
    let word = if yes { "yes" } else { "no" }.to_owned();
    let outcome = match &amount {
        Some(t) => (Outcome::Value(t.value), t.typed.clone()),
        None if yes => (Outcome::Yes, word),
        None => (Outcome::No, word),
    };
    let mut d = draft(form, (app, meters), Kind::Observation, outcome);
    if form.any_wrong() {
        return None;
    }
    what.key().clone_into(&mut d.point_a);
    if amount.is_some() {
        d.dimension = Some(Dimension::Current);
    }
    Some(d)
}

/// Any other reading: kind, what of, number, conditions.
pub fn loose(form: &mut Fields, app: &App, meters: &Meters<'_>) -> Option<Draft> {
    let kind = form.choice::<Kind>("kind");
    let of = form.optional_text("of", 80);
    let kind = kind?;
    let Some(wanted) = wanted(kind).filter(|_| Kind::LOOSE.contains(&kind)) else {
        form.refuse("kind", "This kind has a page of its own. Choose another one.");
        return None;
    };
    if matches!(kind, Kind::LoadCurrent | Kind::Temperature | Kind::Height) && of.is_empty() {
        form.refuse("of", "Write what it was read of: front lamp, decoder, front coupler.");
    }
    let value = form.quantity("number", &wanted);
    let shown =
        value.map_or((Outcome::Open, String::new()), |t| (Outcome::Value(t.value), t.typed));
    let mut d = draft(form, (app, meters), kind, shown);
    if form.any_wrong() {
        return None;
    }
    d.point_a = of;
    Some(d)
}
