use crate::support::App;
use crate::support::app::DAY;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

/// Writes a thing into a conversion, in it from the beginning; gives its number.
#[track_caller]
fn made_of(app: &App, no: i64, kind: &str, name: &str) -> i64 {
    let address = format!("/c/{no}/stock");
    let form = app.get(&address).ok().form(&address);
    app.submit(&form.filled(&[("kind", kind), ("name", name)])).wrote();
    app.number("SELECT max(no) FROM stock")
}

/// Writes a thing into the drawer; gives its number.
#[track_caller]
fn in_drawer(app: &App, kind: &str, name: &str) -> i64 {
    let form = app.get("/drawer").ok().form("/drawer");
    app.submit(&form.filled(&[("kind", kind), ("name", name)])).wrote();
    app.number("SELECT max(no) FROM stock")
}

#[track_caller]
fn swap(
    app: &App,
    no: i64,
    (out, coming): (i64, i64),
    said: &[(&str, &str)],
) -> crate::support::Answer {
    let address = format!("/c/{no}/swap/{out}");
    let form = app.get(&address).ok().form(&address);
    let form = form.with("coming", &coming.to_string()).with("why", "too weak");
    app.submit(&form.filled(said))
}

/// The readings tied to a thing.
fn tied(app: &App, thing: i64) -> i64 {
    app.number(&format!(
        "SELECT count(*) FROM reading r JOIN stock s ON s.id = r.stock_id WHERE s.no = {thing}"
    ))
}

#[test]
fn readings_stay_with_the_motor_they_were_taken_on() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let old = made_of(&app, no, "motor", "open frame motor");
    assert_eq!(tied(&app, old), 3, "readings since it was in it");
    let new = in_drawer(&app, "motor", "coreless motor");
    app.later(DAY);
    swap(&app, no, (old, new), &[]).wrote();
    app.later(DAY);
    app.write_load_test(no, "12", ["0.09", "0.12", "0.30"]);
    assert_eq!((tied(&app, old), tied(&app, new)), (3, 3));
    let page = app.get(&format!("/stock/{old}")).ok();
    page.shows("In the drawer").shows("Held current").shows("0.80 A").hides("0.30 A");
    app.get(&format!("/stock/{new}")).ok().shows("0.30 A").shows("too weak");
    app.get("/drawer").ok().shows("open frame motor").hides("coreless motor");
}

#[test]
fn a_swapped_motor_makes_its_readings_count_no_more_and_taking_back_restores_them() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let current = |app: &App| app.aspect(no, "order", "load_test");
    let before = current(&app);
    let old = made_of(&app, no, "motor", "open frame motor");
    assert_eq!(current(&app), before, "writing down what was in it changes nothing");
    let new = in_drawer(&app, "motor", "coreless motor");
    app.later(DAY);
    swap(&app, no, (old, new), &[]).wrote();
    assert_eq!(current(&app), "unlit");
    app.get(&format!("/c/{no}/changed"))
        .ok()
        .shows("motor open frame motor taken out, motor coreless motor put in. too weak");
    let back = format!("/stock/{new}/take-back");
    let form = app.get(&format!("/stock/{new}")).ok().form(&back);
    app.submit(&form).wrote();
    assert_eq!(current(&app), before);
    app.get(&format!("/c/{no}/stock")).ok().shows("open frame motor").hides("coreless motor");
    assert_eq!(tied(&app, old), 3);
    app.submit(&form).refused();
}

#[test]
fn an_exchange_asks_both_models_for_new_readings() {
    let (app, no) = app();
    let other = app.open_conversion("Works shunter");
    let (a, b) = (made_of(&app, no, "chassis", "split"), made_of(&app, other, "chassis", "cast"));
    app.later(DAY);
    swap(&app, no, (a, b), &[("out", "exchange")]).wrote();
    app.get(&format!("/c/{no}/stock")).ok().shows("cast").hides("split");
    app.get(&format!("/c/{other}/stock")).ok().shows("split").hides("cast");
    for no in [no, other] {
        app.get(&format!("/c/{no}/changed")).ok().shows("chassis");
    }
    assert_eq!(app.number("SELECT count(*) FROM alteration WHERE kind = 'chassis_changed'"), 2);
}

