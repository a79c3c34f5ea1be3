//! A part: something bought or made for a conversion, from wanted to fitted, dead or returned.

use crate::calc::gates::AlterationKind;
use crate::choices;
use crate::db::{
    AlterationId, ConversionId, Millis, PartEventId, PartId, PartRatingId, SupplierId,
};
use crate::features::decoders::model::Basis;
use crate::features::snags::model::GateName;
use serde::Serialize;

choices! {
    /// Kind of part.
    pub enum Kind = "kind of part" {
        Decoder = "decoder", "decoder";
        Speaker = "speaker", "speaker";
        Store = "store", "capacitor or store";
        Lamp = "lamp", "lamp or LED";
        Resistor = "resistor", "resistor";
        Wire = "wire", "wire";
        Motor = "motor", "motor";
        Gear = "gear", "gear";
        Wheel = "wheel", "wheel";
        Other = "other", "something else";
    }
}

impl Kind {
    /// What is altered on a model when a part of this kind goes in or comes out. `first`: it goes in as planned,
    /// where none of its kind was before; what was planned still holds then. `None`: nothing a reading rests on.
    pub fn alters(self, first: bool) -> Option<AlterationKind> {
        Some(match self {
            Kind::Decoder | Kind::Speaker | Kind::Store | Kind::Lamp | Kind::Resistor if first => {
                AlterationKind::PartFitted
            }
            Kind::Decoder => AlterationKind::DecoderChanged,
            Kind::Speaker => AlterationKind::SpeakerChanged,
            Kind::Store => AlterationKind::StoreChanged,
            Kind::Lamp | Kind::Resistor => AlterationKind::LampsChanged,
            Kind::Wire => AlterationKind::JointRemade,
            Kind::Motor => AlterationKind::MotorChanged,
            Kind::Gear => AlterationKind::MechanismWorked,
            Kind::Wheel => AlterationKind::WheelsChanged,
            Kind::Other => return None,
        })
    }
}

choices! {
    /// Where a part stands.
    pub enum State = "state" {
        Wanted = "wanted", "wanted";
        TriedInPaper = "tried_in_paper", "tried in paper";
        Ordered = "ordered", "ordered";
        Shipped = "shipped", "shipped";
        Arrived = "arrived", "arrived";
        Proved = "proved", "proved";
        Fitted = "fitted", "fitted";
        Dead = "dead", "dead";
        Returned = "returned", "returned";
    }
}

impl State {
    /// Where a part may go from here. Only what was ordered or shipped arrives; only what is here
    /// can be proved, fitted or sent back; what is lost in the post is dead.
    pub fn next(self) -> &'static [State] {
        match self {
            State::Wanted => &[State::Ordered, State::TriedInPaper],
            State::TriedInPaper => &[State::Ordered, State::Wanted],
            State::Ordered => &[State::Shipped, State::Arrived, State::Wanted],
            State::Arrived => &[State::Proved, State::Fitted, State::Dead, State::Returned],
            State::Proved => &[State::Fitted, State::Dead, State::Returned],
            State::Shipped | State::Fitted => &[State::Arrived, State::Dead],
            State::Dead => &[State::Returned],
            State::Returned => &[State::Arrived],
        }
    }

    /// What the button says that takes a part from here to `next`.
    pub fn verb(self, next: State) -> &'static str {
        match (self, next) {
            (State::Ordered, State::Wanted) => "The order is off",
            (_, State::Wanted) => "Still wanted",
            (_, State::TriedInPaper) => "Tried in paper",
            (_, State::Ordered) => "Ordered",
            (_, State::Shipped) => "Shipped",
            (State::Fitted, State::Arrived) => "Taken out again",
            (State::Returned, State::Arrived) => "Came back",
            (_, State::Arrived) => "Arrived",
            (_, State::Proved) => "Proved on the bench",
            (_, State::Fitted) => "Fitted",
            (State::Shipped, State::Dead) => "Lost in the post",
            (_, State::Dead) => "It is dead",
            (_, State::Returned) => "Sent back",
        }
    }

    /// It is in the house and works as far as anybody knows.
    pub fn is_here(self) -> bool {
        matches!(self, State::Arrived | State::Proved | State::Fitted)
    }

    /// It is paid or promised, and not here.
    pub fn is_on_the_way(self) -> bool {
        matches!(self, State::Ordered | State::Shipped)
    }

    /// Nobody ordered it yet.
    pub fn is_wanted(self) -> bool {
        matches!(self, State::Wanted | State::TriedInPaper)
    }

    /// How far it is from use; the least of several alternatives decides.
    pub(super) fn distance(self) -> u8 {
        match self {
            State::Arrived | State::Proved | State::Fitted => 0,
            State::Shipped => 1,
            State::Ordered => 2,
            State::TriedInPaper | State::Wanted => 3,
            State::Returned => 4,
            State::Dead => 5,
        }
    }
}

