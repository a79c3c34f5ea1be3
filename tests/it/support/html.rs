//! A small reader of HTML: enough of a tree to find elements by tag, id, class and attribute.

use std::fmt::Write as _;

/// Elements that have no content.
const VOID: [&str; 9] = ["meta", "link", "input", "br", "img", "hr", "source", "wbr", "col"];
/// Elements whose content is text up to their end tag.
const RAW: [&str; 4] = ["script", "style", "textarea", "title"];

/// A page, read.
#[derive(Debug)]
pub struct Html {
    nodes: Vec<Node>,
}

#[derive(Debug, Default)]
struct Node {
    /// Tag; empty for text.
    tag: String,
    attributes: Vec<(String, String)>,
    text: String,
    children: Vec<usize>,
    parent: usize,
}

/// One element of a page.
#[derive(Debug, Clone, Copy)]
pub struct Element<'a> {
    page: &'a Html,
    at: usize,
}

impl Html {
    /// Reads a page. What is not well formed is read as far as it goes.
    pub fn read(text: &str) -> Html {
        let mut html = Html { nodes: vec![Node { tag: "#page".to_owned(), ..Node::default() }] };
        let mut open = 0;
        let mut rest = text;
        while !rest.is_empty() {
            rest = match rest.strip_prefix("<!--") {
                Some(comment) => comment.split_once("-->").map_or("", |(_, after)| after),
                None if rest.starts_with("</") => html.end(rest, &mut open),
                None if begins_tag(rest) => html.begin(rest, &mut open),
                None => html.words(rest, open),
            };
        }
        html
    }

    fn push(&mut self, parent: usize, node: Node) -> usize {
        let at = self.nodes.len();
        self.nodes.push(Node { parent, ..node });
        self.nodes[parent].children.push(at);
        at
    }

    /// Text up to the next tag.
    fn words<'t>(&mut self, rest: &'t str, open: usize) -> &'t str {
        let end = rest
            .char_indices()
            .skip(1)
            .find(|(i, c)| *c == '<' && (begins_tag(&rest[*i..]) || is_end(&rest[*i..])))
            .map_or(rest.len(), |(i, _)| i);
        self.push(open, Node { text: decode(&rest[..end]), ..Node::default() });
        &rest[end..]
    }

    /// An end tag closes the nearest open element of its name.
    fn end<'t>(&self, rest: &'t str, open: &mut usize) -> &'t str {
        let (name, after) = rest[2..].split_once('>').unwrap_or((&rest[2..], ""));
        let name = name.trim().to_ascii_lowercase();
        let mut at = *open;
        while at != 0 && self.nodes[at].tag != name {
            at = self.nodes[at].parent;
        }
        if at != 0 {
            *open = self.nodes[at].parent;
        }
        after
    }

    fn begin<'t>(&mut self, rest: &'t str, open: &mut usize) -> &'t str {
        let end = tag_end(rest);
        let inside = rest[1..end].trim_end_matches('/');
        let after = rest.get(end + 1..).unwrap_or("");
        let name_end = inside.find(|c: char| c.is_whitespace()).unwrap_or(inside.len());
        let tag = inside[..name_end].to_ascii_lowercase();
        let selfclosed = rest[..end].ends_with('/');
        let attributes = attributes(&inside[name_end..]);
        let at = self.push(*open, Node { tag: tag.clone(), attributes, ..Node::default() });
        if RAW.contains(&tag.as_str()) {
            let close = format!("</{tag}");
            let stop = after.to_ascii_lowercase().find(&close).unwrap_or(after.len());
            // a line break right after <textarea> is not part of its text
            let text = after[..stop].strip_prefix('\n').unwrap_or(&after[..stop]);
            let text =
                if tag == "script" || tag == "style" { text.to_owned() } else { decode(text) };
            self.push(at, Node { text, ..Node::default() });
            return after[stop..].split_once('>').map_or("", |(_, after)| after);
        }
        if !VOID.contains(&tag.as_str()) && !selfclosed && !tag.starts_with('!') {
            *open = at;
        }
        after
    }

    /// Every element that fits a selector: tags, `#id`, `.class`, `[name]`, `[name=value]`, and
    /// spaces for “somewhere inside”. No other selector is read.
    pub fn all(&self, selector: &str) -> Vec<Element<'_>> {
        Element { page: self, at: 0 }.all(selector)
    }

    /// The one element that fits.
    #[track_caller]
    pub fn one(&self, selector: &str) -> Element<'_> {
        let found = self.all(selector);
        assert_eq!(found.len(), 1, "elements that fit {selector:?} in: {}", self.words_shown());
        found[0]
    }

    /// Whether any element fits.
    pub fn has(&self, selector: &str) -> bool {
        !self.all(selector).is_empty()
    }

    /// All text of the page's main part, as read: spaces squeezed.
    pub fn words_shown(&self) -> String {
        let main = self.all("main");
        main.first().map_or_else(|| Element { page: self, at: 0 }.text(), |m| m.text())
    }

    /// Fails unless the page shows these words.
    #[track_caller]
    pub fn shows(&self, words: &str) -> &Self {
        let shown = self.words_shown();
        assert!(shown.contains(words), "“{words}” is not in: {shown}");
        self
    }

    /// Fails if the page shows these words.
    #[track_caller]
    pub fn hides(&self, words: &str) -> &Self {
        let shown = self.words_shown();
        assert!(!shown.contains(words), "“{words}” is in: {shown}");
        self
    }

    /// The sentence beside a refused field.
    #[track_caller]
    pub fn problem(&self, field: &str) -> String {
        self.one(&format!("#e-{field}")).text()
    }
}

