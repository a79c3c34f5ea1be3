//! What never may happen, on random conversions: forgetting or altering turns something clear.
//!
//! A datum is anything somebody measured, looked up, saw or answered. Not data in this sense: the plan
//! (goals, wheels and leads and loads as such), alterations and snags (problems written down: taking one
//! away may well clear a check), worked-out verdicts and what a person says against one, and the conditions of a reading that are forgotten
//! only together with it (its accuracy, the voltage it was held at).

use super::*;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::Value;

/// Paths of everything in the snapshot that can be forgotten.
fn data(json: &Value) -> Vec<Vec<String>> {
    let mut out = Vec::new();
    let mut at = |path: &[&str]| out.push(path.iter().map(|p| (*p).to_owned()).collect::<Vec<_>>());
    for name in ["load_test", "decoder", "track_v"] {
        at(&[name]);
    }
    for name in ["test_v", "free_a", "slipping_a", "held_a", "held_refused", "winding_ohm"] {
        at(&["load_test", name]);
    }
    for name in
        ["motor_continuous_a", "motor_peak_a", "motor_peak_s", "total_continuous_a", "function_a"]
    {
        at(&["decoder", "ratings", name]);
    }
    for (list, names) in [
        ("survey", vec![vec![]]),
        ("isolation", vec![vec![]]),
        ("seen", vec![vec![], vec!["amount"]]),
        ("judgements", vec![vec![]]),
        ("passings", vec![vec![]]),
        ("datums", vec![vec![]]),
        ("wheels", vec![vec!["taken"], vec!["wheel", "state"], vec!["wheel", "position_mm"]]),
        ("loads", vec![vec!["taken"], vec!["load", "amps_a"], vec!["load", "output"]]),
    ] {
        for i in 0..json[list].as_array().map_or(0, Vec::len) {
            let answered = &json[list][i]["observation"];
            let sheets = json["worked_out"].as_array().into_iter().flatten();
            if list == "seen" && sheets.into_iter().any(|w| w["observation"] == *answered) {
                continue;
            }
            for name in &names {
                let i = i.to_string();
                let mut path = vec![list, i.as_str()];
                path.extend(name);
                at(&path);
            }
        }
    }
    for i in 0..json["wiring"]["wires"].as_array().map_or(0, Vec::len) {
        out.push(["wiring", "wires", &i.to_string(), "proved"].map(str::to_owned).to_vec());
    }
    out
}

/// The snapshot without one datum: an entry of a list is taken out, a field set to nothing.
fn without(json: &Value, path: &[String]) -> Option<Snapshot> {
    let mut json = json.clone();
    let (last, before) = path.split_last()?;
    let mut spot = &mut json;
    for step in before {
        spot = match spot {
            Value::Array(list) => list.get_mut(step.parse::<usize>().ok()?)?,
            Value::Object(map) => map.get_mut(step)?,
            _ => return None,
        };
    }
    match spot {
        Value::Array(list) => {
            list.remove(last.parse().ok()?);
        }
        Value::Object(map) => {
            let nothing = if last == "state" { "unmeasured".into() } else { Value::Null };
            map.insert(last.clone(), nothing);
        }
        _ => return None,
    }
    serde_json::from_value(json).ok()
}

/// Checks that are clear after and weren't before, a check that appears counted as not clear before.
fn turned_clear(before: &Snapshot, after: &Snapshot) -> Vec<String> {
    let was = all(before);
    all(after)
        .into_iter()
        .filter(|(gate, key, aspect)| {
            *aspect == Aspect::Clear && !was.contains(&(*gate, key.clone(), Aspect::Clear))
        })
        .map(|(gate, key, _)| format!("{}/{key}", gate.key()))
        .collect()
}

/// Checks whose gate counts them as better after than before.
fn judged_better(before: &Snapshot, after: &Snapshot) -> bool {
    let rank = |s: &Snapshot| -> Vec<u8> { gates(s).iter().map(|g| g.aspect.rank()).collect() };
    rank(before).iter().zip(rank(after)).any(|(b, a)| a == 0 && *b != 0)
}

fn any_amps() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.02), Just(0.14), Just(0.3), Just(0.36), Just(0.73), Just(1.1), Just(45.0)]
}

