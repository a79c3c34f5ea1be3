//! The kit every page handler uses: state, errors, forms, page shell, static files. No nouns here.

pub mod assets;
pub mod clock;
pub mod error;
pub mod extract;
pub mod form;
pub mod page;
pub mod problem;
pub mod state;
pub mod when;

pub use clock::Clock;
pub use error::{Error, Result};
pub use extract::{Path, Query};
pub use form::Fields;
pub use page::{Page, Sheet, Shell, Who, see_other};
pub use state::App;
