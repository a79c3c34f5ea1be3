//! Pages of the transfer room: what can be taken along, downloads, an archive looked over.

pub mod export;
pub mod import;
pub mod show;
