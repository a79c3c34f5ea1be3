use crate::support::{App, Html};

/// What is put into a fine form, the field refused, a piece of what is said.
type Row<'a> = (&'a [(&'a str, &'a str)], &'a str, &'a str);

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

fn sheet(app: &App, no: i64) -> Html {
    app.get(&format!("/c/{no}/parts")).ok()
}

/// Writes a part down on the sheet; gives its number.
#[track_caller]
fn want(app: &App, no: i64, name: &str, said: &[(&str, &str)]) -> i64 {
    let address = format!("/c/{no}/parts");
    let form = app.get(&address).ok().form(&address);
    app.submit(&form.with("name", name).filled(said)).wrote();
    app.number("SELECT max(no) FROM part")
}

/// Takes a part on.
#[track_caller]
fn step(app: &App, part: i64, state: &str, day: &str) -> crate::support::Answer {
    let page = app.get(&format!("/parts/{part}")).ok();
    let form = page.form(&format!("/parts/{part}/state"));
    app.submit(&form.filled(&[("state", state), ("at", day)]))
}

fn state(app: &App, part: i64) -> String {
    app.text(&format!("SELECT state FROM part WHERE no = {part}"))
}

#[test]
fn the_sheet_says_what_to_write_first() {
    let (app, no) = app();
    sheet(&app, no).shows("No part yet.").shows("Write down the first one");
    app.get(&format!("/c/{no}")).ok().shows("Nothing is on its way.");
    app.get("/drawer").ok().shows("No spare part.").shows("No spare chassis");
    app.get("/suppliers").ok().shows("No supplier yet.");
}

#[test]
fn a_part_goes_from_wanted_to_fitted_each_step_dated_and_signed() {
    let (app, no) = app();
    let part = want(&app, no, "Decoder with sound", &[("kind", "decoder"), ("blocks", "close")]);
    sheet(&app, no).shows("1 wanted").shows("holds up close");
    step(&app, part, "ordered", "2026-11-04").refused().shows("It has been wanted since 25 Nov.");
    step(&app, part, "ordered", "").wrote();
    app.later(5 * crate::support::app::DAY);
    step(&app, part, "shipped", "2026-11-27").wrote();
    step(&app, part, "arrived", "").wrote();
    step(&app, part, "proved", "").wrote();
    step(&app, part, "fitted", "2026-11-30").wrote();
    let page = app.get(&format!("/parts/{part}")).ok();
    page.shows("fitted 30 Nov").shows("shipped Ines, 27 Nov").shows("proved Ines, 30 Nov");
    sheet(&app, no).shows("1 fitted");
    app.get(&format!("/c/{no}/history")).ok().shows("part 1 changed");
}

#[test]
fn a_part_written_down_late_keeps_the_days_it_was_ordered_and_came() {
    let (app, no) = app();
    let part = want(
        &app,
        no,
        "Speaker",
        &[("state", "arrived"), ("ordered", "2026-11-04"), ("arrived", "2026-11-19")],
    );
    sheet(&app, no).shows("ordered 4 Nov").shows("19 Nov");
    assert_eq!(app.number("SELECT count(*) FROM part_event"), 2);
    assert_eq!(state(&app, part), "arrived");
}

#[test]
fn days_that_cannot_be_are_refused_and_what_was_typed_is_kept() {
    let (app, no) = app();
    let address = format!("/c/{no}/parts");
    let form = app.get(&address).ok().form(&address).with("name", "Speaker");
    let arrived = form.filled(&[("state", "arrived"), ("ordered", "2026-11-20")]);
    let rows: [Row<'_>; 6] = [
        (&[("arrived", "2026-11-19")], "arrived", "It can’t be arrived before it was ordered."),
        (&[("arrived", "2026-12-24")], "arrived", "still to come"),
        (&[("arrived", "2026-11-31")], "arrived", "November has 30 days."),
        (&[("promised", "2026-11-19")], "promised", "before the order"),
        (&[("state", "wanted"), ("arrived", "")], "ordered", "The part is wanted."),
        (&[("state", "fitted")], "state", "begins as wanted"),
    ];
    let before = app.everything();
    for (said, field, words) in rows {
        let page = app.submit(&arrived.clone().filled(said)).refused();
        assert!(page.problem(field).contains(words), "{said:?}: {}", page.problem(field));
        assert_eq!(page.form(&address).value("name"), "Speaker");
    }
    assert_eq!(app.everything(), before);
}

