//! The wiring list as a drawing: the decoder in the middle, its leads left and right, each wire with its number
//! and colour word, its end named. Readable on a phone; wires off the decoder stand below it.

use super::svg::{El, Path, label, num};

/// Width of the drawing, user units; a phone shows it at about its own size.
const WIDTH: f64 = 360.0;
/// Left and right edge of the decoder.
const BOX: (f64, f64) = (112.0, 248.0);
/// Height of one wire.
const ROW: f64 = 58.0;
/// Letters of an end's name that fit on one line beside the decoder.
const LETTERS: usize = 17;

/// One wire to draw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lead {
    /// `3`; empty where nothing is written for this terminal yet.
    pub number: String,
    /// The terminal, or where a free wire begins: `motor +`.
    pub begins: String,
    /// Where it ends: `brush A`.
    pub ends: String,
    /// Colour as the stylesheet knows it: `red`, `black_white`; empty: not looked at.
    pub colour: String,
    /// The colour in words: `red`.
    pub word: String,
    /// It is only planned: dashed.
    pub planned: bool,
    /// It is in a danger: haloed, with the word.
    pub danger: bool,
}

/// What the drawing shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plan {
    /// Name of the decoder, or `decoder`.
    pub decoder: String,
    /// Leads drawn to the left: track and motor.
    pub left: Vec<Lead>,
    /// Leads drawn to the right: functions, speaker, store.
    pub right: Vec<Lead>,
    /// Wires that are not on the decoder.
    pub free: Vec<Lead>,
}

impl Plan {
    /// The drawing in words, a sentence per wire.
    pub fn words(&self) -> String {
        let all = self.left.iter().chain(&self.right).chain(&self.free);
        let told: Vec<String> = all.map(sentence).collect();
        told.join(" ")
    }
}

/// `Wire 3, orange, motor + to brush A.`
fn sentence(lead: &Lead) -> String {
    if lead.number.is_empty() {
        return format!("{}: nothing written.", lead.begins);
    }
    let planned = if lead.planned { ", planned" } else { "" };
    let danger = if lead.danger { ", danger" } else { "" };
    format!(
        "Wire {}, {}, {} to {}{planned}{danger}.",
        lead.number, lead.word, lead.begins, lead.ends
    )
}

/// The drawing. `None` without a single lead.
pub fn wiring_svg(plan: &Plan) -> Option<String> {
    let rows = plan.left.len().max(plan.right.len());
    if rows + plan.free.len() == 0 {
        return None;
    }
    let top = 10.0;
    let name = wrapped(&plan.decoder, 19);
    let head = 16.0 + 15.0 * real(name.len());
    let box_height = head + ROW * real(rows) + 8.0;
    let free_top = top + box_height + 30.0;
    let free_height = if plan.free.is_empty() { 0.0 } else { 22.0 + 56.0 * real(plan.free.len()) };
    let height = top + box_height + free_height + 14.0;
    let mut root = El::new("svg")
        .class("wd")
        .num("width", WIDTH)
        .num("height", height)
        .attr("viewBox", &format!("0 0 {} {}", num(WIDTH), num(height)))
        .attr("role", "img")
        .title("Wiring")
        .desc(&plan.words());
    let rect = El::new("rect")
        .class("box")
        .num("x", BOX.0)
        .num("y", top)
        .num("width", BOX.1 - BOX.0)
        .num("height", box_height);
    root = root.child(&rect);
    for (i, line) in name.iter().enumerate() {
        root = root.child(&label("m b", (WIDTH / 2.0, top + 18.0 + 15.0 * real(i)), line));
    }
    for (leads, side) in [(&plan.left, Side::Left), (&plan.right, Side::Right)] {
        for (i, lead) in leads.iter().enumerate() {
            let y = top + head + ROW * (real(i) + 0.5);
            root = root.children(&drawn(lead, side, y));
        }
    }
    if !plan.free.is_empty() {
        root = root.child(&label("q", (2.0, free_top), "not on the decoder"));
        for (i, lead) in plan.free.iter().enumerate() {
            root = root.children(&free(lead, free_top + 28.0 + 56.0 * real(i)));
        }
    }
    Some(root.render())
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Left,
    Right,
}

