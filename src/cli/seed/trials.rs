//! Entries of test cards and datums.

use super::bench::meter;
use super::entries;
use super::tell::Told;
use super::typed::{maybe_quantity, words};
use crate::calc::card::{Ask, AskKind, Bench, CardName, Said, Shell};
use crate::calc::datum::{End, What};
use crate::db::{Millis, Write};
use crate::features::conversions::model::{Conversion, to_thousandths};
use crate::features::gates::gather::gather;
use crate::features::instruments::model::Instrument;
use crate::features::test_runs::model::{Answer, Draft};
use crate::features::{datums, test_runs};
use crate::units::{self, Dimension, Ohms, Wanted};

/// The instruments of those names.
async fn meters(w: &mut Write, names: &[String]) -> Result<Vec<Instrument>, String> {
    let mut out = Vec::new();
    for name in names {
        out.extend(meter(w, name).await?);
    }
    Ok(out)
}

/// One run of a card.
pub async fn run(w: &mut Write, c: Conversion, v: &entries::TestRun) -> Told {
    let card = CardName::from_key(&v.card).ok_or(format!("there is no card {}", v.card))?;
    let shell = Shell::from_key(&v.shell).ok_or(format!("“{}” is no shell", v.shell))?;
    let with = meters(w, &v.with).await?;
    let (id, at): (_, Millis) = (c.id, w.at);
    let snapshot = gather(w.conn(), c, (at, 0)).await.map_err(words)?.snapshot;
    let asks = crate::calc::card::asks(card, shell, &Bench::of(&snapshot));
    let mut answers = Vec::new();
    for (key, typed) in &v.reads {
        let ask = asks.iter().find(|a| a.key == *key);
        let ask = ask.ok_or(format!("card {} does not ask for {key}", v.card))?;
        answers.push(answer(ask, typed, &with)?);
    }
    let draft = Draft { card, shell, answers, remark: v.remark.clone(), done_at: at };
    test_runs::store::add(w, id, draft).await.map(drop).map_err(words)
}

fn answer(ask: &Ask, typed: &str, with: &[Instrument]) -> Result<Answer, String> {
    let number = |value: f64, dimension: Dimension| {
        let on = with.iter().find(|i| i.accuracy(dimension, value).is_some());
        let accuracy = on.and_then(|i| i.accuracy(dimension, value));
        (Said::Number { value, accuracy }, on.map(|i| i.id), accuracy)
    };
    let (said, instrument, accuracy) = match ask.kind {
        AskKind::Number(wanted) => {
            number(units::parse(typed, &wanted).map_err(words)?, wanted.dimension)
        }
        AskKind::Ohms(wanted) => match units::parse_ohms(typed, &wanted).map_err(words)? {
            Ohms::Open => (Said::Open, with.first().map(|i| i.id), None),
            Ohms::Joined => (Said::Joined, with.first().map(|i| i.id), None),
            Ohms::Value(value) => number(value, wanted.dimension),
        },
        AskKind::Choice(list) if !list.iter().any(|(code, _)| *code == typed) => {
            return Err(format!("“{typed}” is no answer to “{}”", ask.label));
        }
        AskKind::Choice(_) | AskKind::Text => (Said::Word(typed.to_owned()), None, None),
    };
    Ok(Answer { ask: ask.clone(), said, typed: typed.to_owned(), instrument, accuracy })
}

/// One datum, or one of before measured again.
pub async fn datum(w: &mut Write, c: Conversion, v: &entries::Datum) -> Told {
    let with = meter(w, &v.with).await?;
    let all = datums::store::list(w.conn(), c.id).await.map_err(words)?;
    let what = What::from_key(&v.what).ok_or(format!("“{}” is nothing to measure", v.what))?;
    let end = if v.end.is_empty() { Some(End::Neither) } else { End::from_key(&v.end) };
    let end = end.ok_or(format!("there is no end {}", v.end))?;
    let same = |d: &&datums::model::Datum| {
        !d.draft.after && (d.draft.what, d.draft.end) == (what, end) && d.draft.name == v.name
    };
    let before = all.iter().find(same).filter(|_| v.again);
    if v.again && before.is_none() {
        return Err(format!("there is no {} from before to measure again", v.what));
    }
    let lengths: Vec<f64> = v
        .reads
        .iter()
        .map(|t| {
            let wanted =
                Wanted { dimension: Dimension::Length, bare: "mm", least: -3000.0, most: 3000.0 };
            units::parse(t, &wanted).map_err(words)
        })
        .collect::<Result<_, _>>()?;
    if lengths.len() != if what.is_place() { 3 } else { 1 } {
        return Err(format!("{} lengths for {}", lengths.len(), v.what));
    }
    let longest = lengths.iter().map(|l| l.abs()).fold(0.0, f64::max);
    let draft = datums::model::Draft {
        what,
        name: v.name.clone(),
        end,
        from: what.usual_from(),
        after: v.again,
        before_id: before.map(|b| b.id),
        um: lengths.iter().copied().map(to_thousandths).collect(),
        typed: v.reads.clone(),
        accuracy: with.as_ref().and_then(|m| m.accuracy(Dimension::Length, longest)),
        tolerance_um: maybe_quantity(&v.tolerance, Dimension::Length)?.map(to_thousandths),
        instrument_id: with.map(|m| m.id),
        remark: v.remark.clone(),
        taken_at: w.at,
    };
    datums::store::add(w, c.id, draft).await.map(drop).map_err(words)
}
