use crate::support::{App, Html};

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

/// Writes a review down; gives its number.
#[track_caller]
fn write(app: &App, no: i64, said: &[(&str, &str)]) -> i64 {
    let form = app.get(&format!("/c/{no}/reviews/new")).ok().form(&format!("/c/{no}/reviews"));
    app.submit(&form.with("symptom", "decoder_hot").filled(said)).wrote();
    app.number("SELECT max(no) FROM review")
}

fn at(no: i64, review: i64) -> String {
    format!("/c/{no}/reviews/{review}")
}

fn page(app: &App, no: i64, review: i64) -> Html {
    app.get(&at(no, review)).ok()
}

/// Names a cause on a review's page.
#[track_caller]
fn name(app: &App, no: i64, review: i64, cause: &str, sure: &str) {
    let form = page(app, no, review).form(&format!("{}/causes", at(no, review)));
    app.submit(&form.filled(&[("cause", cause), ("sure", sure)])).wrote();
}

#[track_caller]
fn close(app: &App, no: i64, review: i64, lesson: &str) {
    let form = page(app, no, review).form(&format!("{}/lesson", at(no, review)));
    app.submit(&form.filled(&[("lesson", lesson), ("close", "1")])).wrote();
}

/// A decoder that is here; gives its number.
fn decoder(app: &App, no: i64) -> i64 {
    let form = app.get(&format!("/c/{no}/parts")).ok().form(&format!("/c/{no}/parts"));
    let said = [
        ("name", "Decoder"),
        ("kind", "decoder"),
        ("state", "arrived"),
        ("price", "39"),
        ("currency", "EUR"),
    ];
    app.submit(&form.filled(&said)).wrote();
    app.number("SELECT max(no) FROM part")
}

/// The address of a review's first cause.
fn cause(app: &App, no: i64, review: i64) -> String {
    let page = page(app, no, review);
    let found = page.all(".cause a.do");
    found[0].attribute("href").unwrap_or("").to_owned()
}

#[test]
fn a_failed_decoder_is_reviewed_from_its_snag_to_its_lesson() {
    let (app, no) = app();
    let part = decoder(&app, no);
    app.change(no, "joint_remade", "rear lamp lead");
    app.later(60_000);
    let snag = app.open_snag(no, "decoder smelt and went dark", "dangerous", "first_power");
    let list = app.get(&format!("/c/{no}/snags")).ok();
    list.shows("write its review");
    let new = app.get(&format!("/c/{no}/reviews/new?snag={snag}")).ok();
    new.shows("It comes from snag 1").shows("rear lamp lead");
    let form = new.form(&format!("/c/{no}/reviews"));
    assert_eq!(form.value("words"), "decoder smelt and went dark");
    let offered = new.all("#f-changed option");
    assert_eq!(offered.len(), 2, "none of these, and the joint");
    let changed = offered[1].attribute("value").unwrap_or("").to_owned();
    let said = [
        ("symptom", "smoked"),
        ("changed", changed.as_str()),
        ("hours", "1,5"),
        ("cost", "39"),
        ("currency", "eur"),
    ];
    app.submit(&form.filled(&said)).wrote();
    page(&app, no, 1)
        .shows("Smoked, smelt")
        .shows("1 h 30 min")
        .shows("39.00 EUR")
        .shows("a soldered or plugged joint made again: rear lamp lead")
        .shows("No cause is named yet");

    name(&app, no, 1, "lead_joined", "likely");
    name(&app, no, 1, "brush_joined", "ruled_out");
    let one = cause(&app, no, 1);
    let cause_page = app.get(&one).ok();
    let record = cause_page.all("#f-about option")[1].attribute("value").unwrap_or("").to_owned();
    let form = cause_page.form(&format!("{one}/evidence"));
    app.submit(&form.filled(&[("about", &record), ("said", "it sat on the frame")])).wrote();
    page(&app, no, 1).shows("it sat on the frame").shows("for snag 1");

    let id = crate::support::dashed(&app.text("SELECT lower(hex(id)) FROM part"));
    let form = page(&app, no, 1).form(&format!("{}/lost", at(no, 1)));
    app.submit(&form.with("part", &id)).wrote();
    page(&app, no, 1).shows("Part 1: Decoder").shows("They cost 39.00 EUR");
    app.get(&format!("/parts/{part}")).ok().shows("dead 25 Nov").shows("lost, see review 1");

    let form = page(&app, no, 1).form(&format!("{}/snags", at(no, 1)));
    let said =
        [("what", "sleeve the lamp leads"), ("severity", "must_fix"), ("blocks", "first_power")];
    app.submit(&form.filled(&said)).wrote();
    app.get(&format!("/c/{no}/snags")).ok().shows("2 open.").shows("review 1: smoked");
    assert_eq!(app.aspect(no, "first_power", "snags"), "danger");

    assert_eq!(app.aspect(no, "service", "review"), "caution");
    close(&app, no, 1, "Sleeve every lamp lead before the first power.");
    assert_eq!(app.aspect(no, "service", "review"), "clear");
    page(&app, no, 1).shows("Closed 25 Nov, Ines");
    app.get(&format!("/c/{no}/review")).ok().shows("Sleeve every lamp lead").shows("likely");
    app.get(&format!("/c/{no}/history")).ok().shows("review 1 changed");
    let reopen = page(&app, no, 1).form(&format!("{}/reopen", at(no, 1)));
    app.submit(&reopen).wrote();
    assert_eq!(app.aspect(no, "service", "review"), "caution");
}

