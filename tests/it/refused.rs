//! Everything that is turned away: what is said, and proof that nothing was written. One notebook, one
//! row per refusal; all rows of all tables are the same before and after each.

use crate::support::app::form_request;
use crate::support::story::{Story, in_mid_build};
use crate::support::{Answer, App, Html};
use axum::body::Body;
use axum::http::{Request, header};

/// A form as sent: address and pairs; an earlier pair of the same name is replaced.
type Sent<'a> = (&'a str, &'a [(&'a str, &'a str)]);

/// What each form says when everything in it is fine. `{no}`, `{wheel}` and so on stand for the
/// numbers and ids of the notebook.
const FINE: &[Sent<'_>] = &[
    (
        "/conversions",
        &[
            ("title", "Tank"),
            ("scale", "H0"),
            ("body", "generic"),
            ("drive", "rigid_worm"),
            ("motor", "can"),
            ("pickup", "wipers"),
            ("frame", "plastic"),
        ],
    ),
    (
        "/c/{no}/edit",
        &[
            ("version", "1"),
            ("title", "Tank"),
            ("scale", "H0"),
            ("body", "generic"),
            ("drive", "rigid_worm"),
            ("motor", "can"),
            ("pickup", "wipers"),
            ("frame", "plastic"),
        ],
    ),
    ("/c/{no}/stage", &[("version", "1"), ("stage", "plan"), ("outcome", "in_work")]),
    (
        "/c/{no}/governing",
        &[("version", "1"), ("governing", "slipping"), ("why", "it slips first")],
    ),
    (
        "/c/{no}/bench/load-test",
        &[("volts", "12"), ("free", "0.27"), ("slipping", "0.32"), ("held", "0.8")],
    ),
    ("/c/{no}/bench/reading", &[("what", "brush_a:rail_right@in_frame"), ("reads", "open")]),
    ("/c/{no}/isolation", &[("what", "brush_a:rail_right@in_frame"), ("reads", "open")]),
    ("/c/{no}/bench/wheel", &[("wheel", "{wheel}"), ("reads", "open")]),
    ("/c/{no}/look/nothing_pinched", &[("answer", "yes")]),
    ("/c/{no}/look/supply_limited", &[("answer", "yes"), ("amount", "0.25")]),
    ("/c/{no}/readings", &[("kind", "cruise"), ("number", "0.3")]),
    ("/c/{no}/wheels", &[("axles", "2"), ("vehicle-1", "engine"), ("vehicle-2", "engine")]),
    (
        "/c/{no}/decoder",
        &[("version", "1"), ("name", "one"), ("motor_continuous", "1"), ("basis", "measured")],
    ),
    (
        "/c/{no}/loads",
        &[("name", "lamp"), ("kind", "led"), ("each", "20"), ("count", "1"), ("basis", "measured")],
    ),
    (
        "/c/{no}/loads/{load}",
        &[
            ("version", "1"),
            ("name", "lamp"),
            ("kind", "led"),
            ("each", "20"),
            ("count", "1"),
            ("basis", "measured"),
        ],
    ),
    ("/c/{no}/snags", &[("what", "loose"), ("severity", "small")]),
    ("/c/{no}/snags/{snag}", &[("version", "1"), ("what", "loose"), ("severity", "small")]),
    ("/c/{no}/snags/{snag}/close", &[("version", "1"), ("how", "glued")]),
    ("/c/{no}/snags/{closed}/reopen", &[("version", "2")]),
    ("/c/{no}/reviews", &[("symptom", "click")]),
    ("/c/{no}/reviews/{review}/edit", &[("version", "1"), ("symptom", "click")]),
    ("/c/{no}/reviews/{review}/causes", &[("version", "1"), ("cause", "bind"), ("sure", "likely")]),
    (
        "/c/{no}/reviews/{review}/snags",
        &[("version", "1"), ("what", "new gear"), ("severity", "small")],
    ),
    ("/c/{no}/reviews/{review}/lesson", &[("version", "1"), ("lesson", "twist it first")]),
    ("/c/{no}/notes", &[("text", "a note")]),
    ("/c/{no}/notes/{note}", &[("version", "1"), ("text", "a note")]),
    ("/c/{no}/notes/{note}/aside", &[("version", "1")]),
    ("/c/{no}/changed", &[("kind", "motor_changed")]),
    ("/c/{no}/cards/swing", &[("shell", "off"), ("a0-tap", "open"), ("a1", "no")]),
    ("/c/{no}/cards/slip", &[("shell", "off"), ("a0", "0.3"), ("a1", "12"), ("a2", "yes")]),
    (
        "/c/{no}/datums",
        &[("what", "coupler_height"), ("end", "front"), ("from", "rail_top"), ("value", "9.9")],
    ),
    (
        "/c/{no}/wiring",
        &[
            ("terminal", "motor_plus"),
            ("to", "brush_a"),
            ("joint", "solder"),
            ("state", "done"),
            ("gauge", "AWG 30"),
        ],
    ),
    (
        "/c/{no}/wiring/1",
        &[
            ("version", "1"),
            ("terminal", "track_right"),
            ("to", "rail_right"),
            ("joint", "solder"),
            ("state", "done"),
        ],
    ),
    ("/c/{no}/wiring/1/aside", &[("version", "1")]),
    (
        "/c/{no}/gates/order/judgements",
        &[("check", "mechanism"), ("fingerprint", "{fingerprint}"), ("reason", "fine")],
    ),
    ("/c/{no}/aside", &[("version", "1")]),
    (
        "/instruments",
        &[
            ("name", "meter"),
            ("kind", "multimeter"),
            ("measures-1", "current"),
            ("up_to-1", "10"),
            ("percent-1", "1"),
            ("digits-1", "2"),
            ("step-1", "0.01"),
        ],
    ),
    ("/instruments/{instrument}", &[("version", "1"), ("name", "meter"), ("kind", "multimeter")]),
    ("/people", &[("name", "Otto")]),
    ("/people/choose", &[("person", "{person}")]),
];

