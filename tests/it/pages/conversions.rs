use crate::support::App;
use crate::support::app::DAY;

#[test]
fn a_title_and_a_scale_are_enough() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let page = app.get(&format!("/c/{no}")).ok();
    page.shows("Harbour shunter")
        .shows("No reading yet.")
        .shows("No open snag.")
        .shows("No note yet.");
    page.shows("Nothing to compute with yet.");
}

#[test]
fn everything_said_on_the_form_is_kept_and_shown_for_editing() {
    let app = App::new();
    app.write_as("Ines");
    let said = [
        ("scale", "N"),
        ("body", "centre_cab"),
        ("wheels", "Bo-Bo"),
        ("length", "84,5"),
        ("drive", "two_bogies"),
        ("motor", "can"),
        ("pickup", "bogies"),
        ("frame", "cast_metal"),
        ("goal_sound", "1"),
        ("goal_store", "1"),
        ("why", "my first one"),
        ("give_up_money", "60"),
        ("give_up_currency", "eur"),
        ("give_up_hours", "12"),
        ("track_v", "14 V"),
        ("started", "2026-11-20 19:30"),
    ];
    let no = app.open_conversion_with("Centre cab", &said);
    let form = app.get(&format!("/c/{no}/edit")).ok().form(&format!("/c/{no}/edit"));
    let kept = [
        ("title", "Centre cab"),
        ("scale", "N"),
        ("body", "centre_cab"),
        ("wheels", "Bo-Bo"),
        ("length", "84.5"),
        ("drive", "two_bogies"),
        ("motor", "can"),
        ("pickup", "bogies"),
        ("frame", "cast_metal"),
        ("goal_sound", "1"),
        ("goal_lights", ""),
        ("goal_store", "1"),
        ("why", "my first one"),
        ("give_up_money", "60"),
        ("give_up_currency", "EUR"),
        ("give_up_hours", "12"),
        ("track_v", "14"),
        ("started", "2026-11-20T19:30"),
    ];
    for (name, value) in kept {
        assert_eq!(form.value(name), value, "{name}");
    }
    let person = app.get(&format!("/c/{no}")).ok();
    person.shows("Ines").shows("since 20 Nov");
}

#[test]
fn a_scale_of_ones_own_takes_a_ratio_and_a_gauge() {
    let app = App::new();
    let said =
        [("scale", "other"), ("scale_other", "Gn15"), ("ratio", "22.5"), ("gauge", "16.5 mm")];
    let no = app.open_conversion_with("Quarry engine", &said);
    assert_eq!(
        app.text("SELECT scale || ' ' || ratio || ' ' || gauge_um FROM conversion"),
        "Gn15 22.5 16500"
    );
    let form = app.get(&format!("/c/{no}/edit")).ok().form(&format!("/c/{no}/edit"));
    assert_eq!(
        (form.value("scale"), form.value("scale_other"), form.value("ratio")),
        ("other", "Gn15", "22.5")
    );
}

#[test]
fn a_refused_form_keeps_what_was_typed_and_says_why_at_the_field() {
    let app = App::new();
    let form = app.new_conversion("").filled(&[
        ("why", "for the harbour"),
        ("length", "12 bananas"),
        ("wheels", "Bo-Bo"),
    ]);
    let page = app.submit(&form).refused();
    assert!(page.problem("title").contains("Nothing is written here yet"));
    assert!(page.problem("length").contains("bananas"), "{}", page.problem("length"));
    let again = page.form("/conversions");
    for (name, value) in
        [("why", "for the harbour"), ("length", "12 bananas"), ("wheels", "Bo-Bo"), ("title", "")]
    {
        assert_eq!(again.value(name), value);
    }
    assert_eq!(app.number("SELECT count(*) FROM conversion"), 0);
    app.submit(&again.filled(&[("title", "Harbour shunter"), ("length", "80")])).wrote();
}

#[test]
fn sending_the_same_form_twice_opens_one_conversion() {
    let app = App::new();
    let form = app.new_conversion("Harbour shunter");
    let first = app.submit(&form).wrote();
    let second = app.submit(&form).wrote();
    assert_eq!(first, second);
    assert_eq!(app.number("SELECT count(*) FROM conversion"), 1);
}

#[test]
fn a_title_with_only_spaces_is_no_title() {
    let app = App::new();
    app.submit(&app.new_conversion("   ")).refused();
    app.submit(&app.new_conversion(&"x".repeat(121))).refused();
    app.submit(&app.new_conversion(&"ß".repeat(120))).wrote();
}

#[test]
fn an_edit_on_an_old_version_shows_theirs_beside_mine_and_writes_nothing() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let address = format!("/c/{no}/edit");
    let mine = app.get(&address).ok().form(&address);
    let theirs = mine.clone().filled(&[("title", "Quay shunter"), ("wheels", "C")]);
    app.submit(&theirs).wrote();
    let before = app.everything();
    let page = app.submit(&mine.with("title", "Dock shunter")).conflict();
    assert_eq!(app.everything(), before);
    page.shows("Somebody saved this meanwhile").shows("Quay shunter");
    let again = page.form(&address);
    assert_eq!(again.value("title"), "Dock shunter");
    app.submit(&again).wrote();
    assert_eq!(app.text("SELECT title FROM conversion"), "Dock shunter");
    assert_eq!(app.number("SELECT version FROM conversion"), 3);
}

