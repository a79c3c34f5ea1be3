//! One conversion as a plain snapshot, from every room that has something to say; the pure part
//! (`calc::gates`) decides.

use super::{store, trials, wires};
use crate::calc::budget::{Basis, Case, Kind as LoadKind, PlannedLoad, Ratings};
use crate::calc::gates::{
    self, Alteration, Decoder, GateName, Goals, IsolationFact, LoadFact, LoadTest, Measured,
    Observation, PartFact, PartIs, Seen, Snapshot, SurveyFact, SurveyKey, Taken, TrackVolts,
    WheelFact,
};
use crate::calc::isolation::{Outcome as Shown, Point, Position};
use crate::calc::pickup::{Side, Wheel, WheelState};
use crate::choice::Choice;
use crate::db::Error;
use crate::features::conversions::model::{Conversion, Governing, thousandths, um_to_mm};
use crate::features::gates::view::At;
use crate::features::readings::model::{Kind, Outcome, Reading};
use crate::features::{
    alterations, calculators, circuits, datums, decoders, parts, readings, reviews, settings,
    snags, test_runs, wiring,
};
use sqlx::SqliteConnection;

/// Everything read for one conversion: the snapshot for the gates, and the records themselves for
/// the pages that show them.
#[derive(Debug)]
pub struct Gathered {
    /// The conversion.
    pub conversion: Conversion,
    /// Plain data for the pure part.
    pub snapshot: Snapshot,
    /// Readings not taken back, newest first.
    pub readings: Vec<Reading>,
    /// Load tests, newest first.
    pub load_tests: Vec<readings::model::LoadTest>,
    /// Wheels of the pickup map.
    pub wheels: Vec<circuits::model::Wheel>,
    /// The decoder chosen.
    pub decoder: Option<decoders::model::Decoder>,
    /// Planned loads.
    pub loads: Vec<decoders::model::Load>,
    /// Snags, open ones first.
    pub snags: Vec<snags::model::Snag>,
    /// Its parts.
    pub parts: Vec<parts::model::Part>,
    /// The wires, those taken out among them.
    pub wires: Vec<wiring::model::Wire>,
    /// What is wrong or not known about the wires, worst first.
    pub wiring: Vec<wiring::rules::Found>,
    /// Runs of test cards, taken-back ones included, newest first.
    pub runs: Vec<test_runs::model::Run>,
    /// Datums, in their order.
    pub datums: Vec<datums::model::Datum>,
    /// What was changed, newest first.
    pub alterations: Vec<alterations::model::Alteration>,
    /// Household settings.
    pub household: settings::model::Household,
}

impl Gathered {
    /// The five gates, as they stand.
    pub fn gates(&self) -> Vec<gates::Gate> {
        gates::gates(&self.snapshot)
    }

    /// Open snags.
    pub fn open_snags(&self) -> impl Iterator<Item = &snags::model::Snag> {
        self.snags.iter().filter(|s| s.closed_at.is_none())
    }
}

