//! `undershell calc`: the calculations without a notebook.

use super::{End, say};
use crate::calc::{self, Calculation};
use serde_json::{Value, json};
use std::io::{BufRead, Read};

/// Runs the command.
pub fn run(name: Option<&str>, list: bool, schema: bool, lines: bool) -> End {
    if list {
        for c in calc::ALL {
            say::out(&format!("{:<12} {}", c.name, c.question));
        }
        return End::Done;
    }
    let name = name.unwrap_or_default();
    let Some(calculation) = calc::find(name) else {
        let known: Vec<&str> = calc::ALL.iter().map(|c| c.name).collect();
        say::err(&format!("undershell: “{name}” can't be worked out. Known: {}", known.join(", ")));
        return End::Refused;
    };
    if schema {
        let both = json!({
            "input": (calculation.input_schema)(),
            "output": Calculation::output_schema(),
        });
        return print(&both);
    }
    if lines { each_line(calculation) } else { once(calculation) }
}

/// One input, one answer, readable.
fn once(calculation: &Calculation) -> End {
    let mut text = String::new();
    if let Err(e) = std::io::stdin().lock().read_to_string(&mut text) {
        return End::Failed(format!("standard input: {e}"));
    }
    match (calculation.run)(&text) {
        Ok(answer) => match serde_json::to_value(&answer) {
            Ok(value) => print(&value),
            Err(e) => End::Failed(e.to_string()),
        },
        Err(refused) => {
            for r in &refused {
                let field = if r.field.is_empty() { "input" } else { &r.field };
                say::err(&format!("{field}: given {}; allowed: {}", r.given, r.allowed));
            }
            End::Refused
        }
    }
}

/// One input a line, one answer a line: for many at once.
fn each_line(calculation: &Calculation) -> End {
    for line in std::io::stdin().lock().lines() {
        let line = match line {
            Ok(line) => line,
            Err(e) => return End::Failed(format!("standard input: {e}")),
        };
        if line.trim().is_empty() {
            continue;
        }
        let answer = match (calculation.run)(&line) {
            Ok(answer) => json!(answer),
            Err(refused) => json!({ "refused": refused }),
        };
        say::out(&answer.to_string());
    }
    End::Done
}

fn print(value: &Value) -> End {
    match serde_json::to_string_pretty(value) {
        Ok(text) => {
            say::out(&text);
            End::Done
        }
        Err(e) => End::Failed(e.to_string()),
    }
}
