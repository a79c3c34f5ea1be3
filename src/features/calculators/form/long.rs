//! Long texts of a form: typed, or in a file beside it; too long for a page, they stay in the notebook.

use crate::web::Fields;

/// Longest text put into a page, bytes.
const MOST_SHOWN: usize = 60_000;

/// The field of the file that may stand in place of a text.
pub fn file(name: &str) -> String {
    format!("{name}_file")
}

/// The field that says a text too long for the page is kept.
pub fn kept(name: &str) -> String {
    format!("{name}_kept")
}

/// The field that says in words what is not shown.
pub fn said(name: &str) -> String {
    format!("{name}_said")
}

/// What is meant: the file where one was given, else what was typed.
pub(super) fn take(name: &str, form: &mut Fields) -> String {
    let from_file = form.value(&file(name)).to_owned();
    if !from_file.trim().is_empty() {
        form.set(name, from_file);
    }
    form.set(&file(name), "");
    form.value(name).to_owned()
}

/// Takes a text that is too long for a page out of the form and says so.
pub(super) fn spare(name: &str, form: &mut Fields, is_kept: bool) {
    let (length, lines) = (form.value(name).len(), form.value(name).lines().count());
    let long = length > MOST_SHOWN;
    form.set(&kept(name), if long && is_kept { "1" } else { "" });
    if !long {
        return;
    }
    form.set(name, "");
    let words = if is_kept {
        format!("{lines} lines are kept; they are too many to show. Empty: they stay.")
    } else {
        format!("{lines} lines are too many to show. Give the file again.")
    };
    form.set(&said(name), words);
}

/// Puts the kept text back where its field and its file were left empty.
pub(super) fn restore(name: &str, form: &mut Fields, text: &str) {
    let empty = form.value(name).trim().is_empty() && form.value(&file(name)).trim().is_empty();
    if empty && form.is(&kept(name), "1") {
        form.set(name, text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_goes_before_what_was_typed() {
        let mut form = Fields::with([("text", "typed"), ("text_file", "0;1\n")]);
        assert_eq!(take("text", &mut form), "0;1\n");
        let mut form = Fields::with([("text", "typed"), ("text_file", " ")]);
        assert_eq!(take("text", &mut form), "typed");
    }

    #[test]
    fn a_long_kept_text_leaves_the_page_and_comes_back() {
        let long = "0;1\n".repeat(20_000);
        let mut form = Fields::with([("text", long.as_str())]);
        spare("text", &mut form, true);
        assert_eq!((form.value("text"), form.value("text_kept")), ("", "1"));
        assert!(form.value("text_said").starts_with("20000 lines are kept"));
        restore("text", &mut form, &long);
        assert_eq!(form.value("text"), long);
        let mut typed = Fields::with([("text", "0;2"), ("text_kept", "1")]);
        restore("text", &mut typed, &long);
        assert_eq!(typed.value("text"), "0;2");
    }

    #[test]
    fn a_long_text_that_is_not_kept_is_asked_for_again() {
        let long = "0;1\n".repeat(20_000);
        let mut form = Fields::with([("text", long.as_str())]);
        spare("text", &mut form, false);
        assert!(form.value("text_said").contains("Give the file again"));
        restore("text", &mut form, "other");
        assert_eq!(form.value("text"), "");
    }
}
