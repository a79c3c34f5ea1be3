//! The program itself, as a process: its command line, and serving on a free port.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

/// Longest the program may take to say that it listens.
const START: Duration = Duration::from_secs(20);

/// The program with nothing of this machine's settings.
pub fn command(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_undershell"));
    let ours = std::env::vars().map(|(name, _)| name).filter(|n| n.starts_with("UNDERSHELL_"));
    for name in ours {
        command.env_remove(name);
    }
    command.env("RUST_LOG", "off").env("TMPDIR", folder).current_dir(folder);
    command
}

/// What a call of the program came to.
#[derive(Debug)]
pub struct Said {
    /// Exit code.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl From<Output> for Said {
    fn from(output: Output) -> Said {
        Said {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }
}

/// Runs the program to its end in a folder.
pub fn run(folder: &Path, arguments: &[&str]) -> Said {
    run_with(command(folder).args(arguments), "")
}

/// Runs a prepared call to its end, with standard input.
pub fn run_with(command: &mut Command, input: &str) -> Said {
    let child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let mut child = child.expect("the program starts");
    // a program that does not read its input closes it, which is no failure of the test
    let written = child.stdin.take().map(|mut i| i.write_all(input.as_bytes()));
    drop(written);
    child.wait_with_output().expect("the program ends").into()
}

/// The program while it serves.
pub struct Serving {
    child: Child,
    /// `127.0.0.1:41234`.
    pub address: String,
    /// The lines it said before it listened, and that one.
    pub lines: Vec<String>,
}

impl Serving {
    /// Serves a file on a free port.
    pub fn file(file: &Path) -> Serving {
        let folder = file.parent().unwrap_or(Path::new("."));
        let mut call = command(folder);
        call.args(["serve", "--port", "0", "--file"]).arg(file);
        Serving::start(&mut call)
    }

    /// Starts a call that serves; fails with what it said when it does not come to listen.
    pub fn start(call: &mut Command) -> Serving {
        let child = call.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
        let mut child = child.expect("the program starts");
        let out = child.stdout.take().expect("its standard output");
        let (sender, receiver) = mpsc::channel();
        std::thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                if sender.send(line).is_err() {
                    return;
                }
            }
        });
        let (began, mut lines) = (Instant::now(), Vec::new());
        while let Ok(line) = receiver.recv_timeout(START.saturating_sub(began.elapsed())) {
            let address = line.strip_prefix("listening on http://").map(str::to_owned);
            lines.push(line);
            if let Some(address) = address {
                return Serving { child, address, lines };
            }
        }
        drop(child.kill());
        drop(child.wait());
        let mut why = String::new();
        drop(child.stderr.take().map(|mut e| e.read_to_string(&mut why)));
        panic!("it does not serve; it said {lines:?} and {why}");
    }

    /// Ends it at once, as a power cut would end it.
    pub fn cut_power(&mut self) {
        self.child.kill().expect("it can be ended");
        self.child.wait().expect("it has ended");
    }

    /// Asks it to stop and gives its exit code.
    pub fn stop(mut self, signal: &str) -> Option<i32> {
        signal_to(self.child.id(), signal);
        let began = Instant::now();
        while began.elapsed() < Duration::from_secs(15) {
            if let Some(status) = self.child.try_wait().expect("its state") {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("it does not stop on {signal}");
    }

    /// Looks at an address: status and body.
    pub fn get(&self, path: &str) -> (u16, String) {
        let mut line = Line::open(&self.address).expect("it listens");
        line.ask("GET", path, None).expect("an answer")
    }

    /// Sends a form: status and body.
    pub fn post(&self, path: &str, body: &str) -> (u16, String) {
        let mut line = Line::open(&self.address).expect("it listens");
        line.ask("POST", path, Some(body)).expect("an answer")
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// Sends a signal by its name to one process this test started.
fn signal_to(id: u32, signal: &str) {
    let status = Command::new("kill").args([&format!("-{signal}"), &id.to_string()]).status();
    assert!(status.is_ok_and(|s| s.success()), "kill -{signal} {id}");
}

/// A connection that stays open for several requests.
pub struct Line {
    stream: BufReader<TcpStream>,
    host: String,
}

impl Line {
    /// Connects.
    pub fn open(address: &str) -> std::io::Result<Line> {
        let stream = TcpStream::connect(address)?;
        stream.set_read_timeout(Some(Duration::from_secs(30)))?;
        stream.set_nodelay(true)?;
        Ok(Line { stream: BufReader::new(stream), host: address.to_owned() })
    }

    /// One request; status and body of its answer. A form when there is a body.
    pub fn ask(
        &mut self,
        method: &str,
        path: &str,
        body: Option<&str>,
    ) -> std::io::Result<(u16, String)> {
        let host = &self.host;
        let mut request = format!("{method} {path} HTTP/1.1\r\nHost: {host}\r\n");
        if let Some(body) = body {
            let length = body.len();
            request.push_str("Content-Type: application/x-www-form-urlencoded\r\n");
            request.push_str("Content-Length: ");
            request.push_str(&length.to_string());
            request.push_str("\r\n\r\n");
            request.push_str(body);
        } else {
            request += "\r\n";
        }
        self.stream.get_mut().write_all(request.as_bytes())?;
        let (status, length) = self.head()?;
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body)?;
        Ok((status, String::from_utf8_lossy(&body).into_owned()))
    }

    /// Status and length of the body.
    fn head(&mut self) -> std::io::Result<(u16, usize)> {
        let broken = || std::io::Error::other("the answer breaks off");
        let (mut status, mut length) = (None, 0);
        loop {
            let mut line = String::new();
            if self.stream.read_line(&mut line)? == 0 {
                return Err(broken());
            }
            let line = line.trim_end();
            if line.is_empty() {
                return status.map(|s| (s, length)).ok_or_else(broken);
            }
            if status.is_none() {
                status =
                    Some(line.split(' ').nth(1).and_then(|s| s.parse().ok()).ok_or_else(broken)?);
            } else if let Some((name, value)) = line.split_once(':')
                && name.eq_ignore_ascii_case("content-length")
            {
                length = value.trim().parse().map_err(|_| broken())?;
            }
        }
    }
}

/// A folder, and the path of a notebook in it that is not there yet.
pub fn no_file() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = folder.path().join("notebook.sqlite");
    (folder, file)
}