#[test]
fn a_step_that_does_not_follow_is_refused_with_those_that_do() {
    let (app, no) = app();
    let part = want(&app, no, "Speaker", &[]);
    let page = step(&app, part, "arrived", "").refused();
    page.shows("A part that is wanted can’t be arrived next. It can be: ordered, tried in paper.");
    step(&app, part, "ordered", "").wrote();
    step(&app, part, "arrived", "2026-11-24").refused().shows("It has been ordered since 25 Nov.");
    step(&app, part, "arrived", "2026-11-25").wrote();
    step(&app, part, "vanished", "").refused();
    assert_eq!(state(&app, part), "arrived");
}

#[test]
fn the_promised_day_is_shown_and_then_how_long_it_is_overdue() {
    let (app, no) = app();
    want(
        &app,
        no,
        "Decoder",
        &[("state", "ordered"), ("promised", "2026-12-02"), ("blocks", "first_power")],
    );
    sheet(&app, no).shows("promised, in 7 days");
    app.get(&format!("/c/{no}")).ok().shows("2 Dec").shows("first power");
    app.later(10 * crate::support::app::DAY);
    sheet(&app, no).shows("promised, overdue by 3 days");
    app.get(&format!("/c/{no}")).ok().shows("overdue by 3 days");
}

#[test]
fn what_the_drawer_holds_is_said_before_it_is_ordered() {
    let (app, no) = app();
    let form = app.get("/parts/new").ok().form("/parts");
    app.submit(&form.filled(&[("name", "Wiper strip, bronze"), ("kind", "wire")])).wrote();
    app.get("/drawer").ok().shows("Wiper strip, bronze").shows("arrived 25 Nov");
    want(&app, no, "bronze strip 0.15", &[("kind", "wire")]);
    sheet(&app, no).shows("You already have one in the drawer: Wiper strip, bronze (part 1).");
    let form = app.get("/parts/1").ok().form("/parts/1/move");
    app.submit(&form.filled(&[("to", &no.to_string()), ("remark", "for the tender")])).wrote();
    sheet(&app, no).hides("You already have one");
    app.get("/parts/1").ok().shows(&format!("taken for № {no}")).shows("for the tender");
}

#[test]
fn the_newest_step_can_be_taken_back_and_stays_readable() {
    let (app, no) = app();
    let part = want(&app, no, "Speaker", &[("state", "ordered")]);
    app.post(&format!("/parts/{part}/take-back"), &[("version", "1")]).refused();
    step(&app, part, "arrived", "").wrote();
    let address = format!("/parts/{part}/take-back");
    let form = app.get(&format!("/parts/{part}")).ok().form(&address);
    app.submit(&form).wrote();
    assert_eq!(state(&app, part), "ordered");
    app.get(&format!("/parts/{part}")).ok().shows("arrived taken back");
    app.submit(&form).refused();
    step(&app, part, "shipped", "").wrote();
}

#[test]
fn of_this_or_that_the_group_is_drawn_to_its_first_and_told_on_each() {
    let (app, no) = app();
    let first = want(&app, no, "Decoder A", &[("kind", "decoder")]);
    let id = |part: i64| {
        let hex = app.text(&format!("SELECT lower(hex(id)) FROM part WHERE no = {part}"));
        crate::support::person::dashed(&hex)
    };
    let second = want(&app, no, "Decoder B", &[("kind", "decoder"), ("instead_of", &id(first))]);
    let third = want(&app, no, "Decoder C", &[("kind", "decoder"), ("instead_of", &id(second))]);
    for part in [second, third] {
        let sql = format!("SELECT lower(hex(instead_of)) FROM part WHERE no = {part}");
        assert_eq!(crate::support::person::dashed(&app.text(&sql)), id(first));
    }
    app.get(&format!("/parts/{third}"))
        .ok()
        .shows("Decoder A (part 1, wanted 25 Nov)")
        .shows("Decoder B");
    let edit = format!("/parts/{first}/edit");
    let form = app.get(&edit).ok().form(&edit);
    let page = app.submit(&form.with("instead_of", &id(third))).refused();
    assert!(page.problem("instead_of").contains("stands instead of this one already"));
}

