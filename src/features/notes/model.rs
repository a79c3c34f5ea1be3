//! A note: a person's own words, in Markdown.

use crate::db::{Millis, NoteId};
use serde::Serialize;

/// A note as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// Id.
    pub id: NoteId,
    /// Markdown as typed.
    pub text: String,
    /// Written, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Version.
    pub version: i64,
}
