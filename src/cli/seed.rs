//! Fills a fresh notebook with the demo story. STUB.
use crate::db::{Db, Error, Millis};
use time::UtcOffset;
/// Fills.
pub async fn fill(_db: &Db, _now: Millis, _offset: UtcOffset) -> Result<(), Error> {
    Ok(())
}
