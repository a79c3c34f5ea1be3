//! Which answer of a card is which ordinary reading.

use super::model::{Answer, Draft};
use crate::calc::card::{Fitted, Said, Tie, card};
use crate::choice::Choice;
use crate::features::circuits::model::Wheel;
use crate::features::readings::model::{self as readings, DecoderState, Kind, Outcome, Position};

/// The reading an answer is, with the conditions of its card; `None`: it is the run's own.
pub fn reading(draft: &Draft, answer: &Answer, wheels: &[Wheel]) -> Option<readings::Draft> {
    let kind = kind(&answer.ask.tie)?;
    let outcome = outcome(&answer.said)?;
    let mut r = readings::Draft::new(kind, outcome, answer.typed.clone(), draft.done_at);
    r.accuracy = outcome.value().and(answer.accuracy);
    let c = card(draft.card);
    r.conditions.instrument_id = answer.instrument;
    r.conditions.shell = readings::Shell::from_code(draft.shell.key());
    r.conditions.decoder = match c.decoder {
        Fitted::Out => Some(DecoderState::Out),
        Fitted::In => Some(DecoderState::In),
        Fitted::Either => None,
    };
    r.conditions.method = format!("card {}, {}", draft.card.no(), c.title.to_lowercase());
    match &answer.ask.tie {
        Tie::Isolation(a, b, position) => {
            a.key().clone_into(&mut r.point_a);
            b.key().clone_into(&mut r.point_b);
            r.conditions.position = Position::from_code(position.key());
        }
        Tie::Wheel(label) => {
            r.wheel_id = Some(wheels.iter().find(|w| w.label() == *label)?.id);
            let steady = draft.answers.iter().find(|a| a.ask.key == "steady");
            let yes = steady.is_some_and(|a| a.said == Said::Word("yes".to_owned()));
            r.steady = yes.then_some(true);
        }
        Tie::Temperature(of) => (*of).clone_into(&mut r.point_a),
        Tie::Load(name) => r.point_a.clone_from(name),
        Tie::FreeAt(v) => at(&mut r, *v),
        Tie::MotorAlone => {
            at(&mut r, 12.0);
            r.conditions.method.push_str(", out of the frame");
        }
        _ => {}
    }
    volts(draft, &answer.ask.key, &mut r);
    Some(r)
}

/// At a voltage the card sets.
fn at(r: &mut readings::Draft, v: f64) {
    r.conditions.volts = Some(v);
    r.conditions.volts_typed = format!("{v} V");
}

/// The voltage that another answer gives for this one.
fn volts(draft: &Draft, key: &str, r: &mut readings::Draft) {
    let of = |a: &&Answer| matches!(a.ask.tie, Tie::VoltsOf(other) if other == key);
    if let Some(a) = draft.answers.iter().find(of)
        && let Said::Number { value, .. } = a.said
    {
        r.conditions.volts = Some(value);
        r.conditions.volts_typed.clone_from(&a.typed);
        r.conditions.volts_accuracy = a.accuracy;
    }
}

fn kind(tie: &Tie) -> Option<Kind> {
    Some(match tie {
        Tie::Own | Tie::VoltsOf(_) => return None,
        Tie::Isolation(..) => Kind::Isolation,
        Tie::Wheel(_) => Kind::Pickup,
        Tie::Slipping => Kind::Slipping,
        Tie::Held => Kind::Held,
        Tie::FreeAt(_) | Tie::MotorAlone => Kind::Free,
        Tie::Temperature(_) => Kind::Temperature,
        Tie::Cruise => Kind::Cruise,
        Tie::Winding => Kind::Winding,
        Tie::SpeakerOhms => Kind::SpeakerOhms,
        Tie::StoreVolts => Kind::StoreVolts,
        Tie::Load(_) => Kind::LoadCurrent,
    })
}

fn outcome(said: &Said) -> Option<Outcome> {
    match said {
        Said::Number { value, .. } => Some(Outcome::Value(*value)),
        Said::Open => Some(Outcome::Open),
        Said::Joined => Some(Outcome::Joined),
        Said::Word(_) => None,
    }
}

/// The load test a current belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Test {
    /// The newest one.
    Newest,
    /// A new one.
    New,
    /// None.
    None,
}

/// Where a current goes. `newest`: whether there is a load test; `base`: the voltage its free or slipping
/// current was read at, V.
pub fn test(tie: &Tie, volts: Option<f64>, (newest, base): (bool, Option<f64>)) -> Test {
    let agrees = |base: f64| volts.is_some_and(|v| (v - base).abs() < 0.05);
    match tie {
        Tie::Held if newest => Test::Newest,
        Tie::Slipping if newest && base.is_none_or(agrees) => Test::Newest,
        Tie::FreeAt(_) if newest && base.is_some_and(agrees) => Test::Newest,
        Tie::Held | Tie::Slipping => Test::New,
        _ => Test::None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_current_joins_the_load_test_of_its_voltage() {
        assert_eq!(test(&Tie::Held, Some(9.0), (true, Some(12.0))), Test::Newest);
        assert_eq!(test(&Tie::Held, Some(9.0), (false, None)), Test::New);
        assert_eq!(test(&Tie::Slipping, Some(12.0), (true, Some(12.0))), Test::Newest);
        assert_eq!(test(&Tie::Slipping, Some(12.0), (true, None)), Test::Newest);
        assert_eq!(test(&Tie::Slipping, Some(14.0), (true, Some(12.0))), Test::New);
        assert_eq!(test(&Tie::FreeAt(12.0), Some(12.0), (true, Some(12.0))), Test::Newest);
        assert_eq!(test(&Tie::FreeAt(3.0), Some(3.0), (true, Some(12.0))), Test::None);
        assert_eq!(test(&Tie::FreeAt(12.0), Some(12.0), (false, None)), Test::None);
        assert_eq!(test(&Tie::MotorAlone, Some(12.0), (true, Some(12.0))), Test::None);
    }
}
