//! Parts in words, and as rows on the Parts sheet, the Overview and in the drawer.

use super::model::{Part, Size, State};
use crate::choice::Choice;
use crate::db::Millis;
use crate::draw::awaited::{Axis, Days};
use crate::features::conversions::model::{thousandths, um_to_mm};
use crate::features::gates::view::At;
use crate::units::{Rounding, fixed, grams};
use crate::web::when;

/// A part that is awaited, as the Overview shows it.
#[derive(Debug, Clone)]
pub struct AwaitedRow {
    /// Address of its page.
    pub href: String,
    /// Name, with the pieces where there are several.
    pub name: String,
    /// `shipped 9 Nov`.
    pub state: String,
    /// `2 Dec`, or that no day was promised.
    pub promised: String,
    /// `overdue by 3 days`; empty where it is not.
    pub overdue: String,
    /// The gate it holds up.
    pub holds_up: String,
}

/// A part on the Parts sheet.
#[derive(Debug, Clone)]
pub struct GoodsView {
    /// Number.
    pub no: i64,
    /// Address of its page.
    pub href: String,
    /// Name, with the pieces where there are several.
    pub name: String,
    /// Sizes, days, gate, in one line.
    pub facts: String,
    /// Its line on the axis; empty once it is fitted, dead or returned.
    pub line: String,
    /// What matters most: the promised day, or the state.
    pub due: String,
    /// What stands below it.
    pub due_small: String,
    /// Like ones in the drawer: address and words.
    pub have: Vec<(String, String)>,
}

/// How a promised day stands to today.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Due {
    /// So many days to come.
    In(i64),
    /// Today.
    Today,
    /// So many days ago.
    Overdue(i64),
}

/// How a promised day stands to today; both as Julian days.
pub fn due(promised: i32, today: i32) -> Due {
    match i64::from(promised) - i64::from(today) {
        0 => Due::Today,
        n if n > 0 => Due::In(n),
        n => Due::Overdue(-n),
    }
}

impl Due {
    /// `in 7 days`, `today`, `overdue by 3 days`.
    pub fn words(self) -> String {
        let days = |n: i64| if n == 1 { "1 day".to_owned() } else { format!("{n} days") };
        match self {
            Due::In(n) => format!("in {}", days(n)),
            Due::Today => "today".to_owned(),
            Due::Overdue(n) => format!("overdue by {}", days(n)),
        }
    }
}

/// The Julian day of a moment.
pub fn julian(ms: Millis, at: At) -> i32 {
    when::local(ms, at.offset).date().to_julian_day()
}

/// Days of a part for its line.
pub fn days(p: &Part, at: At) -> Days {
    let day = |ms: Option<Millis>| ms.map(|ms| julian(ms, at));
    let ordered = p.ordered_at();
    let shipped = if p.state.is_wanted() { None } else { p.since(State::Shipped) };
    Days {
        ordered: day(ordered),
        shipped: day(shipped.filter(|s| ordered.is_none_or(|o| *s >= o))),
        arrived: day(p.arrived_at()),
        promised: day(p.draft.promised_at.filter(|_| p.state.is_on_the_way())),
    }
}

/// `Store cells, 6`.
pub fn name(p: &Part) -> String {
    let d = &p.draft;
    if d.quantity == 1 { d.name.clone() } else { format!("{}, {}", d.name, d.quantity) }
}

/// `shipped 9 Nov`.
pub fn state(p: &Part, at: At) -> String {
    let day = p.since(p.state).map(|ms| when::day(ms, at.now, at.offset)).unwrap_or_default();
    format!("{} {day}", p.state.label()).trim().to_owned()
}

/// `24.6 × 15.2 × 5.4 mm`, `⌀ 6.3 × 12.0 mm`; empty where nothing is known.
pub fn size(s: &Size) -> String {
    let mm = |um: Option<i64>| um.map(|um| fixed(um_to_mm(um), 1, Rounding::Up));
    let round = mm(s.diameter_um).map(|d| format!("⌀ {d}"));
    let sides = [round, mm(s.length_um), mm(s.width_um), mm(s.height_um)];
    let sides: Vec<String> = sides.into_iter().flatten().collect();
    if sides.is_empty() { String::new() } else { format!("{}\u{a0}mm", sides.join(" × ")) }
}

/// `28 g`; below ten grams with one decimal.
pub fn mass(mg: i64) -> String {
    let g = thousandths(mg);
    if g < 10.0 { format!("{}\u{a0}g", fixed(g, 1, Rounding::Up)) } else { grams(g) }
}

/// `84.20 EUR`.
pub fn money(cents: i64, currency: &str) -> String {
    format!("{}.{:02}\u{a0}{currency}", cents / 100, cents % 100)
}

