//! “You already have one”: whether the drawer holds what is wanted.

use super::model::{Kind, Part, State};

/// Parts of the drawer that are of the kind wanted and of a like name, nearest to use first.
pub fn already_have<'a>(
    wanted: (Kind, &str),
    drawer: impl IntoIterator<Item = &'a Part>,
) -> Vec<&'a Part> {
    drawer
        .into_iter()
        .filter(|p| matches!(p.state, State::Arrived | State::Proved))
        .filter(|p| p.draft.kind == wanted.0 && alike(wanted.1, &p.draft.name))
        .collect()
}

/// Whether two names speak of the same thing: at least half the telling words of the shorter one are in
/// the other. A name without a telling word says no more than its kind, and is like any.
pub fn alike(a: &str, b: &str) -> bool {
    let (a, b) = (telling(a), telling(b));
    let (few, many) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    let shared = few.iter().filter(|w| many.contains(w)).count();
    2 * shared >= few.len()
}

/// Words of a name that tell it from others of its kind.
fn telling(name: &str) -> Vec<String> {
    const NOT_TELLING: [&str; 16] = [
        "a", "an", "the", "and", "with", "for", "of", "in", "to", "decoder", "speaker", "lamp",
        "resistor", "wire", "motor", "gear",
    ];
    let mut words: Vec<String> = name
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric() && c != '.')
        .map(|w| w.trim_matches('.').to_owned())
        .map(|w| if w.len() > 3 { w.trim_end_matches('s').to_owned() } else { w })
        .filter(|w| !w.is_empty() && !NOT_TELLING.contains(&w.as_str()))
        .collect();
    words.sort();
    words.dedup();
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::features::parts::checks::part;

    #[test]
    fn names_are_alike_by_their_telling_words() {
        assert!(alike("Wiper strip, bronze, 0.15 mm", "bronze strip"));
        assert!(alike("Lamps, warm white", "warm white lamp 0.8 × 1.6 mm"));
        assert!(alike("Decoder", "decoder with sound"));
        assert!(!alike("Nylon screw M1.6", "brass gear 14 teeth"));
        assert!(!alike("resistor 470", "resistor 1k"));
    }

    #[test]
    fn what_the_drawer_holds_is_said_only_for_the_same_kind_and_only_when_it_works() {
        let drawer = [part(1, State::Arrived), part(2, State::Dead), part(3, State::Fitted)];
        let found = already_have((Kind::Decoder, "part 1"), &drawer);
        assert_eq!(found.iter().map(|p| p.no).collect::<Vec<_>>(), [1]);
        assert!(already_have((Kind::Wire, "part 1"), &drawer).is_empty());
    }
}
