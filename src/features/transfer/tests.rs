//! The plan on small invented tables, and rows through JSON and back.

use super::model::Holds;
use super::plan::{Plan, Standing, plan};
use super::{archive, json};
use crate::db::travel::{Cell, Column, Kind, Layout, Reach, Row, Travels, Unique};
use proptest::prelude::*;
use uuid::Uuid;

fn column(name: &str, kind: Kind, link: Option<&str>) -> Column {
    let link = link.map(str::to_owned);
    let (default, says) = (Cell::Null, String::new());
    let required = name == "id" || name == "no" || name == "version";
    Column { name: name.to_owned(), kind, required, default, may_miss: false, link, says }
}

fn layout(name: &'static str, reach: Reach, columns: Vec<Column>, unique: &[&[usize]]) -> Layout {
    let same_by_name = name == "person";
    let table = Travels { name, one: name, many: name, reach, same_by_name, more_links: &[] };
    let unique = unique
        .iter()
        .map(|c| Unique { columns: c.to_vec(), no_case: false, in_use: false })
        .collect();
    Layout { table, columns, key: vec![0], unique }
}

/// A person, a review, its causes, the evidence of a cause, and the history.
fn layouts() -> Vec<Layout> {
    let id = || column("id", Kind::Id, None);
    let text = |name: &str| column(name, Kind::Text, None);
    let whole = |name: &str| column(name, Kind::Whole, None);
    let link = |name: &str, to: &str| column(name, Kind::Id, Some(to));
    let mut change = layout(
        "change",
        Reach::History,
        vec![
            whole("at"),
            text("noun"),
            column("record_id", Kind::Id, None),
            text("action"),
            text("before"),
            text("after"),
            text("via"),
        ],
        &[],
    );
    change.key = Vec::new();
    vec![
        layout("person", Reach::Named, vec![id(), text("name"), whole("version")], &[&[1]]),
        layout(
            "review",
            Reach::Named,
            vec![id(), whole("no"), text("name"), whole("version"), link("person_id", "person")],
            &[&[1]],
        ),
        layout(
            "cause",
            Reach::PartOf("review_id"),
            vec![id(), link("review_id", "review"), text("name")],
            &[],
        ),
        layout(
            "evidence",
            Reach::PartOf("cause_id"),
            vec![id(), link("cause_id", "cause"), text("name")],
            &[],
        ),
        change,
    ]
}

fn uuid(n: u128) -> Cell {
    Cell::Id(Uuid::from_u128(n))
}

fn text(t: &str) -> Cell {
    Cell::Text(t.to_owned())
}

fn person(id: u128, name: &str) -> Row {
    vec![uuid(id), text(name), Cell::Whole(1)]
}

fn review(id: u128, no: i64, name: &str, version: i64) -> Row {
    vec![uuid(id), Cell::Whole(no), text(name), Cell::Whole(version), uuid(1)]
}

fn part(id: u128, of: u128, name: &str) -> Row {
    vec![uuid(id), uuid(of), text(name)]
}

fn line(at: i64, record: u128) -> Row {
    vec![
        Cell::Whole(at),
        text("review"),
        uuid(record),
        text("changed"),
        text(""),
        text(""),
        text(""),
    ]
}

/// One review with a cause and its evidence.
fn notebook(version: i64, evidence: &str, lines: &[i64]) -> Vec<Vec<Row>> {
    vec![
        vec![person(1, "Ines")],
        vec![review(10, 1, "it smoked", version)],
        vec![part(20, 10, "short")],
        vec![part(30, 20, evidence)],
        lines.iter().map(|at| line(*at, 10)).collect(),
    ]
}

fn standings(p: &Plan) -> Vec<(String, Standing)> {
    p.steps.iter().map(|s| (s.label.clone(), s.standing)).collect()
}

#[test]
fn a_part_of_a_part_is_compared_and_taken_with_the_whole() {
    let (ours, theirs) = (notebook(1, "ammeter", &[1]), notebook(2, "burn mark", &[1, 2]));
    let p = plan(&layouts(), &theirs, &ours);
    assert_eq!(standings(&p), [("review 1 it smoked".to_owned(), Standing::Newer)]);
    let step = &p.steps[0];
    assert_eq!(step.differences[0].field, "evidence");
    assert_eq!(step.parts[1].1, theirs[3]);
    assert_eq!(step.parts_here[1].1, ours[3]);
    assert_eq!(p.lines, [line(2, 10)]);
}

#[test]
fn a_line_only_here_makes_a_newer_version_a_clash_and_a_line_only_there_an_older_one() {
    let p = plan(&layouts(), &notebook(5, "a", &[1, 2]), &notebook(2, "b", &[1, 3]));
    assert_eq!(p.steps[0].standing, Standing::Clash);
    assert_eq!(p.steps[0].row[3], Cell::Whole(6), "above both versions");
    let p = plan(&layouts(), &notebook(1, "a", &[1, 2]), &notebook(2, "b", &[1]));
    assert_eq!(p.steps[0].standing, Standing::Clash);
    let p = plan(&layouts(), &notebook(1, "a", &[1]), &notebook(2, "b", &[1, 2]));
    assert_eq!(p.steps[0].standing, Standing::Older);
    assert!(p.is_empty());
}

