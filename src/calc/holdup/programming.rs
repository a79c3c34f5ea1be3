//! What a store does to the programming track.

use super::store::Known;
use super::text::time;
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, amps};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Limited energy of service mode, A: S-9.2.3 B.
pub const LIMIT_A: f64 = 0.250;
/// Time after which more than that counts as sustained, s: S-9.2.3 B.
pub const SUSTAINED_S: f64 = 0.100;
/// Least load increase of an acknowledgment, A: S-9.2.3.
pub const ACKNOWLEDGMENT_A: f64 = 0.060;

/// Charging on the programming track.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Effect {
    /// Current at switch-on, A, decoder included.
    pub peak_a: f64,
    /// How long it stays above 250 mA, s; `None`: it never falls below.
    pub over_limit_s: Option<f64>,
    /// How long the charge stays above the 60 mA of an acknowledgment, s.
    pub above_acknowledgment_s: f64,
    /// What the track still sees of the acknowledgment once the store is full, A; `None`: not
    /// known.
    pub seen_a: Option<f64>,
}

/// Works it out; `None` where the output, the resistor or the store is not known.
///
/// Formula: I0 = (V − drops) / (R + ESR + R_out), tau = the same ohms × C, time above I is
/// tau ln(I0 / I). The acknowledgment sags the supply by I R_out; what exceeds the drop of the
/// store's diodes comes from the store and not from the track. Source: RC circuit on S-9.2.3.
pub(super) fn effect(known: &Known<'_>) -> Option<Effect> {
    let p = &known.input.programming;
    let supply = &known.input.supply;
    let (output_v, ohm, store) = (p.output_v?, known.input.charge.ohm?, known.stack.store_f?);
    let esr = known.stack.esr_ohm.unwrap_or(0.0);
    let source = p.output_ohm.unwrap_or(0.0);
    let all = ohm + esr + source;
    let charged = (output_v - supply.bridge_drop_v - supply.charge_diode_v).max(0.0);
    let first = supply.charge_limit_v.map_or(charged, |limit| charged.min(limit)) / all;
    let above = |amps: f64| all * store.hi * (first / amps).max(1.0).ln();
    let room = LIMIT_A - p.idle_a;
    let drops = known.input.load.diode_v + supply.charge_diode_v;
    let seen = p.acknowledgment_a.zip(p.output_ohm).map(|(a, out)| {
        let from_store = ((a * out - drops) / (out + esr).max(1e-6)).max(0.0);
        (a - from_store).max(0.0)
    });
    Some(Effect {
        peak_a: first + p.idle_a,
        over_limit_s: (room > 0.0).then(|| above(room)),
        above_acknowledgment_s: above(ACKNOWLEDGMENT_A),
        seen_a: seen,
    })
}

/// Does the programming track still work? Clear only when a value was read back.
pub(super) fn finding(known: &Known<'_>, effect: Option<&Effect>) -> Finding {
    let off = known.input.programming.store_off;
    let fault = if off { None } else { effect.and_then(fault) };
    let cure = "unplug or switch off the store for programming, or more charging ohms";
    let finding = match (known.input.measured.reads_back, fault) {
        (Some(false), _) => Finding::new(
            Aspect::Danger,
            "Values do not read back on the programming track with this store.",
        )
        .would_change(cure),
        (Some(true), Some(why)) => Finding::new(
            Aspect::Caution,
            format!("It reads back here, but {why}: another output may refuse."),
        )
        .would_change(cure),
        (Some(true), None) => {
            Finding::new(Aspect::Clear, "Values read back on the programming track.")
                .would_change("another programming output")
        }
        (None, Some(why)) => {
            Finding::new(Aspect::Danger, format!("Programming is upset: {why}.")).would_change(cure)
        }
        (None, None) => Finding::unlit(unknown(off, effect), "read one value back"),
    };
    let finding = match effect {
        None => finding,
        Some(e) => finding.input("current at switch-on", amps(e.peak_a)),
    };
    finding
        .input("limited energy", "250\u{a0}mA, for more than 100\u{a0}ms")
        .input("acknowledgment", "at least 60\u{a0}mA for 6\u{a0}ms")
        .formula("I = (V − drops)/(R + ESR) exp(−t/RC)")
        .source("NMRA S-9.2.3 B (limits); RC circuit")
}

/// What fails, in words.
fn fault(e: &Effect) -> Option<String> {
    match e.over_limit_s {
        None => return Some("the decoder alone draws more than 250\u{a0}mA".to_owned()),
        Some(s) if s > SUSTAINED_S => {
            return Some(format!(
                "the charge stays above 250\u{a0}mA for {}",
                time(s, Rounding::Up)
            ));
        }
        Some(_) => {}
    }
    e.seen_a.filter(|a| *a < ACKNOWLEDGMENT_A).map(|a| {
        format!(
            "the store feeds the acknowledgment and the track sees only {}\u{a0}mA",
            crate::units::fixed(a * 1e3, 0, Rounding::Down)
        )
    })
}

/// Why it is unlit.
fn unknown(off: bool, effect: Option<&Effect>) -> String {
    match effect {
        _ if off => {
            "The store can be taken off for programming; nothing was read back yet.".to_owned()
        }
        None => "What the store does to the programming track is not known.".to_owned(),
        Some(e) if e.above_acknowledgment_s > 0.0 => format!(
            "The charge draws more than 60\u{a0}mA for {} and may pass for an \
             acknowledgment; wait, then read.",
            time(e.above_acknowledgment_s, Rounding::Up)
        ),
        Some(_) => {
            "By its data the charge stays below an acknowledgment; nothing was read back yet."
                .to_owned()
        }
    }
}
