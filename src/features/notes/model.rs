//! A note: a person's own words, in Markdown.

use super::about::About;
use crate::db::{ConversionId, Millis, NoteId};
use serde::Serialize;

/// A note as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// Id.
    pub id: NoteId,
    /// The conversion it is filed under.
    #[serde(skip)]
    pub conversion_id: ConversionId,
    /// Markdown as typed.
    pub text: String,
    /// The record it is about; `None`: the conversion as a whole.
    pub about: Option<About>,
    /// Written, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Version.
    pub version: i64,
}
