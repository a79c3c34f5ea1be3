//! Every query on `test_run` and `test_run_value`.

use super::model::{Answer, Draft, Kept, Part, Run, Value};
use super::ties::{self, Test};
use crate::calc::card::{CardName, Said, Shell, Tie};
use crate::db::{
    Action, Change, ConversionId, Error, LoadTestId, ReadingId, TestRunId, Write, corrupt,
    expect_one,
};
use crate::features::readings::model::{Kind, Reading};
use crate::features::{circuits, readings};
use sqlx::SqliteConnection;

struct Row {
    id: TestRunId,
    no: i64,
    card: String,
    shell: String,
    remark: String,
    done_at: i64,
    entered_at: i64,
    person_name: Option<String>,
    taken_back_at: Option<i64>,
    version: i64,
}

struct ValueRow {
    run: TestRunId,
    ask: String,
    reading_id: Option<ReadingId>,
    part: String,
    value: Option<f64>,
    word: String,
    typed: String,
}

impl ValueRow {
    fn read(self) -> Result<(TestRunId, Value), Error> {
        let kept = match (self.reading_id, self.value) {
            (Some(id), _) => {
                let part = Part::from_code(&self.part)
                    .ok_or_else(|| corrupt("test_run_value", "part", self.run, &self.part))?;
                Kept::Reading { id, part }
            }
            (None, Some(value)) => Kept::Number { value, typed: self.typed },
            (None, None) => Kept::Word(self.word),
        };
        Ok((self.run, Value { ask: self.ask, kept }))
    }
}

impl Row {
    fn read(self, values: &[(TestRunId, Value)]) -> Result<Run, Error> {
        let card = CardName::from_key(&self.card)
            .ok_or_else(|| corrupt("test_run", "card", self.no, &self.card))?;
        let shell = Shell::from_key(&self.shell)
            .ok_or_else(|| corrupt("test_run", "shell", self.no, &self.shell))?;
        let of = values.iter().filter(|(run, _)| *run == self.id);
        Ok(Run {
            id: self.id,
            no: self.no,
            card,
            shell,
            values: of.map(|(_, v)| v.clone()).collect(),
            remark: self.remark,
            done_at: self.done_at,
            entered_at: self.entered_at,
            person: self.person_name.unwrap_or_default(),
            taken_back_at: self.taken_back_at,
            version: self.version,
        })
    }
}

/// Every run of a conversion, taken-back ones included, newest first.
pub async fn list(conn: &mut SqliteConnection, of: ConversionId) -> Result<Vec<Run>, Error> {
    let values: Vec<(TestRunId, Value)> = sqlx::query_as!(
        ValueRow,
        r#"SELECT v.test_run_id AS "run: TestRunId", v.ask, v.reading_id AS "reading_id: ReadingId", v.part, v.value, v.word, v.typed
           FROM test_run_value v JOIN test_run t ON t.id = v.test_run_id WHERE t.conversion_id = ?1 ORDER BY v.rowid"#,
        of
    )
    .fetch_all(&mut *conn)
    .await?
    .into_iter()
    .map(ValueRow::read)
    .collect::<Result<_, _>>()?;
    sqlx::query_as!(
        Row,
        r#"SELECT t.id AS "id: TestRunId", t.no, t.card, t.shell, t.remark, t.done_at, t.entered_at, p.name AS "person_name?",
             t.taken_back_at, t.version
           FROM test_run t LEFT JOIN person p ON p.id = t.person_id
           WHERE t.conversion_id = ?1 ORDER BY t.done_at DESC, t.no DESC"#,
        of
    )
    .fetch_all(conn)
    .await?
    .into_iter()
    .map(|row| row.read(&values))
    .collect()
}

/// Writes a run down, and what of it is an ordinary reading into the readings room.
pub async fn add(write: &mut Write, of: ConversionId, draft: Draft) -> Result<Run, Error> {
    let no = sqlx::query_scalar!(
        r#"SELECT coalesce(max(no), 0) + 1 AS "no!: i64" FROM test_run WHERE conversion_id = ?1"#,
        of
    )
    .fetch_one(write.conn())
    .await?;
    let run = Run {
        id: TestRunId::new(),
        no,
        card: draft.card,
        shell: draft.shell,
        values: keep(write, of, &draft).await?,
        remark: draft.remark,
        done_at: draft.done_at,
        entered_at: write.at,
        person: String::new(),
        taken_back_at: None,
        version: 1,
    };
    let (card, shell, person) = (run.card.key(), run.shell.key(), write.person);
    sqlx::query!(
        "INSERT INTO test_run (id, conversion_id, no, card, shell, remark, done_at, entered_at, person_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        run.id, of, run.no, card, shell, run.remark, run.done_at, run.entered_at, person
    )
    .execute(write.conn())
    .await?;
    for value in &run.values {
        insert(write, run.id, value).await?;
    }
    note(write, of, &run, Action::Added, None).await?;
    Ok(run)
}

