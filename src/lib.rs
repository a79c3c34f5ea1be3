//! Undershell: a bench notebook that computes, for railway modellers who turn analogue locomotives
//! digital.
//!
//! The rooms, from the ground up; imports point downwards only (`tests/it/architecture.rs`):
//!
//! - [`units`], [`aspect`], [`choice`]: quantities, verdicts, closed lists. Pure.
//! - [`calc`]: what the notebook works out. Pure. [`draw`]: pictures from data. Pure.
//! - [`db`]: the one SQLite file.
//! - [`web`]: the kit of every page handler.
//! - [`features`]: the rooms people work in, one per noun.
//! - [`server`], [`settings`], [`cli`]: assembly.

pub mod aspect;
pub mod calc;
pub mod choice;
pub mod cli;
pub mod db;
pub mod draw;
pub mod features;
pub mod server;
pub mod settings;
pub mod units;
pub mod web;