impl<'a> Element<'a> {
    fn node(self) -> &'a Node {
        &self.page.nodes[self.at]
    }

    /// Tag, in small letters.
    pub fn tag(self) -> &'a str {
        &self.node().tag
    }

    /// An attribute, decoded.
    pub fn attribute(self, name: &str) -> Option<&'a str> {
        self.node().attributes.iter().find(|(n, _)| n == name).map(|(_, v)| v.as_str())
    }

    /// All attributes.
    pub fn attributes(self) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.node().attributes.iter().map(|(n, v)| (n.as_str(), v.as_str()))
    }

    /// The text inside, spaces squeezed.
    pub fn text(self) -> String {
        let mut out = String::new();
        self.gather(&mut out);
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// The text inside, exactly.
    pub fn exact_text(self) -> String {
        self.node().children.iter().fold(String::new(), |mut out, c| {
            let _ = write!(out, "{}", self.page.nodes[*c].text);
            out
        })
    }

    fn gather(self, out: &mut String) {
        let node = self.node();
        if matches!(node.tag.as_str(), "script" | "style") {
            return;
        }
        out.push_str(&node.text);
        for c in &node.children {
            Element { page: self.page, at: *c }.gather(out);
        }
        // text of neighbouring blocks must not run together
        if !matches!(node.tag.as_str(), "" | "b" | "a" | "span" | "i" | "em" | "strong") {
            out.push(' ');
        }
    }

    /// Elements inside that fit a selector.
    pub fn all(self, selector: &str) -> Vec<Element<'a>> {
        let steps: Vec<Step> = split_steps(selector).iter().map(|s| Step::read(s)).collect();
        let mut out = Vec::new();
        self.walk(&mut |e| {
            if fits_path(e, self.at, &steps) {
                out.push(e);
            }
        });
        out
    }

    fn walk(self, visit: &mut impl FnMut(Element<'a>)) {
        for c in &self.node().children {
            let e = Element { page: self.page, at: *c };
            if !e.node().tag.is_empty() {
                visit(e);
                e.walk(visit);
            }
        }
    }
}

/// One part of a selector.
#[derive(Debug, Default)]
struct Step {
    tag: String,
    wanted: Vec<(String, Option<String>)>,
}

impl Step {
    fn read(text: &str) -> Step {
        let mut step = Step::default();
        let start = text.find(['#', '.', '[']).unwrap_or(text.len());
        text[..start].clone_into(&mut step.tag);
        let mut rest = &text[start..];
        while !rest.is_empty() {
            let (kind, body) = rest.split_at(1);
            let end = if kind == "[" {
                body.find(']').unwrap_or(body.len())
            } else {
                body.find(['#', '.', '[']).unwrap_or(body.len())
            };
            let word = &body[..end];
            step.wanted.push(match kind {
                "#" => ("id".to_owned(), Some(word.to_owned())),
                "." => ("class".to_owned(), Some(word.to_owned())),
                _ => match word.split_once('=') {
                    Some((n, v)) => (n.to_owned(), Some(v.trim_matches(['"', '\'']).to_owned())),
                    None => (word.to_owned(), None),
                },
            });
            rest = body.get(end + usize::from(kind == "[")..).unwrap_or("");
        }
        step
    }

