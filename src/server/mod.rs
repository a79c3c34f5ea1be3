//! Assembly: all rooms' routes under one set of layers, and listening until told to stop.

mod hosts;
mod listen;
mod router;

pub use hosts::Hosts;
pub use listen::serve;
pub use router::build;
