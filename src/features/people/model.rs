//! A person is a name.

use crate::db::{Millis, PersonId};
use serde::Serialize;

/// Somebody who writes in this notebook.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Person {
    /// Id.
    pub id: PersonId,
    /// Name as shown.
    pub name: String,
    /// Since when, ms.
    pub created_at: Millis,
}
