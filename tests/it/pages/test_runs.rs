use crate::support::App;
use crate::support::app::MINUTE;
use crate::support::story::CENTRE_CAB;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Centre cab", &CENTRE_CAB);
    (app, no)
}

const ALL_OPEN: [(&str, &str); 7] = [
    ("a0-tap", "open"),
    ("a1-tap", "open"),
    ("a2-tap", "open"),
    ("a3-tap", "open"),
    ("a4-tap", "open"),
    ("a5-tap", "open"),
    ("a6", "yes"),
];

#[test]
fn every_card_is_listed_opens_and_is_on_paper() {
    let (app, no) = app();
    let list = app.get(&format!("/c/{no}/cards")).ok();
    list.shows("No card is done yet.");
    let paper = app.get(&format!("/c/{no}/cards/paper")).ok();
    assert_eq!(paper.all("article.papercard").len(), 17);
    let links = list.all("ul.sides a");
    assert_eq!(links.len(), 22, "seventeen cards, five of them with a twin");
    for link in links {
        let page = app.get(link.attribute("href").unwrap_or("")).ok();
        page.shows("At hand").shows("Expect").shows("If not").shows("Not done yet.");
    }
    app.get(&format!("/c/{no}/bench")).ok().one(&format!("a[href=/c/{no}/cards]"));
    app.get(&format!("/c/{no}/cards/pickup")).ok().shows("The pickup map is not laid out yet.");
    app.get(&format!("/c/{no}/cards/functions")).ok().shows("No load on a function output");
}

/// The readings of the card are those of the walk: one truth, in one place.
#[test]
fn a_card_done_shell_off_asks_for_its_twin_and_its_readings_count_as_readings() {
    let (app, no) = app();
    assert_eq!(app.aspect(no, "close", "twins"), "unlit");
    let to = app.do_card(no, "isolation", "off", &ALL_OPEN);
    let page = app.get(&to).ok();
    page.shows("The motor is off both rails and the frame, six times.")
        .shows("Do its twin, shell on");
    assert_eq!(app.number("SELECT count(*) FROM reading WHERE kind = 'isolation'"), 6);
    assert_eq!(app.number("SELECT count(*) FROM test_run_value WHERE value IS NOT NULL"), 0);
    assert_eq!(app.aspect(no, "first_power", "cards"), "clear");
    app.get(&format!("/c/{no}/cards")).ok().shows("Card 1, Isolation, shell on");
    let check = app.check(no, "close", "twins");
    assert_eq!(check["finding"]["aspect"], "unlit");
    app.get(&format!("/c/{no}/cards/isolation")).ok().shows("What it reads, shell on");
    let to = app.do_card(no, "isolation", "on", &ALL_OPEN);
    app.get(&to).ok().hides("Do its twin");
    assert_eq!(app.aspect(no, "close", "twins"), "clear");
    assert_eq!(
        app.number("SELECT count(*) FROM reading WHERE position = 'shell_on' AND shell = 'on'"),
        6
    );
    app.later(MINUTE);
    app.change_motor(no);
    assert_eq!(app.aspect(no, "close", "twins"), "unlit");
    app.get(&format!("/c/{no}/cards/isolation")).ok().shows("No longer counts.");
}

#[test]
fn a_bad_reading_is_danger_says_what_next_and_offers_a_snag() {
    let (app, no) = app();
    let to = app.do_card(no, "isolation", "off", &[("a2-tap", "joined")]);
    let page = app.get(&to).ok();
    page.shows("danger").shows("What next").shows("Find what joins them before any power");
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "danger");
    let form = page.form(&format!("/c/{no}/snags"));
    assert!(form.value("what").starts_with("Card 1, Isolation, shell off"), "{form:?}");
    assert_eq!((form.value("severity"), form.value("blocks")), ("dangerous", "first_power"));
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM snag WHERE blocks = 'first_power'"), 1);
}

#[test]
fn a_run_taken_back_takes_its_readings_along_and_both_come_back() {
    let (app, no) = app();
    let to = app.do_card(no, "isolation", "off", &ALL_OPEN);
    let back = format!("/c/{no}/runs/1/take-back");
    let counted = "SELECT count(*) FROM reading WHERE taken_back_at IS NULL";
    let form = [("version", "1")];
    app.post(&back, &form).wrote();
    assert_eq!(app.number(counted), 0);
    app.get(&to).ok().shows("taken back").hides("Do its twin");
    let before = app.everything();
    app.post(&back, &form).refused();
    assert_eq!(app.everything(), before, "taken back once");
    app.post(&format!("/c/{no}/runs/1/restore"), &[("version", "1")]).conflict();
    app.post(&format!("/c/{no}/runs/1/restore"), &[("version", "2")]).wrote();
    assert_eq!(app.number(counted), 6);
    app.post(&format!("/c/{no}/readings/1/take-back"), &[]).wrote();
    app.get(&to).ok().shows("Not entered: Brush A to left rail.");
}

#[test]
fn a_form_sent_twice_writes_one_run_and_currents_join_the_load_test_of_their_voltage() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let address = format!("/c/{no}/cards/slip");
    let form = app.get(&address).ok().form(&address);
    let form = form.filled(&[("a0", "340 mA"), ("a1", "12"), ("a2", "yes")]);
    assert_eq!(app.submit(&form).wrote(), app.submit(&form).wrote());
    assert_eq!(app.number("SELECT count(*) FROM test_run"), 1);
    assert_eq!(app.number("SELECT count(*) FROM load_test"), 1, "same voltage, same test");
    app.later(MINUTE);
    app.do_card(no, "slip", "off", &[("a0", "0.4"), ("a1", "14"), ("a2", "yes")]);
    assert_eq!(app.number("SELECT count(*) FROM load_test"), 2, "another voltage, another test");
    app.do_card(no, "locked", "off", &[("a0", "0.5"), ("a1", "9"), ("a2", "no")]);
    assert_eq!(app.number("SELECT count(*) FROM load_test"), 2);
    assert_eq!(app.number("SELECT count(*) FROM reading WHERE kind = 'held' AND volts = 9.0"), 1);
}
