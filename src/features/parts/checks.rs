//! A part for the room's tests.

use super::model::{Draft, Kind, Part, Size, State};
use crate::db::PartId;
use crate::features::snags::model::GateName;

/// A decoder that holds up first power.
pub(super) fn part(no: i64, state: State) -> Part {
    let draft = Draft {
        name: format!("part {no}"),
        kind: Kind::Decoder,
        quantity: 1,
        supplier_id: None,
        instead_of: None,
        blocks: Some(GateName::FirstPower),
        promised_at: None,
        price_cents: None,
        postage_cents: None,
        currency: String::new(),
        size: Size::default(),
        mass_mg: None,
        mass_basis: None,
        ratings: Vec::new(),
        remark: String::new(),
    };
    Part {
        id: PartId::new(),
        no,
        place: None,
        draft,
        state,
        supplier: String::new(),
        events: Vec::new(),
        aside_at: None,
        version: 1,
    }
}
