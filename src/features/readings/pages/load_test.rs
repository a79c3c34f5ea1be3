//! The load test in three steps, with its result.

use super::bench::{Forms, keep, meters, page};
use crate::aspect::Finding;
use crate::calc::budget::{self, Case, RatingKind};
use crate::calc::load;
use crate::draw::{arm, scale};
use crate::features::conversions::sheet;
use crate::features::gates::gather::Gathered;
use crate::features::gates::inputs;
use crate::features::gates::view::At;
use crate::features::people::extract::write;
use crate::features::readings::forms::{self, Meters};
use crate::features::readings::model::Kind;
use crate::features::readings::{store, words};
use crate::units::{Interval, volts};
use crate::web::{App, Fields, Path, Result, Who, see_other, when};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// A verdict under the test.
#[derive(Debug)]
pub struct Verdict {
    pub(super) title: String,
    pub(super) asp: String,
    pub(super) f: Finding,
}

/// The result of the latest test and what the next one needs.
#[derive(Debug)]
pub struct TestView {
    /// Number of the next test.
    pub(super) next_no: i64,
    /// The latest test's readings, for the hints: `test 2: 0.14 A`.
    pub(super) hints: [String; 3],
    /// `Load test 2, 22 Nov`; empty without one.
    pub(super) title: String,
    /// Picture of the three currents.
    pub(super) picture: String,
    /// The picture in words.
    pub(super) words: String,
    /// Verdicts, worst first.
    pub(super) verdicts: Vec<Verdict>,
    /// For the script: track less drop, V, and the lowest motor rating, A; empty where not known.
    pub(super) output_v: String,
    pub(super) rating_a: String,
    pub(super) want: String,
}

/// The latest load test worked out, from the same snapshot as the gates.
pub fn test_view(g: &Gathered, at: At) -> TestView {
    let latest = g.load_tests.first();
    let hint = |kind: Kind| {
        let test = latest?;
        let r = g
            .readings
            .iter()
            .find(|r| r.draft.load_test_id == Some(test.id) && r.draft.kind == kind)?;
        Some(format!("test {}: {}", test.no, words::reads(r)))
    };
    let hints = [Kind::Free, Kind::Slipping, Kind::Held].map(|k| hint(k).unwrap_or_default());
    let input = inputs::load(g);
    let output = load::run(&input).ok().filter(|_| g.snapshot.load_test.is_some());
    let budget = budget::run(&inputs::budget(g)).ok();
    let currents = output.as_ref().map(|o| picture(&input, o, g));
    let number = |v: f64| format!("{v}");
    TestView {
        next_no: latest.map_or(1, |t| t.no + 1),
        hints,
        title: latest
            .map(|t| format!("Load test {}, {}", t.no, when::day(t.at, at.now, at.offset)))
            .unwrap_or_default(),
        picture: currents.as_ref().map(scale::currents_svg).unwrap_or_default(),
        words: currents.as_ref().map(scale::Currents::words).unwrap_or_default(),
        verdicts: verdicts(output.as_ref(), budget.as_ref()),
        output_v: output
            .as_ref()
            .and_then(|o| o.decoder_output_v)
            .map(|v| number(v.value))
            .unwrap_or_default(),
        rating_a: g
            .snapshot
            .decoder
            .as_ref()
            .and_then(|d| d.ratings.motor_continuous_a)
            .map(number)
            .unwrap_or_default(),
        want: number(g.snapshot.thresholds.headroom_want_held),
    }
}

fn verdicts(load: Option<&load::Output>, budget: Option<&budget::Output>) -> Vec<Verdict> {
    let mut out = Vec::new();
    let mut push = |title: String, f: &Finding| {
        out.push(Verdict { title, asp: arm::asp(f.aspect), f: f.clone() });
    };
    let Some(load) = load else { return out };
    push("Mechanism".to_owned(), &load.mechanism);
    for row in budget.map(|b| b.rows.as_slice()).unwrap_or_default() {
        if let (Some(case), true) = (row.case, row.rating_a.is_some()) {
            push(row_title(row.rating, case), &row.finding);
        }
    }
    push("Winding".to_owned(), &load.winding_agrees);
    push("The readings".to_owned(), &load.plausibility);
    if let Some(held) = &load.held {
        push("Held current".to_owned(), held);
    }
    out.sort_by_key(|v| std::cmp::Reverse(v.f.aspect.rank()));
    out
}

fn row_title(rating: RatingKind, case: Case) -> String {
    let case = match case {
        Case::Held => "held",
        Case::Slipping => "slipping",
    };
    let rating = match rating {
        RatingKind::MotorPeak => "motor peak rating",
        RatingKind::MotorContinuous => "motor continuous rating",
        RatingKind::TotalContinuous => "total rating",
        RatingKind::Function => "function output",
    };
    words::capital(&format!("{rating}, {case}"))
}

/// The three currents on one scale with the ratings.
fn picture(input: &load::Input, o: &load::Output, g: &Gathered) -> scale::Currents {
    let read = |name: &str, value: Option<f64>| {
        let value = value?;
        let bounds = input.current_meter.map(|m| m.bounds(value));
        Some(scale::Current { name: name.to_owned(), value_a: value, bounds, measured: true })
    };
    let at_decoder = o.held_at_output_a.map(|b| scale::Current {
        name: format!(
            "held at {}",
            o.decoder_output_v.map_or_else(String::new, |v| volts(v.value))
        ),
        value_a: b.value,
        bounds: Some(Interval { lo: b.lo, hi: b.hi }),
        measured: false,
    });
    let t = &g.snapshot.thresholds;
    let ratings = g.snapshot.decoder.as_ref().map(|d| &d.ratings);
    let rating = |name: &str, value: Option<f64>, want: f64| {
        Some(scale::Rating {
            name: name.to_owned(),
            value_a: value?,
            want_a: Some(value? * (1.0 - want)),
        })
    };
    let ratings = ratings.map(|r| {
        let rows = [
            rating("continuous", r.motor_continuous_a, t.headroom_want_held),
            rating("peak", r.motor_peak_a, 0.0),
        ];
        rows.into_iter().flatten().collect()
    });
    scale::Currents {
        free: read("free", input.free_a),
        slipping: read("slipping", input.slipping_a),
        held_test: read("held", input.held_a),
        held_decoder: at_decoder,
        ratings: ratings.unwrap_or_default(),
    }
}

/// `POST /c/{no}/bench/load-test`
pub async fn create(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let g = sheet::gathered(&app, no).await?;
    let instruments = meters(&app).await?;
    let Some(test) = forms::load_test(&mut form, &app, &Meters(&instruments)) else {
        let given = Forms { test: Some(form), ..Forms::default() };
        return page(&app, &who, (&g, None), (given, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let address = format!("/c/{no}/bench");
    if test.readings.iter().all(|d| d.kind == Kind::Winding) {
        return keep(&app, &who, &g, (&mut form, test.readings), &format!("{address}#test")).await;
    }
    let token = form.token();
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    let at = test.readings.first().map_or(w.at, |d| d.taken_at);
    let kept = store::add_load_test(&mut w, g.conversion.id, at).await?;
    let mut last = 0;
    for mut draft in test.readings {
        if draft.kind != Kind::Winding {
            draft.load_test_id = Some(kept.id);
        }
        last = store::add(&mut w, g.conversion.id, draft).await?.no;
    }
    let answer = format!("{address}?wrote={last}#test");
    w.commit_form(token, &answer).await?;
    see_other(&answer)
}
