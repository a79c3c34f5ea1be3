//! What each room does for a person, and what it refuses; one file per room.

mod alterations;
mod calculators;
mod circuits;
mod conversions;
mod decoders;
mod gates;
mod instruments;
mod missing;
mod notes;
mod parts;
mod people;
mod readings;
mod settings;
mod shelf;
mod snags;
mod stock;
mod transfer;
mod work_out;
