//! The layout of the pickup map, as typed: a table of axles.

use super::model::{Draft, Side, Wheel};
use crate::draw::arrangement;
use crate::features::conversions::model::{thousandths, to_thousandths};
use crate::units::{Dimension, Wanted, exact};
use crate::web::Fields;

const PLACE: Wanted = Wanted { dimension: Dimension::Length, bare: "mm", least: 0.0, most: 3000.0 };

/// Most axles of one model on the form.
pub const MOST_AXLES: i64 = 24;

/// Reads the table: one row an axle, `axles` of them. Each axle has a wheel on either side.
pub fn read(form: &mut Fields) -> Option<Vec<Draft>> {
    let axles = form.whole("axles", 1, MOST_AXLES)?;
    let mut wheels = Vec::new();
    for axle in 1..=axles {
        let vehicle = form.optional_text(&format!("vehicle-{axle}"), 40);
        let vehicle = if vehicle.is_empty() { "engine".to_owned() } else { vehicle };
        let place = form.optional_quantity(&format!("place-{axle}"), &PLACE);
        let position_um = place.map(|t| to_thousandths(t.value));
        for side in [Side::Left, Side::Right] {
            let letter = side.letter();
            wheels.push(Draft {
                side,
                axle,
                vehicle: vehicle.clone(),
                position_um,
                traction_tyre: form.tick(&format!("tyre-{letter}{axle}")),
                dead_by_design: form.tick(&format!("dead-{letter}{axle}")),
            });
        }
    }
    let known = |name: &str| {
        name == "token"
            || name == "axles"
            || name == "seen"
            || name
                .rsplit('-')
                .next()
                .and_then(|n| n.trim_start_matches(['L', 'R']).parse::<i64>().ok())
                .is_some_and(|n| (1..=MOST_AXLES).contains(&n))
    };
    let unknown = form.names().find(|n| !known(n)).map(str::to_owned);
    if let Some(other) = unknown {
        form.refuse("axles", format!("“{other}” is no field of this form."));
    }
    if form.any_wrong() { None } else { Some(wheels) }
}

/// The form filled in from the map, or from the wheel arrangement when there is no map yet.
pub fn fill(wheels: &[Wheel], arrangement: &str) -> Fields {
    let mut form = Fields::default();
    if wheels.is_empty() {
        let rows = from_arrangement(arrangement);
        form.set("axles", rows.len().to_string());
        for (i, vehicle) in rows.iter().enumerate() {
            form.set(&format!("vehicle-{}", i + 1), vehicle.clone());
        }
        return form;
    }
    let axles = wheels.iter().map(|w| w.draft.axle).max().unwrap_or(1);
    form.set("axles", axles.to_string());
    for w in wheels {
        let (d, n) = (&w.draft, w.draft.axle);
        form.set(&format!("vehicle-{n}"), d.vehicle.clone());
        form.set(
            &format!("place-{n}"),
            d.position_um.map(|p| exact(thousandths(p))).unwrap_or_default(),
        );
        let tick = |on: bool| if on { "1" } else { "" };
        form.set(&format!("tyre-{}{n}", d.side.letter()), tick(d.traction_tyre));
        form.set(&format!("dead-{}{n}", d.side.letter()), tick(d.dead_by_design));
    }
    form
}

/// One name per axle: what shares a collector, guessed from the wheel arrangement.
fn from_arrangement(text: &str) -> Vec<String> {
    let Ok(a) = arrangement::parse(text) else { return vec!["engine".to_owned(); 2] };
    let mut rows = Vec::new();
    for (i, vehicle) in a.vehicles.iter().enumerate() {
        let bogies = vehicle.groups.len() > 1 && vehicle.groups.iter().all(|g| g.bogie);
        for (k, group) in vehicle.groups.iter().enumerate() {
            let name = match (i, bogies, k) {
                (0, true, 0) => "front bogie",
                (0, true, _) => "rear bogie",
                (0, false, _) => "engine",
                _ => "tender",
            };
            rows.extend(std::iter::repeat_n(name.to_owned(), group.axles.len()));
        }
    }
    if rows.is_empty() { vec!["engine".to_owned(); 2] } else { rows }
}
