//! What was typed about a snag, checked.

use super::model::{Draft, GateName, Severity, Snag};
use crate::choice::Choice;
use crate::web::Fields;

/// Reads the form of a snag.
pub fn read(form: &mut Fields) -> Option<Draft> {
    let what = form.text("what", 2000);
    let severity = form.choice::<Severity>("severity");
    let blocks = form.optional_choice::<GateName>("blocks");
    if form.any_wrong() { None } else { Some(Draft { what, severity: severity?, blocks }) }
}

/// The form filled in from a snag.
pub fn fill(s: &Snag) -> Fields {
    Fields::with([
        ("what", s.draft.what.clone()),
        ("severity", s.draft.severity.code().to_owned()),
        ("blocks", s.draft.blocks.map_or("", Choice::code).to_owned()),
        ("version", s.version.to_string()),
    ])
}
