//! Speed of a model, given as it is or by scale.

use super::super::answer::{FieldRefusal, Refusals, within};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// mm/s of one mile an hour: 1609.344 m in 3600 s.
const MM_PER_S_OF_MPH: f64 = 447.04;
/// mm/s of one kilometre an hour.
const MM_PER_S_OF_KMH: f64 = 1_000_000.0 / 3600.0;

/// A speed: at most one of model, scale km/h and scale mph.
///
/// Formula: v_model = v_full / S with S of 1:S. Source: definition of scale speed. Worked example:
/// 30 mph at 1:87.1 is 154.0 mm/s.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Speed {
    /// Speed of the model itself, mm/s, 0.1 to 10 000.
    #[serde(default)]
    #[schemars(title = "Model speed", range(min = 0.1, max = 10_000.0))]
    pub model_mm_s: Option<f64>,
    /// Scale speed, km/h, 0.1 to 500; needs the scale ratio.
    #[serde(default)]
    #[schemars(title = "Scale speed, km/h", range(min = 0.1, max = 500.0))]
    pub scale_kmh: Option<f64>,
    /// Scale speed, mph, 0.1 to 300; needs the scale ratio.
    #[serde(default)]
    #[schemars(title = "Scale speed, mph", range(min = 0.1, max = 300.0))]
    pub scale_mph: Option<f64>,
    /// S of 1:S, 5 to 500: 87.1, 160, 76.2, 48.
    #[serde(default)]
    #[schemars(title = "Scale 1 to", range(min = 5.0, max = 500.0))]
    pub scale_ratio: Option<f64>,
}

impl Speed {
    /// Checks ranges; `path` is the field that holds it.
    pub fn refuse(&self, r: &mut Refusals, path: &str) {
        let fields = [
            ("model_mm_s", self.model_mm_s, 0.1, 10_000.0),
            ("scale_kmh", self.scale_kmh, 0.1, 500.0),
            ("scale_mph", self.scale_mph, 0.1, 300.0),
            ("scale_ratio", self.scale_ratio, 5.0, 500.0),
        ];
        for (field, value, least, most) in fields {
            if let Some(value) = value {
                within(r, &format!("{path}.{field}"), value, least, most);
            }
        }
    }

    /// Speed of the model, mm/s; `None` when no speed is given. Refused when more than one is given
    /// or a scale speed lacks its ratio.
    pub fn mm_per_s(&self, path: &str) -> Result<Option<f64>, Refusals> {
        let scale = match (self.scale_kmh, self.scale_mph) {
            (Some(v), None) => Some(v * MM_PER_S_OF_KMH),
            (None, Some(v)) => Some(v * MM_PER_S_OF_MPH),
            (None, None) => None,
            (Some(_), Some(_)) => return Err(refusal(path, "two speeds", "one speed")),
        };
        match (self.model_mm_s, scale) {
            (Some(_), Some(_)) => Err(refusal(path, "two speeds", "one speed")),
            (model, None) => Ok(model),
            (None, Some(full)) => match self.scale_ratio {
                Some(ratio) => Ok(Some(full / ratio)),
                None => Err(refusal(&format!("{path}.scale_ratio"), "nothing", "S of 1:S")),
            },
        }
    }
}

/// One refused field as a list.
fn refusal(field: &str, given: &str, allowed: &str) -> Refusals {
    vec![FieldRefusal::new(field, given, allowed)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scale speeds worked from the definitions of mile and scale, as tabled for HO, N, O, OO.
    #[test]
    fn scale_speeds_by_table() {
        let table = [
            (Some(60.0), None, 87.1, 307.9),
            (Some(30.0), None, 87.1, 154.0),
            (Some(60.0), None, 160.0, 167.6),
            (Some(60.0), None, 48.0, 558.8),
            (Some(45.0), None, 76.2, 264.0),
            (None, Some(100.0), 87.0, 319.3),
            (None, Some(80.0), 160.0, 138.9),
            (None, Some(60.0), 45.0, 370.4),
        ];
        for (scale_mph, scale_kmh, ratio, want) in table {
            let speed = Speed { model_mm_s: None, scale_kmh, scale_mph, scale_ratio: Some(ratio) };
            let got = speed.mm_per_s("speed").unwrap().unwrap();
            assert!((got - want).abs() < 0.051, "{speed:?}: {got}");
        }
    }

    #[test]
    fn two_speeds_or_a_scale_speed_without_its_ratio_are_refused() {
        let two = Speed { model_mm_s: Some(100.0), scale_mph: Some(30.0), ..Speed::default() };
        assert!(two.mm_per_s("speed").is_err());
        let bare = Speed { scale_kmh: Some(60.0), ..Speed::default() };
        assert_eq!(bare.mm_per_s("run.speed").unwrap_err()[0].field, "run.speed.scale_ratio");
    }
}
