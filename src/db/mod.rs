//! The one SQLite file: opening, migrating, copying, checking, and the only way to write.
//!
//! The live file is never touched with ordinary file functions: closing such a handle would drop
//! SQLite's own locks (see "How to corrupt an SQLite database", section 2.2).

mod backup;
mod check;
mod error;
mod hash;
pub mod history;
mod ids;
mod migrate;
mod open;
mod restore;
pub mod travel;
mod write;

pub use backup::{beside as backup_beside, copy_to, verify_copy};
pub use check::{Report, broken, check};
pub use error::{Error, corrupt, expect_one};
pub use hash::{sha256, sha256_of_file};
pub use ids::*;
pub use migrate::{MIGRATOR, Migrated};
pub use open::{Db, in_memory, open, open_read_only};
pub use restore::{Restored, restore, verify_backup};
pub use write::{Action, Change, Write};

/// A point in time: milliseconds since 1970-01-01 UTC.
pub type Millis = i64;