fn any_ohms() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.4), Just(300_000.0), Just(20e6), 1.0..2e6]
}

/// One random change to a proved conversion.
#[derive(Debug, Clone)]
enum Change {
    Current(u8, f64),
    Rating(u8, f64),
    Load(Index, f64, u8),
    Wheel(Index, WheelState),
    Isolation(Index, Outcome),
    Answer(Index, bool, Option<f64>),
    At(Index, i64),
    Alter(Index, i64),
    Snag(Index, u8),
    NotWorkedOut(Index),
    WorkedOut(Index, u8),
    Goal(u8),
    Refuse,
    Track(f64, u8),
    Forget(Index),
}

fn basis(n: u8) -> Basis {
    [Basis::Measured, Basis::DataSheet, Basis::Guess][usize::from(n) % 3]
}

fn any_change() -> impl Strategy<Value = Change> {
    let state = prop_oneof![
        Just(WheelState::Open),
        Just(WheelState::Unmeasured),
        (0.1..3.0, any::<bool>()).prop_map(|(value, steady)| WheelState::Ohms {
            value,
            lo: value * 0.9,
            hi: value * 1.1,
            steady
        }),
    ];
    let outcome = prop_oneof![
        Just(Outcome::Joined),
        any_ohms().prop_map(|v| Outcome::Ohms { value: v, lo: v * 0.9, hi: v * 1.1 }),
    ];
    let amount = proptest::option::of(prop_oneof![Just(0.1), Just(0.25), Just(0.5)]);
    prop_oneof![
        (any::<u8>(), any_amps()).prop_map(|(n, a)| Change::Current(n, a)),
        (any::<u8>(), any_amps()).prop_map(|(n, a)| Change::Rating(n, a)),
        (any::<Index>(), any_amps(), any::<u8>()).prop_map(|(i, a, b)| Change::Load(i, a, b)),
        (any::<Index>(), state).prop_map(|(i, s)| Change::Wheel(i, s)),
        (any::<Index>(), outcome).prop_map(|(i, o)| Change::Isolation(i, o)),
        (any::<Index>(), any::<bool>(), amount).prop_map(|(i, y, a)| Change::Answer(i, y, a)),
        (any::<Index>(), -5..5i64).prop_map(|(i, d)| Change::At(i, d)),
        (any::<Index>(), -5..2i64).prop_map(|(i, d)| Change::Alter(i, d)),
        (any::<Index>(), any::<u8>()).prop_map(|(i, n)| Change::Snag(i, n)),
        any::<Index>().prop_map(Change::NotWorkedOut),
        (any::<Index>(), any::<u8>()).prop_map(|(i, n)| Change::WorkedOut(i, n)),
        any::<u8>().prop_map(Change::Goal),
        Just(Change::Refuse),
        (prop_oneof![Just(12.0), Just(22.0), Just(1.5)], any::<u8>())
            .prop_map(|(v, b)| Change::Track(v, b)),
        any::<Index>().prop_map(Change::Forget),
    ]
}

fn apply(s: &mut Snapshot, change: &Change) {
    apply_numbers(s, change);
    apply_entries(s, change);
}

fn apply_numbers(s: &mut Snapshot, change: &Change) {
    match *change {
        Change::Current(n, amps) => {
            let Some(test) = s.load_test.as_mut() else { return };
            let field = match n % 4 {
                0 => &mut test.free_a,
                1 => &mut test.slipping_a,
                2 => &mut test.held_a,
                _ => &mut test.winding_ohm,
            };
            let value = if n % 4 == 3 { amps * 20.0 } else { amps };
            if let Some(one) = field {
                one.value = value;
            }
        }
        Change::Rating(n, amps) => {
            let Some(decoder) = s.decoder.as_mut() else { return };
            let r = &mut decoder.ratings;
            match n % 5 {
                0 => r.motor_continuous_a = Some(amps),
                1 => r.motor_peak_a = Some(amps),
                2 => r.total_continuous_a = Some(amps),
                3 => r.function_a = Some(amps),
                _ => r.basis = basis(n),
            }
        }
        Change::Load(i, amps, b) => {
            let fact = i.get_mut(&mut s.loads);
            fact.load.amps_a = Some(amps);
            fact.load.basis = basis(b);
        }
        Change::Goal(n) => match n % 4 {
            0 => s.goals.motor = false,
            1 => s.goals.sound = false,
            2 => s.goals.lights = false,
            _ => s.goals.store = false,
        },
        Change::Refuse => {
            if let Some(test) = s.load_test.as_mut() {
                test.held_a = None;
                test.held_refused = Some(taken("r13", 13));
            }
        }
        Change::Track(value_v, b) => s.track_v = Some(TrackVolts { value_v, basis: basis(b) }),
        _ => {}
    }
}

