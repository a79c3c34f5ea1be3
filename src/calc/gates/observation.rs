//! The questions a person answers with yes or no, by looking or trying.
//!
//! Some of them the notebook can't answer and never will: *has anything been pinched?* A yes makes
//! the check clear. Others it will work out once it has the data: until then a yes is only somebody's
//! word, so the check turns to caution, and a judgement is needed to pass on it.

use super::snapshot::GateName;
use crate::aspect::Aspect;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One fixed question.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Observation {
    /// Runs smoothly on direct current, both ways, before any work.
    RunsSmoothly,
    /// Layout tried with paper or card dummies.
    PaperTried,
    /// Heights and screw positions written down before cutting.
    DatumsRecorded,
    /// One layout chosen.
    LayoutChosen,
    /// List of cuts made.
    CutListMade,
    /// Nothing that the cut metal holds is lost.
    NothingHeldIsLost,
    /// Cautions on cutting read.
    CautionsRead,
    /// Every check of the probe sheet done.
    ProbeSheetDone,
    /// Insulation on metal near the decoder and its leads.
    InsulationOnMetal,
    /// Limit of the supply set, with its amps.
    SupplyLimited,
    /// Temperature settles.
    HeatSettled,
    /// Open snags gone through with the model in hand.
    SnagsLookedOver,
    /// Each light works both ways.
    LightsProved,
    /// Sound works.
    SoundProved,
    /// Hold-up store works.
    StoreProved,
    /// Goes round the tightest curve, shell off.
    TightestCurve,
    /// Coupler height over the gauge.
    CouplerHeightChecked,
    /// Wheel gauge and back-to-back.
    GaugeChecked,
    /// Nothing pinched under the shell.
    NothingPinched,
    /// Configuration sheet read back and equal.
    SheetReadBack,
    /// Run-in done.
    RunInDone,
    /// Weight and balance worked out.
    WeightAndBalance,
    /// Review written.
    ReviewWritten,
}

/// The fixed words of one observation.
pub(super) struct Words {
    pub key: &'static str,
    pub gate: GateName,
    pub title: &'static str,
    pub question: &'static str,
    pub act: &'static str,
    pub how: &'static str,
    pub minutes: u32,
    pub no_says: &'static str,
}

impl Observation {
    /// All, in the order of the gates.
    pub const ALL: [Observation; 23] = [
        Observation::RunsSmoothly,
        Observation::PaperTried,
        Observation::DatumsRecorded,
        Observation::LayoutChosen,
        Observation::CutListMade,
        Observation::NothingHeldIsLost,
        Observation::CautionsRead,
        Observation::ProbeSheetDone,
        Observation::InsulationOnMetal,
        Observation::SupplyLimited,
        Observation::HeatSettled,
        Observation::SnagsLookedOver,
        Observation::LightsProved,
        Observation::SoundProved,
        Observation::StoreProved,
        Observation::TightestCurve,
        Observation::CouplerHeightChecked,
        Observation::GaugeChecked,
        Observation::NothingPinched,
        Observation::SheetReadBack,
        Observation::RunInDone,
        Observation::WeightAndBalance,
        Observation::ReviewWritten,
    ];

    /// Key as kept: `nothing_pinched`. The same word as in JSON.
    pub fn key(self) -> &'static str {
        self.words().key
    }

    /// The observation of that key.
    pub fn from_key(key: &str) -> Option<Observation> {
        Observation::ALL.into_iter().find(|o| o.key() == key)
    }

    /// The gate whose check it answers.
    pub fn gate(self) -> GateName {
        self.words().gate
    }

    /// Title of the check: `Nothing is pinched`.
    pub fn title(self) -> &'static str {
        self.words().title
    }

    /// The question with a yes or no.
    pub fn question(self) -> &'static str {
        self.words().question
    }

    /// What to do, one sentence: `Set the supply’s current limit and write down its amps.`
    pub fn act(self) -> &'static str {
        self.words().act
    }

    /// How to do it, one or two sentences.
    pub fn how(self) -> &'static str {
        self.words().how
    }

    /// Rough time it takes, minutes.
    pub fn minutes(self) -> u32 {
        self.words().minutes
    }

    /// What a *no* means, one sentence.
    pub fn no_says(self) -> &'static str {
        self.words().no_says
    }

    /// Unit of the number that has to go with a yes; `None`: no number.
    pub fn amount_unit(self) -> Option<&'static str> {
        (self == Observation::SupplyLimited).then_some("A")
    }

    /// Whether the kept number is wanted with a yes.
    pub fn needs_amount(self) -> bool {
        self.amount_unit().is_some()
    }

    /// The sheet that will work this out, where it's not for a person to say. A yes is caution then.
    pub fn answered_by(self) -> Option<&'static str> {
        Some(match self {
            Observation::PaperTried | Observation::CutListMade | Observation::WeightAndBalance => {
                "Space"
            }
            Observation::DatumsRecorded => "Datums",
            Observation::ProbeSheetDone => "Circuit",
            Observation::HeatSettled => "Bench",
            Observation::SheetReadBack => "Set-up",
            Observation::ReviewWritten => "Review",
            _ => return None,
        })
    }

    /// Aspect that a yes leads to: clear where looking or trying is the measurement, caution where
    /// the notebook will work it out and so far has only somebody's word.
    pub fn yes_gives(self) -> Aspect {
        // Trying with paper is a test of its own, as good as a layout found.
        if self != Observation::PaperTried && self.answered_by().is_some() {
            Aspect::Caution
        } else {
            Aspect::Clear
        }
    }

    /// Aspect that a no leads to: danger where going on can spoil something, caution where a
    /// person may have a reason.
    pub fn no_gives(self) -> Aspect {
        match self {
            Observation::RunsSmoothly
            | Observation::RunInDone
            | Observation::CouplerHeightChecked
            | Observation::WeightAndBalance
            | Observation::ReviewWritten
            | Observation::LightsProved
            | Observation::SoundProved
            | Observation::StoreProved => Aspect::Caution,
            _ => Aspect::Danger,
        }
    }
}
