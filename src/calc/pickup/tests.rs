use super::*;
use crate::aspect::Aspect;
use proptest::prelude::*;

fn wheel(id: &str, side: Side, axle: u32, state: WheelState) -> Wheel {
    Wheel {
        id: id.into(),
        side,
        axle,
        vehicle: "engine".into(),
        position_mm: Some(f64::from(axle) * 20.0),
        traction_tyre: false,
        dead_by_design: false,
        state,
    }
}

fn good() -> WheelState {
    at(0.3, 0.2, 0.4)
}

fn at(value: f64, lo: f64, hi: f64) -> WheelState {
    WheelState::Ohms { value, lo, hi, steady: true }
}

/// Engine axles 1 to `engine`, tender axles after it; every wheel good.
fn map(engine: u32, tender: u32) -> Input {
    let mut wheels = Vec::new();
    for axle in 1..=engine + tender {
        for side in Side::ALL {
            let letter = if side == Side::Left { 'L' } else { 'R' };
            let mut one = wheel(&format!("{letter}{axle}"), side, axle, good());
            if axle > engine {
                one.vehicle = "tender".into();
            }
            wheels.push(one);
        }
    }
    Input::of(wheels)
}

fn set(input: &mut Input, ids: &[&str], state: WheelState) {
    for wheel in &mut input.wheels {
        if ids.contains(&wheel.id.as_str()) {
            wheel.state = state;
        }
    }
}

fn open(engine: u32, tender: u32, ids: &[&str]) -> Output {
    let mut input = map(engine, tender);
    set(&mut input, ids, WheelState::Open);
    run(&input).unwrap()
}

/// Kinds and wheels of the first explanation.
fn simplest(output: &Output) -> Vec<(CauseKind, Vec<&str>)> {
    let causes = &output.explanations[0].causes;
    causes.iter().map(|c| (c.kind, c.wheels.iter().map(String::as_str).collect())).collect()
}

#[test]
fn one_wheel_in_four_without_contact_is_named_with_side_and_axle() {
    let output = open(2, 0, &["L2"]);
    assert_eq!(output.faults.len(), 1);
    assert_eq!(
        output.faults[0].sentence,
        "Wheel L2: left side, axle 2 from the front, reads open."
    );
    assert_eq!(output.finding.aspect, Aspect::Caution);
    assert_eq!(
        output.finding.sentence,
        "3 of 4 wheels pick up. Wheel L2: left side, axle 2 from the front, reads open. L2 fails by \
         itself: look at its wiper and clean its tread."
    );
    assert_eq!((output.left.working, output.left.fitted), (1, 2));
    assert_eq!((output.right.working, output.right.fitted), (2, 2));
    assert_eq!(output.answer().aspect, Aspect::Caution);
}

#[test]
fn all_good_is_clear_and_gives_the_wheelbase_per_rail() {
    let output = run(&map(3, 0)).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Clear);
    assert_eq!(output.finding.sentence, "All 6 wheels pick up.");
    assert_eq!(output.left.wheelbase_mm, Some(40.0));
    assert!(output.explanations.is_empty());
}

#[test]
fn a_faulty_outer_wheel_shortens_the_wheelbase_of_its_rail_only() {
    let output = open(3, 0, &["L3"]);
    assert_eq!(output.left.wheelbase_mm, Some(20.0));
    assert_eq!(output.right.wheelbase_mm, Some(40.0));
}

#[test]
fn unknown_positions_are_counted_not_guessed() {
    let mut input = map(3, 0);
    input.wheels[0].position_mm = None;
    let output = run(&input).unwrap();
    assert_eq!((output.left.wheelbase_mm, output.left.positions_missing), (Some(20.0), 1));
}

#[test]
fn one_wheel_not_measured_makes_the_map_unlit_and_is_named() {
    let mut input = map(2, 0);
    set(&mut input, &["R1"], WheelState::Unmeasured);
    set(&mut input, &["L2"], WheelState::Open);
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Unlit);
    assert!(finding.sentence.contains("R1") && finding.sentence.contains("Wheel L2: left side"));
}

#[test]
fn no_map_and_half_a_map_are_unlit() {
    assert_eq!(run(&Input::of(vec![])).unwrap().finding.aspect, Aspect::Unlit);
    let left = Input::of(vec![wheel("L1", Side::Left, 1, good())]);
    let finding = run(&left).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Unlit);
    assert!(finding.sentence.contains("No right wheel"));
}

