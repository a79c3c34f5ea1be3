//! Stock: physical things with an identity, and where each of them sits.

use crate::calc::gates::AlterationKind;
use crate::choice::Choice;
use crate::choices;
use crate::db::{ConversionId, Millis, StockId, StockMoveId, SwapId};
use crate::features::parts::model::{NotTaken, Place, not_before};
use serde::Serialize;

choices! {
    /// Kind of thing.
    pub enum Kind = "kind of thing" {
        Chassis = "chassis", "chassis";
        Shell = "shell", "shell";
        Motor = "motor", "motor";
        Bogie = "bogie", "bogie";
        Tender = "tender", "tender";
        Donor = "donor", "donor, whole";
        Other = "other", "something else";
    }
}

impl Kind {
    /// What it changes on a model when a thing of this kind comes in or goes out, so that readings it
    /// touches are asked for again. A bogie and a tender carry wheels and pickups.
    pub fn changes(self) -> &'static [AlterationKind] {
        match self {
            Kind::Chassis => &[AlterationKind::ChassisChanged],
            Kind::Shell => &[AlterationKind::ShellChanged],
            Kind::Motor => &[AlterationKind::MotorChanged],
            Kind::Bogie | Kind::Tender => {
                &[AlterationKind::WheelsChanged, AlterationKind::PickupsWorked]
            }
            Kind::Donor | Kind::Other => &[],
        }
    }
}

/// What the form says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// Kind.
    pub kind: Kind,
    /// What it is, in the household's words.
    pub name: String,
    /// Serial number or a mark scratched in.
    pub mark: String,
    /// Mass as weighed, mg.
    pub mass_mg: Option<i64>,
    /// Remark.
    pub remark: String,
}

/// One dated move.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Move {
    /// Id.
    pub id: StockMoveId,
    /// Number within the thing.
    pub no: i64,
    /// Moves made together share it.
    pub swap_id: SwapId,
    /// Where it went; `None`: the drawer.
    pub conversion_id: Option<ConversionId>,
    /// № of that conversion.
    #[serde(skip)]
    pub place_no: Option<i64>,
    /// When, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Why.
    pub why: String,
    /// Taken back as a mistake, ms.
    pub taken_back_at: Option<Millis>,
}

/// A thing as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stock {
    /// Id.
    pub id: StockId,
    /// Number over the whole notebook.
    pub no: i64,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Where it sits; `None`: the drawer.
    #[serde(skip)]
    pub place: Option<Place>,
    /// Its moves, first one first, those taken back included.
    pub moves: Vec<Move>,
    /// Put aside, ms.
    pub aside_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

impl Stock {
    /// `can motor, five poles, M1`.
    pub fn title(&self) -> String {
        let d = &self.draft;
        if d.mark.is_empty() { d.name.clone() } else { format!("{}, {}", d.name, d.mark) }
    }

    /// Moves that count, first one first.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = &Move> {
        self.moves.iter().filter(|m| m.taken_back_at.is_none())
    }

    /// The newest move that counts.
    pub fn last_move(&self) -> Option<&Move> {
        self.steps().next_back()
    }

    /// The move before the newest, to which taking that one back leads.
    pub fn move_before(&self) -> Option<&Move> {
        self.steps().rev().nth(1)
    }

    /// Since when it sits where it does, ms.
    pub fn since(&self) -> Millis {
        self.last_move().map_or(Millis::MIN, |m| m.at)
    }

    /// The conversion it sits in.
    pub fn conversion(&self) -> Option<ConversionId> {
        self.place.as_ref().map(|p| p.id)
    }
}

/// A thing about to go somewhere; `None`: into the drawer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Go {
    /// The thing as it is.
    pub thing: Stock,
    /// Where it goes.
    pub to: Option<Place>,
}

/// Why a swap or a move can't be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotMoved {
    /// The thing that should go out is not in a conversion.
    NothingToTakeOut,
    /// A thing takes the place of one of its own kind only.
    OtherKind,
    /// It sits there already.
    ThereAlready,
    /// It is put aside.
    Aside,
}

