use crate::support::App;
use crate::support::app::MINUTE;
use crate::support::story::{CENTRE_CAB, ONE_AMP};

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Centre cab", &CENTRE_CAB);
    (app, no)
}

const GATES: [&str; 5] = ["order", "cut", "first_power", "close", "service"];

#[test]
fn nothing_known_is_unlit_at_every_gate() {
    let (app, no) = app();
    for gate in GATES {
        let page = app.get(&format!("/c/{no}/gates/{gate}")).ok();
        page.shows("Not yet. In the way:");
        for check in app.gate(no, gate)["checks"].as_array().expect("checks") {
            assert_eq!(check["finding"]["aspect"], "unlit", "{gate} {}", check["key"]);
        }
    }
}

#[test]
fn every_verdict_opens_to_its_inputs_its_rule_its_source_and_what_would_change_it() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let page = app.get(&format!("/c/{no}/gates/order")).ok();
    let why = page.all("#k-mechanism details.why")[0];
    for words in ["0.27 A", "0.32 A", "Rule.", "Source.", "What would change it.", "reading"] {
        assert!(why.text().contains(words), "{words}: {}", why.text());
    }
}

#[test]
fn the_inputs_of_a_verdict_do_not_deny_a_reading_that_was_made() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    let inputs = app.check(no, "order", "mechanism")["finding"]["inputs"].clone();
    let held =
        inputs.as_array().expect("inputs").iter().find(|i| i["name"] == "held current").cloned();
    assert_ne!(
        held.map(|h| h["value"].clone()),
        Some("not measured".into()),
        "held was read as 0.80 A"
    );
}

#[test]
fn a_caution_is_passed_by_a_signed_reason_and_the_reason_stays_readable() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    assert_eq!(app.aspect(no, "order", "mechanism"), "caution");
    app.judge(no, "order", "mechanism", "it is still stiff from new grease").wrote();
    let page = app.get(&format!("/c/{no}/gates/order")).ok();
    page.shows("it is still stiff from new grease").shows("Judged by Ines, 25 Nov");
    assert_eq!(app.check(no, "order", "mechanism")["judgement"]["person"], "Ines");
}

#[test]
fn a_judgement_without_a_name_or_a_reason_is_refused_and_keeps_what_was_typed() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    app.judge(no, "order", "mechanism", " ").refused();
    app.other_device();
    let page = app.judge(no, "order", "mechanism", "it is still stiff").refused();
    page.shows("A judgement is signed").shows("it is still stiff");
    assert_eq!(app.number("SELECT count(*) FROM judgement"), 0);
}

#[test]
fn a_judgement_on_values_that_changed_meanwhile_is_refused() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    let seen = app.check(no, "order", "mechanism")["fingerprint"]
        .as_str()
        .expect("a fingerprint")
        .to_owned();
    app.later(MINUTE);
    app.write_load_test(no, "12", ["0.21", "0.32", "0.80"]);
    let said = [("check", "mechanism"), ("fingerprint", seen.as_str()), ("reason", "fine")];
    app.post(&format!("/c/{no}/gates/order/judgements"), &said)
        .refused()
        .shows("The values changed");
    assert_eq!(app.number("SELECT count(*) FROM judgement"), 0);
}

#[test]
fn a_judgement_lapses_when_the_value_changes() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    app.judge(no, "order", "mechanism", "new grease").wrote();
    app.later(MINUTE);
    app.write_load_test(no, "12", ["0.22", "0.32", "0.80"]);
    let check = app.check(no, "order", "mechanism");
    assert!(check["judgement"].is_null() && !check["lapsed"].is_null(), "{check}");
    app.get(&format!("/c/{no}/gates/order")).ok().shows("It no longer holds");
}

#[test]
fn a_judgement_can_be_withdrawn() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    app.judge(no, "order", "mechanism", "new grease").wrote();
    let withdraw = app
        .get(&format!("/c/{no}/gates/order"))
        .ok()
        .form(&format!("/c/{no}/gates/order/withdraw"));
    app.submit(&withdraw).wrote();
    assert!(app.check(no, "order", "mechanism")["judgement"].is_null());
    app.submit(&withdraw).refused().shows("no judgement to withdraw");
}

#[test]
fn sending_a_judgement_twice_signs_it_once() {
    let (app, no) = app();
    app.write_load_test(no, "12", ["0.2", "0.32", "0.80"]);
    let seen = app.check(no, "order", "mechanism")["fingerprint"]
        .as_str()
        .expect("a fingerprint")
        .to_owned();
    let token = "01890000-0000-7000-8000-00000000aaaa";
    let said = [
        ("check", "mechanism"),
        ("fingerprint", seen.as_str()),
        ("reason", "new grease"),
        ("token", token),
    ];
    app.post(&format!("/c/{no}/gates/order/judgements"), &said).wrote();
    app.post(&format!("/c/{no}/gates/order/judgements"), &said).wrote();
    assert_eq!(app.number("SELECT count(*) FROM judgement"), 1);
}

