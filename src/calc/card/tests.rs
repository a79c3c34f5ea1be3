use super::*;
use crate::aspect::Aspect;
use crate::calc::isolation::Point;
use proptest::prelude::*;

const METER: Accuracy = Accuracy { percent: 0.5, digits: 1.0, resolution: 0.1 };

fn bench() -> Bench {
    Bench {
        wheels: vec!["L1".into(), "R1".into()],
        outputs: vec!["front lamp".into()],
        has_bogies: true,
        held: Some((Interval::exact(0.8), Interval::exact(12.0))),
        motor_continuous_a: Some(1.0),
        track_v: Some(14.0),
        ..Bench::unknown()
    }
}

fn n(key: &str, value: f64) -> Entry {
    Entry::number(key, value)
}

fn metered(key: &str, value: f64) -> Entry {
    Entry { key: key.into(), said: Said::Number { value, accuracy: Some(METER) } }
}

fn w(key: &str, word: &str) -> Entry {
    Entry::word(key, word)
}

fn open(key: &str) -> Entry {
    Entry { key: key.into(), said: Said::Open }
}

fn joined(key: &str) -> Entry {
    Entry { key: key.into(), said: Said::Joined }
}

/// A run of each card that reads as expected.
fn good(name: CardName) -> Vec<Entry> {
    match name {
        CardName::Isolation => {
            let brushes = ["brush_a", "brush_b"].into_iter();
            let pairs = brushes.flat_map(|a| {
                ["rail_left", "rail_right", "frame"].map(|b| open(&format!("{a}:{b}")))
            });
            pairs.chain([w("moved", "yes")]).collect()
        }
        CardName::Pickup => vec![n("wheel:L1", 0.3), n("wheel:R1", 0.5), w("steady", "yes")],
        CardName::Slip => vec![n("amps", 0.32), n("volts", 12.0), w("slipped", "yes")],
        CardName::Locked => vec![n("amps", 0.8), n("volts", 12.0), w("smell", "no")],
        CardName::FreeRun => vec![
            n("at_3", 0.08),
            n("at_6", 0.1),
            n("at_9", 0.12),
            n("at_12", 0.14),
            w("swing", "no"),
        ],
        CardName::MotorHeat => vec![n("amps", 0.1), n("start", 21.0), n("end", 34.0)],
        CardName::WeakSource => vec![w("creeps", "both"), w("lights", "both")],
        CardName::SeriesGuard => vec![w("glow", "none")],
        CardName::ReadBack => vec![w("answered", "yes"), n("first", 3.0), n("second", 3.0)],
        CardName::Functions => vec![w("output:front lamp", "cool")],
        CardName::Speaker => {
            vec![n("nominal", 8.0), n("ohms", 7.6), open("frame"), w("heard", "clean")]
        }
        CardName::Store => vec![
            n("volts", 12.4),
            n("track", 14.0),
            n("rating", 16.0),
            n("ran", 80.0),
            n("most", 150.0),
        ],
        CardName::DryClose => vec![w("slides", "yes")],
        CardName::Swing => vec![open("rails"), w("tug", "no")],
        CardName::Soak => vec![
            metered("at_0", 21.0),
            metered("at_5", 34.0),
            metered("at_10", 40.0),
            metered("at_15", 41.5),
            n("amps", 0.3),
        ],
        CardName::Twist => vec![w("slip", "no")],
        CardName::Winding => vec![n("ohms", 15.0)],
    }
}

fn shells(name: CardName) -> Vec<Shell> {
    [Shell::Off, Shell::On].into_iter().filter(|s| card(name).twin.takes(*s)).collect()
}

fn with(name: CardName, change: Entry) -> Vec<Entry> {
    let mut entries = good(name);
    entries.retain(|e| e.key != change.key);
    entries.push(change);
    entries
}

fn aspect(name: CardName, entries: &[Entry]) -> Aspect {
    judge(name, shells(name)[0], entries, &bench()).finding.aspect
}