impl NotMoved {
    /// What to tell the person.
    pub fn words(self) -> &'static str {
        match self {
            NotMoved::NothingToTakeOut => "What should go out is in the drawer already.",
            NotMoved::OtherKind => {
                "A thing takes the place of one of its own kind. Choose one from the list."
            }
            NotMoved::ThereAlready => "It sits there already. Choose another place.",
            NotMoved::Aside => "It is put aside. Bring it back first.",
        }
    }
}

/// A swap: `coming` takes the place of `going`, which goes into the drawer, or in exchange to where
/// `coming` was.
pub fn swap(coming: &Stock, going: &Stock, exchange: bool) -> Result<Vec<Go>, NotMoved> {
    if coming.aside_at.is_some() || going.aside_at.is_some() {
        return Err(NotMoved::Aside);
    }
    if coming.draft.kind != going.draft.kind || coming.id == going.id {
        return Err(NotMoved::OtherKind);
    }
    if going.place.is_none() {
        return Err(NotMoved::NothingToTakeOut);
    }
    if coming.conversion() == going.conversion() {
        return Err(NotMoved::ThereAlready);
    }
    let out = if exchange { coming.place.clone() } else { None };
    Ok(vec![
        Go { thing: going.clone(), to: out },
        Go { thing: coming.clone(), to: going.place.clone() },
    ])
}

/// One thing to another place.
pub fn carry(thing: &Stock, to: Option<Place>) -> Result<Vec<Go>, NotMoved> {
    if thing.aside_at.is_some() {
        return Err(NotMoved::Aside);
    }
    if thing.conversion() == to.as_ref().map(|p| p.id) {
        return Err(NotMoved::ThereAlready);
    }
    Ok(vec![Go { thing: thing.clone(), to }])
}

/// The moment to keep for moves made together: not before any of them was moved last. `same_day` tells
/// whether two moments lie on one calendar day.
pub fn moment(
    goes: &[Go],
    at: Millis,
    same_day: impl Fn(Millis, Millis) -> bool,
) -> Result<Millis, NotTaken> {
    goes.iter().map(|g| g.thing.since()).try_fold(at, |at, since| {
        let same = since != Millis::MIN && same_day(at, since);
        not_before(since, at, same)
    })
}

/// Something that moves change on a model.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// The model.
    pub conversion: ConversionId,
    /// What kind of change.
    pub kind: AlterationKind,
    /// In words: what went out, what came in, why.
    pub what: String,
}

/// What moves made together change on the models they touch: one entry per model and kind of change.
pub fn changed(goes: &[Go], why: &str) -> Vec<Changed> {
    let mut out: Vec<Changed> = Vec::new();
    let places = goes.iter().flat_map(|g| [g.thing.conversion(), g.to.as_ref().map(|p| p.id)]);
    for conversion in places.flatten() {
        let here = |g: &&Go| touches(g, conversion).is_some();
        let kinds = goes.iter().filter(here).flat_map(|g| g.thing.draft.kind.changes());
        for &kind in kinds {
            if out.iter().any(|c| c.conversion == conversion && c.kind == kind) {
                continue;
            }
            let said: Vec<String> = goes
                .iter()
                .filter(|g| g.thing.draft.kind.changes().contains(&kind))
                .filter_map(|g| {
                    let way = touches(g, conversion)?;
                    Some(format!("{} {} {way}", g.thing.draft.kind.label(), g.thing.title()))
                })
                .collect();
            let why = if why.is_empty() { String::new() } else { format!(". {why}") };
            let what: String = format!("{}{why}", said.join(", ")).chars().take(2000).collect();
            out.push(Changed { conversion, kind, what });
        }
    }
    out
}