#[test]
fn everything_said_of_a_part_comes_back_on_its_form() {
    let (app, no) = app();
    let supplier = app.get("/suppliers").ok().form("/suppliers");
    app.submit(&supplier.filled(&[("name", "stall at the fair"), ("lane", "over the counter")]))
        .wrote();
    let id = app.text("SELECT lower(hex(id)) FROM supplier");
    let id = crate::support::person::dashed(&id);
    let said = [
        ("kind", "store"),
        ("quantity", "6"),
        ("supplier", id.as_str()),
        ("price", "12,50"),
        ("postage", "3.20"),
        ("currency", "eur"),
        ("diameter", "6.3"),
        ("length", "12"),
        ("size_basis", "measured"),
        ("mass", "0.8"),
        ("mass_basis", "guess"),
        ("rating-1", "capacitance"),
        ("value-1", "0.220"),
        ("unit-1", "F"),
        ("from-1", "data_sheet"),
        ("state", "ordered"),
        ("remark", "polarity is printed on the sleeve"),
    ];
    let part = want(&app, no, "Store cells", &said);
    sheet(&app, no).shows("Store cells, 6").shows("15.70 EUR").shows("⌀ 6.3 × 12.0 mm");
    let page = app.get(&format!("/parts/{part}")).ok();
    page.shows("0.220 F, data sheet").shows("0.8 g, guess").shows("stall at the fair");
    let edit = format!("/parts/{part}/edit");
    let form = app.get(&edit).ok().form(&edit);
    for (name, value) in
        [("price", "12.5"), ("currency", "EUR"), ("value-1", "0.220"), ("mass", "0.8")]
    {
        assert_eq!(form.value(name), value, "{name}");
    }
    app.submit(&form.clone().filled(&[("diameter", ""), ("width", "6")])).wrote();
    let page = app.submit(&form.with("remark", "none")).conflict();
    page.shows("Nothing of yours is lost");
    assert_eq!(page.form(&edit).value("remark"), "none");
    assert_eq!(app.number("SELECT count(*) FROM part_rating"), 1);
}

#[test]
fn a_form_of_a_part_says_what_it_did_not_take() {
    let (app, no) = app();
    let address = format!("/c/{no}/parts");
    let form = app.get(&address).ok().form(&address).with("name", "Speaker");
    let nobody = "01890000-0000-7000-8000-000000000000";
    let rows: [Row<'_>; 10] = [
        (&[("name", " ")], "name", "Nothing is written"),
        (&[("kind", "horse")], "kind", "horse"),
        (&[("quantity", "0")], "quantity", "1 to 999"),
        (&[("price", "5")], "currency", "Write the currency"),
        (&[("currency", "EURO")], "currency", "Write 3 at most"),
        (&[("diameter", "6"), ("width", "6")], "diameter", "A round part"),
        (&[("length", "6"), ("size_basis", "")], "size_basis", "Choose"),
        (&[("value-2", "6")], "rating-2", "Write what is rated"),
        (&[("supplier", nobody)], "supplier", "There is no supplier"),
        (&[("instead_of", nobody)], "instead_of", "There is no such part"),
    ];
    let before = app.everything();
    for (said, field, words) in rows {
        let page = app.submit(&form.clone().filled(said)).refused();
        assert!(page.problem(field).contains(words), "{said:?}: {}", page.problem(field));
    }
    assert_eq!(app.everything(), before);
}

#[test]
fn two_people_taking_a_part_on_never_pass_over_each_other() {
    let (app, no) = app();
    let part = want(&app, no, "Speaker", &[("state", "ordered")]);
    let address = format!("/parts/{part}/state");
    let form = app.get(&format!("/parts/{part}")).ok().form(&address);
    app.submit(&form.clone().with("state", "shipped")).wrote();
    let page = app.submit(&form.filled(&[("state", "arrived"), ("remark", "by hand")])).conflict();
    page.shows("Speaker, shipped 25 Nov");
    assert_eq!(page.form(&address).value("remark"), "by hand");
    app.submit(&page.form(&address).with("state", "arrived")).wrote();
    assert_eq!(state(&app, part), "arrived");
}

#[test]
fn sending_the_same_part_twice_writes_one() {
    let (app, no) = app();
    let address = format!("/c/{no}/parts");
    let form = app.get(&address).ok().form(&address).with("name", "Speaker");
    assert_eq!(app.submit(&form).wrote(), app.submit(&form).wrote());
    assert_eq!(app.number("SELECT count(*) FROM part"), 1);
}

#[test]
fn a_part_put_aside_waits_in_the_drawer_and_comes_back() {
    let (app, no) = app();
    let part = want(&app, no, "Speaker", &[]);
    let form = app.get(&format!("/parts/{part}")).ok().form(&format!("/parts/{part}/aside"));
    app.submit(&form).wrote();
    sheet(&app, no).hides("Speaker");
    app.get(&format!("/parts/{part}/edit")).refused();
    let back = format!("/parts/{part}/restore");
    app.submit(&app.get("/drawer").ok().form(&back)).wrote();
    sheet(&app, no).shows("Speaker");
}

