//! A review: what was seen, what changed last, candidate causes with their evidence, cost, lesson.

use super::catalogue::{CauseKind, Symptom};
use crate::choices;
use crate::db::{CauseId, ConversionId, EvidenceId, Millis, PartId, ReviewId, SnagId};
use crate::features::notes::about::About;
use serde::Serialize;

choices! {
    /// How sure a cause is.
    pub enum Sure = "degree of sureness" {
        Possible = "possible", "possible";
        Likely = "likely", "likely";
        Proved = "proved", "proved";
        RuledOut = "ruled_out", "ruled out";
    }
}

choices! {
    /// What a piece of evidence speaks for.
    pub enum Side = "side" {
        For = "for", "speaks for it";
        Against = "against", "speaks against it";
    }
}

/// Something that was changed, as the program offers it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Happened {
    /// The record: an alteration, a part, a thing in stock.
    #[serde(flatten)]
    pub about: About,
    /// In words: `joint made again: rear lamp lead`.
    pub words: String,
    /// When, ms.
    pub at: Millis,
}

impl Happened {
    /// As a form sends it. One record can happen several times.
    pub fn code(&self) -> String {
        format!("{}@{}", self.about.code(), self.at)
    }
}

/// How many changes are offered.
pub const OFFERED: usize = 8;

/// Whether something happened before a moment. Moments are typed to the minute, so what happened within
/// that very minute counts.
pub fn is_before(happened: Millis, at: Millis) -> bool {
    happened < at.saturating_add(60_000)
}

/// The last changes before a moment, newest first.
pub fn last_before(mut all: Vec<Happened>, at: Millis) -> Vec<Happened> {
    all.retain(|h| is_before(h.at, at));
    all.sort_by_key(|h| std::cmp::Reverse(h.at));
    all.truncate(OFFERED);
    all
}

/// What the form says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// What was seen.
    pub symptom: Symptom,
    /// In the person's words; may be empty.
    pub words: String,
    /// When it was noticed, ms.
    pub at: Millis,
    /// What changed last, one of what was offered.
    pub changed: Option<Happened>,
    /// What changed last, in the person's words.
    pub changed_words: String,
    /// Work it cost, minutes.
    pub minutes: Option<i64>,
    /// Money it cost, hundredths.
    pub cost_cents: Option<i64>,
    /// ISO 4217 code.
    pub currency: String,
}

/// A piece of evidence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Evidence {
    /// Id.
    #[serde(skip)]
    pub id: EvidenceId,
    /// For or against.
    pub side: Side,
    /// In the person's words; empty where a record says it.
    pub words: String,
    /// The record it stands on.
    pub about: Option<About>,
}

/// A candidate cause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Cause {
    /// Id.
    #[serde(skip)]
    pub id: CauseId,
    /// Which.
    pub cause: CauseKind,
    /// In the person's words.
    pub words: String,
    /// How sure.
    pub sure: Sure,
    /// What speaks for and against it, in the order written.
    pub evidence: Vec<Evidence>,
}

/// A part that was lost.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Lost {
    /// The part.
    #[serde(skip)]
    pub id: PartId,
    /// Its number.
    pub no: i64,
    /// Its name.
    pub name: String,
    /// What it cost, hundredths.
    pub price_cents: Option<i64>,
    /// ISO 4217 code.
    pub currency: String,
    /// It is dead, by the parts room. Otherwise it was taken back there.
    #[serde(skip)]
    pub dead: bool,
}

/// A snag the review came from or leaves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Left {
    /// The snag.
    #[serde(skip)]
    pub id: SnagId,
    /// Its number.
    pub no: i64,
    /// What it says.
    pub what: String,
    /// Open.
    #[serde(skip)]
    pub open: bool,
}

/// A review as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Review {
    /// Id.
    pub id: ReviewId,
    /// Number over the whole notebook.
    pub no: i64,
    /// The conversion it belongs to.
    #[serde(skip)]
    pub conversion_id: ConversionId,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Candidate causes, in the order written.
    pub causes: Vec<Cause>,
    /// Parts lost.
    pub lost: Vec<Lost>,
    /// Snags.
    pub snags: Vec<Left>,
    /// What the next one to try should know.
    pub lesson: String,
    /// Written, ms.
    pub written_at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Closed, ms; `None`: open.
    pub closed_at: Option<Millis>,
    /// By whom.
    #[serde(skip)]
    pub closed_by: String,
    /// Put aside, ms.
    #[serde(skip)]
    pub aside_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

/// Why a review can't be closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotClosed {
    /// It is closed.
    Already,
    /// It has no lesson.
    NoLesson,
    /// No cause is named that was not ruled out.
    NoCause,
}

impl NotClosed {
    /// What to tell the person.
    pub fn words(self) -> &'static str {
        match self {
            NotClosed::Already => "This review is closed already.",
            NotClosed::NoLesson => "Write the lesson first: what should the next one to try know?",
            NotClosed::NoCause => {
                "Name a cause first. “Not found” is one, if that is how it stands."
            }
        }
    }
}

impl Review {
    /// Open: what is behind it isn't settled.
    pub fn is_open(&self) -> bool {
        self.closed_at.is_none()
    }

