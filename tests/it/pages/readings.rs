use crate::support::App;
use crate::support::app::{DAY, MINUTE};
use crate::support::story::CENTRE_CAB;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Centre cab", &CENTRE_CAB);
    (app, no)
}

#[test]
fn the_bench_of_a_new_conversion_picks_the_first_pair_and_says_what_is_missing() {
    let (app, no) = app();
    let page = app.get(&format!("/c/{no}/bench")).ok();
    assert!(
        page.one("input[name=what][checked]").attribute("value").is_some_and(|v| v.contains('@'))
    );
    page.shows("No wheel on the map yet.").shows("Load test 1");
}

#[test]
fn a_reading_in_two_taps_is_written_signed_and_the_next_pair_is_picked() {
    let (app, no) = app();
    let bench = format!("/c/{no}/bench");
    let form = app.get(&bench).ok().form(&format!("{bench}/reading"));
    let first = form.value("what").to_owned();
    let to = app.submit(&form.with("reads", "open")).wrote();
    assert_eq!(to, format!("{bench}?wrote=1"));
    let page = app.get(&to).ok();
    page.shows("open").shows("Take back");
    let next = page.form(&format!("{bench}/reading"));
    assert_ne!(next.value("what"), first);
    assert_eq!(
        app.text("SELECT p.name FROM reading r JOIN person p ON p.id = r.person_id"),
        "Ines"
    );
}

#[test]
fn quantities_may_be_typed_as_people_write_them_and_are_kept_as_typed() {
    let (app, no) = app();
    let page = format!("/c/{no}/readings/new");
    let taken = [
        ("cruise", "", "270 mA", 0.27),
        ("cruise", "", "0,27", 0.27),
        ("winding", "", "13R6", 13.6),
        ("speaker_ohms", "", "8", 8.0),
        ("height", "front coupler", "11/64\"", 4.365_625),
        ("mass", "", "0.12 kg", 120.0),
        ("temperature", "decoder", "45", 45.0),
        ("starting_voltage", "", "2.4 V", 2.4),
        ("load_current", "front lamp", "20mA", 0.02),
        ("store_volts", "", "1500 mV", 1.5),
    ];
    for (kind, of, typed, kept) in taken {
        let form = app.get(&page).ok().form(&format!("/c/{no}/readings"));
        app.submit(&form.filled(&[("kind", kind), ("of", of), ("number", typed)])).wrote();
        let last = "FROM reading ORDER BY no DESC LIMIT 1";
        assert_eq!(app.text(&format!("SELECT typed {last}")), typed);
        let value: f64 =
            app.text(&format!("SELECT printf('%.9f', value) {last}")).parse().expect("a number");
        assert!((value - kept).abs() < 1e-6, "{kind} {typed}: {value}");
    }
    app.get(&format!("/c/{no}/readings")).ok().shows("Cruising current").shows("4.4 mm");
}

#[test]
fn a_reading_keeps_its_conditions() {
    let (app, no) = app();
    let meter = app.own_multimeter("multimeter 1");
    let form = app.get(&format!("/c/{no}/readings/new")).ok().form(&format!("/c/{no}/readings"));
    let said = [
        ("kind", "cruise"),
        ("number", "0.3"),
        ("volts", "9"),
        ("instrument", meter.as_str()),
        ("shell", "off"),
        ("decoder", "out"),
        ("warmth", "warm"),
        ("method", "on the test oval"),
        ("remark", "after ten minutes"),
        ("taken", "2026-11-24 21:05"),
    ];
    app.submit(&form.filled(&said)).wrote();
    let page = app.get(&format!("/c/{no}/readings/1")).ok();
    for words in [
        "9.0 V",
        "multimeter 1",
        "shell off",
        "decoder out",
        "warm",
        "on the test oval",
        "after ten minutes",
        "24 Nov 21:05",
        "25 Nov 20:00",
        "Ines",
    ] {
        page.shows(words);
    }
}

