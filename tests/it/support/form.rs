//! A form of a page, filled in and sent as a browser would.

use super::html::{Element, Html};

/// A form: where it goes, and its fields in order.
#[derive(Debug, Clone)]
pub struct Form {
    /// Address it is sent to.
    pub action: String,
    /// Names and values.
    pub fields: Vec<(String, String)>,
}

impl Html {
    /// The form that is sent to an address.
    #[track_caller]
    pub fn form(&self, action: &str) -> Form {
        let found: Vec<_> = self
            .all("form")
            .into_iter()
            .filter(|f| f.attribute("action") == Some(action))
            .collect();
        assert_eq!(found.len(), 1, "forms to {action} in: {}", self.words_shown());
        Form::read(found[0])
    }

    /// Of several forms to an address, the one with a field of this name.
    #[track_caller]
    pub fn form_named(&self, action: &str, field: &str) -> Form {
        let forms = self.all("form").into_iter();
        let to = forms.filter(|f| f.attribute("action") == Some(action)).map(Form::read);
        let found: Vec<Form> = to.filter(|f| f.fields.iter().any(|(n, _)| n == field)).collect();
        assert_eq!(found.len(), 1, "forms to {action} with {field} in: {}", self.words_shown());
        found.into_iter().next().expect("just counted")
    }

    /// Whether there is a form to an address.
    pub fn has_form(&self, action: &str) -> bool {
        self.all("form").into_iter().any(|f| f.attribute("action") == Some(action))
    }
}

impl Form {
    fn read(form: Element<'_>) -> Form {
        let mut fields = Vec::new();
        for e in form.all("*") {
            let Some(name) = e.attribute("name") else { continue };
            let value = match (e.tag(), e.attribute("type").unwrap_or("text")) {
                ("input", "checkbox" | "radio") if e.attribute("checked").is_none() => continue,
                ("input", _) => e.attribute("value").unwrap_or("").to_owned(),
                ("textarea", _) => e.exact_text(),
                ("select", _) => chosen(e),
                _ => continue,
            };
            fields.push((name.to_owned(), value));
        }
        let action = form.attribute("action").unwrap_or("").to_owned();
        Form { action, fields }
    }

    /// What a field holds; empty when it is not there.
    pub fn value(&self, name: &str) -> &str {
        self.fields.iter().find(|(n, _)| n == name).map_or("", |(_, v)| v)
    }

    /// The form with a field filled in, whatever it held.
    #[must_use]
    pub fn with(mut self, name: &str, value: &str) -> Form {
        self.fields.retain(|(n, _)| n != name);
        self.fields.push((name.to_owned(), value.to_owned()));
        self
    }

    /// The form with many fields filled in.
    #[must_use]
    pub fn filled(self, fields: &[(&str, &str)]) -> Form {
        fields.iter().fold(self, |form, (name, value)| form.with(name, value))
    }

    /// The form with a field left out.
    #[must_use]
    pub fn without(mut self, name: &str) -> Form {
        self.fields.retain(|(n, _)| n != name);
        self
    }

    /// The form with one more pair, even if the name is there already.
    #[must_use]
    pub fn twice(mut self, name: &str, value: &str) -> Form {
        self.fields.push((name.to_owned(), value.to_owned()));
        self
    }

    /// As a request body.
    pub fn body(&self) -> String {
        form_urlencoded::Serializer::new(String::new()).extend_pairs(&self.fields).finish()
    }
}

/// The value of the option chosen in a select: the one marked, else the first.
fn chosen(select: Element<'_>) -> String {
    let options = select.all("option");
    let marked = options.iter().find(|o| o.attribute("selected").is_some());
    let one = marked.or_else(|| options.first());
    one.map(|o| o.attribute("value").map_or_else(|| o.text(), str::to_owned)).unwrap_or_default()
}
