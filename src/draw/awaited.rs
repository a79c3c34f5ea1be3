//! When parts come: one axis of days for a list of parts, and a line for each. A ring is the order,
//! a tick the shipping, a full point the arrival; dashed is the wait until the promised day, a bar
//! from there to today is how long it is overdue. The days stand beside it in words.

use super::svg::{El, num};
use time::{Date, Month};

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Days of one part, each as a Julian day number of the local calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Days {
    /// Ordered.
    pub ordered: Option<i32>,
    /// Shipped.
    pub shipped: Option<i32>,
    /// Arrived.
    pub arrived: Option<i32>,
    /// Promised for.
    pub promised: Option<i32>,
}

/// An axis of days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Axis {
    from: i32,
    to: i32,
    today: i32,
}

impl Axis {
    /// The axis that holds all days given and today, at least four weeks long and never longer than
    /// two years; what lies outside is drawn at its end.
    pub fn over<'a>(all: impl IntoIterator<Item = &'a Days>, today: i32) -> Axis {
        let (mut from, mut to) = (today - 7, today + 14);
        for d in all {
            for day in [d.ordered, d.shipped, d.arrived, d.promised].into_iter().flatten() {
                from = from.min(day - 2);
                to = to.max(day + 7);
            }
        }
        from = from.max(today - 365);
        to = to.min(today + 365);
        let short = 28 - (to - from);
        Axis { from, to: to + short.max(0), today }
    }

    /// Where a day lies, percent of the width, drawn to the nearer end where it is outside.
    fn at(&self, day: i32) -> f64 {
        let length = f64::from((self.to - self.from).max(1));
        (100.0 * f64::from(day - self.from) / length).clamp(0.0, 100.0)
    }

    /// First days of the months on the axis: day and name, the year with January and at the start.
    fn months(&self) -> Vec<(i32, String)> {
        let mut out = Vec::new();
        let Ok(start) = Date::from_julian_day(self.from) else { return out };
        let (mut year, mut month) = (start.year(), start.month());
        while let Ok(first) = Date::from_calendar_date(year, month, 1) {
            let day = first.to_julian_day();
            if day > self.to {
                break;
            }
            let name = MONTHS[usize::from(u8::from(month)) - 1];
            let text =
                if month == Month::January { format!("{name} {year}") } else { name.to_owned() };
            out.push((day.max(self.from), text));
            year += i32::from(month == Month::December);
            month = month.next();
        }
        out
    }

    /// The head of the list: months, and today by name.
    pub fn svg(&self, today: &str) -> String {
        let months = self.months();
        let mut parts = Vec::new();
        // a month with less room than its name needs keeps its line only
        let room = |i: usize| {
            let next = months.get(i + 1).map_or(100.0, |(d, _)| self.at(*d));
            next - months.get(i).map_or(0.0, |(d, _)| self.at(*d))
        };
        let crowded = months.len() > 8;
        for (i, (day, name)) in months.iter().enumerate() {
            let x = self.at(*day);
            let line = El::new("line").pct("x1", x).pct("x2", x).num("y1", 22.0).num("y2", 40.0);
            parts.push(line);
            if room(i) >= 12.0 || (crowded && i % 3 == 0 && x < 88.0) {
                let text = El::new("text").pct("x", x).num("dx", 4.0).num("y", 35.0).text(name);
                parts.push(text);
            }
        }
        let x = self.at(self.today);
        let line = El::new("line").class("td").pct("x1", x).pct("x2", x);
        parts.push(line.num("y1", 18.0).num("y2", 40.0));
        let anchor = match x {
            x if x < 15.0 => "start",
            x if x > 85.0 => "end",
            _ => "middle",
        };
        let text = El::new("text").class("td").pct("x", x).attr("text-anchor", anchor);
        parts.push(text.num("y", 13.0).text(today));
        El::new("svg").class("axis").attr("aria-hidden", "true").children(&parts).render()
    }

    /// The line of one part. Hidden from readers of text: its days stand beside it.
    pub fn line(&self, d: &Days) -> String {
        let mut parts = self.weeks();
        let begin = d.ordered.or(d.shipped);
        if let Some(begin) = begin {
            parts.push(across("way", (self.at(begin), self.at(d.arrived.unwrap_or(self.today)))));
        }
        if let (Some(begin), None, Some(promised)) = (begin, d.arrived, d.promised) {
            let ahead = (self.at(self.today), self.at(promised));
            if promised < self.today.max(begin) {
                parts.push(across("late", (ahead.1, ahead.0)));
            } else {
                parts.push(across("wait", ahead));
            }
        }
        if let Some(day) = d.ordered {
            parts.push(
                El::new("circle").class("ev").pct("cx", self.at(day)).num("cy", 19.0).num("r", 4.5),
            );
        }
        if let Some(day) = d.shipped {
            parts.push(upright("way", self.at(day), (12.0, 26.0)));
        }
        if let Some(day) = d.promised.filter(|_| d.arrived.is_none()) {
            parts.push(upright("mid", self.at(day), (6.0, 32.0)));
        }
        if let Some(day) = d.arrived {
            parts.push(
                El::new("circle")
                    .class("arr")
                    .pct("cx", self.at(day))
                    .num("cy", 19.0)
                    .num("r", 5.0),
            );
        }
        El::new("svg").class("lead").attr("aria-hidden", "true").children(&parts).render()
    }

    /// A faint line each Monday, or each fourth one on a long axis; today.
    fn weeks(&self) -> Vec<El> {
        let step = if self.to - self.from > 200 { 28_usize } else { 7 };
        // Julian day 0 was a Monday
        let first = self.from + (7 - self.from.rem_euclid(7)) % 7;
        let mut out: Vec<El> = (first..=self.to)
            .step_by(step)
            .map(|day| upright("wk", self.at(day), (0.0, 38.0)))
            .collect();
        out.push(upright("td", self.at(self.today), (0.0, 38.0)));
        out
    }
}