/// Address, the pairs put into the fine form, a piece of what is said.
type Row = (&'static str, &'static [(&'static str, &'static str)], &'static str);

/// Forms refused with 422, the sentence at the field.
const FORMS: &[Row] = &[
    // numbers and units
    ("/c/{no}/bench/load-test", &[("free", "lots")], "lots"),
    ("/c/{no}/bench/load-test", &[("free", "NaN")], "NaN"),
    ("/c/{no}/bench/load-test", &[("free", "inf")], "inf"),
    ("/c/{no}/bench/load-test", &[("free", "-0.27")], "−0.27"),
    ("/c/{no}/bench/load-test", &[("free", "1e400")], "1e400"),
    ("/c/{no}/bench/load-test", &[("free", "99999999999999999999999999")], "20"),
    ("/c/{no}/bench/load-test", &[("free", "270")], "20"),
    ("/c/{no}/bench/load-test", &[("free", "0.27 V")], "voltage"),
    ("/c/{no}/bench/load-test", &[("free", "0.27 furlongs")], "furlongs"),
    ("/c/{no}/bench/load-test", &[("free", "0,2,7")], "0,2,7"),
    ("/c/{no}/bench/load-test", &[("free", "0x1F")], "0x1F"),
    ("/c/{no}/bench/load-test", &[("free", "0.27; DROP TABLE reading")], "DROP"),
    ("/c/{no}/bench/load-test", &[("volts", "230")], "30"),
    ("/c/{no}/bench/load-test", &[("volts", "")], "Write the voltage at the loco"),
    (
        "/c/{no}/bench/load-test",
        &[("free", ""), ("slipping", ""), ("held", "")],
        "at least one current",
    ),
    ("/c/{no}/bench/load-test", &[("held_refused", "1")], "Keep one of the two"),
    ("/c/{no}/bench/load-test", &[("held_refused", "maybe")], "no tick"),
    ("/c/{no}/bench/load-test", &[("winding", "13 A")], "current"),
    ("/c/{no}/bench/load-test", &[("free", "0.27\u{0}")], "0.27"),
    ("/c/{no}/bench/load-test", &[("free", "٠٫٢٧")], "٠"),
    ("/c/{no}/readings", &[("kind", "temperature"), ("of", "motor"), ("number", "1000")], "300"),
    ("/c/{no}/readings", &[("number", "")], "Write"),
    ("/c/{no}/readings", &[("kind", "mass"), ("number", "3 bananas")], "bananas"),
    ("/c/{no}/readings", &[("kind", "height"), ("of", "coupler"), ("number", "1/0 in")], "1/0"),
    ("/c/{no}/bench/reading", &[("reads", "number"), ("number", "4k7k")], "k7k"),
    ("/c/{no}/bench/reading", &[("reads", "number"), ("number", "")], "Write"),
    ("/c/{no}/bench/wheel", &[("reads", "number"), ("number", "-1")], "−1"),
    ("/c/{no}/look/supply_limited", &[("amount", "250")], "20"),
    ("/c/{no}/look/supply_limited", &[("amount", "")], "Write"),
    ("/c/{no}/cards/slip", &[("a0", "lots")], "lots"),
    ("/c/{no}/cards/slip", &[("a0", "21")], "20"),
    ("/c/{no}/cards/slip", &[("a1", "12 A")], "current"),
    ("/c/{no}/cards/slip", &[("a2", "perhaps")], "none of the answers"),
    ("/c/{no}/cards/slip", &[("shell", "on")], "shell off"),
    ("/c/{no}/cards/slip", &[("shell", "")], "shell off"),
    ("/c/{no}/cards/slip", &[("a0", ""), ("a1", ""), ("a2", "")], "Nothing is entered yet"),
    ("/c/{no}/cards/slip", &[("asked", "amps|smell")], "was changed since you opened it"),
    ("/c/{no}/cards/slip", &[("with_amps", "{no}")], "no id"),
    ("/c/{no}/cards/slip", &[("done", "2026-13-01")], "no day"),
    ("/c/{no}/cards/swing", &[("a0", "5")], "Keep one of the two"),
    ("/c/{no}/cards/swing", &[("a0-tap", "burnt")], "no answer here"),
    ("/c/{no}/datums", &[("value", "")], "Write"),
    ("/c/{no}/datums", &[("value", "9.9 V")], "voltage"),
    ("/c/{no}/datums", &[("value", "-1")], "−1"),
    ("/c/{no}/datums", &[("what", "charm")], "Choose what"),
    ("/c/{no}/datums", &[("end", "neither")], "one at each end"),
    ("/c/{no}/datums", &[("from", "moon")], "Choose from where"),
    ("/c/{no}/datums", &[("what", "screw_place"), ("end", "neither")], "Give it a name"),
    ("/c/{no}/datums", &[("tolerance", "0")], "0.01"),
    ("/c/{no}/datums", &[("cut", "during")], "before or after"),
    ("/c/{no}/datums", &[("again", "99")], "no longer there"),
    ("/c/{no}/wheels", &[("axles", "0")], "no whole number from 1 to 24"),
    ("/c/{no}/wheels", &[("axles", "25")], "no whole number from 1 to 24"),
    ("/c/{no}/wheels", &[("axles", "two")], "no whole number"),
    ("/c/{no}/wheels", &[("place-1", "4 m")], "3000"),
    ("/c/{no}/wheels", &[("garden", "gnome")], "garden"),
    ("/c/{no}/decoder", &[("motor_continuous", "")], "Write at least"),
    ("/c/{no}/decoder", &[("motor_continuous", "1000")], "50"),
    ("/c/{no}/decoder", &[("motor_peak", "0.5")], "below the continuous"),
    ("/c/{no}/decoder", &[("motor_peak_s", "2 A")], "time"),
    ("/c/{no}/loads", &[("count", "1.5")], "no whole number"),
    ("/c/{no}/loads", &[("count", "100")], "1 to 99"),
    ("/c/{no}/loads", &[("each", "0")], "mA"),
    ("/conversions", &[("length", "5 m")], "3000"),
    ("/conversions", &[("give_up_money", "60"), ("give_up_currency", "")], "currency"),
    ("/conversions", &[("give_up_currency", "E1R")], "three letters"),
    ("/conversions", &[("track_v", "4")], "5"),
    ("/conversions", &[("scale", "other"), ("scale_other", "Gn15"), ("ratio", "0")], "1"),
    ("/instruments", &[("percent-1", "51")], "50"),
    ("/instruments", &[("up_to-1", "10 Ω")], "resistance"),
    ("/instruments", &[("measures-1", "")], "Choose what this range measures"),
    ("/c/{no}/reviews", &[("hours", "12 V")], "voltage"),
    ("/c/{no}/reviews", &[("hours", "-1")], "−1"),
    ("/c/{no}/reviews", &[("cost", "12")], "currency"),
    ("/c/{no}/reviews", &[("cost", "lots"), ("currency", "EUR")], "lots"),
    ("/c/{no}/reviews", &[("currency", "E1R")], "three letters"),
    ("/c/{no}/reviews/{review}/edit", &[("cost", "-5"), ("currency", "EUR")], "−5"),
    // dates
    ("/c/{no}/reviews", &[("at", "2026-02-30")], "no day that exists"),
    ("/c/{no}/reviews", &[("at", "2027-01-01")], "still to come"),
    ("/c/{no}/readings", &[("taken", "2026-02-29")], "no day that exists"),
    ("/c/{no}/readings", &[("taken", "25.11.2026")], "no day that exists"),
    ("/c/{no}/readings", &[("taken", "2026-11-25 24:30")], "no day that exists"),
    ("/c/{no}/readings", &[("taken", "2027-01-01")], "still to come"),
    ("/c/{no}/readings", &[("taken", "0001-01-01")], "before 1950"),
    ("/c/{no}/readings", &[("taken", "99999-01-01")], "no day that exists"),
    ("/c/{no}/changed", &[("at", "-2026-01-01")], "no day that exists"),
    ("/conversions", &[("started", "soon")], "no day that exists"),
    // ids
    ("/c/{no}/bench/wheel", &[("wheel", "L1")], "no id of this notebook"),
    ("/c/{no}/bench/wheel", &[("wheel", "01890000-0000-7000-8000-000000000000")], "not on the map"),
    ("/c/{no}/bench/load-test", &[("instrument", "multimeter 1")], "no id"),
    (
        "/c/{no}/bench/load-test",
        &[("instrument", "01890000-0000-7000-8000-000000000000")],
        "no such instrument",
    ),
    ("/conversions", &[("person", "01890000-0000-7000-8000-000000000000")], "nobody of that id"),
    ("/conversions", &[("person", "Ines")], "no id"),
    ("/people/choose", &[("person", "")], "no id"),
    ("/c/{no}/notes", &[("token", "not-a-token")], "no id"),
    ("/c/{no}/snags", &[("token", "1")], "no id"),
    ("/c/{no}/reviews", &[("changed", "alteration:x@1")], "no such change"),
    ("/c/{no}/reviews", &[("snag", "999")], "no such snag"),
    ("/c/{no}/reviews/{review}/lost", &[("version", "1"), ("part", "1")], "no id"),
    (
        "/c/{no}/reviews/{review}/lost",
        &[("version", "1"), ("part", "01890000-0000-7000-8000-000000000000")],
        "no such part",
    ),
    ("/c/{no}/notes", &[("about", "reading:x")], "no such record"),
    (
        "/c/{no}/notes/{note}",
        &[("about", "snag:01890000-0000-7000-8000-000000000000")],
        "no such record",
    ),
    // unknown choices
    ("/c/{no}/reviews", &[("symptom", "bad_mood")], "bad_mood"),
    ("/c/{no}/reviews", &[("symptom", "")], "Choose a symptom"),
    ("/c/{no}/reviews", &[("symptom", "other")], "Write what was seen"),
    ("/c/{no}/reviews/{review}/causes", &[("cause", "ghost")], "ghost"),
    ("/c/{no}/reviews/{review}/causes", &[("cause", "other")], "Write what the cause may be"),
    ("/c/{no}/reviews/{review}/causes", &[("sure", "quite")], "quite"),
    ("/c/{no}/reviews/{review}/snags", &[("severity", "awful")], "awful"),
    ("/c/{no}/reviews/{review}/snags", &[("blocks", "garden")], "garden"),
    ("/c/{no}/reviews/{review}/snags", &[("what", "")], "Nothing is written"),
    ("/c/{no}/reviews/{review}/lesson", &[("lesson", "")], "Nothing is written"),
    ("/c/{no}/reviews/{review}/lesson", &[("lesson", "TOO_LONG")], "Write 400 at most"),
    ("/c/{no}/reviews/{review}/lesson", &[("close", "1")], "Name a cause first"),
    ("/c/{no}/reviews/{review}/lesson", &[("close", "maybe")], "no tick"),
    ("/c/{no}/reviews/{review}/lesson", &[("version", "one")], "no whole number"),
    ("/conversions", &[("scale", "H7")], "not in the list"),
    ("/conversions", &[("scale", "other")], "Choose a scale"),
    ("/conversions", &[("body", "submarine")], "submarine"),
    ("/conversions", &[("drive", "")], "Choose a drive"),
    ("/conversions", &[("wheels", "zigzag")], "no wheel arrangement"),
    ("/c/{no}/stage", &[("stage", "garden")], "garden"),
    ("/c/{no}/stage", &[("outcome", "famous")], "famous"),
    ("/c/{no}/stage", &[("outcome", "given_up")], "why it ends"),
    ("/c/{no}/governing", &[("governing", "both")], "both"),
    ("/c/{no}/governing", &[("why", "")], "Write why"),
    ("/c/{no}/readings", &[("kind", "horoscope")], "horoscope"),
    ("/c/{no}/readings", &[("kind", "isolation")], "page of its own"),
    ("/c/{no}/readings", &[("kind", "pickup")], "page of its own"),
    ("/c/{no}/readings", &[("kind", "observation")], "page of its own"),
    ("/c/{no}/readings", &[("kind", "other")], "page of its own"),
    ("/c/{no}/readings", &[("kind", "temperature")], "what it was read of"),
    ("/c/{no}/readings", &[("shell", "half")], "half"),
    ("/c/{no}/readings", &[("warmth", "tepid")], "tepid"),
    ("/c/{no}/bench/reading", &[("what", "brush_a:moon@in_frame")], "no pair of this walk"),
    ("/c/{no}/bench/reading", &[("what", "brush_a:brush_a@in_frame")], "no pair of this walk"),
    ("/c/{no}/bench/reading", &[("what", "brush_a:rail_left@in_orbit")], "no pair of this walk"),
    ("/c/{no}/bench/reading", &[("what", "")], "Nothing is written"),
    ("/c/{no}/bench/reading", &[("reads", "shut")], "no answer here"),
    ("/c/{no}/isolation", &[("what", "brush_a@bare")], "no pair of this walk"),
    ("/c/{no}/bench/wheel", &[("reads", "sometimes")], "no answer here"),
    ("/c/{no}/look/nothing_pinched", &[("answer", "perhaps")], "Tap yes or no"),
    ("/c/{no}/look/nothing_pinched", &[("answer", "")], "Tap yes or no"),
    ("/c/{no}/changed", &[("kind", "")], "Choose what was changed"),
    ("/c/{no}/changed", &[("kind", "moon_phase")], "motor_changed"),
    ("/c/{no}/snags", &[("severity", "awful")], "awful"),
    ("/c/{no}/snags", &[("blocks", "garden")], "garden"),
    ("/c/{no}/loads", &[("kind", "disco")], "disco"),
    ("/c/{no}/loads", &[("basis", "hearsay")], "hearsay"),
    ("/c/{no}/decoder", &[("basis", "hope")], "hope"),
    ("/instruments", &[("kind", "sextant")], "sextant"),
    ("/instruments", &[("measures-1", "charm")], "charm"),
    ("/c/{no}/gates/order/judgements", &[("check", "moon")], "no check"),
    ("/c/{no}/gates/order/judgements", &[("reason", "")], "Nothing is written"),
    ("/c/{no}/gates/order/judgements", &[("fingerprint", "other")], "The values changed"),
    ("/people/theme", &[("theme", "purple")], "purple"),
    // text
    ("/conversions", &[("title", "")], "Nothing is written"),
    ("/conversions", &[("title", "TOO_LONG")], "Write 120 at most"),
    ("/conversions", &[("title", "bell\u{7}")], "control character"),
    ("/conversions", &[("title", "zero\u{0}byte")], "control character"),
    ("/c/{no}/notes", &[("text", "\u{1b}[31mred")], "control character"),
    ("/c/{no}/notes", &[("text", "")], "Nothing is written"),
    ("/c/{no}/snags", &[("what", "TOO_LONG")], "Write 2000 at most"),
    ("/c/{no}/snags/{snag}", &[("what", "")], "Nothing is written"),
    ("/c/{no}/snags/{snag}/close", &[("how", "")], "Nothing is written"),
    ("/people", &[("name", "TOO_LONG")], "Write 60 at most"),
    ("/people", &[("name", "ines")], "there already"),
    ("/instruments", &[("name", "Multimeter 1")], "already"),
    // wires
    ("/c/{no}/wiring", &[("terminal", "")], "Choose a terminal"),
    ("/c/{no}/wiring", &[("terminal", "motor_3")], "motor_3"),
    ("/c/{no}/wiring", &[("to", "moon")], "moon"),
    ("/c/{no}/wiring", &[("to", "other")], "Write where it ends"),
    ("/c/{no}/wiring", &[("to_name", "TOO_LONG")], "Write 60 at most"),
    ("/c/{no}/wiring", &[("from", "frame")], "begins at its terminal"),
    ("/c/{no}/wiring", &[("terminal", "free")], "A free wire begins at a place of its own"),
    ("/c/{no}/wiring", &[("terminal", "free"), ("from", "brush_a")], "Both ends are the same"),
    ("/c/{no}/wiring", &[("colour", "plaid")], "plaid"),
    ("/c/{no}/wiring", &[("gauge", "7")], "10 to 40"),
    ("/c/{no}/wiring", &[("gauge", "9 mm²")], "0.005 to 5.3"),
    ("/c/{no}/wiring", &[("length", "12 bananas")], "bananas"),
    ("/c/{no}/wiring", &[("length", "4 m")], "3000"),
    ("/c/{no}/wiring", &[("joint", "chewing gum")], "chewing gum"),
    ("/c/{no}/wiring", &[("sleeved", "maybe")], "no tick"),
    ("/c/{no}/wiring", &[("state", "perfect")], "perfect"),
    ("/c/{no}/wiring", &[("state", "changed")], "This wire is new"),
    ("/c/{no}/wiring", &[("state", "removed")], "This wire is new"),
    ("/c/{no}/wiring", &[("at", "tomorrow")], "no day that exists"),
    ("/c/{no}/wiring", &[("at", "2026-11-26 08:00")], "still to come"),
    ("/c/{no}/wiring", &[("why", "TOO_LONG")], "Write 2000 at most"),
    ("/c/{no}/wiring", &[("token", "1")], "no id"),
    ("/c/{no}/wiring/1", &[("state", "planned")], "It is in already"),
    ("/c/{no}/wiring/1", &[("terminal", "function_1"), ("to", "lamp")], "for something else"),
    ("/c/{no}/wiring/1", &[("at", "2020-01-01")], "altered last on"),
    ("/c/{no}/wiring/1", &[("version", "one")], "no whole number"),
    // versions
    ("/c/{no}/notes/{note}", &[("version", "one")], "no whole number"),
    ("/c/{no}/snags/{snag}", &[("version", "")], "no whole number"),
    ("/c/{no}/edit", &[("version", "-1")], "no whole number"),
];

/// Forms in which a field comes twice: nothing may be guessed.
const TWICE: &[(&str, &str, &str)] = &[
    ("/conversions", "title", "Other"),
    ("/conversions", "scale", "N"),
    ("/conversions", "goal_sound", "1"),
    ("/conversions", "track_v", "14"),
    ("/c/{no}/bench/load-test", "free", "0.28"),
    ("/c/{no}/bench/load-test", "volts", "11"),
    ("/c/{no}/bench/reading", "what", "brush_b:rail_left@in_frame"),
    ("/c/{no}/bench/reading", "reads", "joined"),
    ("/c/{no}/isolation", "reads", "joined"),
    ("/c/{no}/bench/wheel", "wheel", "x"),
    ("/c/{no}/bench/wheel", "reads", "picks-up"),
    ("/c/{no}/look/nothing_pinched", "answer", "no"),
    ("/c/{no}/changed", "kind", "frame_cut"),
    ("/c/{no}/readings", "shell", "on"),
    ("/c/{no}/readings", "taken", "2026-11-24"),
    ("/c/{no}/snags", "severity", "dangerous"),
    ("/c/{no}/snags", "blocks", "close"),
    ("/c/{no}/reviews", "symptom", "nothing"),
    ("/c/{no}/reviews", "changed", "x"),
    ("/c/{no}/reviews/{review}/causes", "sure", "proved"),
    ("/c/{no}/reviews/{review}/lesson", "lesson", "another"),
    ("/c/{no}/notes", "about", "x"),
    ("/c/{no}/notes", "text", "another"),
    ("/c/{no}/stage", "stage", "learn"),
    ("/c/{no}/gates/order/judgements", "reason", "another"),
    ("/people", "name", "Ida"),
    ("/c/{no}/wiring", "terminal", "free"),
    ("/c/{no}/wiring", "state", "proved"),
    ("/c/{no}/wiring", "gauge", "31"),
];

/// A story with the ids its forms need.
struct Notebook {
    story: Story,
    wheel: String,
    person: String,
    fingerprint: String,
}

impl Notebook {
    fn new() -> Notebook {
        let story = in_mid_build();
        let app = &story.app;
        let wheel = app.wheel(story.no, "L1");
        let page = app.get("/people").ok();
        let person = page.one("button[name=person]").attribute("value").unwrap_or("").to_owned();
        // the wheels were changed in the story; a newer load test is danger again and can be judged
        app.later(60_000);
        app.write_load_test(story.no, "12", ["0.27", "0.32", "0.80"]);
        let check = app.check(story.no, "order", "mechanism");
        let fingerprint = check["fingerprint"].as_str().unwrap_or("").to_owned();
        Notebook { story, wheel, person, fingerprint }
    }

    fn app(&self) -> &App {
        &self.story.app
    }

    fn fill(&self, text: &str) -> String {
        let s = &self.story;
        [
            ("{no}", s.no.to_string()),
            ("{snag}", s.snag.to_string()),
            ("{closed}", s.closed_snag.to_string()),
            ("{note}", s.note.clone()),
            ("{review}", s.review.to_string()),
            ("{load}", s.load.clone()),
            ("{instrument}", s.instrument.clone()),
            ("{wheel}", self.wheel.clone()),
            ("{person}", self.person.clone()),
            ("{fingerprint}", self.fingerprint.clone()),
        ]
        .iter()
        .fold(text.to_owned(), |t, (name, value)| t.replace(name, value))
    }

    /// The fine form of an address.
    fn fine(&self, address: &str) -> Vec<(String, String)> {
        let (_, pairs) =
            FINE.iter().find(|(a, _)| *a == address).copied().unwrap_or((address, &[]));
        pairs.iter().map(|(n, v)| ((*n).to_owned(), self.fill(v))).collect()
    }

    fn send(&self, address: &str, pairs: &[(String, String)]) -> Answer {
        let body = form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish();
        self.app().send(form_request(&self.fill(address), body))
    }
}

/// What an answer says to the person.
fn says(answer: &Answer) -> String {
    if answer.is_html() { Html::read(&answer.body).words_shown() } else { answer.body.clone() }
}

/// The words a form is refused with: those at its fields, in its list, or of the refusing page.
fn refusal(answer: &Answer) -> String {
    if !answer.is_html() {
        return answer.body.clone();
    }
    let page = Html::read(&answer.body);
    let at_fields: Vec<String> =
        page.all(".error").iter().chain(&page.all(".refused")).map(|e| e.text()).collect();
    if at_fields.is_empty() { page.words_shown() } else { at_fields.join(" | ") }
}

#[test]
fn every_form_of_the_table_is_taken_when_nothing_is_wrong_with_it() {
    let mut bad = Vec::new();
    for (address, _) in FINE {
        let n = Notebook::new();
        let answer = n.send(address, &n.fine(address));
        if answer.status != 303 {
            bad.push(format!("{address}: {} {}", answer.status, refusal(&answer)));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn refused_forms_say_why_and_write_nothing() {
    let mut n = Notebook::new();
    let mut bad = Vec::new();
    for (address, wrong, piece) in FORMS {
        let mut pairs = n.fine(address);
        for (name, value) in *wrong {
            pairs.retain(|(n, _)| n != name);
            let value = if *value == "TOO_LONG" { "w".repeat(20_001) } else { n.fill(value) };
            pairs.push(((*name).to_owned(), value));
        }
        let before = n.app().everything();
        let answer = n.send(address, &pairs);
        let said = refusal(&answer);
        if answer.status != 422 || !said.contains(piece) {
            let said: String = said.chars().take(200).collect();
            bad.push(format!(
                "{address} {wrong:?}: {}, not 422 with “{piece}”: {said}",
                answer.status
            ));
        }
        if n.app().everything() != before {
            bad.push(format!("{address} {wrong:?}: something was written"));
            n = Notebook::new();
        }
    }
    assert!(bad.is_empty(), "{} of {}:\n{}", bad.len(), FORMS.len(), bad.join("\n"));
}

#[test]
fn a_field_that_comes_twice_is_refused_whatever_it_is() {
    let mut bad = Vec::new();
    let mut n = Notebook::new();
    for (address, name, second) in TWICE {
        let mut pairs = n.fine(address);
        if !pairs.iter().any(|(n, _)| n == name) {
            pairs.push(((*name).to_owned(), String::new()));
        }
        pairs.push(((*name).to_owned(), (*second).to_owned()));
        let before = n.app().everything();
        let answer = n.send(address, &pairs);
        if answer.status != 422 || !refusal(&answer).contains("came twice") {
            bad.push(format!(
                "{address} {name}: {} {}",
                answer.status,
                refusal(&answer).chars().take(120).collect::<String>()
            ));
        }
        if n.app().everything() != before {
            n = Notebook::new();
        }
    }
    assert!(bad.is_empty(), "{} of {}:\n{}", bad.len(), TWICE.len(), bad.join("\n"));
}

/// Address and body of an API call, status, a piece of what is said.
const JSON: &[(&str, &str, u16, &str)] = &[
    ("load", "", 422, "JSON"),
    ("load", "{", 422, "JSON"),
    ("load", "null", 422, ""),
    ("load", "[]", 422, ""),
    ("load", "12", 422, ""),
    ("load", "{}", 422, "test_v"),
    ("load", r#"{"test_v": "12"}"#, 422, "test_v"),
    ("load", r#"{"test_v": null}"#, 422, "test_v"),
    ("load", r#"{"test_v": true}"#, 422, "test_v"),
    ("load", r#"{"test_v": [12]}"#, 422, "test_v"),
    ("load", r#"{"test_v": NaN}"#, 422, ""),
    ("load", r#"{"test_v": Infinity}"#, 422, ""),
    ("load", r#"{"test_v": 1e999}"#, 422, ""),
    ("load", r#"{"test_v": 1e300}"#, 422, "test_v"),
    ("load", r#"{"test_v": -12}"#, 422, "test_v"),
    ("load", r#"{"test_v": 12, "free_a": -0.1}"#, 422, "free_a"),
    ("load", r#"{"test_v": 12, "colour": "red"}"#, 422, "colour"),
    ("load", r#"{"test_v": 12, "test_v": 13}"#, 422, "test_v"),
    ("load", r#"{"test_v": 12} {"test_v": 13}"#, 422, ""),
    ("load", "{\"test_v\": 12, \"free_a\": 0.2\u{0}}", 422, ""),
    (
        "budget",
        r#"{"load": {"test_v": 12}, "loads": [{"name": "l", "kind": "disco", "amps_a": 1}], "decoder": {}}"#,
        422,
        "kind",
    ),
    (
        "budget",
        r#"{"load": {"test_v": 12}, "loads": [{"name": "l", "kind": "lamp", "amps_a": 1, "count": -1}], "decoder": {}}"#,
        422,
        "count",
    ),
    ("budget", r#"{"load": {"test_v": 12}, "loads": {}, "decoder": {}}"#, 422, "loads"),
    (
        "pickup",
        r#"{"wheels": [{"id": "L1", "side": "top", "axle": 1, "vehicle": "engine", "state": "open"}]}"#,
        422,
        "side",
    ),
    ("wire", r#"{"gauge": {}}"#, 422, ""),
];

#[test]
fn refused_json_is_answered_with_a_problem_document_that_names_the_field() {
    let n = Notebook::new();
    let before = n.app().everything();
    let mut bad = Vec::new();
    for (name, body, status, piece) in JSON {
        let answer = n.app().post_json(&format!("/api/v1/calc/{name}"), body);
        let right = answer.status == *status
            && answer.header("content-type") == "application/problem+json"
            && answer.body.contains(piece);
        if !right {
            bad.push(format!("{name} {body}: {} {}", answer.status, answer.body));
        }
    }
    let deep = format!("{{\"test_v\": {}12{}}}", "[".repeat(100_000), "]".repeat(100_000));
    let answer = n.app().post_json("/api/v1/calc/load", &deep);
    assert_eq!(answer.status, 422, "nested a hundred thousand deep");
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert_eq!(n.app().everything(), before);
}

/// A request that is turned away before any room sees it.
struct Turned {
    what: &'static str,
    request: Request<Body>,
    status: u16,
    piece: &'static str,
}

fn turned(
    what: &'static str,
    request: Result<Request<Body>, axum::http::Error>,
    status: u16,
    piece: &'static str,
) -> Turned {
    Turned { what, request: request.expect("a request"), status, piece }
}

const FORM: &str = "application/x-www-form-urlencoded";

#[expect(clippy::too_many_lines, reason = "a table of requests, each with what is wrong with it")]
fn turned_away(no: i64) -> Vec<Turned> {
    let notes = format!("/c/{no}/notes");
    let post = || Request::post(&notes);
    let form = || post().header(header::CONTENT_TYPE, FORM);
    let text = || Body::from("text=x");
    vec![
        turned(
            "a body that is no form",
            post().header(header::CONTENT_TYPE, "text/plain").body(text()),
            400,
            "takes a form",
        ),
        turned("a form without its type", post().body(text()), 400, "takes a form"),
        turned(
            "JSON where a form is wanted",
            post()
                .header(header::CONTENT_TYPE, "application/json")
                .body(Body::from("{\"text\":\"x\"}")),
            400,
            "takes a form",
        ),
        turned(
            "a form in parts",
            post().header(header::CONTENT_TYPE, "multipart/form-data; boundary=x").body(text()),
            400,
            "did not arrive whole",
        ),
        turned(
            "a type that only begins like a form",
            post()
                .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded-not")
                .body(text()),
            400,
            "takes a form",
        ),
        turned(
            "bytes that are no text",
            form().body(Body::from(vec![b't', 0xff, 0xfe])),
            400,
            "not UTF-8",
        ),
        turned(
            "a form where a file is wanted",
            Request::post("/transfer/archive").header(header::CONTENT_TYPE, FORM).body(text()),
            400,
            "takes a file",
        ),
        turned(
            "an upload without its boundary",
            Request::post("/transfer/archive")
                .header(header::CONTENT_TYPE, "multipart/form-data")
                .body(text()),
            400,
            "takes a file",
        ),
        turned(
            "an upload that breaks off",
            Request::post("/transfer/archive")
                .header(header::CONTENT_TYPE, "multipart/form-data; boundary=x")
                .body(Body::from(
                    "--x\r\nContent-Disposition: form-data; name=\"archive\"\r\n\r\nPK",
                )),
            400,
            "did not arrive whole",
        ),
        turned(
            "seventy megabytes",
            Request::post("/transfer/archive")
                .header(header::CONTENT_TYPE, "multipart/form-data; boundary=x")
                .header(header::CONTENT_LENGTH, "70000000")
                .body(Body::empty()),
            413,
            "",
        ),
        turned(
            "an archive from another site",
            Request::post("/transfer/archive")
                .header(header::CONTENT_TYPE, "multipart/form-data; boundary=x")
                .header("sec-fetch-site", "cross-site")
                .body(Body::empty()),
            403,
            "",
        ),
        turned(
            "five megabytes",
            form()
                .header(header::CONTENT_LENGTH, "2000000")
                .body(Body::from(vec![b'x'; 5_000_000])),
            413,
            "",
        ),
        turned(
            "five hundred fields",
            form().body(Body::from("a=1&".repeat(500))),
            400,
            "More than 400 fields",
        ),
        turned(
            "a form from another site",
            form()
                .header(header::ORIGIN, "https://evil.example")
                .header("sec-fetch-site", "cross-site")
                .body(text()),
            403,
            "",
        ),
        turned(
            "another site’s origin alone",
            form().header(header::ORIGIN, "http://evil.example").body(text()),
            403,
            "",
        ),
        turned(
            "an origin that is null",
            form().header(header::ORIGIN, "null").body(text()),
            403,
            "",
        ),
        turned(
            "a neighbour of ours",
            form().header("sec-fetch-site", "same-site").body(text()),
            403,
            "",
        ),
        turned(
            "another name than ours",
            form().header(header::HOST, "evil.example").body(text()),
            421,
            "does not answer to that name",
        ),
        turned(
            "a name that only begins like ours",
            form().header(header::HOST, "localhost.evil.example").body(text()),
            421,
            "does not answer",
        ),
        turned(
            "no name at all",
            form().header(header::HOST, "").body(text()),
            421,
            "does not answer",
        ),
        turned(
            "PUT",
            Request::put(&notes).header(header::CONTENT_TYPE, FORM).body(text()),
            405,
            "does not take that method",
        ),
        turned(
            "DELETE",
            Request::delete(&notes).body(Body::empty()),
            405,
            "does not take that method",
        ),
        turned(
            "PATCH",
            Request::patch(&notes).body(Body::empty()),
            405,
            "does not take that method",
        ),
        turned(
            "writing by looking",
            Request::get(format!("/c/{no}/aside")).body(Body::empty()),
            405,
            "does not take that method",
        ),
        turned(
            "writing to the shelf",
            Request::post("/").header(header::CONTENT_TYPE, FORM).body(text()),
            405,
            "does not take that method",
        ),
        turned(
            "a five-megabyte calculation",
            Request::post("/api/v1/calc/load")
                .header(header::CONTENT_LENGTH, "2000000")
                .body(Body::from(vec![b' '; 5_000_000])),
            413,
            "",
        ),
        turned(
            "a calculation that is no text",
            Request::post("/api/v1/calc/load").body(Body::from(vec![0xff])),
            400,
            "not UTF-8",
        ),
    ]
}

#[test]
fn requests_of_the_wrong_shape_or_from_elsewhere_are_turned_away() {
    let n = Notebook::new();
    let mut before = n.app().everything();
    let mut bad = Vec::new();
    for t in turned_away(n.story.no) {
        let answer = n.app().send(t.request);
        if answer.status != t.status || !says(&answer).contains(t.piece) {
            bad.push(format!("{}: {} {}", t.what, answer.status, says(&answer)));
        }
        let after = n.app().everything();
        if after != before {
            bad.push(format!("{}: something was written", t.what));
        }
        before = after;
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn a_large_body_without_its_length_is_refused_too() {
    let n = Notebook::new();
    let before = n.app().everything();
    let body = Body::from(vec![b'x'; 5_000_000]);
    let request = Request::post(format!("/c/{}/notes", n.story.no))
        .header(header::CONTENT_TYPE, FORM)
        .body(body);
    let answer = n.app().send(request.expect("a request"));
    assert_eq!(answer.status, 413, "{}", says(&answer));
    assert_eq!(n.app().everything(), before);
}

/// Our own pages are let through, with and without the headers browsers add.
#[test]
fn forms_of_our_own_pages_are_taken() {
    let n = Notebook::new();
    for (name, value) in [
        ("sec-fetch-site", "same-origin"),
        ("origin", "http://127.0.0.1:8470"),
        ("sec-fetch-site", "none"),
    ] {
        let request = Request::post(format!("/c/{}/notes", n.story.no))
            .header(header::CONTENT_TYPE, FORM)
            .header(name, value);
        n.app().send(request.body(Body::from("text=x")).expect("a request")).wrote();
    }
    for host in ["localhost:8470", "[::1]:8470", "bench.local"] {
        let request = Request::get("/").header(header::HOST, host).body(Body::empty());
        n.app().send(request.expect("a request")).ok();
    }
}

/// How many refused inputs the tables hold.
#[test]
fn the_tables_hold_more_than_seventy_refusals() {
    let all = FORMS.len() + TWICE.len() + JSON.len() + turned_away(1).len();
    assert!(all > 70, "{all}");
    println!("{all} refused inputs");
}
