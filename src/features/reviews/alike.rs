//! “Before you start”: which conversions are alike enough that their lessons matter.
//!
//! The rule: of drive, kind of motor, pickup scheme and kind of frame at least two are the same. What is
//! “other or not known yet” is like nothing. More in common comes first, then the newer. The rule is a
//! judgement, no source.

use crate::choice::Choice;
use crate::features::conversions::model::{Draft, Drive, Frame, Motor, Pickup};

/// How many of the four features must be the same.
pub const LEAST: usize = 2;

/// What two conversions have in common, in words: `drive`, `kind of motor`.
pub fn shared(a: &Draft, b: &Draft) -> Vec<&'static str> {
    let same = [
        (a.drive == b.drive && a.drive != Drive::Other, Drive::WORD),
        (a.motor == b.motor && a.motor != Motor::Other, Motor::WORD),
        (a.pickup == b.pickup && a.pickup != Pickup::Other, Pickup::WORD),
        (a.frame == b.frame && a.frame != Frame::Other, Frame::WORD),
    ];
    same.into_iter().filter(|(same, _)| *same).map(|(_, word)| word).collect()
}

/// Of several with what they share, those alike enough: most in common first; the order given is kept
/// among equals.
pub fn ranked<T>(
    of: &Draft,
    others: impl IntoIterator<Item = (T, Draft)>,
) -> Vec<(T, Vec<&'static str>)> {
    let mut out: Vec<(T, Vec<&'static str>)> = others
        .into_iter()
        .map(|(other, draft)| (other, shared(of, &draft)))
        .filter(|(_, shared)| shared.len() >= LEAST)
        .collect();
    out.sort_by_key(|(_, shared)| std::cmp::Reverse(shared.len()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::features::conversions::model::Body;

    fn draft(drive: Drive, motor: Motor, pickup: Pickup, frame: Frame) -> Draft {
        Draft {
            title: String::new(),
            scale: "H0".into(),
            ratio: None,
            gauge_um: None,
            body: Body::Generic,
            wheels: String::new(),
            length_um: None,
            drive,
            motor,
            pickup,
            frame,
            goal_sound: false,
            goal_lights: false,
            goal_store: false,
            why: String::new(),
            give_up_cents: None,
            give_up_currency: String::new(),
            give_up_minutes: None,
            track_mv: None,
            person_id: None,
            started_at: 0,
        }
    }

    #[test]
    fn what_two_have_in_common_is_named() {
        let a = draft(Drive::TwoBogies, Motor::Can, Pickup::Bogies, Frame::CastMetal);
        let b = draft(Drive::TwoBogies, Motor::Flat, Pickup::Bogies, Frame::Plastic);
        assert_eq!(shared(&a, &b), ["drive", "pickup scheme"]);
        assert_eq!(shared(&a, &b), shared(&b, &a), "likeness goes both ways");
        assert_eq!(shared(&a, &a).len(), 4);
    }

    #[test]
    fn what_is_not_known_is_like_nothing() {
        let unknown = draft(Drive::Other, Motor::Other, Pickup::Other, Frame::Other);
        assert!(shared(&unknown, &unknown).is_empty());
    }

    #[test]
    fn two_in_common_are_enough_and_more_come_first() {
        let a = draft(Drive::TwoBogies, Motor::Can, Pickup::Bogies, Frame::CastMetal);
        let one = draft(Drive::OneBogie, Motor::Can, Pickup::Wipers, Frame::Plastic);
        let two = draft(Drive::OneBogie, Motor::Can, Pickup::Wipers, Frame::CastMetal);
        let found =
            ranked(&a, [("one", one), ("two", two.clone()), ("all", a.clone()), ("2", two)]);
        assert_eq!(found.iter().map(|(n, _)| *n).collect::<Vec<_>>(), ["all", "two", "2"]);
    }
}
