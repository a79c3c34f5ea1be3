use crate::support::App;
use crate::support::app::MINUTE;
use undershell::calc::gates::AlterationKind;

#[test]
fn what_was_changed_unsettles_the_readings_before_it_until_it_is_taken_back() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    let address = format!("/c/{no}/changed");
    app.get(&address).ok().shows("Nothing was changed yet.");
    app.read_pair(no, "brush_a:frame@in_frame", "open");
    app.later(MINUTE);
    app.change(no, "motor_changed", "from the spares box");
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "unlit");
    let page = app.get(&address).ok();
    page.shows("from the spares box").shows("Ines, 25 Nov 20:01");
    let back = page
        .all("form")
        .into_iter()
        .find_map(|f| f.attribute("action").filter(|a| a.ends_with("/take-back")))
        .expect("a way back")
        .to_owned();
    app.post(&back, &[]).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "clear");
    app.post(&back, &[]).missing();
}

#[test]
fn every_kind_can_be_written_down() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    for kind in AlterationKind::ALL {
        app.change(no, kind.key(), "");
    }
    let written = app.number("SELECT count(DISTINCT kind) FROM alteration");
    assert_eq!(written, i64::try_from(AlterationKind::ALL.len()).expect("few"));
}

#[test]
fn a_refused_entry_keeps_what_was_typed() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let address = format!("/c/{no}/changed");
    let form = app.get(&address).ok().form(&address);
    let page = app
        .submit(&form.filled(&[("kind", ""), ("what", "the motor"), ("at", "yesterday")]))
        .refused();
    assert!(
        page.problem("kind").contains("motor_changed") && page.problem("at").contains("yesterday")
    );
    assert_eq!(
        (page.form(&address).value("what"), page.form(&address).value("at")),
        ("the motor", "yesterday")
    );
}

#[test]
fn sending_it_twice_writes_it_once() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let address = format!("/c/{no}/changed");
    let form = app.get(&address).ok().form(&address).with("kind", "frame_cut");
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM alteration"), 1);
}
