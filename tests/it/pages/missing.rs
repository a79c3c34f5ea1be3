use crate::support::App;
use crate::support::story::in_mid_build;

const NOBODY: &str = "01890000-0000-7000-8000-000000000000";

/// Addresses that lead nowhere, whatever the notebook holds.
const NOWHERE: [&str; 35] = [
    "/nowhere",
    "/c/99",
    "/c/0",
    "/c/-1",
    "/c/seven",
    "/c/99/bench",
    "/c/99/edit",
    "/c/99/history",
    "/c/99/isolation",
    "/c/99/wheels",
    "/c/99/circuit",
    "/c/99/parts",
    "/c/99/snags",
    "/c/99/notes",
    "/c/99/changed",
    "/c/99/wiring",
    "/c/99/review",
    "/c/99/cards",
    "/c/99/cards/paper",
    "/c/99/cards/isolation",
    "/c/99/datums",
    "/c/99/reviews/new",
    "/c/99/box",
    "/c/99/labels",
    "/instruments/x",
    "/calc/horoscope",
    "/c/99/calc",
    "/c/99/heat",
    "/c/99/trace",
    "/c/99/archive.zip",
    "/c/99/readings.csv",
    "/c/99/parts.csv",
    "/transfer/conversion",
    "/transfer/conversion?no=99",
    "/transfer/archive/x",
];

#[test]
fn what_is_not_there_is_said_as_a_page() {
    let s = in_mid_build();
    let no = s.no;
    let long = "9".repeat(40);
    let made = [
        format!("/c/{long}"),
        format!("/c/{no}/wiring/999"),
        format!("/c/{no}/wiring/first"),
        format!("/c/{no}/cards/palmistry"),
        format!("/c/{no}/datums/999"),
        format!("/c/{no}/datums/x"),
        format!("/c/{no}/reviews/999"),
        format!("/c/{no}/reviews/x"),
        format!("/c/{no}/reviews/999/edit"),
        format!("/c/{no}/reviews/1/causes/{NOBODY}"),
        format!("/c/{no}/readings/999"),
        format!("/c/{no}/readings/first"),
        format!("/c/{no}/snags/999"),
        format!("/c/{no}/snags/x"),
        format!("/c/{no}/notes/{NOBODY}"),
        format!("/c/{no}/notes/x"),
        format!("/c/{no}/loads/{NOBODY}"),
        format!("/c/{no}/loads/x"),
        format!("/c/{no}/gates/garden"),
        format!("/c/{no}/look/the_moon"),
        format!("/instruments/{NOBODY}"),
        format!("/c/{no}/calc/horoscope"),
        format!("/c/{no}/nowhere"),
        format!("/transfer/archive/{NOBODY}"),
    ];
    let paths = NOWHERE.into_iter().map(str::to_owned).chain(made);
    let mut bad = Vec::new();
    for path in paths {
        let answer = s.app.get(&path);
        if answer.status != 404 || !answer.is_html() {
            bad.push(format!(
                "{path}: {} {} {}",
                answer.status,
                answer.header("content-type"),
                answer.body.chars().take(60).collect::<String>()
            ));
        }
    }
    assert!(bad.is_empty(), "not a page with 404:\n{}", bad.join("\n"));
}

/// Addresses that nothing can be written to, whatever the notebook holds.
const NOWHERE_TO_WRITE: [&str; 27] = [
    "/c/99/edit",
    "/c/99/stage",
    "/c/99/aside",
    "/c/99/governing",
    "/c/99/bench/reading",
    "/c/99/bench/wheel",
    "/c/99/bench/load-test",
    "/c/99/isolation",
    "/c/99/readings",
    "/c/99/wheels",
    "/c/99/decoder",
    "/c/99/loads",
    "/c/99/snags",
    "/c/99/notes",
    "/c/99/changed",
    "/c/99/wiring",
    "/c/99/gates/order/pass",
    "/aside/conversions/99/restore",
    "/c/99/reviews",
    "/calc/horoscope",
    "/c/99/heat",
    "/c/99/trace",
    "/c/99/calc/load",
    "/c/99/calc/load/aside",
    "/c/99/heat/limit",
    "/c/99/trace/readings",
    "/nowhere",
];

