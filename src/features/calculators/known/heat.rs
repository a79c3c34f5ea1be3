//! Temperature runs: which readings belong to one run, when it began, and what they say together.

use super::motor::accuracy_json;
use super::{From, Known, instruments};
use crate::calc::heat::Point;
use crate::db::Millis;
use crate::features::readings::model::{Kind, Reading};
use crate::units::Accuracy;
use serde_json::json;

/// The readings of one run, oldest first. It begins with the first of them, which is read before
/// switching on.
#[derive(Debug, Clone)]
pub struct Run<'a> {
    /// Of what: decoder, motor.
    pub what: String,
    /// Its number within the conversion.
    pub no: i64,
    /// Its readings, oldest first, of one moment the last written.
    pub readings: Vec<&'a Reading>,
}

/// How a reading says which run it belongs to.
pub fn label(no: i64) -> String {
    format!("run {no}")
}

/// The number in a label.
fn number(label: &str) -> Option<i64> {
    label.strip_prefix("run ")?.parse().ok().filter(|n| *n > 0)
}

/// Every run of these readings, the one read last first.
pub fn runs(readings: &[Reading]) -> Vec<Run<'_>> {
    let mut out: Vec<Run<'_>> = Vec::new();
    for r in readings {
        let d = &r.draft;
        if d.kind != Kind::Temperature || d.outcome.value().is_none() {
            continue;
        }
        let Some(no) = number(&d.point_b) else { continue };
        match out.iter_mut().find(|run| run.no == no && run.what == d.point_a) {
            Some(run) => run.readings.push(r),
            None => out.push(Run { what: d.point_a.clone(), no, readings: vec![r] }),
        }
    }
    for run in &mut out {
        run.readings.sort_by_key(|r| (r.draft.taken_at, r.no));
        run.readings.reverse();
        run.readings.dedup_by_key(|r| r.draft.taken_at);
        run.readings.reverse();
    }
    out.sort_by_key(|run| std::cmp::Reverse(run.last()));
    out
}

impl Run<'_> {
    /// When it began, ms.
    pub fn start(&self) -> Millis {
        self.readings.first().map_or(0, |r| r.draft.taken_at)
    }

    /// When it was read last, ms.
    pub fn last(&self) -> Millis {
        self.readings.last().map_or(0, |r| r.draft.taken_at)
    }

    /// Time of a moment since the beginning, s.
    #[expect(clippy::cast_precision_loss, reason = "times of one notebook are far below 2^53 ms")]
    pub fn seconds(&self, at: Millis) -> f64 {
        (at - self.start()) as f64 / 1000.0
    }

    /// Its readings as points.
    pub fn points(&self) -> Vec<Point> {
        let point = |r: &&Reading| {
            let temp_c = r.draft.outcome.value()?;
            Some(Point { time_s: self.seconds(r.draft.taken_at), temp_c })
        };
        self.readings.iter().filter_map(point).collect()
    }

    /// The widest accuracy of the thermometers that read it.
    pub fn accuracy(&self) -> Option<Accuracy> {
        let known = self.readings.iter();
        let known = known.filter_map(|r| Some((r.draft.accuracy?, r.draft.outcome.value()?)));
        known.max_by(|a, b| a.0.spread(a.1).total_cmp(&b.0.spread(b.1))).map(|(a, _)| a)
    }
}

/// The run read last.
pub(super) fn known(from: &From<'_>) -> Known {
    let mut k = Known::default();
    let runs = runs(&from.g.readings);
    let Some(run) = runs.first() else {
        k.notes.push(from.page("No temperatures are logged yet: begin a run.", "/heat"));
        return k;
    };
    let words = format!("{} readings of {}, {}", run.readings.len(), label(run.no), run.what);
    k.json.insert("points".to_owned(), json!(run.points()));
    k.fixed.push(("points", from.page(&words, &format!("/heat?run={}", run.no))));
    if let Some(accuracy) = run.accuracy() {
        let origin = instruments("the thermometer named");
        k.put("accuracy", accuracy_json(accuracy), origin);
    }
    k
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::db::ReadingId;
    use crate::features::readings::model::{Draft, Outcome};

    fn reading(no: i64, run: &str, at: Millis, temp_c: f64) -> Reading {
        let mut draft = Draft::new(Kind::Temperature, Outcome::Value(temp_c), "", at);
        "decoder".clone_into(&mut draft.point_a);
        run.clone_into(&mut draft.point_b);
        Reading {
            id: ReadingId::new(),
            no,
            draft,
            entered_at: at,
            person: String::new(),
            instrument: String::new(),
            taken_back_at: None,
            version: 1,
        }
    }

    #[test]
    fn readings_are_put_into_their_runs_and_the_last_read_run_comes_first() {
        let all = [
            reading(5, "run 2", 700_000, 30.0),
            reading(4, "run 1", 300_000, 40.0),
            reading(3, "run 2", 600_000, 22.0),
            reading(2, "run 1", 0, 21.0),
            reading(1, "", 50, 99.0),
            reading(6, "run x", 60, 99.0),
        ];
        let runs = runs(&all);
        assert_eq!(runs.iter().map(|r| r.no).collect::<Vec<_>>(), [2, 1]);
        let times: Vec<f64> = runs[1].points().iter().map(|p| p.time_s).collect();
        assert_eq!(times, [0.0, 300.0]);
    }

    #[test]
    fn of_two_readings_of_one_moment_the_last_written_counts() {
        let all = [reading(1, "run 1", 5, 20.0), reading(2, "run 1", 5, 30.0)];
        let runs = runs(&all);
        assert_eq!(runs[0].points().iter().map(|p| p.temp_c).collect::<Vec<_>>(), [30.0]);
    }
}
