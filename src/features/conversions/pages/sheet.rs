//! What every sheet of a conversion shares: finding it by its number, its head, its title block.

use crate::features::conversions::{model::Conversion, store};
use crate::features::gates::gather::{Gathered, gather};
use crate::web::{App, Error, Result, Sheet, Shell, Who, when};

/// The head of a sheet: number, title, the line under it, the strip of sheets.
#[derive(Debug, Clone)]
pub struct Head {
    /// № as people say it.
    pub no: i64,
    /// Title.
    pub title: String,
    /// Scale, wheels, person, since when.
    pub sub: String,
    /// The strip.
    pub strip: Vec<Tab>,
}

/// One cell of the strip.
#[derive(Debug, Clone)]
pub struct Tab {
    /// 1 to 7.
    pub number: u8,
    /// Name.
    pub name: &'static str,
    /// Address; empty where the sheet isn't built yet.
    pub href: String,
    /// Whether it is the one shown.
    pub current: bool,
}

/// The conversion of that number, or “there is no …”.
pub async fn find(app: &App, no: i64) -> Result<Conversion> {
    let mut conn = app.db.pool.acquire().await?;
    store::find(&mut conn, no).await?.ok_or_else(|| Error::NotFound(format!("conversion № {no}")))
}

/// The conversion with everything that hangs on it.
pub async fn gathered(app: &App, no: i64) -> Result<Gathered> {
    let conversion = find(app, no).await?;
    let mut conn = app.db.pool.acquire().await?;
    let minutes = i32::from(app.offset.whole_minutes());
    Ok(gather(&mut conn, conversion, (app.now(), minutes)).await?)
}

/// The head of a sheet.
pub fn head(c: &Conversion, app: &App, sheet: Option<Sheet>) -> Head {
    let now = app.now();
    let since = format!("since {}", when::day(c.draft.started_at, now, app.offset));
    let parts = [c.draft.scale.clone(), c.draft.wheels.clone(), c.person.clone(), since];
    let sub = parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" · ");
    let strip = Sheet::STRIP
        .iter()
        .map(|(number, name, ending, which)| Tab {
            number: *number,
            name,
            href: which.map(|_| format!("/c/{}{ending}", c.no)).unwrap_or_default(),
            current: which.is_some() && *which == sheet,
        })
        .collect();
    Head { no: c.no, title: c.draft.title.clone(), sub, strip }
}

/// The shell of a sheet, with its title block.
pub fn shell(app: &App, who: &Who, g: &Gathered, (sheet, name): (u8, &str)) -> Shell {
    let c = &g.conversion;
    let title = if sheet == 1 {
        format!("№ {} {}", c.no, c.draft.title)
    } else {
        format!("{name} · № {} {}", c.no, c.draft.title)
    };
    let count = g.readings.len();
    let of = if sheet == 0 { name.to_owned() } else { format!("{sheet} of 7, {name}") };
    Shell::new(app, who, title, "/")
        .block("Conversion", format!("№ {}", c.no))
        .block("Model", c.draft.title.clone())
        .block("Scale", c.scale_words())
        .block("Sheet", of)
        .block(
            "Drawn from",
            if count == 1 { "1 reading".to_owned() } else { format!("{count} readings") },
        )
}
