//! Parts with their steps, suppliers, physical things and their moves.

use super::entries;
use super::tell::Told;
use super::typed::{code, maybe, maybe_quantity, words};
use crate::db::{Millis, PartRatingId, Write};
use crate::features::conversions::model::to_thousandths;
use crate::features::parts::model::{Draft, Part, Place, Rating, Size, State, SupplierDraft, step};
use crate::features::parts::{self, supplier_store};
use crate::features::stock::{self, model as thing};
use crate::units::Dimension;

const DAY_MS: i64 = 86_400_000;

/// A supplier by its own name.
pub async fn supplier(w: &mut Write, s: &entries::Supplier) -> Told {
    let draft =
        SupplierDraft { name: s.name.clone(), lane: s.lane.clone(), remark: s.remark.clone() };
    supplier_store::add(w, draft).await.map(drop).map_err(words)
}

/// `31.50 EUR` as hundredths with the currency; nothing where it is empty.
fn money(text: &str) -> Result<(Option<i64>, String), String> {
    if text.is_empty() {
        return Ok((None, String::new()));
    }
    let wrong = || format!("“{text}” is no amount: write 31.50 EUR");
    let (amount, currency) = text.split_once(' ').ok_or_else(wrong)?;
    let (whole, cents) = amount.split_once('.').ok_or_else(wrong)?;
    let number = |s: &str| s.parse::<i64>().map_err(|_| wrong());
    Ok((Some(number(whole)? * 100 + number(cents)?), currency.to_owned()))
}

/// `24.6 x 15.2 x 5.4`, or `6.3 round x 12.0`, in mm.
fn size(text: &str, from: &str) -> Result<Size, String> {
    let mut size = Size { size_basis: maybe(from)?, ..Size::default() };
    let um = |mm: &str| {
        let read = maybe_quantity(mm.trim(), Dimension::Length)?;
        Ok::<_, String>(read.map(to_thousandths))
    };
    if let Some((round, length)) = text.split_once("round x") {
        (size.diameter_um, size.length_um) = (um(round)?, um(length)?);
    } else if !text.is_empty() {
        let sides: Vec<&str> = text.split('x').collect();
        let [l, w, h] = sides[..] else { return Err(format!("“{text}” is no size")) };
        (size.length_um, size.width_um, size.height_um) = (um(l)?, um(w)?, um(h)?);
    }
    Ok(size)
}

/// A part, wanted from this moment on. `now`: the moment the demo starts.
pub async fn part(w: &mut Write, (place, now): (Option<Place>, Millis), p: &entries::Part) -> Told {
    let (price_cents, currency) = money(&p.price)?;
    let (postage_cents, also) = money(&p.postage)?;
    let ratings = p.ratings.iter().map(rating).collect::<Result<Vec<_>, String>>()?;
    let suppliers = supplier_store::list(w.conn()).await.map_err(words)?;
    let supplier = suppliers.iter().find(|s| s.draft.name == p.supplier);
    if supplier.is_none() && !p.supplier.is_empty() {
        return Err(format!("no supplier “{}”", p.supplier));
    }
    let instead_of = match p.instead_of.as_str() {
        "" => None,
        name => Some(named(w, name).await?.id),
    };
    let mass = maybe_quantity(&p.mass, Dimension::Mass)?;
    let draft = Draft {
        name: p.name.clone(),
        kind: code(&p.kind)?,
        quantity: p.quantity,
        supplier_id: supplier.map(|s| s.id),
        instead_of,
        blocks: maybe(&p.blocks)?,
        promised_at: p.promised_in.map(|days| now + days * DAY_MS),
        price_cents,
        postage_cents,
        currency: if currency.is_empty() { also } else { currency },
        size: size(&p.size, &p.size_from)?,
        mass_mg: mass.map(to_thousandths),
        mass_basis: maybe(&p.mass_from)?,
        ratings,
        remark: p.remark.clone(),
    };
    parts::store::add(w, place, draft, &[]).await.map(drop).map_err(words)
}

fn rating(r: &entries::Rating) -> Result<Rating, String> {
    let value = r.value.parse().map_err(|_| format!("“{}” is no number", r.value))?;
    let (name, typed, unit) = (r.name.clone(), r.value.clone(), r.unit.clone());
    Ok(Rating { id: PartRatingId::new(), name, value, typed, unit, basis: code(&r.from)? })
}

/// The part of that name; names are told apart in the seed.
async fn named(w: &mut Write, name: &str) -> Result<Part, String> {
    for no in 1.. {
        match parts::store::find(w.conn(), no).await.map_err(words)? {
            Some(p) if p.draft.name == name => return Ok(p),
            Some(_) => {}
            None => break,
        }
    }
    Err(format!("no part “{name}”"))
}

/// A part goes one step on.
pub async fn step_on(w: &mut Write, p: &Part, state: State, remark: &str) -> Told {
    let since = p.last_step().map_or(Millis::MIN, |e| e.at);
    let at = step((p.state, since), state, w.at, false)
        .map_err(|_| format!("“{}” does not go from {:?} to {state:?}", p.draft.name, p.state))?;
    parts::store::move_on(w, (p, p.version), (state, p.place.clone()), (at, remark))
        .await
        .map(drop)
        .map_err(words)
}

/// A part goes one step on, by its name.
pub async fn step_of(w: &mut Write, s: &entries::PartStep) -> Told {
    let p = named(w, &s.part).await?;
    step_on(w, &p, code(&s.state)?, &s.remark).await
}

/// A physical thing, where it sits.
pub async fn thing(w: &mut Write, place: Option<Place>, t: &entries::Thing) -> Told {
    let mass = maybe_quantity(&t.mass, Dimension::Mass)?;
    let draft = thing::Draft {
        kind: code(&t.kind)?,
        name: t.name.clone(),
        mark: t.mark.clone(),
        mass_mg: mass.map(to_thousandths),
        remark: t.remark.clone(),
    };
    let at = w.at;
    stock::store::add(w, draft, place, (at, &t.why)).await.map(drop).map_err(words)
}

/// Things move together, by their marks.
pub async fn swap(w: &mut Write, goes: Vec<(&str, Option<Place>)>, why: &str) -> Told {
    let mut moved = Vec::new();
    for (mark, to) in goes {
        let mut found = None;
        for no in 1.. {
            match stock::store::find(w.conn(), no).await.map_err(words)? {
                Some(s) if s.draft.mark == mark => found = Some(s),
                Some(_) => continue,
                None => {}
            }
            break;
        }
        let thing = found.ok_or(format!("nothing is marked “{mark}”"))?;
        moved.push(thing::Go { thing, to });
    }
    let at = w.at;
    stock::move_store::move_together(w, &moved, (at, why)).await.map(drop).map_err(words)
}