    fn fits(&self, e: Element<'_>) -> bool {
        (self.tag.is_empty() || self.tag == "*" || self.tag == e.tag())
            && self.wanted.iter().all(|(name, value)| match (e.attribute(name), value) {
                (None, _) => false,
                (Some(_), None) => true,
                (Some(have), Some(want)) if name == "class" => {
                    have.split_whitespace().any(|c| c == want)
                }
                (Some(have), Some(want)) => have == want,
            })
    }
}

/// Splits a selector at its spaces, those inside brackets left alone.
fn split_steps(selector: &str) -> Vec<String> {
    let mut steps = vec![String::new()];
    let mut inside = false;
    for c in selector.chars() {
        match c {
            '[' => inside = true,
            ']' => inside = false,
            _ => {}
        }
        if c == ' ' && !inside {
            steps.push(String::new());
        } else if let Some(last) = steps.last_mut() {
            last.push(c);
        }
    }
    steps.retain(|s| !s.is_empty());
    steps
}

/// Whether an element fits the last step and its ancestors below `root` the steps before.
fn fits_path(e: Element<'_>, root: usize, steps: &[Step]) -> bool {
    let Some((last, before)) = steps.split_last() else { return false };
    if !last.fits(e) {
        return false;
    }
    let mut left = before;
    let mut at = e.node().parent;
    while let Some((want, rest)) = left.split_last() {
        if at == root || at == 0 {
            return false;
        }
        if want.fits(Element { page: e.page, at }) {
            left = rest;
        }
        at = e.page.nodes[at].parent;
    }
    true
}

fn begins_tag(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next() == Some('<') && chars.next().is_some_and(|c| c.is_ascii_alphabetic() || c == '!')
}

fn is_end(text: &str) -> bool {
    text.strip_prefix("</").is_some_and(|t| t.starts_with(|c: char| c.is_ascii_alphabetic()))
}

/// Where a tag's `>` is; one inside quotes does not count.
fn tag_end(text: &str) -> usize {
    let mut quote = None;
    for (i, c) in text.char_indices() {
        match (quote, c) {
            (None, '>') => return i,
            (None, '"' | '\'') => quote = Some(c),
            (Some(q), c) if c == q => quote = None,
            _ => {}
        }
    }
    text.len()
}

fn attributes(text: &str) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let end = rest.find(|c: char| c == '=' || c.is_whitespace()).unwrap_or(rest.len());
        let name = rest[..end].to_ascii_lowercase();
        rest = rest[end..].trim_start();
        let mut value = String::new();
        if let Some(after) = rest.strip_prefix('=') {
            let after = after.trim_start();
            let quote = after.chars().next().filter(|c| *c == '"' || *c == '\'');
            let (v, r) = match quote {
                Some(q) => after[1..].split_once(q).unwrap_or((&after[1..], "")),
                None => after.split_once(char::is_whitespace).unwrap_or((after, "")),
            };
            value = decode(v);
            rest = r.trim_start();
        }
        if !name.is_empty() {
            out.push((name, value));
        }
    }
    out
}

/// Character references that pages of this program use.
pub fn decode(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let end = rest.find(';').filter(|e| *e <= 10);
        let one = end.and_then(|e| reference(&rest[1..e]));
        if let (Some(c), Some(e)) = (one, end) {
            out.push(c);
            rest = &rest[e + 1..];
        } else {
            out.push('&');
            rest = &rest[1..];
        }
    }
    out + rest
}

fn reference(name: &str) -> Option<char> {
    Some(match name {
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        "nbsp" => '\u{a0}',
        _ => {
            let number = name.strip_prefix('#')?;
            let code = match number.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code)?
        }
    })
}

#[test]
fn the_reader_finds_elements_and_decodes_what_is_written() {
    let page = Html::read(
        r#"<!doctype html><main><form action="/a"><input type=hidden name="t" value="x&quot;&#60;y">
        <textarea name="w">
two
lines</textarea><p id="e-w" class="error big">Nothing <b>here</b> yet.</p></form></main>"#,
    );
    assert_eq!(page.one("form[action=/a] input[name=t]").attribute("value"), Some("x\"<y"));
    assert_eq!(page.one("textarea").exact_text(), "two\nlines");
    assert_eq!(page.problem("w"), "Nothing here yet.");
    assert!(page.has("p.big") && !page.has("p.small") && !page.has("div p"));
}