#[test]
fn a_rail_without_a_working_wheel_is_danger_even_with_other_wheels_unmeasured() {
    let mut input = map(2, 0);
    set(&mut input, &["L1", "L2"], WheelState::Open);
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Danger);
    set(&mut input, &["R1"], WheelState::Unmeasured);
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Danger);
    assert_eq!(finding.sentence, "No wheel picks up from the left rail: 2 of 2 fail.");
}

#[test]
fn a_rail_that_is_all_traction_tyres_is_danger() {
    let mut input = map(2, 0);
    for wheel in input.wheels.iter_mut().filter(|w| w.side == Side::Right) {
        wheel.traction_tyre = true;
    }
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Danger);
    assert!(finding.sentence.contains("No wheel is fitted to pick up from the right rail"));
}

#[test]
fn tyres_and_wheels_dead_by_design_do_not_count_as_faults() {
    let mut input = map(3, 0);
    set(&mut input, &["L2", "R2"], WheelState::Open);
    input.wheels[2].traction_tyre = true;
    input.wheels[3].dead_by_design = true;
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Clear);
    assert_eq!((output.left.fitted, output.right.fitted), (2, 2));
    assert_eq!(output.wheels[2].contact, Contact::NotFitted);
}

#[test]
fn high_ohms_are_caution_and_still_count_as_working() {
    let mut input = map(2, 0);
    set(&mut input, &["R2"], at(1.4, 1.3, 1.5));
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Caution);
    assert_eq!(output.right.working, 2);
    assert!(output.finding.sentence.contains("reads 1.4\u{a0}Ω, not below 1.0\u{a0}Ω"));
}

#[test]
fn an_unsteady_wheel_is_caution_however_low_it_reads() {
    let mut input = map(2, 0);
    set(&mut input, &["R2"], WheelState::Ohms { value: 0.3, lo: 0.2, hi: 0.4, steady: false });
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Caution);
    assert!(finding.sentence.contains("jumps while it turns"));
}

#[test]
fn the_high_end_of_the_reading_decides() {
    let mut input = map(2, 0);
    set(&mut input, &["R2"], at(0.9, 0.7, 1.1));
    assert_eq!(run(&input).unwrap().wheels[3].contact, Contact::Weak);
    set(&mut input, &["R2"], at(1.9, 1.7, 2.1));
    let output = run(&input).unwrap();
    assert_eq!(output.wheels[3].contact, Contact::Faulty);
    assert!(output.faults[0].sentence.contains("may be 2.1\u{a0}Ω by the meter"));
    set(&mut input, &["R2"], at(2.0, 2.0, 2.0));
    assert_eq!(run(&input).unwrap().wheels[3].contact, Contact::Weak);
}

#[test]
fn one_side_of_a_vehicle_points_at_its_collector() {
    let output = open(2, 2, &["L3", "L4"]);
    assert_eq!(simplest(&output), [(CauseKind::VehicleSide, vec!["L3", "L4"])]);
    assert_eq!(
        output.explanations[0].sentence,
        "Every left wheel of the tender fails: look at that side’s collector or its lead."
    );
}

#[test]
fn both_wheels_of_an_axle_point_at_the_axle() {
    let output = open(3, 0, &["L2", "R2"]);
    assert_eq!(simplest(&output), [(CauseKind::Axle, vec!["L2", "R2"])]);
}

#[test]
fn a_whole_vehicle_points_at_its_plug() {
    let output = open(2, 2, &["L3", "R3", "L4", "R4"]);
    assert_eq!(simplest(&output), [(CauseKind::Vehicle, vec!["L3", "R3", "L4", "R4"])]);
}

#[test]
fn one_side_throughout_points_at_the_common_lead() {
    let output = open(2, 2, &["L1", "L2", "L3", "L4"]);
    assert_eq!(simplest(&output), [(CauseKind::Lead, vec!["L1", "L2", "L3", "L4"])]);
}

#[test]
fn a_weak_wheel_clears_what_it_shares() {
    let mut input = map(2, 2);
    set(&mut input, &["L3"], WheelState::Open);
    set(&mut input, &["L4"], at(1.5, 1.4, 1.6));
    assert_eq!(simplest(&run(&input).unwrap()), [(CauseKind::Wheel, vec!["L3"])]);
}

#[test]
fn a_side_and_one_more_wheel_take_two_causes_without_overlap() {
    let output = open(3, 0, &["L1", "L2", "L3", "R2"]);
    assert_eq!(
        simplest(&output),
        [(CauseKind::VehicleSide, vec!["L1", "L2", "L3"]), (CauseKind::Wheel, vec!["R2"])]
    );
}

#[test]
fn equally_simple_explanations_are_all_given() {
    let output = open(2, 0, &["L1", "L2", "R1"]);
    assert_eq!(output.explanations.len(), 2);
}