#[test]
fn a_newer_reading_supersedes_and_the_older_stays() {
    let (app, no) = app();
    app.read_pair(no, "brush_a:frame@in_frame", "0.4");
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "danger");
    app.later(10 * MINUTE);
    app.read_pair(no, "brush_a:frame@in_frame", "open");
    app.get(&format!("/c/{no}/readings/1")).ok().shows("Superseded by").shows("0.4 Ω");
    app.get(&format!("/c/{no}/readings")).ok().shows("0.4 Ω").shows("open");
    assert_eq!(app.number("SELECT count(*) FROM reading"), 2);
    assert_ne!(app.aspect(no, "first_power", "brush_a:frame"), "danger");
}

#[test]
fn a_reading_taken_back_is_not_counted_and_can_be_counted_again() {
    let (app, no) = app();
    app.read_pair(no, "brush_a:frame@in_frame", "joined");
    let page = app.get(&format!("/c/{no}/readings/1")).ok();
    let take = page.form(&format!("/c/{no}/readings/1/take-back"));
    app.submit(&take).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "unlit");
    let page = app.get(&format!("/c/{no}/readings/1")).ok();
    page.shows("Taken back 25 Nov 20:00. It is not counted.");
    let before = app.everything();
    app.submit(&take).conflict();
    assert_eq!(app.everything(), before);
    app.submit(&page.form(&format!("/c/{no}/readings/1/restore"))).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "danger");
}

#[test]
fn sending_the_same_reading_twice_writes_it_once() {
    let (app, no) = app();
    let bench = format!("/c/{no}/bench");
    let form = app.get(&bench).ok().form(&format!("{bench}/reading")).with("reads", "open");
    let first = app.submit(&form).wrote();
    app.later(MINUTE);
    assert_eq!(app.submit(&form).wrote(), first);
    assert_eq!(app.number("SELECT count(*) FROM reading"), 1);
}

#[test]
fn a_load_test_is_one_entry_however_often_it_is_sent() {
    let (app, no) = app();
    let form = app.load_test_form(no).filled(&[
        ("volts", "12"),
        ("free", "0.27"),
        ("slipping", "0.32"),
        ("held", "0.8"),
        ("winding", "13.6"),
    ]);
    let to = app.submit(&form).wrote();
    assert_eq!(app.submit(&form).wrote(), to);
    assert_eq!(
        (app.number("SELECT count(*) FROM load_test"), app.number("SELECT count(*) FROM reading")),
        (1, 4)
    );
    app.get(&to).ok().shows("Load test 2").shows("test 1: 0.27 A");
}

#[test]
fn a_refused_load_test_keeps_every_field_and_writes_nothing() {
    let (app, no) = app();
    let meter = app.own_multimeter("multimeter 1");
    let said = [
        ("volts", "12"),
        ("free", "0.27"),
        ("slipping", "lots"),
        ("held", "0.80"),
        ("winding", "13R6"),
        ("instrument", meter.as_str()),
        ("remark", "cold start"),
    ];
    let page = app.submit(&app.load_test_form(no).filled(&said)).refused();
    assert!(page.problem("slipping").contains("lots"));
    let again = page.form(&format!("/c/{no}/bench/load-test"));
    for (name, value) in said {
        assert_eq!(again.value(name), value, "{name}");
    }
    assert_eq!(app.number("SELECT count(*) FROM reading"), 0);
}

#[test]
fn currents_need_the_voltage_they_were_read_at() {
    let (app, no) = app();
    let page = app.submit(&app.load_test_form(no).with("free", "0.27")).refused();
    assert!(page.problem("volts").contains("Write the voltage at the loco"));
    let page = app.submit(&app.load_test_form(no).with("volts", "12")).refused();
    assert!(page.problem("free").contains("at least one current"));
}

#[test]
fn could_not_make_it_stall_is_a_valid_entry() {
    let (app, no) = app();
    let form = app.load_test_form(no).filled(&[
        ("volts", "12"),
        ("free", "0.27"),
        ("slipping", "0.5"),
        ("held_refused", "1"),
    ]);
    app.submit(&form).wrote();
    app.get(&format!("/c/{no}/readings")).ok().shows("could not make it stall");
    let both =
        app.load_test_form(no).filled(&[("volts", "12"), ("held", "0.8"), ("held_refused", "1")]);
    assert!(app.submit(&both).refused().problem("held").contains("Keep one of the two"));
}

