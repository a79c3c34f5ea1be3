//! Shared checks of the room's tests: tags balance, text is escaped, nothing forbidden, every
//! coordinate inside its drawing.

/// Strings that break careless markup.
pub(crate) const NASTY: [&str; 8] = [
    "<script>alert(1)</script>",
    "\"><svg onload=x>",
    "' onclick='x",
    "&amp;&lt;&#0;&bogus",
    "]]><![CDATA[",
    "<!-- -->",
    "a\u{0}b\u{1b}c\u{fffe}",
    "\u{202e}5 Ω\t\n\r",
];

/// A tag as read back: name, attributes, and whether it opens, closes or stands alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Tag {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub opens: bool,
    pub closes: bool,
}

/// Reads all tags of a drawing, or says what is wrong: a stray `<`, a bare `&`, an attribute
/// without quotes, tags that do not balance.
pub(crate) fn tags(markup: &str) -> Result<Vec<Tag>, String> {
    let mut found = Vec::new();
    let mut open: Vec<String> = Vec::new();
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        entities(&rest[..at])?;
        let end = rest[at..].find('>').ok_or("tag without end")? + at;
        let tag = read_tag(&rest[at + 1..end])?;
        if tag.closes && !tag.opens {
            let was = open.pop().ok_or(format!("</{}> closes nothing", tag.name))?;
            if was != tag.name {
                return Err(format!("</{}> closes <{was}>", tag.name));
            }
        } else if !tag.closes {
            open.push(tag.name.clone());
        }
        found.push(tag);
        rest = &rest[end + 1..];
    }
    entities(rest)?;
    if open.is_empty() { Ok(found) } else { Err(format!("left open: {open:?}")) }
}

fn read_tag(inside: &str) -> Result<Tag, String> {
    if let Some(name) = inside.strip_prefix('/') {
        return Ok(Tag { name: name.into(), attributes: vec![], opens: false, closes: true });
    }
    let alone = inside.ends_with('/');
    let inside = inside.strip_suffix('/').unwrap_or(inside);
    let (name, mut rest) = inside.split_once(' ').unwrap_or((inside, ""));
    if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric()) {
        return Err(format!("bad tag name {name:?}"));
    }
    let mut attributes = Vec::new();
    while !rest.is_empty() {
        let (key, after) = rest.split_once("=\"").ok_or(format!("bad attribute {rest:?}"))?;
        if !key.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') || key.is_empty() {
            return Err(format!("bad attribute name {key:?}"));
        }
        let (value, after) = after.split_once('"').ok_or("attribute without end")?;
        entities(value)?;
        if attributes.iter().any(|(k, _)| k == key) {
            return Err(format!("attribute {key} twice in <{name}>"));
        }
        attributes.push((key.to_owned(), value.to_owned()));
        rest = after.strip_prefix(' ').unwrap_or(after);
    }
    Ok(Tag { name: name.into(), attributes, opens: true, closes: alone })
}

fn entities(text: &str) -> Result<(), String> {
    if text.contains('>') || text.chars().any(char::is_control) {
        return Err(format!("raw character in {text:?}"));
    }
    for piece in text.split('&').skip(1) {
        let known = ["amp;", "lt;", "gt;", "quot;", "#39;"];
        if !known.iter().any(|k| piece.starts_with(k)) {
            return Err(format!("bare & before {piece:?}"));
        }
    }
    Ok(())
}

/// Asserts that a drawing is well formed and free of what the pages forbid.
pub(crate) fn assert_sound(markup: &str) {
    let all = tags(markup).unwrap_or_else(|e| panic!("{e}\n{markup}"));
    for tag in &all {
        assert!(
            !["script", "style", "foreignObject", "a", "image"].contains(&&*tag.name),
            "{tag:?}"
        );
        for (key, value) in &tag.attributes {
            assert!(key != "style" && !key.starts_with("on"), "{key} in {markup}");
            assert!(key != "href" || value.starts_with("#a-"), "{value} in {markup}");
        }
    }
}

