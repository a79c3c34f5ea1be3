use super::*;
use crate::aspect::Aspect;
use crate::calc::holdup::Speed;
use proptest::prelude::*;

fn wheel(position_mm: f64, rail: Rail, works: Option<bool>) -> Wheel {
    Wheel { position_mm, rail, works }
}

fn stretch(from_mm: f64, to_mm: f64, rail: Rails) -> Stretch {
    Stretch { from_mm, to_mm, rail, name: String::new() }
}

/// Four wheels, two on each rail at 0 and 30 mm.
fn four(works: [Option<bool>; 4]) -> Vec<Wheel> {
    vec![
        wheel(0.0, Rail::Left, works[0]),
        wheel(30.0, Rail::Left, works[1]),
        wheel(0.0, Rail::Right, works[2]),
        wheel(30.0, Rail::Right, works[3]),
    ]
}

const ALL_WORK: [Option<bool>; 4] = [Some(true); 4];

fn input(works: [Option<bool>; 4], dead: Vec<Stretch>) -> Input {
    Input { wheels: four(works), dead, ..Input::default() }
}

#[test]
fn two_wheels_thirty_apart_over_fifty_of_dead_rail_lose_twenty() {
    let output = run(&input(ALL_WORK, vec![stretch(100.0, 150.0, Rails::Left)])).unwrap();
    let supply = output.supply.unwrap();
    assert!((supply.longest_mm.value - 20.0).abs() < 1e-12);
    assert_eq!(supply.pieces, 1);
    assert!((output.breaks[0].from_mm - 100.0).abs() < 1e-12);
    assert!((output.right.unwrap().total_mm.value).abs() < 1e-12);
    assert_eq!(output.answer().aspect, Aspect::Caution);
}

#[test]
fn a_dead_length_shorter_than_the_wheelbase_costs_nothing() {
    let output = run(&input(ALL_WORK, vec![stretch(100.0, 130.0, Rails::Both)])).unwrap();
    assert!(output.supply.unwrap().longest_mm.value.abs() < 1e-12);
    assert_eq!(output.answer().aspect, Aspect::Clear);
    assert!(output.segments.iter().all(|s| s.left_wheels > 0 && s.right_wheels > 0));
}

#[test]
fn a_bad_wheel_counts_as_missing_and_an_unmeasured_one_is_unlit() {
    let dead = vec![stretch(100.0, 122.0, Rails::Left)];
    let bad = run(&input([Some(true), Some(false), Some(true), Some(true)], dead.clone())).unwrap();
    assert!((bad.supply.unwrap().longest_mm.value - 22.0).abs() < 1e-12);
    let unknown = run(&input([Some(true), None, Some(true), Some(true)], dead)).unwrap();
    let travel = unknown.supply.unwrap();
    assert!((travel.longest_mm.lo).abs() < 1e-12 && (travel.longest_mm.hi - 22.0).abs() < 1e-12);
    assert_eq!(unknown.answer().aspect, Aspect::Unlit);
}

#[test]
fn no_wheel_on_a_rail_is_danger_and_no_measured_wheel_unlit() {
    let dead = vec![stretch(0.0, 5.0, Rails::Left)];
    let none = [Some(false), Some(false), Some(true), Some(true)];
    assert_eq!(run(&input(none, dead.clone())).unwrap().answer().aspect, Aspect::Danger);
    let output = run(&input([None; 4], dead)).unwrap();
    assert_eq!(output.answer().aspect, Aspect::Unlit);
    assert!(output.supply.is_none());
}

#[test]
fn left_and_right_breaks_in_a_row_join_into_one_without_supply() {
    let one = vec![wheel(0.0, Rail::Left, Some(true)), wheel(0.0, Rail::Right, Some(true))];
    let dead = vec![stretch(0.0, 10.0, Rails::Left), stretch(10.0, 25.0, Rails::Right)];
    let output = run(&Input { wheels: one, dead, ..Input::default() }).unwrap();
    let supply = output.supply.unwrap();
    assert!((supply.longest_mm.value - 25.0).abs() < 1e-12 && supply.pieces == 1);
    assert!((output.left.unwrap().longest_mm.value - 10.0).abs() < 1e-12);
    assert_eq!(output.breaks[0].rail, Rails::Both);
}

#[test]
fn a_sequence_is_the_same_as_its_stretches() {
    let piece = |length_mm, live_after_mm| DeadLength {
        length_mm,
        rail: Rails::Left,
        live_after_mm,
        name: "frog".to_owned(),
    };
    let by_sequence = Input {
        wheels: four(ALL_WORK),
        sequence: vec![piece(45.0, 12.0), piece(40.0, 0.0)],
        ..Input::default()
    };
    let by_place =
        input(ALL_WORK, vec![stretch(0.0, 45.0, Rails::Left), stretch(57.0, 97.0, Rails::Left)]);
    let (a, b) = (run(&by_sequence).unwrap(), run(&by_place).unwrap());
    assert_eq!(a.supply, b.supply);
    assert_eq!(a.breaks[0].over, ["frog"]);
    assert!(a.least_live_mm.unwrap() > 0.0);
}

