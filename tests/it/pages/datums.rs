use crate::support::App;
use crate::support::app::MINUTE;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

fn all_before(app: &App, no: i64) {
    app.measure(no, &[("what", "buffer_height"), ("end", "front"), ("value", "12,2")]);
    app.measure(no, &[("what", "coupler_height"), ("end", "rear"), ("value", "25/64 in")]);
    app.measure(no, &[("what", "body_height"), ("end", "front"), ("value", "1650 thou")]);
    let screw = [("what", "screw_place"), ("end", "neither"), ("from", "front_beam")];
    let place = [("name", "under the cab"), ("value", "20"), ("y", "-8"), ("z", "3.5")];
    app.measure(no, &[screw.as_slice(), &place].concat());
}

#[test]
fn datums_are_kept_in_micrometres_whatever_they_were_typed_in() {
    let (app, no) = app();
    app.get(&format!("/c/{no}/datums")).ok().shows("Nothing is measured yet.");
    assert_eq!(app.aspect(no, "cut", "datums"), "unlit");
    all_before(&app, no);
    let um = |what: &str| app.number(&format!("SELECT value_um FROM datum WHERE what = '{what}'"));
    assert_eq!(
        [um("buffer_height"), um("coupler_height"), um("body_height")],
        [12_200, 9_922, 41_910]
    );
    assert_eq!(app.number("SELECT y_um FROM datum WHERE what = 'screw_place'"), -8_000);
    assert_eq!(app.aspect(no, "cut", "datums"), "clear");
    app.get(&format!("/c/{no}/datums")).ok().shows("NEM 303").shows("under the cab");
}

#[test]
fn measured_again_after_the_cut_it_is_still_true_or_danger() {
    let (app, no) = app();
    all_before(&app, no);
    app.later(MINUTE);
    app.change(no, "frame_cut", "a notch");
    assert_eq!(app.aspect(no, "close", "datums_hold"), "unlit");
    let again = |datum: i64, said: &[(&str, &str)]| {
        let page = app.get(&format!("/c/{no}/datums?again={datum}")).ok();
        app.submit(&page.form(&format!("/c/{no}/datums")).filled(said)).wrote();
    };
    app.later(MINUTE);
    again(1, &[("value", "12.1")]);
    again(2, &[("value", "9.9")]);
    again(3, &[("value", "41.9")]);
    again(4, &[("value", "20"), ("y", "-8"), ("z", "3.5")]);
    assert_eq!(app.aspect(no, "close", "datums_hold"), "clear");
    assert_eq!(app.aspect(no, "close", "coupler_height"), "clear");
    app.later(MINUTE);
    again(3, &[("value", "41.0")]);
    assert_eq!(app.aspect(no, "close", "datums_hold"), "danger");
    app.get(&format!("/c/{no}/datums")).ok().shows("It has moved by 0.91");
}

#[test]
fn an_edit_on_an_old_version_never_overwrites_and_a_datum_put_aside_comes_back() {
    let (app, no) = app();
    all_before(&app, no);
    let address = format!("/c/{no}/datums/1");
    let mine = app.get(&address).ok().form(&address);
    app.submit(&mine.clone().with("value", "12.3")).wrote();
    let page = app.submit(&mine.with("value", "12.4")).conflict();
    page.shows("Somebody saved this meanwhile").shows("12.3");
    assert_eq!(page.form(&address).value("value"), "12.4");
    assert_eq!(app.number("SELECT value_um FROM datum WHERE no = 1"), 12_300);
    app.post(&format!("{address}/aside"), &[("version", "1")]).conflict();
    app.post(&format!("{address}/aside"), &[("version", "2")]).wrote();
    assert_eq!(app.aspect(no, "cut", "datums"), "unlit");
    app.post(&format!("{address}/restore"), &[("version", "3")]).wrote();
    assert_eq!(app.aspect(no, "cut", "datums"), "clear");
}

#[test]
fn a_datum_sent_twice_is_written_once() {
    let (app, no) = app();
    let address = format!("/c/{no}/datums");
    let form = app.get(&address).ok().form(&address).with("value", "9.9");
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM datum"), 1);
}
