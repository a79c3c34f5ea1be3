//! Days and times as people read them, from milliseconds and the household's offset from UTC.
//!
//! No clock: the moment of printing is an input. A moment outside the years 1 to 9999 prints as
//! `a day not known`.

use time::{OffsetDateTime, UtcOffset};

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const NOT_KNOWN: &str = "a day not known";

/// The local moment of `ms` (since 1970 UTC); `None` outside the years 1 to 9999 or for an offset of
/// a day or more.
fn local(ms: i64, offset_minutes: i32) -> Option<OffsetDateTime> {
    let offset = UtcOffset::from_whole_seconds(offset_minutes.checked_mul(60)?).ok()?;
    let moment = OffsetDateTime::from_unix_timestamp_nanos(i128::from(ms) * 1_000_000).ok()?;
    let there = moment.checked_to_offset(offset)?;
    (1..=9999).contains(&there.year()).then_some(there)
}

/// `25 Nov`, with the year where it differs from that of `now_ms`: `25 Nov 2025`.
pub fn day(ms: i64, now_ms: i64, offset_minutes: i32) -> String {
    let Some(then) = local(ms, offset_minutes) else { return NOT_KNOWN.to_owned() };
    let month = MONTHS.get(usize::from(u8::from(then.month())) - 1).copied().unwrap_or_default();
    let now = local(now_ms, offset_minutes);
    if now.is_some_and(|now| now.year() == then.year()) {
        format!("{}\u{a0}{month}", then.day())
    } else {
        format!("{}\u{a0}{month}\u{a0}{}", then.day(), then.year())
    }
}

/// `21:38`.
pub fn clock(ms: i64, offset_minutes: i32) -> String {
    local(ms, offset_minutes).map_or_else(
        || "an hour not known".to_owned(),
        |then| format!("{:02}:{:02}", then.hour(), then.minute()),
    )
}

/// `today`, `yesterday`, `13 days ago`, by local days; `later than now` for a moment to come.
pub fn age(ms: i64, now_ms: i64, offset_minutes: i32) -> String {
    let (Some(then), Some(now)) = (local(ms, offset_minutes), local(now_ms, offset_minutes)) else {
        return NOT_KNOWN.to_owned();
    };
    match now.date().to_julian_day() - then.date().to_julian_day() {
        ..0 => "later than now".to_owned(),
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        days => format!("{days} days ago"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-11-25 20:38 UTC, by `date -u -d '2026-11-25 20:38' +%s` (GNU coreutils).
    const NOV_25: i64 = 1_795_639_080_000;
    const DAY: i64 = 86_400_000;

    #[test]
    fn a_day_and_a_time_are_local() {
        assert_eq!(day(NOV_25, NOV_25, 60), "25\u{a0}Nov");
        assert_eq!(clock(NOV_25, 60), "21:38");
        assert_eq!(clock(NOV_25, -330), "15:08");
        assert_eq!(day(NOV_25, NOV_25, 240), "26\u{a0}Nov");
    }

    #[test]
    fn the_year_shows_where_it_differs() {
        assert_eq!(day(NOV_25 - 365 * DAY, NOV_25, 0), "25\u{a0}Nov\u{a0}2025");
        assert_eq!(day(0, NOV_25, 0), "1\u{a0}Jan\u{a0}1970");
    }

    #[test]
    fn ages_go_by_local_days() {
        assert_eq!(age(NOV_25 - 3_600_000, NOV_25, 0), "today");
        assert_eq!(age(NOV_25 - 3_600_000, NOV_25, 240), "yesterday");
        assert_eq!(age(NOV_25 - 13 * DAY, NOV_25, 0), "13 days ago");
        assert_eq!(age(NOV_25 + DAY, NOV_25, 0), "later than now");
    }

    #[test]
    fn a_moment_out_of_range_is_said_so() {
        assert_eq!(day(i64::MAX, NOV_25, 0), NOT_KNOWN);
        assert_eq!(day(NOV_25, NOV_25, 1_000_000), NOT_KNOWN);
        assert_eq!(age(i64::MIN, NOV_25, 0), NOT_KNOWN);
    }
}
