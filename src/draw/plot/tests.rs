//! Charts stand where their values say, whatever is in them.

use super::*;
use crate::calc::plot::{Chart, Line};
use crate::calc::{ALL, find};
use crate::draw::checks::{NASTY, assert_inside, assert_sound, attribute, tags};

fn drawn(chart: Chart) -> Picture {
    picture(&Plot::Chart(chart))
}

#[test]
fn every_example_is_drawn_with_its_words_key_and_numbers() {
    for c in ALL {
        let answer = (c.run)(c.example).unwrap();
        for p in pictures(&answer.plots) {
            assert!(!p.title.is_empty() && !p.words.is_empty(), "{}: {p:?}", c.name);
            assert!(p.tables.iter().all(|t| t.rows.iter().all(|r| r.len() == t.heads.len())));
            assert!(!p.tables.is_empty());
            for svg in p.lanes.iter().map(|l| &l.svg).chain([&p.svg]).filter(|s| !s.is_empty()) {
                assert_sound(svg);
                assert_inside(svg);
            }
            for key in &p.key {
                assert_sound(&key.svg);
            }
            assert_eq!(
                p,
                picture(
                    &answer.plots[answer.plots.iter().position(|q| q.title() == p.title).unwrap()]
                )
            );
        }
    }
    for name in ["heat", "holdup", "gap", "lights", "trace", "budget"] {
        let c = find(name).unwrap();
        assert!(!(c.run)(c.example).unwrap().plots.is_empty(), "{name} draws nothing");
    }
}

/// By hand: 0 to 10 s over the width from 13 % to 98 %, 0 to 4 V from 186 px up to 34 px.
#[test]
fn points_stand_where_their_values_say() {
    let p = drawn(Chart::new("t", ("time", "s"), ("voltage", "V")).with(
        "readings",
        Line::Points,
        [[0.0, 0.0], [5.0, 2.0], [10.0, 4.0]].into_iter(),
    ));
    let all = tags(&p.svg).unwrap();
    let places: Vec<(&str, &str)> = all
        .iter()
        .filter(|t| t.name == "circle")
        .map(|t| (attribute(t, "cx").unwrap(), attribute(t, "cy").unwrap()))
        .collect();
    assert_eq!(places, [("13%", "186"), ("55.5%", "110"), ("98%", "34")]);
}

#[test]
fn lines_bands_bars_and_levels_share_the_axes() {
    let p = drawn(
        Chart::new("t", ("time", "s"), ("current", "A"))
            .with("line", Line::Line, [[0.0, 0.0], [10.0, 1.0]].into_iter())
            .with("bars", Line::Bars, [[5.0, 0.5]].into_iter())
            .with("levels", Line::Step, [[0.0, 0.25], [10.0, 0.25]].into_iter())
            .band("band", [[0.0, 0.0, 1.0], [10.0, 0.5, 1.0]].into_iter()),
    );
    // 1000 wide, 152 high: half way up is 76
    assert!(p.svg.contains(r#"d="M0 152L1000 0""#), "{}", p.svg);
    assert!(p.svg.contains(r#"d="M500 152L500 76""#), "{}", p.svg);
    assert!(p.svg.contains(r#"d="M0 114L1000 114""#), "{}", p.svg);
    assert!(p.svg.contains(r#"d="M0 152L1000 76L1000 0L0 0Z""#), "{}", p.svg);
}

#[test]
fn long_times_are_shown_in_minutes_and_small_currents_in_milliamps() {
    let p = drawn(Chart::new("t", ("time", "s"), ("current", "A")).with(
        "line",
        Line::Line,
        [[0.0, 0.01], [1200.0, 0.05]].into_iter(),
    ));
    assert!(p.svg.contains(">time, min<") && p.svg.contains(">current, mA<"), "{}", p.svg);
    assert!(p.words.replace('\u{a0}', " ").contains("from 0.0 min to 20.0 min"), "{}", p.words);
    assert_eq!(p.tables[0].rows, [["0.0", "10.0"], ["20.0", "50.0"]]);
}

#[test]
fn a_limit_is_drawn_and_said_even_far_outside() {
    let p = drawn(
        Chart::new("t", ("time", "s"), ("temperature", "°C"))
            .with("readings", Line::Points, [[0.0, 22.0], [1.0, 23.0]].into_iter())
            .limit("limit", Some(70.0)),
    );
    assert!(p.svg.contains(r#"class="lim""#) && p.svg.contains("limit 70"), "{}", p.svg);
    assert_inside(&p.svg);
}

#[test]
fn odd_values_and_names_do_no_harm() {
    let sets: [Vec<[f64; 2]>; 5] = [
        vec![],
        vec![[1.0, 1.0]],
        vec![[1.0, -1.0], [1.0, -1.0]],
        vec![[0.0, 1e-9], [1e9, 1e9]],
        vec![[f64::MAX, f64::MIN], [1.0, 1.0]],
    ];
    for points in sets {
        for kind in [Line::Line, Line::Points, Line::Bars, Line::Step] {
            let chart = Chart::new("t", ("x", "s"), ("y", "A"));
            let p = drawn(chart.with("s", kind, points.clone().into_iter()));
            assert_sound(&p.svg);
            assert_inside(&p.svg);
        }
    }
    for nasty in NASTY {
        let chart = Chart::new(nasty, (nasty, nasty), (nasty, nasty))
            .with(nasty, Line::Points, [[0.0, 1.0]].into_iter())
            .limit(nasty, Some(1.0))
            .mark(nasty, Some(0.0));
        let p = drawn(chart);
        assert_sound(&p.svg);
        p.key.iter().for_each(|k| assert_sound(&k.svg));
    }
}

#[test]
fn a_long_line_is_thinned_to_a_short_table_that_keeps_its_ends_and_its_highest() {
    let points = (0..=1000).map(|i| {
        let x = f64::from(i);
        [x, if i == 437 { 9.0 } else { 1.0 }]
    });
    let p = drawn(Chart::new("t", ("x", ""), ("y", "")).with("s", Line::Line, points));
    let rows = &p.tables[0].rows;
    assert!(rows.len() <= 16, "{}", rows.len());
    assert!(rows.iter().any(|r| r[0].starts_with("437")), "{rows:?}");
    assert!(
        rows.last().unwrap()[0].starts_with("1000")
            || rows.last().unwrap()[0].starts_with("1\u{202f}000")
    );
}

#[test]
fn a_stack_shows_what_is_measured_and_says_what_is_not_known() {
    let c = find("budget").unwrap();
    let mut input: serde_json::Value = serde_json::from_str(c.example).unwrap();
    input["loads"][1]["amps_a"] = serde_json::Value::Null;
    input["loads"][0]["basis"] = "guess".into();
    let p = pictures(&(c.run)(&input.to_string()).unwrap().plots).remove(0);
    let total = p.lanes.iter().find(|l| l.name == "Total continuous, held").unwrap();
    assert!(total.words.contains("Not known: sound"), "{}", total.words);
    assert!(total.words.contains("planned lamps"), "{}", total.words);
    assert!(p.tables[0].rows.iter().any(|r| r[1].starts_with("at least")));
}
