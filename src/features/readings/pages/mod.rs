//! Pages of this room, one file per page.

pub mod bench;
pub mod isolation;
pub mod list;
pub mod load_test;
pub mod look;
pub mod loose;
mod wrote;