#[test]
fn bad_input_is_refused_with_the_field() {
    let refused = |change: &dyn Fn(&mut Input)| {
        let mut input = map(2, 0);
        change(&mut input);
        run(&input).unwrap_err().into_iter().map(|r| r.field).collect::<Vec<_>>()
    };
    assert_eq!(refused(&|i| i.wheels[1].id = "L1".into()), ["wheels.1.id"]);
    assert_eq!(refused(&|i| i.wheels[2].axle = 1), ["wheels.2.axle"]);
    assert_eq!(refused(&|i| i.wheels[2].axle = 0), ["wheels.2.axle"]);
    assert_eq!(
        refused(&|i| i.wheels[0].state = at(-1.0, -1.0, 0.0)),
        ["wheels.0.state.ohms.value"]
    );
    assert_eq!(refused(&|i| i.wheels[0].state = at(0.3, 0.4, 0.5)), ["wheels.0.state.ohms"]);
    assert_eq!(refused(&|i| i.wheels[0].position_mm = Some(f64::NAN)), ["wheels.0.position_mm"]);
    assert_eq!(refused(&|i| i.good_below_ohm = 3.0), ["good_below_ohm"]);
    assert_eq!(refused(&|i| i.wheels[0].vehicle = " ".into()), ["wheels.0.vehicle"]);
    let many = Input::of((0..129).map(|i| wheel(&i.to_string(), Side::Left, i, good())).collect());
    assert_eq!(run(&many).unwrap_err()[0].field, "wheels");
}

#[test]
fn an_input_comes_back_from_json_and_unknown_words_are_refused() {
    let input = map(2, 0);
    let json = serde_json::to_string(&input).unwrap();
    assert_eq!(serde_json::from_str::<Input>(&json).unwrap(), input);
    let short =
        r#"{"wheels":[{"id":"L1","side":"left","axle":1,"vehicle":"engine","state":"open"}]}"#;
    assert_eq!(
        serde_json::from_str::<Input>(short).unwrap().bad_above_ohm.to_bits(),
        2f64.to_bits()
    );
    assert!(serde_json::from_str::<Input>(&short.replace("axle", "axel")).is_err());
}

/// Counts of a cover: causes, then wheels covered with overlaps counted twice.
type Size = (usize, usize);
type Group = (CauseKind, BTreeSet<String>);

/// Every group which the words of the trade allow, by plain filters over all wheels.
fn groups_by_definition(input: &Input, output: &Output) -> Vec<Group> {
    let is =
        |id: &str, what: Contact| output.wheels.iter().any(|w| w.id == id && w.contact == what);
    let mut out: Vec<Group> = Vec::new();
    let mut offer = |kind, least_wheels: usize, of: &dyn Fn(&Wheel) -> bool| -> BTreeSet<String> {
        let members: Vec<&Wheel> = input.wheels.iter().filter(|w| of(w)).collect();
        let works = |w: &&Wheel| is(&w.id, Contact::Good) || is(&w.id, Contact::Weak);
        let faulty: BTreeSet<String> =
            members.iter().filter(|w| is(&w.id, Contact::Faulty)).map(|w| w.id.clone()).collect();
        if !members.iter().any(works) && faulty.len() >= least_wheels {
            out.push((kind, faulty.clone()));
            return faulty;
        }
        BTreeSet::new()
    };
    let by_id = |id: &String| input.wheels.iter().find(|w| w.id == *id).unwrap();
    for wheel in &input.wheels {
        offer(CauseKind::Wheel, 1, &|w| w.id == wheel.id);
        offer(CauseKind::Axle, 2, &|w| (&w.vehicle, w.axle) == (&wheel.vehicle, wheel.axle));
        offer(CauseKind::VehicleSide, 2, &|w| (&w.vehicle, w.side) == (&wheel.vehicle, wheel.side));
        offer(CauseKind::Vehicle, 2, &|w| w.vehicle == wheel.vehicle);
        offer(CauseKind::Lead, 2, &|w| w.side == wheel.side);
    }
    out.retain(|(kind, ids)| {
        let distinct = |f: &dyn Fn(&Wheel) -> String| {
            ids.iter().map(|id| f(by_id(id))).collect::<BTreeSet<_>>().len()
        };
        let (axles, sides) =
            (distinct(&|w| w.axle.to_string()), distinct(&|w| format!("{:?}", w.side)));
        match kind {
            // An axle needs both its wheels to fail.
            CauseKind::Axle => sides == 2,
            CauseKind::Vehicle => sides == 2 && axles > 1,
            CauseKind::Lead => distinct(&|w| w.vehicle.clone()) > 1,
            CauseKind::VehicleSide | CauseKind::Wheel => true,
        }
    });
    out.sort();
    out.dedup();
    out
}

