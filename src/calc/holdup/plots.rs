//! What a store is drawn from.

use super::Output;
use super::store::Known;
use crate::calc::plot::{Chart, Line, Plot};

/// Voltage after the supply goes, the charge, and all stores on the booster.
pub(super) fn all(known: &Known<'_>, o: &Output) -> Vec<Plot> {
    let plots = [voltage(known, o), charge_volts(known, o), charge_amps(o), line_up(known, o)];
    plots.into_iter().flatten().collect()
}

/// Voltage of store and decoder after the track goes dead.
fn voltage(known: &Known<'_>, o: &Output) -> Option<Plot> {
    let time = ("time without supply", "s");
    Chart::new("Voltage after the track goes dead", time, ("voltage", "V"))
        .with("store", Line::Line, o.voltage.iter().map(|s| [s.time_s, s.store_v]))
        .with("at the decoder", Line::Line, o.voltage.iter().map(|s| [s.time_s, s.decoder_v]))
        .limit("decoder stops below", known.input.load.cutoff_v)
        .mark("wanted", o.wanted_s.filter(|w| o.voltage.last().is_some_and(|s| *w <= s.time_s)))
        .plot()
}

/// Voltage of the store while it charges, against what it is rated for.
fn charge_volts(known: &Known<'_>, o: &Output) -> Option<Plot> {
    let samples = o.charging.iter().flat_map(|c| &c.samples);
    let time = ("time since switching on", "s");
    Chart::new("Store voltage while it charges", time, ("voltage", "V"))
        .with("store", Line::Line, samples.map(|s| [s.time_s, s.store_v]))
        .limit("rating of the store", known.stack.rating_v)
        .mark("charged to 95 %", o.charging.as_ref().map(|c| c.to_95_s.value))
        .plot()
}

/// Charging current of this store.
fn charge_amps(o: &Output) -> Option<Plot> {
    let samples = o.charging.iter().flat_map(|c| &c.samples);
    let time = ("time since switching on", "s");
    Chart::new("Charging current", time, ("current", "A"))
        .with("into the store", Line::Line, samples.map(|s| [s.time_s, s.current_a]))
        .plot()
}

/// Current of the booster while every store on it charges.
fn line_up(known: &Known<'_>, o: &Output) -> Option<Plot> {
    let samples = o.line_up.iter().flat_map(|l| &l.samples);
    let time = ("time since switching on", "s");
    Chart::new("Booster at switch-on, all stores together", time, ("current", "A"))
        .with("booster", Line::Line, samples.map(|s| [s.time_s, s.current_a]))
        .limit("booster trips at", known.input.booster.trip_a)
        .plot()
}