#[test]
fn the_list_holds_every_card_once_in_order_with_all_it_needs() {
    assert_eq!(CARDS.len(), CardName::ALL.len());
    for (i, name) in CardName::ALL.into_iter().enumerate() {
        let c = card(name);
        assert_eq!((c.name, name.no()), (name, i + 1));
        assert_eq!(CardName::from_key(name.key()), Some(name));
        assert_eq!(serde_json::to_value(name).unwrap(), name.key());
        for text in [c.title, c.tells, c.expect, c.fails, c.source] {
            assert!(!text.is_empty() && !text.contains('!'), "{name:?}: {text}");
        }
        assert!(!c.needs.is_empty() && !c.steps.is_empty() && c.minutes > 0, "{name:?}");
        for shell in shells(name) {
            let asks = asks(name, shell, &bench());
            let mut keys: Vec<&str> = asks.iter().map(|a| a.key.as_str()).collect();
            keys.sort_unstable();
            keys.dedup();
            assert_eq!(keys.len(), asks.len(), "{name:?} asks twice for one thing");
        }
    }
}

#[test]
fn every_card_done_as_expected_is_clear_and_leaves_nothing_to_put_right() {
    for name in CardName::ALL {
        for shell in shells(name) {
            let v = judge(name, shell, &good(name), &bench());
            assert_eq!(v.finding.aspect, Aspect::Clear, "{name:?} {shell:?}: {v:?}");
            assert!(v.snag.is_empty());
            let asks_for_twin = card(name).twin == Twin::Both && shell == Shell::Off;
            assert_eq!(v.next.contains("twin"), asks_for_twin, "{name:?}: {}", v.next);
        }
    }
}

/// What is not entered is never clear, whichever of the wanted entries is left out.
#[test]
fn a_card_with_one_entry_missing_is_never_clear() {
    for name in CardName::ALL {
        let shell = shells(name)[0];
        assert_eq!(judge(name, shell, &[], &bench()).finding.aspect, Aspect::Unlit, "{name:?}");
        for ask in asks(name, shell, &bench()).iter().filter(|a| !a.optional) {
            let mut entries = good(name);
            entries.retain(|e| e.key != ask.key);
            let v = judge(name, shell, &entries, &bench());
            assert_eq!(v.finding.aspect, Aspect::Unlit, "{name:?} without {}", ask.key);
            assert!(v.finding.sentence.contains(&ask.label), "{}", v.finding.sentence);
        }
    }
    for name in [CardName::Pickup, CardName::Functions] {
        let v = judge(name, Shell::Off, &good(name), &Bench::unknown());
        assert_eq!(v.finding.aspect, Aspect::Unlit, "nothing laid out: {name:?}");
    }
}

/// A bad reading of each card, with the aspect it leads to.
#[test]
fn a_bad_reading_is_told_with_what_to_do_and_what_a_snag_would_say() {
    use Aspect::{Caution, Danger};
    use CardName as C;
    let rows = [
        (C::Isolation, joined("brush_a:frame"), Danger),
        (C::Isolation, n("brush_b:rail_left", 40_000.0), Danger),
        (C::Isolation, w("moved", "no"), Danger),
        (C::Pickup, open("wheel:R1"), Danger),
        (C::Pickup, n("wheel:R1", 1.5), Caution),
        (C::Pickup, w("steady", "no"), Danger),
        (C::Slip, w("slipped", "no"), Caution),
        (C::Locked, w("smell", "yes"), Danger),
        (C::FreeRun, n("at_9", 0.05), Caution),
        (C::FreeRun, w("swing", "yes"), Danger),
        (C::MotorHeat, n("end", 52.0), Caution),
        (C::MotorHeat, n("end", 71.0), Danger),
        (C::WeakSource, w("creeps", "one"), Caution),
        (C::WeakSource, w("creeps", "none"), Danger),
        (C::SeriesGuard, w("glow", "bright"), Danger),
        (C::ReadBack, n("second", 4.0), Danger),
        (C::ReadBack, w("answered", "no"), Danger),
        (C::Functions, w("output:front lamp", "dark"), Caution),
        (C::Functions, w("output:front lamp", "warm"), Danger),
        (C::Speaker, n("ohms", 3.0), Danger),
        (C::Speaker, n("ohms", 6.0), Caution),
        (C::Speaker, open("ohms"), Danger),
        (C::Speaker, joined("frame"), Danger),
        (C::Speaker, w("heard", "buzz"), Caution),
        (C::Store, n("volts", -12.0), Danger),
        (C::Store, n("volts", 17.0), Danger),
        (C::Store, n("volts", 8.0), Caution),
        (C::Store, n("ran", 400.0), Caution),
        (C::DryClose, w("slides", "no"), Danger),
        (C::Swing, joined("rails"), Danger),
        (C::Swing, w("tug", "yes"), Caution),
        (C::Soak, metered("at_10", 37.0), Danger),
        (C::Soak, metered("at_10", 38.5), Caution),
        (C::Soak, n("amps", 1.2), Danger),
        (C::Twist, w("slip", "yes"), Danger),
        (C::Winding, n("ohms", 40.0), Caution),
        (C::Winding, n("ohms", 4.0), Danger),
    ];
    for (name, change, wanted) in rows {
        let told = format!("{name:?} with {change:?}");
        let v = judge(name, shells(name)[0], &with(name, change), &bench());
        assert_eq!(v.finding.aspect, wanted, "{told}: {}", v.finding.sentence);
        assert!(!v.next.is_empty(), "{told}");
        assert!(v.snag.starts_with(&format!("Card {}", name.no())), "{told}: {}", v.snag);
        assert!(!v.finding.inputs.is_empty() && !v.finding.formula.is_empty(), "{told}");
    }
}

