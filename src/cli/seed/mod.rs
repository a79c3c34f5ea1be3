//! Fills a fresh notebook with the demo's story: one seed file per noun, every entry at its own
//! moment and by its own person, written through the rooms' own stores, so that history and gates
//! are as if people had written it. All of it is one transaction: a story that does not fit the
//! notebook leaves nothing behind.
//!
//! Moments are days before the day the demo starts, so that the story never ages.

mod bench;
mod entries;
mod goods;
mod moments;
mod records;
mod reviews;
mod tell;
mod trials;
mod typed;
mod wires;

#[cfg(test)]
mod tests;

use crate::db::{Db, Millis, Write};
use entries::Story;
use tell::Teller;
use time::UtcOffset;

/// Writes the whole story. `now` is the moment the demo starts, `offset` local time against UTC.
///
/// Errors: a seed file can't be read, or an entry does not fit the notebook; file and entry are
/// named, and nothing is written.
pub async fn fill(db: &Db, now: Millis, offset: UtcOffset) -> Result<(), String> {
    write(db, &Story::read()?, (now, offset)).await
}

/// Writes a story, entry by entry in the order of their moments.
async fn write(db: &Db, story: &Story, (now, offset): (Millis, UtcOffset)) -> Result<(), String> {
    let timed = moments::order(&story.entries, now, offset)?;
    let w = Write::begin(db, now, None).await.map_err(typed::words)?;
    let mut teller = Teller::new(w, offset);
    for (at, entry) in timed {
        teller.tell(at, entry).await.map_err(|e| format!("{}: {e}", entry.name()))?;
    }
    teller.end().await
}