#[test]
fn the_held_current_may_be_read_at_a_lower_voltage() {
    let (app, no) = app();
    let form = app.load_test_form(no).filled(&[
        ("volts", "12"),
        ("free", "0.27"),
        ("slipping", "0.32"),
        ("held", "0.4"),
        ("held_volts", "6"),
    ]);
    app.submit(&form).wrote();
    assert_eq!(app.text("SELECT printf('%g', volts) FROM reading WHERE kind = 'held'"), "6");
    assert_eq!(app.text("SELECT printf('%g', volts) FROM reading WHERE kind = 'free'"), "12");
}

#[test]
fn a_wheel_is_read_by_tap_or_by_number() {
    let (app, no) = app();
    app.lay_out_wheels(no);
    app.read_wheel(no, "L1", "picks-up");
    app.read_wheel(no, "L2", "unsteady");
    app.read_wheel(no, "L3", "1,5");
    app.read_wheel(no, "L4", "open");
    let kept = app.text("SELECT group_concat(outcome || ':' || ifnull(steady, '-'), ' ') FROM (SELECT * FROM reading ORDER BY no)");
    assert_eq!(kept, "joined:1 open:0 value:- open:-");
    let page = app.get(&format!("/c/{no}/bench")).ok();
    page.shows("L4").shows("left side, axle 4");
}

#[test]
fn a_wheel_of_another_conversion_is_refused() {
    let (app, no) = app();
    app.lay_out_wheels(no);
    let other = app.open_conversion_with("Other", &CENTRE_CAB);
    app.lay_out_wheels(other);
    let wheel = app.wheel(other, "L1");
    let page = app
        .post(&format!("/c/{no}/bench/wheel"), &[("wheel", &wheel), ("reads", "open")])
        .refused();
    assert!(page.problem("wheel").contains("not on the map of this conversion"));
}

#[test]
fn a_refused_wheel_keeps_the_wheel_the_number_and_that_it_comes_and_goes() {
    let (app, no) = app();
    app.lay_out_wheels(no);
    let wheel = app.wheel(no, "R2");
    let address = format!("/c/{no}/bench/wheel");
    let form = app.get(&format!("/c/{no}/bench")).ok().form(&address);
    let said = [
        ("wheel", wheel.as_str()),
        ("reads", "number"),
        ("number", "many"),
        ("unsteady", "1"),
        ("remark", "while turning"),
    ];
    let page = app.submit(&form.filled(&said)).refused();
    let again = page.form(&address);
    for name in ["wheel", "number", "unsteady", "remark"] {
        let typed = said.iter().find(|(n, _)| *n == name).map_or("", |(_, v)| v);
        assert_eq!(again.value(name), typed, "{name}");
    }
}

#[test]
fn the_isolation_walk_asks_one_pair_at_a_time_until_none_is_left() {
    let (app, no) = app();
    let asked = app.walk_isolation(no);
    assert!(asked >= 7, "{asked}");
    assert_eq!(
        app.number("SELECT count(*) FROM reading WHERE kind = 'isolation'"),
        i64::try_from(asked).expect("few")
    );
    app.get(&format!("/c/{no}/isolation")).ok().shows("Every pair is written down.");
    for key in [
        "brush_a:rail_left",
        "brush_a:rail_right",
        "brush_b:rail_left",
        "brush_b:rail_right",
        "brush_a:frame",
        "brush_b:frame",
        "rail_left:rail_right",
    ] {
        assert_eq!(app.aspect(no, "first_power", key), "clear", "{key}");
    }
}