#[test]
fn a_conversion_put_aside_is_off_the_shelf_and_comes_back_whole() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    app.write_note(no, "kept");
    let page = app.get(&format!("/c/{no}/review")).ok();
    let put = page.form(&format!("/c/{no}/aside"));
    assert_eq!(app.submit(&put).wrote(), "/aside");
    app.get("/").ok().hides("Harbour shunter");
    app.get(&format!("/c/{no}")).missing();
    let list = app.get("/aside").ok();
    list.shows("Harbour shunter");
    app.submit(&list.form(&format!("/aside/conversions/{no}/restore"))).wrote();
    app.get(&format!("/c/{no}")).ok().shows("kept");
    app.get("/aside").ok().shows("Nothing was put aside.");
    app.post(&format!("/aside/conversions/{no}/restore"), &[]).missing();
}

#[test]
fn a_conversion_changed_meanwhile_is_not_put_aside() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let put = app.get(&format!("/c/{no}/review")).ok().form(&format!("/c/{no}/aside"));
    let edit = format!("/c/{no}/edit");
    app.submit(&app.get(&edit).ok().form(&edit).with("why", "still wanted")).wrote();
    app.submit(&put).conflict().shows("changed since you opened this page");
    app.get(&format!("/c/{no}")).ok();
}

#[test]
fn a_move_keeps_its_day_and_its_reason() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    app.later(3 * DAY);
    let form = app.get(&format!("/c/{no}")).ok().form(&format!("/c/{no}/stage"));
    app.submit(&form.filled(&[("stage", "strip_and_isolate"), ("why", "parts are here")])).wrote();
    assert_eq!(
        app.text("SELECT stage || ' ' || why FROM stage_change"),
        "strip_and_isolate parts are here"
    );
    app.get("/").ok().shows("Strip and isolate");
    app.get(&format!("/c/{no}/history"))
        .ok()
        .shows("28 Nov")
        .shows("Ines")
        .shows("conversion 1 changed");
}

#[test]
fn giving_up_needs_its_reason_and_a_refused_move_keeps_what_was_typed() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let form = app.get(&format!("/c/{no}")).ok().form(&format!("/c/{no}/stage"));
    let page = app.submit(&form.clone().with("outcome", "given_up")).refused();
    page.shows("Write why it ends here");
    assert_eq!(app.number("SELECT count(*) FROM stage_change"), 0);
    let long = "w".repeat(2001);
    let page = app.submit(&form.filled(&[("outcome", "given_up"), ("why", &long)])).refused();
    page.shows("2001 characters long");
    assert!(page.has_form(&format!("/c/{no}/stage")), "the form comes back with what was typed");
    assert_eq!(page.form(&format!("/c/{no}/stage")).value("why"), long);
}

#[test]
fn a_move_on_an_old_version_writes_nothing() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    let form = app.get(&format!("/c/{no}")).ok().form(&format!("/c/{no}/stage"));
    app.submit(&form.clone().with("stage", "plan")).wrote();
    app.submit(&form.with("stage", "learn")).conflict();
    assert_eq!(app.text("SELECT stage FROM conversion"), "plan");
}

#[test]
fn the_history_tells_who_changed_what_from_what_to_what() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    let edit = format!("/c/{no}/edit");
    app.submit(&app.get(&edit).ok().form(&edit).with("title", "Quay shunter")).wrote();
    let page = app.get(&format!("/c/{no}/history")).ok();
    let newest = page.all(".history li")[0];
    assert!(newest.text().contains("Ines"));
    assert_eq!(newest.all("del")[0].text(), "Harbour shunter");
    assert_eq!(newest.all("ins")[0].text(), "Quay shunter");
}

#[test]
fn a_long_history_has_pages() {
    let app = App::new();
    let no = app.open_conversion("Harbour shunter");
    for n in 0..60 {
        app.write_note(no, &format!("note {n}"));
    }
    let first = app.get(&format!("/c/{no}/history")).ok();
    assert_eq!(first.all(".history li").len(), 50);
    let older = first
        .all("main a.btn")
        .into_iter()
        .find(|a| a.text() == "Older")
        .expect("a way to older lines");
    let second = app.get(older.attribute("href").expect("an address")).ok();
    assert_eq!(second.all(".history li").len(), 11);
}

#[test]
fn numbers_are_never_used_again() {
    let app = App::new();
    let first = app.open_conversion("First");
    app.submit(&app.get(&format!("/c/{first}/review")).ok().form(&format!("/c/{first}/aside")))
        .wrote();
    assert_eq!(app.open_conversion("Second"), first + 1);
}

#[test]
fn the_review_sheet_collects_what_was_put_right_and_changed() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    app.get(&format!("/c/{no}/review"))
        .ok()
        .shows("Still in work.")
        .shows("No snag was closed yet.");
    let snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    app.close_snag(no, snag, "bent it back");
    app.change_motor(no);
    let page = app.get(&format!("/c/{no}/review")).ok();
    page.shows("wiper bent").shows("bent it back").shows("a can motor on a printed cradle");
}