/// Reads everything about a conversion. `offset_minutes`: local time against UTC.
pub async fn gather(
    conn: &mut SqliteConnection,
    conversion: Conversion,
    (now, offset_minutes): (i64, i32),
) -> Result<Gathered, Error> {
    let id = conversion.id;
    let readings = readings::store::list_valid(conn, id).await?;
    let load_tests = readings::store::load_tests(conn, id).await?;
    let wheels = circuits::store::list(conn, id).await?;
    let decoder = decoders::store::find(conn, id).await?;
    let loads = decoders::store::loads(conn, id).await?;
    let snags = snags::store::list(conn, id).await?;
    let parts = parts::store::list(conn, Some(id)).await?;
    let alterations = alterations::store::list(conn, id).await?;
    let wires = wiring::store::list(conn, id).await?;
    let runs = test_runs::store::list(conn, id).await?;
    let datums = datums::store::list(conn, id).await?;
    let household = settings::store::household(conn).await?;
    let mut snapshot = Snapshot::empty(now, offset_minutes);
    let reviews = reviews::store::list_bare(conn, id).await?;
    snapshot.reviews = reviews.iter().map(super::reviews::fact).collect();
    let (judged, passed) = (store::judgements(conn, id).await?, store::passings(conn, id).await?);
    snapshot.judgements = judged.into_iter().map(|(_, j)| j).collect();
    snapshot.passings = passed.into_iter().map(|(_, p)| p).collect();
    let mut gathered = Gathered {
        conversion,
        snapshot,
        readings,
        load_tests,
        wheels,
        decoder,
        loads,
        snags,
        parts,
        wires,
        wiring: Vec::new(),
        runs,
        datums,
        alterations,
        household,
    };
    fill(&mut gathered);
    wires::fill(&mut gathered);
    trials::fill(&mut gathered);
    let saved = calculators::store::list_proving(conn, id).await?;
    let offset = time::UtcOffset::from_whole_seconds(offset_minutes * 60);
    let at = At { now, offset: offset.unwrap_or(time::UtcOffset::UTC) };
    gathered.snapshot.worked_out = calculators::worked::worked_out(&gathered, &saved, at);
    Ok(gathered)
}

/// Fills the snapshot from the records.
fn fill(g: &mut Gathered) {
    let c = &g.conversion;
    let mut thresholds = g.household.thresholds();
    if c.governing == Governing::Slipping {
        thresholds.governing = Case::Slipping;
    }
    let track_v =
        TrackVolts { value_v: c.track_v(g.household.number("track_v")), basis: Basis::DataSheet };
    let s = &mut g.snapshot;
    s.has_bogies = c.draft.drive.has_bogies();
    s.goals = Goals {
        motor: true,
        sound: c.draft.goal_sound,
        lights: c.draft.goal_lights,
        store: c.draft.goal_store,
    };
    s.thresholds = thresholds;
    s.track_v = Some(track_v);
    s.survey = survey(c, &g.readings);
    s.load_test = load_test(&g.load_tests, &g.readings);
    s.decoder = g.decoder.as_ref().map(decoder);
    s.loads = g.loads.iter().map(|l| load(l, &g.readings)).collect();
    s.function_leads = leads(c, &g.loads);
    s.wheels = g.wheels.iter().map(|w| wheel(w, &g.readings)).collect();
    s.isolation = g.readings.iter().filter_map(isolation).collect();
    s.seen = g.readings.iter().filter_map(seen).collect();
    s.snags = g.snags.iter().filter(|x| x.closed_at.is_none()).map(trials::snag).collect();
    s.parts = parts::holding::holding(&g.parts).into_iter().filter_map(part).collect();
    s.alterations = g
        .alterations
        .iter()
        .map(|a| Alteration {
            kind: a.kind,
            at_ms: a.at,
            who: a.person.clone(),
            what: a.what.clone(),
        })
        .collect();
}

/// Where a reading comes from.
pub fn taken(r: &Reading) -> Taken {
    Taken {
        id: r.id.to_string(),
        no: r.no,
        at_ms: r.draft.taken_at,
        who: r.person.clone(),
        instrument: r.instrument.clone(),
    }
}

/// A reading that is a number.
fn measured(r: &Reading) -> Option<Measured> {
    let value = r.draft.outcome.value()?;
    Some(Measured { value, accuracy: r.draft.accuracy, taken: taken(r) })
}

/// The newest reading of a kind.
fn newest(readings: &[Reading], kind: Kind) -> Option<&Reading> {
    readings.iter().find(|r| r.draft.kind == kind)
}

