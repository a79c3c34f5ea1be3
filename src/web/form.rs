//! Forms: what was typed is kept per field, with one sentence per field that was not taken.

use super::{App, Error, when};
use crate::choice::Choice;
use crate::db::Millis;
use crate::units::{self, Ohms, Wanted};
use axum::extract::{FromRequest, Request};
use axum::http::{StatusCode, header};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Fields of one form, as typed, and what is wrong with them.
#[derive(Debug, Clone, Default)]
pub struct Fields {
    pairs: Vec<(String, String)>,
    problems: BTreeMap<String, String>,
}

/// A quantity as it is kept: the value, and what was typed.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// Value in the kept unit.
    pub value: f64,
    /// As typed.
    pub typed: String,
}

/// Most fields one form may have.
const MOST_FIELDS: usize = 400;

impl Fields {
    /// A form filled in beforehand.
    pub fn with(pairs: impl IntoIterator<Item = (impl Into<String>, impl Into<String>)>) -> Self {
        let pairs = pairs.into_iter().map(|(k, v)| (k.into(), v.into())).collect();
        Fields { pairs, problems: BTreeMap::new() }
    }

    /// What a field holds, as typed; empty when it was not sent.
    pub fn value(&self, name: &str) -> &str {
        self.pairs.iter().find(|(k, _)| k == name).map_or("", |(_, v)| v)
    }

    /// All values of a field that may be sent several times.
    pub fn values<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.pairs.iter().filter(move |(k, _)| k == name).map(|(_, v)| v.as_str())
    }

    /// Names of all fields sent, in order.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.pairs.iter().map(|(k, _)| k.as_str())
    }

    /// Whether a field has this value; for `checked` and `selected`.
    pub fn is(&self, name: &str, value: &str) -> bool {
        self.value(name) == value
    }

    /// Sets a field, for filling a form in again.
    pub fn set(&mut self, name: &str, value: impl Into<String>) {
        self.pairs.retain(|(k, _)| k != name);
        self.pairs.push((name.to_owned(), value.into()));
    }

    /// The sentence about a field that was not taken; empty when it was.
    pub fn problem(&self, name: &str) -> &str {
        self.problems.get(name).map_or("", String::as_str)
    }

    /// Whether a field was not taken.
    pub fn wrong(&self, name: &str) -> bool {
        self.problems.contains_key(name)
    }

    /// Notes that a field was not taken, and why. The first reason stays.
    pub fn refuse(&mut self, name: &str, why: impl Into<String>) {
        self.problems.entry(name.to_owned()).or_insert_with(|| why.into());
    }

    /// Whether anything was not taken.
    pub fn any_wrong(&self) -> bool {
        !self.problems.is_empty()
    }

    /// Every refused field with its sentence.
    pub fn all_wrong(&self) -> impl Iterator<Item = (&str, &str)> {
        self.problems.iter().map(|(k, v)| (k.as_str(), v.as_str()))
    }

    /// Exactly one value, or a note that the field was sent twice.
    pub fn one(&mut self, name: &str) -> String {
        let first = self.value(name).to_owned();
        if self.values(name).nth(1).is_some() {
            self.refuse(name, "This field came twice. Send it once.");
        }
        first
    }

    /// Text of a required field, trimmed, at most `most` characters.
    pub fn text(&mut self, name: &str, most: usize) -> String {
        let text = self.optional_text(name, most);
        if text.is_empty() {
            self.refuse(name, "Nothing is written here yet. Write something.");
        }
        text
    }

    /// Text of a field that may be empty, trimmed, at most `most` characters.
    pub fn optional_text(&mut self, name: &str, most: usize) -> String {
        let text = self.one(name);
        let text = text.trim();
        let length = text.chars().count();
        if length > most {
            self.refuse(name, format!("This is {length} characters long. Write {most} at most."));
        }
        if text.chars().any(|c| c.is_control() && c != '\n' && c != '\r' && c != '\t') {
            self.refuse(name, "There is a control character in this text. Type it again.");
        }
        text.to_owned()
    }

    /// One of a closed list.
    pub fn choice<T: Choice>(&mut self, name: &str) -> Option<T> {
        let code = self.one(name);
        let found = T::from_code(code.trim());
        if found.is_none() {
            let why = if code.trim().is_empty() {
                format!("Choose a {}.", T::WORD)
            } else {
                format!(
                    "“{}” is no {} known here. Choose one of: {}.",
                    short(&code),
                    T::WORD,
                    T::allowed()
                )
            };
            self.refuse(name, why);
        }
        found
    }

    /// One of a closed list, or nothing.
    pub fn optional_choice<T: Choice>(&mut self, name: &str) -> Option<T> {
        if self.one(name).trim().is_empty() { None } else { self.choice(name) }
    }

    /// A tick: sent means yes. Anything but `1`, `on` or `yes` is refused.
    pub fn tick(&mut self, name: &str) -> bool {
        match self.one(name).trim() {
            "" => false,
            "1" | "on" | "yes" => true,
            other => {
                let why = format!("“{}” is no tick. Send 1 or leave it out.", short(other));
                self.refuse(name, why);
                false
            }
        }
    }

    /// A required quantity.
    pub fn quantity(&mut self, name: &str, wanted: &Wanted) -> Option<Typed> {
        let typed = self.one(name).trim().to_owned();
        match units::parse(&typed, wanted) {
            Ok(value) => Some(Typed { value, typed }),
            Err(refusal) => {
                self.refuse(name, refusal.to_string());
                None
            }
        }
    }

    /// A quantity that may be left empty.
    pub fn optional_quantity(&mut self, name: &str, wanted: &Wanted) -> Option<Typed> {
        if self.one(name).trim().is_empty() { None } else { self.quantity(name, wanted) }
    }

    /// What an ohmmeter shows: a number, open, or joined.
    pub fn ohms(&mut self, name: &str, wanted: &Wanted) -> Option<(Ohms, String)> {
        let typed = self.one(name).trim().to_owned();
        match units::parse_ohms(&typed, wanted) {
            Ok(ohms) => Some((ohms, typed)),
            Err(refusal) => {
                self.refuse(name, refusal.to_string());
                None
            }
        }
    }

    /// A whole number in a range.
    pub fn whole(&mut self, name: &str, least: i64, most: i64) -> Option<i64> {
        let typed = self.one(name).trim().to_owned();
        let number = typed.parse::<i64>().ok().filter(|n| (least..=most).contains(n));
        if number.is_none() {
            let why = format!("“{}” is no whole number from {least} to {most}.", short(&typed));
            self.refuse(name, why);
        }
        number
    }

    /// A moment; empty means now. Not in the future by more than a day, not before 1950.
    pub fn moment(&mut self, name: &str, app: &App) -> Millis {
        let typed = self.one(name);
        let now = app.now();
        if typed.trim().is_empty() {
            return now;
        }
        let Some(at) = when::parse(&typed, app.offset) else {
            let why =
                format!("“{}” is no day that exists. Write it as 2026-11-25 21:38.", short(&typed));
            self.refuse(name, why);
            return now;
        };
        if at > now + 86_400_000 {
            self.refuse(name, "This day is still to come. Write the day it was done.");
        }
        if at < -631_152_000_000 {
            self.refuse(name, "This day is before 1950. Write the day it was done.");
        }
        at
    }

    /// An id, required.
    pub fn id<T: std::str::FromStr>(&mut self, name: &str) -> Option<T> {
        let typed = self.one(name).trim().to_owned();
        let id = typed.parse().ok();
        if id.is_none() {
            let why = format!("“{}” is no id of this notebook.", short(&typed));
            self.refuse(name, why);
        }
        id
    }

    /// An id that may be left empty.
    pub fn optional_id<T: std::str::FromStr>(&mut self, name: &str) -> Option<T> {
        if self.one(name).trim().is_empty() { None } else { self.id(name) }
    }

    /// The version the person saw.
    pub fn version(&mut self) -> i64 {
        self.whole("version", 1, i64::MAX).unwrap_or(0)
    }

    /// The form's token, so that sending it twice writes once. A form without one is taken as new.
    pub fn token(&mut self) -> Option<Uuid> {
        self.optional_id("token")
    }
}