/// Sizes in µm; a round thing has a diameter in place of width and height.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Size {
    /// Length, µm.
    pub length_um: Option<i64>,
    /// Width, µm.
    pub width_um: Option<i64>,
    /// Height, µm.
    pub height_um: Option<i64>,
    /// Diameter, µm.
    pub diameter_um: Option<i64>,
    /// Where they come from.
    pub size_basis: Option<Basis>,
}

/// One rating of a part.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rating {
    /// Id.
    pub id: PartRatingId,
    /// What is rated: motor, continuous.
    pub name: String,
    /// Value in `unit`.
    pub value: f64,
    /// The number as typed.
    pub typed: String,
    /// Unit as people write it.
    pub unit: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// What the form says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Draft {
    /// The household's own name for it.
    pub name: String,
    /// Kind.
    pub kind: Kind,
    /// Pieces.
    pub quantity: i64,
    /// Where it comes from.
    pub supplier_id: Option<SupplierId>,
    /// The part it may stand in for.
    pub instead_of: Option<PartId>,
    /// Gate it holds up.
    pub blocks: Option<GateName>,
    /// Day the supplier named, ms.
    pub promised_at: Option<Millis>,
    /// All pieces together, hundredths.
    pub price_cents: Option<i64>,
    /// Postage, hundredths.
    pub postage_cents: Option<i64>,
    /// ISO 4217 code.
    pub currency: String,
    /// Sizes.
    #[serde(flatten)]
    pub size: Size,
    /// Mass of one, mg.
    pub mass_mg: Option<i64>,
    /// Where the mass comes from.
    pub mass_basis: Option<Basis>,
    /// Ratings.
    pub ratings: Vec<Rating>,
    /// Remark.
    pub remark: String,
}

/// A conversion as a place where something sits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Id.
    pub id: ConversionId,
    /// № as people say it.
    pub no: i64,
    /// Title.
    pub title: String,
}

/// One dated step of a part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Event {
    /// Id.
    pub id: PartEventId,
    /// Number within the part.
    pub no: i64,
    /// State from then on.
    pub state: State,
    /// Where it was from then on; `None`: the drawer.
    pub conversion_id: Option<ConversionId>,
    /// № of that conversion.
    #[serde(skip)]
    pub place_no: Option<i64>,
    /// When it happened, ms.
    pub at: Millis,
    /// By whom; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Remark.
    pub remark: String,
    /// Taken back as a mistake, ms.
    pub taken_back_at: Option<Millis>,
    /// The alteration of the model that this step wrote.
    #[serde(skip)]
    pub alteration_id: Option<AlterationId>,
}

/// A part as kept.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Id.
    pub id: PartId,
    /// Number over the whole notebook.
    pub no: i64,
    /// Where it belongs; `None`: the drawer.
    #[serde(skip)]
    pub place: Option<Place>,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Where it stands.
    pub state: State,
    /// The supplier's name; empty when not said.
    #[serde(skip)]
    pub supplier: String,
    /// Its steps, first one first, those taken back included.
    pub events: Vec<Event>,
    /// Put aside, ms.
    pub aside_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