/// A lead of the decoder: terminal inside, wire outwards, colour word above it, end below.
fn drawn(lead: &Lead, side: Side, y: f64) -> Vec<El> {
    let (edge, out, class, inside) = match side {
        Side::Left => (BOX.0, 2.0, "", BOX.0 + 8.0),
        Side::Right => (BOX.1, WIDTH - 2.0, "e", BOX.1 - 8.0),
    };
    let mut els = line(lead, (edge, y), (out, y));
    els.push(pad(edge, y));
    els.push(label(class, (inside, y + 4.5), &lead.begins));
    if lead.number.is_empty() {
        els.push(label(&format!("q {class}"), (out, y - 7.0), "nothing written"));
        return els;
    }
    let flag = if lead.danger { "ft " } else { "" };
    els.push(label(&format!("{flag}b {class}"), (out, y - 7.0), &tagged(lead)));
    for (i, text) in wrapped(&lead.ends, LETTERS).iter().take(2).enumerate() {
        els.push(label(&format!("q {class}"), (out, y + 15.0 + 12.0 * real(i)), text));
    }
    els
}

/// A wire off the decoder: from end to end over the whole width.
fn free(lead: &Lead, y: f64) -> Vec<El> {
    let mut els = line(lead, (2.0, y), (WIDTH - 2.0, y));
    els.push(pad(6.0, y));
    els.push(pad(WIDTH - 6.0, y));
    let class = if lead.danger { "ft b m" } else { "b m" };
    els.push(label(class, (WIDTH / 2.0, y - 7.0), &tagged(lead)));
    let half = 2 * LETTERS - 7;
    for (at, class, text) in [(2.0, "q", &lead.begins), (WIDTH - 2.0, "q e", &lead.ends)] {
        for (i, piece) in wrapped(text, half).iter().take(2).enumerate() {
            els.push(label(class, (at, y + 16.0 + 12.0 * real(i)), piece));
        }
    }
    els
}

/// `3 orange`, `3 orange, danger`.
fn tagged(lead: &Lead) -> String {
    let danger = if lead.danger { " danger" } else { "" };
    let number = &lead.number;
    if lead.word.is_empty() {
        format!("{number}{danger}")
    } else if lead.danger && lead.word.chars().count() > 8 {
        // beside the decoder there is room for about this much
        let short: String = lead.word.chars().take(8).collect();
        format!("{number} {short}.{danger}")
    } else {
        format!("{number} {}{danger}", lead.word)
    }
}

/// The wire: a halo where it is in a danger, an ink casing, its colour inside. Planned: dashed.
fn line(lead: &Lead, from: (f64, f64), to: (f64, f64)) -> Vec<El> {
    let path = Path::new().m(from.0, from.1).l(to.0, to.1);
    if lead.number.is_empty() {
        return vec![path.el("none")];
    }
    let dash = if lead.planned { " plan" } else { "" };
    let mut out = Vec::new();
    if lead.danger {
        out.push(path.el("halo"));
    }
    out.push(path.el(&format!("case{dash}")));
    let known = lead.colour.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    let colour = if lead.colour.is_empty() || !known { "unknown" } else { &lead.colour };
    out.push(path.el(&format!("w w-{colour}{dash}")));
    out
}

fn pad(x: f64, y: f64) -> El {
    El::new("rect")
        .class("pad")
        .num("x", x - 3.5)
        .num("y", y - 3.5)
        .num("width", 7.0)
        .num("height", 7.0)
}

/// A text in lines of at most so many letters, broken at spaces; a word that is longer is cut with “…”.
fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let cut = |word: &str| -> String {
        if word.chars().count() <= letters {
            return word.to_owned();
        }
        let mut short: String = word.chars().take(letters.saturating_sub(1)).collect();
        short.push('…');
        short
    };
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(cut(word)),
        }
    }
    if lines.len() > 2 {
        lines.truncate(2);
        if let Some(last) = lines.last_mut() {
            while last.chars().count() + 1 > letters {
                last.pop();
            }
            last.push('…');
        }
    }
    lines
}

/// A small count as a coordinate.
fn real(n: usize) -> f64 {
    u16::try_from(n).map_or(f64::from(u16::MAX), f64::from)
}

