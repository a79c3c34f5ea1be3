//! The pages of the cards: all of them, one with its form and runs, all on paper.

pub mod list;
pub mod paper;
pub mod show;
mod view;
