use crate::support::App;
use crate::support::story::in_mid_build;

const NOBODY: &str = "01890000-0000-7000-8000-000000000000";

#[test]
fn what_is_not_there_is_said_as_a_page() {
    let s = in_mid_build();
    let no = s.no;
    let long = "9".repeat(40);
    let paths = [
        "/nowhere".to_owned(),
        "/c/99".to_owned(),
        "/c/0".to_owned(),
        "/c/-1".to_owned(),
        "/c/seven".to_owned(),
        format!("/c/{long}"),
        "/c/99/bench".to_owned(),
        "/c/99/edit".to_owned(),
        "/c/99/history".to_owned(),
        "/c/99/isolation".to_owned(),
        "/c/99/wheels".to_owned(),
        "/c/99/circuit".to_owned(),
        "/c/99/parts".to_owned(),
        "/c/99/snags".to_owned(),
        "/c/99/notes".to_owned(),
        "/c/99/changed".to_owned(),
        "/c/99/wiring".to_owned(),
        format!("/c/{no}/wiring/999"),
        format!("/c/{no}/wiring/first"),
        "/c/99/review".to_owned(),
        "/c/99/cards".to_owned(),
        "/c/99/cards/paper".to_owned(),
        "/c/99/cards/isolation".to_owned(),
        "/c/99/datums".to_owned(),
        format!("/c/{no}/cards/palmistry"),
        format!("/c/{no}/datums/999"),
        format!("/c/{no}/datums/x"),
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
        "/instruments/x".to_owned(),
        "/calc/horoscope".to_owned(),
        "/c/99/calc".to_owned(),
        "/c/99/heat".to_owned(),
        "/c/99/trace".to_owned(),
        format!("/c/{no}/calc/horoscope"),
        format!("/c/{no}/nowhere"),
    ];
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

#[test]
fn writing_to_what_is_not_there_is_said_as_a_page() {
    let s = in_mid_build();
    let no = s.no;
    let before = s.app.everything();
    let paths = [
        "/c/99/edit".to_owned(),
        "/c/99/stage".to_owned(),
        "/c/99/aside".to_owned(),
        "/c/99/governing".to_owned(),
        "/c/99/bench/reading".to_owned(),
        "/c/99/bench/wheel".to_owned(),
        "/c/99/bench/load-test".to_owned(),
        "/c/99/isolation".to_owned(),
        "/c/99/readings".to_owned(),
        "/c/99/wheels".to_owned(),
        "/c/99/decoder".to_owned(),
        "/c/99/loads".to_owned(),
        "/c/99/snags".to_owned(),
        "/c/99/notes".to_owned(),
        "/c/99/changed".to_owned(),
        "/c/99/wiring".to_owned(),
        format!("/c/{no}/wiring/999"),
        format!("/c/{no}/wiring/999/aside"),
        format!("/c/{no}/wiring/999/restore"),
        "/c/99/gates/order/pass".to_owned(),
        "/aside/conversions/99/restore".to_owned(),
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
        "/calc/horoscope".to_owned(),
        "/c/99/heat".to_owned(),
        "/c/99/trace".to_owned(),
        format!("/c/{no}/calc/horoscope"),
        "/c/99/calc/load".to_owned(),
        "/c/99/calc/load/aside".to_owned(),
        "/c/99/heat/limit".to_owned(),
        "/c/99/trace/readings".to_owned(),
        "/nowhere".to_owned(),
    ];
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
