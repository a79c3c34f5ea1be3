//! What the calculations of a conversion answer in place of a person at a gate.
//!
//! Heat: the newest run of each part whose readings all still hold, against the limit kept for the
//! conversion. Without a run of the decoder, without a limit, or while the curve cannot tell, nothing
//! is answered and a person's word stands. Store: measured hold-up and voltage; a failure worked out
//! from data sheets is answered too, a pass is not.

use super::known::heat::{Run, runs};
use super::model::Saved;
use super::sheet::Sheet;
use crate::aspect::{Aspect, Finding};
use crate::calc::gates::stale::{ReadingKind, made_stale_by};
use crate::calc::gates::{Observation, ReadingRef, WorkedOut};
use crate::calc::{self, heat, holdup};
use crate::db::Millis;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::readings::model::Reading;
use crate::units::{Rounding, fixed};

/// Every answer there is.
pub fn worked_out(g: &Gathered, saved: &[Saved], at: At) -> Vec<WorkedOut> {
    heat_settled(g, saved).into_iter().chain(store_proved(g, saved, at)).collect()
}

/// Whether anything done since makes an answer to this question old.
fn holds(g: &Gathered, observation: Observation, at: Millis) -> bool {
    made_stale_by(&g.snapshot.alterations, ReadingKind::Seen(observation), at).is_none()
}

/// The input of a run, with the limit and the ambient temperature kept for the conversion.
pub(super) fn heat_input(run: &Run<'_>, saved: Option<&Saved>) -> heat::Input {
    let kept =
        |field: &str| saved.and_then(|s| s.input.get(field)).and_then(serde_json::Value::as_f64);
    heat::Input {
        points: run.points(),
        ambient_c: kept("ambient_c"),
        limit_c: kept("limit_c"),
        level_percent: kept("level_percent").unwrap_or(95.0),
        accuracy: run.accuracy(),
        loss_w: None,
        path_kelvin_per_watt: Vec::new(),
    }
}

fn heat_settled(g: &Gathered, saved: &[Saved]) -> Option<WorkedOut> {
    let kept = saved.iter().find(|s| s.name == "heat" && !s.aside);
    let fresh = runs(&g.readings)
        .into_iter()
        .filter(|run| holds(g, Observation::HeatSettled, run.start()))
        .fold(Vec::<Run<'_>>::new(), |mut newest, run| {
            if !newest.iter().any(|n| n.what == run.what) {
                newest.push(run);
            }
            newest
        });
    let told: Vec<(Run<'_>, heat::Output)> = fresh
        .into_iter()
        .filter_map(|run| {
            let out = heat::run(&heat_input(&run, kept)).ok()?;
            Some((run, out))
        })
        .collect();
    decide(&told)
}

