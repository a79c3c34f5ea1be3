use super::*;
use proptest::prelude::*;

fn point(key: &str) -> Point {
    Point::from(key.to_owned())
}

fn one(a: &str, b: &str, position: Position, outcome: Outcome, at: i64) -> IsolationReading {
    IsolationReading {
        a: point(a),
        b: point(b),
        position,
        outcome,
        reading: format!("{a}/{b}/{}/{at}", position.key()),
        taken_at_ms: at,
        stale: false,
    }
}

fn ohms_of(value: f64) -> Outcome {
    Outcome::Ohms { value, lo: value * 0.95, hi: value * 1.05 }
}

const SEVEN: [(&str, &str); 7] = [
    ("brush_a", "rail_left"),
    ("brush_a", "rail_right"),
    ("brush_b", "rail_left"),
    ("brush_b", "rail_right"),
    ("brush_a", "frame"),
    ("brush_b", "frame"),
    ("rail_left", "rail_right"),
];

/// All seven pairs open in the frame.
fn all_open() -> Input {
    Input::of(SEVEN.iter().map(|(a, b)| one(a, b, Position::InFrame, Outcome::Open, 100)).collect())
}

fn set(input: &mut Input, a: &str, b: &str, outcome: Outcome) {
    let pair = Pair::new(point(a), point(b));
    for r in &mut input.readings {
        if Pair::new(r.a.clone(), r.b.clone()) == pair {
            r.outcome = outcome;
        }
    }
}

fn pair<'a>(output: &'a Output, key: &str) -> &'a PairFinding {
    output.pairs.iter().find(|p| p.pair.key() == key).unwrap()
}

#[test]
fn seven_open_pairs_are_clear() {
    let output = run(&all_open()).unwrap();
    assert_eq!(output.pairs.len(), 7);
    assert_eq!(output.finding.aspect, Aspect::Clear);
    assert_eq!(output.finding.sentence, "All 7 pairs read open, in the frame.");
    assert!(output.asks.is_empty());
}

#[test]
fn a_brush_on_a_rail_is_danger_and_says_what_first_power_would_do() {
    let mut input = all_open();
    set(&mut input, "brush_a", "rail_right", ohms_of(0.4));
    let output = run(&input).unwrap();
    let found = pair(&output, "brush_a:rail_right");
    assert_eq!(found.finding.aspect, Aspect::Danger);
    assert_eq!(
        (found.title.as_str(), found.reads.as_str(), found.needs.as_str()),
        ("Brush A is off the right rail", "0.4\u{a0}Ω", "open, > 1\u{a0}MΩ")
    );
    assert_eq!(
        found.finding.sentence,
        "Brush A to right rail reads 0.4\u{a0}Ω in the frame, below 1\u{a0}MΩ. First power would put \
         track current through the motor output and burn the decoder. Look at the keep plate, its screw, \
         the spring and the strip to the frame."
    );
    assert_eq!(output.finding.aspect, Aspect::Danger);
    assert_eq!(output.finding.sentence, found.finding.sentence);
    assert_eq!(output.answer().aspect, Aspect::Danger);
}

#[test]
fn a_beep_is_danger() {
    let mut input = all_open();
    set(&mut input, "brush_b", "frame", Outcome::Joined);
    let output = run(&input).unwrap();
    assert_eq!(pair(&output, "brush_b:frame").finding.aspect, Aspect::Danger);
    assert_eq!(pair(&output, "brush_b:frame").reads, "joined");
}

#[test]
fn three_hundred_kilohms_is_danger_and_speaks_of_dirt() {
    let mut input = all_open();
    set(&mut input, "brush_b", "frame", ohms_of(300_000.0));
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Danger);
    assert!(finding.sentence.contains("dirt, grease or carbon dust"), "{}", finding.sentence);
    set(&mut input, "brush_b", "frame", ohms_of(20.0));
    assert!(!run(&input).unwrap().finding.sentence.contains("dirt"));
}