/// The survey: what the form of the conversion says, and the weight as found.
fn survey(c: &Conversion, readings: &[Reading]) -> Vec<SurveyFact> {
    let from_form = Taken {
        id: c.id.to_string(),
        no: 0,
        at_ms: c.draft.started_at,
        who: c.person.clone(),
        instrument: String::new(),
    };
    let known = |label: &str| {
        let label = label.to_owned();
        if label.contains("not known") { String::new() } else { label }
    };
    let d = &c.draft;
    let said = [
        (SurveyKey::Scale, c.scale_words()),
        (SurveyKey::Drive, d.wheels.clone()),
        (SurveyKey::Motor, known(d.motor.label())),
        (SurveyKey::Frame, known(d.frame.label())),
        (SurveyKey::PickupScheme, known(d.pickup.label())),
    ];
    let mut facts: Vec<SurveyFact> = said
        .into_iter()
        .map(|(key, value)| SurveyFact { key, value, taken: from_form.clone() })
        .collect();
    // the weight as found is the first one weighed
    if let Some(r) = readings.iter().rev().find(|r| r.draft.kind == Kind::Mass) {
        facts.push(SurveyFact { key: SurveyKey::Weight, value: r.reads(), taken: taken(r) });
    }
    facts
}

/// The latest load test with what belongs to it; the winding may be read on any evening.
fn load_test(tests: &[readings::model::LoadTest], readings: &[Reading]) -> Option<LoadTest> {
    let latest = tests.first()?;
    let of = |kind: Kind| {
        readings.iter().find(|r| r.draft.load_test_id == Some(latest.id) && r.draft.kind == kind)
    };
    let held = of(Kind::Held);
    let volts = |r: &Reading| {
        Some(Measured {
            value: r.draft.conditions.volts?,
            accuracy: r.draft.conditions.volts_accuracy,
            taken: taken(r),
        })
    };
    let base = of(Kind::Slipping).or_else(|| of(Kind::Free)).or(held)?;
    Some(LoadTest {
        no: latest.no,
        test_v: volts(base),
        free_a: of(Kind::Free).and_then(measured),
        slipping_a: of(Kind::Slipping).and_then(measured),
        held_a: held.and_then(measured),
        held_v: held.and_then(volts),
        held_refused: held.filter(|r| r.draft.outcome == Outcome::NotReached).map(taken),
        winding_ohm: newest(readings, Kind::Winding).and_then(measured),
    })
}

fn basis(b: decoders::model::Basis) -> Basis {
    match b {
        decoders::model::Basis::Measured => Basis::Measured,
        decoders::model::Basis::DataSheet => Basis::DataSheet,
        decoders::model::Basis::Guess => Basis::Guess,
    }
}

fn decoder(d: &decoders::model::Decoder) -> Decoder {
    let r = &d.draft;
    let ratings = Ratings {
        motor_continuous_a: r.motor_continuous_ma.map(thousandths),
        motor_peak_a: r.motor_peak_ma.map(thousandths),
        motor_peak_s: r.motor_peak_ms.map(thousandths),
        total_continuous_a: r.total_continuous_ma.map(thousandths),
        function_a: r.function_ma.map(thousandths),
        outputs: Vec::new(),
        basis: basis(r.basis),
    };
    Decoder { name: r.name.clone(), ratings, set_at_ms: d.changed_at, set_by: String::new() }
}

/// A planned load; a measured one is tied to the newest reading of a load of that name.
fn load(l: &decoders::model::Load, readings: &[Reading]) -> LoadFact {
    use crate::features::decoders::model::LoadKind as Stored;
    let d = &l.draft;
    let kind = match d.kind {
        Stored::Lamp => LoadKind::Lamp,
        Stored::Led => LoadKind::Led,
        Stored::Sound => LoadKind::Sound,
        Stored::Smoke => LoadKind::Smoke,
        Stored::Store => LoadKind::Store,
        Stored::Other => LoadKind::Other,
    };
    let read = readings
        .iter()
        .find(|r| r.draft.kind == Kind::LoadCurrent && r.draft.point_a == d.name)
        .filter(|r| r.draft.outcome.value().is_some());
    let amps = read.and_then(|r| r.draft.outcome.value());
    let planned = PlannedLoad {
        name: d.name.clone(),
        kind,
        amps_a: Some(amps.unwrap_or(thousandths(d.each_ua) / 1000.0)),
        count: u32::try_from(d.count).unwrap_or(1),
        output: (!d.output.is_empty()).then(|| d.output.clone()),
        basis: if read.is_some() { Basis::Measured } else { basis(d.basis) },
        meter: read.and_then(|r| r.draft.accuracy),
    };
    LoadFact { load: planned, taken: read.map(taken) }
}