async fn insert(write: &mut Write, run: TestRunId, v: &Value) -> Result<(), Error> {
    let (reading, part, value, word, typed) = match &v.kept {
        Kept::Reading { id, part } => (Some(*id), part.code(), None, "", ""),
        Kept::Number { value, typed } => (None, "", Some(*value), "", typed.as_str()),
        Kept::Word(word) => (None, "", None, word.as_str(), ""),
    };
    sqlx::query!(
        "INSERT INTO test_run_value (test_run_id, ask, reading_id, part, value, word, typed) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        run, v.ask, reading, part, value, word, typed
    )
    .execute(write.conn())
    .await?;
    Ok(())
}

/// Puts every answer where it is kept.
async fn keep(write: &mut Write, of: ConversionId, draft: &Draft) -> Result<Vec<Value>, Error> {
    let wheels = circuits::store::list(write.conn(), of).await?;
    let mut read: Vec<(&str, ReadingId)> = Vec::new();
    for answer in &draft.answers {
        if let Some(mut reading) = ties::reading(draft, answer, &wheels) {
            let volts = reading.conditions.volts;
            reading.load_test_id = load_test(write, of, (&answer.ask.tie, volts), draft).await?;
            let kept = readings::store::add(write, of, reading).await?;
            read.push((&answer.ask.key, kept.id));
        }
    }
    let id = |key: &str| read.iter().find(|(k, _)| *k == key).map(|(_, id)| *id);
    Ok(draft.answers.iter().filter_map(|a| place(a, id)).collect())
}

/// Where one answer is kept, its reading written.
fn place(answer: &Answer, id: impl Fn(&str) -> Option<ReadingId>) -> Option<Value> {
    let ask = &answer.ask;
    let of_reading = match ask.tie {
        Tie::VoltsOf(other) => id(other).map(|id| (id, Part::Volts)),
        _ => id(&ask.key).map(|id| (id, Part::Value)),
    };
    let kept = match (of_reading, &answer.said) {
        (Some((id, part)), _) => Kept::Reading { id, part },
        (None, Said::Number { value, .. }) => {
            Kept::Number { value: *value, typed: answer.typed.clone() }
        }
        (None, Said::Word(word)) => Kept::Word(word.clone()),
        (None, Said::Open | Said::Joined) => return None,
    };
    Some(Value { ask: ask.key.clone(), kept })
}

/// The load test a current goes to; a new one is opened where it fits none.
async fn load_test(
    write: &mut Write,
    of: ConversionId,
    (tie, volts): (&Tie, Option<f64>),
    draft: &Draft,
) -> Result<Option<LoadTestId>, Error> {
    if !matches!(tie, Tie::Held | Tie::Slipping | Tie::FreeAt(_)) {
        return Ok(None);
    }
    let newest = readings::store::load_tests(write.conn(), of).await?.into_iter().next();
    let all = readings::store::list_valid(write.conn(), of).await?;
    let base = newest.as_ref().and_then(|t| {
        let of_test = |r: &&Reading| {
            r.draft.load_test_id == Some(t.id)
                && matches!(r.draft.kind, Kind::Free | Kind::Slipping)
        };
        all.iter().find(of_test).and_then(|r| r.draft.conditions.volts)
    });
    Ok(match ties::test(tie, volts, (newest.is_some(), base)) {
        Test::Newest => newest.map(|t| t.id),
        Test::New => Some(readings::store::add_load_test(write, of, draft.done_at).await?.id),
        Test::None => None,
    })
}

/// Writes a run as it is now, taken back or counted again, if nobody else did since `version`; its
/// readings go with it.
pub async fn change(
    write: &mut Write,
    of: ConversionId,
    (old, version): (&Run, i64),
    new: Run,
) -> Result<(), Error> {
    let done = sqlx::query!(
        "UPDATE test_run SET taken_back_at = ?3, version = version + 1 WHERE id = ?1 AND version = ?2",
        old.id,
        version,
        new.taken_back_at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "test run")?;
    let back = new.taken_back_at.is_some();
    let ids = old.readings();
    for r in readings::store::all(write.conn(), of).await?.iter().filter(|r| ids.contains(&r.id)) {
        match (back, r.taken_back_at) {
            (true, None) => readings::store::take_back(write, of, r).await?,
            (false, Some(_)) => readings::store::restore(write, of, r).await?,
            _ => {}
        }
    }
    note(write, of, &new, if back { Action::TakenBack } else { Action::Restored }, Some(old)).await
}

async fn note(
    write: &mut Write,
    of: ConversionId,
    after: &Run,
    action: Action,
    before: Option<&Run>,
) -> Result<(), Error> {
    let change = Change {
        noun: "test_run",
        id: after.id.0,
        conversion: Some(of),
        action,
        before,
        after: Some(after),
    };
    write.note(change).await
}
