//! The program at the command line.

mod backup;
mod check;
mod help;
mod serve;
mod settings;
mod transfer;