#[test]
fn writing_to_what_is_not_there_is_said_as_a_page() {
    let s = in_mid_build();
    let no = s.no;
    let before = s.app.everything();
    let made = [
        format!("/c/{no}/wiring/999"),
        format!("/c/{no}/wiring/999/aside"),
        format!("/c/{no}/wiring/999/restore"),
        format!("/c/{no}/reviews/999/edit"),
        format!("/c/{no}/reviews/999/causes"),
        format!("/c/{no}/reviews/999/causes/{NOBODY}"),
        format!("/c/{no}/reviews/999/causes/{NOBODY}/evidence"),
        format!("/c/{no}/reviews/999/lost"),
        format!("/c/{no}/reviews/999/lost/{NOBODY}/remove"),
        format!("/c/{no}/reviews/999/snags"),
        format!("/c/{no}/reviews/999/lesson"),
        format!("/c/{no}/reviews/999/reopen"),
        format!("/c/{no}/reviews/999/aside"),
        format!("/c/{no}/reviews/999/restore"),
        format!("/c/{no}/readings/999/take-back"),
        format!("/c/{no}/readings/999/restore"),
        format!("/c/{no}/snags/999"),
        format!("/c/{no}/snags/999/close"),
        format!("/c/{no}/snags/999/reopen"),
        format!("/c/{no}/notes/{NOBODY}"),
        format!("/c/{no}/notes/{NOBODY}/aside"),
        format!("/c/{no}/notes/{NOBODY}/restore"),
        format!("/c/{no}/loads/{NOBODY}"),
        format!("/c/{no}/loads/{NOBODY}/aside"),
        format!("/c/{no}/changed/{NOBODY}/take-back"),
        format!("/c/{no}/changed/x/take-back"),
        format!("/instruments/{NOBODY}"),
        format!("/instruments/{NOBODY}/aside"),
        format!("/c/{no}/gates/garden/judgements"),
        format!("/c/{no}/gates/garden/withdraw"),
        format!("/c/{no}/gates/garden/pass"),
        format!("/c/{no}/gates/order/take-back"),
        format!("/c/{no}/look/the_moon"),
        format!("/c/{no}/calc/horoscope"),
    ];
    let paths = NOWHERE_TO_WRITE.into_iter().map(str::to_owned).chain(made);
    let mut bad = Vec::new();
    for path in paths {
        let answer = s.app.post(&path, &[("version", "1")]);
        if answer.status != 404 || !answer.is_html() {
            bad.push(format!("{path}: {} {}", answer.status, answer.header("content-type")));
        }
    }
    assert!(bad.is_empty(), "not a page with 404:\n{}", bad.join("\n"));
    assert_eq!(s.app.everything(), before);
}

#[test]
fn what_is_not_there_is_said_as_a_problem_document_by_the_api() {
    let app = App::new();
    for path in [
        "/api/v1/nowhere",
        "/api/v1/calc/horoscope",
        "/api/v1/conversions/99/gates",
        "/api/v1/conversions/x/gates",
        "/api/v1",
    ] {
        let answer = app.get(path);
        assert_eq!(
            (answer.status, answer.header("content-type")),
            (404, "application/problem+json"),
            "{path}"
        );
        let problem = answer.json();
        assert_eq!(problem["status"], 404);
        assert!(problem["detail"].as_str().is_some_and(|d| !d.is_empty()), "{problem}");
    }
    let answer = app.post_json("/api/v1/calc/horoscope", "{}");
    assert_eq!((answer.status, answer.header("content-type")), (404, "application/problem+json"));
}

#[test]
fn a_query_that_is_not_understood_is_answered_with_a_page() {
    let s = in_mid_build();
    let no = s.no;
    for path in [
        format!("/c/{no}/bench?wrote=x"),
        format!("/c/{no}/readings?below=x"),
        format!("/c/{no}/wiring?wrote=x"),
        format!("/c/{no}/history?below=1e9"),
        format!("/c/{no}/isolation?wrote=9&wrote=10"),
    ] {
        let answer = s.app.get(&path);
        assert!(
            answer.is_html(),
            "{path}: {} {} {}",
            answer.status,
            answer.header("content-type"),
            answer.body
        );
        assert!(
            answer.status == 200 || (400..500).contains(&answer.status),
            "{path}: {}",
            answer.status
        );
    }
    for path in [
        format!("/c/{no}/bench?wrote=999"),
        format!("/c/{no}/wiring?wrote=999"),
        format!("/c/{no}/isolation?what=nonsense"),
        format!("/c/{no}/isolation?what=a:b@c"),
        format!("/c/{no}/readings?below=-5"),
    ] {
        s.app.get(&path).ok();
    }
}

#[test]
fn a_missing_static_file_is_a_404() {
    let app = App::new();
    for path in
        ["/static/css/none.css", "/static/../Cargo.toml", "/static/%2e%2e/Cargo.toml", "/static/"]
    {
        assert_eq!(app.get(path).status, 404, "{path}");
    }
    assert_eq!(app.get("/static/css/undershell.css").status, 200);
}

#[test]
fn writing_to_a_card_or_datum_that_is_not_there_is_said_as_a_page() {
    let s = in_mid_build();
    let no = s.no;
    let before = s.app.everything();
    for path in [
        "/c/99/cards/isolation".to_owned(),
        "/c/99/datums".to_owned(),
        format!("/c/{no}/cards/palmistry"),
        format!("/c/{no}/runs/999/take-back"),
        format!("/c/{no}/runs/999/restore"),
        format!("/c/{no}/datums/999"),
        format!("/c/{no}/datums/999/aside"),
        format!("/c/{no}/datums/999/restore"),
    ] {
        let answer = s.app.post(&path, &[("version", "1")]);
        assert!(answer.status == 404 && answer.is_html(), "{path}: {}", answer.status);
    }
    assert_eq!(s.app.everything(), before);
}