fn upright(class: &str, x: f64, (y1, y2): (f64, f64)) -> El {
    El::new("line").class(class).pct("x1", x).pct("x2", x).attr("y1", &num(y1)).attr("y2", &num(y2))
}

fn across(class: &str, (x1, x2): (f64, f64)) -> El {
    El::new("line").class(class).pct("x1", x1).pct("x2", x2).num("y1", 19.0).num("y2", 19.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::checks::{assert_inside, assert_sound, attribute, tags};

    fn julian(year: i32, month: Month, day: u8) -> i32 {
        Date::from_calendar_date(year, month, day).unwrap().to_julian_day()
    }

    fn today() -> i32 {
        julian(2026, Month::November, 25)
    }

    fn classes(svg: &str) -> Vec<String> {
        let all = tags(svg).unwrap();
        all.iter().filter_map(|t| attribute(t, "class")).map(str::to_owned).collect()
    }

    #[test]
    fn weeks_begin_on_monday() {
        // 23 Nov 2026 is a Monday (ISO week 48 of 2026, by the calendar)
        let monday = julian(2026, Month::November, 23);
        assert_eq!(monday.rem_euclid(7), 0);
        let axis = Axis { from: monday, to: monday + 28, today: monday + 2 };
        let svg = axis.line(&Days::default());
        assert_eq!(classes(&svg).iter().filter(|c| *c == "wk").count(), 5);
        assert!(svg.contains("x1=\"0%\" x2=\"0%\""), "{svg}");
    }

    #[test]
    fn every_day_lies_on_the_axis_and_far_ones_at_its_end() {
        for away in [-4000, -400, -30, -1, 0, 1, 30, 400, 4000] {
            let d = Days {
                ordered: Some(today() - 20),
                promised: Some(today() + away),
                ..Days::default()
            };
            let axis = Axis::over([&d], today());
            for svg in [axis.svg("today, 25 Nov"), axis.line(&d)] {
                assert_sound(&svg);
                assert_inside(&svg);
            }
            assert!((28..=730).contains(&(axis.to - axis.from)), "{axis:?}");
        }
    }

    #[test]
    fn what_is_awaited_is_dashed_and_what_is_overdue_is_a_bar() {
        let ordered = Some(today() - 20);
        let line = |promised: Option<i32>, arrived: Option<i32>| {
            let d = Days { ordered, shipped: None, arrived, promised };
            classes(&Axis::over([&d], today()).line(&d))
        };
        let has = |all: &[String], c: &str| all.iter().any(|x| x == c);
        let soon = line(Some(today() + 5), None);
        assert!(has(&soon, "wait") && has(&soon, "mid") && !has(&soon, "late"));
        let late = line(Some(today() - 3), None);
        assert!(has(&late, "late") && !has(&late, "wait"));
        let here = line(Some(today() - 3), Some(today() - 1));
        assert!(has(&here, "arr") && !has(&here, "late") && !has(&here, "mid"));
        assert!(!has(&line(None, None), "mid"));
    }

    #[test]
    fn the_axis_names_its_months_and_the_new_year() {
        let d = Days {
            ordered: Some(julian(2026, Month::November, 4)),
            promised: Some(julian(2027, Month::January, 20)),
            ..Days::default()
        };
        let axis = Axis::over([&d], today());
        let names: Vec<String> = axis.months().into_iter().map(|(_, n)| n).collect();
        assert_eq!(names, ["Nov", "Dec", "Jan 2027"]);
        assert!(axis.svg("today, 25 Nov").contains("today, 25 Nov"));
    }
}
