//! The program at the command line.

mod check;
mod help;
mod serve;
mod settings;
