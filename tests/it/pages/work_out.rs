use crate::support::app::MINUTE;
use crate::support::story::in_mid_build;
use crate::support::{App, Form};
use std::fmt::Write as _;
use undershell::calc;

/// The form of a calculation of a conversion.
fn form_of(app: &App, no: i64, name: &str) -> Form {
    let address = format!("/c/{no}/calc/{name}");
    app.get(&address).ok().form(&address)
}

#[test]
fn every_calculation_is_listed_with_its_aspect_and_opens() {
    let s = in_mid_build();
    let list = s.app.get(&format!("/c/{}/calc", s.no)).ok();
    for c in calc::ALL {
        list.shows(c.title);
        if c.name == "trace" {
            let page = s.app.get(&format!("/c/{}/calc/trace", s.no));
            assert_eq!(page.wrote(), format!("/c/{}/trace", s.no));
            continue;
        }
        s.app.get(&format!("/c/{}/calc/{}", s.no, c.name)).ok().shows(c.title);
    }
    assert!(list.all(".worklist .asp").len() >= calc::ALL.len());
    // of an empty conversion nothing is clear
    let bare = s.app.open_conversion("Empty");
    for asp in s.app.get(&format!("/c/{bare}/calc")).ok().all(".worklist .asp") {
        assert_ne!(asp.text(), "clear");
    }
}

#[test]
fn a_form_is_filled_in_from_the_readings_and_says_which() {
    let s = in_mid_build();
    let page = s.app.get(&format!("/c/{}/calc/load", s.no)).ok();
    let form = page.form(&format!("/c/{}/calc/load", s.no));
    assert_eq!(form.value("held_a"), "0.8");
    assert_eq!(form.value("track_v"), "13.4");
    page.shows("from reading").shows("this conversion’s form").shows("household settings");
    let links: Vec<_> =
        page.all(".said a").into_iter().filter_map(|a| a.attribute("href")).collect();
    assert!(links.iter().any(|l| l.starts_with(&format!("/c/{}/readings/", s.no))), "{links:?}");
    for link in links {
        assert_eq!(s.app.get(link).status, 200, "{link}");
    }
}

