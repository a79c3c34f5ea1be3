//! Tests of the gates: every check at every aspect, judgements, staleness, and what never may happen.

mod aspects;
mod judging;
mod never;
mod story;
mod trials;

use super::*;
use crate::calc::budget::{Basis, Kind, PlannedLoad, Ratings};
use crate::calc::card::{CardName, Shell};
use crate::calc::isolation::{Outcome, Pair, Point, Position};
use crate::calc::pickup::{Side, Wheel, WheelState};

/// 2026-11-25 20:38 UTC.
pub const NOW: i64 = 1_795_639_080_000;
pub const DAY: i64 = 86_400_000;
/// When everything of [`proved`] was read: three days before.
pub const READ: i64 = NOW - 3 * DAY;

pub fn taken(id: &str, no: i64) -> Taken {
    Taken { id: id.into(), no, at_ms: READ, who: "Ines".into(), instrument: "multimeter 1".into() }
}

pub fn measured(value: f64, no: i64) -> Measured {
    Measured { value, accuracy: None, taken: taken(&format!("r{no}"), no) }
}

pub fn seen(observation: Observation, yes: bool) -> Seen {
    Seen {
        observation,
        yes,
        amount: observation.needs_amount().then_some(0.15),
        note: String::new(),
        taken: taken(observation.key(), 0),
    }
}

pub fn worked_out(observation: Observation, aspect: Aspect) -> WorkedOut {
    WorkedOut {
        observation,
        reads: "as worked out".into(),
        finding: Finding::new(aspect, "Worked out elsewhere.").would_change("Something else."),
        readings: vec![],
    }
}

pub fn snag(no: i64, blocks: Option<GateName>, severity: Severity) -> Snag {
    Snag {
        no,
        text: "Wiper is bent.".into(),
        severity,
        blocks,
        opened_at_ms: READ,
        who: "Ines".into(),
    }
}

pub fn alteration(kind: AlterationKind, at_ms: i64) -> Alteration {
    Alteration { kind, at_ms, who: "Ines".into(), what: String::new() }
}

pub fn load_fact(name: &str, kind: Kind, amps: f64, output: Option<&str>, no: i64) -> LoadFact {
    let mut load = PlannedLoad::new(name, kind, Some(amps));
    load.output = output.map(Into::into);
    LoadFact { load, taken: Some(taken(&format!("r{no}"), no)) }
}

pub fn wheel_fact(id: &str, side: Side, axle: u32, no: i64) -> WheelFact {
    WheelFact {
        wheel: Wheel {
            id: id.into(),
            side,
            axle,
            vehicle: "engine".into(),
            position_mm: Some(f64::from(axle) * 20.0),
            traction_tyre: false,
            dead_by_design: false,
            state: WheelState::Ohms { value: 0.3, lo: 0.2, hi: 0.4, steady: true },
        },
        taken: Some(taken(&format!("r{no}"), no)),
    }
}

pub const LEADS: [&str; 2] = ["front lamp lead", "speaker leads"];

pub fn wire_fact(name: &str, job: WireJob, state: WireState) -> WireFact {
    WireFact {
        name: name.into(),
        goes: "as it should".into(),
        job,
        state,
        proved: (state == WireState::Proved).then(|| taken(name, 0)),
    }
}

/// A wire of every job, proved.
fn wires() -> Vec<WireFact> {
    [
        ("wire 1, track right", WireJob::Rail),
        ("wire 2, motor +", WireJob::Motor),
        ("wire 3, front light", WireJob::Function),
        ("wire 4, speaker A", WireJob::Speaker),
        ("wire 5, store +", WireJob::Store),
        ("wire 6, ground", WireJob::Other),
    ]
    .map(|(name, job)| wire_fact(name, job, WireState::Proved))
    .to_vec()
}

/// Every pair of the walk open in every position that needs it.
fn open_walk() -> Vec<IsolationFact> {
    let leads = LEADS.map(str::to_owned);
    let (mut out, mut no) = (Vec::new(), 100);
    for pair in Pair::in_order(true, &leads) {
        for position in [Position::InFrame, Position::BogiesSwung, Position::ShellOn] {
            if position.needs(&pair, true) {
                no += 1;
                out.push(IsolationFact {
                    a: pair.a.clone(),
                    b: pair.b.clone(),
                    position,
                    outcome: Outcome::Open,
                    taken: taken(&format!("r{no}"), no),
                });
            }
        }
    }
    out
}

/// A run of a card that came out so.
pub fn done(name: CardName, shell: Shell, aspect: Aspect, no: i64) -> CardFact {
    let finding = Finding::new(aspect, "As read.").would_change("Another run.");
    CardFact { card: name, shell, finding, taken: taken(&format!("run{no}"), no) }
}

