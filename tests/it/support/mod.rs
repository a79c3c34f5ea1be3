//! Tools of the tests: a notebook in process, a reader of pages, a person's verbs, the program itself.

pub mod answer;
pub mod app;
pub mod archive;
pub mod form;
pub mod html;
pub mod person;
pub mod program;
pub mod story;

pub use answer::Answer;
pub use app::App;
pub use form::Form;
pub use html::Html;
pub use person::dashed;