/// All least sets of groups that cover the faulty wheels, by trying every set of 0, 1, 2 … groups.
fn brute_force(groups: &[Group], faulty: &BTreeSet<String>) -> (Size, BTreeSet<Vec<Group>>) {
    fn choose(groups: &[Group], k: usize, so_far: &mut Vec<Group>, seen: &mut dyn FnMut(&[Group])) {
        if k == 0 {
            return seen(so_far);
        }
        for (i, group) in groups.iter().enumerate() {
            so_far.push(group.clone());
            choose(&groups[i + 1..], k - 1, so_far, seen);
            so_far.pop();
        }
    }
    for k in 0..=faulty.len() {
        let mut best: (usize, BTreeSet<Vec<Group>>) = (usize::MAX, BTreeSet::new());
        choose(groups, k, &mut Vec::new(), &mut |set| {
            let covered: BTreeSet<String> = set.iter().flat_map(|g| g.1.clone()).collect();
            let size = set.iter().map(|g| g.1.len()).sum();
            if covered == *faulty && size <= best.0 {
                if size < best.0 {
                    best = (size, BTreeSet::new());
                }
                let mut set = set.to_vec();
                set.sort();
                best.1.insert(set);
            }
        });
        if !best.1.is_empty() {
            return ((k, best.0), best.1);
        }
    }
    unreachable!("single wheels always cover")
}

fn any_state() -> impl Strategy<Value = WheelState> {
    prop_oneof![
        4 => Just(WheelState::Open),
        2 => Just(good()),
        1 => Just(WheelState::Unmeasured),
        1 => Just(at(1.5, 1.4, 1.6)),
        1 => Just(at(9.0, 8.0, 10.0)),
    ]
}

fn any_map() -> impl Strategy<Value = Input> {
    // Up to three vehicles of up to three axles, at most 12 wheels, some without pickup.
    proptest::collection::vec(
        proptest::collection::vec(((any_state(), 0..8u8), (any_state(), 0..8u8)), 1..=3),
        1..=3,
    )
    .prop_filter("at most six axles", |vehicles| vehicles.iter().map(Vec::len).sum::<usize>() <= 6)
    .prop_map(|vehicles| {
        let (mut wheels, mut axle) = (Vec::new(), 0);
        for (v, axles) in vehicles.into_iter().enumerate() {
            for (left, right) in axles {
                axle += 1;
                for (side, (state, kind)) in [(Side::Left, left), (Side::Right, right)] {
                    let mut one = wheel(&format!("{}{axle}", side.word()), side, axle, state);
                    one.vehicle = format!("vehicle {v}");
                    one.traction_tyre = kind == 0;
                    wheels.push(one);
                }
            }
        }
        Input::of(wheels)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// The grouping against every set of groups there is.
    #[test]
    fn explanations_are_the_least_ones_that_brute_force_finds(input in any_map()) {
        let output = run(&input).unwrap();
        let faulty: BTreeSet<String> = output.faults.iter().map(|f| f.wheel.clone()).collect();
        if faulty.is_empty() {
            prop_assert!(output.explanations.is_empty());
            return Ok(());
        }
        let (size, wanted) = brute_force(&groups_by_definition(&input, &output), &faulty);
        let given: BTreeSet<Vec<Group>> = output.explanations.iter().map(|e| {
            let mut set: Vec<Group> =
                e.causes.iter().map(|c| (c.kind, c.wheels.iter().cloned().collect())).collect();
            set.sort();
            set
        }).collect();
        prop_assert_eq!(given.len(), output.explanations.len());
        for set in &given {
            let got = (set.len(), set.iter().map(|g| g.1.len()).sum::<usize>());
            prop_assert_eq!(got, size);
            prop_assert!(wanted.contains(set), "{:?} not among {:?}", set, wanted);
        }
        prop_assert_eq!(given.len(), wanted.len().min(6));
    }

    /// Forgetting one reading never makes the map clear.
    #[test]
    fn forgetting_a_reading_never_turns_the_map_clear(input in any_map(), which in 0usize..12) {
        let before = run(&input).unwrap().finding.aspect;
        let mut less = input.clone();
        let i = which % less.wheels.len();
        less.wheels[i].state = WheelState::Unmeasured;
        let after = run(&less).unwrap().finding.aspect;
        prop_assert!(after != Aspect::Clear || before == Aspect::Clear);
    }
}