#[test]
fn the_low_end_decides_at_the_limit() {
    let mut input = all_open();
    let lo = |lo| Outcome::Ohms { value: 1_000_000.0, lo, hi: 1_100_000.0 };
    set(&mut input, "brush_b", "frame", lo(1_000_000.0));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
    set(&mut input, "brush_b", "frame", lo(999_999.0));
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Danger);
    assert!(finding.sentence.contains("better range"));
    set(&mut input, "brush_b", "frame", ohms_of(20e6));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
}

#[test]
fn one_pair_not_measured_is_unlit_and_asked_for() {
    for (a, b) in SEVEN {
        let mut input = all_open();
        input.readings.retain(|r| (r.a.key(), r.b.key()) != (a, b));
        let output = run(&input).unwrap();
        assert_eq!(output.finding.aspect, Aspect::Unlit, "{a} {b}");
        assert_eq!(output.asks.len(), 1);
        assert_eq!(output.asks[0].pair, Pair::new(point(a), point(b)));
        assert_eq!(output.asks[0].expect, "open, > 1\u{a0}MΩ");
    }
}

#[test]
fn readings_are_asked_for_in_the_order_people_work() {
    let mut input = Input::of(vec![]);
    input.has_bogies = true;
    input.positions = vec![Position::InFrame, Position::BogiesSwung];
    input.function_leads = vec!["lamp lead".into()];
    let asks = run(&input).unwrap().asks;
    let keys: Vec<String> = asks.iter().map(|a| a.pair.key()).collect();
    assert_eq!(
        keys[..10],
        [
            "brush_a:rail_left",
            "brush_a:rail_right",
            "brush_b:rail_left",
            "brush_b:rail_right",
            "brush_a:frame",
            "brush_b:frame",
            "rail_left:rail_right",
            "lamp lead:frame",
            "lamp lead:rail_left",
            "lamp lead:rail_right"
        ]
    );
    assert_eq!(asks[0].what, "Measure brush A to left rail in the frame.");
    assert!(asks[6].how.contains("brushes lifted"));
    assert_eq!(asks.len(), 17);
    assert!(asks[10..].iter().all(|a| a.position == Position::BogiesSwung));
}

#[test]
fn a_joined_pair_is_asked_for_last_to_be_mended() {
    let mut input = all_open();
    set(&mut input, "brush_a", "rail_left", ohms_of(0.4));
    input.readings.retain(|r| r.b.key() != "frame");
    let asks = run(&input).unwrap().asks;
    assert_eq!(asks.len(), 3);
    assert_eq!(
        asks[2].what,
        "Find what joins brush A to the left rail, then measure again in the frame."
    );
}

#[test]
fn the_newest_reading_of_a_place_counts() {
    let mut input = all_open();
    input.readings.push(one("rail_right", "brush_a", Position::InFrame, ohms_of(0.4), 200));
    let output = run(&input).unwrap();
    assert_eq!(pair(&output, "brush_a:rail_right").finding.aspect, Aspect::Danger);
    input.readings.push(one("brush_a", "rail_right", Position::InFrame, Outcome::Open, 300));
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Clear);
    let cell = output.cells.iter().find(|c| c.pair.key() == "brush_a:rail_right").unwrap();
    assert_eq!(cell.reading.as_deref(), Some("brush_a/rail_right/in_frame/300"));
    assert_eq!(cell.others.len(), 2);
}

#[test]
fn of_two_readings_of_one_moment_the_worse_counts() {
    for flip in [false, true] {
        let mut input = all_open();
        input.readings.push(one("brush_a", "frame", Position::InFrame, ohms_of(0.4), 100));
        if flip {
            input.readings.reverse();
        }
        assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Danger);
    }
}