/// Asserts that every coordinate of a drawing with a view box lies inside it, nested arms apart.
/// Percent coordinates must lie between 0 and 100.
pub(crate) fn assert_inside(markup: &str) {
    let all = tags(markup).unwrap_or_else(|e| panic!("{e}"));
    let view: Vec<f64> = all
        .first()
        .and_then(|t| attribute(t, "viewBox"))
        .map(|v| v.split(' ').map(|n| n.parse().unwrap()).collect())
        .unwrap_or_default();
    let mut looked = 0;
    for tag in all.iter().skip(1) {
        for (key, value) in &tag.attributes {
            if let Some(percent) = value.strip_suffix('%') {
                let v: f64 = percent.parse().unwrap();
                assert!((-0.01..=100.01).contains(&v), "{key}={value} in {markup}");
                looked += 1;
            } else if let [x, y, w, h] = view[..] {
                for (px, py) in points(tag, key, value) {
                    assert!(px >= x - 0.01 && px <= x + w + 0.01, "x {px} of {tag:?} in {view:?}");
                    assert!(py >= y - 0.01 && py <= y + h + 0.01, "y {py} of {tag:?} in {view:?}");
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 0, "nothing to look at in {markup}");
}

/// The value of an attribute.
pub(crate) fn attribute<'a>(tag: &'a Tag, key: &str) -> Option<&'a str> {
    tag.attributes.iter().find(|(k, _)| k == key).map(|(_, v)| v.as_str())
}

/// The outermost points an attribute speaks of: circles by their rim, paths by their points.
fn points(tag: &Tag, key: &str, value: &str) -> Vec<(f64, f64)> {
    let of = |k: &str| attribute(tag, k).and_then(|v| v.parse::<f64>().ok());
    match (tag.name.as_str(), key) {
        ("circle", "r") => match (of("cx"), of("cy"), of("r")) {
            (Some(x), Some(y), Some(r)) => vec![(x - r, y - r), (x + r, y + r)],
            _ => vec![],
        },
        ("line", "x1") => {
            of("x1").zip(of("y1")).into_iter().chain(of("x2").zip(of("y2"))).collect()
        }
        ("text" | "svg", "x") => of("x").zip(of("y")).into_iter().collect(),
        ("rect", "width") => match (of("x"), of("y"), of("width"), of("height")) {
            (Some(x), Some(y), Some(w), Some(h)) => vec![(x, y), (x + w, y + h)],
            _ => vec![],
        },
        ("path", "d") => {
            let numbers: Vec<f64> = value
                .split(|c: char| c.is_ascii_alphabetic() || c == ' ')
                .filter(|t| !t.is_empty())
                .map(|t| t.parse().unwrap())
                .collect();
            numbers.chunks(2).filter_map(|p| Some((*p.first()?, *p.get(1)?))).collect()
        }
        _ => vec![],
    }
}

#[test]
fn the_checker_itself_can_fail() {
    assert!(tags("<g><path d=\"M0 0\"/></g>").is_ok());
    for bad in
        ["<g>", "</g>", "<g></p>", "<g a=b/>", "<g>a & b</g>", "<g a=\"1\" a=\"2\"/>", "<g>x>y</g>"]
    {
        assert!(tags(bad).is_err(), "{bad}");
    }
    for bad in
        ["<g style=\"x\"/>", "<script></script>", "<use href=\"http:x\"/>", "<g onload=\"x\"/>"]
    {
        assert!(std::panic::catch_unwind(|| assert_sound(bad)).is_err(), "{bad}");
    }
    let outside = "<svg viewBox=\"0 0 10 10\"><circle cx=\"9\" cy=\"5\" r=\"2\"/></svg>";
    assert!(std::panic::catch_unwind(|| assert_inside(outside)).is_err());
}