/// 50 mm at HO 30 mph, 154 mm/s, takes 0.325 s (hand-worked from mph and 1:87.1).
#[test]
fn the_time_of_a_gap_at_a_scale_speed() {
    let one = vec![wheel(0.0, Rail::Left, Some(true)), wheel(0.0, Rail::Right, Some(true))];
    let speed = Speed { scale_mph: Some(30.0), scale_ratio: Some(87.1), ..Speed::default() };
    let dead = vec![stretch(0.0, 50.0, Rails::Left)];
    let output = run(&Input { wheels: one, dead, speed, ..Input::default() }).unwrap();
    assert!((output.longest_s.unwrap() - 0.325).abs() < 5e-4);
}

#[test]
fn turned_end_for_end_the_other_rail_suffers() {
    let wheels = vec![
        wheel(0.0, Rail::Left, Some(true)),
        wheel(40.0, Rail::Left, Some(true)),
        wheel(0.0, Rail::Right, Some(true)),
    ];
    let dead = vec![stretch(0.0, 30.0, Rails::Left)];
    let output = run(&Input { wheels, dead, ..Input::default() }).unwrap();
    assert!(output.supply.unwrap().longest_mm.value.abs() < 1e-12);
    assert!((output.turned_longest_mm.unwrap() - 30.0).abs() < 1e-12);
}

#[test]
fn a_measured_store_turns_the_aspect_either_way() {
    let with = |carried: f64| {
        let dead = vec![stretch(100.0, 150.0, Rails::Left)];
        run(&Input { carried_mm: Some(carried), ..input(ALL_WORK, dead) }).unwrap().answer().aspect
    };
    assert_eq!(with(25.0), Aspect::Clear);
    assert_eq!(with(19.0), Aspect::Danger);
}

#[test]
fn neither_or_both_kinds_of_route_are_refused() {
    assert_eq!(run(&input(ALL_WORK, vec![])).unwrap_err()[0].field, "dead");
    let back = run(&input(ALL_WORK, vec![stretch(10.0, 5.0, Rails::Left)])).unwrap_err();
    assert_eq!(back[0].field, "dead.0.to_mm");
}

#[test]
fn the_example_runs() {
    let answer = (CALCULATION.run)(CALCULATION.example).unwrap();
    assert!((answer.values[0].value - 22.0).abs() < 1e-12, "{:?}", answer.values[0]);
}

fn wheels() -> impl Strategy<Value = Vec<Wheel>> {
    let one = (-200_i32..200, any::<bool>(), prop::option::of(any::<bool>())).prop_map(
        |(p, l, works)| wheel(f64::from(p), if l { Rail::Left } else { Rail::Right }, works),
    );
    prop::collection::vec(one, 0..10)
}

fn stretches() -> impl Strategy<Value = Vec<Stretch>> {
    let one = (0_i32..900, 0_i32..120, 0_u8..3).prop_map(|(from, length, rail)| {
        let rail = [Rails::Left, Rails::Right, Rails::Both][usize::from(rail)];
        stretch(f64::from(from), f64::from(from + length), rail)
    });
    prop::collection::vec(one, 1..8)
}

proptest! {
    #[test]
    fn bounds_contain_the_value_and_unknown_is_never_clear(wheels in wheels(), dead in stretches()) {
        let output = run(&Input { wheels: wheels.clone(), dead, ..Input::default() }).unwrap();
        let answer = output.answer();
        for v in &answer.values {
            prop_assert!(v.lo <= v.value && v.value <= v.hi, "{v:?}");
        }
        if output.supply.is_none() {
            prop_assert!(answer.aspect.rank() >= Aspect::Unlit.rank());
        }
        let dead_in_strip: f64 = output.segments.iter()
            .filter(|s| s.left_wheels == 0 || s.right_wheels == 0)
            .map(|s| s.to_mm - s.from_mm).sum();
        if let Some(supply) = output.supply {
            prop_assert!((dead_in_strip - supply.total_mm.value).abs() < 1e-9);
        }
    }

    #[test]
    fn one_more_working_wheel_never_lengthens_a_gap(wheels in wheels(), dead in stretches(), p in -200_i32..200) {
        let before = run(&Input { wheels: wheels.clone(), dead: dead.clone(), ..Input::default() }).unwrap();
        let mut more = wheels;
        more.push(wheel(f64::from(p), Rail::Left, Some(true)));
        let after = run(&Input { wheels: more, dead, ..Input::default() }).unwrap();
        if let (Some(b), Some(a)) = (before.supply, after.supply) {
            prop_assert!(a.longest_mm.value <= b.longest_mm.value);
        }
    }

    #[test]
    fn a_longer_carry_never_worsens_the_aspect(wheels in wheels(), dead in stretches(), a in 0.0..200.0_f64, b in 0.0..200.0_f64) {
        let at = |carried: f64| {
            let given = Input { wheels: wheels.clone(), dead: dead.clone(), carried_mm: Some(carried), ..Input::default() };
            run(&given).unwrap().answer().aspect.rank()
        };
        prop_assert!(at(a.max(b)) <= at(a.min(b)));
    }
}