#[test]
fn a_stale_reading_is_unlit_whatever_it_said_and_says_what_it_was() {
    for (outcome, said) in [(Outcome::Open, "open"), (ohms_of(0.4), "0.4\u{a0}Ω")] {
        let mut input = all_open();
        set(&mut input, "brush_a", "frame", outcome);
        for r in
            input.readings.iter_mut().filter(|r| r.b.key() == "frame" && r.a.key() == "brush_a")
        {
            r.stale = true;
        }
        let output = run(&input).unwrap();
        let found = pair(&output, "brush_a:frame");
        assert_eq!(found.finding.aspect, Aspect::Unlit);
        assert!(found.finding.sentence.contains(&format!("read {said} in the frame, before")));
        assert_eq!(found.reads, "not measured");
    }
}

#[test]
fn the_worst_of_the_positions_asked_for_counts() {
    let mut input = all_open();
    input.positions = vec![Position::InFrame, Position::ShellOn];
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Unlit);
    input.readings.push(one("brush_a", "frame", Position::ShellOn, ohms_of(3.0), 50));
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Danger);
    assert!(output.finding.sentence.contains("with the shell on"));
    // Its cell stays for the matrix when it isn't asked for.
    input.positions = vec![Position::InFrame];
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Clear);
    assert!(output.cells.iter().any(|c| c.aspect == Aspect::Danger));
}

#[test]
fn a_join_counts_where_no_reading_was_needed_and_asks_for_a_repeat_once_stale() {
    let mut input = all_open();
    input.positions = vec![Position::InFrame, Position::BogiesSwung];
    input.readings.push(one("brush_a", "frame", Position::BogiesSwung, Outcome::Joined, 50));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Danger);
    input.readings[7].stale = true;
    let output = run(&input).unwrap();
    assert_eq!(output.finding.aspect, Aspect::Unlit);
    assert_eq!(output.asks.len(), 1);
    input.readings.push(one("brush_a", "frame", Position::BogiesSwung, Outcome::Open, 60));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
}

#[test]
fn swung_readings_are_wanted_only_where_something_swings() {
    let mut input = all_open();
    input.positions = vec![Position::InFrame, Position::BogiesSwung];
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
    input.has_bogies = true;
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Unlit);
}

#[test]
fn ohms_through_the_winding_are_told_when_the_other_brush_is_joined() {
    let mut input = all_open();
    set(&mut input, "brush_a", "rail_right", ohms_of(0.4));
    set(&mut input, "brush_b", "rail_right", ohms_of(16.6));
    let output = run(&input).unwrap();
    let found = &pair(&output, "brush_b:rail_right").finding;
    assert_eq!(found.aspect, Aspect::Danger);
    assert!(found.sentence.contains("through the winding"));
    // The lower one is the fault itself.
    let low = &pair(&output, "brush_a:rail_right").finding;
    assert!(!low.sentence.contains("through the winding"));
}

#[test]
fn rail_to_rail_says_that_the_winding_is_no_fault() {
    let mut input = all_open();
    set(&mut input, "rail_left", "rail_right", ohms_of(15.0));
    let finding = run(&input).unwrap().finding;
    assert_eq!(finding.aspect, Aspect::Danger);
    assert!(finding.sentence.contains("Lift the brushes or take the motor out"));
}

#[test]
fn each_planned_lead_needs_three_readings_and_an_unplanned_one_counts_only_as_danger() {
    let mut input = all_open();
    input.function_leads = vec!["speaker leads".into()];
    let output = run(&input).unwrap();
    assert_eq!(output.pairs.len(), 10);
    assert_eq!(output.finding.aspect, Aspect::Unlit);
    assert_eq!(pair(&output, "speaker leads:frame").title, "Speaker leads are off the frame");
    input.function_leads.clear();
    input.readings.push(one("old lamp", "frame", Position::InFrame, Outcome::Open, 1));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
    input.readings.push(one("old lamp", "rail_left", Position::InFrame, Outcome::Joined, 1));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Danger);
}

