//! What each room does for a person, and what it refuses; one file per room.

mod alterations;
mod calculators;
mod circuits;
mod conversions;
mod datums;
mod decoders;
mod gates;
mod instruments;
mod missing;
mod notes;
mod parts;
mod people;
mod prints;
mod readings;
mod reviews;
mod settings;
mod shelf;
mod snags;
mod stock;
mod test_runs;
mod transfer;
mod wiring;
mod work_out;
