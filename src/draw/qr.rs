//! A QR code as SVG: dark modules on white with the quiet zone around them, whatever the theme, since
//! many readers do not take light on dark.
//!
//! Source: ISO/IEC 18004 (model 2 codes, quiet zone of four modules), from memory; the code itself comes
//! from the `qrcode` crate and is read back by another in the tests.

use super::svg::El;
use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};
use std::fmt::Write as _;

/// Modules left white on every side.
pub const QUIET: usize = 4;

/// Draws a text as a QR code; `name` says what it is for those who cannot see it. A quarter of the code
/// may be dirty or scratched and it still reads (level Q). `None`: the text is too long for a code.
pub fn code(text: &str, name: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q).ok()?;
    let width = code.width();
    let side = width + 2 * QUIET;
    let mut path = String::new();
    for (row, colors) in code.to_colors().chunks(width).enumerate() {
        for (from, length) in runs(colors) {
            let (x, y) = (from + QUIET, row + QUIET);
            // a write to a String cannot fail
            let _ = write!(path, "M{x} {y}h{length}v1h-{length}z");
        }
    }
    let all = side.to_string();
    let paper = El::new("rect").attr("width", &all).attr("height", &all).attr("fill", "#fff");
    let ink = El::new("path").attr("fill", "#000").attr("d", &path);
    let svg = El::new("svg")
        .class("qr")
        .attr("viewBox", &format!("0 0 {side} {side}"))
        .attr("role", "img")
        .attr("shape-rendering", "crispEdges")
        .title(name)
        .child(&paper)
        .child(&ink);
    Some(svg.render())
}

/// Dark runs of a row: where each begins and how long it is.
fn runs(row: &[Color]) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    for (i, color) in row.iter().enumerate() {
        match (color, out.last_mut()) {
            (Color::Light, _) => {}
            (Color::Dark, Some((from, length))) if *from + *length == i => *length += 1,
            (Color::Dark, _) => out.push((i, 1)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{NASTY, tags};

    /// The drawing as modules, read from its path.
    fn modules(svg: &str) -> Vec<Vec<bool>> {
        let side: usize =
            svg.split("viewBox=\"0 0 ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        let mut out = vec![vec![false; side]; side];
        let d = svg.split(" d=\"").nth(1).unwrap().split('"').next().unwrap();
        for run in d.split('M').skip(1) {
            let (start, rest) = run.split_once('h').unwrap();
            let (x, y) = start.split_once(' ').unwrap();
            let (x, y): (usize, usize) = (x.parse().unwrap(), y.parse().unwrap());
            let length: usize = rest.split('v').next().unwrap().parse().unwrap();
            for dark in &mut out[y][x..x + length] {
                *dark = true;
            }
        }
        out
    }

    /// Read by rqrr, which shares no code with what wrote it, at four pixels to a module.
    fn read_back(svg: &str) -> String {
        let modules = modules(svg);
        let side = modules.len() * 4;
        let mut image =
            rqrr::PreparedImage::prepare_from_bitmap(side, side, |x, y| modules[y / 4][x / 4]);
        let grids = image.detect_grids();
        assert_eq!(grids.len(), 1);
        grids[0].decode().unwrap().1
    }

    #[test]
    fn another_program_reads_what_was_written() {
        for text in [
            "http://127.0.0.1:8470/c/1",
            "http://bench.local:8470/c/417",
            "http://[fe80::1ff:fe23:4567:890a]:8470/c/1000000",
            "Größe 0,4 Ω",
        ] {
            assert_eq!(read_back(&code(text, "link").unwrap()), text);
        }
    }

    #[test]
    fn a_quiet_zone_stays_white_and_too_long_a_text_gives_no_code() {
        let modules = modules(&code("x", "x").unwrap());
        let last = modules.len() - QUIET;
        for (y, row) in modules.iter().enumerate() {
            for (x, dark) in row.iter().enumerate() {
                let inside = (QUIET..last).contains(&x) && (QUIET..last).contains(&y);
                assert!(inside || !dark, "{x} {y}");
            }
        }
        assert!(code(&"x".repeat(5000), "x").is_none());
    }

    #[test]
    fn names_are_escaped() {
        for nasty in NASTY {
            tags(&code("x", nasty).unwrap()).unwrap();
        }
    }
}
