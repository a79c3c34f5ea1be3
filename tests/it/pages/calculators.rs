use crate::support::App;
use undershell::calc;

#[test]
fn every_calculation_has_a_page_an_empty_form_and_an_example() {
    let app = App::new();
    let list = app.get("/calc").ok();
    for c in calc::ALL {
        list.shows(c.title).shows(c.question);
        let address = format!("/calc/{}", c.name);
        app.get(&address).ok().shows(c.title);
        let form = app.get(&format!("{address}?example=1")).ok().form(&address);
        let page = app.submit(&form).ok();
        page.shows("Answer");
    }
}

#[test]
fn an_empty_form_says_what_is_needed_and_never_clears_anything() {
    let app = App::new();
    for c in calc::ALL {
        let address = format!("/calc/{}", c.name);
        let answer = app.submit(&app.get(&address).ok().form(&address));
        if answer.status == 422 {
            answer.refused();
        } else {
            let word = answer.ok().one("section[aria-labelledby=h-a] header p").text();
            assert_ne!(word, "clear", "{}", c.name);
        }
    }
}

#[test]
fn what_cant_be_read_is_refused_at_its_field_and_kept() {
    let app = App::new();
    let form =
        app.get("/calc/load?example=1").ok().form("/calc/load").with("held_a", "eight hundred");
    let page = app.submit(&form).refused();
    page.shows("eight hundred");
    assert_eq!(page.form("/calc/load").value("held_a"), "eight hundred");
    assert_eq!(page.form("/calc/load").value("free_a"), "0.27");
}

#[test]
fn a_value_out_of_range_says_what_is_allowed() {
    let app = App::new();
    let form = app.get("/calc/load?example=1").ok().form("/calc/load").with("test_v", "400");
    let page = app.submit(&form).refused();
    page.shows("400").shows("Allowed");
}