    /// The review closed at a moment. It takes a lesson, and a cause that was not ruled out.
    pub fn closed(&self, at: Millis) -> Result<Review, NotClosed> {
        if !self.is_open() {
            return Err(NotClosed::Already);
        }
        if !self.causes.iter().any(|c| c.sure != Sure::RuledOut) {
            return Err(NotClosed::NoCause);
        }
        if self.lesson.trim().is_empty() {
            return Err(NotClosed::NoLesson);
        }
        Ok(Review { closed_at: Some(at), ..self.clone() })
    }

    /// The review opened again, or `None` when it is open.
    pub fn reopened(&self) -> Option<Review> {
        self.closed_at?;
        Some(Review { closed_at: None, ..self.clone() })
    }

    /// Causes, the surest first, those ruled out last.
    pub fn by_sureness(&self) -> Vec<&Cause> {
        let rank = |s: Sure| match s {
            Sure::Proved => 0,
            Sure::Likely => 1,
            Sure::Possible => 2,
            Sure::RuledOut => 3,
        };
        let mut out: Vec<&Cause> = self.causes.iter().collect();
        out.sort_by_key(|c| rank(c.sure));
        out
    }

    /// What the lost parts cost together, by currency in the order it appears, hundredths.
    pub fn lost_cents(&self) -> Vec<(String, i64)> {
        let mut out: Vec<(String, i64)> = Vec::new();
        for p in &self.lost {
            let Some(cents) = p.price_cents.filter(|c| *c > 0) else { continue };
            match out.iter_mut().find(|(c, _)| *c == p.currency) {
                Some((_, sum)) => *sum += cents,
                None => out.push((p.currency.clone(), cents)),
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::features::notes::about::Kind;
    use uuid::Uuid;

    fn review() -> Review {
        let draft = Draft {
            symptom: Symptom::DecoderHot,
            words: String::new(),
            at: 5,
            changed: None,
            changed_words: String::new(),
            minutes: None,
            cost_cents: None,
            currency: String::new(),
        };
        Review {
            id: ReviewId::new(),
            no: 1,
            conversion_id: ConversionId::new(),
            draft,
            causes: Vec::new(),
            lost: Vec::new(),
            snags: Vec::new(),
            lesson: String::new(),
            written_at: 6,
            person: String::new(),
            closed_at: None,
            closed_by: String::new(),
            aside_at: None,
            version: 1,
        }
    }

    fn cause(sure: Sure) -> Cause {
        Cause {
            id: CauseId::new(),
            cause: CauseKind::Bind,
            words: String::new(),
            sure,
            evidence: Vec::new(),
        }
    }

    #[test]
    fn a_review_closes_only_with_a_cause_and_a_lesson_and_opens_again() {
        let mut r = review();
        "measure first".clone_into(&mut r.lesson);
        assert_eq!(r.closed(9), Err(NotClosed::NoCause));
        r.causes = vec![cause(Sure::RuledOut)];
        assert_eq!(r.closed(9), Err(NotClosed::NoCause), "one ruled out is no cause");
        r.causes.push(cause(Sure::Possible));
        let closed = r.closed(9).unwrap();
        assert_eq!(closed.closed_at, Some(9));
        assert_eq!(closed.closed(10), Err(NotClosed::Already));
        assert!(closed.reopened().unwrap().is_open());
        assert!(r.reopened().is_none());
        " ".clone_into(&mut r.lesson);
        assert_eq!(r.closed(9), Err(NotClosed::NoLesson));
    }

    #[test]
    fn the_surest_cause_comes_first_and_what_was_ruled_out_last() {
        let mut r = review();
        r.causes = vec![cause(Sure::RuledOut), cause(Sure::Possible), cause(Sure::Proved)];
        let order: Vec<Sure> = r.by_sureness().iter().map(|c| c.sure).collect();
        assert_eq!(order, [Sure::Proved, Sure::Possible, Sure::RuledOut]);
    }

    #[test]
    fn what_was_lost_is_summed_by_currency() {
        let mut r = review();
        let lost = |cents, currency: &str| Lost {
            id: PartId::new(),
            no: 1,
            name: "decoder".into(),
            price_cents: cents,
            currency: currency.into(),
            dead: true,
        };
        r.lost = vec![lost(Some(3900), "EUR"), lost(Some(250), "GBP"), lost(Some(100), "EUR")];
        r.lost.push(lost(None, ""));
        assert_eq!(r.lost_cents(), [("EUR".to_owned(), 4000), ("GBP".to_owned(), 250)]);
    }

    #[test]
    fn only_what_happened_before_is_offered_newest_first() {
        let at = |at| Happened {
            about: About { kind: Kind::Alteration, id: Uuid::now_v7(), no: 0 },
            words: format!("at {at}"),
            at,
        };
        let found = last_before((0..20).map(|n| at(n * 60_000)).collect(), 12 * 60_000);
        assert_eq!(found.len(), OFFERED);
        assert_eq!((found[0].at, found[7].at), (12 * 60_000, 5 * 60_000));
        assert_eq!(last_before(vec![at(59_999)], 0).len(), 1, "moments are typed to the minute");
        assert!(last_before(vec![at(60_000)], 0).is_empty());
    }
}