#[test]
fn a_person_is_joined_by_name_and_everything_points_at_the_one_here() {
    let mut ours = notebook(1, "a", &[]);
    ours[0] = vec![person(7, "Ines")];
    ours[1] = Vec::new();
    let p = plan(&layouts(), &notebook(1, "a", &[]), &ours);
    assert_eq!(standings(&p), [("review 1 it smoked".to_owned(), Standing::New)]);
    assert_eq!(p.steps[0].row[4], uuid(7));
}

#[test]
fn a_number_that_is_taken_becomes_the_next_free_one() {
    let mut ours = notebook(1, "a", &[]);
    ours[1] = vec![review(11, 1, "other", 1), review(12, 2, "another", 1)];
    (ours[2], ours[3]) = (Vec::new(), Vec::new());
    let p = plan(&layouts(), &notebook(1, "a", &[]), &ours);
    assert_eq!(p.steps[0].row[1], Cell::Whole(3));
    assert_eq!(p.steps[0].notes, ["number 1 is taken here: it becomes 3"]);
}

fn cell(kind: Kind, required: bool) -> BoxedStrategy<Cell> {
    let filled = match kind {
        Kind::Whole => any::<i64>().prop_map(Cell::Whole).boxed(),
        Kind::Real => {
            any::<f64>().prop_filter("finite", |v| v.is_finite()).prop_map(Cell::Real).boxed()
        }
        Kind::Text => any::<String>().prop_map(Cell::Text).boxed(),
        Kind::Id => any::<u128>().prop_map(|n| Cell::Id(Uuid::from_u128(n))).boxed(),
        Kind::Bytes => any::<Vec<u8>>().prop_map(Cell::Bytes).boxed(),
    };
    if required { filled } else { prop_oneof![1 => Just(Cell::Null), 4 => filled].boxed() }
}

/// A table with a column of every kind.
fn wide() -> Layout {
    let kinds = [Kind::Whole, Kind::Real, Kind::Text, Kind::Id, Kind::Bytes];
    let mut columns = vec![column("id", Kind::Id, None)];
    columns
        .extend(["a", "b", "c", "d", "e"].into_iter().zip(kinds).map(|(n, k)| column(n, k, None)));
    layout("wide", Reach::Named, columns, &[])
}

fn random_rows() -> impl Strategy<Value = Vec<Row>> {
    let columns = wide().columns;
    let row: Vec<_> = columns.iter().map(|c| cell(c.kind, c.required)).collect();
    proptest::collection::vec(row, 0..12).prop_map(|mut rows| {
        // the key of a notebook's rows is theirs alone
        for (i, row) in rows.iter_mut().enumerate() {
            row[0] = uuid(i as u128 + 1);
        }
        rows
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn whatever_rows_hold_comes_back_from_an_archive_and_gives_the_same_bytes(rows in random_rows()) {
        let layouts = [wide()];
        let bytes = archive::write(&layouts, std::slice::from_ref(&rows), Holds::Everything).unwrap();
        let back = archive::read(&layouts, &bytes).unwrap();
        prop_assert_eq!(&back.tables[0], &rows);
        let again = archive::write(&layouts, &back.tables, back.manifest.holds.clone()).unwrap();
        prop_assert!(again == bytes);
        // held against themselves nothing changes; against nothing everything is new
        prop_assert!(plan(&layouts, &back.tables, std::slice::from_ref(&rows)).steps.is_empty());
        prop_assert_eq!(plan(&layouts, &back.tables, &[Vec::new()]).counts[0].new, rows.len());
    }

    #[test]
    fn an_archive_cut_or_changed_anywhere_never_passes_for_another(
        rows in random_rows(), at in any::<proptest::sample::Index>(), flip in 1_u8..=255, cut in any::<bool>()
    ) {
        let layouts = [wide()];
        let mut bytes = archive::write(&layouts, std::slice::from_ref(&rows), Holds::Everything).unwrap();
        let at = at.index(bytes.len());
        if cut { bytes.truncate(at) } else { bytes[at] ^= flip }
        // either it is refused, or the byte was one that no reader needs (a date, a permission)
        if let Ok(back) = archive::read(&layouts, &bytes) {
            prop_assert!(!cut);
            prop_assert_eq!(&back.tables[0], &rows);
        }
    }

    #[test]
    fn a_table_that_is_no_table_is_refused_and_never_panics(text in any::<String>()) {
        let layout = wide();
        let columns: Vec<String> = layout.columns.iter().map(|c| c.name.clone()).collect();
        if let Ok(rows) = json::rows(&layout, &columns, text.as_bytes()) {
            prop_assert!(rows.is_empty());
        }
    }
}
