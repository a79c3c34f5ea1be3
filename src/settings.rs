//! Settings of the program: flags first, then environment, then an optional TOML file, then defaults.
//! Called settings, so that “configuration variable” stays the trade's word.

use serde::Deserialize;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};

/// What may be said in the TOML file. An unknown key is an error.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileSettings {
    /// Data file.
    pub file: Option<PathBuf>,
    /// Address to listen on.
    pub address: Option<IpAddr>,
    /// Port; 0 takes a free one.
    pub port: Option<u16>,
    /// More names this machine may be reached by.
    pub allowed_hosts: Option<Vec<String>>,
    /// What the machine is called in the title block.
    pub kept_on: Option<String>,
    /// Log lines as JSON.
    pub log_json: Option<bool>,
}

/// What flags and environment may say.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Flags {
    /// Data file [default: undershell.sqlite in this folder]
    #[arg(long, env = "UNDERSHELL_FILE", value_name = "PATH")]
    pub file: Option<PathBuf>,
    /// Address to listen on [default: 127.0.0.1, this machine only]
    #[arg(long, env = "UNDERSHELL_ADDRESS", value_name = "IP")]
    pub address: Option<IpAddr>,
    /// Port; 0 takes a free one [default: 8470]
    #[arg(long, env = "UNDERSHELL_PORT", value_name = "PORT")]
    pub port: Option<u16>,
    /// One more name this machine may be reached by, such as bench.local; may be repeated
    #[arg(
        long = "allowed-host",
        env = "UNDERSHELL_ALLOWED_HOSTS",
        value_delimiter = ',',
        value_name = "NAME"
    )]
    pub allowed_hosts: Vec<String>,
    /// What this machine is called in the title block
    #[arg(long, env = "UNDERSHELL_KEPT_ON", value_name = "NAME")]
    pub kept_on: Option<String>,
    /// Write log lines as JSON
    #[arg(long, env = "UNDERSHELL_LOG_JSON")]
    pub log_json: bool,
    /// Settings file (TOML); every key of it is named like its flag
    #[arg(long, env = "UNDERSHELL_SETTINGS", value_name = "PATH")]
    pub settings: Option<PathBuf>,
}

/// The settings in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Data file.
    pub file: PathBuf,
    /// Where to listen.
    pub listen: SocketAddr,
    /// More names this machine may be reached by.
    pub allowed_hosts: Vec<String>,
    /// What the machine is called.
    pub kept_on: String,
    /// Log lines as JSON.
    pub log_json: bool,
}

/// Port when none is said.
const PORT: u16 = 8470;

impl Settings {
    /// Puts flags over the file over the defaults.
    ///
    /// Errors: the settings file can't be read, is no TOML, or has an unknown key.
    pub fn resolve(flags: Flags) -> Result<Self, String> {
        let file = match &flags.settings {
            Some(path) => read(path)?,
            None => FileSettings::default(),
        };
        Ok(Self::merge(flags, file))
    }

    fn merge(flags: Flags, file: FileSettings) -> Self {
        let address = flags.address.or(file.address).unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST));
        let port = flags.port.or(file.port).unwrap_or(PORT);
        let mut allowed_hosts = flags.allowed_hosts;
        allowed_hosts.extend(file.allowed_hosts.unwrap_or_default());
        Settings {
            file: flags.file.or(file.file).unwrap_or_else(|| PathBuf::from("undershell.sqlite")),
            listen: SocketAddr::new(address, port),
            allowed_hosts,
            kept_on: flags.kept_on.or(file.kept_on).unwrap_or_else(|| "this machine".to_owned()),
            log_json: flags.log_json || file.log_json.unwrap_or(false),
        }
    }
}

/// Reads a settings file.
fn read(path: &Path) -> Result<FileSettings, String> {
    let text =
        std::fs::read_to_string(path).map_err(|e| format!("settings {}: {e}", path.display()))?;
    toml::from_str(&text).map_err(|e| format!("settings {}: {e}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flag_wins_over_the_file_and_the_file_over_the_default() {
        let file =
            FileSettings { port: Some(1), kept_on: Some("attic".into()), ..Default::default() };
        let flags = Flags { port: Some(2), ..Default::default() };
        let s = Settings::merge(flags, file);
        assert_eq!((s.listen.port(), s.kept_on.as_str()), (2, "attic"));
        assert!(s.listen.ip().is_loopback());
    }

    #[test]
    fn an_unknown_key_is_an_error_that_names_it() {
        let e = toml::from_str::<FileSettings>("prot = 80").unwrap_err().to_string();
        assert!(e.contains("prot"), "{e}");
    }
}