/// A conversion of which everything is wanted and everything is proved: all five gates clear.
pub fn proved() -> Snapshot {
    let mut s = Snapshot::empty(NOW, 60);
    s.has_bogies = true;
    s.goals = Goals { motor: true, sound: true, lights: true, store: true };
    s.survey = SurveyKey::ALL
        .iter()
        .map(|&key| SurveyFact { key, value: "written".into(), taken: taken(key.word(), 0) })
        .collect();
    s.load_test = Some(LoadTest {
        no: 2,
        test_v: Some(measured(12.0, 10)),
        free_a: Some(measured(0.14, 11)),
        slipping_a: Some(measured(0.36, 12)),
        held_a: Some(measured(0.73, 13)),
        held_v: None,
        held_refused: None,
        winding_ohm: Some(measured(16.2, 14)),
    });
    s.decoder = Some(Decoder {
        name: "decoder with sound, 1.00 A".into(),
        ratings: Ratings {
            motor_continuous_a: Some(1.0),
            motor_peak_a: Some(2.0),
            motor_peak_s: Some(2.0),
            total_continuous_a: Some(1.2),
            function_a: Some(0.1),
            outputs: vec![],
            basis: Basis::DataSheet,
        },
        set_at_ms: READ,
        set_by: "Ines".into(),
    });
    s.loads = vec![
        load_fact("front lamps", Kind::Led, 0.03, Some("white"), 20),
        load_fact("sound", Kind::Sound, 0.12, None, 21),
        load_fact("store charging", Kind::Store, 0.05, None, 22),
    ];
    s.track_v = Some(TrackVolts { value_v: 15.0, basis: Basis::Measured });
    s.wheels = (1..=3)
        .flat_map(|axle| {
            [(Side::Left, 'L', 30), (Side::Right, 'R', 40)].map(|(side, letter, no)| {
                wheel_fact(&format!("{letter}{axle}"), side, axle, no + i64::from(axle))
            })
        })
        .collect();
    s.function_leads = LEADS.map(str::to_owned).to_vec();
    s.isolation = open_walk();
    s.wiring.wires = wires();
    s.seen = Observation::ALL.iter().map(|&o| seen(o, true)).collect();
    s.worked_out = Observation::ALL
        .into_iter()
        .filter(|o| o.yes_gives() == Aspect::Caution)
        .map(|o| worked_out(o, Aspect::Clear))
        .collect();
    s.cards = vec![
        done(CardName::Isolation, Shell::Off, Aspect::Clear, 1),
        done(CardName::Isolation, Shell::On, Aspect::Clear, 2),
    ];
    s
}

/// The same conversion with every goal wanted and nothing known.
pub fn unknown() -> Snapshot {
    let mut s = Snapshot::empty(NOW, 60);
    s.goals = Goals { motor: true, sound: true, lights: true, store: true };
    s.function_leads = LEADS.map(str::to_owned).to_vec();
    s
}

pub fn find(s: &Snapshot, gate: GateName, key: &str) -> Check {
    let gates = gates(s);
    let gate = gates.iter().find(|g| g.name == gate).unwrap();
    gate.check(key).unwrap_or_else(|| panic!("no check {key} in {:?}", gate.name)).clone()
}

pub fn aspect(s: &Snapshot, gate: GateName, key: &str) -> Aspect {
    find(s, gate, key).finding.aspect
}

/// Every check of every gate with its aspect.
pub fn all(s: &Snapshot) -> Vec<(GateName, String, Aspect)> {
    gates(s)
        .into_iter()
        .flat_map(|g| g.checks.into_iter().map(move |c| (g.name, c.key, c.finding.aspect)))
        .collect()
}

pub fn set_pair(s: &mut Snapshot, a: Point, b: Point, position: Position, outcome: Outcome) {
    let pair = Pair::new(a, b);
    for fact in &mut s.isolation {
        if fact.position == position && Pair::new(fact.a.clone(), fact.b.clone()) == pair {
            fact.outcome = outcome;
        }
    }
}

pub fn answer(s: &mut Snapshot, observation: Observation, yes: bool) {
    s.worked_out.retain(|w| w.observation != observation);
    for one in s.seen.iter_mut().filter(|one| one.observation == observation) {
        one.yes = yes;
    }
}

pub fn forget(s: &mut Snapshot, observation: Observation) {
    s.worked_out.retain(|w| w.observation != observation);
    s.seen.retain(|one| one.observation != observation);
}