fn apply_entries(s: &mut Snapshot, change: &Change) {
    match *change {
        Change::Wheel(i, state) => i.get_mut(&mut s.wheels).wheel.state = state,
        Change::Isolation(i, outcome) if !s.isolation.is_empty() => {
            i.get_mut(&mut s.isolation).outcome = outcome;
        }
        Change::Answer(i, yes, amount) if !s.seen.is_empty() => {
            let one = i.get_mut(&mut s.seen);
            (one.yes, one.amount) = (yes, amount);
        }
        Change::At(i, days) => move_in_time(s, i, days),
        Change::Alter(i, days) => {
            s.alterations.push(alteration(*i.get(&AlterationKind::ALL), READ + days * DAY));
        }
        Change::Snag(i, n) => {
            let blocks = (n % 3 > 0).then(|| *i.get(&GateName::ALL));
            let severity =
                [Severity::Minor, Severity::Serious, Severity::Grave][usize::from(n) % 3];
            s.snags.push(snag(i64::from(n), blocks, severity));
        }
        Change::NotWorkedOut(i) if !s.worked_out.is_empty() => {
            s.worked_out.remove(i.index(s.worked_out.len()));
        }
        Change::WorkedOut(i, n) => {
            let aspect =
                [Aspect::Clear, Aspect::Caution, Aspect::Unlit, Aspect::Danger][usize::from(n) % 4];
            let observation = *i.get(&Observation::ALL);
            s.worked_out.retain(|w| w.observation != observation);
            s.worked_out.push(worked_out(observation, aspect));
        }
        Change::Forget(i) => {
            let json = serde_json::to_value(&*s).unwrap();
            let paths = data(&json);
            if let Some(less) = without(&json, &paths[i.index(paths.len())]) {
                *s = less;
            }
        }
        _ => {}
    }
}

fn move_in_time(s: &mut Snapshot, i: Index, days: i64) {
    let mut all: Vec<&mut Taken> = Vec::new();
    all.extend(s.seen.iter_mut().map(|o| &mut o.taken));
    all.extend(s.survey.iter_mut().map(|f| &mut f.taken));
    all.extend(s.isolation.iter_mut().map(|f| &mut f.taken));
    all.extend(s.wheels.iter_mut().filter_map(|f| f.taken.as_mut()));
    all.extend(s.loads.iter_mut().filter_map(|f| f.taken.as_mut()));
    if let Some(test) = s.load_test.as_mut() {
        let parts =
            [&mut test.free_a, &mut test.slipping_a, &mut test.held_a, &mut test.winding_ohm];
        all.extend(parts.into_iter().flatten().map(|m| &mut m.taken));
    }
    if !all.is_empty() {
        i.get_mut(&mut all).at_ms += days * DAY;
    }
}

/// A random conversion, from nearly proved to hardly known, with judgements on all it takes them for.
fn any_snapshot() -> impl Strategy<Value = Snapshot> {
    (proptest::collection::vec(any_change(), 0..12), any::<bool>()).prop_map(|(changes, judge)| {
        let mut s = proved();
        for change in changes {
            apply(&mut s, &change);
        }
        if judge {
            let signed: Vec<Judgement> = gates(&s)
                .iter()
                .flat_map(|g| g.checks.iter().map(|c| (g.name, c)))
                .filter_map(|(gate, check)| attempt(check, gate, "Ines", "I know it.", NOW).ok())
                .collect();
            s.judgements.extend(signed);
        }
        s
    })
}

