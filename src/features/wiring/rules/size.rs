//! Whether a wire carries its current, and how much wire of each size is needed.

use super::Found;
use crate::aspect::{Aspect, Finding};
use crate::calc::gates::WireJob;
use crate::calc::wire;
use crate::choice::Choice;
use crate::features::conversions::model::thousandths;
use crate::features::wiring::gauge::Gauge;
use crate::features::wiring::model::{State, Wire};
use crate::features::wiring::standard::Terminal;
use crate::units::{Rounding, amps, exact, fixed};

/// A current with what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Amps {
    /// Upper end, A, above 0.
    pub most_a: f64,
    /// `held on the decoder, load test 2`, `rating of the motor output`.
    pub what: String,
}

/// Currents the notebook knows; `None`: not known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Currents {
    /// Through a motor lead.
    pub motor: Option<Amps>,
    /// Through a track lead.
    pub rail: Option<Amps>,
    /// Through the common of the functions.
    pub common: Option<Amps>,
    /// Through function outputs.
    pub outputs: Vec<(Terminal, Amps)>,
}

impl Currents {
    fn of(&self, t: Terminal) -> Option<&Amps> {
        match t {
            Terminal::CommonPlus => self.common.as_ref(),
            _ => match t.job() {
                WireJob::Rail => self.rail.as_ref(),
                WireJob::Motor => self.motor.as_ref(),
                _ => self.outputs.iter().find(|(of, _)| *of == t).map(|(_, a)| a),
            },
        }
    }
}

const FORMULA: &str = "clear up to the chassis-wiring guide (short leads in open air; judgement, no source), \
                       danger above every guide";
const SOURCE: &str =
    "chassis-wiring table, from memory; hobby-laboratory table; 700 circular mil per A";

/// The verdict on a wire's size; `None` where it carries its current, and for free wires.
pub(super) fn carries(w: &Wire, currents: &Currents) -> Option<Found> {
    let terminal = w.draft.terminal;
    if terminal == Terminal::Free {
        return None;
    }
    let name = format!("Wire {}, {}", w.no, terminal.word());
    let job = terminal.job();
    let counts = matches!(job, WireJob::Rail | WireJob::Motor);
    let unlit = |sentence: String, change: &str| {
        let finding = Finding::unlit(sentence, change).formula(FORMULA).source(SOURCE);
        Some(Found { counts, ..Found::new(finding, vec![w.no]) })
    };
    let Some(current) = currents.of(terminal) else {
        let change = match job {
            WireJob::Motor | WireJob::Rail => {
                "A load test with the motor held, or the decoder’s ratings."
            }
            WireJob::Function => "The load on this output with its current.",
            _ => "No current is kept for it yet, so it is not judged.",
        };
        return unlit(
            format!("{name}: its current is not known, nor whether it carries it."),
            change,
        );
    };
    let Some(gauge) = w.draft.gauge else {
        return unlit(
            format!(
                "{name}: its gauge is not written, nor whether it carries {}.",
                amps(current.most_a)
            ),
            "The gauge of this wire.",
        );
    };
    judged(w, &name, gauge, current).map(|f| Found::new(f, vec![w.no]))
}

/// Held against the guides by `calc::wire`; `None` where it is clear.
fn judged(w: &Wire, name: &str, gauge: Gauge, current: &Amps) -> Option<Finding> {
    let length = w.draft.length_um.map_or(1.0, |um| 2.0 * thousandths(um)).max(1.0);
    let input = wire::Input {
        awg: match gauge {
            Gauge::Awg(n) => i32::try_from(n).ok(),
            Gauge::Area(_) => None,
        },
        diameter_mm: None,
        area_mm2: match gauge {
            Gauge::Area(_) => Some(gauge.mm2()),
            Gauge::Awg(_) => None,
        },
        stranded: None,
        loop_mm: length,
        current_a: current.most_a,
        current_meter: None,
        copper_c: None,
        most_drop_v: None,
        job: None,
        size: None,
    };
    let size = wire::run(&input).ok()?.wire?;
    let guides = [size.generous_a, size.laboratory_a, Some(size.careful_a)];
    let most = guides.into_iter().flatten().fold(0.0, f64::max);
    let chassis = size.generous_a.unwrap_or(size.careful_a);
    let two = |v: f64| format!("{}\u{a0}A", fixed(v, 2, Rounding::Down));
    let (aspect, text) = if current.most_a > most {
        (Aspect::Danger, format!("it is too thin; no guide lets it carry more than {}", two(most)))
    } else if current.most_a > chassis {
        let text = format!(
            "the chassis-wiring guide lets it carry {}, another {}",
            two(chassis),
            two(most)
        );
        (Aspect::Caution, text)
    } else {
        return None;
    };
    let finding = Finding::new(
        aspect,
        format!("{name}: {} through {}; {text}.", amps(current.most_a), gauge.words()),
    )
    .input("current", format!("{}, {}", amps(current.most_a), current.what))
    .input("chassis-wiring guide", two(chassis))
    .input("careful guide, 700 circular mil per A", two(size.careful_a))
    .input("laboratory table", size.laboratory_a.map_or_else(|| "no row".to_owned(), two))
    .formula(FORMULA)
    .source(SOURCE)
    .would_change("A thicker wire, or less current.");
    Some(finding)
}

/// How much wire of one size the list holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Total {
    /// Size; `None`: not written.
    pub gauge: Option<Gauge>,
    /// Colours of the wires that are only planned: that of the standard where none was found.
    pub colours: Vec<&'static str>,
    /// Length of the planned wires, µm: to be ordered.
    pub planned_um: i64,
    /// Length of all of them, µm.
    pub all_um: i64,
    /// How many have no length written.
    pub without: usize,
}

impl Total {
    /// Millimetres, rounded up.
    pub fn mm(um: i64) -> String {
        format!("{}\u{a0}mm", exact(thousandths(um).ceil()))
    }
}

/// Lengths by size, thickest first; wires taken out and put aside are left out.
pub fn totals(wires: &[Wire]) -> Vec<Total> {
    let mut out: Vec<Total> = Vec::new();
    for w in wires.iter().filter(|w| w.draft.state.counts() && w.aside_at.is_none()) {
        let d = &w.draft;
        let i = out.iter().position(|t| t.gauge == d.gauge).unwrap_or_else(|| {
            let (colours, planned_um, all_um, without) = (Vec::new(), 0, 0, 0);
            out.push(Total { gauge: d.gauge, colours, planned_um, all_um, without });
            out.len() - 1
        });
        let Some(total) = out.get_mut(i) else { continue };
        total.all_um += d.length_um.unwrap_or(0);
        total.without += usize::from(d.length_um.is_none());
        if d.state == State::Planned {
            total.planned_um += d.length_um.unwrap_or(0);
            let colour = d.colour.or(d.terminal.standard().map(|s| s.colour));
            let label = colour.map(Choice::label).filter(|l| !total.colours.contains(l));
            total.colours.extend(label);
        }
    }
    let thick = |t: &Total| t.gauge.map_or(0.0, Gauge::mm2);
    out.sort_by(|a, b| thick(b).total_cmp(&thick(a)));
    out
}
