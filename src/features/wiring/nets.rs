//! What wires join: points that become one. Pure.

use super::model::{End, Place, Wire, same_words};
use super::standard::Terminal;

/// Points joined by wires, and the wires that do it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Net {
    /// Leads of the decoder in it.
    pub terminals: Vec<Terminal>,
    /// Places in it.
    pub ends: Vec<End>,
    /// Numbers of its wires, in order.
    pub wires: Vec<i64>,
}

impl Net {
    /// Whether a terminal is in it.
    pub fn has(&self, terminal: Terminal) -> bool {
        self.terminals.contains(&terminal)
    }

    /// Whether a kind of place is in it.
    pub fn is_at(&self, place: Place) -> bool {
        self.ends.iter().any(|e| e.place == place)
    }

    fn take_in(&mut self, other: Net) {
        self.terminals.extend(other.terminals);
        self.ends.extend(other.ends);
        self.wires.extend(other.wires);
        self.wires.sort_unstable();
        self.wires.dedup();
    }
}

/// The nets of the wires that count, removed ones left out.
pub fn nets(wires: &[Wire]) -> Vec<Net> {
    let mut out: Vec<Net> = Vec::new();
    for wire in wires.iter().filter(|w| w.draft.state.counts()) {
        let mut net = Net { wires: vec![wire.no], ..Net::default() };
        let free = wire.draft.from.is_some();
        match &wire.draft.from {
            Some(end) => net.ends.push(end.clone()),
            None => net.terminals.push(wire.draft.terminal),
        }
        net.ends.push(wire.draft.to.clone());
        let (same, apart): (Vec<Net>, Vec<Net>) =
            out.into_iter().partition(|n| touches(n, &net, free, wires));
        out = apart;
        for one in same {
            net.take_in(one);
        }
        out.push(net);
    }
    for net in &mut out {
        net.terminals.dedup();
    }
    out.sort_by(|a, b| a.wires.cmp(&b.wires));
    out
}

/// Whether a net shares a point with the net of one more wire.
fn touches(net: &Net, new: &Net, free: bool, wires: &[Wire]) -> bool {
    if new.terminals.iter().any(|t| net.has(*t)) {
        return true;
    }
    new.ends.iter().any(|a| {
        net.ends.iter().any(|b| {
            if a.place.is_one() || b.place.is_one() {
                return a.is_at(b);
            }
            if a.place != b.place || a.name.is_empty() || !same_words(&a.name, &b.name) {
                return false;
            }
            // A lamp, a speaker and a store have two tags, often under one name: two leads of the decoder on
            // it are two tags. A free wire goes on from the tag that has the name.
            let one_tag = matches!(a.place, Place::Joint | Place::Other);
            one_tag || free || comes_by_a_free_wire(net, b, wires)
        })
    })
}

fn comes_by_a_free_wire(net: &Net, end: &End, wires: &[Wire]) -> bool {
    let is_end = |w: &Wire| w.draft.to.is_at(end) || w.draft.from.as_ref() == Some(end);
    wires.iter().any(|w| net.wires.contains(&w.no) && w.draft.from.is_some() && is_end(w))
}

#[cfg(test)]
mod tests {
    use super::super::model::{State, tests::draft};
    use super::*;

    fn end(place: Place, name: &str) -> End {
        End { place, name: name.into() }
    }

    fn wire(no: i64, terminal: Terminal, to: (Place, &str)) -> Wire {
        let mut d = draft(terminal, to.0);
        d.to.name = to.1.into();
        Wire::new(d, no, 0)
    }

    fn free(no: i64, from: (Place, &str), to: (Place, &str)) -> Wire {
        let mut w = wire(no, Terminal::Free, to);
        w.draft.from = Some(end(from.0, from.1));
        w
    }

    #[test]
    fn a_rail_is_one_point_whatever_the_wiper_is_called() {
        let all = [
            wire(1, Terminal::TrackRight, (Place::RailRight, "front wiper")),
            free(2, (Place::RailRight, "rear wiper"), (Place::BrushA, "")),
        ];
        let nets = nets(&all);
        assert_eq!(nets.len(), 1);
        assert_eq!(nets[0].wires, [1, 2]);
        assert!(nets[0].is_at(Place::BrushA) && nets[0].has(Terminal::TrackRight));
    }

    #[test]
    fn a_joint_leads_on_and_a_late_wire_joins_two_nets() {
        let all = [
            wire(1, Terminal::CommonPlus, (Place::Joint, "joint 1")),
            wire(2, Terminal::LightFront, (Place::Lamp, "front")),
            free(3, (Place::Joint, "Joint 1"), (Place::LampPlus, "front")),
            free(4, (Place::LampPlus, "front"), (Place::Lamp, "front")),
        ];
        assert_eq!(nets(&all[..3]).len(), 2);
        let joined = nets(&all);
        assert_eq!(joined.len(), 1);
        assert_eq!(joined[0].wires, [1, 2, 3, 4]);
    }

    #[test]
    fn two_leads_on_one_name_are_two_tags() {
        let all = [
            wire(1, Terminal::SpeakerA, (Place::Speaker, "speaker")),
            wire(2, Terminal::SpeakerB, (Place::Speaker, "speaker")),
            wire(3, Terminal::StorePlus, (Place::Store, "")),
            wire(4, Terminal::StoreMinus, (Place::Store, "")),
        ];
        assert_eq!(nets(&all).len(), 4);
    }

    #[test]
    fn a_removed_wire_joins_nothing() {
        let mut w = wire(1, Terminal::MotorPlus, (Place::Frame, ""));
        w.draft.state = State::Removed;
        assert_eq!(nets(&[w]), []);
    }
}
