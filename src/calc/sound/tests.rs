use super::network::{Polarity, decibels};
use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;

fn speaker(impedance_ohm: f64) -> Node {
    Node::Speaker(Speaker {
        name: "one".to_owned(),
        impedance_ohm,
        measured_ohm: Some(0.9 * impedance_ohm),
        rated_w: Some(2.0),
        moves: Some(Polarity::Outward),
    })
}

fn input(network: Node) -> Input {
    Input {
        least_load_ohm: Some(4.0),
        output_v: Some(2.0),
        amplifier_w: None,
        ohm_meter: None,
        network,
        closed_box: None,
    }
}

fn near(got: f64, want: f64, within: f64) -> bool {
    (got - want).abs() <= within
}

fn box_of(fs_hz: f64, qts: f64, vas_cm3: f64, box_cm3: f64) -> ClosedBox {
    ClosedBox {
        fs_hz,
        qts,
        vas_cm3,
        box_cm3: Some(box_cm3),
        spread_percent: None,
        wanted_qtc: None,
        band_low_hz: None,
    }
}

/// Worked by hand: 8 ∥ 8 = 4, 8 + 8 = 16, 8 ∥ 4 = 2.667, 4 + 4 = 8 Ω; 2.828 V RMS gives 1 W in 8 Ω
/// and 2 W in 4 Ω; doubled power +3.01 dB, doubled voltage +6.02 dB.
#[test]
fn loads_and_powers_of_the_table() {
    let load = |node: &Node| node.load_ohm(&|s: &Speaker| s.impedance_ohm);
    let pair = |a, b| vec![speaker(a), speaker(b)];
    for (node, ohm) in [
        (Node::Parallel(pair(8.0, 8.0)), 4.0),
        (Node::Series(pair(8.0, 8.0)), 16.0),
        (Node::Parallel(pair(8.0, 4.0)), 2.667),
        (Node::Series(pair(4.0, 4.0)), 8.0),
    ] {
        assert!(near(load(&node), ohm, 0.0005), "{ohm}");
    }
    assert!(near(speaker(8.0).powers_w(2.828)[0], 1.0, 0.001));
    assert!(near(speaker(4.0).powers_w(2.828)[0], 2.0, 0.002));
    assert!(near(decibels(2.0), 3.01, 0.005) && near(decibels(4.0), 6.02, 0.005));
}

#[test]
fn series_shares_by_ohms_and_parallel_the_other_way_round() {
    let pair = vec![speaker(8.0), speaker(4.0)];
    let shares = |node: Node| {
        run(&input(node)).unwrap().speakers.iter().map(|s| s.share).collect::<Vec<_>>()
    };
    let series = shares(Node::Series(pair.clone()));
    let parallel = shares(Node::Parallel(pair));
    assert!(near(series[0], 2.0 / 3.0, 1e-12) && near(parallel[0], 1.0 / 3.0, 1e-12));
}

/// Published example: f_s 35 Hz, Q_ts 0.65, V_as 45 l, V_b 30 l: Q_tc printed 1.03, f_3 printed 43 Hz;
/// recomputed 1.0277, f_c 55.34, f_3 42.99. For Q_tc 0.7071 the box is 245.3 l (246 in print, by
/// rounded steps).
#[test]
fn the_handbook_box_comes_out() {
    let result = sealed::work(&box_of(35.0, 0.65, 45_000.0, 30_000.0));
    assert!(near(result.qtc.unwrap().value, 1.0277, 5e-5));
    assert!(near(result.fc_hz.unwrap().value, 55.34, 0.005));
    assert!(near(result.f3_hz.unwrap().value, 42.99, 0.005));
    assert!(near(result.wanted_box_cm3.unwrap(), 245_300.0, 50.0));
}

