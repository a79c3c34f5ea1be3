//! Which names this program answers to. A page of somebody else's that points its own name at this
//! machine (DNS rebinding) is turned away before any route sees it.

use crate::web::problem::Problem;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

/// The names and addresses allowed in the Host header.
#[derive(Debug, Clone)]
pub struct Hosts {
    allowed: Arc<[String]>,
    listen_ip: IpAddr,
}

impl Hosts {
    /// `localhost`, loopback addresses, the address listened on, and the names given.
    pub fn new(listen: SocketAddr, more: &[String]) -> Self {
        let names = more.iter().map(|n| n.trim().to_ascii_lowercase()).filter(|n| !n.is_empty());
        let allowed = names.chain(["localhost".to_owned()]).collect();
        Hosts { allowed, listen_ip: listen.ip() }
    }

    /// Whether a Host header is one of ours. The port does not matter.
    pub fn allows(&self, host: &str) -> bool {
        let name = host.to_ascii_lowercase();
        let name = match name.strip_prefix('[') {
            Some(rest) => rest.split(']').next().unwrap_or("").to_owned(),
            None => name.rsplit_once(':').map_or(name.clone(), |(n, _)| n.to_owned()),
        };
        match name.parse::<IpAddr>() {
            // an address can't be rebound: only names are resolved
            Ok(ip) => ip.is_loopback() || self.listen_ip.is_unspecified() || ip == self.listen_ip,
            Err(_) => self.allowed.contains(&name),
        }
    }
}

/// Turns away requests for other names.
pub async fn check(State(hosts): State<Hosts>, request: Request, next: Next) -> Response {
    let from_header = request.headers().get(header::HOST).and_then(|h| h.to_str().ok());
    let host = from_header.or_else(|| request.uri().host());
    if host.is_some_and(|h| hosts.allows(h)) {
        return next.run(request).await;
    }
    Problem::new(
        StatusCode::MISDIRECTED_REQUEST,
        "Wrong name",
        "This program does not answer to that name. Start it with --allowed-host NAME to allow one.",
    )
    .into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_loopback_and_named_hosts_are_answered() {
        let hosts = Hosts::new("127.0.0.1:8470".parse().unwrap(), &["Bench.local".into()]);
        for good in
            ["localhost", "localhost:8470", "127.0.0.1:8470", "[::1]:8470", "bench.local:8470"]
        {
            assert!(hosts.allows(good), "{good}");
        }
        for bad in [
            "evil.example",
            "localhost.evil.example",
            "192.168.1.5",
            "",
            "bench.local.evil.example:80",
        ] {
            assert!(!hosts.allows(bad), "{bad}");
        }
    }
}