#[test]
fn without_a_motor_there_are_no_brushes_to_measure() {
    let mut input =
        Input::of(vec![one("rail_left", "rail_right", Position::InFrame, Outcome::Open, 1)]);
    input.has_motor = false;
    let output = run(&input).unwrap();
    assert_eq!((output.pairs.len(), output.finding.aspect), (1, Aspect::Clear));
}

#[test]
fn brush_to_brush_and_rail_to_frame_are_not_pairs_of_the_walk() {
    let mut input = all_open();
    input.readings.push(one("brush_a", "brush_b", Position::InFrame, ohms_of(15.0), 1));
    input.readings.push(one("rail_left", "frame", Position::InFrame, Outcome::Joined, 1));
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Clear);
}

#[test]
fn every_pair_says_what_a_join_means() {
    for pair in Pair::in_order(true, &["lamp lead".to_owned()]) {
        assert!(meaning(&pair).len() > 40 && pair.belongs());
    }
}

#[test]
fn nothing_asked_for_that_can_be_measured_is_unlit() {
    let mut input = Input::of(vec![]);
    input.has_motor = false;
    input.positions = vec![Position::Bare];
    assert_eq!(run(&input).unwrap().finding.aspect, Aspect::Unlit);
}

#[test]
fn bad_input_is_refused_with_the_field() {
    let refused = |change: &dyn Fn(&mut Input)| {
        let mut input = all_open();
        change(&mut input);
        run(&input).unwrap_err().into_iter().map(|r| r.field).collect::<Vec<_>>()
    };
    assert_eq!(refused(&|i| i.readings[0].b = Point::BrushA), ["readings.0.b"]);
    assert_eq!(
        refused(&|i| i.readings[0].outcome = Outcome::Ohms { value: 1.0, lo: 2.0, hi: 3.0 }),
        ["readings.0.outcome.ohms"]
    );
    assert_eq!(refused(&|i| i.function_leads = vec!["frame".into()]), ["function_leads.0"]);
    assert_eq!(refused(&|i| i.function_leads = vec!["x".into(), "x".into()]), ["function_leads.1"]);
    assert_eq!(refused(&|i| i.positions.clear()), ["positions"]);
    assert_eq!(refused(&|i| i.open_above_ohm = 10.0), ["open_above_ohm"]);
}

#[test]
fn points_are_plain_text_in_json() {
    let json = r#"{"readings":[{"a":"brush_a","b":"front lamp","position":"in_frame",
        "outcome":{"ohms":{"value":0.4,"lo":0.3,"hi":0.5}},"reading":"r1","taken_at_ms":5}]}"#;
    let input: Input = serde_json::from_str(json).unwrap();
    assert_eq!(input.readings[0].b, Point::Lead("front lamp".into()));
    let back = serde_json::to_string(&input).unwrap();
    assert_eq!(serde_json::from_str::<Input>(&back).unwrap(), input);
    assert!(serde_json::from_str::<Input>(&json.replace("position", "pose")).is_err());
}

fn any_outcome() -> impl Strategy<Value = Outcome> {
    prop_oneof![
        6 => Just(Outcome::Open),
        1 => Just(Outcome::Joined),
        1 => Just(ohms_of(0.4)),
        1 => Just(ohms_of(300_000.0)),
        2 => Just(ohms_of(20e6)),
    ]
}

