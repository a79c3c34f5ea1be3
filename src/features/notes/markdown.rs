//! Markdown to safe HTML: raw HTML is shown as text, links go to web or mail only, no pictures.

use pulldown_cmark::{CowStr, Event, Options, Parser, Tag, TagEnd, html};

/// Renders a note. The result is cleaned a second time by an allowlist, so that a fault in one of
/// the two layers is not enough to run anything.
pub fn render(text: &str) -> String {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let events = Parser::new_ext(text, options).map(tame);
    let mut out = String::with_capacity(text.len() * 2);
    html::push_html(&mut out, events);
    ammonia::Builder::default()
        .url_schemes(["http", "https", "mailto"].into())
        .link_rel(Some("noopener noreferrer nofollow"))
        .rm_tags(["img"])
        .clean(&out)
        .to_string()
}

/// Raw HTML becomes text, pictures become their words, headings start below the page's own.
fn tame(event: Event<'_>) -> Event<'_> {
    match event {
        Event::Html(raw) | Event::InlineHtml(raw) => Event::Text(raw),
        Event::Start(Tag::Image { .. }) => Event::Start(Tag::Emphasis),
        Event::End(TagEnd::Image) => Event::End(TagEnd::Emphasis),
        Event::Start(Tag::Heading { .. }) => Event::Start(Tag::Heading {
            level: pulldown_cmark::HeadingLevel::H3,
            id: None,
            classes: vec![],
            attrs: vec![],
        }),
        Event::End(TagEnd::Heading(_)) => {
            Event::End(TagEnd::Heading(pulldown_cmark::HeadingLevel::H3))
        }
        Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
            let dest_url = if allowed(&dest_url) { dest_url } else { CowStr::Borrowed("") };
            Event::Start(Tag::Link { link_type, dest_url, title, id })
        }
        other => other,
    }
}

fn allowed(url: &str) -> bool {
    let lower = url.trim().to_ascii_lowercase();
    ["http://", "https://", "mailto:"].iter().any(|scheme| lower.starts_with(scheme))
}

#[cfg(test)]
mod tests {
    use super::render;

    #[test]
    fn plain_marks_work() {
        let html = render("# Brush\n\nlift the *keep* plate\n\n- screw\n- spring");
        assert!(
            html.contains("<h3>Brush</h3>")
                && html.contains("<em>keep</em>")
                && html.contains("<li>screw</li>")
        );
    }

    #[test]
    fn nothing_in_a_note_can_run_or_fetch() {
        for nasty in [
            "<script>alert(1)</script>",
            "<img src=x onerror=alert(1)>",
            "[a](javascript:alert(1))",
            "[a](JaVaScRiPt:alert(1))",
            "[a](data:text/html;base64,PHNjcmlwdD4=)",
            "![a](http://example.org/x.png)",
            "<svg onload=alert(1)>",
            "<iframe src=http://example.org></iframe>",
            "<a href=\"javascript:alert(1)\">x</a>",
            "```\n<script>\n```",
            "<style>*{display:none}</style>",
            "[a]: javascript:alert(1)\n[a]",
            "<http://example.org/\" onmouseover=\"alert(1)>",
        ] {
            let html = render(nasty).to_ascii_lowercase();
            for bad in [
                "<script",
                "<img",
                "<svg",
                "<iframe",
                "<style",
                "<a href=\"javascript",
                "<a href=\"data",
            ] {
                assert!(!html.contains(bad), "{nasty} gave {html}");
            }
            let tags = html.split('<').skip(1).filter_map(|t| t.split('>').next());
            for tag in tags {
                assert!(!tag.contains(" on"), "{nasty} gave {html}");
            }
        }
    }
}
