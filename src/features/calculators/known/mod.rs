//! What a conversion itself knows of a calculation's input, and where each value comes from.
//!
//! Taken from the same inputs as the gates use (`gates::inputs`), so stale readings are left out here
//! too. Nothing is guessed: what nobody wrote down stays empty.

pub mod heat;
mod motor;
mod parts;
mod track;

use super::model::Saved;
use crate::calc::gates::Taken;
use crate::features::gates::gather::Gathered;
use crate::features::gates::view::At;
use crate::features::readings::model::Reading;
use crate::web::when;
use serde::Serialize;
use serde_json::{Map, Value};

/// Where a value comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// `reading 41, 25 Nov`.
    pub words: String,
    /// Where to see it.
    pub href: String,
}

/// What is known of one input.
#[derive(Debug, Default)]
pub struct Known {
    /// The input as far as it is known.
    pub json: Map<String, Value>,
    /// Where values come from, by dotted path.
    pub from: Vec<(String, Origin)>,
    /// Places that are nothing but readings: shown, not written here.
    pub fixed: Vec<(&'static str, Origin)>,
    /// What is missing and where to write it.
    pub notes: Vec<Origin>,
}

impl Known {
    /// Puts a value at a dotted path of groups, with its origin.
    fn put(&mut self, path: &str, value: impl Into<Value>, origin: Origin) {
        let mut at = &mut self.json;
        let mut steps: Vec<&str> = path.split('.').collect();
        let Some(last) = steps.pop() else { return };
        for step in steps {
            let group = at.entry(step).or_insert_with(|| Value::Object(Map::new()));
            match group {
                Value::Object(inner) => at = inner,
                _ => return,
            }
        }
        at.insert(last.to_owned(), value.into());
        self.say(path, origin);
    }

    /// Takes a whole input as known; what is null is not.
    fn whole(&mut self, input: &impl Serialize) {
        if let Ok(mut value) = serde_json::to_value(input) {
            drop_nulls(&mut value);
            if let Value::Object(map) = value {
                self.json = map;
            }
        }
    }

    /// Says where a value comes from, if it is there.
    fn say(&mut self, path: &str, origin: Origin) {
        if self.at(path).is_some_and(|v| !v.is_null()) {
            self.from.push((path.to_owned(), origin));
        }
    }

    /// Says it where the origin is known.
    fn say_taken(&mut self, path: &str, from: &From<'_>, taken: Option<&Taken>) {
        if let Some(taken) = taken {
            self.say(path, from.taken(taken));
        }
    }

    /// The value at a dotted path, lists by place.
    pub fn at(&self, path: &str) -> Option<&Value> {
        let pointer = format!("/{}", path.replace('.', "/"));
        let (first, rest) = path.split_once('.').unwrap_or((path, ""));
        let value = self.json.get(first)?;
        if rest.is_empty() { Some(value) } else { value.pointer(&pointer[first.len() + 1..]) }
    }

    /// Where the value at a path comes from.
    pub fn origin(&self, path: &str) -> Option<&Origin> {
        self.from.iter().find(|(p, _)| p == path).map(|(_, o)| o)
    }
}

/// Takes nulls out of objects, all the way down.
fn drop_nulls(value: &mut Value) {
    match value {
        Value::Object(map) => {
            map.retain(|_, v| !v.is_null());
            map.values_mut().for_each(drop_nulls);
        }
        Value::Array(list) => list.iter_mut().for_each(drop_nulls),
        _ => {}
    }
}

/// Makes origins of one conversion.
pub struct From<'a> {
    g: &'a Gathered,
    at: At,
}

impl From<'_> {
    fn page(&self, words: &str, ending: &str) -> Origin {
        Origin { words: words.to_owned(), href: format!("/c/{}{ending}", self.g.conversion.no) }
    }

    fn taken(&self, t: &Taken) -> Origin {
        let day = when::day(t.at_ms, self.at.now, self.at.offset);
        self.page(&format!("reading {}, {day}", t.no), &format!("/readings/{}", t.no))
    }

    fn reading(&self, r: &Reading) -> Origin {
        let day = when::day(r.draft.taken_at, self.at.now, self.at.offset);
        self.page(&format!("reading {}, {day}", r.no), &format!("/readings/{}", r.no))
    }

    /// The track voltage's: the conversion's own, or the household's.
    fn track(&self) -> Origin {
        if self.g.conversion.draft.track_mv.is_some() { self.form() } else { settings() }
    }

    fn form(&self) -> Origin {
        self.page("this conversion’s form", "/edit")
    }

    fn calc(&self, name: &str) -> Origin {
        self.page(&format!("worked out under “{name}”"), &format!("/calc/{name}"))
    }
}

/// The household's settings.
fn settings() -> Origin {
    Origin { words: "household settings".to_owned(), href: "/settings".to_owned() }
}

/// The page of instruments; `words` says which.
fn instruments(words: &str) -> Origin {
    Origin { words: words.to_owned(), href: "/instruments".to_owned() }
}

/// What a conversion knows of the input of a calculation. `saved`: inputs kept for others.
pub fn known(g: &Gathered, name: &str, saved: &[Saved], at: At) -> Known {
    let from = From { g, at };
    match name {
        "load" => motor::load(&from),
        "budget" => motor::budget(&from),
        "runin" => motor::runin(&from),
        "pickup" => track::pickup(&from),
        "isolation" => track::isolation(&from),
        "gap" => track::gap(&from),
        "holdup" => parts::holdup(&from, saved),
        "lights" => parts::lights(&from),
        "sound" => parts::sound(&from),
        "wire" => parts::wire(&from),
        "heat" => heat::known(&from),
        _ => Known::default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn origin() -> Origin {
        Origin { words: "reading 1".into(), href: "/c/1/readings/1".into() }
    }

    #[test]
    fn a_value_is_put_into_its_group_and_said_where_it_comes_from() {
        let mut k = Known::default();
        k.put("supply.track_v", 15.0, origin());
        k.put("supply.scale", "HO", origin());
        assert_eq!(
            Value::Object(k.json.clone()),
            json!({"supply": {"track_v": 15.0, "scale": "HO"}})
        );
        assert_eq!(k.origin("supply.track_v"), Some(&origin()));
        assert_eq!(k.at("supply.none"), None);
    }

    #[test]
    fn what_is_not_there_has_no_origin() {
        let mut k = Known::default();
        k.whole(&json!({ "held_a": null, "loads": [{ "amps_a": null, "name": "lamp" }] }));
        k.say("held_a", origin());
        k.say("loads.0", origin());
        k.say("loads.1", origin());
        assert_eq!(Value::Object(k.json.clone()), json!({ "loads": [{ "name": "lamp" }] }));
        assert_eq!(k.from.len(), 1);
    }
}
