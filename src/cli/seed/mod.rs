//! Fills a fresh notebook with the demo's story: one seed file per noun, every entry at its own
//! moment, written through the rooms' own stores, so that history and gates are as if people had
//! written it.
//!
//! Moments are days before the day the demo starts, so that the story never ages.

mod entries;
mod write;

#[cfg(test)]
mod tests;

use crate::db::{Db, Millis};
use crate::web::when;
use entries::{Entry, Story};
use time::UtcOffset;

/// Writes the whole story. `now` is the moment the demo starts.
///
/// Errors: a seed file can't be read, or an entry does not fit the notebook; file and entry are
/// named.
pub async fn fill(db: &Db, now: Millis, offset: UtcOffset) -> Result<(), String> {
    let story = Story::read()?;
    let mut timed: Vec<(Millis, usize, &Entry)> = Vec::new();
    for (n, entry) in story.entries.iter().enumerate() {
        timed.push((moment(entry, now, offset)?, n, entry));
    }
    // by moment; entries of one moment stay in the order of the files
    timed.sort_by_key(|(at, n, _)| (*at, *n));
    let mut teller = write::Teller::new(db, offset, now);
    for (at, _, entry) in timed {
        teller.tell(at, entry).await.map_err(|e| format!("{}: {e}", entry.name()))?;
    }
    Ok(())
}

/// When an entry happened. One of today that is still to come happened a minute ago instead.
fn moment(entry: &Entry, now: Millis, offset: UtcOffset) -> Result<Millis, String> {
    let (days, at) = (entry.days_ago, &entry.at);
    let day = when::local(now - days * 86_400_000, offset).date();
    let at = when::parse(&format!("{day} {at}"), offset)
        .ok_or_else(|| format!("{}: “{at}” is no time of day", entry.name()))?;
    Ok(at.min(now - 60_000))
}