/// Whether a thing comes into or goes out of a conversion, in words.
fn touches(g: &Go, conversion: ConversionId) -> Option<&'static str> {
    match (
        g.thing.conversion() == Some(conversion),
        g.to.as_ref().map(|p| p.id) == Some(conversion),
    ) {
        (true, false) => Some("taken out"),
        (false, true) => Some("put in"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(no: i64) -> Place {
        Place { id: ConversionId::new(), no, title: format!("№ {no}") }
    }

    fn thing(kind: Kind, name: &str, place: Option<&Place>) -> Stock {
        let draft = Draft {
            kind,
            name: name.to_owned(),
            mark: String::new(),
            mass_mg: None,
            remark: String::new(),
        };
        let first = Move {
            id: StockMoveId::new(),
            no: 1,
            swap_id: SwapId::new(),
            conversion_id: place.map(|p| p.id),
            place_no: place.map(|p| p.no),
            at: 1000,
            person: String::new(),
            why: String::new(),
            taken_back_at: None,
        };
        Stock {
            id: StockId::new(),
            no: 1,
            draft,
            place: place.cloned(),
            moves: vec![first],
            aside_at: None,
            version: 1,
        }
    }

    #[test]
    fn a_motor_from_the_drawer_changes_one_model_and_sends_the_old_one_to_the_drawer() {
        let seven = place(7);
        let (old, new) =
            (thing(Kind::Motor, "open frame", Some(&seven)), thing(Kind::Motor, "can", None));
        let goes = swap(&new, &old, true).unwrap();
        assert_eq!(goes[0].to, None, "in exchange with the drawer is the drawer");
        assert_eq!(goes[1].to, Some(seven.clone()));
        let said = changed(&goes, "too weak");
        assert_eq!(said.len(), 1);
        assert_eq!((said[0].conversion, said[0].kind), (seven.id, AlterationKind::MotorChanged));
        assert_eq!(said[0].what, "motor open frame taken out, motor can put in. too weak");
    }

    #[test]
    fn an_exchange_between_two_models_changes_both() {
        let (seven, five) = (place(7), place(5));
        let a = thing(Kind::Chassis, "a", Some(&seven));
        let b = thing(Kind::Chassis, "b", Some(&five));
        let goes = swap(&b, &a, true).unwrap();
        assert_eq!((goes[0].to.clone(), goes[1].to.clone()), (Some(five.clone()), Some(seven)));
        assert_eq!(changed(&goes, "").len(), 2);
        let goes = swap(&b, &a, false).unwrap();
        assert_eq!(goes[0].to, None);
        assert_eq!(changed(&goes, "").len(), 2, "the model it came from lost its chassis");
    }

    #[test]
    fn only_like_takes_the_place_of_like() {
        let seven = place(7);
        let (motor, can) = (thing(Kind::Motor, "m", Some(&seven)), thing(Kind::Motor, "c", None));
        assert_eq!(swap(&thing(Kind::Shell, "s", None), &motor, false), Err(NotMoved::OtherKind));
        assert_eq!(swap(&motor, &motor, false), Err(NotMoved::OtherKind));
        assert_eq!(swap(&motor, &can, false), Err(NotMoved::NothingToTakeOut));
        let second = thing(Kind::Motor, "second", Some(&seven));
        assert_eq!(swap(&second, &motor, false), Err(NotMoved::ThereAlready));
        let aside = Stock { aside_at: Some(1), ..can };
        assert_eq!(swap(&aside, &motor, false), Err(NotMoved::Aside));
        assert_eq!(carry(&aside, Some(seven.clone())), Err(NotMoved::Aside));
        assert_eq!(carry(&motor, Some(seven)), Err(NotMoved::ThereAlready));
    }

    #[test]
    fn what_carries_no_reading_changes_nothing() {
        let seven = place(7);
        for kind in [Kind::Donor, Kind::Other] {
            let goes = carry(&thing(kind, "box", Some(&seven)), None).unwrap();
            assert!(changed(&goes, "").is_empty());
        }
        let goes = carry(&thing(Kind::Bogie, "front", Some(&seven)), None).unwrap();
        assert_eq!(changed(&goes, "").len(), 2);
    }

    #[test]
    fn nothing_moves_before_it_was_moved_last() {
        let goes = carry(&thing(Kind::Motor, "m", None), Some(place(7))).unwrap();
        assert_eq!(moment(&goes, 999, |_, _| false), Err(NotTaken::BeforeTheLast));
        assert_eq!(moment(&goes, 999, |_, _| true), Ok(1000));
        assert_eq!(moment(&goes, 2000, |_, _| false), Ok(2000));
    }
}
