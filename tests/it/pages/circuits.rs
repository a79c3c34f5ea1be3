use crate::support::App;
use crate::support::story::{CENTRE_CAB, in_mid_build};

#[test]
fn the_map_starts_from_the_wheel_arrangement() {
    let app = App::new();
    let no = app.open_conversion_with("Centre cab", &CENTRE_CAB);
    let address = format!("/c/{no}/wheels");
    let page = app.get(&address).ok();
    page.shows("Laid out from the wheel arrangement.");
    let form = page.form(&address);
    let vehicles: Vec<_> =
        (1..=4).map(|n| form.value(&format!("vehicle-{n}")).to_owned()).collect();
    assert_eq!(
        (form.value("axles"), vehicles.join(" ")),
        ("4", "front bogie front bogie rear bogie rear bogie".to_owned())
    );
    app.submit(&form.filled(&[("place-2", "19 mm"), ("tyre-L4", "1"), ("dead-R1", "1")])).wrote();
    assert_eq!(app.number("SELECT count(*) FROM wheel"), 8);
    let form = app.get(&address).ok().form(&address);
    assert_eq!(
        (
            form.value("place-2"),
            form.value("tyre-L4"),
            form.value("dead-R1"),
            form.value("dead-L1")
        ),
        ("19", "1", "1", "")
    );
}

#[test]
fn rows_can_be_added_without_a_script_and_nothing_is_written_meanwhile() {
    let app = App::new();
    let no = app.open_conversion("Shunter");
    let address = format!("/c/{no}/wheels");
    let form = app.get(&address).ok().form(&address).filled(&[
        ("axles", "5"),
        ("vehicle-1", "cab end"),
        ("rows", "only"),
    ]);
    let again = app.submit(&form).ok().form(&address);
    assert_eq!(
        (
            again.value("vehicle-1"),
            again.fields.iter().filter(|(n, _)| n.starts_with("vehicle-")).count()
        ),
        ("cab end", 5)
    );
    assert_eq!(app.number("SELECT count(*) FROM wheel"), 0);
    app.submit(&again.without("rows")).wrote();
    assert_eq!(app.number("SELECT count(*) FROM wheel"), 10);
}

#[test]
fn a_wheel_left_out_keeps_its_readings() {
    let s = in_mid_build();
    let address = format!("/c/{}/wheels", s.no);
    let form = s.app.get(&address).ok().form(&address).with("axles", "3");
    s.app.submit(&form).wrote();
    assert_eq!(s.app.number("SELECT count(*) FROM wheel WHERE aside_at IS NULL"), 6);
    s.app.get(&format!("/c/{}/readings", s.no)).ok();
    assert_eq!(s.app.number("SELECT count(*) FROM reading r JOIN wheel w ON w.id = r.wheel_id WHERE w.aside_at IS NOT NULL"), 1);
}

#[test]
fn a_map_changed_meanwhile_is_not_overwritten() {
    let s = in_mid_build();
    let address = format!("/c/{}/wheels", s.no);
    let mine = s.app.get(&address).ok().form(&address);
    s.app.submit(&mine.clone().with("tyre-L4", "1")).wrote();
    let before = s.app.everything();
    let answer = s.app.submit(&mine.with("vehicle-1", "pony truck"));
    assert!(answer.status == 409 || answer.status == 422, "{}", answer.status);
    assert_eq!(s.app.everything(), before);
    let page = crate::support::Html::read(&answer.body);
    page.shows("was changed since you opened this page");
    assert_eq!(page.form(&address).value("vehicle-1"), "pony truck");
}

#[test]
fn a_refused_map_keeps_what_was_typed() {
    let s = in_mid_build();
    let address = format!("/c/{}/wheels", s.no);
    let form = s.app.get(&address).ok().form(&address).filled(&[
        ("place-2", "two thumbs"),
        ("dead-L1", "1"),
        ("vehicle-1", "pony truck"),
    ]);
    let page = s.app.submit(&form).refused();
    assert!(page.problem("place-2").contains("two thumbs"));
    let again = page.form(&address);
    assert_eq!(
        (again.value("place-2"), again.value("dead-L1"), again.value("vehicle-1")),
        ("two thumbs", "1", "pony truck")
    );
}

#[test]
fn a_vehicle_name_that_is_too_long_says_so_at_its_field() {
    let s = in_mid_build();
    let address = format!("/c/{}/wheels", s.no);
    let form = s.app.get(&address).ok().form(&address).with("vehicle-1", &"v".repeat(41));
    s.app.submit(&form).refused().shows("41 characters long");
}

#[test]
fn the_circuit_sheet_shows_what_is_joined_and_names_the_open_wheel() {
    let s = in_mid_build();
    let page = s.app.get(&format!("/c/{}/circuit", s.no)).ok();
    page.shows("Brush A to frame").shows("0.4 Ω").shows("Wheel R4");
    assert!(page.has("main svg"));
    let app = App::new();
    let no = app.open_conversion("Fresh");
    app.get(&format!("/c/{no}/circuit")).ok();
}
