//! Archives that were uploaded and wait to be looked at. They are kept in memory alone: one that is
//! refused, forgotten or left for an hour leaves nothing behind.

use crate::db::Millis;
use axum::body::Bytes;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};
use uuid::Uuid;

/// How long an archive waits, ms.
const WAITS: Millis = 3_600_000;
/// Most bytes of all that wait: two of the largest.
const MOST: usize = 2 * super::model::MOST_BYTES;

/// An archive that waits.
#[derive(Debug, Clone)]
pub struct Item {
    /// What its page is known by.
    pub id: Uuid,
    /// The name it came with.
    pub name: String,
    /// Its bytes.
    pub bytes: Bytes,
    at: Millis,
}

/// The archives that wait, oldest first.
#[derive(Debug, Clone, Default)]
pub struct Waiting(Arc<Mutex<VecDeque<Item>>>);

impl Waiting {
    /// Keeps an archive; the oldest make room.
    pub fn keep(&self, name: String, bytes: Bytes, now: Millis) -> Uuid {
        let id = Uuid::new_v4();
        let mut items = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        items.push_back(Item { id, name, bytes, at: now });
        let size = |items: &VecDeque<Item>| items.iter().map(|i| i.bytes.len()).sum::<usize>();
        while items.len() > 1 && (size(&items) > MOST || items.len() > 8) {
            items.pop_front();
        }
        id
    }

    /// The archive of that id.
    pub fn find(&self, id: Uuid, now: Millis) -> Option<Item> {
        let mut items = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        items.retain(|i| i.at + WAITS > now);
        items.iter().find(|i| i.id == id).cloned()
    }

    /// Lets an archive go.
    pub fn forget(&self, id: Uuid) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).retain(|i| i.id != id);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_archive_waits_an_hour_and_the_oldest_make_room() {
        let w = Waiting::default();
        let first = w.keep("a".into(), Bytes::from_static(b"x"), 0);
        assert!(w.find(first, WAITS - 1).is_some());
        let large = Bytes::from(vec![0; super::super::model::MOST_BYTES]);
        for _ in 0..2 {
            w.keep("b".into(), large.clone(), 0);
        }
        assert!(w.find(first, 1).is_none(), "it made room");
        let last = w.keep("c".into(), large, 0);
        assert!(w.find(last, WAITS).is_none(), "its hour is over");
    }
}
