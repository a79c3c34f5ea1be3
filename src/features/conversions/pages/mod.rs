//! Pages of this room, one file per page.

pub mod aside;
pub mod form;
pub mod history;
mod numbers;
pub mod overview;
pub mod review;
pub mod sheet;
pub mod shelf;
pub mod stage;
