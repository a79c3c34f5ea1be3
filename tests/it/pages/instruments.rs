use crate::support::App;

#[test]
fn an_instrument_is_written_down_with_its_accuracy() {
    let app = App::new();
    app.get("/instruments").ok().shows("No instrument yet.");
    app.own_multimeter("multimeter 1");
    let page = app.get("/instruments").ok();
    page.shows("multimeter 1").shows("1.5 % + 3 × 0.01 A").shows("jack 10 A");
}

#[test]
fn its_accuracy_goes_with_the_readings_taken_with_it() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let meter = app.own_multimeter("multimeter 1");
    let form =
        app.load_test_form(no).filled(&[("volts", "12"), ("free", "0.27"), ("instrument", &meter)]);
    app.submit(&form).wrote();
    assert_eq!(
        app.text("SELECT percent || ' ' || digits || ' ' || resolution FROM reading"),
        "1.5 3.0 0.01"
    );
    app.get(&format!("/c/{no}/readings/1"))
        .ok()
        .shows("multimeter 1")
        .shows("1.5 % of reading + 3 × 0.01 A");
}

#[test]
fn a_changed_accuracy_leaves_earlier_readings_as_they_were() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let meter = app.own_multimeter("multimeter 1");
    app.submit(&app.load_test_form(no).filled(&[
        ("volts", "12"),
        ("free", "0.27"),
        ("instrument", &meter),
    ]))
    .wrote();
    let address = format!("/instruments/{meter}");
    app.submit(&app.get(&address).ok().form(&address).with("percent-1", "3")).wrote();
    assert_eq!(app.text("SELECT CAST(percent AS TEXT) FROM reading"), "1.5");
}

#[test]
fn a_name_is_taken_once_whatever_its_capitals() {
    let app = App::new();
    app.own_multimeter("multimeter 1");
    let form = app
        .get("/instruments/new")
        .ok()
        .form("/instruments")
        .filled(&[("name", "Multimeter 1"), ("remark", "kept")]);
    let page = app.submit(&form).refused();
    assert!(page.problem("name").contains("already"), "{}", page.problem("name"));
    assert_eq!(page.form("/instruments").value("remark"), "kept");
    assert_eq!(app.number("SELECT count(*) FROM instrument"), 1);
}

#[test]
fn an_edit_on_an_old_version_never_overwrites() {
    let app = App::new();
    let meter = app.own_multimeter("multimeter 1");
    let address = format!("/instruments/{meter}");
    let form = app.get(&address).ok().form(&address);
    app.submit(&form.clone().with("fuse", "10 A")).wrote();
    let page = app.submit(&form.with("fuse", "500 mA")).conflict();
    page.shows("Somebody saved this instrument meanwhile");
    assert_eq!(page.form(&address).value("fuse"), "500 mA");
    assert_eq!(app.text("SELECT fuse FROM instrument"), "10 A");
}

#[test]
fn a_refused_range_is_named_with_its_row_and_everything_is_kept() {
    let app = App::new();
    let form = app.get("/instruments/new").ok().form("/instruments");
    let said = [
        ("name", "m"),
        ("measures-2", "voltage"),
        ("up_to-2", "20 A"),
        ("percent-2", "0.5"),
        ("digits-2", "2"),
        ("step-2", "0.01"),
    ];
    let page = app.submit(&form.filled(&said)).refused();
    assert!(page.problem("up_to-2").contains("a unit of current"), "{}", page.problem("up_to-2"));
    for (name, value) in said {
        assert_eq!(page.form("/instruments").value(name), value);
    }
}

#[test]
fn the_same_range_twice_and_a_row_without_its_quantity_are_refused() {
    let app = App::new();
    let form = app.get("/instruments/new").ok().form("/instruments").with("name", "m");
    let row = |n: u8| {
        [
            format!("measures-{n}"),
            format!("up_to-{n}"),
            format!("percent-{n}"),
            format!("digits-{n}"),
            format!("step-{n}"),
        ]
    };
    let mut twice = form.clone();
    for n in [1, 2] {
        for (name, value) in row(n).iter().zip(["current", "10", "1", "2", "0.01"]) {
            twice = twice.with(name, value);
        }
    }
    assert!(app.submit(&twice).refused().problem("up_to-2").contains("already"));
    assert!(
        app.submit(&form.with("up_to-3", "10"))
            .refused()
            .problem("measures-3")
            .contains("Choose what")
    );
    assert_eq!(app.number("SELECT count(*) FROM instrument"), 0);
}

#[test]
fn sending_the_same_instrument_twice_writes_it_once() {
    let app = App::new();
    let form = app.get("/instruments/new").ok().form("/instruments").with("name", "m");
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM instrument"), 1);
}

#[test]
fn one_put_aside_is_no_longer_offered_but_its_readings_keep_its_name() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let meter = app.own_multimeter("multimeter 1");
    app.submit(&app.load_test_form(no).filled(&[
        ("volts", "12"),
        ("free", "0.27"),
        ("instrument", &meter),
    ]))
    .wrote();
    let put =
        app.get(&format!("/instruments/{meter}")).ok().form(&format!("/instruments/{meter}/aside"));
    app.submit(&put).wrote();
    app.get("/instruments").ok().hides("multimeter 1");
    app.get(&format!("/c/{no}/bench")).ok().hides("multimeter 1");
    app.get(&format!("/c/{no}/readings/1")).ok().shows("multimeter 1");
    app.get(&format!("/instruments/{meter}")).missing();
}