#[test]
fn a_pair_can_be_asked_for_again_from_the_walk() {
    let (app, no) = app();
    app.walk_isolation(no);
    let page = app.get(&format!("/c/{no}/isolation?what=brush_a:frame@in_frame")).ok();
    let form = page.form(&format!("/c/{no}/isolation"));
    assert_eq!(form.value("what"), "brush_a:frame@in_frame");
    app.later(MINUTE);
    app.submit(&form.filled(&[("reads", "number"), ("number", "0,4")])).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "danger");
}

#[test]
fn looking_is_answered_with_yes_or_no() {
    let (app, no) = app();
    let page = app.get(&format!("/c/{no}/look/nothing_pinched")).ok();
    assert_eq!(page.all("button[name=answer]").len(), 2);
    app.look(no, "nothing_pinched", "no");
    assert_eq!(app.aspect(no, "close", "nothing_pinched"), "danger");
    app.later(MINUTE);
    app.look(no, "nothing_pinched", "yes");
    assert_eq!(app.aspect(no, "close", "nothing_pinched"), "clear");
    app.get(&format!("/c/{no}/look/nothing_pinched")).ok().shows("Before");
    app.post(&format!("/c/{no}/look/nothing_pinched"), &[("answer", "perhaps")])
        .refused()
        .shows("Tap yes or no");
}

#[test]
fn the_supplys_limit_needs_its_amps_and_keeps_them_typed() {
    let (app, no) = app();
    let address = format!("/c/{no}/look/supply_limited");
    let form = app.get(&address).ok().form(&address);
    app.submit(&form.clone().with("answer", "yes")).refused();
    let page =
        app.submit(&form.clone().filled(&[("answer", "yes"), ("amount", "a bit")])).refused();
    assert_eq!(page.form(&address).value("amount"), "a bit");
    app.submit(&form.filled(&[("answer", "yes"), ("amount", "250 mA")])).wrote();
    assert_eq!(app.aspect(no, "first_power", "supply"), "clear");
}

#[test]
fn every_question_has_its_page() {
    let (app, no) = app();
    for o in undershell::calc::gates::Observation::ALL {
        app.get(&format!("/c/{no}/look/{}", o.key())).ok().shows(o.question());
    }
}

#[test]
fn many_readings_have_pages() {
    let (app, no) = app();
    for _ in 0..60 {
        app.read_pair(no, "brush_a:frame@in_frame", "open");
    }
    let page = app.get(&format!("/c/{no}/readings")).ok();
    let older = page
        .all("main a.btn")
        .into_iter()
        .find(|a| a.text() == "Older")
        .expect("a way to older ones");
    let rows = |p: &crate::support::Html| p.all("main table tbody tr").len();
    assert_eq!(rows(&page), 50);
    assert_eq!(rows(&app.get(older.attribute("href").expect("an address")).ok()), 10);
}

#[test]
fn a_reading_of_the_future_or_of_before_1950_is_refused_a_late_one_is_taken() {
    let (app, no) = app();
    let form = app
        .get(&format!("/c/{no}/readings/new"))
        .ok()
        .form(&format!("/c/{no}/readings"))
        .filled(&[("kind", "cruise"), ("number", "0.3")]);
    assert!(
        app.submit(&form.clone().with("taken", "2026-12-24"))
            .refused()
            .problem("taken")
            .contains("still to come")
    );
    assert!(
        app.submit(&form.clone().with("taken", "1949-01-01"))
            .refused()
            .problem("taken")
            .contains("before 1950")
    );
    assert!(
        app.submit(&form.clone().with("taken", "2026-02-30"))
            .refused()
            .problem("taken")
            .contains("no day that exists")
    );
    app.submit(&form.with("taken", "2026-11-20 12:00")).wrote();
}

/// Two readings written on one evening for different days: the later taken one counts.
#[test]
fn which_reading_counts_is_decided_by_when_it_was_read() {
    let app = App::new();
    let no = app.open_conversion("Rigid shunter");
    app.read_pair(no, "brush_a:frame@in_frame", "open");
    app.later(DAY);
    let said =
        [("what", "brush_a:frame@in_frame"), ("reads", "joined"), ("taken", "2026-11-24 10:00")];
    app.post(&format!("/c/{no}/bench/reading"), &said).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "clear");
}
