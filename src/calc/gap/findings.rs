//! The verdicts of a route.

use super::{Input, Output, Rail, Rails, Travel};
use crate::aspect::{Aspect, Finding};
use crate::units::{Rounding, fixed};

/// Millimetres rounded up, so that no gap is rounded away.
fn up(mm: f64) -> String {
    format!("{}\u{a0}mm", fixed(mm, 1, Rounding::Up))
}

/// The rule in one line.
const RULE: &str =
    "dead travel of a rail = ∩ over its wheels (stretch − position); supply = union of both";

/// All verdicts.
pub(super) fn all(input: &Input, output: &Output) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        [Rail::Left, Rail::Right].into_iter().filter_map(|rail| no_wheel(input, rail)).collect();
    if let Some(travel) = output.supply {
        findings.push(supply(input, output, &travel));
    }
    findings.into_iter().map(|f| f.formula(RULE).source("geometry")).collect()
}

/// A rail without any wheel known to pick up.
fn no_wheel(input: &Input, rail: Rail) -> Option<Finding> {
    let side = if rail == Rail::Left { "left" } else { "right" };
    let on = input.wheels.iter().filter(|w| w.rail == rail);
    if on.clone().any(|w| w.works == Some(true)) {
        return None;
    }
    let wheels = on.clone().count();
    let unknown = on.filter(|w| w.works.is_none()).count();
    let finding = if unknown > 0 {
        Finding::unlit(
            format!("No wheel on the {side} rail is measured yet."),
            format!("a continuity reading of {unknown} wheel(s) on the {side} rail"),
        )
    } else {
        Finding::new(
            Aspect::Danger,
            format!("No wheel picks up from the {side} rail: there is no supply anywhere."),
        )
        .would_change(format!("one wheel that picks up from the {side} rail"))
    };
    Some(
        finding
            .input(format!("wheels on the {side} rail"), wheels.to_string())
            .input("not measured", unknown.to_string()),
    )
}

/// The longest break against what carries the locomotive over it.
fn supply(input: &Input, output: &Output, travel: &Travel) -> Finding {
    let (worst, best) = (travel.longest_mm.hi, travel.longest_mm.lo);
    let carried = input.carried_mm.unwrap_or(0.0);
    let unmeasured = input.wheels.iter().filter(|w| w.works.is_none()).count();
    let finding = if worst <= 0.0 {
        Finding::new(Aspect::Clear, "The supply holds over the whole route.")
            .would_change("a wheel that stops picking up, or a longer dead stretch")
    } else if best <= carried && worst > carried && unmeasured > 0 {
        Finding::unlit(
            format!(
                "Without supply for {} to {}: {unmeasured} wheel(s) are not measured.",
                up(best),
                up(worst)
            ),
            "a continuity reading of every wheel",
        )
    } else if worst <= carried {
        Finding::new(
            Aspect::Clear,
            format!("Without supply for {}, and the store carries it {}.", up(worst), up(carried)),
        )
        .would_change("a store that ages, a slower speed, a wheel that stops picking up")
    } else {
        broken(input, output, worst, carried)
    };
    let finding = match input.carried_mm {
        Some(mm) => finding.input("carried by the store", up(mm)),
        None => finding.input("carried by the store", "not measured"),
    };
    finding
        .input("longest without supply", format!("{} ({} to {})", up(worst), up(best), up(worst)))
        .input("breaks of the supply", travel.pieces.to_string())
        .input("wheels not measured", unmeasured.to_string())
}

/// Dead track that nothing is known to carry it over: caution without a store, danger beyond one.
fn broken(input: &Input, output: &Output, worst: f64, carried: f64) -> Finding {
    let place = output
        .breaks
        .iter()
        .max_by(|a, b| (a.to_mm - a.from_mm).total_cmp(&(b.to_mm - b.from_mm)))
        .map_or_else(String::new, |b| {
            let rail = match b.rail {
                Rails::Left => "the left rail",
                Rails::Right => "the right rail",
                Rails::Both => "left and right rail",
            };
            let over = if b.over.is_empty() {
                String::new()
            } else {
                format!(", over {}", b.over.join(" and "))
            };
            format!(" ({rail}{over})")
        });
    if input.carried_mm.is_some() {
        return Finding::new(
            Aspect::Danger,
            format!(
                "Without supply for {}{place}; the store carries it only {}.",
                up(worst),
                up(carried)
            ),
        )
        .would_change(format!("a store for {}, or one more wheel that picks up", up(worst)));
    }
    Finding::new(Aspect::Caution, format!("Without supply for {}{place}.", up(worst))).would_change(
        format!("one more wheel that picks up, or a measured store for {}", up(worst)),
    )
}
