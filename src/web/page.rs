//! The shell around every page: title, navigation, who is writing, the title block.

use super::{App, Error, Result, when};
use crate::db::{Millis, PersonId};
use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// Who is writing on this device, and what the top line says. Made by the people room's extractor.
#[derive(Debug, Clone, Default)]
pub struct Who {
    /// The person chosen on this device.
    pub id: Option<PersonId>,
    /// Their name; empty when nobody was chosen.
    pub name: String,
    /// When the last entry was kept and by whom.
    pub last: Option<(Millis, Option<String>)>,
    /// `light`, `dark`, or empty to follow the device.
    pub theme: String,
    /// Now, ms, for day names.
    pub now: Millis,
    /// What was written just now, shown once under the head: the `wrote` query.
    pub path: String,
}

/// The seven sheets of a conversion, as the strip under its title.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sheet {
    /// 1 Overview.
    Overview,
    /// 2 Bench.
    Bench,
    /// 4 Circuit.
    Circuit,
    /// 5 Parts.
    Parts,
    /// 7 Review.
    Review,
}

impl Sheet {
    /// All seven places of the strip: number, name, path ending, which sheet. `None`: not built yet.
    pub const STRIP: [(u8, &'static str, &'static str, Option<Sheet>); 7] = [
        (1, "Overview", "", Some(Sheet::Overview)),
        (2, "Bench", "/bench", Some(Sheet::Bench)),
        (3, "Space", "", None),
        (4, "Circuit", "/circuit", Some(Sheet::Circuit)),
        (5, "Parts", "/parts", Some(Sheet::Parts)),
        (6, "Set-up", "", None),
        (7, "Review", "/review", Some(Sheet::Review)),
    ];
}

/// What the layout template needs.
#[derive(Debug, Clone, Default)]
pub struct Shell {
    /// Title of the page, without the program's name.
    pub title: String,
    /// Path of the navigation entry that is current.
    pub nav: &'static str,
    /// Top line, right: who and when.
    pub kept: String,
    /// Name on this device, or empty.
    pub person: String,
    /// Theme chosen on this device, or empty.
    pub theme: String,
    /// Title block, label and value.
    pub block: Vec<(String, String)>,
    /// What the machine is called, the last cell of the block.
    pub kept_on: String,
    /// Scripts of this page: names in `static/js`.
    pub scripts: Vec<&'static str>,
}

impl Shell {
    /// A shell for a page.
    pub fn new(app: &App, who: &Who, title: impl Into<String>, nav: &'static str) -> Self {
        let kept = match &who.last {
            Some((at, by)) => {
                let at = if when::day(*at, who.now, app.offset)
                    == when::day(who.now, who.now, app.offset)
                {
                    when::clock_time(*at, app.offset)
                } else {
                    when::day_time(*at, who.now, app.offset)
                };
                match by {
                    Some(by) => format!("last entry kept {at}, {by}"),
                    None => format!("last entry kept {at}"),
                }
            }
            None => "nothing written yet".to_owned(),
        };
        Shell {
            title: title.into(),
            nav,
            kept,
            person: who.name.clone(),
            theme: who.theme.clone(),
            block: Vec::new(),
            kept_on: app.kept_on.clone(),
            scripts: Vec::new(),
        }
    }

    /// A shell that asks nothing of the notebook, for error pages.
    pub fn bare(title: &str) -> Self {
        Shell { title: title.to_owned(), ..Shell::default() }
    }

    /// Adds a line to the title block.
    #[must_use]
    pub fn block(mut self, label: &str, value: impl Into<String>) -> Self {
        self.block.push((label.to_owned(), value.into()));
        self
    }

    /// Adds a script of `static/js`.
    #[must_use]
    pub fn script(mut self, name: &'static str) -> Self {
        self.scripts.push(name);
        self
    }
}

/// A page: a template with a status.
#[derive(Debug)]
pub struct Page<T>(pub StatusCode, pub T);

impl<T> Page<T> {
    /// A page that is as asked for.
    pub fn ok(template: T) -> Self {
        Page(StatusCode::OK, template)
    }

    /// A form sent back with what was wrong.
    pub fn refused(template: T) -> Self {
        Page(StatusCode::UNPROCESSABLE_ENTITY, template)
    }
}

impl<T: Template> IntoResponse for Page<T> {
    fn into_response(self) -> Response {
        match self.1.render() {
            Ok(html) => (self.0, [(header::CACHE_CONTROL, "no-store")], Html(html)).into_response(),
            Err(e) => Error::Template(e).into_response(),
        }
    }
}

/// After a write: look at what came of it. 303, so that reloading does not write again.
pub fn see_other(path: &str) -> Result<Response> {
    Ok(Redirect::to(path).into_response())
}

/// The page of an error.
#[derive(Debug, Template)]
#[template(path = "shell/error.html")]
pub struct ErrorPage {
    /// The shell.
    pub shell: Shell,
    /// What to tell the visitor.
    pub words: String,
}

/// Main navigation: path and name.
pub const NAV: &[(&str, &str)] = &[
    ("/", "Shelf"),
    ("/drawer", "Drawer"),
    ("/lessons", "Lessons"),
    ("/calc", "Work out"),
    ("/instruments", "Meters"),
    ("/settings", "Settings"),
];
