//! Listening, until a signal asks to stop.

use super::{Hosts, router};
use crate::settings::Settings;
use crate::web::App;
use std::net::SocketAddr;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};

/// Serves until SIGTERM or SIGINT; then finishes what is being answered, empties the write-ahead log
/// into the file and closes it. `ready` is called with the address once connections are taken.
///
/// Errors: the port is taken or not allowed.
pub async fn serve(
    app: App,
    settings: &Settings,
    ready: impl FnOnce(SocketAddr),
) -> Result<(), String> {
    let mut terminate = signal(SignalKind::terminate()).map_err(|e| e.to_string())?;
    let mut interrupt = signal(SignalKind::interrupt()).map_err(|e| e.to_string())?;
    let listener = TcpListener::bind(settings.listen).await.map_err(|e| {
        format!("can't listen on {}: {e}. Is it running already? Try --port 0.", settings.listen)
    })?;
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    let pool = app.db.pool.clone();
    let service = router::build(app, Hosts::new(address, &settings.allowed_hosts));
    ready(address);
    axum::serve(listener, service)
        .with_graceful_shutdown(async move {
            tokio::select! {
                _ = terminate.recv() => tracing::info!("asked to stop"),
                _ = interrupt.recv() => tracing::info!("interrupted"),
            }
        })
        .await
        .map_err(|e| e.to_string())?;
    let emptied = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").execute(&pool).await;
    tracing::info!(ok = emptied.is_ok(), "closed the notebook");
    pool.close().await;
    Ok(())
}
