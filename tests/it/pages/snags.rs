use crate::support::App;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

#[test]
fn a_snag_is_opened_shown_and_closed_with_how() {
    let (app, no) = app();
    let address = format!("/c/{no}/snags");
    app.get(&address).ok().shows("No open snag.");
    let snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    let page = app.get(&address).ok();
    page.shows("1 open.")
        .shows("wiper bent")
        .shows("must be put right · blocks close · Ines, 25 Nov");
    app.get(&format!("/c/{no}")).ok().shows("1 open, 1 block a gate");
    app.close_snag(no, snag, "bent it back");
    let page = app.get(&address).ok();
    page.shows("No open snag.")
        .shows("Put right")
        .shows("bent it back")
        .shows("closed Ines, 25 Nov");
}

#[test]
fn closing_needs_how_and_keeps_the_snag_open_without() {
    let (app, no) = app();
    let snag = app.open_snag(no, "wiper bent", "must_fix", "");
    let address = format!("/c/{no}/snags");
    let form = app.get(&address).ok().form(&format!("{address}/{snag}/close"));
    app.submit(&form.clone().with("how", " ")).refused().shows("Nothing is written here yet.");
    let long = "h".repeat(2001);
    let page = app.submit(&form.with("how", &long)).refused();
    assert_eq!(page.form(&format!("{address}/{snag}/close")).value("how"), long);
    assert_eq!(app.number("SELECT count(*) FROM snag WHERE closed_at IS NULL"), 1);
}

#[test]
fn a_snag_is_closed_once_and_opened_again_once() {
    let (app, no) = app();
    let snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    let address = format!("/c/{no}/snags");
    let close =
        app.get(&address).ok().form(&format!("{address}/{snag}/close")).with("how", "bent back");
    app.submit(&close).wrote();
    let before = app.everything();
    app.submit(&close).refused();
    assert_eq!(app.everything(), before, "closing twice writes once");
    let again = app.get(&address).ok().form(&format!("{address}/{snag}/reopen"));
    app.submit(&again).wrote();
    app.get(&address).ok().shows("1 open.");
    app.submit(&again).refused().shows("is open already");
}

#[test]
fn a_snag_changed_meanwhile_is_not_closed_over_it_and_what_was_typed_is_kept() {
    let (app, no) = app();
    let snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    let address = format!("/c/{no}/snags");
    let close = app.get(&address).ok().form(&format!("{address}/{snag}/close"));
    let edit = format!("{address}/{snag}");
    app.submit(&app.get(&edit).ok().form(&edit).with("what", "both wipers bent")).wrote();
    let page = app.submit(&close.with("how", "bent one back")).conflict();
    assert_eq!(app.number("SELECT count(*) FROM snag WHERE closed_at IS NULL"), 1);
    assert!(page.has_form(&close_address(no, snag)), "the form comes back with what was typed");
    assert_eq!(page.form(&close_address(no, snag)).value("how"), "bent one back");
}

fn close_address(no: i64, snag: i64) -> String {
    format!("/c/{no}/snags/{snag}/close")
}

#[test]
fn an_edit_on_an_old_version_never_overwrites() {
    let (app, no) = app();
    let snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    let edit = format!("/c/{no}/snags/{snag}");
    let form = app.get(&edit).ok().form(&edit);
    app.submit(&form.clone().with("what", "both wipers bent")).wrote();
    let page = app.submit(&form.with("what", "left wiper bent")).conflict();
    page.shows("both wipers bent");
    assert_eq!(page.form(&edit).value("what"), "left wiper bent");
    assert_eq!(app.text("SELECT what FROM snag"), "both wipers bent");
}

#[test]
fn a_refused_snag_keeps_what_was_typed() {
    let (app, no) = app();
    let address = format!("/c/{no}/snags");
    let form = app.get(&address).ok().form(&address);
    let page = app
        .submit(&form.filled(&[("what", ""), ("severity", "dangerous"), ("blocks", "cut")]))
        .refused();
    let again = page.form(&address);
    assert_eq!((again.value("severity"), again.value("blocks")), ("dangerous", "cut"));
    assert!(page.problem("what").contains("Nothing is written"));
}

#[test]
fn sending_the_same_snag_twice_opens_one() {
    let (app, no) = app();
    let address = format!("/c/{no}/snags");
    let form = app.get(&address).ok().form(&address).with("what", "wiper bent");
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM snag"), 1);
}

#[test]
fn snags_are_numbered_over_the_whole_notebook_and_belong_to_one_conversion() {
    let (app, no) = app();
    let other = app.open_conversion("Other");
    assert_eq!(app.open_snag(no, "a", "small", ""), 1);
    assert_eq!(app.open_snag(other, "b", "small", ""), 2);
    app.get(&format!("/c/{no}/snags/2")).missing();
    app.post(&format!("/c/{no}/snags/2/close"), &[("version", "1"), ("how", "x")]).missing();
    app.get(&format!("/c/{other}/snags")).ok().hides("snag 1");
}

#[test]
fn an_open_snag_blocks_its_gate_until_it_is_closed() {
    let (app, no) = app();
    app.look(no, "snags_looked_over", "yes");
    assert_eq!(app.aspect(no, "close", "snags"), "clear");
    let snag = app.open_snag(no, "wire chafes", "dangerous", "close");
    assert_eq!(app.aspect(no, "close", "snags"), "danger");
    app.close_snag(no, snag, "sleeved");
    assert_ne!(app.aspect(no, "close", "snags"), "danger");
}
