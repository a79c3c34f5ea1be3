//! The key of the pickup map.

use super::{Map, State};
use crate::draw::svg::{El, Path, circle, line};

/// One line of a drawing's key: a small drawing and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyEntry {
    /// The small drawing, hidden from readers of text.
    pub svg: String,
    /// What it means.
    pub words: &'static str,
}

/// The key of the plan: only what occurs in this map.
pub fn key(map: &Map) -> Vec<KeyEntry> {
    let states = [
        (State::PicksUp, "picks up, measured"),
        (State::Open, "open, measured"),
        (State::Unmeasured, "not measured"),
        (State::DeadByDesign, "dead by design"),
    ];
    let mut out = Vec::new();
    for (state, words) in states {
        if map.wheels().any(|w| w.state == state) {
            out.push(KeyEntry { svg: key_svg(state, false), words });
        }
    }
    if map.wheels().any(|w| w.tyre) {
        out.push(KeyEntry { svg: key_svg(State::PicksUp, true), words: "traction tyre" });
    }
    out
}

fn key_svg(state: State, tyre: bool) -> String {
    let root =
        El::new("svg").class("pmap").attr("viewBox", "0 0 34 18").attr("aria-hidden", "true");
    let rim = match state {
        State::PicksUp | State::Open => "rim",
        State::Unmeasured => "rim unlit",
        State::DeadByDesign => "rim design",
    };
    let mut parts = vec![circle(rim, (9.0, 9.0), 7.0)];
    if tyre {
        parts.push(circle("tyre", (9.0, 9.0), 4.0));
        return root.children(&parts).render();
    }
    match state {
        State::PicksUp => parts.push(line("col", (16.0, 9.0), (33.0, 9.0))),
        State::Unmeasured => parts.push(line("col unlit", (16.0, 9.0), (33.0, 9.0))),
        State::DeadByDesign => {}
        State::Open => {
            parts.push(line("col", (16.0, 9.0), (21.0, 9.0)));
            parts.push(line("col", (28.0, 9.0), (33.0, 9.0)));
            parts.push(Path::new().m(18.5, 15.0).l(23.5, 3.0).el("cut"));
            parts.push(Path::new().m(25.5, 15.0).l(30.5, 3.0).el("cut"));
        }
    }
    root.children(&parts).render()
}
