use crate::support::App;

fn app() -> (App, i64) {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion("Harbour shunter");
    (app, no)
}

#[test]
fn a_note_is_shown_as_it_is_meant_and_signed() {
    let (app, no) = app();
    app.get(&format!("/c/{no}/notes")).ok().shows("No note yet.");
    app.write_note(no, "The *rear* worm.\n\n- oil\n- run in");
    let page = app.get(&format!("/c/{no}/notes")).ok();
    assert_eq!(page.one(".note em").text(), "rear");
    assert_eq!(page.all(".note li").len(), 2);
    page.shows("Ines, 25 Nov 20:00");
    app.get(&format!("/c/{no}")).ok().shows("rear worm");
}

#[test]
fn an_empty_note_is_refused_and_a_long_one_is_given_back() {
    let (app, no) = app();
    let address = format!("/c/{no}/notes");
    let form = app.get(&address).ok().form(&address);
    assert!(
        app.submit(&form.clone().with("text", " \n "))
            .refused()
            .problem("text")
            .contains("Nothing is written")
    );
    let long = "å".repeat(20_001);
    let page = app.submit(&form.with("text", &long)).refused();
    assert!(page.problem("text").contains("20001 characters"));
    assert_eq!(page.form(&address).value("text"), long);
    assert_eq!(app.number("SELECT count(*) FROM note"), 0);
}

#[test]
fn sending_the_same_note_twice_writes_it_once() {
    let (app, no) = app();
    let address = format!("/c/{no}/notes");
    let form = app.get(&address).ok().form(&address).with("text", "once");
    app.submit(&form).wrote();
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT count(*) FROM note"), 1);
}

#[test]
fn an_edit_on_an_old_version_never_overwrites() {
    let (app, no) = app();
    let note = app.write_note(no, "first");
    let address = format!("/c/{no}/notes/{note}");
    let form = app.get(&address).ok().form(&address);
    assert_eq!(form.value("text"), "first");
    app.submit(&form.clone().with("text", "theirs")).wrote();
    let page = app.submit(&form.with("text", "mine")).conflict();
    page.shows("theirs");
    assert_eq!(page.form(&address).value("text"), "mine");
    assert_eq!(app.text("SELECT text FROM note"), "theirs");
    app.submit(&page.form(&address)).wrote();
    assert_eq!(app.text("SELECT text FROM note"), "mine");
}

#[test]
fn a_note_put_aside_comes_back() {
    let (app, no) = app();
    let note = app.write_note(no, "kept");
    let address = format!("/c/{no}/notes");
    let put = app.get(&address).ok().form(&format!("{address}/{note}/aside"));
    app.submit(&put).wrote();
    let page = app.get(&address).ok();
    page.shows("No note yet.").shows("Put aside").shows("kept");
    app.submit(&put).conflict();
    app.submit(&page.form(&format!("{address}/{note}/restore"))).wrote();
    app.get(&address).ok().hides("No note yet.").shows("kept");
    assert_eq!(app.number("SELECT count(*) FROM change WHERE noun = 'note'"), 3);
}

#[test]
fn a_note_belongs_to_its_conversion() {
    let (app, no) = app();
    let note = app.write_note(no, "mine");
    let other = app.open_conversion("Other");
    app.get(&format!("/c/{other}/notes/{note}")).missing();
    app.post(&format!("/c/{other}/notes/{note}"), &[("version", "1"), ("text", "x")]).missing();
    app.post(&format!("/c/{other}/notes/{note}/aside"), &[("version", "1")]).missing();
    assert_eq!(app.text("SELECT text FROM note"), "mine");
}

#[test]
fn markdown_can_carry_no_script_and_no_foreign_picture() {
    let (app, no) = app();
    let nasty = "<script>alert(1)</script> <img src=x onerror=alert(1)> [here](javascript:alert(1)) ![p](https://evil.example/p.png) <a href='data:text/html,x' onclick='x()' style='color:red'>a</a>";
    app.write_note(no, nasty);
    let page = app.get(&format!("/c/{no}/notes")).ok();
    let note = page.one(".note .hand");
    for e in note.all("*") {
        assert!(
            !["script", "img", "style", "iframe"].contains(&e.tag()),
            "a <{}> in a note",
            e.tag()
        );
        for (name, value) in e.attributes() {
            assert!(!name.starts_with("on") && name != "style", "{name} in a note");
            assert!(
                !value.contains("javascript:") && !value.contains("data:"),
                "{name}={value} in a note"
            );
        }
    }
    assert!(
        note.text().contains("alert(1)"),
        "what was written is still readable: {}",
        note.text()
    );
}

#[test]
fn a_note_about_a_record_is_shown_at_both_ends() {
    let s = crate::support::story::in_mid_build();
    let (app, no) = (&s.app, s.no);
    let snag = format!("/c/{no}/snags/{}", s.snag);
    let page = app.get(&snag).ok();
    page.shows("No note about it yet.");
    let link = page.all("#notes a")[0].attribute("href").unwrap_or("").to_owned();
    let address = format!("/c/{no}/notes");
    let form = app.get(link.split('#').next().unwrap_or("")).ok().form(&address);
    assert!(form.value("about").starts_with("snag:"));
    app.submit(&form.with("text", "needs a longer screw")).wrote();
    app.get(&snag).ok().shows("needs a longer screw");
    app.get(&address).ok().shows(&format!("about snag {}", s.snag));
    app.get(&format!("/c/{no}")).ok().shows(&format!("about snag {}", s.snag));
    // a reading, a review and a change take notes too
    for (place, kind) in [
        (format!("/c/{no}/readings/1"), "reading"),
        (format!("/c/{no}/reviews/{}", s.review), "review"),
        (format!("/c/{no}/changed"), "alteration"),
    ] {
        let page = app.get(&place).ok();
        let links: Vec<_> =
            page.all("a").iter().filter_map(|a| a.attribute("href")).map(str::to_owned).collect();
        let link = links.iter().find(|l| l.contains("notes?about=")).expect("a link to a new note");
        let form = app.get(link.split('#').next().unwrap_or("")).ok().form(&address);
        assert!(form.value("about").starts_with(&format!("{kind}:")), "{kind}");
        app.submit(&form.with("text", &format!("words on the {kind}"))).wrote();
        app.get(&place).ok().shows(&format!("words on the {kind}"));
    }
}

#[test]
fn a_note_keeps_what_it_is_about_until_somebody_changes_it() {
    let s = crate::support::story::in_mid_build();
    let (app, no) = (&s.app, s.no);
    let note = format!("/c/{no}/notes/{}", s.note);
    let form = app.get(&note).ok().form(&note);
    assert_eq!(form.value("about"), "");
    let id = crate::support::dashed(&app.text("SELECT lower(hex(id)) FROM reading WHERE no = 1"));
    app.submit(&form.with("about", &format!("reading:{id}"))).wrote();
    // the reading is taken back: it is offered no longer, the note may keep it
    let reading = app.get(&format!("/c/{no}/readings/1")).ok();
    app.submit(&reading.form(&format!("/c/{no}/readings/1/take-back"))).wrote();
    let form = app.get(&note).ok().form(&note).with("text", "more words");
    assert_eq!(form.value("about"), format!("reading:{id}"));
    app.submit(&form).wrote();
    assert_eq!(app.number("SELECT about_no FROM note WHERE about_kind = 'reading'"), 1);
}
