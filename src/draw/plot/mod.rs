//! The plots of an answer, drawn: charts, strips, stacks, resistors, each with its words, its key and
//! its numbers as tables.

mod axes;
mod chart;
mod tables;

#[cfg(test)]
mod tests;

use super::bar::Bar;
use super::{arm, bands, strip};
use crate::calc::plot::{Plot, Stack, Stacks};
use crate::units::{amps, percent_down};

/// A table of a picture's numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What it holds.
    pub caption: String,
    /// Heads of its columns.
    pub heads: Vec<String>,
    /// Its rows; the first cell names the row.
    pub rows: Vec<Vec<String>>,
}

/// One line of a key: a small drawing and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Key {
    /// The small drawing, hidden from readers of text.
    pub svg: String,
    /// What it means.
    pub words: String,
}

/// One bar of a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lane {
    /// What is compared.
    pub name: String,
    /// Arm and word.
    pub asp: String,
    /// The bar.
    pub svg: String,
    /// The bar in words.
    pub words: String,
}

/// A plot, drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Title.
    pub title: String,
    /// The drawing; empty where it is made of lanes.
    pub svg: String,
    /// The drawing in words.
    pub words: String,
    /// Its bars, where it is made of bars.
    pub lanes: Vec<Lane>,
    /// Its key.
    pub key: Vec<Key>,
    /// Its numbers.
    pub tables: Vec<Table>,
}

/// Draws a plot.
pub fn picture(plot: &Plot) -> Picture {
    match plot {
        Plot::Chart(chart) => chart::picture(chart),
        Plot::Strip(s) => strip::picture(s),
        Plot::Stacks(s) => stacks(s),
        Plot::Resistor(r) => bands::picture(r),
    }
}

/// Draws several.
pub fn pictures(plots: &[Plot]) -> Vec<Picture> {
    plots.iter().map(picture).collect()
}

/// A bar for each rating and case, all on one scale.
fn stacks(all: &Stacks) -> Picture {
    let sum = |s: &Stack| s.parts.iter().filter_map(|p| p.amps_a).sum::<f64>();
    let ends = all.stacks.iter().map(|s| sum(s).max(s.rating_a.unwrap_or(0.0)));
    let end = ends.fold(0.0, f64::max);
    let key = "Ink: measured. Dashed: from a data sheet, or a guess. Notch: what we want to stay \
               under. Thick end: the rating.";
    Picture {
        title: all.title.clone(),
        svg: String::new(),
        words: [all.says.as_str(), key].join(" ").trim_start().to_owned(),
        lanes: all.stacks.iter().map(|s| lane(s, end * 1.02)).collect(),
        key: Vec::new(),
        tables: vec![stack_table(all)],
    }
}

/// One bar.
fn lane(stack: &Stack, end: f64) -> Lane {
    let mut bar = Bar::new(&stack.name, "A", 2).end(end);
    for part in &stack.parts {
        let Some(amps) = part.amps_a else { continue };
        bar = if part.measured {
            bar.measured(&part.name, amps)
        } else {
            bar.planned(&part.name, amps)
        };
    }
    if let Some(rating) = stack.rating_a {
        bar = bar.limit(rating);
        if stack.wanted > 0.0 {
            bar = bar.want(rating * (1.0 - stack.wanted));
        }
    }
    let unknown = stack.parts.iter().filter(|p| p.amps_a.is_none()).map(|p| p.name.as_str());
    let unknown: Vec<&str> = unknown.collect();
    let mut words = bar.words();
    if stack.rating_a.is_none() {
        words.push_str(" The rating is not given.");
    }
    if !unknown.is_empty() {
        words = format!("{words} Not known: {}.", unknown.join(", "));
    }
    Lane { name: super::capital(&stack.name), asp: arm::asp(stack.aspect), svg: bar.svg(), words }
}

/// The stacks as a table.
fn stack_table(all: &Stacks) -> Table {
    let row = |s: &Stack| {
        let known: f64 = s.parts.iter().filter_map(|p| p.amps_a).sum();
        let whole = s.parts.iter().all(|p| p.amps_a.is_some());
        let demand = if whole { amps(known) } else { format!("at least {}", amps(known)) };
        let left = s.left_at_worst.map(percent_down);
        vec![
            s.name.clone(),
            demand,
            s.rating_a.map_or("not given".to_owned(), amps),
            left.unwrap_or_else(|| "not known".to_owned()),
        ]
    };
    Table {
        caption: "Demand against each rating".to_owned(),
        heads: ["Rating", "Demand", "May carry", "Left at worst"].map(str::to_owned).to_vec(),
        rows: all.stacks.iter().map(row).collect(),
    }
}