/// A walk that is all open but for a few changes: some readings gone, some stale, some added.
fn any_walk() -> impl Strategy<Value = Input> {
    let pairs = Pair::in_order(true, &["lamp lead".to_owned()]);
    let places: Vec<(Pair, Position)> =
        pairs.iter().flat_map(|p| Position::ALL.map(|position| (p.clone(), position))).collect();
    let of = |place: &(Pair, Position), outcome, at| {
        one(place.0.a.key(), place.0.b.key(), place.1, outcome, at)
    };
    let base: Vec<IsolationReading> = places.iter().map(|p| of(p, Outcome::Open, 1)).collect();
    let count = places.len();
    let added = (0..count, any_outcome(), 0..4i64)
        .prop_map(move |(place, outcome, at)| of(&places[place], outcome, at));
    (
        proptest::collection::vec(0..count, 0..3),
        proptest::collection::vec(0..count, 0..3),
        proptest::collection::vec(added, 0..4),
        any::<bool>(),
        proptest::sample::subsequence(Position::ALL.to_vec(), 1..=4),
    )
        .prop_map(move |(gone, stale, added, has_bogies, positions)| {
            let mut readings = base.clone();
            for i in stale {
                readings[i].stale = true;
            }
            let mut readings: Vec<IsolationReading> = (0..count)
                .filter(|i| !gone.contains(i))
                .map(|i| readings[i].clone())
                .chain(added)
                .collect();
            // What is older than a stale reading of the same place is stale too.
            let old: Vec<IsolationReading> = readings.iter().filter(|r| r.stale).cloned().collect();
            for r in &mut readings {
                r.stale |= old.iter().any(|o| {
                    (&o.a, &o.b, o.position) == (&r.a, &r.b, r.position)
                        && r.taken_at_ms <= o.taken_at_ms
                });
            }
            let mut input = Input::of(readings);
            (input.has_bogies, input.positions) = (has_bogies, positions);
            input.function_leads = vec!["lamp lead".into()];
            input
        })
}

fn joined_by_hand(outcome: Outcome) -> bool {
    match outcome {
        Outcome::Open => false,
        Outcome::Joined => true,
        Outcome::Ohms { lo, .. } => lo < 1e6,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    /// The verdict by plain loops over places: of each the newest reading that isn't stale, the worse one
    /// of a moment; a place counts where it's asked for and needed, or where it is or was joined.
    #[test]
    fn the_verdict_is_what_plain_loops_find(input in any_walk()) {
        let (mut places, mut missing, mut joined) = (0, false, false);
        for pair in Pair::in_order(true, &input.function_leads.clone()) {
            for &position in &input.positions {
                let here: Vec<_> = input.readings.iter().filter(|r| {
                    r.position == position && [(&r.a, &r.b), (&r.b, &r.a)].contains(&(&pair.a, &pair.b))
                }).collect();
                let newest = |stale: bool| -> Option<bool> {
                    let of: Vec<_> = here.iter().filter(|r| r.stale == stale).collect();
                    let at = of.iter().map(|r| r.taken_at_ms).max()?;
                    Some(of.iter().filter(|r| r.taken_at_ms == at).any(|r| joined_by_hand(r.outcome)))
                };
                let needed = position.needs(&pair, input.has_bogies);
                match (newest(false), newest(true)) {
                    (Some(true), _) => { joined = true; places += 1; }
                    (Some(false), _) => places += usize::from(needed),
                    (None, old) if needed || old == Some(true) => { missing = true; places += 1; }
                    (None, _) => {}
                }
            }
        }
        let want = if joined { Aspect::Danger }
            else if missing || places == 0 { Aspect::Unlit }
            else { Aspect::Clear };
        prop_assert_eq!(run(&input).unwrap().finding.aspect, want);
    }

    /// An alteration, which makes every reading of some places stale, never makes the walk clear.
    #[test]
    fn readings_gone_stale_never_make_the_walk_clear(
        input in any_walk(), from in 0usize..40, count in 1usize..20,
    ) {
        let before = run(&input).unwrap().finding.aspect;
        let mut later = input.clone();
        let pairs = Pair::in_order(true, &later.function_leads.clone());
        for i in from..from + count {
            let (pair, position) = (&pairs[i % pairs.len()], Position::ALL[i % 4]);
            for r in &mut later.readings {
                r.stale |= r.position == position && Pair::new(r.a.clone(), r.b.clone()) == *pair;
            }
        }
        let after = run(&later).unwrap().finding.aspect;
        prop_assert!(after != Aspect::Clear || before == Aspect::Clear);
    }
}