#[test]
fn suppliers_are_named_once_and_put_aside_without_losing_their_parts() {
    let (app, no) = app();
    let form = app.get("/suppliers").ok().form("/suppliers").with("name", "the stall");
    app.submit(&form).wrote();
    let again = app.get("/suppliers").ok().form("/suppliers").with("name", "the stall");
    app.submit(&again).refused().shows("There is a supplier called the stall already.");
    let id = crate::support::person::dashed(&app.text("SELECT lower(hex(id)) FROM supplier"));
    let part = want(&app, no, "Speaker", &[("supplier", &id)]);
    let page = app.get(&format!("/suppliers/{id}")).ok();
    app.submit(&page.form(&format!("/suppliers/{id}/aside"))).wrote();
    app.get(&format!("/parts/{part}")).ok().shows("the stall");
    let edit = format!("/parts/{part}/edit");
    assert_eq!(app.get(&edit).ok().form(&edit).value("supplier"), id);
    app.submit(&app.get("/suppliers").ok().form(&format!("/suppliers/{id}/restore"))).wrote();
    app.submit(&page.form(&format!("/suppliers/{id}")).with("name", "that stall")).conflict();
}

#[test]
fn a_dead_part_leads_to_another_one_instead() {
    let (app, no) = app();
    let part = want(&app, no, "Decoder", &[("kind", "decoder"), ("state", "arrived")]);
    step(&app, part, "dead", "").wrote();
    let page = app.get(&format!("/parts/{part}")).ok();
    page.shows("Write down another one instead").shows("dead 25 Nov");
    let page = app.get(&format!("/c/{no}/parts?instead_of={part}")).ok();
    let form = page.form(&format!("/c/{no}/parts"));
    assert_eq!(form.value("kind"), "decoder");
    assert!(!form.value("instead_of").is_empty());
    step(&app, part, "returned", "").wrote();
    sheet(&app, no).shows("Dead or sent back");
}

/// What the gate's page says of its parts.
fn gate(app: &App, no: i64, gate: &str) -> Html {
    app.get(&format!("/c/{no}/gates/{gate}")).ok()
}

#[test]
fn a_gate_waits_for_its_part_until_it_is_here_and_stops_at_a_dead_one() {
    let (app, no) = app();
    gate(&app, no, "close").hides("Parts are here");
    let part = want(&app, no, "Flat speaker", &[("kind", "speaker"), ("blocks", "close")]);
    gate(&app, no, "close").shows("Parts are here").shows("Part 1 (Flat speaker) is not ordered");
    step(&app, part, "ordered", "").wrote();
    gate(&app, no, "close").shows("0 of 1 here").shows("is on the way since 25 Nov");
    step(&app, part, "arrived", "").wrote();
    gate(&app, no, "close").shows("1 of 1 here");
    step(&app, part, "dead", "").wrote();
    gate(&app, no, "close").shows("is dead since 25 Nov");
    gate(&app, no, "first_power").hides("Parts are here");
}

fn alterations(app: &App) -> Vec<String> {
    let of = "SELECT coalesce(group_concat(kind, ' '), '') FROM (SELECT kind FROM alteration WHERE taken_back_at IS NULL ORDER BY id)";
    app.text(of).split_whitespace().map(str::to_owned).collect()
}

#[test]
fn fitting_and_taking_out_are_written_down_as_alterations_and_taken_back_with_the_step() {
    let (app, no) = app();
    let first = want(&app, no, "Decoder", &[("kind", "decoder"), ("state", "arrived")]);
    step(&app, first, "fitted", "").wrote();
    assert_eq!(alterations(&app), ["part_fitted"]);
    step(&app, first, "arrived", "").wrote();
    assert_eq!(alterations(&app), ["part_fitted", "decoder_changed"]);
    let page = app.get(&format!("/parts/{first}")).ok();
    app.submit(&page.form(&format!("/parts/{first}/take-back"))).wrote();
    assert_eq!(alterations(&app), ["part_fitted"]);
    step(&app, first, "dead", "").wrote();
    assert_eq!(alterations(&app), ["part_fitted"]);
    let second = want(&app, no, "Decoder 2", &[("kind", "decoder"), ("state", "arrived")]);
    step(&app, second, "fitted", "").wrote();
    assert_eq!(alterations(&app), ["part_fitted", "decoder_changed"]);
}

#[test]
fn what_is_fitted_is_taken_out_before_it_moves() {
    let (app, no) = app();
    let part = want(&app, no, "Decoder", &[("kind", "decoder"), ("state", "arrived")]);
    step(&app, part, "fitted", "").wrote();
    let page = app.get(&format!("/parts/{part}")).ok();
    let form = page.form(&format!("/parts/{part}/move"));
    app.submit(&form.with("to", "")).refused().shows("Write down that it was taken out");
    step(&app, part, "arrived", "").wrote();
    let page = app.get(&format!("/parts/{part}")).ok();
    app.submit(&page.form(&format!("/parts/{part}/move")).with("to", "")).wrote();
    assert_eq!(app.number("SELECT count(*) FROM part WHERE conversion_id IS NULL"), 1);
}
