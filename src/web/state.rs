//! What every handler is given.

use super::Clock;
use crate::db::Db;
use time::UtcOffset;

/// The running program: notebook, clock, time zone. Cheap to clone.
#[derive(Debug, Clone)]
pub struct App {
    /// The notebook.
    pub db: Db,
    /// The clock.
    pub clock: Clock,
    /// Local time against UTC, asked once at start.
    pub offset: UtcOffset,
    /// What the machine is called in the title block.
    pub kept_on: String,
}

impl App {
    /// Now, ms.
    pub fn now(&self) -> crate::db::Millis {
        self.clock.now()
    }
}
