//! Every table and every column of the notebook travels in an archive, or stays behind for a reason.

use crate::support::App;
use std::collections::BTreeSet;
use undershell::db::travel::{Kind, Reach, STAYS, STAYS_COLUMNS, TRAVELS, layouts};

/// Tables of the file with their columns; generated ones are not among them.
fn schema(app: &App) -> Vec<(String, Vec<String>)> {
    app.with_pool(async |pool| {
        let tables: Vec<String> =
            sqlx::query_scalar("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
                .fetch_all(pool)
                .await
                .expect("the tables");
        let mut out = Vec::new();
        for table in tables {
            let columns: Vec<String> = sqlx::query_scalar(
                "SELECT name FROM pragma_table_xinfo(?1) WHERE hidden = 0 ORDER BY cid",
            )
            .bind(&table)
            .fetch_all(pool)
            .await
            .expect("the columns");
            out.push((table, columns));
        }
        out
    })
}

#[test]
fn every_table_travels_or_stays_for_a_reason() {
    let tables: BTreeSet<String> = schema(&App::new()).into_iter().map(|(t, _)| t).collect();
    let travels: BTreeSet<String> = TRAVELS.iter().map(|t| t.name.to_owned()).collect();
    let stays: BTreeSet<String> = STAYS.iter().map(|(t, _)| (*t).to_owned()).collect();
    for table in &tables {
        assert!(
            travels.contains(table) || stays.contains(table),
            "The table {table} would be lost on the way to another notebook. Add one line to TRAVELS in \
             src/db/travel/mod.rs, after every table it refers to: table(\"{table}\", \"one\", \"many\", OWN) where \
             its conversion_id names the conversion it belongs to; Reach::PartOf(\"…_id\") where it is a part of a \
             row that has the version; Reach::Named where others refer to it. If it must stay, name it in STAYS with \
             the reason."
        );
    }
    for listed in travels.iter().chain(&stays) {
        assert!(
            tables.contains(listed),
            "{listed} is listed in src/db/travel/mod.rs and is no table"
        );
    }
    assert!(travels.is_disjoint(&stays));
    assert_eq!(travels.len(), TRAVELS.len(), "a table is listed twice");
    assert!(STAYS.iter().all(|(_, why)| why.len() > 10), "a reason is missing");
}

#[test]
fn every_column_travels_or_stays_for_a_reason() {
    let app = App::new();
    let found = app.with_pool(async |pool| {
        let mut conn = pool.acquire().await.expect("a connection");
        layouts(&mut conn).await.expect("every column is of a kind that can travel")
    });
    for (table, columns) in schema(&app) {
        let Some(layout) = found.iter().find(|l| l.table.name == table) else { continue };
        for column in columns {
            let stays = STAYS_COLUMNS.iter().any(|(t, c, _)| *t == table && *c == column);
            assert!(
                layout.place(&column).is_some() != stays,
                "The column {table}.{column} is not read by src/db/travel/layout.rs. If it must stay, name it in \
                 STAYS_COLUMNS with the reason."
            );
        }
    }
    let bytes: Vec<String> = found
        .iter()
        .flat_map(|l| l.columns.iter().map(move |c| (l, c)))
        .filter(|(_, c)| c.kind == Kind::Bytes)
        .map(|(l, c)| format!("{}.{}", l.table.name, c.name))
        .collect();
    assert!(
        bytes.is_empty(),
        "{bytes:?}: a BLOB that is an id must be a key, refer to a table or end in _id, or other notebooks will not \
         know it for one; if it is really bytes, say so here"
    );
}

#[test]
fn what_is_referred_to_stands_before_what_refers_to_it() {
    let app = App::new();
    let found = app.with_pool(async |pool| {
        let mut conn = pool.acquire().await.expect("a connection");
        layouts(&mut conn).await.expect("the layouts")
    });
    for (i, layout) in found.iter().enumerate() {
        let name = layout.table.name;
        for column in &layout.columns {
            let Some(link) = &column.link else { continue };
            let at = found.iter().position(|l| l.table.name == link);
            let at = at.unwrap_or_else(|| {
                panic!("{name}.{} refers to {link}, which does not travel", column.name)
            });
            assert!(at < i || link == name, "in TRAVELS, {link} must stand before {name}");
        }
        match layout.table.reach {
            Reach::PartOf(column) | Reach::With(column) => {
                let place =
                    layout.place(column).unwrap_or_else(|| panic!("{name} has no {column}"));
                assert!(layout.columns[place].link.is_some(), "{name}.{column} refers to nothing");
            }
            Reach::Conversion(column) => {
                let place =
                    layout.place(column).unwrap_or_else(|| panic!("{name} has no {column}"));
                let link = layout.columns[place].link.as_deref();
                assert!(name == "conversion" || link == Some("conversion"), "{name}.{column}");
            }
            Reach::Household | Reach::Named | Reach::History => {}
        }
    }
}
