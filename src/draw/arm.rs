//! Aspects as signal arms. An arm is read by angle and end first, colour last, and its word always
//! stands beside it.

use super::svg::El;
use crate::aspect::Aspect;

/// How large an arm is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// No size of its own: the style sheet of its place decides.
    Placed,
    /// 24 px, in tables.
    Table,
    /// 30 px, on the shelf.
    Shelf,
    /// 64 px, on the line.
    Line,
}

impl Size {
    fn px(self) -> Option<f64> {
        match self {
            Size::Placed => None,
            Size::Table => Some(24.0),
            Size::Shelf => Some(30.0),
            Size::Line => Some(64.0),
        }
    }
}

/// The hidden drawing that holds the four arms as symbols `a-danger`, `a-caution`, `a-clear` and
/// `a-unlit`. Goes once into every page, before the first arm.
pub fn symbols() -> String {
    let all = [Aspect::Danger, Aspect::Caution, Aspect::Clear, Aspect::Unlit];
    let defs = El::new("svg").class("defs").attr("aria-hidden", "true").attr("focusable", "false");
    defs.children(&all.map(symbol)).render()
}

/// The reference of an aspect's symbol, for `<use href>`.
pub(crate) fn href(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Clear => "#a-clear",
        Aspect::Caution => "#a-caution",
        Aspect::Unlit => "#a-unlit",
        Aspect::Danger => "#a-danger",
    }
}

/// An arm without its word, hidden from readers of text. The caller writes the word beside it.
pub fn arm(aspect: Aspect, size: Size) -> String {
    let mut el = El::new("svg").attr("aria-hidden", "true");
    if let Some(px) = size.px() {
        el = el.num("width", px).num("height", px);
    }
    el.child(&El::new("use").attr("href", href(aspect))).render()
}

/// An arm inside another drawing: a box of `size` user units with its top left at `(x, y)`.
pub(crate) fn arm_at(aspect: Aspect, (x, y): (f64, f64), size: f64) -> El {
    let place = El::new("svg").num("x", x).num("y", y).num("width", size).num("height", size);
    place.child(&El::new("use").attr("href", href(aspect)))
}

/// An arm and its word, as they stand in tables and text.
pub fn asp(aspect: Aspect) -> String {
    with_word(aspect, "asp")
}

/// An arm and its word that have just come up: the arm swings once.
pub fn asp_new(aspect: Aspect) -> String {
    with_word(aspect, "asp new")
}

/// The gates of one conversion as a row of arms: name above, word below.
pub fn five(gates: &[(&str, Aspect)]) -> String {
    let list = El::new("ol").class("five").attr("aria-label", "Gates");
    let items: Vec<El> = gates
        .iter()
        .map(|(name, aspect)| {
            let sig = El::new("span").class("sig").child(
                &El::new("svg")
                    .attr("aria-hidden", "true")
                    .child(&El::new("use").attr("href", href(*aspect))),
            );
            El::new("li")
                .child(&sig)
                .child(&El::new("b").text(name))
                .text(" ")
                .child(&El::new("span").text(aspect.word()))
        })
        .collect();
    list.children(&items).render()
}

fn with_word(aspect: Aspect, class: &str) -> String {
    let arm = El::new("svg")
        .attr("aria-hidden", "true")
        .child(&El::new("use").attr("href", href(aspect)));
    El::new("span").class(class).child(&arm).text(aspect.word()).render()
}

/// One arm in a box of 30 by 30: post, lamp on the left, arm pivoting at (10, 16).
fn symbol(aspect: Aspect) -> El {
    let path = |class: &str, d: &str| El::new("path").class(class).attr("d", d);
    let lamp =
        |class: &str| El::new("circle").class(class).num("cx", 5.2).num("cy", 16.0).num("r", 2.8);
    let post = path("post", "M10 27V16M6 27h8");
    let turned = |angle: &str| El::new("g").attr("transform", angle);
    let parts = match aspect {
        Aspect::Danger => vec![
            post,
            lamp("arm ad"),
            path("arm ad", "M9 12.8H27V19.2H9z"),
            path("stripe", "M20 13.4h3v5.2h-3z"),
        ],
        Aspect::Caution => vec![
            post,
            lamp("arm ac"),
            turned("rotate(-45 10 16)")
                .child(&path("arm ac", "M9 12.8H29.5L26.9 16 29.5 19.2H9z"))
                .child(&path("chev", "M23.2 13.4 21 16l2.2 2.6")),
        ],
        Aspect::Clear => vec![
            post,
            lamp("arm ak"),
            turned("rotate(-74 10 16)")
                .child(&path("arm ak", "M9 12.8H26V19.2H9z"))
                .child(&path("stripe", "M19.4 13.4h2.8v5.2h-2.8z")),
        ],
        Aspect::Unlit => vec![
            path("post", "M10 27v-7.6M6 27h8"),
            lamp("arm au"),
            path("arm au", "M9 12.8H27V19.2H9z"),
        ],
    };
    let id = href(aspect).trim_start_matches('#');
    El::new("symbol").attr("id", id).attr("viewBox", "0 -2 30 30").children(&parts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_sound, attribute, tags};

    const ALL: [Aspect; 4] = [Aspect::Danger, Aspect::Caution, Aspect::Clear, Aspect::Unlit];

    #[test]
    fn every_arm_points_at_a_symbol_that_is_there() {
        let defs = symbols();
        assert_sound(&defs);
        let ids: Vec<String> = tags(&defs)
            .unwrap()
            .iter()
            .filter_map(|t| attribute(t, "id").map(str::to_owned))
            .collect();
        assert_eq!(ids.len(), 4);
        for aspect in ALL {
            assert_sound(&arm(aspect, Size::Table));
            assert!(ids.contains(&href(aspect)[1..].to_owned()));
        }
    }

    #[test]
    fn the_word_stands_beside_its_arm() {
        for aspect in ALL {
            for markup in [asp(aspect), asp_new(aspect), five(&[("cut", aspect)])] {
                assert_sound(&markup);
                assert!(
                    markup.contains(&format!(">{}<", aspect.word()))
                        || markup.ends_with(&format!("{}</span>", aspect.word()))
                );
                assert!(markup.contains(href(aspect)));
            }
        }
    }

    #[test]
    fn unlit_is_never_drawn_filled() {
        let defs = symbols();
        let unlit = defs.split("a-unlit").nth(1).unwrap();
        assert!(!unlit.contains("stripe") && !unlit.contains("ak") && unlit.contains("arm au"));
    }

    #[test]
    fn a_placed_arm_has_no_size_and_a_sized_one_has() {
        assert_eq!(
            arm(Aspect::Clear, Size::Placed),
            r##"<svg aria-hidden="true"><use href="#a-clear"/></svg>"##
        );
        assert!(arm(Aspect::Clear, Size::Line).contains(r#"width="64" height="64""#));
    }

    #[test]
    fn gate_names_are_escaped() {
        for nasty in NASTY {
            assert_sound(&five(&[(nasty, Aspect::Unlit)]));
        }
    }
}
