//! `undershell check`: a readable report on a notebook file.

use super::{End, say, wait};
use crate::db;
use std::path::Path;

/// Runs the command.
pub fn run(file: &Path) -> End {
    let report = wait(async {
        let pool = db::open_read_only(file).await?;
        let report = db::check(&pool).await;
        pool.close().await;
        report
    });
    let report = match report {
        Ok(Ok(report)) => report,
        Ok(Err(e)) => return End::Failed(format!("{}: {e}", file.display())),
        Err(e) => return End::Failed(e),
    };
    say::out(&format!("Looked at {}:", file.display()));
    for line in &report.looked_at {
        say::out(&format!("  {line}"));
    }
    if report.wrong.is_empty() {
        say::out("Nothing wrong found.");
        return End::Done;
    }
    say::out("Wrong:");
    for line in &report.wrong {
        say::out(&format!("  {line}"));
    }
    say::out("Keep this file as it is, and go back to the newest copy that checks clean.");
    End::Refused
}
