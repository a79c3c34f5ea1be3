use crate::support::App;
use crate::support::story::{ONE_AMP, in_mid_build};

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

#[test]
fn the_sheet_says_what_to_write_first() {
    let (app, no) = app();
    app.get(&format!("/c/{no}/decoder"))
        .ok()
        .shows("No ratings yet.")
        .shows("No decoder chosen yet.")
        .shows("No load planned");
}

#[test]
fn ratings_are_kept_and_compared_with_what_was_measured() {
    let (app, no) = app();
    app.choose_decoder(no, &ONE_AMP);
    app.write_load_test(no, "12", ["0.1", "0.32", "0.80"]);
    app.plan_load(no, "front lamp", "20");
    let page = app.get(&format!("/c/{no}/decoder")).ok();
    page.shows("Motor, continuous, motor held")
        .shows("of 1.00 A")
        .shows("front lamp")
        .shows("20 mA");
    let form = page.form(&format!("/c/{no}/decoder"));
    for (name, value) in [
        ("motor_continuous", "1"),
        ("motor_peak", "1.5"),
        ("motor_peak_s", "2"),
        ("function", "0.1"),
    ] {
        assert_eq!(form.value(name), value);
    }
}

#[test]
fn a_decoder_without_a_rating_is_refused_and_a_peak_below_the_continuous_one_too() {
    let (app, no) = app();
    let address = format!("/c/{no}/decoder");
    let form = app.get(&format!("/c/{no}/decoder")).ok().form(&address).with("name", "small one");
    let page = app.submit(&form).refused();
    assert!(page.problem("motor_continuous").contains("Write at least"));
    let page =
        app.submit(&form.filled(&[("motor_continuous", "1"), ("motor_peak", "0.8")])).refused();
    assert!(page.problem("motor_peak").contains("below the continuous"));
    assert_eq!(page.form(&address).value("name"), "small one");
    assert_eq!(app.number("SELECT count(*) FROM decoder"), 0);
}

#[test]
fn ratings_changed_meanwhile_are_never_overwritten() {
    let (app, no) = app();
    app.choose_decoder(no, &ONE_AMP);
    let address = format!("/c/{no}/decoder");
    let form = app.get(&format!("/c/{no}/decoder")).ok().form(&address);
    app.submit(&form.clone().with("motor_continuous", "0.7")).wrote();
    let page = app.submit(&form.with("motor_continuous", "1.2")).conflict();
    page.shows("Somebody changed the ratings meanwhile");
    assert_eq!(page.form(&address).value("motor_continuous"), "1.2");
    assert_eq!(app.number("SELECT motor_continuous_ma FROM decoder"), 700);
    app.submit(&page.form(&address)).wrote();
}

#[test]
fn of_two_people_who_choose_the_first_decoder_the_second_is_told() {
    let (app, no) = app();
    let address = format!("/c/{no}/decoder");
    let form = app
        .get(&format!("/c/{no}/decoder"))
        .ok()
        .form(&address)
        .filled(&[("name", "mine"), ("motor_continuous", "1")]);
    app.choose_decoder(no, &[("name", "theirs"), ("motor_continuous", "0.7")]);
    let page = app.submit(&form).conflict();
    assert_eq!(page.form(&address).value("name"), "mine");
    assert_eq!(app.text("SELECT name FROM decoder"), "theirs");
}

#[test]
fn a_load_is_planned_once_changed_and_put_aside() {
    let (app, no) = app();
    let parts = format!("/c/{no}/decoder");
    let form = app.get(&parts).ok().form(&format!("/c/{no}/loads")).filled(&[
        ("name", "front lamp"),
        ("each", "20 mA"),
        ("count", "2"),
        ("output", "white"),
    ]);
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM planned_load"), 1);
    let page = app.get(&parts).ok();
    page.shows("2 × 20 mA");
    let href = page.one("#loads tbody a").attribute("href").expect("an address").to_owned();
    let edit = app.get(&href).ok().form(&href);
    assert_eq!(edit.value("each"), "20 mA");
    app.submit(&edit.with("each", "15")).wrote();
    app.get(&parts).ok().shows("2 × 15 mA");
    app.submit(&app.get(&href).ok().form(&format!("{href}/aside"))).wrote();
    app.get(&parts).ok().shows("No load planned");
    app.get(&href).missing();
}

#[test]
fn a_load_changed_meanwhile_is_never_overwritten() {
    let s = in_mid_build();
    let address = format!("/c/{}/loads/{}", s.no, s.load);
    let form = s.app.get(&address).ok().form(&address);
    s.app.submit(&form.clone().with("each", "25")).wrote();
    let page = s.app.submit(&form.with("each", "30")).conflict();
    page.shows("Somebody changed this load meanwhile");
    assert_eq!(page.form(&address).value("each"), "30");
    assert_eq!(s.app.number("SELECT each_ua FROM planned_load"), 25_000);
}

#[test]
fn a_refused_load_keeps_what_was_typed() {
    let (app, no) = app();
    let parts = app.get(&format!("/c/{no}/decoder")).ok();
    let said = [
        ("name", "sound"),
        ("kind", "sound"),
        ("each", "loud"),
        ("count", "0"),
        ("output", "green"),
        ("basis", "guess"),
    ];
    let page = app.submit(&parts.form(&format!("/c/{no}/loads")).filled(&said)).refused();
    page.shows("loud").shows("no whole number from 1 to 99");
    for (name, value) in said {
        assert_eq!(page.form(&format!("/c/{no}/loads")).value(name), value, "{name}");
    }
}

#[test]
fn which_case_governs_is_signed_with_its_reason() {
    let (app, no) = app();
    let address = format!("/c/{no}/governing");
    let form = app.get(&format!("/c/{no}/decoder")).ok().form(&address);
    app.submit(&form.clone().with("governing", "slipping"))
        .refused()
        .shows("Write why slipping governs");
    app.submit(&form.filled(&[("governing", "slipping"), ("why", "it slips at 0.32 A")])).wrote();
    app.get(&format!("/c/{no}/decoder")).ok().shows("“it slips at 0.32 A” Ines, 25 Nov");
    let form = app.get(&format!("/c/{no}/decoder")).ok().form(&address);
    app.submit(&form.with("governing", "held")).wrote();
    app.get(&format!("/c/{no}/decoder")).ok().hides("it slips at 0.32 A");
}

#[test]
fn a_refused_signature_keeps_the_reason_that_was_typed() {
    let (app, no) = app();
    app.other_device();
    let address = format!("/c/{no}/governing");
    let form = app.get(&format!("/c/{no}/decoder")).ok().form(&address);
    let page =
        app.submit(&form.filled(&[("governing", "slipping"), ("why", "it slips first")])).refused();
    page.shows("Say who is writing first");
    assert!(page.has_form(&address), "the form comes back with what was typed");
    assert_eq!(page.form(&address).value("why"), "it slips first");
}
