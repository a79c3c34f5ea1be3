//! A small SVG builder: elements, attributes, text and paths. The one place where markup is made.

/// Text made safe for an attribute or between tags, in SVG and in HTML. Characters that XML 1.0
/// forbids (control characters, U+FFFE, U+FFFF) become U+FFFD.
/// Source: W3C XML 1.0 (Fifth Edition), section 2.2 Char and section 2.4, from memory.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A coordinate as short text: at most two decimals, no trailing zeros, never `-0`. What is not a
/// finite number becomes `0`, so that a bad value cannot break the drawing.
pub fn num(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// One element with its attributes and content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct El {
    name: &'static str,
    attributes: String,
    content: String,
}

impl El {
    /// An empty element. The name comes from the program, never from data.
    pub fn new(name: &'static str) -> Self {
        El { name, attributes: String::new(), content: String::new() }
    }

    /// An attribute with any value; the value is escaped.
    #[must_use]
    pub fn attr(mut self, name: &'static str, value: &str) -> Self {
        self.attributes.push(' ');
        self.attributes.push_str(name);
        self.attributes.push_str("=\"");
        self.attributes.push_str(&escape(value));
        self.attributes.push('"');
        self
    }

    /// A number attribute in user units.
    #[must_use]
    pub fn num(self, name: &'static str, value: f64) -> Self {
        let text = num(value);
        self.attr(name, &text)
    }

    /// A number attribute in percent of the drawing's width or height.
    #[must_use]
    pub fn pct(self, name: &'static str, percent: f64) -> Self {
        let text = format!("{}%", num(percent));
        self.attr(name, &text)
    }

    /// The class attribute; left out when empty.
    #[must_use]
    pub fn class(self, classes: &str) -> Self {
        if classes.is_empty() { self } else { self.attr("class", classes) }
    }

    /// Adds escaped text to the content.
    #[must_use]
    pub fn text(mut self, text: &str) -> Self {
        self.content.push_str(&escape(text));
        self
    }

    /// Adds a child element.
    #[must_use]
    pub fn child(mut self, child: &El) -> Self {
        self.content.push_str(&child.render());
        self
    }

    /// Adds child elements in order.
    #[must_use]
    pub fn children<'a>(self, children: impl IntoIterator<Item = &'a El>) -> Self {
        children.into_iter().fold(self, El::child)
    }

    /// Adds text in its own `<title>`, the drawing's name for those who cannot see it.
    #[must_use]
    pub fn title(self, text: &str) -> Self {
        self.child(&El::new("title").text(text))
    }

    /// Adds text in its own `<desc>`, the drawing in words.
    #[must_use]
    pub fn desc(self, text: &str) -> Self {
        self.child(&El::new("desc").text(text))
    }

    /// The element as markup. HTML elements are always closed with an end tag; SVG ones without
    /// content close themselves.
    pub fn render(&self) -> String {
        let El { name, attributes, content } = self;
        let html = matches!(*name, "span" | "ol" | "ul" | "li" | "b" | "p");
        if content.is_empty() && !html {
            format!("<{name}{attributes}/>")
        } else {
            format!("<{name}{attributes}>{content}</{name}>")
        }
    }
}

/// A straight line between two points in user units.
pub fn line(class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) -> El {
    El::new("line").class(class).num("x1", x1).num("y1", y1).num("x2", x2).num("y2", y2)
}

/// A circle by centre and radius in user units.
pub fn circle(class: &str, (cx, cy): (f64, f64), r: f64) -> El {
    El::new("circle").class(class).num("cx", cx).num("cy", cy).num("r", r)
}

/// A text at a point in user units.
pub fn label(class: &str, (x, y): (f64, f64), text: &str) -> El {
    El::new("text").class(class).num("x", x).num("y", y).text(text)
}

/// The data of a path, point by point, in user units.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Path(String);

impl Path {
    /// An empty path.
    pub fn new() -> Self {
        Path::default()
    }

    /// Move to a point.
    #[must_use]
    pub fn m(self, x: f64, y: f64) -> Self {
        self.step('M', &[x, y])
    }

    /// Line to a point.
    #[must_use]
    pub fn l(self, x: f64, y: f64) -> Self {
        self.step('L', &[x, y])
    }

    /// Curve to `(x, y)` with one control point `(cx, cy)`.
    #[must_use]
    pub fn q(self, cx: f64, cy: f64, x: f64, y: f64) -> Self {
        self.step('Q', &[cx, cy, x, y])
    }

    /// Close to where the path began.
    #[must_use]
    pub fn z(self) -> Self {
        self.step('Z', &[])
    }

    /// The path data, for the attribute `d`.
    pub fn data(&self) -> &str {
        &self.0
    }

    /// The path as an element.
    pub fn el(&self, class: &str) -> El {
        El::new("path").class(class).attr("d", &self.0)
    }

    fn step(mut self, letter: char, numbers: &[f64]) -> Self {
        self.0.push(letter);
        for (i, v) in numbers.iter().enumerate() {
            if i > 0 {
                self.0.push(' ');
            }
            self.0.push_str(&num(*v));
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_sound};

    #[test]
    fn text_cannot_leave_its_place() {
        for nasty in NASTY {
            let el = El::new("g").attr("aria-label", nasty).child(&El::new("text").text(nasty));
            let out = el.render();
            assert_sound(&out);
            assert_eq!(out.matches('<').count(), 4, "{out}");
        }
    }

    #[test]
    fn escaped_text_reads_back_as_it_was_typed() {
        // The five entities are those of XML 1.0 section 4.6 and HTML alike (from memory).
        assert_eq!(escape(r#"a<b>&"c'"#), "a&lt;b&gt;&amp;&quot;c&#39;");
        assert_eq!(escape("5 Ω − № 7"), "5 Ω − № 7");
        assert_eq!(escape("\u{0}\u{1b}x\ny"), "\u{fffd}\u{fffd}x y");
    }

    #[test]
    fn numbers_are_short_and_never_break_a_drawing() {
        assert_eq!(num(1.0), "1");
        assert_eq!(num(-0.001), "0");
        assert_eq!(num(12.345), "12.35");
        assert_eq!(num(-2.5), "-2.5");
        assert_eq!(num(100.0), "100");
        assert_eq!(num(f64::NAN), "0");
        assert_eq!(num(f64::INFINITY), "0");
    }

    #[test]
    fn a_path_is_written_point_by_point() {
        let path = Path::new().m(0.0, -1.5).l(2.0, 3.0).q(1.0, 1.0, 4.0, 4.0).z();
        assert_eq!(path.data(), "M0 -1.5L2 3Q1 1 4 4Z");
    }
}