/// Leads that must be off the frame and the rails: one per function output in use, and the speaker's.
fn leads(c: &Conversion, loads: &[decoders::model::Load]) -> Vec<String> {
    let mut names: Vec<String> = loads
        .iter()
        .filter(|l| !l.draft.output.is_empty())
        .map(|l| format!("{} lead", l.draft.name))
        .collect();
    if c.draft.goal_sound {
        names.push("speaker leads".to_owned());
    }
    names.sort();
    names.dedup();
    names
}

/// A wheel with its newest reading.
fn wheel(w: &circuits::model::Wheel, readings: &[Reading]) -> WheelFact {
    let read = readings.iter().find(|r| r.draft.wheel_id == Some(w.id));
    let steady = read.and_then(|r| r.draft.steady).unwrap_or(true);
    let state = match read.map(|r| (r.draft.outcome, r.bounds())) {
        Some((Outcome::Value(value), Some(b))) => {
            WheelState::Ohms { value, lo: b.lo.max(0.0), hi: b.hi, steady }
        }
        Some((Outcome::Joined, _)) => WheelState::Ohms { value: 0.0, lo: 0.0, hi: 0.0, steady },
        Some((Outcome::Open | Outcome::No, _)) => WheelState::Open,
        _ => WheelState::Unmeasured,
    };
    let side = match w.draft.side {
        circuits::model::Side::Left => Side::Left,
        circuits::model::Side::Right => Side::Right,
    };
    let fact = Wheel {
        id: w.label(),
        side,
        axle: u32::try_from(w.draft.axle).unwrap_or(1),
        vehicle: w.draft.vehicle.clone(),
        position_mm: w.draft.position_um.map(um_to_mm),
        traction_tyre: w.draft.traction_tyre,
        dead_by_design: w.draft.dead_by_design,
        state,
    };
    WheelFact { wheel: fact, taken: read.map(taken) }
}

/// An isolation reading.
fn isolation(r: &Reading) -> Option<IsolationFact> {
    if r.draft.kind != Kind::Isolation {
        return None;
    }
    let outcome = match r.draft.outcome {
        Outcome::Open => Shown::Open,
        Outcome::Joined => Shown::Joined,
        Outcome::Value(value) => {
            let b = r.bounds()?;
            Shown::Ohms { value, lo: b.lo.max(0.0), hi: b.hi }
        }
        _ => return None,
    };
    Some(IsolationFact {
        a: Point::from(r.draft.point_a.clone()),
        b: Point::from(r.draft.point_b.clone()),
        position: Position::from_key(r.draft.conditions.position?.code())?,
        outcome,
        taken: taken(r),
    })
}

/// Something looked at or tried.
fn seen(r: &Reading) -> Option<Seen> {
    if r.draft.kind != Kind::Observation {
        return None;
    }
    let (yes, amount) = match r.draft.outcome {
        Outcome::Yes => (true, None),
        Outcome::No => (false, None),
        Outcome::Value(v) => (true, Some(v)),
        _ => return None,
    };
    Some(Seen {
        observation: Observation::from_key(&r.draft.point_a)?,
        yes,
        amount,
        note: r.draft.conditions.remark.clone(),
        taken: taken(r),
    })
}

/// A part that holds a gate up.
fn part(h: parts::holding::Holding) -> Option<PartFact> {
    use crate::features::parts::model::State;
    let is = match h.state {
        State::Wanted | State::TriedInPaper => PartIs::Wanted,
        State::Ordered | State::Shipped => PartIs::OnTheWay,
        State::Arrived | State::Proved | State::Fitted => PartIs::Here,
        State::Dead => PartIs::Dead,
        State::Returned => PartIs::Returned,
    };
    let blocks = GateName::from_key(h.gate.code())?;
    Some(PartFact { no: h.no, name: h.name, blocks, is, since_ms: h.since })
}
