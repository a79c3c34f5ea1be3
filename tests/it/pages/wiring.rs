use crate::support::app::MINUTE;
use crate::support::story::{CENTRE_CAB, ONE_AMP};
use crate::support::{App, Html};

/// A conversion with a decoder and a load test: motor held takes 0.80 A.
fn app() -> (App, i64, String) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Harbour shunter", &CENTRE_CAB);
    app.choose_decoder(no, &ONE_AMP);
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    (app, no, format!("/c/{no}/wiring"))
}

const FOUR: [(&str, &str, &str); 4] = [
    ("track_right", "red", "rail_right"),
    ("track_left", "black", "rail_left"),
    ("motor_plus", "orange", "brush_a"),
    ("motor_minus", "grey", "brush_b"),
];

/// Track and motor by the standard, proved.
fn four(app: &App, no: i64) {
    for (terminal, colour, to) in FOUR {
        app.write_wire(no, &[("terminal", terminal), ("colour", colour), ("to", to)]);
    }
}

/// A wire the decoder knows nothing of.
fn strap(app: &App, no: i64, more: &[(&str, &str)]) -> String {
    let said = [("terminal", "free"), ("from", "rail_right"), ("to", "brush_a"), ("state", "done")];
    app.write_wire(no, &[&said, more].concat())
}

fn drawing(page: &Html) -> String {
    page.one("svg.wd[role=img]").text()
}

#[test]
fn an_empty_list_says_what_to_write_first_and_picks_it() {
    let (app, no, address) = app();
    let page = app.get(&address).ok();
    page.shows("No wire is written down. Write down the first: red, from the right rail");
    let form = page.form(&address);
    assert_eq!((form.value("terminal"), form.value("to")), ("track_right", "rail_right"));
    app.get(&format!("/c/{no}/circuit"))
        .ok()
        .shows("The wiring list")
        .shows("Write down the first");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "unlit");
}

#[test]
fn a_list_by_the_standard_is_clear_and_every_wire_is_drawn_and_listed() {
    let (app, no, address) = app();
    four(&app, no);
    assert_eq!(app.aspect(no, "first_power", "wiring"), "clear");
    let page = app.get(&address).ok();
    page.shows("All 4 wires are in and proved, and no rule is broken.").shows("4 proved.");
    let drawn = drawing(&page);
    for text in ["1 red", "2 black", "3 orange", "4 grey", "brush A", "brush B", "right rail"] {
        assert!(drawn.contains(text), "{text} in {drawn}");
    }
    for no in 1..=4 {
        assert!(page.one(&format!("#wire-{no}")).text().contains("as the standard says"));
    }
    let circuit = app.get(&format!("/c/{no}/circuit")).ok();
    assert_eq!(drawing(&circuit), drawn, "the same drawing on the Circuit sheet");
    assert_eq!(app.number("SELECT count(*) FROM change WHERE noun = 'wire'"), 4);
    app.get(&format!("/c/{no}/history")).ok().shows("wire 4 added");
}

#[test]
fn planned_is_never_proved() {
    let (app, no, address) = app();
    four(&app, no);
    let wire =
        app.write_wire(no, &[("terminal", "function_1"), ("to", "lamp"), ("state", "planned")]);
    app.write_wire(no, &[("terminal", "common_plus"), ("to", "lamp_plus")]);
    let check = app.check(no, "first_power", "wiring");
    assert_eq!(check["finding"]["aspect"], "unlit");
    assert_eq!(check["reads"], "5 of 6 proved");
    app.get(&address).ok().shows("Only planned: wire 5, function 1.");
    let form = app.get(&wire).ok().form(&wire).with("state", "done");
    app.submit(&form).wrote();
    app.get(&address).ok().shows("In, but not proved: wire 5, function 1.");
    let form = app.get(&wire).ok().form(&wire).with("state", "proved");
    app.submit(&form).wrote();
    assert_eq!(app.aspect(no, "first_power", "wiring"), "clear");
}

#[test]
fn a_strap_from_rail_to_brush_is_danger_in_words_in_the_drawing_and_at_the_gate() {
    let (app, no, address) = app();
    four(&app, no);
    let wire = strap(&app, no, &[]);
    let page = app.get(&address).ok();
    page.shows("Motor + is joined to the right rail by wires 1, 3 and 5.");
    assert!(drawing(&page).contains("5 not seen danger"), "{}", drawing(&page));
    assert_eq!(page.one("#wire-5").attribute("class"), Some("bad"));
    let check = app.check(no, "first_power", "wiring");
    assert_eq!(check["finding"]["aspect"], "danger");
    assert_eq!(check["judgeable"], false, "a short is never judged away");
    // taken out: no longer counted, still written
    let form = app.get(&wire).ok().form(&wire).with("state", "removed");
    app.submit(&form).wrote();
    let page = app.get(&address).ok();
    page.hides("is joined to").shows("4 proved, 1 removed.");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "clear");
}

