//! A snag: an open problem that may block a gate.

use crate::choices;
use crate::db::{Millis, SnagId};
use serde::Serialize;

choices! {
    /// How bad it is.
    pub enum Severity = "severity" {
        Small = "small", "small: can wait";
        MustFix = "must_fix", "must be put right";
        Dangerous = "dangerous", "dangerous: can burn or break something";
    }
}

choices! {
    /// The five gates.
    pub enum GateName = "gate" {
        Order = "order", "order";
        Cut = "cut", "cut";
        FirstPower = "first_power", "first power";
        Close = "close", "close";
        Service = "service", "service";
    }
}

/// What the form says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// What is wrong, in the person's words.
    pub what: String,
    /// How bad.
    pub severity: Severity,
    /// The gate it blocks.
    pub blocks: Option<GateName>,
}

/// A snag as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Snag {
    /// Id.
    pub id: SnagId,
    /// Number over the whole notebook.
    pub no: i64,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Opened, ms.
    pub opened_at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub opened_by: String,
    /// Closed, ms.
    pub closed_at: Option<Millis>,
    /// By whom.
    #[serde(skip)]
    pub closed_by: String,
    /// How it was put right.
    pub how: String,
    /// Version.
    pub version: i64,
}

impl Snag {
    /// The snag closed, or `None` when it is closed already.
    #[must_use]
    pub fn closed(&self, how: &str, at: Millis) -> Option<Snag> {
        if self.closed_at.is_some() {
            return None;
        }
        let (how, version) = (how.to_owned(), self.version + 1);
        Some(Snag { closed_at: Some(at), how, version, ..self.clone() })
    }

    /// The snag opened again, or `None` when it is open.
    #[must_use]
    pub fn reopened(&self) -> Option<Snag> {
        self.closed_at?;
        Some(Snag { closed_at: None, version: self.version + 1, ..self.clone() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn snag() -> Snag {
        let draft = Draft {
            what: "wiper bent".into(),
            severity: Severity::Small,
            blocks: Some(GateName::Close),
        };
        Snag {
            id: SnagId::new(),
            no: 1,
            draft,
            opened_at: 0,
            opened_by: String::new(),
            closed_at: None,
            closed_by: String::new(),
            how: String::new(),
            version: 1,
        }
    }

    #[test]
    fn a_snag_is_closed_once_and_can_be_opened_again() {
        let closed = snag().closed("bent it back", 5).unwrap();
        assert_eq!(closed.closed_at, Some(5));
        assert!(closed.closed("again", 6).is_none());
        assert_eq!(closed.reopened().unwrap().closed_at, None);
        assert!(snag().reopened().is_none());
    }
}
