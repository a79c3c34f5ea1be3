//! The one place that asks the time.

use crate::db::Millis;
use std::sync::Arc;

/// Gives the present moment; tests and the demo hand in their own.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Millis + Send + Sync>);

impl Clock {
    /// The machine's clock.
    #[expect(clippy::disallowed_methods, reason = "this is the clock everybody else is given")]
    pub fn system() -> Self {
        Clock(Arc::new(|| {
            let now = time::OffsetDateTime::now_utc();
            Millis::try_from(now.unix_timestamp_nanos() / 1_000_000).unwrap_or(Millis::MAX)
        }))
    }

    /// A clock that always shows the same moment.
    pub fn stopped(at: Millis) -> Self {
        Clock(Arc::new(move || at))
    }

    /// A clock from a function.
    pub fn from_fn(f: impl Fn() -> Millis + Send + Sync + 'static) -> Self {
        Clock(Arc::new(f))
    }

    /// Now, ms.
    pub fn now(&self) -> Millis {
        (self.0)()
    }
}

impl std::fmt::Debug for Clock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Clock")
    }
}
