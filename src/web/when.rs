//! Days and times as people write them: `25 Nov`, `25 Nov 21:38`, the year only where it differs.

use crate::db::Millis;
use time::{Date, Month, OffsetDateTime, PrimitiveDateTime, Time, UtcOffset};

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// A moment in local time; the epoch where it is out of the calendar's range.
pub fn local(at: Millis, offset: UtcOffset) -> OffsetDateTime {
    OffsetDateTime::from_unix_timestamp_nanos(i128::from(at) * 1_000_000)
        .unwrap_or(OffsetDateTime::UNIX_EPOCH)
        .to_offset(offset)
}

/// `25 Nov`, or `25 Nov 2025` where the year is not this one.
pub fn day(at: Millis, now: Millis, offset: UtcOffset) -> String {
    let (t, n) = (local(at, offset), local(now, offset));
    let month = MONTHS[usize::from(u8::from(t.month())) - 1];
    if t.year() == n.year() {
        format!("{} {month}", t.day())
    } else {
        format!("{} {month} {}", t.day(), t.year())
    }
}

/// `21:38`.
pub fn clock_time(at: Millis, offset: UtcOffset) -> String {
    let t = local(at, offset);
    format!("{:02}:{:02}", t.hour(), t.minute())
}

/// `25 Nov 21:38`.
pub fn day_time(at: Millis, now: Millis, offset: UtcOffset) -> String {
    format!("{} {}", day(at, now, offset), clock_time(at, offset))
}

/// `Wednesday 25 Nov`.
pub fn weekday(at: Millis, now: Millis, offset: UtcOffset) -> String {
    format!("{} {}", local(at, offset).weekday(), day(at, now, offset))
}

/// Whole days from one moment to another by the calendar, at least 0.
pub fn days_between(from: Millis, to: Millis, offset: UtcOffset) -> i64 {
    (local(to, offset).date() - local(from, offset).date()).whole_days().max(0)
}

/// `2026-11-25T21:38`, as a date-time field wants it.
pub fn field_value(at: Millis, offset: UtcOffset) -> String {
    let t = local(at, offset);
    format!(
        "{:04}-{:02}-{:02}T{:02}:{:02}",
        t.year(),
        u8::from(t.month()),
        t.day(),
        t.hour(),
        t.minute()
    )
}

/// Reads `2026-11-25`, `2026-11-25 21:38` or `2026-11-25T21:38[:00]` as local time.
/// `None` for anything else, days that do not exist included.
pub fn parse(text: &str, offset: UtcOffset) -> Option<Millis> {
    let text = text.trim();
    let (day, clock) = match text.split_once(['T', ' ']) {
        Some((d, c)) => (d, c.trim()),
        None => (text, "12:00"),
    };
    let mut parts = day.split('-');
    let (y, m, d) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || y.len() != 4 {
        return None;
    }
    let month = Month::try_from(m.parse::<u8>().ok()?).ok()?;
    let date = Date::from_calendar_date(y.parse().ok()?, month, d.parse().ok()?).ok()?;
    let mut parts = clock.split(':');
    let (h, min) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    let s = parts.next().map_or(Some(0), |s| s.parse().ok())?;
    if parts.next().is_some() {
        return None;
    }
    let moment =
        PrimitiveDateTime::new(date, Time::from_hms(h, min, s).ok()?).assume_offset(offset);
    Millis::try_from(moment.unix_timestamp_nanos() / 1_000_000).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_field_shows_is_read_back() {
        let offset = UtcOffset::from_hms(1, 0, 0).unwrap();
        let at = 1_795_811_880_000; // 27 Nov 2026 00:38 at +1
        assert_eq!(parse(&field_value(at, offset), offset), Some(at));
    }

    #[test]
    fn days_that_do_not_exist_are_refused() {
        for text in ["2026-02-30", "2026-13-01", "2026-11-25T25:00", "25.11.2026", "", "2026-11"] {
            assert_eq!(parse(text, UtcOffset::UTC), None, "{text}");
        }
    }

    #[test]
    fn the_year_shows_only_where_it_differs() {
        let now = parse("2026-11-25", UtcOffset::UTC).unwrap();
        let then = parse("2025-11-24", UtcOffset::UTC).unwrap();
        assert_eq!(day(now, now, UtcOffset::UTC), "25 Nov");
        assert_eq!(day(then, now, UtcOffset::UTC), "24 Nov 2025");
    }
}
