//! Says what plain `cargo test` leaves out. No test of its own; it has no harness so that the line is seen.

use std::io::Write as _;

fn main() {
    let line = "Left out here: the comparisons with reference libraries and the browser tests. \
                `tests/all` sets up what they need and runs everything.";
    drop(writeln!(std::io::stdout(), "\n{line}"));
}