impl Part {
    /// Steps that count, first one first.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = &Event> {
        self.events.iter().filter(|e| e.taken_back_at.is_none())
    }

    /// Day of the newest step into a state, ms.
    pub fn since(&self, state: State) -> Option<Millis> {
        let mut before = None;
        let mut found = None;
        for e in self.steps() {
            if e.state == state && before != Some(state) {
                found = Some(e.at);
            }
            before = Some(e.state);
        }
        found
    }

    /// Day of its newest order that still counts, ms.
    pub fn ordered_at(&self) -> Option<Millis> {
        if self.state.is_wanted() { None } else { self.since(State::Ordered) }
    }

    /// Day it came, ms: the first arrival since the newest order.
    pub fn arrived_at(&self) -> Option<Millis> {
        let mut came = None;
        for e in self.steps() {
            match e.state {
                State::Ordered | State::Wanted => came = None,
                State::Arrived => came = came.or(Some(e.at)),
                _ => {}
            }
        }
        came
    }

    /// The newest step that counts.
    pub fn last_step(&self) -> Option<&Event> {
        self.steps().next_back()
    }

    /// The step before the newest, to which taking that one back leads.
    pub fn step_before(&self) -> Option<&Event> {
        self.steps().rev().nth(1)
    }

    /// Parts of one “this or that” share this.
    pub fn either(&self) -> PartId {
        self.draft.instead_of.unwrap_or(self.id)
    }
}

/// Why a step was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotTaken {
    /// It is fitted: it comes out of one model before it goes to another.
    StillFitted,
    /// A part does not go from the first state to the second.
    NotFrom(State, State),
    /// The step before it was later than this.
    BeforeTheLast,
}

/// Whether a part in `state` since `since` may be in `next` at `at`; all ms. Gives the moment to
/// keep: steps of one day keep their order, whatever time of day was typed.
///
/// Errors: no such step, or a day before the last step's.
pub fn step(
    (state, since): (State, Millis),
    next: State,
    at: Millis,
    same_day: bool,
) -> Result<Millis, NotTaken> {
    if !state.next().contains(&next) {
        return Err(NotTaken::NotFrom(state, next));
    }
    not_before(since, at, same_day)
}

/// A moment not before the last step's; a moment of the same day is moved up to it.
pub fn not_before(since: Millis, at: Millis, same_day: bool) -> Result<Millis, NotTaken> {
    if at >= since || same_day { Ok(at.max(since)) } else { Err(NotTaken::BeforeTheLast) }
}

/// What was spent, by currency in the order it appears, hundredths. Wanted parts cost nothing yet; what was
/// sent back costs its postage.
pub fn spent<'a>(parts: impl IntoIterator<Item = &'a Part>) -> Vec<(String, i64)> {
    let mut out: Vec<(String, i64)> = Vec::new();
    for p in parts.into_iter().filter(|p| !p.state.is_wanted()) {
        let price = if p.state == State::Returned { 0 } else { p.draft.price_cents.unwrap_or(0) };
        let cents = price + p.draft.postage_cents.unwrap_or(0);
        if cents == 0 {
            continue;
        }
        match out.iter_mut().find(|(c, _)| *c == p.draft.currency) {
            Some((_, sum)) => *sum += cents,
            None => out.push((p.draft.currency.clone(), cents)),
        }
    }
    out
}

/// A supplier's form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SupplierDraft {
    /// The household's own name for it.
    pub name: String,
    /// How things come from there.
    pub lane: String,
    /// Remark.
    pub remark: String,
}

