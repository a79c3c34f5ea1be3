//! What came back for a request.

use super::Html;
use axum::http::HeaderMap;
use serde_json::Value;

/// Status, headers and body of an answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Status.
    pub status: u16,
    /// Headers.
    pub headers: HeaderMap,
    /// Body as text.
    pub body: String,
    /// Body as it came.
    pub bytes: Vec<u8>,
    /// What was asked, for messages.
    pub asked: String,
}

impl Answer {
    /// A header; empty when it is not there.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or("")
    }

    /// Whether it is a page.
    pub fn is_html(&self) -> bool {
        self.header("content-type").starts_with("text/html")
    }

    #[track_caller]
    fn page(&self, status: u16) -> Html {
        let words =
            if self.is_html() { Html::read(&self.body).words_shown() } else { self.body.clone() };
        assert_eq!(self.status, status, "{}: {words}", self.asked);
        assert!(
            self.is_html(),
            "{} answers with {}: {words}",
            self.asked,
            self.header("content-type")
        );
        Html::read(&self.body)
    }

    /// A page as asked for.
    #[track_caller]
    pub fn ok(&self) -> Html {
        self.page(200)
    }

    /// A page that says what was not taken.
    #[track_caller]
    pub fn refused(&self) -> Html {
        self.page(422)
    }

    /// A page that says somebody else saved meanwhile.
    #[track_caller]
    pub fn conflict(&self) -> Html {
        self.page(409)
    }

    /// A page that says there is no such thing.
    #[track_caller]
    pub fn missing(&self) -> Html {
        self.page(404)
    }

    /// Where a write leads to: a 303, so that loading again does not write again.
    #[track_caller]
    pub fn wrote(&self) -> String {
        let words =
            if self.is_html() { Html::read(&self.body).words_shown() } else { self.body.clone() };
        assert_eq!(self.status, 303, "{}: {words}", self.asked);
        self.header("location").to_owned()
    }

    /// The body as JSON.
    #[track_caller]
    pub fn json(&self) -> Value {
        assert!(self.header("content-type").contains("json"), "{}: {}", self.asked, self.body);
        serde_json::from_str(&self.body).expect("the body is JSON")
    }
}
