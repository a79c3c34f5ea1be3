//! What is asked of a rating: the motor in a load case, the loads, and both together.

use super::{Basis, Case, Input, PlannedLoad};
use crate::aspect::Named;
use crate::calc::Bounded;
use crate::calc::load::{self, amps_given, amps_with_bounds, seen};
use crate::calc::plot::Part;
use crate::units::Interval;

/// A demand: what is known of it, what is missing, what nobody measured, and its parts in words.
#[derive(Debug, Clone)]
pub(super) struct Demand {
    /// Sum of what is known, A.
    pub known: Bounded,
    /// Names of what is not known.
    pub missing: Vec<String>,
    /// Names of what is known from a data sheet or a guess only.
    pub unmeasured: Vec<String>,
    /// Each part as a person reads it.
    pub parts: Vec<Named>,
    /// Each part as a number.
    pub amounts: Vec<Part>,
}

impl Demand {
    /// Nothing asked yet.
    fn none() -> Self {
        Demand {
            known: Bounded::exact(0.0),
            missing: Vec::new(),
            unmeasured: Vec::new(),
            parts: Vec::new(),
            amounts: Vec::new(),
        }
    }

    /// Notes a part as a number.
    fn amount(&mut self, name: &str, amps_a: Option<f64>, measured: bool) {
        self.amounts.push(Part { name: name.to_owned(), amps_a, measured });
    }

    /// Adds a current that is known.
    fn add(&mut self, amps: Bounded) {
        let sum = self.known.interval() + amps.interval();
        let sum = Interval { lo: sum.lo.max(0.0), hi: sum.hi };
        self.known = Bounded::new(self.known.value + amps.value, sum);
    }

    /// The motor in a case.
    pub fn motor(input: &Input, motor: &load::Output, case: Case) -> Self {
        let mut out = Demand::none();
        let name = words(case);
        let (amps, stands_in) = match case {
            Case::Slipping => (motor.slipping_at_output_a, false),
            Case::Held if motor.held_at_output_a.is_some() => (motor.held_at_output_a, false),
            Case::Held => (motor.held_stand_in_a, true),
        };
        let Some(amps) = amps else {
            out.missing.push(missing_of_motor(input, case));
            out.parts.push(Named::new(name, "not known"));
            out.amount(name, None, false);
            return out;
        };
        out.add(amps);
        let mut text = amps_with_bounds(amps);
        if stands_in {
            text.push_str(", from the winding");
            out.unmeasured.push("the held current, only the winding".to_owned());
        } else if input.motor_basis != Basis::Measured {
            text.push_str(", ");
            text.push_str(input.motor_basis.word());
            out.unmeasured.push(format!("the {} current", case.word()));
        }
        out.parts.push(Named::new(name, text));
        let measured = out.unmeasured.is_empty();
        out.amount(name, Some(amps.value), measured);
        out
    }

    /// Loads alone.
    pub fn loads<'a>(loads: impl Iterator<Item = &'a PlannedLoad>) -> Self {
        loads.fold(Demand::none(), Demand::with_load)
    }

    /// The same with one load more.
    fn with_load(mut self, load: &PlannedLoad) -> Self {
        let Some(each) = load.amps_a else {
            self.missing.push(format!("the current of {}", load.name));
            self.parts.push(Named::new(load.name.clone(), "not known"));
            self.amount(&load.name, None, false);
            return self;
        };
        let count = f64::from(load.count);
        let one = seen(each, load.meter);
        let bounds =
            if load.count == 1 { one.interval() } else { one.interval() * Interval::exact(count) };
        self.add(Bounded::new(each * count, Interval { lo: bounds.lo.max(0.0), hi: bounds.hi }));
        let text = if load.count == 1 {
            amps_given(each)
        } else {
            format!("{} × {}", load.count, amps_given(each))
        };
        self.parts.push(Named::new(load.name.clone(), format!("{text}, {}", load.basis.word())));
        if load.basis != Basis::Measured {
            self.unmeasured.push(load.name.clone());
        }
        self.amount(&load.name, Some(each * count), load.basis == Basis::Measured);
        self
    }

    /// Both together.
    pub fn and(mut self, other: Demand) -> Self {
        self.add(other.known);
        self.missing.extend(other.missing);
        self.unmeasured.extend(other.unmeasured);
        self.parts.extend(other.parts);
        self.amounts.extend(other.amounts);
        self
    }
}

impl Basis {
    /// In words: `measured`, `data sheet`, `guess`.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Measured => "measured",
            Basis::DataSheet => "data sheet",
            Basis::Guess => "guess",
        }
    }
}

impl Case {
    /// In a word: `held`, `slipping`.
    pub fn word(self) -> &'static str {
        match self {
            Case::Held => "held",
            Case::Slipping => "slipping",
        }
    }
}

/// The motor in a case, as a part of a demand.
fn words(case: Case) -> &'static str {
    match case {
        Case::Held => "motor held",
        Case::Slipping => "motor, wheels slipping",
    }
}

/// What is missing for the motor in a case.
fn missing_of_motor(input: &Input, case: Case) -> String {
    let test = &input.load;
    let read = match case {
        Case::Slipping => return "the slipping current".to_owned(),
        Case::Held => test.held_a.is_some() || test.winding_ohm.is_some(),
    };
    if !read && test.held_refused {
        "the winding, which stands in for a motor that does not stall".to_owned()
    } else if !read {
        "the held current".to_owned()
    } else if test.track_v.is_none() && test.decoder_output_v.is_none() {
        "the track voltage".to_owned()
    } else {
        "the held current on a finer range".to_owned()
    }
}