#[test]
fn a_review_is_not_closed_without_a_cause_and_what_was_typed_is_kept() {
    let (app, no) = app();
    let review = write(&app, no, &[]);
    let action = format!("{}/lesson", at(no, review));
    let form = page(&app, no, review).form(&action);
    let again =
        app.submit(&form.clone().filled(&[("lesson", "measure"), ("close", "1")])).refused();
    assert!(again.problem("lesson").contains("Name a cause first"));
    assert_eq!(again.form(&action).value("lesson"), "measure");
    assert_eq!(app.text("SELECT lesson FROM review"), "");
    app.submit(&form.filled(&[("lesson", "measure")])).wrote();
    assert_eq!(app.text("SELECT lesson FROM review"), "measure");
    assert_eq!(app.number("SELECT count(*) FROM review WHERE closed_at IS NULL"), 1);
}

#[test]
fn sending_a_form_of_a_review_twice_writes_once() {
    let (app, no) = app();
    let form = app.get(&format!("/c/{no}/reviews/new")).ok().form(&format!("/c/{no}/reviews"));
    let form = form.with("symptom", "click");
    let first = app.submit(&form).wrote();
    assert_eq!(app.submit(&form).wrote(), first);
    let page = app.get(&first).ok();
    let cause = page.form(&format!("{first}/causes")).with("cause", "axle_gear");
    let snag = page.form(&format!("{first}/snags")).with("what", "replace the gear");
    for form in [cause.clone(), cause] {
        app.submit(&form).wrote();
    }
    let page = app.get(&first).ok();
    let version = page.form(&format!("{first}/snags")).value("version").to_owned();
    for form in [snag.clone().with("version", &version), snag.with("version", &version)] {
        app.submit(&form).wrote();
    }
    assert_eq!(app.number("SELECT count(*) FROM review"), 1);
    assert_eq!(app.number("SELECT count(*) FROM review_cause"), 1);
    assert_eq!(app.number("SELECT count(*) FROM snag"), 1);
}

#[test]
fn two_people_on_one_review_see_each_other_and_lose_nothing() {
    let (app, no) = app();
    let review = write(&app, no, &[("words", "hot")]);
    let edit = format!("{}/edit", at(no, review));
    let mine = app.get(&edit).ok().form(&edit).with("words", "hot after four minutes");
    let my_cause = page(&app, no, review).form(&format!("{}/causes", at(no, review)));
    app.submit(&app.get(&edit).ok().form(&edit).with("words", "hot at once")).wrote();
    let page = app.submit(&mine).conflict();
    page.shows("hot at once");
    assert_eq!(page.form(&edit).value("words"), "hot after four minutes");
    app.submit(&page.form(&edit)).wrote();
    assert_eq!(app.text("SELECT words FROM review"), "hot after four minutes");
    let page = app.submit(&my_cause.with("cause", "bind").with("cause_words", "mine")).conflict();
    page.shows("Somebody changed this review meanwhile");
    let again = page.form(&format!("{}/causes", at(no, review)));
    assert_eq!((again.value("cause"), again.value("cause_words")), ("bind", "mine"));
    app.submit(&again).wrote();
    assert_eq!(app.number("SELECT count(*) FROM review_cause"), 1);
}

#[test]
fn only_what_was_changed_before_the_moment_is_offered() {
    let (app, no) = app();
    app.change(no, "motor_changed", "the old one");
    app.later(3_600_000);
    app.change(no, "wheels_changed", "rear wheelset");
    let new = app.get(&format!("/c/{no}/reviews/new")).ok();
    let words: Vec<String> = new.all("#f-changed option").iter().map(|o| o.text()).collect();
    assert!(words[1].contains("rear wheelset") && words[2].contains("the old one"), "{words:?}");
    let early = app.get(&format!("/c/{no}/reviews/new?at=2026-11-25+20:30")).ok();
    assert_eq!(early.all("#f-changed option").len(), 2);
    app.get(&format!("/c/{no}/reviews/new?at=2026-11-24"))
        .ok()
        .shows("Nothing is written down as changed");
    let later = new.all("#f-changed option")[1].attribute("value").unwrap_or("").to_owned();
    let form = new.form(&format!("/c/{no}/reviews")).with("symptom", "click");
    let form = form.filled(&[("at", "2026-11-25 20:30"), ("changed", &later)]);
    app.submit(&form).refused().shows("after it was noticed");
}