#[test]
fn no_signature_passes_a_danger_on_isolation() {
    let (app, no) = app();
    app.read_pair(no, "brush_a:frame@in_frame", "0.4");
    let check = app.check(no, "first_power", "brush_a:frame");
    assert_eq!(
        (&check["finding"]["aspect"], &check["judgeable"]),
        (&"danger".into(), &false.into())
    );
    let page = app.get(&format!("/c/{no}/gates/first_power")).ok();
    assert!(!page.has("input[name=check][value=brush_a:frame]"), "no form is offered");
    let seen = check["fingerprint"].as_str().expect("a fingerprint");
    let said = [("check", "brush_a:frame"), ("fingerprint", seen), ("reason", "I know better")];
    app.post(&format!("/c/{no}/gates/first_power/judgements"), &said).refused();
    assert_eq!(app.number("SELECT count(*) FROM judgement"), 0);
}

#[test]
fn an_unlit_check_and_a_clear_one_have_nothing_to_judge() {
    let (app, no) = app();
    app.walk_isolation(no);
    for key in ["winding", "brush_a:frame"] {
        let check = app.check(no, "first_power", key);
        let seen = check["fingerprint"].as_str().expect("a fingerprint");
        let said = [("check", key), ("fingerprint", seen), ("reason", "it will do")];
        app.post(&format!("/c/{no}/gates/first_power/judgements"), &said).refused();
    }
    app.post(
        &format!("/c/{no}/gates/first_power/judgements"),
        &[("check", "moon"), ("reason", "x")],
    )
    .refused()
    .shows("no check “moon”");
}

/// Everything the order gate asks for, entered.
fn ready_to_order(app: &App, no: i64) {
    app.lay_out_wheels(no);
    for w in ["L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4"] {
        app.read_wheel(no, w, "picks-up");
    }
    app.choose_decoder(no, &ONE_AMP);
    app.write_load_test(no, "12", ["0.1", "0.32", "0.60"]);
    app.post(&format!("/c/{no}/readings"), &[("kind", "mass"), ("number", "180 g")]).wrote();
    app.look(no, "runs_smoothly", "yes");
    app.look(no, "paper_tried", "yes");
}

#[test]
fn a_gate_with_every_check_clear_is_passed_signed_and_taken_back() {
    let (app, no) = app();
    ready_to_order(&app, no);
    let gate = app.gate(no, "order");
    assert_eq!(gate["aspect"], "clear", "{gate:#}");
    let address = format!("/c/{no}/gates/order");
    let pass = app.get(&address).ok().form(&format!("{address}/pass"));
    app.submit(&pass.clone().with("remark", "ordered tonight")).wrote();
    app.submit(&pass).wrote();
    assert_eq!(app.number("SELECT count(*) FROM gate_passing"), 1, "sent twice, passed once");
    let page = app.get(&address).ok();
    page.shows("Passed 25 Nov, Ines");
    app.submit(&page.form(&format!("{address}/take-back"))).wrote();
    app.get(&address).ok().hides("Passed 25 Nov");
    app.post(&format!("{address}/take-back"), &[]).missing();
}

#[test]
fn a_gate_is_not_passed_while_something_is_in_the_way() {
    let (app, no) = app();
    let page =
        app.post(&format!("/c/{no}/gates/order/pass"), &[("remark", "never mind")]).refused();
    page.shows("Survey is complete");
    ready_to_order(&app, no);
    app.post(&format!("/c/{no}/gates/cut/pass"), &[])
        .refused()
        .shows("gate before it isn’t passed");
    app.other_device();
    app.post(&format!("/c/{no}/gates/order/pass"), &[]).refused().shows("signed");
    assert_eq!(app.number("SELECT count(*) FROM gate_passing"), 0);
}

/// Passing a gate a second time from an old page, without its token, must not leave two passings.
#[test]
fn a_gate_passed_already_is_not_passed_again() {
    let (app, no) = app();
    ready_to_order(&app, no);
    let address = format!("/c/{no}/gates/order/pass");
    app.post(&address, &[("remark", "first")]).wrote();
    app.post(&address, &[("remark", "second")]);
    assert_eq!(app.number("SELECT count(*) FROM gate_passing WHERE taken_back_at IS NULL"), 1);
}

#[test]
fn the_api_gives_the_same_gates_as_the_page() {
    let (app, no) = app();
    ready_to_order(&app, no);
    app.read_pair(no, "brush_a:frame@in_frame", "0.4");
    for gate in GATES {
        let page = app.get(&format!("/c/{no}/gates/{gate}")).ok();
        let shown: Vec<String> =
            page.all("ul.checks li.check .line1").iter().map(|l| l.text()).collect();
        let api = app.gate(no, gate);
        let checks = api["checks"].as_array().expect("checks");
        assert_eq!(shown.len(), checks.len());
        for (line, check) in shown.iter().zip(checks) {
            let (title, aspect) = (
                check["title"].as_str().unwrap_or(""),
                check["finding"]["aspect"].as_str().unwrap_or(""),
            );
            assert!(line.contains(title) && line.contains(aspect), "{line}: {title}, {aspect}");
        }
    }
}
