//! Notes as other pages show them: below the record they are about.

use super::about::About;
use super::markdown;
use super::model::Note;
use super::store;
use crate::db::Error;
use crate::features::gates::view::At;
use crate::web::when;
use sqlx::SqliteConnection;

/// A note, rendered.
#[derive(Debug, Clone)]
pub struct Row {
    /// Safe HTML.
    pub html: String,
    /// `Ines, 25 Nov 21:50`.
    pub by: String,
    /// What it is about: address and name; empty where it is about the conversion as a whole.
    pub about: Option<(String, String)>,
}

/// The notes about a record, and where another one is written.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    /// The notes, newest first.
    pub notes: Vec<Row>,
    /// Address of the form, the record chosen in it; empty where none can be written.
    pub write: String,
}

/// `Ines, 25 Nov 21:50`.
pub fn by(n: &Note, at: At) -> String {
    let day = when::day_time(n.at, at.now, at.offset);
    if n.person.is_empty() { day } else { format!("{}, {day}", n.person) }
}

/// A note made ready; `no` is the number of the conversion it is filed under.
pub fn row(n: &Note, no: i64, at: At) -> Row {
    let about = n.about.map(|a| (a.href(no), a.name()));
    Row { html: markdown::render(&n.text), by: by(n, at), about }
}

/// What stands beside a record: its notes. `no`: the conversion it is in; `None`: it is in none, so that
/// no note can be filed.
pub async fn beside(
    conn: &mut SqliteConnection,
    about: About,
    no: Option<i64>,
    at: At,
) -> Result<Beside, Error> {
    let notes = store::about(conn, about.id).await?;
    let notes = notes.iter().map(|n| row(n, no.unwrap_or(0), at)).collect();
    let write = no.map(|no| format!("/c/{no}/notes?about={}#new", about.code()));
    Ok(Beside { notes, write: write.unwrap_or_default() })
}