#[test]
fn a_snapshot_comes_back_from_json() {
    let s = proved();
    let json = serde_json::to_string(&s).unwrap();
    assert_eq!(serde_json::from_str::<Snapshot>(&json).unwrap(), s);
}

/// From proved, each datum there is, one by one: none turns anything clear, and all but a few that carry
/// no check by themselves turn something unlit or worse.
#[test]
fn forgetting_any_one_thing_of_a_proved_conversion_shows() {
    let s = proved();
    let json = serde_json::to_value(&s).unwrap();
    for path in data(&json) {
        let less = without(&json, &path).unwrap();
        assert_eq!(turned_clear(&s, &less), Vec::<String>::new(), "{path:?}");
        let shows = all(&less).iter().any(|c| c.2 != Aspect::Clear);
        let no_part = |p: &Vec<String>| {
            let last = p.last().unwrap().as_str();
            let unasked = p[0] == "seen" && last == "amount" && {
                let one = s.seen[p[1].parse::<usize>().unwrap()].observation;
                !one.needs_amount()
            };
            // A position or the peak's seconds judge nothing, nor does a peak that the continuous
            // rating covers; the motor was held, so a refusal has no part; sound and store hang on no
            // output.
            unasked
                || ["position_mm", "motor_peak_a", "motor_peak_s", "held_refused"].contains(&last)
                || (last == "output" && p[1] != "0")
        };
        assert_eq!(shows, !no_part(&path), "{path:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn forgetting_a_datum_never_turns_a_check_clear(s in any_snapshot(), which in any::<Index>()) {
        let json = serde_json::to_value(&s).unwrap();
        let paths = data(&json);
        if let Some(less) = without(&json, &paths[which.index(paths.len())]) {
            let turned = turned_clear(&s, &less);
            prop_assert!(turned.is_empty(), "{:?} by forgetting {:?}", turned, which.get(&paths));
            prop_assert!(!judged_better(&s, &less));
        }
    }

    #[test]
    fn an_alteration_never_turns_a_check_clear(
        s in any_snapshot(), which in any::<Index>(), days in -6..6i64,
    ) {
        let mut later = s.clone();
        later.alterations.push(alteration(*which.get(&AlterationKind::ALL), READ + days * DAY));
        let turned = turned_clear(&s, &later);
        prop_assert!(turned.is_empty(), "{:?} by {:?}", turned, later.alterations.last());
        prop_assert!(!judged_better(&s, &later));
    }

    #[test]
    fn no_judgement_makes_a_gate_clear_or_passes_unlit_or_a_short(s in any_snapshot()) {
        let mut signed = s.clone();
        for gate in gates(&s) {
            for check in &gate.checks {
                signed.judgements.push(Judgement {
                    gate: gate.name,
                    check: check.key.clone(),
                    aspect: check.finding.aspect,
                    person: "Ines".into(),
                    reason: "x".into(),
                    at_ms: NOW,
                    fingerprint: check.fingerprint.clone(),
                });
            }
        }
        for (before, after) in gates(&s).iter().zip(gates(&signed)) {
            prop_assert!(after.aspect != Aspect::Clear || before.aspect == Aspect::Clear);
            for (was, is) in before.checks.iter().zip(&after.checks) {
                prop_assert_eq!(&was.finding, &is.finding);
                if is.judgement.is_some() {
                    let advice = ["headroom", "headroom_all", "mechanism"].contains(&is.key.as_str());
                    prop_assert!(is.finding.aspect == Aspect::Caution
                        || (advice && is.finding.aspect == Aspect::Danger));
                }
            }
        }
    }

    #[test]
    fn every_check_says_something_and_every_open_one_what_to_do(s in any_snapshot()) {
        for gate in gates(&s) {
            for check in gate.checks {
                prop_assert!(!check.finding.sentence.trim().is_empty(), "{}", check.key);
                prop_assert!(!check.reads.is_empty() && !check.needs.is_empty(), "{}", check.key);
                prop_assert!(!check.finding.source.is_empty() || check.finding.aspect == Aspect::Unlit
                    || check.finding.sentence.contains("elsewhere"), "{}", check.key);
                if check.finding.aspect != Aspect::Clear {
                    prop_assert!(!check.action.what.is_empty(), "{}", check.key);
                }
            }
        }
    }
}