#[test]
fn only_what_a_person_wrote_is_kept_and_a_later_reading_still_counts() {
    let s = in_mid_build();
    let address = format!("/c/{}/calc/load", s.no);
    let answer = s.app.submit(&form_of(&s.app, s.no, "load").with("winding_ohm", "13.6 Ω"));
    assert_eq!(answer.wrote(), address);
    assert_eq!(s.app.text("SELECT input FROM saved_calc"), r#"{"winding_ohm":13.6}"#);
    s.app.get(&address).ok().shows("Kept").shows("Ines");
    s.app.later(MINUTE);
    s.app.write_load_test(s.no, "12", ["0.20", "0.30", "0.70"]);
    let form = form_of(&s.app, s.no, "load");
    assert_eq!((form.value("held_a"), form.value("winding_ohm")), ("0.7", "13.6"));
}

#[test]
fn trying_keeps_nothing_and_a_wrong_value_is_refused_at_its_field() {
    let s = in_mid_build();
    let before = s.app.everything();
    let form = form_of(&s.app, s.no, "budget");
    let tried = s.app.submit(&form.clone().with("load.track_v", "20").with("do", "try")).ok();
    tried.shows("Tried, not kept").shows("What would make it fit");
    let page = s.app.submit(&form.with("load.track_v", "400")).refused();
    page.shows("400").shows("Allowed");
    assert_eq!(s.app.everything(), before);
}

#[test]
fn sent_twice_it_is_kept_once_and_over_somebody_elses_only_knowingly() {
    let s = in_mid_build();
    let form = form_of(&s.app, s.no, "load").with("winding_ohm", "13");
    s.app.submit(&form).wrote();
    s.app.submit(&form).wrote();
    assert_eq!(s.app.number("SELECT version FROM saved_calc"), 1);
    // the first page again, with a token of its own: somebody kept one meanwhile
    let late = form.without("token").with("winding_ohm", "14");
    let page = s.app.submit(&late).conflict();
    page.shows("Somebody kept another input meanwhile");
    let address = format!("/c/{}/calc/load", s.no);
    let again = page.form(&address);
    assert_eq!(again.value("winding_ohm"), "14");
    s.app.submit(&again).wrote();
    assert_eq!(s.app.text("SELECT input FROM saved_calc"), r#"{"winding_ohm":14.0}"#);
    assert_eq!(s.app.number("SELECT count(*) FROM change WHERE noun = 'saved_calc'"), 2);
}

#[test]
fn what_was_kept_can_be_forgotten_and_kept_anew() {
    let s = in_mid_build();
    s.app.submit(&form_of(&s.app, s.no, "load").with("winding_ohm", "13")).wrote();
    let address = format!("/c/{}/calc/load", s.no);
    let page = s.app.get(&address).ok();
    s.app.submit(&page.form(&format!("{address}/aside"))).wrote();
    assert_eq!(form_of(&s.app, s.no, "load").value("winding_ohm"), "");
    s.app.submit(&form_of(&s.app, s.no, "load").with("winding_ohm", "15")).wrote();
    assert_eq!(form_of(&s.app, s.no, "load").value("winding_ohm"), "15");
    assert_eq!(s.app.number("SELECT count(*) FROM saved_calc"), 1);
    s.app.get(&format!("/c/{}/history", s.no)).ok().shows("saved calc");
}

#[test]
fn the_map_feeds_the_dead_track_and_that_feeds_the_store() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Centre cab", &crate::support::story::CENTRE_CAB);
    app.lay_out_wheels(no);
    let gap = form_of(&app, no, "gap");
    let placed = gap.fields.iter().filter(|(n, v)| n.ends_with("position_mm") && !v.is_empty());
    let placed = placed.count();
    let gap = if placed == 0 {
        gap.filled(&[
            ("wheels.0.position_mm", "0"),
            ("wheels.0.rail", "left"),
            ("wheels.0.works", "yes"),
            ("wheels.1.position_mm", "0"),
            ("wheels.1.rail", "right"),
            ("wheels.1.works", "yes"),
        ])
    } else {
        gap
    };
    let gap = gap.filled(&[
        ("sequence.0.length_mm", "500"),
        ("sequence.0.rail", "both"),
        ("speed.model_mm_s", "100"),
    ]);
    app.submit(&gap).wrote();
    app.get(&format!("/c/{no}/calc/gap")).ok().shows("The locomotive over the dead lengths");
    let store = form_of(&app, no, "holdup");
    let gap_mm: f64 = store.value("crossing.gap_mm").parse().expect("the gap in mm");
    assert!((100.0..=500.0).contains(&gap_mm), "{gap_mm}");
    assert_eq!(store.value("crossing.speed.model_mm_s"), "100");
}

/// Reads a run of the decoder: settles at 62 °C with a time constant of 10 minutes.
fn heat_run(app: &App, no: i64) {
    let address = format!("/c/{no}/heat");
    let page = app.get(&address).ok();
    let begin = Form { action: address.clone(), fields: Vec::new() }
        .filled(&[("what", "decoder"), ("temp", "22"), ("run", "")])
        .with("token", page.form_named(&address, "what").value("token"));
    app.submit(&begin).wrote();
    for (minute, temp) in [
        (5, "37.7"),
        (10, "47.3"),
        (15, "53.1"),
        (20, "56.6"),
        (25, "58.7"),
        (30, "60.0"),
        (40, "61.3"),
        (50, "61,7"),
    ] {
        let minutes = minute.to_string();
        let form = app.get(&address).ok().form_named(&address, "minutes");
        app.later(10 * MINUTE);
        app.submit(&form.with("temp", temp).with("minutes", &minutes)).wrote();
    }
}

#[test]
fn a_run_is_logged_settles_and_lights_the_gate() {
    let s = in_mid_build();
    let address = format!("/c/{}/heat", s.no);
    s.app.get(&address).ok().shows("New run").hides("Temperature now");
    assert_eq!(s.app.aspect(s.no, "close", "heat"), "unlit");
    heat_run(&s.app, s.no);
    let page = s.app.get(&address).ok();
    page.shows("No limit is given").shows("Run 1, decoder");
    assert_eq!(page.all("table.runrows tbody tr").len(), 9);
    assert_eq!(s.app.aspect(s.no, "close", "heat"), "unlit", "no limit, no verdict");
    let limit = page.form(&format!("{address}/limit")).with("limit_c", "70");
    s.app.submit(&limit).wrote();
    s.app.get(&address).ok().shows("It settles at").shows("below the limit of 70.0");
    assert_eq!(s.app.aspect(s.no, "close", "heat"), "clear");
    let limit = s.app.get(&address).ok().form(&format!("{address}/limit")).with("limit_c", "60");
    s.app.submit(&limit).wrote();
    s.app.get(&address).ok().shows("Stop now");
    assert_eq!(s.app.aspect(s.no, "close", "heat"), "danger");
    // another decoder: the run says nothing any more
    s.app.later(MINUTE);
    s.app.change(s.no, "decoder_changed", "another one");
    assert_eq!(s.app.aspect(s.no, "close", "heat"), "unlit");
}

#[test]
fn a_temperature_without_minutes_is_taken_at_the_notebooks_clock() {
    let s = in_mid_build();
    let address = format!("/c/{}/heat", s.no);
    let begin = s.app.get(&address).ok().form_named(&address, "what");
    s.app.submit(&begin.filled(&[("what", "motor"), ("temp", "21")])).wrote();
    s.app.later(7 * MINUTE);
    let now = s.app.get(&address).ok().form_named(&address, "minutes");
    let to = s.app.submit(&now.with("temp", "30")).wrote();
    s.app.get(&to).ok().shows("motor after 7.0").shows("Take back");
    // the same form again writes nothing more
    let now = s.app.get(&address).ok().form_named(&address, "minutes").with("temp", "31");
    s.app.later(MINUTE);
    let (first, second) = (s.app.submit(&now).wrote(), s.app.submit(&now).wrote());
    assert_eq!(first, second);
    assert_eq!(s.app.number("SELECT count(*) FROM reading WHERE kind = 'temperature'"), 3);
    // a minute that has a reading, and one to come, are refused
    let now = s.app.get(&address).ok().form_named(&address, "minutes").with("temp", "32");
    s.app.submit(&now.clone().with("minutes", "7")).refused().shows("Write another one");
    s.app.submit(&now.with("minutes", "600")).refused().shows("still to come");
}

/// A log: still, then running at 0.27 A, 20 readings a second.
fn log() -> String {
    let mut text = "time_s;current_mA\r\n".to_owned();
    for i in 0..400 {
        let amps = if i < 60 { 0 } else { 270 + (i * 37) % 5 };
        let _ = write!(text, "{};{amps}\r\n", f64::from(i) * 0.05);
    }
    text
}

#[test]
fn a_pasted_log_shows_its_plateaus_and_they_become_a_load_test() {
    let s = in_mid_build();
    let address = format!("/c/{}/trace", s.no);
    s.app.get(&address).ok().shows("No log yet");
    let form = s.app.get(&address).ok().form(&address).with("text", &log());
    s.app.submit(&form).wrote();
    let page = s.app.get(&address).ok();
    page.shows("Plateau 2").shows("Current over time").shows("Kept");
    let down = page.form(&format!("{address}/readings"));
    s.app
        .submit(&down.clone().with("as2", "free"))
        .refused()
        .shows("Write the voltage at the loco");
    let to = s.app.submit(&down.with("as2", "free").with("volts", "12")).wrote();
    assert!(to.starts_with(&format!("/c/{}/bench", s.no)), "{to}");
    assert_eq!(s.app.number("SELECT count(*) FROM load_test"), 2);
    assert_eq!(
        s.app.number(
            "SELECT CAST(round(value * 1000) AS INTEGER) FROM reading ORDER BY no DESC LIMIT 1"
        ),
        272
    );
    // a log that cannot be read names its line
    let bad = s.app.get(&address).ok().form(&address).with("text", &log().replace("0.5;", "x;"));
    s.app.submit(&bad).refused().shows("line 12");
}

/// A logger's file of 100 000 readings: taken whole without script, drawn, and not put into the page.
#[test]
fn a_file_of_100_000_readings_is_taken_whole() {
    let s = in_mid_build();
    let address = format!("/c/{}/trace", s.no);
    let mut file = String::from("\u{feff}time_s;current_A\n");
    for i in 0..100_000 {
        let amps = if i < 20_000 { 0.0 } else { 0.27 + f64::from(i % 7) * 0.001 };
        let _ = writeln!(file, "{:.3};{amps:.3}", f64::from(i) * 0.001);
    }
    assert!(file.len() > 1_000_000);
    let form = s.app.get(&address).ok().form(&address);
    s.app.submit_with_file(&form, "text_file", file.as_bytes()).wrote();
    let page = s.app.get(&address).ok();
    page.shows("Plateau 2").shows("Current over time").shows("100001 lines are kept");
    assert!(page.all("textarea")[0].text().trim().is_empty());
    // the field left empty means the log that is kept
    s.app.submit(&page.form(&address).with("turn_hz", "2")).wrote();
    let kept = "SELECT length(input) FROM saved_calc WHERE name = 'trace'";
    assert!(s.app.number(kept) > 1_000_000);
    // a bad line far down is named by its number
    let bad = file.replacen("\n50.000;", "\n50.000;what ", 1);
    let form = s.app.get(&address).ok().form(&address);
    s.app.submit_with_file(&form, "text_file", bad.as_bytes()).refused().shows("line 50002");
    // by hand, without a conversion
    let by_hand = s.app.get("/calc/trace").ok().form("/calc/trace");
    s.app.submit_with_file(&by_hand, "text_file", bad.as_bytes()).refused().shows("line 50002");
    let page = s.app.submit_with_file(&by_hand, "text_file", file.as_bytes()).ok();
    page.shows("Current over time").shows("Give the file again");
}

#[test]
fn a_long_log_is_not_repeated_in_its_own_history_line_and_is_whole_in_the_next() {
    let s = in_mid_build();
    let address = format!("/c/{}/trace", s.no);
    let mut long = String::from("time_s;current_A\n");
    for i in 0..9000 {
        let _ = writeln!(long, "{};0.27", f64::from(i) * 0.01);
    }
    let form = s.app.get(&address).ok().form(&address).with("text", &long);
    s.app.submit(&form).wrote();
    let after =
        "SELECT length(after) FROM change WHERE noun = 'saved_calc' ORDER BY seq DESC LIMIT 1";
    assert!(s.app.number(after) < 1000);
    let form = s.app.get(&address).ok().form(&address).with("text", &log());
    s.app.submit(&form).wrote();
    let before =
        "SELECT length(before) FROM change WHERE noun = 'saved_calc' ORDER BY seq DESC LIMIT 1";
    assert!(s.app.number(before) > 90_000);
}

#[test]
fn a_store_that_was_timed_answers_at_the_gate() {
    let s = in_mid_build();
    s.app.later(MINUTE);
    let store = form_of(&s.app, s.no, "holdup").filled(&[
        ("store.kind", "double_layer"),
        ("store.cell_f", "1"),
        ("store.series", "6"),
        ("store.esr_ohm", "0.2"),
        ("store.rating_v", "2.7"),
        ("store.balance_ohm", "1000"),
        ("supply.highest_track_v", "14"),
        ("load.cutoff_v", "7"),
        ("crossing.wanted_s", "0.5"),
        ("measured.hold_s", "0.2"),
    ]);
    s.app.submit(&store).wrote();
    let page = s.app.get(&format!("/c/{}/edit", s.no)).ok();
    let edit = page.form(&format!("/c/{}/edit", s.no)).with("goal_store", "1");
    s.app.submit(&edit).wrote();
    assert_eq!(s.app.aspect(s.no, "close", "store"), "danger");
    s.app.get(&format!("/c/{}/calc/holdup", s.no)).ok().shows("It holds only");
    // nothing is said any more of a store that was changed since
    s.app.later(MINUTE);
    s.app.change(s.no, "store_changed", "two cells more");
    assert_eq!(s.app.aspect(s.no, "close", "store"), "unlit");
}

#[test]
fn every_origin_leads_to_a_place_on_a_page_that_is_there() {
    let s = crate::support::story::in_mid_build();
    let (mut seen, mut bad) = (0, Vec::new());
    for name in
        ["load", "budget", "gap", "holdup", "lights", "sound", "wire", "isolation", "pickup"]
    {
        let page = s.app.get(&format!("/c/{}/calc/{name}", s.no)).ok();
        for link in page.all("a").into_iter().filter_map(|a| a.attribute("href")) {
            let Some((path, id)) = link.split_once('#') else { continue };
            if !path.starts_with("/c/") {
                continue;
            }
            seen += 1;
            if !s.app.get(path).ok().has(&format!("#{id}")) {
                bad.push(format!("{name}: {link}"));
            }
        }
    }
    assert!(seen > 3, "{seen} links into a page");
    assert!(bad.is_empty(), "{bad:?}");
}
