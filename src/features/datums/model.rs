//! A datum: what, which end, from where, how much, before or after cutting.

use crate::calc::datum::{End, From, Lengths, What, tolerance_mm};
use crate::db::{DatumId, InstrumentId, Millis};
use crate::features::conversions::model::um_to_mm;
use crate::units::Accuracy;
use serde::Serialize;

/// What the form says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Draft {
    /// What was measured.
    pub what: What,
    /// Its own name; empty where it needs none.
    pub name: String,
    /// Which end.
    pub end: End,
    /// From where.
    pub from: From,
    /// Measured after cutting.
    pub after: bool,
    /// The datum from before cutting that it repeats.
    pub before_id: Option<DatumId>,
    /// µm: one, or x, y and z of a place.
    pub um: Vec<i64>,
    /// The same, as typed.
    pub typed: Vec<String>,
    /// The instrument's accuracy at the time.
    pub accuracy: Option<Accuracy>,
    /// µm it may be off after cutting; `None`: the usual.
    pub tolerance_um: Option<i64>,
    /// The instrument.
    pub instrument_id: Option<InstrumentId>,
    /// Remark.
    pub remark: String,
    /// When it was measured, ms.
    pub taken_at: Millis,
}

/// A datum as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Datum {
    /// Id.
    pub id: DatumId,
    /// Number within its conversion.
    pub no: i64,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// When it was written down, ms.
    pub entered_at: Millis,
    /// Who; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// The instrument's name; empty when not said.
    #[serde(skip)]
    pub instrument: String,
    /// Version.
    pub version: i64,
}

impl Datum {
    /// How far it may be off after cutting, mm: as written, else the usual of the scale.
    pub fn tolerance_mm(&self, scale: &str) -> f64 {
        self.draft.tolerance_um.map_or_else(|| tolerance_mm(self.draft.what, scale), um_to_mm)
    }

    /// Its lengths with the instrument's accuracy.
    pub fn lengths(&self) -> Lengths {
        let mm = self.draft.um.iter().copied().map(um_to_mm).collect();
        Lengths { mm, accuracy: self.draft.accuracy }
    }

    /// `Coupler height, rear`; `Screw place, under the cab`.
    pub fn words(&self) -> String {
        let d = &self.draft;
        let mut out = d.what.word().to_owned();
        if d.end != End::Neither {
            out = format!("{out}, {}", d.end.word());
        }
        if !d.name.is_empty() {
            out = format!("{out}, {}", d.name);
        }
        let mut chars = out.chars();
        chars
            .next()
            .map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
    }
}

/// The newest datum after cutting that repeats this one.
pub fn repeated<'a>(all: &'a [Datum], before: &Datum) -> Option<&'a Datum> {
    all.iter()
        .filter(|d| d.draft.after && d.draft.before_id == Some(before.id))
        .max_by_key(|d| (d.draft.taken_at, d.no))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn datum(no: i64, after: bool, before_id: Option<DatumId>, taken_at: i64) -> Datum {
        let draft = Draft {
            what: What::CouplerHeight,
            name: String::new(),
            end: End::Rear,
            from: From::RailTop,
            after,
            before_id,
            um: vec![9_900],
            typed: vec!["9.9".into()],
            accuracy: None,
            tolerance_um: None,
            instrument_id: None,
            remark: String::new(),
            taken_at,
        };
        let (person, instrument) = (String::new(), String::new());
        Datum { id: DatumId::new(), no, draft, entered_at: 0, person, instrument, version: 1 }
    }

    #[test]
    fn the_newest_repeat_counts_and_another_datum_is_none() {
        let before = datum(1, false, None, 0);
        let other = datum(2, false, None, 0);
        let all = [
            before.clone(),
            other.clone(),
            datum(3, true, Some(before.id), 50),
            datum(4, true, Some(before.id), 40),
        ];
        assert_eq!(repeated(&all, &before).unwrap().no, 3);
        assert!(repeated(&all, &other).is_none());
        assert_eq!(before.words(), "Coupler height, rear");
    }

    /// NEM 303 (2015): H0 12.2 ± 0.5; where it has no size, 0.3 mm.
    #[test]
    fn the_tolerance_is_what_was_written_else_the_usual() {
        let mut d = datum(1, false, None, 0);
        assert!((d.tolerance_mm("H0") - 0.5).abs() < 1e-12);
        assert!((d.tolerance_mm("OO") - 0.3).abs() < 1e-12);
        d.draft.tolerance_um = Some(200);
        assert!((d.tolerance_mm("H0") - 0.2).abs() < 1e-12);
    }
}