/// At most forty characters of what was typed, for messages.
fn short(text: &str) -> String {
    let mut short: String = text.trim().chars().filter(|c| !c.is_control()).take(40).collect();
    if text.trim().chars().count() > 40 {
        short.push('…');
    }
    short
}

/// A token for a new form.
pub fn new_token() -> String {
    Uuid::now_v7().to_string()
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Error;

    async fn from_request(request: Request, state: &S) -> Result<Self, Error> {
        let kind = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok());
        let plain = kind.and_then(|k| k.split(';').next()).map(str::trim);
        if plain == Some("multipart/form-data") {
            return with_files(request, state).await;
        }
        if plain != Some("application/x-www-form-urlencoded") {
            return Err(Error::BadRequest(
                "This address takes a form (application/x-www-form-urlencoded).".to_owned(),
            ));
        }
        let body = axum::body::Bytes::from_request(request, state).await.map_err(|e| {
            if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
                return Error::TooLarge;
            }
            Error::BadRequest(format!("The form did not arrive whole: {}.", e.body_text()))
        })?;
        if std::str::from_utf8(&body).is_err() {
            return Err(Error::BadRequest("The form is not UTF-8 text.".to_owned()));
        }
        let pairs: Vec<(String, String)> =
            form_urlencoded::parse(&body).into_owned().take(MOST_FIELDS + 1).collect();
        if pairs.len() > MOST_FIELDS {
            return Err(Error::BadRequest(format!("More than {MOST_FIELDS} fields in one form.")));
        }
        Ok(Fields { pairs, problems: BTreeMap::new() })
    }
}

/// A form that carries files: each becomes a field of its text. A file that is not UTF-8 is read as
/// far as it is; a byte order mark is dropped.
async fn with_files<S: Send + Sync>(request: Request, state: &S) -> Result<Fields, Error> {
    use axum::extract::Multipart;
    let broken = |why: String| Error::BadRequest(format!("The form did not arrive whole: {why}."));
    let mut parts =
        Multipart::from_request(request, state).await.map_err(|e| broken(e.body_text()))?;
    let mut pairs = Vec::new();
    loop {
        let refused = |e: axum::extract::multipart::MultipartError| {
            if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
                Error::TooLarge
            } else {
                broken(e.body_text())
            }
        };
        let Some(part) = parts.next_field().await.map_err(refused)? else { break };
        let name = part.name().unwrap_or_default().to_owned();
        let bytes = part.bytes().await.map_err(refused)?;
        let text = String::from_utf8_lossy(&bytes);
        pairs.push((name, text.trim_start_matches('\u{feff}').to_owned()));
        if pairs.len() > MOST_FIELDS {
            return Err(Error::BadRequest(format!("More than {MOST_FIELDS} fields in one form.")));
        }
    }
    Ok(Fields { pairs, problems: BTreeMap::new() })
}