/// Worked by hand: Q_ts 0.5 and V_as = V_b give Q_tc 0.7071 and f_3 = f_c = 1.4142 f_s.
#[test]
fn the_flattest_box_has_its_low_end_at_resonance() {
    let result = sealed::work(&box_of(100.0, 0.5, 7.0, 7.0));
    assert!(near(result.qtc.unwrap().value, sealed::FLATTEST, 1e-12));
    assert!(near(result.fc_hz.unwrap().value, 141.42, 0.005));
    assert!(near(result.f3_hz.unwrap().value, 141.42, 0.005));
    assert!(near(sealed::response_db(141.42, 141.42, sealed::FLATTEST), -3.01, 0.005));
    assert!(near(result.peak_db.unwrap(), 0.0, 1e-9));
}

#[test]
fn two_eights_side_by_side_on_an_eight_ohm_amplifier_are_danger() {
    let mut asked = input(Node::Parallel(vec![speaker(8.0), speaker(8.0)]));
    asked.least_load_ohm = Some(8.0);
    let answer = run(&asked).unwrap().answer();
    assert_eq!(answer.aspect, Aspect::Danger);
    assert!(answer.sentence.contains("4.0\u{a0}Ω together"));
}

#[test]
fn printed_ohms_alone_are_unlit_and_a_low_reading_is_danger() {
    let with = |measured_ohm| {
        let mut node = speaker(8.0);
        if let Node::Speaker(s) = &mut node {
            s.measured_ohm = measured_ohm;
        }
        let mut asked = input(node);
        asked.least_load_ohm = Some(8.0);
        run(&asked).unwrap().answer().aspect
    };
    let mut unmeasured = input(speaker(8.0));
    if let Node::Speaker(s) = &mut unmeasured.network {
        s.measured_ohm = None;
    }
    let load = run(&unmeasured).unwrap().findings[0].clone();
    assert_eq!((load.aspect, load.would_change.is_empty()), (Aspect::Unlit, false), "{load:?}");
    assert_eq!(with(Some(7.2)), Aspect::Clear);
    assert_eq!(with(None), Aspect::Unlit);
    assert_eq!(with(Some(3.8)), Aspect::Danger, "a four-ohm speaker sold as eight");
    assert_eq!(with(Some(40.0)), Aspect::Caution);
}

#[test]
fn cones_that_move_apart_are_caution_and_untried_ones_unlit() {
    let with = |moves| {
        let mut other = speaker(4.0);
        if let Node::Speaker(s) = &mut other {
            s.moves = moves;
        }
        run(&input(Node::Series(vec![speaker(4.0), other]))).unwrap().answer().aspect
    };
    assert_eq!(with(Some(Polarity::Outward)), Aspect::Clear);
    assert_eq!(with(Some(Polarity::Inward)), Aspect::Caution);
    assert_eq!(with(None), Aspect::Unlit);
}

#[test]
fn whatever_is_not_known_is_unlit() {
    let base = input(speaker(8.0));
    let aspect = |asked: &Input| run(asked).unwrap().answer().aspect;
    assert_eq!(aspect(&base), Aspect::Clear);
    assert_eq!(aspect(&Input { least_load_ohm: None, ..base.clone() }), Aspect::Unlit);
    assert_eq!(aspect(&Input { output_v: None, ..base.clone() }), Aspect::Unlit);
    let mut no_box = box_of(600.0, 0.9, 2.0, 2.0);
    no_box.box_cm3 = None;
    assert_eq!(aspect(&Input { closed_box: Some(no_box), ..base.clone() }), Aspect::Unlit);
    let mut unrated = base;
    if let Node::Speaker(s) = &mut unrated.network {
        s.rated_w = None;
    }
    assert_eq!(aspect(&unrated), Aspect::Unlit);
}

#[test]
fn a_box_that_stops_above_the_wanted_note_is_caution() {
    let with = |low| {
        let mut asked = input(speaker(8.0));
        asked.closed_box =
            Some(ClosedBox { band_low_hz: Some(low), ..box_of(100.0, 0.5, 7.0, 7.0) });
        run(&asked).unwrap().answer()
    };
    assert_eq!(with(200.0).aspect, Aspect::Clear);
    assert_eq!(with(71.0).aspect, Aspect::Caution);
    assert!(with(71.0).sentence.contains("−12\u{a0}dB"), "{}", with(71.0).sentence);
}