#[test]
fn a_cause_is_weighed_and_evidence_on_a_reading_taken_back_says_so() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let review = write(&app, no, &[]);
    name(&app, no, review, "too_much_current", "possible");
    let one = cause(&app, no, review);
    let page_of = || app.get(&one).ok();
    let empty = page_of().form(&format!("{one}/evidence"));
    app.submit(&empty).refused().shows("Choose a record, or write what was found.");
    let id = crate::support::dashed(&app.text("SELECT lower(hex(id)) FROM reading WHERE no = 3"));
    let form = page_of().form(&format!("{one}/evidence"));
    app.submit(&form.filled(&[("side", "against"), ("about", &format!("reading:{id}"))])).wrote();
    page(&app, no, review).shows("against reading 3: Held current, 0.80");
    let reading = app.get(&format!("/c/{no}/readings/3")).ok();
    app.submit(&reading.form(&format!("/c/{no}/readings/3/take-back"))).wrote();
    page(&app, no, review).shows("reading 3, taken back");
    let weighed = page_of().form(&one).with("sure", "ruled_out");
    app.submit(&weighed).wrote();
    assert_eq!(app.text("SELECT sure FROM review_cause"), "ruled_out");
    assert_eq!(app.number("SELECT count(*) FROM review_evidence"), 1, "the evidence stays with it");
    let all = page_of();
    let remove = all
        .all("form")
        .iter()
        .filter_map(|f| f.attribute("action"))
        .find(|a| a.contains("/evidence/") && a.ends_with("/remove"))
        .map(str::to_owned);
    app.submit(&all.form(&remove.expect("a form to take it back"))).wrote();
    app.submit(&page_of().form(&format!("{one}/remove"))).wrote();
    assert_eq!(app.number("SELECT count(*) FROM review_cause"), 0);
    app.get(&one).missing();
}

#[test]
fn lessons_are_filtered_by_address_alone() {
    let (app, no) = app();
    app.get("/lessons").ok().shows("No review is written yet");
    let other = app.open_conversion_with("Old diesel", &crate::support::story::CENTRE_CAB);
    write(&app, no, &[("symptom", "click")]);
    let review = write(&app, other, &[]);
    name(&app, other, review, "bind", "proved");
    close(&app, other, review, "Free the gears first.");
    app.get("/lessons").ok().shows("2 of 2 reviews").shows("Free the gears first.");
    app.get("/lessons?symptom=decoder_hot")
        .ok()
        .shows("1 of 2")
        .shows("Old diesel")
        .hides("Harbour");
    app.get("/lessons?drive=two_bogies&frame=cast_metal").ok().shows("1 of 2");
    app.get("/lessons?symptom=click&drive=two_bogies").ok().shows("No review fits");
    app.get("/lessons?motor=steam").refused().shows("no kind of motor");
    let start = app.open_conversion_with("Another", &crate::support::story::CENTRE_CAB);
    let overview = app.get(&format!("/c/{start}")).ok();
    overview.shows("Before you start").shows("Free the gears first.").shows("4 of 4");
    app.get(&format!("/c/{no}")).ok().shows("No lesson from a conversion like this one yet");
}

#[test]
fn what_ended_leads_to_its_review_from_the_shelf() {
    let (app, no) = app();
    let review = write(&app, no, &[]);
    name(&app, no, review, "too_much_current", "proved");
    close(&app, no, review, "Hold the motor before ordering.");
    app.get("/").ok().hides("Its review");
    let form = app.get(&format!("/c/{no}")).ok().form(&format!("/c/{no}/stage"));
    app.submit(&form.filled(&[("outcome", "given_up"), ("why", "no decoder fits")])).wrote();
    let shelf = app.get("/").ok();
    shelf.shows("Its review").shows("Hold the motor before ordering.");
    assert!(shelf.all("a").iter().any(|a| a.attribute("href") == Some(&format!("/c/{no}/review"))));
}

#[test]
fn a_review_put_aside_leaves_lists_and_gates_and_comes_back() {
    let (app, no) = app();
    let review = write(&app, no, &[]);
    let aside = page(&app, no, review).form(&format!("{}/aside", at(no, review)));
    app.submit(&aside).wrote();
    app.get("/lessons").ok().shows("No review is written yet");
    assert_eq!(app.aspect(no, "service", "review"), "unlit");
    app.get(&format!("/c/{no}/review")).ok().shows("Put aside: review 1");
    let back = page(&app, no, review);
    app.post(
        &format!("{}/causes", at(no, review)),
        &[("cause", "bind"), ("sure", "likely"), ("version", "2")],
    )
    .refused()
    .shows("put aside");
    app.submit(&back.form(&format!("{}/restore", at(no, review)))).wrote();
    app.get("/lessons").ok().shows("1 of 1");
}
