//! The whole program in process: a copy of a migrated file, a clock that stands, no port.

use super::{Answer, Form};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, header};
use http_body_util::BodyExt as _;
use sqlx::{AssertSqlSafe, Row as _, SqlitePool};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, OnceLock};
use tempfile::TempDir;
use time::UtcOffset;
use tokio::runtime::{Builder, Runtime};
use tower::ServiceExt as _;
use undershell::db::{self, Db};
use undershell::server::{Hosts, build};
use undershell::web::{App as State, Clock};

/// 25 Nov 2026 20:00 by the clock on the wall, one hour ahead of UTC.
pub const EVENING: i64 = 1_795_633_200_000;
/// One minute, ms.
pub const MINUTE: i64 = 60_000;
/// One day, ms.
pub const DAY: i64 = 24 * 60 * MINUTE;

/// A running notebook and one device that uses it.
pub struct App {
    runtime: Runtime,
    router: Router,
    db: Db,
    now: Arc<AtomicI64>,
    /// `name=value` pairs this device sends.
    cookies: RefCell<BTreeMap<String, String>>,
    folder: TempDir,
}

/// An empty migrated notebook, made once; its pool is closed before the bytes are read.
fn empty_notebook() -> &'static [u8] {
    static BYTES: OnceLock<Vec<u8>> = OnceLock::new();
    BYTES.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("empty.sqlite");
        runtime().block_on(async {
            let (db, _) = db::open(&path, EVENING).await.expect("a fresh notebook");
            db.pool.close().await;
        });
        assert!(!path.with_extension("sqlite-wal").exists(), "the log was emptied into the file");
        std::fs::read(&path).expect("the closed file")
    })
}

fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().expect("a runtime")
}

/// A fresh notebook file in a folder.
pub fn fresh_file(folder: &Path) -> PathBuf {
    let path = folder.join("notebook.sqlite");
    std::fs::write(&path, empty_notebook()).expect("room in the temporary folder");
    path
}

impl App {
    /// An empty notebook on a Wednesday evening.
    pub fn new() -> App {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = fresh_file(folder.path());
        let now = Arc::new(AtomicI64::new(EVENING));
        let shown = Arc::clone(&now);
        let runtime = runtime();
        let (db, migrated) = runtime.block_on(db::open(&path, EVENING)).expect("the copy opens");
        assert_eq!(migrated, db::Migrated::Current);
        let state = State {
            db: db.clone(),
            clock: Clock::from_fn(move || shown.load(Ordering::Relaxed)),
            offset: UtcOffset::from_hms(1, 0, 0).expect("an offset"),
            kept_on: "the bench".to_owned(),
        };
        let hosts =
            Hosts::new("127.0.0.1:8470".parse().expect("an address"), &["bench.local".to_owned()]);
        let router = build(state, hosts);
        App { runtime, router, db, now, cookies: RefCell::default(), folder }
    }

    /// Lets time pass.
    pub fn later(&self, ms: i64) {
        self.now.fetch_add(ms, Ordering::Relaxed);
    }

    /// Sends any request from this device.
    pub fn send(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(send(self.router.clone(), self.device(request)))
    }

    /// Sends several requests at the same time.
    pub fn send_at_once(&self, requests: Vec<Request<Body>>) -> Vec<Answer> {
        self.runtime.block_on(async {
            let tasks: Vec<_> = requests
                .into_iter()
                .map(|r| tokio::spawn(send(self.router.clone(), self.device(r))))
                .collect();
            let mut out = Vec::new();
            for task in tasks {
                out.push(task.await.expect("an answer"));
            }
            out
        })
    }

    /// A request with this device's cookies and, unless it has one, our name as Host.
    fn device(&self, mut request: Request<Body>) -> Request<Body> {
        let headers = request.headers_mut();
        let cookies: Vec<String> =
            self.cookies.borrow().iter().map(|(n, v)| format!("{n}={v}")).collect();
        if !cookies.is_empty() {
            headers.insert(header::COOKIE, cookies.join("; ").parse().expect("a header"));
        }
        headers.entry(header::HOST).or_insert("127.0.0.1:8470".parse().expect("a header"));
        request
    }

    /// Looks at an address.
    pub fn get(&self, path: &str) -> Answer {
        self.send(Request::get(path).body(Body::empty()).expect("a request"))
    }

