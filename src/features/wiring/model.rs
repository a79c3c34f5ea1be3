//! A wire: what is decided, what was found, and how far it is.

use super::gauge::Gauge;
use super::standard::{Colour, Terminal};
use crate::choice::Choice;
use crate::choices;
use crate::db::{Millis, WireId};
use serde::Serialize;

choices! {
    /// Kind of place a wire ends at. Right and left are those of a person looking forward.
    pub enum Place = "place" {
        RailRight = "rail_right", "right rail: wiper, wheel or its frame half";
        RailLeft = "rail_left", "left rail: wiper, wheel or its frame half";
        Frame = "frame", "frame, weight or other metal of the chassis";
        BrushA = "brush_a", "motor, brush A";
        BrushB = "brush_b", "motor, brush B";
        Lamp = "lamp", "lamp or LED, the switched side";
        LampPlus = "lamp_plus", "lamp or LED, the common side";
        Speaker = "speaker", "speaker tag";
        Store = "store", "store, a tag of it";
        Joint = "joint", "joint, plug or pad";
        Other = "other", "something else";
    }
}

impl Place {
    /// Name in sentences: `right rail`.
    pub fn word(self) -> &'static str {
        match self {
            Place::RailRight => "right rail",
            Place::RailLeft => "left rail",
            Place::Frame => "frame",
            Place::BrushA => "brush A",
            Place::BrushB => "brush B",
            Place::Lamp => "lamp",
            Place::LampPlus => "lamp, common side",
            Place::Speaker => "speaker tag",
            Place::Store => "store",
            Place::Joint => "joint",
            Place::Other => "something else",
        }
    }

    /// There is one of it, electrically, so that its name is only a remark.
    pub fn is_one(self) -> bool {
        matches!(
            self,
            Place::RailRight | Place::RailLeft | Place::Frame | Place::BrushA | Place::BrushB
        )
    }
}

choices! {
    /// How an end is joined.
    pub enum Joint = "kind of joint" {
        Solder = "solder", "soldered";
        Plug = "plug", "plug";
        Screw = "screw", "screw or tag";
        Crimp = "crimp", "crimped";
        Clip = "clip", "clip or spring";
        Pad = "pad", "soldered to a pad of a board";
        Other = "other", "something else";
    }
}

choices! {
    /// How far a wire is.
    pub enum State = "state" {
        Planned = "planned", "planned";
        Done = "done", "done: it is in";
        Proved = "proved", "proved: measured end to end, and against its neighbours";
        Changed = "changed", "changed since: to be proved again";
        Removed = "removed", "removed: taken out";
    }
}

impl State {
    /// The word alone.
    pub fn word(self) -> &'static str {
        self.code()
    }

    /// It is in the model, or meant to be.
    pub fn counts(self) -> bool {
        self != State::Removed
    }
}

/// One end of a wire.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct End {
    /// Kind of place.
    pub place: Place,
    /// Which one, in the person's words; may be empty.
    pub name: String,
}

impl End {
    /// `brush A`, `right rail, front wiper`, `front lamp`.
    pub fn words(&self) -> String {
        let (word, name) = (self.place.word(), self.name.as_str());
        if name.is_empty() {
            return word.to_owned();
        }
        let said = name.to_lowercase().contains(word) && !self.place.is_one();
        if said || matches!(self.place, Place::Lamp | Place::Speaker | Place::Other) {
            return name.to_owned();
        }
        format!("{word}, {name}")
    }

    /// Two ends at one place are the same point of the circuit.
    pub fn is_at(&self, other: &End) -> bool {
        self.place == other.place && (self.place.is_one() || same_words(&self.name, &other.name))
    }
}

/// Whether two names say the same: case and spaces aside.
pub fn same_words(a: &str, b: &str) -> bool {
    let plain = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    plain(a) == plain(b)
}

/// What the form says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Draft {
    /// Lead of the decoder it begins at.
    pub terminal: Terminal,
    /// Where a free wire begins; `None`: at the terminal.
    pub from: Option<End>,
    /// Where it ends.
    pub to: End,
    /// Colour found; `None`: not looked at.
    pub colour: Option<Colour>,
    /// Size.
    pub gauge: Option<Gauge>,
    /// Length, µm.
    pub length_um: Option<i64>,
    /// Both ends sleeved.
    pub sleeved: bool,
    /// How its ends are joined.
    pub joint: Joint,
    /// Why so.
    pub why: String,
    /// How far it is.
    pub state: State,
}

