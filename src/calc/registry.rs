//! The one list of calculations. Page, API, command line, schemas and tests come from here.

use super::read::read;
use super::{
    Answer, Refusals, budget, gap, heat, holdup, isolation, lights, load, pickup, runin, sound,
    trace, wire,
};
use schemars::{JsonSchema, Schema, schema_for};

/// One calculation as the outside sees it.
#[derive(Debug)]
pub struct Calculation {
    /// Name on the command line and in the API: `load`.
    pub name: &'static str,
    /// Title of its page: `The motor from three currents`.
    pub title: &'static str,
    /// The question it answers, one sentence.
    pub question: &'static str,
    /// Caution to show once on its page, or empty.
    pub caution: &'static str,
    /// A worked example as JSON input, shown on the page, run in the tests.
    pub example: &'static str,
    /// Runs it on JSON text.
    pub run: fn(&str) -> Result<Answer, Refusals>,
    /// JSON Schema of the input.
    pub input_schema: fn() -> Schema,
}

impl Calculation {
    /// JSON Schema of the answer, the same for all.
    pub fn output_schema() -> Schema {
        schema_for!(Answer)
    }
}

/// Every calculation, in the order people meet them.
pub const ALL: &[Calculation] = &[
    Calculation {
        name: "load",
        title: "The motor from three currents",
        question: "What will this motor draw on a decoder, and what does the mechanism eat of it?",
        caution: "Hold the motor still at a low voltage and for a few seconds only; stop on heat.",
        example: r#"{
  "test_v": 12.0,
  "free_a": 0.27,
  "slipping_a": 0.32,
  "held_a": 0.80,
  "winding_ohm": 13.6,
  "track_v": 16.0
}"#,
        run: |json| Ok(load::run(&read(json)?)?.answer()),
        input_schema: schema::<load::Input>,
    },
    Calculation {
        name: "budget",
        title: "Current headroom",
        question: "Does this decoder carry the motor, the lamps, the sound and the hold-up store?",
        caution: "A decoder that gets hot fails: switch off, let it cool, never leave a first run \
                  alone.",
        example: r#"{
  "load": {
    "test_v": 12.0,
    "free_a": 0.27,
    "slipping_a": 0.32,
    "held_a": 0.80,
    "track_v": 16.0
  },
  "loads": [
    { "name": "lamps", "kind": "lamp", "amps_a": 0.03, "count": 2, "output": "white" },
    { "name": "sound", "kind": "sound", "amps_a": 0.15 }
  ],
  "decoder": {
    "motor_continuous_a": 1.0,
    "motor_peak_a": 1.5,
    "motor_peak_s": 2.0,
    "total_continuous_a": 1.0,
    "function_a": 0.1
  }
}"#,
        run: |json| Ok(budget::run_with_ways(&read(json)?)?.answer()),
        input_schema: schema::<budget::Input>,
    },
    Calculation {
        name: "pickup",
        title: "The pickup map",
        question: "Which wheels really pick up, and what do the faulty ones share?",
        caution: "",
        example: r#"{
  "wheels": [
    { "id": "L1", "side": "left", "axle": 1, "vehicle": "engine", "state": { "ohms": { "value": 0.3, "lo": 0.2, "hi": 0.4, "steady": true } } },
    { "id": "R1", "side": "right", "axle": 1, "vehicle": "engine", "state": { "ohms": { "value": 0.3, "lo": 0.2, "hi": 0.4, "steady": true } } },
    { "id": "L2", "side": "left", "axle": 2, "vehicle": "engine", "state": "open" },
    { "id": "R2", "side": "right", "axle": 2, "vehicle": "engine", "state": { "ohms": { "value": 0.4, "lo": 0.3, "hi": 0.5, "steady": true } } }
  ]
}"#,
        run: |json| Ok(pickup::run(&read(json)?)?.answer()),
        input_schema: schema::<pickup::Input>,
    },
    Calculation {
        name: "isolation",
        title: "The isolation walk",
        question: "Is any rail or the frame still joined to a motor brush?",
        caution: "Decoder out or unplugged: a meter can hurt it.",
        example: r#"{
  "readings": [
    { "a": "brush_a", "b": "rail_right", "position": "in_frame", "outcome": { "ohms": { "value": 0.4, "lo": 0.3, "hi": 0.5 } }, "reading": "41", "taken_at_ms": 0 }
  ]
}"#,
        run: |json| Ok(isolation::run(&read(json)?)?.answer()),
        input_schema: schema::<isolation::Input>,
    },
    runin::CALCULATION,
    trace::CALCULATION,
    heat::CALCULATION,
    gap::CALCULATION,
    holdup::CALCULATION,
    lights::CALCULATION,
    sound::CALCULATION,
    wire::CALCULATION,
];

/// The calculation of that name.
pub fn find(name: &str) -> Option<&'static Calculation> {
    ALL.iter().find(|c| c.name == name)
}

/// Schema of an input type, for the list.
pub fn schema<T: JsonSchema>() -> Schema {
    schema_for!(T)
}

#[cfg(test)]
#[path = "registry_tests.rs"]
mod tests;
