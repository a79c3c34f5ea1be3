//! Everything that is tested in process, on real SQLite files, and with the real program beside it.
//!
//! `support` has the tools; every other file tells what the notebook does for a person, what it
//! refuses, and what it never breaks. The modules stand under `cfg(test)`, so that the lints treat
//! their helpers as the test code they are.

#[cfg(test)]
mod support;

#[cfg(test)]
mod api;
#[cfg(test)]
mod architecture;
#[cfg(test)]
mod cli;
#[cfg(test)]
mod durability;
#[cfg(test)]
mod headers;
#[cfg(test)]
mod main_job;
#[cfg(test)]
mod migrations;
#[cfg(test)]
mod pages;
#[cfg(test)]
mod refused;
#[cfg(test)]
mod standards;
#[cfg(test)]
mod travel;
