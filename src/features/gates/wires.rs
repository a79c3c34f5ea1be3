//! The wiring list for the gates: what was altered, how far each wire is, and what the rules find.

use super::gather::Gathered;
use super::inputs;
use crate::calc::budget::{Basis, Kind};
use crate::calc::gates::{
    Alteration, AlterationKind, LoadFact, Taken, WireFact, WireFinding, WireJob, WireState, Wiring,
};
use crate::calc::{budget, load};
use crate::choice::Choice;
use crate::features::wiring::model::{State, Wire};
use crate::features::wiring::rules::{Amps, Currents, Facts, findings};
use crate::features::wiring::standard::Terminal;
use crate::units::amps;

/// Fills the wiring in: first what the wires altered, since that takes readings out, then the rules on what
/// is left.
pub(super) fn fill(g: &mut Gathered) {
    let altered: Vec<Alteration> = g.wires.iter().filter_map(alteration).collect();
    g.snapshot.alterations.extend(altered);
    let currents = currents(g);
    g.wiring = findings(&Facts { wires: &g.wires, goals: g.snapshot.goals, currents });
    g.snapshot.wiring = Wiring {
        wires: g.wires.iter().filter(|w| w.draft.state.counts()).map(fact).collect(),
        findings: g
            .wiring
            .iter()
            .filter(|f| f.counts)
            .map(|f| WireFinding { finding: f.finding.clone(), short: f.short })
            .collect(),
    };
}

/// What a wire that is in, or was, changed on the model.
fn alteration(w: &Wire) -> Option<Alteration> {
    let kind = match w.draft.terminal.job() {
        WireJob::Rail => AlterationKind::RailWireChanged,
        WireJob::Motor => AlterationKind::MotorWireChanged,
        WireJob::Function => AlterationKind::FunctionWireChanged,
        WireJob::Speaker => AlterationKind::SpeakerWireChanged,
        WireJob::Store => AlterationKind::StoreWireChanged,
        WireJob::Other => AlterationKind::OtherWireChanged,
    };
    let (who, what) = (w.person.clone(), w.title());
    Some(Alteration { kind, at_ms: w.altered_at?, who, what })
}

fn fact(w: &Wire) -> WireFact {
    let colour = w.draft.colour.map_or("colour not looked at", Choice::label);
    WireFact {
        name: w.title(),
        goes: format!("{colour}, {} to {}", w.begins(), w.draft.to.words()),
        job: w.draft.terminal.job(),
        state: match w.draft.state {
            State::Planned => WireState::Planned,
            State::Proved => WireState::Proved,
            State::Done | State::Changed | State::Removed => WireState::Done,
        },
        proved: w.proved_at.map(|at_ms| Taken {
            id: w.id.to_string(),
            no: 0,
            at_ms,
            who: w.person.clone(),
            instrument: String::new(),
        }),
    }
}

/// The currents through the leads, as far as the notebook knows them: what was read where it still holds,
/// otherwise what the decoder is rated for, since it gives no more.
fn currents(g: &Gathered) -> Currents {
    let held = load::run(&inputs::load(g)).ok().and_then(|out| out.held_at_output_a);
    let input: budget::Input = inputs::budget(g);
    let known = input.decoder.basis != Basis::Guess;
    let rated = |a: Option<f64>, what: &str| {
        a.filter(|_| known).map(|most_a| Amps { most_a, what: format!("rating, {what}") })
    };
    let motor = held.map(|h| Amps { most_a: h.hi, what: "motor held on the decoder".to_owned() });
    let loads: Vec<&LoadFact> = g.snapshot.loads.iter().collect();
    let all = sum(&loads);
    let wanted = every_goal_has_a_load(g, &loads);
    let rail = match (&motor, all) {
        (Some(m), Some(more)) if wanted => Some(Amps {
            most_a: m.most_a + more,
            what: format!("motor held, and {} of loads, measured", amps(more)),
        }),
        _ => None,
    };
    let on = |key: &str, name: &str| -> Option<Amps> {
        let of: Vec<&LoadFact> = loads
            .iter()
            .copied()
            .filter(|l| l.load.output.as_deref().is_some_and(|o| is_output(o, key, name)))
            .collect();
        let most_a = sum(&of).filter(|a| *a > 0.0)?;
        Some(Amps { most_a, what: "loads on this output, measured".to_owned() })
    };
    let outputs: Vec<(Terminal, Amps)> = Terminal::ALL
        .iter()
        .filter(|t| t.is_output())
        .filter_map(|t| {
            let colour = t.standard().map_or("", |s| s.colour.code());
            let known = on(colour, t.label());
            let rating = || rated(input.decoder.function_a, "one function output");
            Some((*t, known.or_else(rating)?))
        })
        .collect();
    let functions: Vec<&LoadFact> =
        loads.iter().copied().filter(|l| l.load.output.is_some()).collect();
    let common = sum(&functions).filter(|a| *a > 0.0);
    Currents {
        motor: motor.or_else(|| rated(input.decoder.motor_continuous_a, "motor continuous")),
        rail: rail.or_else(|| rated(input.decoder.total_continuous_a, "total continuous")),
        common: common
            .map(|most_a| Amps { most_a, what: "loads on all outputs, measured".to_owned() }),
        outputs,
    }
}

/// Whether what is kept as output of a load is this terminal: by colour or by name.
fn is_output(output: &str, colour: &str, name: &str) -> bool {
    let said = output.trim().to_lowercase();
    said == name || (!colour.is_empty() && said == colour)
}

/// The currents together, upper ends; `None` where one was not measured.
fn sum(loads: &[&LoadFact]) -> Option<f64> {
    loads
        .iter()
        .map(|fact| {
            let l = &fact.load;
            let amps = l.amps_a.filter(|_| l.basis == Basis::Measured)?;
            let over = l.meter.map_or(0.0, |m| m.spread(amps));
            Some((amps + over) * f64::from(l.count))
        })
        .sum()
}

fn every_goal_has_a_load(g: &Gathered, loads: &[&LoadFact]) -> bool {
    let has = |of: &dyn Fn(Kind) -> bool| loads.iter().any(|l| of(l.load.kind));
    let goals = g.snapshot.goals;
    (!goals.lights || has(&|k| matches!(k, Kind::Lamp | Kind::Led)))
        && (!goals.sound || has(&|k| k == Kind::Sound))
        && (!goals.store || has(&|k| k == Kind::Store))
}
