//! Moving a conversion on, and signing which load case governs.

use super::sheet;
use crate::features::conversions::model::Governing;
use crate::features::conversions::{forms, store};
use crate::features::people::extract::write;
use crate::web::{App, Error, Fields, Result, Who, see_other};
use axum::extract::{Path, State};
use axum::response::Response;

/// The sentences of a refused form as one, for pages that have no form of their own to show again.
fn refused(form: &Fields) -> Error {
    Error::Refused(form.all_wrong().map(|(_, why)| why).collect::<Vec<_>>().join(" "))
}

/// `POST /c/{no}/stage`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let version = form.version();
    let Some(m) = forms::read_move(&mut form) else { return Err(refused(&form)) };
    let mut w = write(&app, &who).await?;
    let at = w.at;
    store::move_to(&mut w, &c, version, (m.stage, m.outcome), (&m.why, at)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}"))
}

/// `POST /c/{no}/governing`: which load case governs is a known disagreement; saying that slipping
/// does is signed, with its reason.
pub async fn govern(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let version = form.version();
    let governing = form.choice::<Governing>("governing");
    let why = form.optional_text("why", 2000);
    if governing == Some(Governing::Slipping) {
        if why.is_empty() {
            form.refuse("why", "Write why slipping governs: the reason is signed.");
        }
        if who.id.is_none() {
            form.refuse("why", "Say who is writing first: this is signed.");
        }
    }
    let governing = match governing {
        Some(governing) if !form.any_wrong() => governing,
        _ => return Err(refused(&form)),
    };
    let mut w = write(&app, &who).await?;
    store::sign_governing(&mut w, &c, version, governing, &why).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}/parts#governing"))
}
