//! Headers of every answer, and pages without inline script or style.

use crate::support::App;
use axum::body::Body;
use axum::http::{Method, Request};

/// What stands behind the address of a conversion.
const SHEETS: [&str; 25] = [
    "",
    "/bench",
    "/circuit",
    "/parts",
    "/decoder",
    "/stock",
    "/review",
    "/reviews/new",
    "/box",
    "/labels",
    "/isolation",
    "/readings",
    "/readings/new",
    "/snags",
    "/notes",
    "/changed",
    "/history",
    "/wheels",
    "/edit",
    "/look/tightest_curve",
    "/gates/order",
    "/gates/first_power",
    "/gates/close",
    "/gates/none",
    "/wiring",
];

/// Every kind of answer: pages, refusals, files, JSON, wrong method.
fn answers(app: &App) -> Vec<(String, crate::support::Answer)> {
    app.write_as("Ines");
    let no = app.open_conversion("Works shunter");
    let mut paths: Vec<String> = [
        "/",
        "/conversions/new",
        "/people",
        "/settings",
        "/instruments",
        "/instruments/new",
        "/aside",
        "/drawer",
        "/lessons",
        "/parts/new",
        "/suppliers",
        "/transfer",
        "/transfer/everything.zip",
        "/transfer/readings.csv",
        "/calc",
        "/calc/load",
        "/calc/budget?example=1",
        "/healthz",
        "/no-such-page",
        "/static/css/undershell.css",
        "/static/none",
        "/api/v1/calc",
        "/api/v1/calc/load",
        "/api/v1/none",
        "/robots.txt",
    ]
    .map(str::to_owned)
    .to_vec();
    for ending in SHEETS {
        paths.push(format!("/c/{no}{ending}"));
    }
    let mut out: Vec<_> = paths
        .into_iter()
        .map(|p| {
            let a = app.get(&p);
            (p, a)
        })
        .collect();
    let wrong = Request::builder().method(Method::DELETE).uri("/").header("host", "localhost");
    out.push(("DELETE /".to_owned(), app.send(wrong.body(Body::empty()).unwrap())));
    let foreign = Request::builder().uri("/").header("host", "elsewhere.example");
    out.push(("foreign host".to_owned(), app.send(foreign.body(Body::empty()).unwrap())));
    out
}

#[test]
fn every_answer_carries_the_headers_that_keep_others_out() {
    let app = App::new();
    for (path, answer) in answers(&app) {
        let csp = answer.header("content-security-policy");
        assert!(csp.starts_with("default-src 'none'") && !csp.contains("unsafe"), "{path}: {csp}");
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("x-frame-options", "DENY"),
            ("referrer-policy", "same-origin"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cross-origin-resource-policy", "same-origin"),
        ] {
            assert_eq!(answer.header(name), value, "{path}: {name}");
        }
    }
}

#[test]
fn no_page_holds_inline_script_style_or_handlers() {
    let app = App::new();
    for (path, answer) in answers(&app) {
        if !answer.is_html() {
            continue;
        }
        for tag in answer.body.split('<').skip(1).filter_map(|t| t.split('>').next()) {
            assert!(!tag.contains(" style=") && !tag.contains(" on"), "{path}: <{tag}>");
            assert!(!tag.starts_with("style"), "{path}: <{tag}>");
            assert!(
                !tag.starts_with("script") || tag.contains(" src=\"/static/"),
                "{path}: <{tag}>"
            );
        }
    }
}

#[test]
fn what_people_typed_is_shown_escaped_everywhere() {
    let app = App::new();
    app.write_as("\"><script>x</script>");
    let nasty = "\"><script>alert(1)</script> \u{202e}txet\u{202c} 🚂 averyverylongwordthatdoesnotbreakanywhereatallandgoeson";
    let no = app.open_conversion(nasty);
    app.open_snag(no, nasty, "must_fix", "close");
    app.write_note(no, nasty);
    for ending in [
        "",
        "/bench",
        "/snags",
        "/notes",
        "/review",
        "/reviews/new",
        "/box",
        "/labels",
        "/history",
        "/edit",
        "/gates/close",
        "/parts",
        "/decoder",
        "/stock",
    ] {
        let answer = app.get(&format!("/c/{no}{ending}"));
        assert!(!answer.body.contains("<script>alert"), "{ending}");
        assert!(!answer.body.contains("\"><script"), "{ending}");
    }
    assert!(!app.get("/").body.contains("<script>alert"));
}
