use super::*;
use crate::draw::checks::{NASTY, assert_inside, assert_sound};

fn wheel(label: &str, state: State) -> Wheel {
    let (reads, aspect) = match state {
        State::PicksUp => ("0.3\u{a0}Ω", Aspect::Clear),
        State::Open => ("open", Aspect::Caution),
        State::Unmeasured => ("not measured", Aspect::Unlit),
        State::DeadByDesign => ("dead by design", Aspect::Clear),
    };
    Wheel {
        id: label.to_owned(),
        label: label.to_owned(),
        reads: reads.to_owned(),
        aspect,
        state,
        tyre: false,
    }
}

fn vehicle(name: &str, from: usize, axles: usize) -> Vehicle {
    let axle = |i| Axle {
        left: wheel(&format!("L{i}"), State::PicksUp),
        right: wheel(&format!("R{i}"), State::PicksUp),
    };
    Vehicle { name: name.to_owned(), axles: (from..from + axles).map(axle).collect() }
}

fn map(vehicles: Vec<Vehicle>) -> Map {
    Map {
        vehicles,
        left_lead: "left rail, black lead".into(),
        right_lead: "right rail, red lead".into(),
        note: "22 Nov, Ines".into(),
    }
}

fn shunter() -> Map {
    let mut m = map(vec![vehicle("", 1, 3)]);
    m.vehicles[0].axles[1].left = wheel("L2", State::Open);
    m
}

#[test]
fn the_open_wheel_is_named_in_words() {
    // Outside value: the hand-drawn bench page, 5 of 6 pick up, L2 open.
    assert_eq!(shunter().words(), "5 of 6 wheels pick up. Open: L2.");
}

#[test]
fn a_wheel_dead_by_design_is_not_counted_as_missing() {
    let mut m = shunter();
    m.vehicles[0].axles[0].right = wheel("R1", State::DeadByDesign);
    m.vehicles[0].axles[2].right = wheel("R3", State::Unmeasured);
    m.vehicles[0].axles[2].left.tyre = true;
    assert_eq!(
        m.words(),
        "3 of 5 wheels pick up. Open: L2. Not measured: R3. Dead by design: R1. Traction tyre: L3."
    );
    assert_eq!(key(&m).len(), 5);
    assert_eq!(key(&map(vec![vehicle("", 1, 2)])).len(), 1);
    for entry in key(&m) {
        assert_sound(&entry.svg);
        assert_inside(&entry.svg);
    }
}

#[test]
fn only_measured_contact_is_drawn_as_a_whole_line() {
    let one = |state| {
        let mut m = map(vec![vehicle("", 1, 1)]);
        m.vehicles[0].axles[0].left = wheel("L1", state);
        plan_svg(&m, 6)
    };
    assert_eq!(one(State::Open).matches(r#"class="cut""#).count(), 2);
    assert!(one(State::Unmeasured).contains(r#"class="col unlit""#));
    assert!(one(State::Unmeasured).contains(r#"class="rim unlit""#));
    let dead = one(State::DeadByDesign);
    assert!(dead.contains(r#"class="rim design""#));
    assert_eq!(dead.matches(r#"class="node""#).count(), 1);
    assert_eq!(one(State::PicksUp).matches(r#"class="node""#).count(), 2);
}

#[test]
fn any_number_of_axles_and_vehicles_stays_inside_the_drawing() {
    for shape in [
        vec![0],
        vec![],
        vec![1],
        vec![2],
        vec![3],
        vec![4, 3],
        vec![3, 3],
        vec![6, 4, 6],
        vec![24],
    ] {
        let vehicles = shape.iter().map(|n| vehicle("engine", 1, *n)).collect();
        let m = map(vehicles);
        for most in [0, 1, 4, 6, 10, 100] {
            let out = plan_svg(&m, most);
            if shape.iter().sum::<usize>() == 0 {
                assert_eq!((out.as_str(), m.words().as_str()), ("", "No wheel is written yet."));
                continue;
            }
            assert_sound(&out);
            assert_inside(&out);
            let wheels = 2 * shape.iter().sum::<usize>();
            assert_eq!(out.matches(r#"class="rim""#).count(), wheels);
            assert_eq!(out, plan_svg(&m, most));
        }
    }
}

#[test]
fn a_row_of_six_axles_fits_a_phone_at_natural_size() {
    let out = plan_svg(&map(vec![vehicle("", 1, 6)]), 6);
    let tags = crate::draw::checks::tags(&out).unwrap();
    let width: f64 = crate::draw::checks::attribute(&tags[0], "width").unwrap().parse().unwrap();
    // 390 px less the page's edges of 12 px.
    assert!(width <= 366.0);
}

#[test]
fn the_bench_form_keeps_vehicles_apart_and_columns_few() {
    let m = map(vec![vehicle("engine", 1, 5), vehicle("tender", 6, 3)]);
    let g = grid(&m, 4);
    let shape: Vec<(&str, usize, bool, bool)> =
        g.groups.iter().map(|b| (b.vehicle.as_str(), b.columns, b.first, b.last)).collect();
    assert_eq!(
        shape,
        [("engine", 3, true, false), ("engine", 2, false, true), ("tender", 3, true, true)]
    );
    assert_eq!(g.groups[0].class, "map c3");
    let ids: Vec<&str> = g.groups.iter().flat_map(|b| &b.left).map(|c| c.id.as_str()).collect();
    assert_eq!(ids, ["L1", "L2", "L3", "L4", "L5", "L6", "L7", "L8"]);
    for group in &g.groups {
        assert_eq!((group.left.len(), group.right.len()), (group.columns, group.columns));
        assert_sound(&group.body_svg);
        assert_inside(&group.body_svg);
    }
}

#[test]
fn the_forms_collectors_are_those_of_the_drawn_page() {
    // Outside value: the hand-drawn bench page's collectors, one broken link at L2.
    let body = &grid(&shunter(), 4).groups[0].body_svg;
    for piece in ["M0 40L300 40", "M0 52L300 52", "M50 0L50 40", "M150 0L150 21", "M150 32L150 40"]
    {
        assert!(body.contains(piece), "{piece} in {body}");
    }
    let class = &grid(&shunter(), 4).groups[0].left[1].class;
    assert_eq!(class, "wheel open");
}

#[test]
fn odd_names_do_no_harm() {
    for nasty in NASTY {
        let mut m = map(vec![vehicle(nasty, 1, 2)]);
        m.left_lead = nasty.into();
        m.note = nasty.into();
        m.vehicles[0].axles[0].left.label = nasty.into();
        m.vehicles[0].axles[0].left.reads = format!("{nasty} {nasty}");
        assert_sound(&plan_svg(&m, 6));
    }
}