/// Fifteen minutes at 41.5 °C after 40.0 °C on 0.5 % + 1 digit of 0.1 °C: by hand 1.5 ± 0.2075 °C.
#[test]
fn the_rise_of_one_thermometer_leaves_its_common_error_out() {
    let v = judge(CardName::Soak, Shell::Off, &good(CardName::Soak), &bench());
    assert!(v.finding.sentence.contains("rose by 1.2 to 1.7"), "{}", v.finding.sentence);
    let apart = Entry {
        key: "at_10".into(),
        said: Said::Number { value: 40.0, accuracy: Some(Accuracy { digits: 20.0, ..METER }) },
    };
    assert_eq!(aspect(CardName::Soak, &with(CardName::Soak, apart)), Aspect::Caution);
}

/// 12 V over 15 Ω are 0.80 A: with 0.80 A held they agree to the last step. Without a held current there
/// is nothing to agree with.
#[test]
fn the_winding_is_compared_with_the_held_current() {
    let alone = Bench { held: None, ..bench() };
    let v = judge(CardName::Winding, Shell::Off, &good(CardName::Winding), &alone);
    assert_eq!(v.finding.aspect, Aspect::Unlit);
    assert!(v.next.contains("card 4"), "{}", v.next);
    assert_eq!(aspect(CardName::Winding, &[n("ohms", 15.0)]), Aspect::Clear);
    assert_eq!(aspect(CardName::Winding, &[n("ohms", 11.7)]), Aspect::Clear);
    assert_ne!(aspect(CardName::Winding, &[n("ohms", 11.3)]), Aspect::Clear);
}

#[test]
fn the_twin_reads_the_shell_on_position_and_free_text_is_kept_as_said() {
    let position = |shell| {
        asks(CardName::Isolation, shell, &bench()).into_iter().find_map(|a| match a.tie {
            Tie::Isolation(Point::BrushA, _, position) => Some(position),
            _ => None,
        })
    };
    assert_eq!(position(Shell::Off), Some(Position::InFrame));
    assert_eq!(position(Shell::On), Some(Position::ShellOn));
    let entries = [w("slides", "no"), w("where", "left of the cab")];
    let v = judge(CardName::DryClose, Shell::On, &entries, &bench());
    assert!(v.finding.sentence.contains("left of the cab"));
    let no_answer = [w("answered", "no")];
    assert_eq!(aspect(CardName::ReadBack, &no_answer), Aspect::Danger, "no numbers to give");
}

proptest! {
    /// Hotter at the end is never better; a wider meter is never better.
    #[test]
    fn more_heat_and_more_doubt_are_never_better(
        t in 20.0f64..100.0, more in 0.0f64..30.0, digits in 0.0f64..20.0,
    ) {
        let at = |end: f64, digits: f64| {
            let accuracy = Some(Accuracy { digits, ..METER });
            let e = |key: &str, value| Entry { key: key.into(), said: Said::Number { value, accuracy } };
            let entries = [e("at_0", 20.0), e("at_5", t), e("at_10", t), e("at_15", end), n("amps", 0.3)];
            aspect(CardName::Soak, &entries).rank()
        };
        prop_assert!(at(t, digits) <= at(t + more, digits));
        if at(t, 0.0) < 3 {
            prop_assert!(at(t, 0.0) <= at(t, digits));
        }
    }
}
