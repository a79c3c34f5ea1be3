//! When each entry happened.

use super::entries::{Entry, What};
use crate::db::Millis;
use crate::web::when;
use time::UtcOffset;

/// A minute, ms.
pub const MINUTE: Millis = 60_000;
const DAY: Millis = 24 * 60 * MINUTE;

/// The entries in the order in which they happened, each with its moment in ms; entries of one
/// moment keep the order of the files. Days are whole days before the local day of `now`.
///
/// What would still be to come on the demo's own day is moved to the minutes before `now`, in the
/// same order, and so is what it would overtake.
///
/// Errors: no time of day, or a day still to come.
pub fn order(
    entries: &[Entry],
    now: Millis,
    offset: UtcOffset,
) -> Result<Vec<(Millis, &Entry)>, String> {
    let mut timed = entries
        .iter()
        .map(|entry| Ok((said(entry, now, offset)?, entry)))
        .collect::<Result<Vec<_>, String>>()?;
    timed.sort_by_key(|(at, _)| *at);
    let mut next = now;
    for (at, entry) in timed.iter_mut().rev() {
        let end = *at + lasts(entry);
        if end > next {
            *at = next - MINUTE - lasts(entry);
        }
        next = *at;
    }
    Ok(timed)
}

/// The moment as the entry says it.
fn said(entry: &Entry, now: Millis, offset: UtcOffset) -> Result<Millis, String> {
    let (days, at) = (entry.days_ago, &entry.at);
    if !(0..=3650).contains(&days) {
        return Err(format!("{}: days_ago is {days}; write 0 to 3650", entry.name()));
    }
    let day = when::local(now - days * DAY, offset).date();
    when::parse(&format!("{day} {at}"), offset)
        .filter(|_| at.contains(':'))
        .ok_or_else(|| format!("{}: “{at}” is no time of day", entry.name()))
}

/// How long it goes on after its moment: a walk reads one pair a minute.
fn lasts(entry: &Entry) -> Millis {
    match &entry.what {
        What::Walk(walk) => walk.pairs.iter().skip(1).fold(0, |sum, _| sum + MINUTE),
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::seed::entries::{Note, Walk};

    /// 25 Nov 2026, 10:00 UTC.
    const NOW: Millis = 1_795_600_800_000;

    fn entry(n: usize, days_ago: i64, at: &str, what: What) -> Entry {
        let (at, by, c) = (at.to_owned(), String::new(), String::new());
        Entry { file: "notes.json", n, days_ago, at, by, c, what }
    }

    fn note(n: usize, days_ago: i64, at: &str) -> Entry {
        entry(n, days_ago, at, What::Note(Note::default()))
    }

    /// Numbers of the entries and their moments in minutes before now.
    fn told(entries: &[Entry]) -> Vec<(usize, i64)> {
        let order = order(entries, NOW, UtcOffset::UTC).unwrap();
        order.iter().map(|(at, e)| (e.n, (NOW - at) / MINUTE)).collect()
    }

    #[test]
    fn past_moments_are_kept_to_the_minute_and_sorted() {
        let entries = [note(1, 0, "09:30"), note(2, 1, "10:00"), note(3, 1, "10:00")];
        assert_eq!(told(&entries), [(2, 1440), (3, 1440), (1, 30)]);
    }

    #[test]
    fn what_is_still_to_come_today_has_just_happened_in_the_same_order() {
        let entries = [note(1, 0, "21:45"), note(2, 0, "21:38"), note(3, 0, "09:59")];
        assert_eq!(told(&entries), [(3, 3), (2, 2), (1, 1)]);
    }

    #[test]
    fn a_walk_is_over_before_the_entry_after_it() {
        let pairs = vec!["brush_a:frame".to_owned(); 4];
        let walk =
            Walk { position: "bare".to_owned(), with: String::new(), pairs, reads: String::new() };
        let walk = entry(1, 0, "21:00", What::Walk(walk));
        assert_eq!(told(&[walk, note(2, 0, "21:01")]), [(1, 5), (2, 1)]);
    }

    #[test]
    fn a_wrong_moment_names_file_and_entry() {
        for (days, at) in [(0, "25:00"), (1, "noon"), (0, ""), (-1, "10:00"), (9999, "10:00")] {
            let why = order(&[note(7, days, at)], NOW, UtcOffset::UTC).unwrap_err();
            assert!(why.starts_with("notes.json, entry 7: "), "{why}");
        }
    }

    #[test]
    fn days_are_local_days() {
        let offset = UtcOffset::from_hms(13, 0, 0).unwrap(); // it is 23:00 there
        let entries = [note(1, 0, "22:00")];
        let at = order(&entries, NOW, offset).unwrap()[0].0;
        assert_eq!((NOW - at) / MINUTE, 60);
    }
}
