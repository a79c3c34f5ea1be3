//! The command line: what each command does, and how it ends.
//!
//! Results go to standard output, everything else to standard error. Exit codes: 0 done, 1 the input
//! was refused or a check found something wrong, 2 the words of the call are off, 3 the notebook or
//! the machine would not do it.

mod backup;
mod calc;
mod check;
mod demo;
mod say;
mod seed;
mod serve;
mod transfer;

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
    /// Copy the whole notebook into a new file, verified, also while it is being served
    ///
    /// The SHA-256 of the copy is printed; restoring it prints the same.
    Backup {
        /// File to make; it must not be there yet
        #[arg(value_name = "FILE")]
        out: PathBuf,
        #[command(flatten)]
        notebook: Notebook,
    },
    /// Put a backup in the notebook's place; the notebook as it is stays beside it under another name
    ///
    /// The backup is verified first. Refused while another program has the notebook open: stop it first.
    Restore {
        /// Backup made by `undershell backup`, or a copy the program set aside
        #[arg(value_name = "FILE")]
        from: PathBuf,
        #[command(flatten)]
        notebook: Notebook,
    },
    /// Write an archive of the notebook, or of one conversion: a zip of plain JSON
    Export {
        /// File to make; it must not be there yet
        #[arg(value_name = "FILE")]
        out: PathBuf,
        /// Only the conversion of this number, with what hangs on it
        #[arg(long, value_name = "NUMBER")]
        conversion: Option<i64>,
        #[command(flatten)]
        notebook: Notebook,
    },
    /// Bring an archive into the notebook, all of it or nothing
    ///
    /// New records come in. Records that are here already and differ are listed; say with --take what
    /// happens to them. A verified copy of the notebook is set aside first.
    Import {
        /// Archive made by `undershell export` or on the page Transfer
        #[arg(value_name = "FILE")]
        archive: PathBuf,
        /// Only list what would change
        #[arg(long)]
        dry_run: bool,
        /// What happens to records that are here already and differ
        #[arg(long, value_name = "WHICH", conflicts_with = "dry_run")]
        take: Option<Take>,
        #[command(flatten)]
        notebook: Notebook,
    },
}

/// The notebook a command works on.
#[derive(Debug, Clone, clap::Args)]
struct Notebook {
    /// Data file
    #[arg(long, env = "UNDERSHELL_FILE", value_name = "PATH", default_value = "undershell.sqlite")]
    file: PathBuf,
}

/// What happens to records that are here already and differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Take {
    /// all of them stay as they are here
    Mine,
    /// those changed there and not here are written over
    Newer,
    /// those changed on both sides are written over too
    Theirs,
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
        Some(Command::Backup { out, notebook }) => backup::backup(&notebook.file, &out),
        Some(Command::Restore { from, notebook }) => backup::restore(&notebook.file, &from),
        Some(Command::Export { out, conversion, notebook }) => {
            transfer::export(&notebook.file, &out, conversion)
        }
        Some(Command::Import { archive, dry_run, take, notebook }) => {
            transfer::import(&notebook.file, &archive, dry_run, take)
        }
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