impl Draft {
    /// Whether what is in the model differs: ends, colour, size, joint, sleeve. Length and reason don't.
    fn differs_in_metal(&self, other: &Draft) -> bool {
        let of = |d: &Draft| {
            (d.terminal, d.from.clone(), d.to.clone(), d.colour, d.gauge, d.joint, d.sleeved)
        };
        of(self) != of(other)
    }
}

/// A wire as kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Wire {
    /// Id.
    pub id: WireId,
    /// Number within the conversion.
    pub no: i64,
    /// What the form says.
    #[serde(flatten)]
    pub draft: Draft,
    /// Put in, altered or taken out last, ms; `None`: only planned.
    pub altered_at: Option<Millis>,
    /// Proved, ms; `None`: not, or no longer.
    pub proved_at: Option<Millis>,
    /// Who altered or proved it last; empty when not said.
    #[serde(skip)]
    pub person: String,
    /// Put aside, ms.
    pub aside_at: Option<Millis>,
    /// Version.
    pub version: i64,
}

/// Why a wire can't be written so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotSo {
    /// Field of the form.
    pub field: &'static str,
    /// One sentence, what to do.
    pub why: &'static str,
}

fn not_so(field: &'static str, why: &'static str) -> Result<(), NotSo> {
    Err(NotSo { field, why })
}

impl Wire {
    /// `wire 3, motor +`.
    pub fn title(&self) -> String {
        format!("wire {}, {}", self.no, self.draft.terminal.word())
    }

    /// Where it begins: `motor +`, or a place.
    pub fn begins(&self) -> String {
        self.draft.from.as_ref().map_or(self.draft.terminal.word().to_owned(), End::words)
    }

    /// A new wire.
    pub fn new(draft: Draft, no: i64, at: Millis) -> Wire {
        let altered_at = (draft.state != State::Planned).then_some(at);
        let proved_at = (draft.state == State::Proved).then_some(at);
        let (id, person) = (WireId::new(), String::new());
        Wire { id, no, draft, altered_at, proved_at, person, aside_at: None, version: 1 }
    }

    /// The wire as written anew. What is in and differs in metal is *changed*: its proof lapses, and what
    /// was measured with it is asked for again. `at`: when it was done.
    ///
    /// Errors: the state can't follow on the one it had, or a wire that is in would get another job, so that
    /// nobody could tell what to measure again.
    pub fn rewritten(&self, mut draft: Draft, at: Millis) -> Result<Wire, NotSo> {
        let old = self.draft.state;
        follows(old, draft.state)?;
        let in_before = matches!(old, State::Done | State::Proved | State::Changed);
        let in_after = matches!(draft.state, State::Done | State::Proved | State::Changed);
        if in_before && draft.terminal.job() != self.draft.terminal.job() {
            not_so(
                "terminal",
                "It is in as a wire for something else. Say it is removed, and write the new one down by itself.",
            )?;
        }
        let other_metal = in_before && in_after && draft.differs_in_metal(&self.draft);
        if other_metal && (draft.state == old || draft.state == State::Done) {
            draft.state = State::Changed;
        }
        let said_changed = draft.state == State::Changed && old != State::Changed;
        let moved = other_metal || said_changed || in_before != in_after;
        let altered_at = match draft.state {
            State::Planned => None,
            _ if moved => Some(at),
            _ => self.altered_at.or(Some(at)),
        };
        let proved_at = match (draft.state, old) {
            (State::Proved, State::Proved) => self.proved_at.or(Some(at)),
            (State::Proved, _) => Some(at),
            _ => None,
        };
        Ok(Wire { draft, altered_at, proved_at, version: self.version + 1, ..self.clone() })
    }
}

