//! The JSON API.

mod calc;
