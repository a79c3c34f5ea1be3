//! The command line: what each command does, and how it ends.
//!
//! Results go to standard output, everything else to standard error. Exit codes: 0 done, 1 the input
//! was refused or a check found something wrong, 2 the words of the call are off, 3 the notebook or
//! the machine would not do it.

mod calc;
mod check;
mod demo;
mod say;
mod seed;
mod serve;

use crate::settings::Flags;
use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// A bench notebook that computes, for railway modellers who turn analogue locomotives digital.
///
/// Without a command it serves: open the address it prints in a browser on this machine.
#[derive(Debug, Parser)]
#[command(name = "undershell", version, args_conflicts_with_subcommands = true)]
#[command(
    after_help = "Exit codes: 0 done; 1 refused input or something wrong found; 2 wrong words; 3 the notebook or the machine would not do it."
)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    #[command(flatten)]
    flags: Flags,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve the notebook until stopped (what happens when no command is given)
    Serve {
        #[command(flatten)]
        flags: Flags,
    },
    /// Make a fresh notebook filled with an invented club's conversions, and serve it
    ///
    /// Without --file it lives in the temporary folder and is removed at the end.
    Demo {
        #[command(flatten)]
        flags: Flags,
    },
    /// Work something out: JSON on standard input, JSON on standard output
    Calc {
        /// What to work out; see --list
        #[arg(required_unless_present = "list")]
        name: Option<String>,
        /// Name everything that can be worked out
        #[arg(long)]
        list: bool,
        /// Print the JSON Schema of input and output instead
        #[arg(long)]
        schema: bool,
        /// Take one JSON input a line and print one JSON answer a line
        #[arg(long, conflicts_with = "schema")]
        lines: bool,
    },
    /// Look a notebook over: structure, references, and rules of its own
    Check {
        /// Data file
        #[arg(
            long,
            env = "UNDERSHELL_FILE",
            value_name = "PATH",
            default_value = "undershell.sqlite"
        )]
        file: PathBuf,
    },
}

/// How a command ended.
#[derive(Debug)]
pub(crate) enum End {
    /// As asked.
    Done,
    /// Refused input, or something wrong found; it has been said already.
    Refused,
    /// The notebook or the machine would not do it.
    Failed(String),
}

/// Reads the arguments and runs.
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    let end = match cli.command {
        None => serve::run(cli.flags),
        Some(Command::Serve { flags }) => serve::run(flags),
        Some(Command::Demo { flags }) => demo::run(flags),
        Some(Command::Calc { name, list, schema, lines }) => {
            calc::run(name.as_deref(), list, schema, lines)
        }
        Some(Command::Check { file }) => check::run(&file),
    };
    match end {
        End::Done => ExitCode::SUCCESS,
        End::Refused => ExitCode::from(1),
        End::Failed(why) => {
            say::err(&format!("undershell: {why}"));
            ExitCode::from(3)
        }
    }
}

/// Runs a future to its end on a small runtime.
pub(crate) fn wait<T>(future: impl Future<Output = T>) -> Result<T, String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| format!("can't start: {e}"))?;
    Ok(runtime.block_on(future))
}