#[test]
fn a_swap_needs_its_reason_a_like_thing_and_a_day_that_can_be() {
    let (app, no) = app();
    let motor = made_of(&app, no, "motor", "old");
    app.get(&format!("/c/{no}/swap/{motor}")).ok().shows("There is no other motor");
    let new = in_drawer(&app, "motor", "new");
    let shell = in_drawer(&app, "shell", "green");
    let before = app.everything();
    swap(&app, no, (motor, new), &[("why", "")]).refused();
    swap(&app, no, (motor, shell), &[]).refused().shows("one of its own kind");
    swap(&app, no, (motor, 99), &[]).refused().shows("Choose what comes in.");
    swap(&app, no, (motor, new), &[("at", "2026-11-20")]).refused().shows("moved last on 25 Nov");
    swap(&app, no, (motor, new), &[("at", "2026-12-20")]).refused();
    swap(&app, no, (motor, new), &[("out", "bin")]).refused();
    assert_eq!(app.everything(), before);
    app.get(&format!("/c/{no}/swap/{new}")).missing();
}

#[test]
fn sending_a_swap_twice_swaps_once() {
    let (app, no) = app();
    let (old, new) = (made_of(&app, no, "motor", "old"), in_drawer(&app, "motor", "new"));
    let address = format!("/c/{no}/swap/{old}");
    let form = app.get(&address).ok().form(&address);
    let form = form.filled(&[("coming", &new.to_string()), ("why", "too weak")]);
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM stock_move"), 4);
    assert_eq!(app.number("SELECT count(*) FROM alteration"), 1);
}

#[test]
fn with_two_motors_in_it_a_reading_is_tied_to_neither() {
    let (app, no) = app();
    let (a, b) = (made_of(&app, no, "motor", "front"), made_of(&app, no, "motor", "rear"));
    app.get(&format!("/c/{no}/stock")).ok().shows("There are 2 motors in it");
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    assert_eq!((tied(&app, a), tied(&app, b)), (0, 0));
}

#[test]
fn a_thing_is_moved_taken_back_and_put_aside_only_from_the_drawer() {
    let (app, no) = app();
    let shell = made_of(&app, no, "shell", "green shell");
    let page = app.get(&format!("/stock/{shell}")).ok();
    assert!(!page.has_form(&format!("/stock/{shell}/aside")));
    app.post(&format!("/stock/{shell}/aside"), &[("version", "1")])
        .refused()
        .shows("Move it into the drawer first");
    let address = format!("/stock/{shell}/move");
    let form = page.form(&address);
    app.submit(&form.clone().with("why", "x")).refused().shows("It sits there already.");
    app.submit(&form.clone().filled(&[("to", ""), ("why", "painted")])).wrote();
    app.submit(&form.filled(&[("to", ""), ("why", "again")])).conflict().shows("in the drawer");
    app.get(&format!("/c/{no}/changed")).ok().shows("shell green shell taken out. painted");
    let page = app.get(&format!("/stock/{shell}")).ok();
    app.submit(&page.form(&format!("/stock/{shell}/aside"))).wrote();
    app.get("/drawer").ok().shows("Put aside").shows("shell: green shell");
    app.submit(&app.get("/drawer").ok().form(&format!("/stock/{shell}/restore"))).wrote();
    app.get("/drawer").ok().hides("Put aside");
}

#[test]
fn of_two_who_move_or_edit_a_thing_the_second_is_shown_the_first() {
    let (app, no) = app();
    let motor = made_of(&app, no, "motor", "old");
    let edit = format!("/stock/{motor}/edit");
    let form = app.get(&edit).ok().form(&edit);
    app.submit(&form.clone().with("name", "open frame")).wrote();
    let page = app.submit(&form.with("mark", "M1")).conflict();
    page.shows("open frame");
    assert_eq!(page.form(&edit).value("mark"), "M1");
    app.submit(&page.form(&edit)).wrote();
    app.get(&format!("/stock/{motor}")).ok().shows("old, M1");
}

#[test]
fn a_swap_is_not_taken_back_over_a_later_move() {
    let (app, no) = app();
    let (old, new) = (made_of(&app, no, "motor", "old"), in_drawer(&app, "motor", "new"));
    swap(&app, no, (old, new), &[]).wrote();
    let other = app.open_conversion("Other");
    let form = app.get(&format!("/stock/{old}")).ok().form(&format!("/stock/{old}/move"));
    app.submit(&form.filled(&[("to", &other.to_string()), ("why", "spare")])).wrote();
    let form = app.get(&format!("/stock/{new}")).ok().form(&format!("/stock/{new}/take-back"));
    app.submit(&form).refused().shows("old was moved again since.");
}