#[test]
fn a_wire_put_aside_counts_for_nothing_until_it_is_brought_back() {
    let (app, no, address) = app();
    four(&app, no);
    let wire = strap(&app, no, &[]);
    let page = app.get(&wire).ok();
    let aside = page.form(&format!("{wire}/aside"));
    app.submit(&aside).wrote();
    assert_eq!(app.submit(&aside).status, 422, "put aside already");
    let page = app.get(&address).ok();
    page.hides("is joined to").shows("Put aside");
    app.get(&wire).missing();
    app.submit(&page.form(&format!("{wire}/restore"))).wrote();
    app.get(&address).ok().shows("Motor + is joined to the right rail");
    assert_eq!(
        app.text(
            "SELECT group_concat(action) FROM (SELECT action FROM change WHERE noun = 'wire' ORDER BY seq DESC LIMIT 3)"
        ),
        "restored,put_aside,added"
    );
}

#[test]
fn a_wrong_colour_names_standard_and_row_and_can_be_judged() {
    let (app, no, address) = app();
    four(&app, no);
    let edit = format!("{address}/3");
    let form = app.get(&edit).ok().form(&edit);
    app.submit(&form.filled(&[("colour", "green"), ("state", "proved")])).wrote();
    let form = app.get(&edit).ok().form(&edit).with("state", "proved");
    app.submit(&form).wrote();
    let page = app.get(&address).ok();
    page.shows("Wire 3 on motor + is green; the standard says orange.");
    page.shows("NEM 651 contact 1").shows("orange: the motor terminal that was on the right rail");
    assert!(page.one("#wire-3").text().contains("standard: orange"));
    assert_eq!(app.aspect(no, "first_power", "wiring"), "caution");
    app.judge(no, "first_power", "wiring", "tagged at both ends").wrote();
    assert!(!app.check(no, "first_power", "wiring")["judgement"].is_null());
}

#[test]
fn a_wire_too_thin_for_the_held_current_is_danger_and_without_a_size_not_known() {
    let (app, no, address) = app();
    four(&app, no);
    let edit = format!("{address}/3");
    let size = |gauge: &str| {
        let form = app.get(&edit).ok().form(&edit).filled(&[("gauge", gauge), ("state", "proved")]);
        app.submit(&form).wrote();
        let form = app.get(&edit).ok().form(&edit).with("state", "proved");
        app.submit(&form).wrote();
    };
    size("AWG 38");
    app.get(&address).ok().shows("Wire 3, motor +: 0.80 A through AWG 38; it is too thin");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "danger");
    size("");
    app.get(&address).ok().shows("its gauge is not written");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "unlit");
    size("0.08 mm²");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "clear");
}

/// What was measured through a wire is asked for again when the wire is changed, each by its row.
#[test]
fn a_wire_changed_makes_stale_what_rests_on_it() {
    let (app, no, address) = app();
    app.lay_out_wheels(no);
    four(&app, no);
    app.later(MINUTE);
    app.read_wheel(no, "L1", "picks-up");
    app.walk_isolation(no);
    app.look(no, "nothing_pinched", "yes");
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "clear");
    app.later(MINUTE);
    // another reason and another length change nothing on the model
    let edit = format!("{address}/3");
    let form = app.get(&edit).ok().form(&edit);
    app.submit(&form.filled(&[("why", "the short way"), ("length", "47,5")])).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "clear");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "clear");
    // another end does: its own proof, the brushes, what was closed over it; not the rails
    let form = app.get(&edit).ok().form(&edit);
    app.submit(&form.filled(&[("to_name", "the cap")])).wrote();
    let form = app.get(&format!("{address}/4")).ok().form(&format!("{address}/4"));
    assert_eq!(form.value("state"), "proved");
    app.get(&address).ok().shows("3 proved, 1 changed.");
    assert_eq!(app.aspect(no, "first_power", "wiring"), "unlit");
    let check = app.check(no, "first_power", "brush_a:frame");
    assert_eq!(check["finding"]["aspect"], "unlit");
    assert!(
        check.to_string().contains("A wire to the motor was changed on 25\u{a0}Nov by Ines"),
        "{check}"
    );
    assert_eq!(app.aspect(no, "first_power", "rail_left:rail_right"), "clear");
    assert_eq!(app.aspect(no, "close", "nothing_pinched"), "unlit");
    // put aside as a mistake, it has changed nothing
    app.submit(&app.get(&edit).ok().form(&format!("{edit}/aside"))).wrote();
    assert_eq!(app.aspect(no, "first_power", "brush_a:frame"), "clear");
}