/// A line of the key: how it looks and what it says.
pub fn key(plan: &Plan) -> Vec<(String, &'static str)> {
    let all = || plan.left.iter().chain(&plan.right).chain(&plan.free);
    let sample = |els: &[El]| {
        El::new("svg")
            .class("wd")
            .attr("viewBox", "0 0 34 18")
            .attr("aria-hidden", "true")
            .children(els)
            .render()
    };
    let one = |number: &str, planned, danger| Lead {
        number: number.to_owned(),
        begins: String::new(),
        ends: String::new(),
        colour: "grey".to_owned(),
        word: String::new(),
        planned,
        danger,
    };
    let shown = |lead: &Lead| sample(&line(lead, (1.0, 9.0), (33.0, 9.0)));
    let written = || all().filter(|l| !l.number.is_empty());
    let mut out = Vec::new();
    if written().any(|l| !l.planned) {
        out.push((shown(&one("1", false, false)), "in the model"));
    }
    if written().any(|l| l.planned) {
        out.push((shown(&one("1", true, false)), "planned"));
    }
    if written().any(|l| l.danger) {
        out.push((shown(&one("1", false, true)), "in a danger"));
    }
    if all().any(|l| l.number.is_empty()) {
        out.push((shown(&one("", false, false)), "wanted, nothing written"));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, assert_inside, assert_sound};

    fn lead(number: &str, begins: &str, ends: &str, colour: &str) -> Lead {
        Lead {
            number: number.into(),
            begins: begins.into(),
            ends: ends.into(),
            colour: colour.into(),
            word: colour.replace('_', " and "),
            planned: false,
            danger: false,
        }
    }

    fn plan() -> Plan {
        Plan {
            decoder: "decoder with sound, 1.00 A".into(),
            left: vec![
                lead("1", "track right", "right rail, front wiper of the rear bogie", "red"),
                lead("3", "motor +", "brush A", "orange"),
                lead("", "motor −", "", ""),
            ],
            right: vec![Lead { planned: true, ..lead("9", "speaker A", "tag one", "black_white") }],
            free: vec![Lead { danger: true, ..lead("5", "right rail", "brush A", "") }],
        }
    }

    #[test]
    fn every_wire_is_drawn_with_number_colour_word_and_end() {
        let out = wiring_svg(&plan()).unwrap();
        assert_sound(&out);
        assert_inside(&out);
        for text in
            [">1 red<", ">3 orange<", ">brush A<", ">nothing written<", ">9 black and white<"]
        {
            assert!(out.contains(text), "{text} in {out}");
        }
        assert!(out.contains(">5 danger<"));
        assert!(out.contains("w w-unknown"), "a colour nobody looked at has no colour");
        assert!(out.contains("Wire 9, black and white, speaker A to tag one, planned."));
        assert!(out.contains("motor −: nothing written."));
        assert_eq!(out, wiring_svg(&plan()).unwrap());
    }

    #[test]
    fn an_empty_plan_is_no_drawing() {
        assert_eq!(wiring_svg(&Plan::default()), None);
        assert!(key(&Plan::default()).is_empty());
    }

    #[test]
    fn what_people_write_stays_text_and_inside() {
        for nasty in NASTY {
            let mut p = plan();
            p.decoder = nasty.into();
            for l in p.left.iter_mut().chain(&mut p.free) {
                (l.ends, l.begins, l.word) = (nasty.into(), nasty.into(), nasty.into());
                l.colour = nasty.into();
            }
            let out = wiring_svg(&p).unwrap();
            assert_sound(&out);
            assert_inside(&out);
        }
    }

    #[test]
    fn long_names_are_broken_at_spaces_and_cut_once() {
        assert_eq!(wrapped("right rail, front wiper", 17), ["right rail, front", "wiper"]);
        assert_eq!(wrapped("a", 17), ["a"]);
        let long = wrapped("right rail, front wiper of the rear bogie under the cab", 17);
        assert_eq!(long.len(), 2);
        assert!(long[1].ends_with('…') && long[1].chars().count() <= 17, "{long:?}");
        assert_eq!(wrapped("Donaudampfschifffahrt", 8), ["Donauda…"]);
        assert!(wrapped("", 8).is_empty());
    }

    #[test]
    fn the_key_holds_what_occurs() {
        let words: Vec<_> = key(&plan()).into_iter().map(|(_, w)| w).collect();
        assert_eq!(words, ["in the model", "planned", "in a danger", "wanted, nothing written"]);
        for (svg, _) in key(&plan()) {
            assert_sound(&svg);
        }
    }
}
