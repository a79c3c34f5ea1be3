//! An alteration: something was changed on the model, so that earlier readings may no longer hold.

use crate::calc::gates::AlterationKind;
use crate::db::{AlterationId, Millis};
use serde::Serialize;

/// An alteration as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Alteration {
    /// Id.
    pub id: AlterationId,
    /// What was changed.
    pub kind: AlterationKind,
    /// In the person's words.
    pub what: String,
    /// When it was done, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
}