/// Rows for the Overview: what is ordered or shipped, the soonest promised first.
pub fn awaited(parts: &[Part], at: At) -> Vec<AwaitedRow> {
    let mut due_parts: Vec<&Part> = parts.iter().filter(|p| p.state.is_on_the_way()).collect();
    due_parts.sort_by_key(|p| (p.draft.promised_at.unwrap_or(Millis::MAX), p.no));
    due_parts
        .into_iter()
        .map(|p| {
            let promised = p.draft.promised_at;
            let late = promised.map(|ms| due(julian(ms, at), julian(at.now, at)));
            AwaitedRow {
                href: format!("/parts/{}", p.no),
                name: name(p),
                state: state(p, at),
                promised: promised
                    .map_or("not said".to_owned(), |ms| when::day(ms, at.now, at.offset)),
                overdue: match late {
                    Some(d @ Due::Overdue(_)) => d.words(),
                    _ => String::new(),
                },
                holds_up: p.draft.blocks.map_or("nothing", |g| g.label()).to_owned(),
            }
        })
        .collect()
}

/// What stands large at the right of a part, and what below it.
fn due_words(p: &Part, at: At) -> (String, String) {
    let day = |ms: Option<Millis>| ms.map(|ms| when::day(ms, at.now, at.offset));
    let since = day(p.since(p.state)).unwrap_or_default();
    match (p.state.is_on_the_way(), p.draft.promised_at) {
        (true, Some(promised)) => {
            let words = due(julian(promised, at), julian(at.now, at)).words();
            (when::day(promised, at.now, at.offset), format!("promised, {words}"))
        }
        (true, None) => (p.state.label().to_owned(), format!("{since}, no day promised")),
        _ => (p.state.label().to_owned(), since),
    }
}

/// The line below a part's name: sizes, the days behind it, supplier, gate.
fn facts(p: &Part, at: At) -> String {
    let day = |s: State| {
        let ms = if s == State::Ordered { p.ordered_at() } else { p.since(s) };
        ms.map(|ms| format!("{} {}", s.label(), when::day(ms, at.now, at.offset)))
    };
    let behind: Vec<String> = [State::Ordered, State::Shipped, State::Arrived]
        .into_iter()
        .filter(|s| *s != p.state || p.state.is_on_the_way())
        .filter(|_| !p.state.is_wanted())
        .filter_map(day)
        .collect();
    let ratings: Vec<String> = p
        .draft
        .ratings
        .iter()
        .take(2)
        .map(|r| format!("{} {}\u{a0}{}", r.name, r.typed, r.unit).trim().to_owned())
        .collect();
    let blocks = p.draft.blocks.map(|g| format!("holds up {}", g.label())).unwrap_or_default();
    let from = if p.supplier.is_empty() { String::new() } else { format!("from {}", p.supplier) };
    [size(&p.draft.size), ratings.join(", "), behind.join(", "), from, blocks]
        .into_iter()
        .filter(|f| !f.is_empty())
        .collect::<Vec<_>>()
        .join(" · ")
}

/// A part made ready for the sheet.
pub fn goods(p: &Part, axis: &Axis, at: At) -> GoodsView {
    let (due, due_small) = due_words(p, at);
    // what is in the model, or out of use, is no longer a matter of days
    let over = matches!(p.state, State::Fitted | State::Dead | State::Returned);
    GoodsView {
        no: p.no,
        href: format!("/parts/{}", p.no),
        name: name(p),
        facts: facts(p, at),
        line: if over { String::new() } else { axis.line(&days(p, at)) },
        due,
        due_small,
        have: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_promised_day_is_to_come_today_or_overdue() {
        assert_eq!(due(107, 100).words(), "in 7 days");
        assert_eq!(due(101, 100).words(), "in 1 day");
        assert_eq!(due(100, 100).words(), "today");
        assert_eq!(due(99, 100).words(), "overdue by 1 day");
        assert_eq!(due(97, 100), Due::Overdue(3));
    }

    #[test]
    fn sizes_are_rounded_up_so_that_a_part_is_never_smaller_on_paper() {
        let s = Size {
            length_um: Some(24_610),
            width_um: Some(15_200),
            height_um: Some(5_400),
            ..Size::default()
        };
        assert_eq!(size(&s), "24.7 × 15.2 × 5.4\u{a0}mm");
        let s = Size { length_um: Some(12_000), diameter_um: Some(6_300), ..Size::default() };
        assert_eq!(size(&s), "⌀ 6.3 × 12.0\u{a0}mm");
        assert_eq!(size(&Size::default()), "");
        assert_eq!(
            (money(8420, "EUR"), money(5, "GBP")),
            ("84.20\u{a0}EUR".into(), "0.05\u{a0}GBP".into())
        );
    }
}
