//! Rows as JSON, their JSON Schema, and back again with every check.

use super::model::Refused;
use crate::db::travel::{Cell, Column, Kind, Layout, Row};
use serde_json::{Map, Number, Value, json};
use std::collections::HashSet;
use uuid::Uuid;

fn value(cell: &Cell) -> Value {
    match cell {
        Cell::Null => Value::Null,
        Cell::Whole(v) => Value::from(*v),
        Cell::Real(v) => Number::from_f64(*v).map_or(Value::Null, Value::Number),
        Cell::Text(v) => Value::from(v.as_str()),
        Cell::Id(v) => Value::from(v.to_string()),
        Cell::Bytes(v) => Value::from(v.iter().fold(String::new(), |s, b| format!("{s}{b:02x}"))),
    }
}

/// A row as a JSON object, its keys in the order of the columns.
pub fn object(layout: &Layout, row: &Row) -> Map<String, Value> {
    layout.columns.iter().zip(row).map(|(c, cell)| (c.name.clone(), value(cell))).collect()
}

/// A table as a JSON array, one row a line.
pub fn table(layout: &Layout, rows: &[Row]) -> String {
    let lines: Vec<String> =
        rows.iter().map(|r| Value::Object(object(layout, r)).to_string()).collect();
    if lines.is_empty() { "[]\n".to_owned() } else { format!("[\n{}\n]\n", lines.join(",\n")) }
}

/// The JSON Schema of a table.
pub fn schema(layout: &Layout) -> String {
    let properties: Map<String, Value> =
        layout.columns.iter().map(|c| (c.name.clone(), property(c))).collect();
    let names: Vec<&str> = layout.columns.iter().map(|c| c.name.as_str()).collect();
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": layout.table.name,
        "description": format!("{}, one object each", layout.table.many),
        "type": "array",
        "items": {
            "type": "object",
            "properties": properties,
            "required": names,
            "additionalProperties": false,
        },
    });
    serde_json::to_string_pretty(&schema).map(|s| s + "\n").unwrap_or_default()
}

fn property(column: &Column) -> Value {
    let mut out = Map::new();
    let word = match column.kind {
        Kind::Whole => "integer",
        Kind::Real => "number",
        Kind::Text | Kind::Id | Kind::Bytes => "string",
    };
    let kind = if column.required { json!(word) } else { json!([word, "null"]) };
    out.insert("type".to_owned(), kind);
    match column.kind {
        Kind::Id => {
            out.insert("format".to_owned(), json!("uuid"));
        }
        Kind::Bytes => {
            out.insert("pattern".to_owned(), json!("^([0-9a-f]{2})*$"));
        }
        Kind::Whole | Kind::Real | Kind::Text => {}
    }
    let refers = column.link.as_ref().map(|t| format!("id of a row of {t}"));
    let says: Vec<String> = [Some(column.says.clone()).filter(|s| !s.is_empty()), refers]
        .into_iter()
        .flatten()
        .collect();
    if !says.is_empty() {
        out.insert("description".to_owned(), json!(says.join("; ")));
    }
    Value::Object(out)
}

/// The columns a schema of an archive names, each known here.
///
/// Errors: it is no such schema, or it names a column this program does not know.
pub fn columns_of(layout: &Layout, schema: &[u8]) -> Result<Vec<String>, Refused> {
    let name = layout.table.name;
    let schema: Value = serde_json::from_slice(schema)
        .map_err(|e| Refused::new(format!("The schema of {name} can’t be read: {e}.")))?;
    let properties = schema.pointer("/items/properties").and_then(Value::as_object);
    let Some(properties) = properties else {
        return Err(Refused::new(format!("The schema of {name} names no columns.")));
    };
    for column in properties.keys() {
        if layout.place(column).is_none() {
            return Err(Refused::new(format!(
                "{name} has a column “{column}” that is not known here. The archive may be of a newer Undershell: use that program."
            )));
        }
    }
    Ok(properties.keys().cloned().collect())
}

/// The rows of a table, each exactly of the columns its schema names.
///
/// Errors: no JSON, a missing, unknown or mistyped value, or two rows with one key; row and column
/// are named.
pub fn rows(layout: &Layout, columns: &[String], text: &[u8]) -> Result<Vec<Row>, Refused> {
    let name = layout.table.name;
    let objects: Vec<Map<String, Value>> = serde_json::from_slice(text)
        .map_err(|e| Refused::new(format!("tables/{name}.json can’t be read: {e}.")))?;
    let mut out = Vec::with_capacity(objects.len());
    let mut keys = HashSet::new();
    for (i, object) in objects.into_iter().enumerate() {
        let at = format!("Row {} of {name}", i + 1);
        let row =
            row(layout, columns, object).map_err(|why| Refused::new(format!("{at} {why}")))?;
        let key: Vec<String> =
            layout.key.iter().filter_map(|p| row.get(*p)).map(|c| value(c).to_string()).collect();
        if !key.is_empty() && !keys.insert(key) {
            return Err(Refused::new(format!("{at} has the same key as a row before it.")));
        }
        out.push(row);
    }
    Ok(out)
}

fn row(layout: &Layout, columns: &[String], mut object: Map<String, Value>) -> Result<Row, String> {
    let mut out = Row::with_capacity(layout.columns.len());
    for column in &layout.columns {
        let name = &column.name;
        let cell = match object.remove(name) {
            Some(value) if columns.contains(name) => cell(column, value)
                .map_err(|wanted| format!("does not fit: {name} must be {wanted}."))?,
            None if !columns.contains(name) && column.may_miss => column.default.clone(),
            None => return Err(format!("has no {name}.")),
            Some(_) => return Err(format!("has a {name} that its schema does not name.")),
        };
        out.push(cell);
    }
    match object.keys().next() {
        None => Ok(out),
        Some(unknown) => {
            let unknown: String = unknown.chars().filter(|c| !c.is_control()).take(40).collect();
            Err(format!("has a column “{unknown}” that is not known here."))
        }
    }
}

fn cell(column: &Column, value: Value) -> Result<Cell, &'static str> {
    if value.is_null() {
        return if column.required { Err("filled") } else { Ok(Cell::Null) };
    }
    match (column.kind, value) {
        (Kind::Whole, Value::Number(n)) => n.as_i64().map(Cell::Whole).ok_or("a whole number"),
        (Kind::Real, Value::Number(n)) => {
            n.as_f64().filter(|v| v.is_finite()).map(Cell::Real).ok_or("a number")
        }
        (Kind::Text, Value::String(s)) => Ok(Cell::Text(s)),
        (Kind::Id, Value::String(s)) => {
            let id = s.parse::<Uuid>().ok().filter(|id| id.to_string() == s);
            id.map(Cell::Id).ok_or("a UUID in lower case")
        }
        (Kind::Bytes, Value::String(s)) => unhex(&s).map(Cell::Bytes).ok_or("bytes in hexadecimal"),
        (Kind::Whole, _) => Err("a whole number"),
        (Kind::Real, _) => Err("a number"),
        (Kind::Text, _) => Err("text"),
        (Kind::Id, _) => Err("a UUID in lower case"),
        (Kind::Bytes, _) => Err("bytes in hexadecimal"),
    }
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    let digits = text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    if !digits || !text.len().is_multiple_of(2) {
        return None;
    }
    (0..text.len()).step_by(2).map(|i| u8::from_str_radix(text.get(i..i + 2)?, 16).ok()).collect()
}