#[test]
fn bad_networks_and_fields_are_refused() {
    let mut deep = speaker(8.0);
    for _ in 0..8 {
        deep = Node::Series(vec![deep]);
    }
    for network in [deep, Node::Series(vec![]), Node::Parallel(vec![speaker(8.0); 33])] {
        assert_eq!(run(&input(network)).unwrap_err()[0].field, "network");
    }
    let both = Input { amplifier_w: Some(1.0), ..input(speaker(8.0)) };
    assert_eq!(run(&both).unwrap_err()[0].field, "amplifier_w");
    let low = run(&input(speaker(0.1))).unwrap_err();
    assert_eq!(low[0].field, "network.speaker(one).impedance_ohm");
}

#[test]
fn the_example_runs() {
    let answer = (CALCULATION.run)(CALCULATION.example).unwrap();
    assert!(answer.values.iter().any(|v| v.name == "f3_hz"));
    assert!((CALCULATION.run)(r#"{"network":{"serial":[]}}"#).is_err());
}

fn any_network() -> impl Strategy<Value = Node> {
    let leaf = (2.0..64.0f64).prop_map(speaker);
    leaf.prop_recursive(4, 16, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 1..4).prop_map(Node::Series),
            prop::collection::vec(inner, 1..4).prop_map(Node::Parallel),
        ]
    })
}

proptest! {
    #[test]
    fn the_shares_make_up_the_whole(network in any_network()) {
        let out = run(&input(network));
        prop_assume!(out.is_ok());
        let whole: f64 = out.unwrap().speakers.iter().map(|s| s.share).sum();
        prop_assert!((whole - 1.0).abs() < 1e-9);
    }

    /// Any true values within the spread stay within the ends.
    #[test]
    fn bounds_contain_what_can_be(
        fs in 50.0..1000.0f64, q in 0.2..3.0f64, vas in 0.1..50.0f64, air in 0.1..50.0f64,
        spread in 0.0..30.0f64, off in prop::array::uniform3(-1.0..1.0f64),
    ) {
        let told = sealed::work(&ClosedBox { spread_percent: Some(spread), ..box_of(fs, q, vas, air) });
        let by = |i: usize| 1.0 + off[i] * spread / 100.0;
        let real = sealed::work(&box_of(fs * by(0), q * by(1), vas * by(2), air));
        for (told, real) in [(told.f3_hz, real.f3_hz), (told.fc_hz, real.fc_hz), (told.qtc, real.qtc)] {
            prop_assert!(told.unwrap().interval().contains(real.unwrap().value));
        }
    }

    /// An amplifier that stands a lower load, or a speaker that stands more, never makes it worse.
    #[test]
    fn a_raised_rating_never_worsens(
        network in any_network(), least in 1.0..32.0f64, volts in 0.5..6.0f64, by in 1.0..4.0f64,
        rated in 0.05..2.0f64,
    ) {
        fn set(node: &mut Node, rated: f64) {
            match node {
                Node::Speaker(s) => s.rated_w = Some(rated),
                Node::Series(p) | Node::Parallel(p) => p.iter_mut().for_each(|n| set(n, rated)),
            }
        }
        let mut base = Input { least_load_ohm: Some(least), output_v: Some(volts), ..input(network) };
        set(&mut base.network, rated);
        let before = run(&base);
        prop_assume!(before.is_ok());
        let before = before.unwrap().answer().aspect.rank();
        let stands = Input { least_load_ohm: Some((least / by).max(1.0)), ..base.clone() };
        prop_assert!(run(&stands).unwrap().answer().aspect.rank() <= before);
        set(&mut base.network, rated * by);
        prop_assert!(run(&base).unwrap().answer().aspect.rank() <= before);
    }
}
