//! The address printed on paper: that under which the page itself was asked for.

use axum::http::{HeaderMap, header};
use std::net::IpAddr;

/// Where a conversion is found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// `http://bench.local:8470/c/7`.
    pub address: String,
    /// It leads back to this machine only, so that a phone can't follow it.
    pub this_machine_only: bool,
}

/// The link to a conversion, from the Host header of a request. `None`: the header names no host.
pub fn link(headers: &HeaderMap, no: i64) -> Option<Link> {
    let host = headers.get(header::HOST)?.to_str().ok()?.trim().to_ascii_lowercase();
    let (name, port) = match host.strip_prefix('[') {
        Some(rest) => {
            let (ip, after) = rest.split_once(']')?;
            (format!("[{ip}]"), after.strip_prefix(':'))
        }
        None => match host.split_once(':') {
            Some((name, port)) => (name.to_owned(), Some(port)),
            None => (host.clone(), None),
        },
    };
    let bare = name.trim_matches(['[', ']']);
    let ip = bare.parse::<IpAddr>().ok();
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    if bare.is_empty() || (ip.is_none() && !bare.chars().all(plain)) {
        return None;
    }
    let port = match port {
        None => String::new(),
        Some(port) => format!(":{}", port.parse::<u16>().ok()?),
    };
    Some(Link {
        address: format!("http://{name}{port}/c/{no}"),
        this_machine_only: bare == "localhost" || ip.is_some_and(|ip| ip.is_loopback()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(host: &str) -> Option<Link> {
        let mut headers = HeaderMap::new();
        headers.insert(header::HOST, host.parse().unwrap());
        link(&headers, 7)
    }

    #[test]
    fn the_link_is_that_of_the_request() {
        for (host, address, only) in [
            ("bench.local:8470", "http://bench.local:8470/c/7", false),
            ("192.168.1.20", "http://192.168.1.20/c/7", false),
            ("[fe80::1]:80", "http://[fe80::1]:80/c/7", false),
            ("LocalHost:8470", "http://localhost:8470/c/7", true),
            ("127.0.0.1:8470", "http://127.0.0.1:8470/c/7", true),
            ("[::1]", "http://[::1]/c/7", true),
        ] {
            let link = of(host).unwrap();
            assert_eq!((link.address.as_str(), link.this_machine_only), (address, only));
        }
    }

    #[test]
    fn what_is_no_host_gives_no_link() {
        for host in ["", "a b", "bench.local:port", "bench.local:99999", "x/y", "[::1", "<x>:1"] {
            assert_eq!(of(host), None, "{host}");
        }
        assert_eq!(link(&HeaderMap::new(), 7), None);
    }
}
