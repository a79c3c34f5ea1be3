//! Counts, faults and verdicts of the map.

use super::{
    Contact, Explanation, Fault, Input, Rail, SOURCE, Side, Wheel, WheelFinding, WheelState,
};
use crate::aspect::{Aspect, Finding};
use crate::units::{Dimension, Interval, millimetres, ohms, with_bounds};

/// The map with every wheel's contact worked out.
pub(super) struct Map<'a> {
    pub(super) input: &'a Input,
    /// One per wheel, in the same order.
    pub(super) contacts: Vec<Contact>,
}

impl<'a> Map<'a> {
    pub(super) fn of(input: &'a Input) -> Self {
        let contacts = input.wheels.iter().map(|w| contact(w, input)).collect();
        Map { input, contacts }
    }

    /// Wheels with what they count as.
    pub(super) fn each(&self) -> impl Iterator<Item = (&'a Wheel, Contact)> + '_ {
        self.input.wheels.iter().zip(self.contacts.iter().copied())
    }

    pub(super) fn rail(&self, side: Side) -> Rail {
        let mut rail = Rail {
            side,
            working: 0,
            faulty: 0,
            unmeasured: 0,
            fitted: 0,
            listed: 0,
            wheelbase_mm: None,
            positions_missing: 0,
        };
        let mut ends: Option<(f64, f64)> = None;
        for (wheel, contact) in self.each().filter(|(w, _)| w.side == side) {
            rail.listed += 1;
            rail.fitted += u32::from(wheel.fitted());
            rail.unmeasured += u32::from(contact == Contact::Unmeasured);
            rail.faulty += u32::from(contact == Contact::Faulty);
            if !matches!(contact, Contact::Good | Contact::Weak) {
                continue;
            }
            rail.working += 1;
            match wheel.position_mm {
                None => rail.positions_missing += 1,
                Some(x) => ends = Some(ends.map_or((x, x), |(lo, hi)| (lo.min(x), hi.max(x)))),
            }
        }
        rail.wheelbase_mm = ends.map(|(lo, hi)| hi - lo);
        rail
    }

    pub(super) fn faults(&self) -> Vec<Fault> {
        self.each()
            .filter(|(_, contact)| *contact == Contact::Faulty)
            .map(|(wheel, _)| Fault { wheel: wheel.id.clone(), sentence: self.says(wheel) })
            .collect()
    }

    /// More than one vehicle has wheels on the map.
    fn several_vehicles(&self) -> bool {
        self.input.wheels.windows(2).any(|pair| pair[0].vehicle != pair[1].vehicle)
    }

    /// `Wheel L2: left side, axle 2 from the front, reads open.`
    fn says(&self, wheel: &Wheel) -> String {
        let vehicle =
            if self.several_vehicles() { format!(", {}", wheel.vehicle) } else { String::new() };
        let reads = match wheel.state {
            WheelState::Unmeasured => "isn’t measured".to_owned(),
            WheelState::Open => "reads open".to_owned(),
            WheelState::Ohms { value, hi, steady, .. } => self.says_ohms(value, hi, steady),
        };
        format!(
            "Wheel {}: {} side, axle {} from the front{vehicle}, {reads}.",
            wheel.id,
            wheel.side.word(),
            wheel.axle
        )
    }

    fn says_ohms(&self, value: f64, hi: f64, steady: bool) -> String {
        let limit = if hi > self.input.bad_above_ohm {
            Some((self.input.bad_above_ohm, "more than"))
        } else if hi >= self.input.good_below_ohm {
            Some((self.input.good_below_ohm, "not below"))
        } else {
            None
        };
        let mut parts = vec![format!("reads {}", ohms(value))];
        if let Some((limit, how)) = limit {
            if value < limit || (how == "more than" && value <= limit) {
                parts.push(format!(" and may be {} by the meter", ohms(hi)));
            }
            parts.push(format!(", {how} {}", ohms(limit)));
        }
        if !steady {
            parts.push(", and jumps while it turns".to_owned());
        }
        parts.concat()
    }

    pub(super) fn wheel_findings(&self) -> Vec<WheelFinding> {
        self.each()
            .map(|(wheel, contact)| WheelFinding {
                id: wheel.id.clone(),
                contact,
                finding: self.wheel_finding(wheel, contact),
            })
            .collect()
    }

    fn wheel_finding(&self, wheel: &Wheel, contact: Contact) -> Option<Finding> {
        let (aspect, change) = match contact {
            Contact::NotFitted => return None,
            Contact::Unmeasured => (
                Aspect::Unlit,
                "Measure it: one probe on the tread, one on the lead to the decoder.",
            ),
            Contact::Good => (Aspect::Clear, "A later reading that is open, high or unsteady."),
            Contact::Weak | Contact::Faulty => {
                (Aspect::Caution, "Clean tread and wiper, then a steady reading below the limit.")
            }
        };
        let reads = match wheel.state {
            WheelState::Unmeasured => "not measured".to_owned(),
            WheelState::Open => "open".to_owned(),
            WheelState::Ohms { value, lo, hi, .. } => {
                with_bounds(value, Interval::new(lo, hi), Dimension::Resistance)
            }
        };
        let finding = Finding::new(aspect, self.says(wheel)).input(&wheel.id, reads);
        Some(self.ruled(finding.would_change(change)))
    }

    fn ruled(&self, finding: Finding) -> Finding {
        finding
            .formula(format!(
                "works up to {}, good below {} and steady, at the high end of the reading",
                ohms(self.input.bad_above_ohm),
                ohms(self.input.good_below_ohm)
            ))
            .source(SOURCE)
    }

    /// The verdict on the whole map: danger before unlit before caution before clear.
    pub(super) fn overall(
        &self,
        rails: [Rail; 2],
        faults: &[Fault],
        explanations: &[Explanation],
    ) -> Finding {
        let mut finding = self
            .no_contact(rails)
            .or_else(|| self.not_known(rails))
            .or_else(|| self.not_as_wanted(rails, faults, explanations))
            .unwrap_or_else(|| {
                Finding::new(Aspect::Clear, format!("{} pick up.", wheels_of(rails, "All ")))
                    .would_change("A wheel that reads open, high or unsteady.")
            });
        for rail in rails {
            let side = rail.side.word();
            finding = finding
                .input(format!("{side} rail"), format!("{} of {} work", rail.working, rail.fitted));
            if let Some(base) = rail.wheelbase_mm {
                finding = finding.input(format!("pickup wheelbase, {side}"), millimetres(base));
            }
        }
        self.ruled(finding)
    }

    /// Danger: a rail of which every wheel is known and none works.
    fn no_contact(&self, rails: [Rail; 2]) -> Option<Finding> {
        let rail = rails
            .into_iter()
            .find(|rail| rail.listed > 0 && rail.working == 0 && rail.unmeasured == 0)?;
        let side = rail.side.word();
        let sentence = if rail.fitted == 0 {
            format!("No wheel is fitted to pick up from the {side} rail.")
        } else {
            format!(
                "No wheel picks up from the {side} rail: {} of {} fail.",
                rail.faulty, rail.fitted
            )
        };
        Some(Finding::new(Aspect::Danger, sentence).would_change(format!(
            "A {side} wheel that reads steady below {}.",
            ohms(self.input.good_below_ohm)
        )))
    }

    /// Unlit: no map, half a map, or wheels nobody measured.
    fn not_known(&self, rails: [Rail; 2]) -> Option<Finding> {
        if self.input.wheels.is_empty() {
            return Some(Finding::unlit(
                "No wheel is on the pickup map.",
                "Draw the map, then measure each wheel.",
            ));
        }
        if let Some(rail) = rails.into_iter().find(|rail| rail.listed == 0) {
            let side = rail.side.word();
            return Some(Finding::unlit(
                format!("No {side} wheel is on the pickup map."),
                format!("Add the {side} wheels, then measure each."),
            ));
        }
        let names: Vec<&str> = self
            .each()
            .filter(|(_, contact)| *contact == Contact::Unmeasured)
            .map(|(wheel, _)| wheel.id.as_str())
            .collect();
        if names.is_empty() {
            return None;
        }
        let fitted: u32 = rails.iter().map(|rail| rail.fitted).sum();
        let listed = names.join(", ");
        let mut told = vec![format!("{} of {fitted} wheels not measured: {listed}.", names.len())];
        let faulty = self.each().filter(|(_, contact)| *contact == Contact::Faulty);
        told.extend(faulty.map(|(wheel, _)| self.says(wheel)));
        Some(Finding::unlit(told.join(" "), format!("Measure {listed}.")))
    }

    /// Caution: faults, high ohms or unsteady readings, each wheel named.
    fn not_as_wanted(
        &self,
        rails: [Rail; 2],
        faults: &[Fault],
        explanations: &[Explanation],
    ) -> Option<Finding> {
        let weak = self.each().filter(|(_, c)| *c == Contact::Weak).map(|(w, _)| self.says(w));
        let named: Vec<String> = faults.iter().map(|f| f.sentence.clone()).chain(weak).collect();
        if named.is_empty() {
            return None;
        }
        let working: u32 = rails.iter().map(|rail| rail.working).sum();
        let count = wheels_of(rails, &format!("{working} of "));
        let mut told = vec![format!("{count} pick up."), named.join(" ")];
        told.extend(explanations.first().map(|simplest| simplest.sentence.clone()));
        let change = "Each wheel steady below the limit on a later reading.";
        Some(Finding::new(Aspect::Caution, told.join(" ")).would_change(change))
    }
}

/// `5 of 6 wheels`, with the count of wheels meant to pick up.
fn wheels_of(rails: [Rail; 2], before: &str) -> String {
    let fitted: u32 = rails.iter().map(|rail| rail.fitted).sum();
    format!("{before}{fitted} wheels")
}

fn contact(wheel: &Wheel, input: &Input) -> Contact {
    if !wheel.fitted() {
        return Contact::NotFitted;
    }
    match wheel.state {
        WheelState::Unmeasured => Contact::Unmeasured,
        WheelState::Open => Contact::Faulty,
        WheelState::Ohms { hi, .. } if hi > input.bad_above_ohm => Contact::Faulty,
        WheelState::Ohms { hi, steady, .. } if steady && hi < input.good_below_ohm => Contact::Good,
        WheelState::Ohms { .. } => Contact::Weak,
    }
}
