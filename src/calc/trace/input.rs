//! What is asked about a trace, and what of it is refused before its text is read.

use super::read::{CurrentUnit, Known, TimeUnit};
use crate::calc::load::check_meter;
use crate::calc::{Refusals, require, within};
use crate::units::Accuracy;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Trace")]
pub struct Input {
    /// The log: lines of time and current parted by tab, semicolon, comma or spaces, with or without
    /// a header. At most 200 000 lines and 12 000 000 bytes.
    #[schemars(title = "Log", length(max = 12_000_000))]
    pub text: String,
    /// Unit of the time column. Not given: from the header, else s.
    #[serde(default)]
    #[schemars(title = "Unit of time")]
    pub time_unit: Option<TimeUnit>,
    /// Unit of the current column. Not given: from the header, else A.
    #[serde(default)]
    #[schemars(title = "Unit of current")]
    pub current_unit: Option<CurrentUnit>,
    /// Column of the time, from 1 to 100. Not given: from the header, else the first of two.
    #[serde(default)]
    #[schemars(title = "Time column", range(min = 1, max = 100))]
    pub time_column: Option<u32>,
    /// Column of the current, from 1 to 100. Not given: from the header, else the second of two.
    #[serde(default)]
    #[schemars(title = "Current column", range(min = 1, max = 100))]
    pub current_column: Option<u32>,
    /// Fixed time between two lines, s, 0.00001 to 60. The time column is then not read and may be
    /// missing.
    #[serde(default)]
    #[schemars(title = "Fixed interval", range(min = 0.00001, max = 60.0))]
    pub sample_s: Option<f64>,
    /// Whether up to 1 % of bad lines may be left out. Not given: no.
    #[serde(default)]
    #[schemars(title = "Leave bad lines out")]
    pub skip_bad_lines: bool,
    /// Accuracy of the meter. Not given: taken as exact.
    #[serde(default)]
    #[schemars(title = "Current meter")]
    pub current_meter: Option<Accuracy>,
    /// Least step between plateaus, A, 0.0001 to 10. Not given: 5 % of the range, at least 0.02.
    #[serde(default)]
    #[schemars(title = "Least step", range(min = 0.0001, max = 10.0))]
    pub step_a: Option<f64>,
    /// Shortest plateau, s, 0.001 to 600; longer than one wheel turn. Not given: a twentieth of the
    /// log, from 0.2 to 1 s, cut down to whole wheel turns (one at least) where they are
    /// known.
    #[serde(default)]
    #[schemars(title = "Shortest plateau", range(min = 0.001, max = 600.0))]
    pub least_s: Option<f64>,
    /// How often the driven wheel turns on the running stretch, Hz, 0.01 to 100. Give this, or speed
    /// and wheel, or neither.
    #[serde(default)]
    #[schemars(title = "Wheel turns", range(min = 0.01, max = 100.0))]
    pub turn_hz: Option<f64>,
    /// Model speed on the running stretch, mm/s, 1 to 5000.
    #[serde(default)]
    #[schemars(title = "Speed", range(min = 1.0, max = 5000.0))]
    pub speed_mm_s: Option<f64>,
    /// Diameter of the driven wheel, mm, 2 to 200.
    #[serde(default)]
    #[schemars(title = "Wheel diameter", range(min = 2.0, max = 200.0))]
    pub wheel_mm: Option<f64>,
    /// Swing over mean below which it is clear, 0.01 to 5. Not given: 0.10. A judgement, no source.
    #[serde(default)]
    #[schemars(title = "Swing clear below", range(min = 0.01, max = 5.0))]
    pub swing_clear_below: Option<f64>,
    /// Swing over mean above which it is danger, 0.01 to 5. Not given: 0.30. A judgement, no source.
    #[serde(default)]
    #[schemars(title = "Swing danger above", range(min = 0.01, max = 5.0))]
    pub swing_danger_above: Option<f64>,
    /// Columns of the drawing, 10 to 4000. Not given: 600.
    #[serde(default)]
    #[schemars(title = "Columns", range(min = 10, max = 4000))]
    pub columns: Option<u32>,
}

impl Input {
    /// What is known about the text beforehand.
    pub(super) fn known(&self) -> Known {
        Known {
            time_unit: self.time_unit,
            current_unit: self.current_unit,
            time_column: self.time_column,
            current_column: self.current_column,
            sample_s: self.sample_s,
            skip_bad_lines: self.skip_bad_lines,
        }
    }
}

/// Everything about the input but its text that is not allowed.
pub(super) fn refuse(input: &Input) -> Refusals {
    let mut no = Refusals::new();
    let mut optional = |field: &str, value: Option<f64>, least: f64, most: f64| {
        if let Some(v) = value {
            within(&mut no, field, v, least, most);
        }
    };
    optional("time_column", input.time_column.map(f64::from), 1.0, 100.0);
    optional("current_column", input.current_column.map(f64::from), 1.0, 100.0);
    optional("sample_s", input.sample_s, 1e-5, 60.0);
    optional("step_a", input.step_a, 1e-4, 10.0);
    optional("least_s", input.least_s, 1e-3, 600.0);
    optional("turn_hz", input.turn_hz, 0.01, 100.0);
    optional("speed_mm_s", input.speed_mm_s, 1.0, 5000.0);
    optional("wheel_mm", input.wheel_mm, 2.0, 200.0);
    optional("swing_clear_below", input.swing_clear_below, 0.01, 5.0);
    optional("swing_danger_above", input.swing_danger_above, 0.01, 5.0);
    optional("columns", input.columns.map(f64::from), 10.0, 4000.0);
    check_meter(&mut no, "current_meter", input.current_meter);
    let pair = (input.speed_mm_s.is_some(), input.wheel_mm.is_some());
    let both = "speed_mm_s and wheel_mm together, without turn_hz";
    let sound = pair == (false, false) || (pair == (true, true) && input.turn_hz.is_none());
    require(&mut no, sound, "speed_mm_s", "a part of them", both);
    no
}
