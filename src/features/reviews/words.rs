//! Reviews in words, and as rows on the Review sheet, the Lessons page and the Overview.

use super::gather::Told;
use super::model::{Cause, Review};
use crate::choice::Choice;
use crate::features::gates::view::At;
use crate::features::parts::words::money;
use crate::web::when;

/// A review in a list.
#[derive(Debug, Clone)]
pub struct Row {
    /// Number.
    pub no: i64,
    /// Address of its page.
    pub href: String,
    /// What was seen.
    pub symptom: String,
    /// The surest cause, or that none is named.
    pub cause: String,
    /// `proved`; empty where no cause is named.
    pub sure: &'static str,
    /// The lesson; empty where none is written.
    pub lesson: String,
    /// Open.
    pub open: bool,
    /// `24 Aug, Ines · 12 h · 38.90 EUR · lost: decoder`.
    pub facts: String,
    /// № of its conversion.
    pub conversion: i64,
    /// Title of its conversion.
    pub title: String,
    /// `Rigid frame, worm to an axle · Can motor, two tags`.
    pub model: String,
    /// What it shares with the conversion it is shown on; empty elsewhere.
    pub shared: String,
}

/// `smoked, smelt …` with a capital.
pub fn symptom(r: &Review) -> String {
    crate::features::readings::words::capital(r.draft.symptom.label())
}

/// A cause in words: the list's, and the person's.
pub fn cause(c: &Cause) -> String {
    use super::catalogue::CauseKind;
    match (c.cause, c.words.is_empty()) {
        (CauseKind::Other, false) => c.words.clone(),
        (_, true) => c.cause.label().to_owned(),
        (_, false) => format!("{}: {}", c.cause.label(), c.words),
    }
}

/// `1 h 30 min`, `45 min`.
pub fn work(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m}\u{a0}min"),
        (h, 0) => format!("{h}\u{a0}h"),
        (h, m) => format!("{h}\u{a0}h {m}\u{a0}min"),
    }
}

/// Who wrote it, when it was seen, what it cost.
pub fn facts(r: &Review, at: At) -> String {
    let d = &r.draft;
    let lost: Vec<&str> = r.lost.iter().map(|p| p.name.as_str()).collect();
    let parts = [
        when::day(d.at, at.now, at.offset),
        r.person.clone(),
        d.minutes.map(work).unwrap_or_default(),
        d.cost_cents.map(|c| money(c, &d.currency)).unwrap_or_default(),
        if lost.is_empty() { String::new() } else { format!("lost: {}", lost.join(", ")) },
    ];
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" · ")
}

/// A review made ready for a list.
pub fn row(r: &Review, (no, title): (i64, &str), at: At) -> Row {
    let surest = r.by_sureness().first().copied();
    Row {
        no: r.no,
        href: format!("/c/{no}/reviews/{}", r.no),
        symptom: symptom(r),
        cause: surest.map_or("no cause named yet".to_owned(), cause),
        sure: surest.map_or("", |c| c.sure.label()),
        lesson: r.lesson.clone(),
        open: r.is_open(),
        facts: facts(r, at),
        conversion: no,
        title: title.to_owned(),
        model: String::new(),
        shared: String::new(),
    }
}

/// A review of another conversion made ready for a list.
pub fn told(t: &Told, at: At) -> Row {
    let (c, d) = (&t.conversion, &t.conversion.draft);
    let model = [
        d.scale.clone(),
        d.drive.label().to_owned(),
        d.motor.label().to_owned(),
        d.pickup.label().to_owned(),
        d.frame.label().to_owned(),
    ];
    Row { model: model.join(" · "), ..row(&t.review, (c.no, &d.title), at) }
}

/// As [`told`], with what it shares with the conversion it is shown on.
pub fn alike(t: &Told, shared: &[&str], at: At) -> Row {
    let what = match shared {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    };
    Row { shared: format!("same {what}: {} of 4", shared.len()), ..told(t, at) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_is_told_in_hours_and_minutes() {
        assert_eq!(
            (work(45), work(120), work(95)),
            ("45\u{a0}min".into(), "2\u{a0}h".into(), "1\u{a0}h 35\u{a0}min".into())
        );
    }
}
