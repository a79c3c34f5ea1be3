use crate::support::App;

#[test]
fn the_page_shows_the_defaults_and_keeps_what_is_set() {
    let app = App::new();
    let form = app.get("/settings").ok().form("/settings");
    assert_eq!(form.value("track_v"), "15");
    app.submit(&form.filled(&[
        ("name", "Larch Street table"),
        ("track_v", "14,5 V"),
        ("open_above_ohm", "2 MΩ"),
    ]))
    .wrote();
    let form = app.get("/settings").ok().form("/settings");
    assert_eq!(
        (form.value("name"), form.value("track_v"), form.value("open_above_ohm")),
        ("Larch Street table", "14.5", "2000000")
    );
    app.open_conversion("Harbour shunter");
    app.get("/").ok().shows("Larch Street table");
}

#[test]
fn a_refused_number_keeps_the_whole_form() {
    let app = App::new();
    let form = app
        .get("/settings")
        .ok()
        .form("/settings")
        .filled(&[("name", "Larch Street"), ("track_v", "150")]);
    let page = app.submit(&form).refused();
    assert!(
        page.problem("track_v").contains("30"),
        "says what is allowed: {}",
        page.problem("track_v")
    );
    assert_eq!(
        (page.form("/settings").value("name"), page.form("/settings").value("track_v")),
        ("Larch Street", "150")
    );
    assert_eq!(app.number("SELECT count(*) FROM setting"), 0);
}

#[test]
fn limits_that_cross_are_refused() {
    let app = App::new();
    let form = app.get("/settings").ok().form("/settings");
    let page = app.submit(&form.clone().with("friction_clear", "0.8")).refused();
    assert!(page.problem("friction_danger").contains("Danger must begin above"));
    let page =
        app.submit(&form.filled(&[("pickup_good_ohm", "3"), ("pickup_bad_ohm", "2")])).refused();
    assert!(page.problem("pickup_bad_ohm").contains("Failed must begin above"));
}

#[test]
fn settings_saved_meanwhile_are_never_overwritten() {
    let app = App::new();
    let form = app.get("/settings").ok().form("/settings");
    app.submit(&form.clone().with("track_v", "14")).wrote();
    let page = app.submit(&form.with("track_v", "16")).conflict();
    page.shows("Somebody changed the settings meanwhile");
    assert_eq!(page.form("/settings").value("track_v"), "16");
    assert_eq!(app.get("/settings").ok().form("/settings").value("track_v"), "14");
    app.submit(&page.form("/settings")).wrote();
    assert_eq!(app.get("/settings").ok().form("/settings").value("track_v"), "16");
}

#[test]
fn a_limit_of_the_household_decides_aspects() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    assert_eq!(app.aspect(no, "order", "mechanism"), "danger");
    let form = app.get("/settings").ok().form("/settings");
    app.submit(&form.with("friction_danger", "0.9")).wrote();
    assert_eq!(app.aspect(no, "order", "mechanism"), "caution");
}
