//! The form of a part that is there already.

use super::{Lists, conversion_of, find, links, lists, part_head};
use crate::features::conversions::Head;
use crate::features::parts::model::{Draft, Part};
use crate::features::parts::{forms, store};
use crate::features::people::extract::write;
use crate::web::{App, Error, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The form.
#[derive(Debug, Template)]
#[template(path = "parts_room/edit.html")]
pub struct EditPage {
    shell: Shell,
    head: Option<Head>,
    no: i64,
    name: String,
    form: Fields,
    lists: Lists,
    theirs: Vec<(String, String)>,
}

type Theirs = Vec<(String, String)>;

async fn page(
    app: &App,
    who: &Who,
    p: &Part,
    (form, theirs, status): (Fields, Theirs, StatusCode),
) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let c = conversion_of(&mut conn, p).await?;
    let beside = store::list(&mut conn, p.place.as_ref().map(|c| c.id)).await?;
    let lists = lists(&mut conn, &beside, Some(p)).await?;
    drop(conn);
    let nav = if p.place.is_some() { "/" } else { "/drawer" };
    let page = EditPage {
        shell: Shell::new(app, who, format!("Edit {}", p.draft.name), nav),
        head: part_head(app, c.as_ref()),
        no: p.no,
        name: p.draft.name.clone(),
        form,
        lists,
        theirs,
    };
    Ok(Page(status, page).into_response())
}

/// The part, unless it is put aside.
async fn in_use(app: &App, no: i64) -> Result<Part> {
    let p = find(app, no).await?;
    if p.aside_at.is_some() {
        return Err(Error::Refused(format!("Part {no} is put aside. Bring it back first.")));
    }
    Ok(p)
}

/// `GET /parts/{part}/edit`
pub async fn edit(State(app): State<App>, who: Who, Path(part): Path<i64>) -> Result<Response> {
    let p = in_use(&app, part).await?;
    page(&app, &who, &p, (forms::fill(&p, &app), Vec::new(), StatusCode::OK)).await
}

/// `POST /parts/{part}/edit`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(part): Path<i64>,
    mut form: Fields,
) -> Result<Response> {
    let p = in_use(&app, part).await?;
    let (version, draft) = (form.version(), forms::read(&mut form, &app));
    let Some(mut draft) = draft.filter(|_| !form.any_wrong()) else {
        return page(&app, &who, &p, (form, Vec::new(), StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    if version != p.version {
        let differ = differences(&p, &draft, &app);
        form.set("version", p.version.to_string());
        return page(&app, &who, &p, (form, differ, StatusCode::CONFLICT)).await;
    }
    forms::check_promised(&mut form, draft.promised_at, p.ordered_at(), &app);
    let mut w = write(&app, &who).await?;
    let place = p.place.as_ref().map(|c| c.id);
    if !links(w.conn(), &mut form, (&mut draft, Some(&p)), place).await? {
        drop(w);
        return page(&app, &who, &p, (form, Vec::new(), StatusCode::UNPROCESSABLE_ENTITY)).await;
    }
    keep_ids(&mut draft, &p);
    store::change(&mut w, (&p, version), draft).await?;
    w.commit().await?;
    see_other(&format!("/parts/{part}"))
}

/// A rating keeps its id as long as it keeps its row.
fn keep_ids(draft: &mut Draft, old: &Part) {
    for (new, old) in draft.ratings.iter_mut().zip(&old.draft.ratings) {
        new.id = old.id;
    }
}

/// Where somebody else's save differs from what was typed: label and their value.
fn differences(p: &Part, mine: &Draft, app: &App) -> Theirs {
    let theirs = forms::fill(p, app);
    let mine = forms::fill(&Part { draft: mine.clone(), ..p.clone() }, app);
    let labels =
        forms::LABELS.iter().map(|(name, label)| ((*name).to_owned(), (*label).to_owned()));
    let rows = (1..=forms::ROWS).flat_map(|row| {
        [("rating", "Rating"), ("value", "Value"), ("unit", "Unit"), ("from", "From")]
            .map(|(name, label)| (format!("{name}-{row}"), format!("{label} {row}")))
    });
    labels
        .chain(rows)
        .filter(|(name, _)| theirs.value(name) != mine.value(name))
        .map(|(name, label)| {
            let shown = theirs.value(&name);
            (label, if shown.is_empty() { "empty".to_owned() } else { shown.to_owned() })
        })
        .collect()
}