    /// Sends a form.
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let form = Form { action: path.to_owned(), fields: Vec::new() };
        self.submit(&fields.iter().fold(form, |f, (n, v)| f.twice(n, v)))
    }

    /// Sends a form of a page.
    pub fn submit(&self, form: &Form) -> Answer {
        let answer = self.send(form_request(&form.action, form.body()));
        for cookie in answer.headers.get_all(header::SET_COOKIE) {
            let pair = cookie.to_str().expect("a cookie").split(';').next().unwrap_or("");
            if let Some((name, value)) = pair.split_once('=') {
                self.cookies.borrow_mut().insert(name.to_owned(), value.to_owned());
            }
        }
        answer
    }

    /// Sends a form with a file beside its fields.
    pub fn submit_with_file(&self, form: &Form, name: &str, content: &[u8]) -> Answer {
        const BOUNDARY: &str = "a-line-no-file-holds";
        let mut body = Vec::new();
        for (field, value) in form.fields.iter().filter(|(field, _)| field != name) {
            let head = format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{field}\"");
            body.extend(format!("{head}\r\n\r\n{value}\r\n").into_bytes());
        }
        let head = format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"");
        body.extend(format!("{head}; filename=\"log.csv\"\r\n\r\n").into_bytes());
        body.extend(content);
        body.extend(format!("\r\n--{BOUNDARY}--\r\n").into_bytes());
        let request = Request::post(&form.action)
            .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={BOUNDARY}"))
            .body(Body::from(body))
            .expect("a request");
        self.send(request)
    }

    /// Sends JSON.
    pub fn post_json(&self, path: &str, body: &str) -> Answer {
        let request = Request::post(path)
            .header(header::CONTENT_TYPE, "application/json")
            .body(Body::from(body.to_owned()));
        self.send(request.expect("a request"))
    }

    /// Sends a file as a browser would, from the form of the page Transfer.
    pub fn upload(&self, path: &str, name: &str, bytes: &[u8]) -> Answer {
        let mut body = format!(
            "--line\r\nContent-Disposition: form-data; name=\"archive\"; filename=\"{name}\"\r\nContent-Type: application/zip\r\n\r\n"
        )
        .into_bytes();
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--line--\r\n");
        let request = Request::post(path)
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=line")
            .body(Body::from(body));
        self.send(request.expect("a request"))
    }

    /// Forgets the cookies: another device.
    pub fn other_device(&self) {
        self.cookies.borrow_mut().clear();
    }

    /// Sets a cookie of this device.
    pub fn cookie(&self, name: &str, value: &str) {
        self.cookies.borrow_mut().insert(name.to_owned(), value.to_owned());
    }

    /// A number out of the file.
    pub fn number(&self, sql: &str) -> i64 {
        let sql = AssertSqlSafe(sql.to_owned());
        self.runtime
            .block_on(sqlx::query_scalar(sql).fetch_one(&self.db.pool))
            .expect("the query gives a number")
    }

    /// A text out of the file.
    pub fn text(&self, sql: &str) -> String {
        let sql = AssertSqlSafe(sql.to_owned());
        self.runtime
            .block_on(sqlx::query_scalar(sql).fetch_one(&self.db.pool))
            .expect("the query gives a text")
    }

    /// Everything in the file: each table's rows, every column quoted. Equal before and after means
    /// that nothing was written.
    pub fn everything(&self) -> Vec<String> {
        self.runtime.block_on(everything(&self.db.pool))
    }

    /// The rest of a test on the pool itself.
    pub fn with_pool<T>(&self, work: impl AsyncFnOnce(&SqlitePool) -> T) -> T {
        self.runtime.block_on(work(&self.db.pool))
    }

    /// The folder the file is in.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }
}

/// A form as a request.
pub fn form_request(path: &str, body: String) -> Request<Body> {
    Request::post(path)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(body))
        .expect("a request")
}

async fn send(router: Router, request: Request<Body>) -> Answer {
    let asked = format!("{} {}", request.method(), request.uri());
    let response = router.oneshot(request).await.expect("the router always answers");
    let (parts, body) = response.into_parts();
    let bytes = body.collect().await.expect("a whole body").to_bytes();
    Answer {
        status: parts.status.as_u16(),
        headers: parts.headers,
        body: String::from_utf8_lossy(&bytes).into_owned(),
        bytes: bytes.to_vec(),
        asked,
    }
}

/// One line per row of every table.
pub async fn everything(pool: &SqlitePool) -> Vec<String> {
    let tables: Vec<String> =
        sqlx::query_scalar("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
            .fetch_all(pool)
            .await
            .expect("the tables");
    let mut out = Vec::new();
    for table in tables {
        let columns: Vec<String> = sqlx::query_scalar("SELECT name FROM pragma_table_info(?1)")
            .bind(&table)
            .fetch_all(pool)
            .await
            .expect("the columns");
        let all = columns
            .iter()
            .map(|c| format!("quote(\"{c}\")"))
            .collect::<Vec<_>>()
            .join(" || ',' || ");
        let sql = AssertSqlSafe(format!("SELECT {all} FROM \"{table}\" ORDER BY 1"));
        let rows = sqlx::query(sql).fetch_all(pool).await.expect("the rows");
        out.extend(rows.iter().map(|r| format!("{table}: {}", r.get::<String, _>(0))));
    }
    out
}

/// Whatever a test did, the file it leaves is sound.
impl Drop for App {
    fn drop(&mut self) {
        if std::thread::panicking() {
            return;
        }
        let report = self.runtime.block_on(async {
            self.db.pool.close().await;
            let pool = db::open_read_only(&self.db.path).await.expect("the file opens");
            let report = db::check(&pool).await.expect("the file can be checked");
            pool.close().await;
            report
        });
        assert_eq!(report.wrong, Vec::<String>::new(), "what undershell check says of the file");
    }
}
