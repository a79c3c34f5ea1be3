//! One id type per table, so that a wheel's id can't be handed in for a reading's.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

macro_rules! ids {
    ($($(#[$meta:meta])* $name:ident;)+) => {$(
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, sqlx::Type)]
        #[serde(transparent)]
        #[sqlx(transparent)]
        pub struct $name(pub Uuid);

        impl $name {
            /// A new id, ordered by the time given (UUID version 7).
            pub fn new() -> Self {
                $name(Uuid::now_v7())
            }
        }

        impl Default for $name {
            fn default() -> Self {
                Self::new()
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }

        impl std::str::FromStr for $name {
            type Err = uuid::Error;
            fn from_str(text: &str) -> Result<Self, uuid::Error> {
                text.parse().map($name)
            }
        }
    )+};
}

ids! {
    /// A person's name in the household.
    PersonId;
    /// A conversion.
    ConversionId;
    /// A change of stage.
    StageChangeId;
    /// An instrument.
    InstrumentId;
    /// A range of an instrument.
    RangeId;
    /// A wheel on the pickup map.
    WheelId;
    /// A load test.
    LoadTestId;
    /// A reading.
    ReadingId;
    /// A decoder's ratings.
    DecoderId;
    /// A planned load.
    LoadId;
    /// A snag.
    SnagId;
    /// A note.
    NoteId;
    /// An alteration.
    AlterationId;
    /// A judgement.
    JudgementId;
    /// A passed gate.
    PassingId;
    /// A supplier.
    SupplierId;
    /// A part.
    PartId;
    /// An event of a part.
    PartEventId;
    /// A rating of a part.
    PartRatingId;
    /// A physical thing.
    StockId;
    /// A move of a physical thing.
    StockMoveId;
    /// Moves made together.
    SwapId;
    /// A kept input of a calculation.
    SavedCalcId;
    /// A wire.
    WireId;
    /// A run of a test card.
    TestRunId;
    /// A datum.
    DatumId;
    /// A review.
    ReviewId;
    /// A candidate cause of a review.
    CauseId;
    /// Evidence for or against a cause.
    EvidenceId;
}
