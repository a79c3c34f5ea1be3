use crate::support::App;

#[test]
fn an_empty_shelf_says_what_to_do_first() {
    let app = App::new();
    let page = app.get("/").ok();
    page.shows("Nothing on the shelf yet.").shows("Say who is writing");
    assert!(page.has("main a[href=/conversions/new]") && page.has("main a[href=/people]"));
}

#[test]
fn a_new_conversion_stands_on_the_shelf_and_asks_for_its_first_reading() {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    let page = app.get("/").ok();
    page.shows("Harbour shunter").shows("Nothing measured yet.").hides("Nothing on the shelf yet.");
    assert!(page.has(&format!("main a[href=/c/{no}/bench]")));
    assert!(page.has(".berth .stand svg"), "the model is drawn");
}

#[test]
fn what_ended_stands_on_its_own_board_with_its_reason() {
    let app = App::new();
    let no = app.open_conversion("Old tank engine");
    let move_it = app.get(&format!("/c/{no}")).ok().form(&format!("/c/{no}/stage"));
    let said = [("outcome", "given_up"), ("why", "the frame crumbles")];
    app.submit(&move_it.filled(&said)).wrote();
    let page = app.get("/").ok();
    page.shows("Given up").shows("the frame crumbles").hides("In work");
}

#[test]
fn the_most_useful_step_of_each_conversion_is_offered_tonight() {
    let app = App::new();
    let first = app.open_conversion("First");
    let second = app.open_conversion("Second");
    let page = app.get("/").ok();
    page.shows("Tonight");
    for no in [first, second] {
        page.shows(&format!("№ {no}"));
    }
}
