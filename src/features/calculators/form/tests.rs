//! Every calculation goes through its form and back.

use super::*;
use crate::calc;

#[test]
fn every_example_goes_through_its_form_and_comes_back_with_the_same_answer() {
    for c in calc::ALL {
        let form = Form::of(c);
        let example: Value = serde_json::from_str(c.example).unwrap();
        let mut fields = form.fill(&example);
        let json = form.json(&mut fields);
        assert!(!fields.any_wrong(), "{}: {:?}", c.name, fields);
        let by_form = (c.run)(&json.to_string());
        let by_hand = (c.run)(c.example);
        assert_eq!(by_form, by_hand, "{}: {json}", c.name);
        // a second time through gives the same JSON: what is kept does not drift
        let mut again = form.fill(&json);
        assert_eq!(form.json(&mut again), json, "{}", c.name);
    }
}

#[test]
fn every_field_of_a_filled_form_has_a_row() {
    for c in calc::ALL {
        let form = Form::of(c);
        let fields = form.fill(&serde_json::from_str(c.example).unwrap());
        let rows = form.rows(&fields);
        let shown: Vec<&str> = rows
            .iter()
            .filter_map(|r| match r {
                Row::Line(f) | Row::Long(f) | Row::Tick(f) | Row::Choice(f, _) | Row::Json(f) => {
                    Some(f.name.as_str())
                }
                Row::Open { .. } | Row::Close => None,
            })
            .collect();
        for name in fields.names().filter(|n| !fields.value(n).is_empty()) {
            assert!(shown.contains(&name), "{}: {name} has no row", c.name);
        }
        let opened = rows.iter().filter(|r| matches!(r, Row::Open { .. })).count();
        let closed = rows.iter().filter(|r| matches!(r, Row::Close)).count();
        assert_eq!(opened, closed, "{}", c.name);
    }
}

#[test]
fn what_is_typed_with_a_unit_is_read_with_it() {
    let form = Form::of(calc::find("load").unwrap());
    let mut fields = Fields::with([("test_v", "12"), ("held_a", "800 mA"), ("free_a", "0,27")]);
    let json = form.json(&mut fields);
    assert_eq!(json["held_a"], 0.8);
    assert_eq!(json["free_a"], 0.27);
    let mut fields = Fields::with([("test_v", "12 bananas")]);
    form.json(&mut fields);
    assert!(fields.problem("test_v").contains("bananas"));
}

#[test]
fn a_lamp_or_a_diode_is_chosen_and_its_own_fields_are_read() {
    let form = Form::of(calc::find("lights").unwrap());
    let at = |field: &str| format!("outputs.0.strings.0.light.{field}");
    let mut fields = Fields::with([
        ("outputs.0.name".to_owned(), "white"),
        ("outputs.0.strings.0.light".to_owned(), "lamp"),
        (at("lamp.rated_v"), "12"),
        (at("lamp.rated_a"), "50 mA"),
    ]);
    let json = form.json(&mut fields);
    let light = &json["outputs"][0]["strings"][0]["light"];
    assert_eq!(light, &serde_json::json!({ "lamp": { "rated_v": 12.0, "rated_a": 0.05 } }));
    // fields filled in without a choice say it too
    let mut fields = Fields::with([(at("led.forward_v"), "3.2")]);
    let json = form.json(&mut fields);
    assert_eq!(json["outputs"][0]["strings"][0]["light"]["led"]["forward_v"], 3.2);
    let mut fields = Fields::with([("outputs.0.strings.0.light".to_owned(), "candle")]);
    form.json(&mut fields);
    assert!(fields.any_wrong());
}

#[test]
fn yes_no_and_not_known_are_three_things() {
    let form = Form::of(calc::find("gap").unwrap());
    for (typed, means) in [("yes", Value::Bool(true)), ("no", Value::Bool(false))] {
        let mut fields = Fields::with([("wheels.0.position_mm", "0"), ("wheels.0.works", typed)]);
        assert_eq!(form.json(&mut fields)["wheels"][0]["works"], means);
    }
    let mut fields = Fields::with([("wheels.0.position_mm", "0")]);
    assert!(form.json(&mut fields)["wheels"][0].get("works").is_none());
}

#[test]
fn a_place_left_out_is_neither_shown_nor_read() {
    let form = Form::of(calc::find("heat").unwrap()).without(&["points"]);
    let mut fields = Fields::with([("points.0.time_s", "5"), ("limit_c", "70")]);
    let json = form.json(&mut fields);
    assert!(json.get("points").is_none());
    assert_eq!(json["limit_c"], 70.0);
    assert!(
        !form
            .rows(&fields)
            .iter()
            .any(|r| matches!(r, Row::Open { name, .. } if name.starts_with("points")))
    );
}

#[test]
fn a_path_is_read_out_in_the_words_of_its_labels() {
    let form = Form::of(calc::find("lights").unwrap());
    for (path, words) in [
        ("outputs.0.strings.1.light.led.forward_v", "Outputs 1, Strings 2, Light, Forward voltage"),
        ("outputs.0.strings.1.light.forward_v", "Outputs 1, Strings 2, Light, Forward voltage"),
        ("track_v", "Track voltage"),
        ("no_such.0", "no such 0"),
    ] {
        assert_eq!(form.label(path), words);
    }
}
