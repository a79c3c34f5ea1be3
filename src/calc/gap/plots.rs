//! What the way over dead lengths is drawn from.

use super::{Input, Output, Segment};
use crate::calc::plot::{Lane, Piece, Plot, Strip};

/// Longest list of pieces that is drawn, of one lane.
const MOST_PIECES: usize = 400;

/// The strip; nothing where no wheel is known.
pub(super) fn all(input: &Input, output: &Output) -> Vec<Plot> {
    if input.wheels.is_empty() || output.segments.is_empty() {
        return Vec::new();
    }
    let lanes = vec![
        lane("left rail", output, |s| s.left_wheels > 0),
        lane("right rail", output, |s| s.right_wheels > 0),
        lane("supply", output, |s| s.left_wheels > 0 && s.right_wheels > 0),
    ];
    let strip = Strip {
        title: "The locomotive over the dead lengths".to_owned(),
        wheels: input.wheels.clone(),
        dead: output.dead.clone(),
        at_mm: worst(output),
        lanes,
    };
    vec![Plot::Strip(strip)]
}

/// Middle of the longest break; of the whole travel where there is none.
fn worst(output: &Output) -> f64 {
    let longest = output
        .breaks
        .iter()
        .max_by(|a, b| (a.to_mm - a.from_mm).total_cmp(&(b.to_mm - b.from_mm)))
        .map(|b| f64::midpoint(b.from_mm, b.to_mm));
    let first = output.segments.first().map_or(0.0, |s| s.from_mm);
    let last = output.segments.last().map_or(0.0, |s| s.to_mm);
    longest.unwrap_or(f64::midpoint(first, last))
}

/// One lane; neighbouring pieces of a kind are one.
fn lane(name: &str, output: &Output, contact: impl Fn(&Segment) -> bool) -> Lane {
    let mut pieces: Vec<Piece> = Vec::new();
    for segment in &output.segments {
        let now = contact(segment);
        match pieces.last_mut() {
            Some(last) if last.contact == now => last.to_mm = segment.to_mm,
            _ => {
                let (from_mm, to_mm) = (segment.from_mm, segment.to_mm);
                pieces.push(Piece { from_mm, to_mm, contact: now });
            }
        }
    }
    pieces.truncate(MOST_PIECES);
    Lane { name: name.to_owned(), pieces }
}
