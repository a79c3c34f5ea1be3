//! Suppliers, by the household's own names.

use crate::db::SupplierId;
use crate::features::parts::model::Supplier;
use crate::features::parts::{forms, supplier_store as store};
use crate::features::people::extract::write;
use crate::web::form::new_token;
use crate::web::{App, Error, Fields, Page, Path, Result, Shell, Who, see_other};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// The list.
#[derive(Debug, Template)]
#[template(path = "parts_room/suppliers.html")]
pub struct ListPage {
    shell: Shell,
    suppliers: Vec<Supplier>,
    aside: Vec<Supplier>,
    form: Fields,
}

async fn list_page(app: &App, who: &Who, (form, status): (Fields, StatusCode)) -> Result<Response> {
    let mut conn = app.db.pool.acquire().await?;
    let all = store::list(&mut conn).await?;
    drop(conn);
    let (suppliers, aside) = all.into_iter().partition(|s| s.aside_at.is_none());
    let shell = Shell::new(app, who, "Suppliers", "/drawer");
    Ok(Page(status, ListPage { shell, suppliers, aside, form }).into_response())
}

/// `GET /suppliers`
pub async fn list(State(app): State<App>, who: Who) -> Result<Response> {
    let form = Fields::with([("token", new_token())]);
    list_page(&app, &who, (form, StatusCode::OK)).await
}

/// `POST /suppliers`
pub async fn create(State(app): State<App>, who: Who, mut form: Fields) -> Result<Response> {
    let (token, draft) = (form.token(), forms::read_supplier(&mut form));
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        return list_page(&app, &who, (form, StatusCode::UNPROCESSABLE_ENTITY)).await;
    };
    let mut w = write(&app, &who).await?;
    if let Some(token) = token
        && let Some(answer) = w.seen(token).await?
    {
        return see_other(&answer);
    }
    match store::add(&mut w, draft).await {
        Ok(_) => {
            w.commit_form(token, "/suppliers").await?;
            see_other("/suppliers")
        }
        Err(crate::db::Error::Taken { field, message }) => {
            drop(w);
            form.refuse(field, message);
            list_page(&app, &who, (form, StatusCode::UNPROCESSABLE_ENTITY)).await
        }
        Err(e) => Err(e.into()),
    }
}

/// The form of one.
#[derive(Debug, Template)]
#[template(path = "parts_room/supplier.html")]
pub struct EditPage {
    shell: Shell,
    id: SupplierId,
    name: String,
    form: Fields,
    theirs: String,
}

fn edit_page(
    app: &App,
    who: &Who,
    s: &Supplier,
    (form, theirs, status): (Fields, String, StatusCode),
) -> Response {
    let name = s.draft.name.clone();
    let shell = Shell::new(app, who, format!("{name} · Suppliers"), "/drawer");
    Page(status, EditPage { shell, id: s.id, name, form, theirs }).into_response()
}

/// The supplier of an id as typed in an address.
async fn find(app: &App, id: &str) -> Result<Supplier> {
    let missing = || Error::NotFound("supplier of that id".to_owned());
    let id: SupplierId = id.parse().map_err(|_| missing())?;
    let mut conn = app.db.pool.acquire().await?;
    store::find(&mut conn, id).await?.ok_or_else(missing)
}

/// `GET /suppliers/{id}`
pub async fn edit(State(app): State<App>, who: Who, Path(id): Path<String>) -> Result<Response> {
    let s = find(&app, &id).await?;
    Ok(edit_page(&app, &who, &s, (forms::fill_supplier(&s), String::new(), StatusCode::OK)))
}

/// `POST /suppliers/{id}`
pub async fn update(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    let s = find(&app, &id).await?;
    let (version, draft) = (form.version(), forms::read_supplier(&mut form));
    let Some(draft) = draft.filter(|_| !form.any_wrong()) else {
        let status = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(edit_page(&app, &who, &s, (form, String::new(), status)));
    };
    if version != s.version {
        form.set("version", s.version.to_string());
        let d = &s.draft;
        let said = [&d.name, &d.lane, &d.remark].map(String::as_str);
        let said: Vec<&str> = said.into_iter().filter(|t| !t.is_empty()).collect();
        return Ok(edit_page(&app, &who, &s, (form, said.join(" · "), StatusCode::CONFLICT)));
    }
    let new = Supplier { draft, ..s.clone() };
    let mut w = write(&app, &who).await?;
    match store::change(&mut w, (&s, version), new).await {
        Ok(()) => {
            w.commit().await?;
            see_other("/suppliers")
        }
        Err(crate::db::Error::Taken { field, message }) => {
            form.refuse(field, message);
            let status = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(edit_page(&app, &who, &s, (form, String::new(), status)))
        }
        Err(e) => Err(e.into()),
    }
}

async fn set_aside(
    app: &App,
    who: &Who,
    id: &str,
    form: &mut Fields,
    aside: bool,
) -> Result<Response> {
    let s = find(app, id).await?;
    let version = form.version();
    let mut w = write(app, who).await?;
    let new = Supplier { aside_at: aside.then_some(w.at), ..s.clone() };
    store::change(&mut w, (&s, version), new).await?;
    w.commit().await?;
    see_other("/suppliers")
}

/// `POST /suppliers/{id}/aside`
pub async fn aside(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, &id, &mut form, true).await
}

/// `POST /suppliers/{id}/restore`
pub async fn restore(
    State(app): State<App>,
    who: Who,
    Path(id): Path<String>,
    mut form: Fields,
) -> Result<Response> {
    set_aside(&app, &who, &id, &mut form, false).await
}