#[test]
fn another_motor_takes_the_proof_of_its_wires_and_of_no_others() {
    let (app, no, address) = app();
    four(&app, no);
    app.later(MINUTE);
    app.change_motor(no);
    assert_eq!(app.check(no, "first_power", "wiring")["reads"], "2 of 4 proved");
    app.later(MINUTE);
    for wire in [3, 4] {
        let edit = format!("{address}/{wire}");
        app.submit(&app.get(&edit).ok().form(&edit).with("state", "changed")).wrote();
        app.submit(&app.get(&edit).ok().form(&edit).with("state", "proved")).wrote();
    }
    assert_eq!(app.check(no, "first_power", "wiring")["reads"], "4 of 4 proved");
}

#[test]
fn lengths_are_added_by_gauge_for_the_order() {
    let (app, no, address) = app();
    for (terminal, to, length) in
        [("track_right", "rail_right", "62"), ("track_left", "rail_left", "2 1/4 in")]
    {
        app.write_wire(
            no,
            &[
                ("terminal", terminal),
                ("to", to),
                ("length", length),
                ("state", "planned"),
                ("gauge", "30"),
            ],
        );
    }
    app.write_wire(no, &[("terminal", "motor_plus"), ("to", "brush_a"), ("gauge", "AWG 30")]);
    let page = app.get(&address).ok();
    page.shows("AWG 30").shows("red, black").shows("120 mm").shows("1 without a length");
}

#[test]
fn what_is_refused_is_said_beside_its_field_and_kept() {
    let (app, _, address) = app();
    let form = app.get(&address).ok().form(&address);
    let said = [
        ("terminal", "free"),
        ("from", ""),
        ("to", "brush_a"),
        ("gauge", "7"),
        ("length", "12 bananas"),
        ("why", "because"),
    ];
    let page = app.submit(&form.filled(&said)).refused();
    assert!(page.problem("from").contains("Write where it begins"));
    assert!(page.problem("gauge").contains("10 to 40"));
    assert!(page.problem("length").contains("bananas"));
    let again = page.form(&address);
    assert_eq!(
        (again.value("to"), again.value("why"), again.value("gauge")),
        ("brush_a", "because", "7")
    );
    assert_eq!(app.number("SELECT count(*) FROM wire"), 0);
}

#[test]
fn sending_the_same_wire_twice_writes_one_and_it_can_be_taken_back() {
    let (app, _, address) = app();
    let form = app.get(&address).ok().form(&address);
    let first = app.submit(&form).wrote();
    assert_eq!(app.submit(&form).wrote(), first);
    assert_eq!(app.number("SELECT count(*) FROM wire"), 1);
    let page = app.get(&first).ok();
    page.shows("Written: wire 1, track right to right rail.").shows("Take back");
    app.submit(&page.form(&format!("{address}/1/aside"))).wrote();
    app.get(&address).ok().shows("No wire is written down.");
}

#[test]
fn two_people_at_once_see_what_differs_and_nothing_is_overwritten() {
    let (app, no, address) = app();
    four(&app, no);
    let edit = format!("{address}/3");
    let mine = app.get(&edit).ok().form(&edit);
    app.submit(&mine.clone().filled(&[("joint", "plug"), ("length", "47,5")])).wrote();
    let page = app.submit(&mine.with("why", "shorter way")).conflict();
    page.shows("Somebody saved this meanwhile").shows("plug").shows("47.5");
    let again = page.form(&edit);
    assert_eq!((again.value("why"), again.value("joint")), ("shorter way", "solder"));
    assert_eq!(app.text("SELECT joint || length_um FROM wire WHERE no = 3"), "plug47500");
    app.submit(&again).wrote();
    assert_eq!(app.text("SELECT joint || why FROM wire WHERE no = 3"), "soldershorter way");
}

#[test]
fn a_wire_is_found_in_its_own_conversion_only() {
    let (app, no, address) = app();
    four(&app, no);
    let other = app.open_conversion("Other");
    app.get(&format!("/c/{other}/wiring/1")).missing();
    app.post(&format!("/c/{other}/wiring/1/aside"), &[("version", "1")]).missing();
    app.get(&format!("{address}/99")).missing();
    assert_eq!(app.number("SELECT count(*) FROM wire WHERE aside_at IS NULL"), 4);
}

#[test]
fn what_people_write_never_becomes_markup() {
    let (app, no, address) = app();
    let nasty = "<b>\"lamp\" & 'co'</b>";
    app.write_wire(
        no,
        &[("terminal", "light_front"), ("to", "lamp"), ("to_name", nasty), ("why", nasty)],
    );
    let page = app.get(&address).ok();
    assert!(page.all("section b").iter().all(|b| !b.text().contains("lamp")));
    page.shows(nasty);
    app.get(&format!("/c/{no}/circuit")).ok().shows(nasty);
}
