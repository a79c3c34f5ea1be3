//! Writing to standard output and error. A closed pipe is no failure.

use std::io::Write;

/// A line to standard output.
pub fn out(line: &str) {
    let mut o = std::io::stdout().lock();
    let written = writeln!(o, "{line}").and_then(|()| o.flush());
    tracing::trace!(ok = written.is_ok(), "said");
}

/// A line to standard error.
pub fn err(line: &str) {
    let written = writeln!(std::io::stderr().lock(), "{line}");
    tracing::trace!(ok = written.is_ok(), "said");
}
