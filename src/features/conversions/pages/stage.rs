//! Moving a conversion on.

use super::{overview, sheet};
use crate::features::conversions::{forms, store};
use crate::features::people::extract::write;
use crate::web::{App, Fields, Path, Result, Who, see_other};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

/// `POST /c/{no}/stage`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(no): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let c = sheet::find(&app, no).await?;
    let version = form.version();
    let Some(m) = forms::read_move(&mut form) else {
        return overview::page(&app, &who, no, (Some(form), StatusCode::UNPROCESSABLE_ENTITY))
            .await;
    };
    let mut w = write(&app, &who).await?;
    let at = w.at;
    store::move_to(&mut w, &c, version, (m.stage, m.outcome), (&m.why, at)).await?;
    w.commit().await?;
    see_other(&format!("/c/{no}"))
}