/// Whether one state may follow on another.
fn follows(old: State, new: State) -> Result<(), NotSo> {
    use State::{Changed, Done, Planned, Proved, Removed};
    match (old, new) {
        (Done | Proved | Changed, Planned) => not_so(
            "state",
            "It is in already. Say removed once it is out, or put it aside if that was a mistake.",
        ),
        (Planned, Changed) => not_so(
            "state",
            "It was only planned, so nothing was changed on the model. Say planned or done.",
        ),
        (Planned, Removed) => not_so(
            "state",
            "It was only planned, so there is nothing to take out. Put it aside instead.",
        ),
        (Removed, Planned) => {
            not_so("state", "It was taken out. Leave it removed and plan a new wire.")
        }
        (Removed, Changed | Proved) => {
            not_so("state", "It was taken out. Say done once it is in again, then prove it.")
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub fn draft(terminal: Terminal, to: Place) -> Draft {
        Draft {
            terminal,
            from: None,
            to: End { place: to, name: String::new() },
            colour: terminal.standard().map(|s| s.colour),
            gauge: Some(Gauge::Awg(28)),
            length_um: Some(50_000),
            sleeved: true,
            joint: Joint::Solder,
            why: String::new(),
            state: State::Proved,
        }
    }

    fn wire(state: State) -> Wire {
        Wire::new(Draft { state, ..draft(Terminal::MotorPlus, Place::BrushA) }, 3, 100)
    }

    #[test]
    fn planned_touches_nothing_and_is_never_proved() {
        let w = wire(State::Planned);
        assert_eq!((w.altered_at, w.proved_at), (None, None));
        let done = w.rewritten(Draft { state: State::Done, ..w.draft.clone() }, 200).unwrap();
        assert_eq!((done.altered_at, done.proved_at), (Some(200), None));
        let proved = done.rewritten(Draft { state: State::Proved, ..done.draft.clone() }, 300);
        let proved = proved.unwrap();
        assert_eq!((proved.altered_at, proved.proved_at), (Some(200), Some(300)));
        // a length added later neither alters the model nor loses the proof
        let longer = Draft { length_um: Some(70_000), ..proved.draft.clone() };
        let longer = proved.rewritten(longer, 400).unwrap();
        assert_eq!((longer.altered_at, longer.proved_at), (Some(200), Some(300)));
    }

    #[test]
    fn another_end_or_colour_of_a_proved_wire_loses_the_proof() {
        let w = wire(State::Proved);
        let other =
            Draft { to: End { place: Place::BrushB, name: String::new() }, ..w.draft.clone() };
        let changed = w.rewritten(other, 500).unwrap();
        assert_eq!(changed.draft.state, State::Changed);
        assert_eq!((changed.altered_at, changed.proved_at), (Some(500), None));
        let colour = Draft { colour: Some(Colour::Pink), ..w.draft.clone() };
        assert_eq!(w.rewritten(colour, 500).unwrap().draft.state, State::Changed);
        // proved again, the moment of the change stays
        let again = Draft { state: State::Proved, ..changed.draft.clone() };
        let again = changed.rewritten(again, 600).unwrap();
        assert_eq!((again.altered_at, again.proved_at), (Some(500), Some(600)));
    }

    #[test]
    fn a_wire_taken_out_has_altered_the_model_too() {
        let w = wire(State::Done);
        let out = w.rewritten(Draft { state: State::Removed, ..w.draft.clone() }, 700).unwrap();
        assert_eq!((out.altered_at, out.proved_at), (Some(700), None));
    }

    #[test]
    fn states_that_can_not_follow_say_what_to_do() {
        for (old, new) in [
            (State::Done, State::Planned),
            (State::Proved, State::Planned),
            (State::Planned, State::Removed),
            (State::Planned, State::Changed),
            (State::Removed, State::Proved),
            (State::Removed, State::Planned),
        ] {
            let w = wire(old);
            let refused = w.rewritten(Draft { state: new, ..w.draft.clone() }, 9).unwrap_err();
            assert!(refused.why.ends_with('.'), "{old:?} {new:?}");
            assert_eq!(refused.field, "state");
        }
    }

    #[test]
    fn a_wire_that_is_in_keeps_its_job() {
        let w = wire(State::Done);
        let to_lamp = Draft { terminal: Terminal::Function1, ..w.draft.clone() };
        assert_eq!(w.rewritten(to_lamp.clone(), 9).unwrap_err().field, "terminal");
        let minus = Draft { terminal: Terminal::MotorMinus, ..w.draft.clone() };
        assert_eq!(w.rewritten(minus, 9).unwrap().altered_at, Some(9));
        let planned = wire(State::Planned);
        let to_lamp = Draft { state: State::Planned, ..to_lamp };
        assert_eq!(planned.rewritten(to_lamp, 9).unwrap().altered_at, None);
    }

    #[test]
    fn ends_are_named_as_people_say_them() {
        let end = |place, name: &str| End { place, name: name.into() };
        assert_eq!(end(Place::BrushA, "").words(), "brush A");
        assert_eq!(end(Place::RailRight, "front wiper").words(), "right rail, front wiper");
        assert_eq!(end(Place::Lamp, "front lamp").words(), "front lamp");
        assert_eq!(end(Place::Joint, "joint 1").words(), "joint 1");
        assert_eq!(end(Place::Joint, "under the cab").words(), "joint, under the cab");
        assert!(end(Place::Frame, "weight").is_at(&end(Place::Frame, "screw")));
        assert!(end(Place::Joint, "Joint  1").is_at(&end(Place::Joint, "joint 1")));
        assert!(!end(Place::Lamp, "front").is_at(&end(Place::Lamp, "rear")));
    }
}