/// The worst verdict of the runs; a pass only where the decoder is among them.
fn decide(told: &[(Run<'_>, heat::Output)]) -> Option<WorkedOut> {
    let worst = |out: &heat::Output| out.findings.iter().max_by_key(|f| f.aspect.rank()).cloned();
    let (run, out, finding) = told
        .iter()
        .filter_map(|(run, out)| Some((run, out, worst(out)?)))
        .max_by_key(|(.., f)| f.aspect.rank())?;
    let decoder = told.iter().any(|(run, _)| run.what.to_lowercase().contains("decoder"));
    if finding.aspect == Aspect::Unlit || (finding.aspect == Aspect::Clear && !decoder) {
        return None;
    }
    let celsius = |c: f64| format!("{}\u{a0}°C", fixed(c, 1, Rounding::Up));
    let reads = match (&out.curve, out.highest_c) {
        (Some(curve), _) => format!("settles at {}", celsius(curve.final_c.hi)),
        (None, Some(highest)) => format!("reads {}", celsius(highest)),
        (None, None) => "not read".to_owned(),
    };
    let sentence = format!("{}, run {}: {}", run.what, run.no, finding.sentence);
    let mut finding = Finding { sentence, ..finding };
    finding = finding.input("run", format!("{} of {}", run.no, run.what));
    Some(WorkedOut {
        observation: Observation::HeatSettled,
        reads,
        finding,
        readings: run.readings.iter().map(|r| reference(r, run)).collect(),
    })
}

fn reference(r: &Reading, run: &Run<'_>) -> ReadingRef {
    ReadingRef {
        id: r.id.to_string(),
        no: r.no,
        what: format!("temperature of {}, run {}", run.what, run.no),
        reads: r.reads(),
        taken_at_ms: r.draft.taken_at,
        who: r.person.clone(),
        instrument: r.instrument.clone(),
        stale: None,
    }
}

/// The store: its voltage and its hold-up, where an input was kept and nothing changed since.
fn store_proved(g: &Gathered, saved: &[Saved], at: At) -> Option<WorkedOut> {
    let kept = saved.iter().find(|s| s.name == "holdup" && !s.aside)?;
    if !holds(g, Observation::StoreProved, kept.at) {
        return None;
    }
    let sheet = Sheet::of(g, calc::find("holdup")?, saved, at);
    let whole = sheet.whole(&sheet.written());
    let input: holdup::Input = serde_json::from_value(whole).ok()?;
    let out = holdup::run(&input).ok()?;
    let (reads, finding) = proof(&input, &out)?;
    Some(WorkedOut {
        observation: Observation::StoreProved,
        reads,
        finding,
        readings: vec![ReadingRef {
            id: kept.id.to_string(),
            no: 0,
            what: "hold-up store, as kept".to_owned(),
            reads: "worked out".to_owned(),
            taken_at_ms: kept.at,
            who: kept.person.clone(),
            instrument: String::new(),
            stale: None,
        }],
    })
}

/// The verdict on a store: the worst of voltage, hold-up, programming where it was tried, and every
/// danger besides: a computed failure shows at once.
fn proof(input: &holdup::Input, out: &holdup::Output) -> Option<(String, Finding)> {
    let mut counted: Vec<&Finding> = out.findings.iter().take(2).collect();
    let programming = out.findings.get(2).filter(|f| f.aspect != Aspect::Unlit);
    counted.extend(programming);
    counted.extend(out.findings.iter().skip(3).filter(|f| f.aspect == Aspect::Danger));
    let worst = counted.into_iter().max_by_key(|f| f.aspect.rank())?;
    if worst.aspect == Aspect::Unlit {
        return None;
    }
    let time = |s: f64, rounding| format!("{}\u{a0}s", fixed(s, 2, rounding));
    let reads = match (input.measured.hold_s, out.hold) {
        (Some(s), _) => format!("held {}", time(s, Rounding::Down)),
        (None, Some(h)) => format!("{} worked out", time(h.time_s.lo, Rounding::Down)),
        (None, None) => "not measured".to_owned(),
    };
    Some((reads, worst.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::db::ReadingId;
    use crate::features::readings::model::{Draft, Kind, Outcome};

    fn log(what: &str, temps: &[(i64, f64)]) -> Vec<Reading> {
        let one = |(i, (minutes, temp)): (usize, &(i64, f64))| {
            let mut draft =
                Draft::new(Kind::Temperature, Outcome::Value(*temp), "", minutes * 60_000);
            what.clone_into(&mut draft.point_a);
            "run 1".clone_into(&mut draft.point_b);
            Reading {
                id: ReadingId::new(),
                no: i64::try_from(i).unwrap() + 1,
                draft,
                entered_at: 0,
                person: "Ines".into(),
                instrument: String::new(),
                taken_back_at: None,
                version: 1,
            }
        };
        temps.iter().enumerate().map(one).collect()
    }

    /// T_a 22, dT 40, tau 10 min: settles at 62 °C.
    const RISE: [(i64, f64); 9] = [
        (0, 22.0),
        (5, 37.7),
        (10, 47.3),
        (15, 53.1),
        (20, 56.6),
        (25, 58.7),
        (30, 60.0),
        (40, 61.3),
        (50, 61.7),
    ];

    fn told(what: &str, temps: &[(i64, f64)], limit_c: Option<f64>) -> Option<WorkedOut> {
        let readings = log(what, temps);
        let run = runs(&readings).remove(0);
        let input = heat::Input { limit_c, ..heat_input(&run, None) };
        let out = heat::run(&input).unwrap();
        decide(&[(run, out)])
    }

    #[test]
    fn a_run_of_the_decoder_that_settles_below_its_limit_is_clear() {
        let w = told("decoder", &RISE, Some(70.0)).unwrap();
        assert_eq!(w.finding.aspect, Aspect::Clear, "{:?}", w.finding);
        assert_eq!(w.readings.len(), RISE.len());
        assert!(w.reads.starts_with("settles at 6"), "{}", w.reads);
    }

    #[test]
    fn one_above_its_limit_is_danger() {
        let w = told("decoder", &RISE, Some(60.0)).unwrap();
        assert_eq!(w.finding.aspect, Aspect::Danger);
        assert!(w.finding.sentence.starts_with("decoder, run 1: Stop now"));
    }

    #[test]
    fn what_cannot_tell_leaves_the_persons_word() {
        assert_eq!(told("decoder", &RISE, None), None);
        assert_eq!(told("decoder", &RISE[..2], Some(70.0)), None);
        assert_eq!(told("motor", &RISE, Some(70.0)), None, "the decoder was not measured");
        assert!(told("motor", &RISE, Some(60.0)).is_some(), "a failure shows at once");
    }

    fn store(json: serde_json::Value) -> Option<(String, Finding)> {
        let input: holdup::Input = serde_json::from_value(json).unwrap();
        proof(&input, &holdup::run(&input).unwrap())
    }

    #[test]
    fn a_string_that_may_burst_a_cell_is_danger_whatever_it_holds() {
        let input = serde_json::json!({
            "store": { "cell_f": 1.0, "series": 6, "esr_ohm": 0.2, "rating_v": 2.7, "kind": "double_layer" },
            "supply": { "track_v": 15.0, "highest_track_v": 15.0 },
            "load": { "current_a": 0.25, "cutoff_v": 7.0 },
            "crossing": { "wanted_s": 0.5 },
            "measured": { "hold_s": 2.0 },
        });
        let (_, finding) = store(input).unwrap();
        assert_eq!(finding.aspect, Aspect::Danger);
        assert!(finding.sentence.starts_with("Without balancing"), "{}", finding.sentence);
    }

    #[test]
    fn a_store_is_clear_only_when_its_time_was_measured() {
        let mut input = serde_json::json!({
            "store": { "cell_f": 1.0, "series": 6, "esr_ohm": 0.2, "rating_v": 2.7, "balance_ohm": 1000.0, "kind": "double_layer" },
            "supply": { "track_v": 14.0, "highest_track_v": 14.0, "full_v": 12.6 },
            "load": { "current_a": 0.25, "cutoff_v": 7.0 },
            "crossing": { "wanted_s": 0.5 },
        });
        let planned = store(input.clone());
        assert!(planned.is_none_or(|(_, f)| f.aspect != Aspect::Clear));
        input["measured"] = serde_json::json!({ "hold_s": 2.0 });
        let measured = store(input.clone());
        input["measured"] = serde_json::json!({ "hold_s": 0.2 });
        let short = store(input).unwrap();
        assert_eq!(short.1.aspect, Aspect::Danger);
        assert!(short.0.contains("held 0.20"));
        if let Some((reads, f)) = measured {
            assert_ne!(f.aspect, Aspect::Danger, "{f:?}");
            assert!(reads.contains("held 2.00"));
        }
    }
}