/// A supplier as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Supplier {
    /// Id.
    pub id: SupplierId,
    /// What the form says.
    #[serde(flatten)]
    pub draft: SupplierDraft,
    /// Put aside, ms.
    pub aside_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choice::Choice;
    use crate::features::parts::checks::part;

    fn with_steps(states: &[(State, Millis)]) -> Part {
        let mut p = part(1, states.last().unwrap().0);
        p.events = states
            .iter()
            .zip(1..)
            .map(|(&(state, at), no)| Event {
                id: PartEventId::new(),
                no,
                state,
                conversion_id: None,
                place_no: None,
                at,
                person: String::new(),
                remark: String::new(),
                taken_back_at: None,
                alteration_id: None,
            })
            .collect();
        p
    }

    #[test]
    fn nothing_arrives_that_was_not_ordered() {
        for from in [State::Wanted, State::TriedInPaper, State::Dead] {
            assert_eq!(
                step((from, 0), State::Arrived, 5, false),
                Err(NotTaken::NotFrom(from, State::Arrived))
            );
        }
        assert_eq!(step((State::Ordered, 0), State::Arrived, 5, false), Ok(5));
        assert_eq!(step((State::Shipped, 0), State::Arrived, 5, false), Ok(5));
    }

    #[test]
    fn a_step_is_never_before_the_last_one_and_keeps_its_place_within_a_day() {
        let ordered = (State::Ordered, 100);
        assert_eq!(step(ordered, State::Arrived, 99, false), Err(NotTaken::BeforeTheLast));
        assert_eq!(step(ordered, State::Arrived, 99, true), Ok(100));
        assert_eq!(step(ordered, State::Arrived, 101, true), Ok(101));
    }

    #[test]
    fn only_what_is_or_was_here_dies_or_is_sent_back() {
        use State::*;
        let may = |to: State| -> Vec<State> {
            State::ALL.iter().copied().filter(|s| s.next().contains(&to)).collect()
        };
        assert_eq!(may(Dead), [Shipped, Arrived, Proved, Fitted]);
        assert_eq!(may(Returned), [Arrived, Proved, Dead]);
        assert_eq!(may(Fitted), [Arrived, Proved]);
        assert_eq!(may(Proved), [Arrived]);
        assert_eq!(may(Wanted), [TriedInPaper, Ordered]);
    }

    #[test]
    fn every_state_can_be_reached_and_no_state_leads_to_itself() {
        for s in State::ALL {
            assert!(!s.next().contains(s));
            let reached = *s == State::Wanted || State::ALL.iter().any(|f| f.next().contains(s));
            assert!(reached, "{s:?}");
            for n in s.next() {
                assert!(!s.verb(*n).is_empty());
            }
        }
    }

    #[test]
    fn an_order_called_off_no_longer_counts_and_a_move_is_no_new_order() {
        let p = with_steps(&[(State::Ordered, 10), (State::Wanted, 20), (State::Ordered, 30)]);
        assert_eq!(p.ordered_at(), Some(30));
        let p = with_steps(&[(State::Ordered, 10), (State::Wanted, 20)]);
        assert_eq!(p.ordered_at(), None);
        let p = with_steps(&[(State::Ordered, 10), (State::Ordered, 20)]);
        assert_eq!(p.ordered_at(), Some(10));
        let p = with_steps(&[(State::Arrived, 10), (State::Fitted, 20), (State::Arrived, 30)]);
        assert_eq!((p.arrived_at(), p.since(State::Arrived)), (Some(10), Some(30)));
    }

    #[test]
    fn money_counts_from_the_order_on_by_currency() {
        let mut parts = [State::Wanted, State::Ordered, State::Dead, State::Returned]
            .map(|s| part(1, s))
            .to_vec();
        for p in &mut parts {
            (p.draft.price_cents, p.draft.postage_cents) = (Some(1000), Some(250));
            p.draft.currency = "EUR".to_owned();
        }
        parts[2].draft.currency = "GBP".to_owned();
        assert_eq!(spent(&parts), [("EUR".to_owned(), 1500), ("GBP".to_owned(), 1250)]);
    }
}