#[test]
fn what_is_said_of_a_thing_is_checked() {
    let (app, no) = app();
    let address = format!("/c/{no}/stock");
    let form = app.get(&address).ok().form(&address).with("name", "old");
    let before = app.everything();
    for (field, value, words) in [
        ("name", "", "Nothing is written"),
        ("kind", "horse", "horse"),
        ("mass", "3 bananas", "bananas"),
        ("at", "2026-12-30", "still to come"),
        ("at", "yesterday", "no day that exists"),
    ] {
        let page = app.submit(&form.clone().with(field, value)).refused();
        assert!(page.problem(field).contains(words), "{field}: {}", page.problem(field));
        assert!(field == "kind" || page.form(&address).value(field) == value, "{field}");
    }
    assert_eq!(app.everything(), before);
    app.get("/stock/99").missing();
    app.get("/parts/99").missing();
    app.get("/suppliers/x").missing();
}

/// What breaks a rule, what mends it, a piece of the rule.
const BROKEN: [(&str, &str, &str); 9] = [
    (
        "UPDATE part SET state = 'fitted' WHERE no = 1",
        "UPDATE part SET state = 'arrived' WHERE no = 1",
        "last step",
    ),
    (
        "UPDATE part SET conversion_id = NULL WHERE no = 1",
        "UPDATE part SET conversion_id = (SELECT id FROM conversion) WHERE no = 1",
        "last step",
    ),
    (
        "UPDATE part_event SET at = at + 9999999999 WHERE no = 1",
        "UPDATE part_event SET at = at - 9999999999 WHERE no = 1",
        "steps of a part",
    ),
    (
        "UPDATE part SET instead_of = (SELECT id FROM part WHERE no = 1) WHERE no = 2; UPDATE part SET instead_of = (SELECT id FROM part WHERE no = 2) WHERE no = 3",
        "UPDATE part SET instead_of = NULL",
        "names the first",
    ),
    (
        "UPDATE stock SET conversion_id = NULL WHERE no = 2",
        "UPDATE stock SET conversion_id = (SELECT id FROM conversion) WHERE no = 2",
        "where its last move took it",
    ),
    (
        "UPDATE stock_move SET at = at + 9999999999 WHERE no = 1",
        "UPDATE stock_move SET at = at - 9999999999 WHERE no = 1",
        "moves of a thing",
    ),
    (
        "UPDATE stock_move SET taken_back_at = at WHERE no = 2; UPDATE stock SET conversion_id = CASE no WHEN 1 THEN (SELECT id FROM conversion) END",
        "UPDATE stock_move SET taken_back_at = NULL; UPDATE stock SET conversion_id = CASE no WHEN 2 THEN (SELECT id FROM conversion) END",
        "taken-back swap",
    ),
    (
        "UPDATE stock SET kind = 'shell' WHERE no = 2",
        "UPDATE stock SET kind = 'motor' WHERE no = 2",
        "tied to a motor",
    ),
    (
        "UPDATE change SET record_id = zeroblob(16) WHERE noun = 'part' AND seq = (SELECT max(seq) FROM change)",
        "UPDATE change SET record_id = (SELECT id FROM part WHERE no = 3) WHERE record_id = zeroblob(16)",
        "every part, thing and supplier",
    ),
];

#[test]
fn what_check_promises_of_parts_and_things_is_really_looked_at() {
    let (app, no) = app();
    let (old, new) = (made_of(&app, no, "motor", "old"), in_drawer(&app, "motor", "new"));
    swap(&app, no, (old, new), &[]).wrote();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    for name in ["a", "b", "c"] {
        let address = format!("/c/{no}/parts");
        let form = app.get(&address).ok().form(&address).filled(&[
            ("name", name),
            ("state", "arrived"),
            ("ordered", "2026-11-04"),
        ]);
        app.submit(&form).wrote();
    }
    for (breaks, mends, words) in BROKEN {
        let wrong = app.with_pool(async |pool| {
            let run = |sql: &'static str| sqlx::raw_sql(sql).execute(pool);
            run(breaks).await.expect("it can be broken");
            let wrong = undershell::db::check(pool).await.expect("a report").wrong;
            run(mends).await.expect("it can be mended");
            wrong
        });
        assert!(wrong.iter().any(|w| w.contains(words)), "{breaks}: {wrong:?}");
    }
}

#[test]
fn a_motor_with_readings_stays_a_motor() {
    let (app, no) = app();
    let motor = made_of(&app, no, "motor", "old");
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let edit = format!("/stock/{motor}/edit");
    let form = app.get(&edit).ok().form(&edit);
    let page = app.submit(&form.with("kind", "shell")).refused();
    assert!(page.problem("kind").contains("Readings were taken on it"));
}
