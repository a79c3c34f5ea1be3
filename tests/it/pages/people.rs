use crate::support::App;
use crate::support::app::form_request;

#[test]
fn entries_carry_the_name_chosen_on_the_device() {
    let app = App::new();
    app.get("/").ok();
    app.write_as("Ines");
    app.write_as("Otto");
    let page = app.get("/people").ok();
    let ines = page
        .all("button[name=person]")
        .into_iter()
        .find(|b| b.text().starts_with("Ines"))
        .expect("her name");
    let id = ines.attribute("value").expect("her id").to_owned();
    app.post("/people/choose", &[("person", &id)]).wrote();
    let no = app.open_conversion("Harbour shunter");
    app.get(&format!("/c/{no}/history")).ok().shows("Ines");
    app.other_device();
    app.write_note(no, "from nobody");
    app.get(&format!("/c/{no}/history")).ok().shows("not said");
}

#[test]
fn a_name_is_taken_once_whatever_its_capitals() {
    let app = App::new();
    app.write_as("Ines");
    let page = app.post("/people", &[("name", "INES")]).refused();
    assert!(page.problem("name").contains("there already"));
    assert_eq!(app.number("SELECT count(*) FROM person"), 1);
}

#[test]
fn a_name_cant_be_empty_or_endless() {
    let app = App::new();
    app.post("/people", &[("name", "  ")]).refused();
    let page = app.post("/people", &[("name", &"n".repeat(61))]).refused();
    assert_eq!(page.form("/people").value("name"), "n".repeat(61));
    assert_eq!(app.number("SELECT count(*) FROM person"), 0);
}

#[test]
fn choosing_somebody_who_is_not_there_is_refused() {
    let app = App::new();
    app.write_as("Ines");
    app.post("/people/choose", &[("person", "01890000-0000-7000-8000-000000000000")])
        .refused()
        .shows("There is nobody of that id");
    app.post("/people/choose", &[("person", "Ines")]).refused();
}

#[test]
fn a_cookie_that_names_nobody_is_as_good_as_none() {
    let app = App::new();
    for value in ["01890000-0000-7000-8000-000000000000", "garbage", ""] {
        app.cookie("person", value);
        let page = app.get("/").ok();
        assert_eq!(page.one(".kept a").text(), "Who is writing?");
    }
    app.open_conversion("Harbour shunter");
}

#[test]
fn the_cookie_is_no_ones_business_but_ours() {
    let app = App::new();
    let answer = app.post("/people", &[("name", "Ines")]);
    let cookie = answer.header("set-cookie");
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax") && cookie.contains("Path=/"),
        "{cookie}"
    );
}

#[test]
fn the_theme_is_remembered_on_the_device() {
    let app = App::new();
    app.post("/people/theme", &[("theme", "dark")]).wrote();
    assert_eq!(app.get("/").ok().one("html").attribute("data-theme"), Some("dark"));
    app.post("/people/theme", &[("theme", "device")]).wrote();
    assert_eq!(app.get("/").ok().one("html").attribute("data-theme"), None);
}

/// A write that is refused must let go of the file before its page asks for a connection: otherwise
/// as many refusals at once as there are connections wait for one another.
#[test]
fn many_refused_names_at_once_are_all_answered_soon() {
    let app = App::new();
    app.write_as("Ines");
    let requests = (0..12).map(|_| form_request("/people", "name=Ines".to_owned())).collect();
    for answer in app.send_at_once(requests) {
        answer.refused();
    }
}
