//! Every query on `judgement` and `gate_passing`.

use crate::aspect::Aspect;
use crate::calc::gates::{GateName, Judgement, Passing};
use crate::db::{
    Action, Change, ConversionId, Error, JudgementId, PassingId, PersonId, Write, corrupt,
    expect_one,
};
use sqlx::SqliteConnection;

/// The stored word of an aspect that can be judged.
fn aspect(row: JudgementId, word: &str) -> Result<Aspect, Error> {
    match word {
        "caution" => Ok(Aspect::Caution),
        "danger" => Ok(Aspect::Danger),
        other => Err(corrupt("judgement", "aspect", row, other)),
    }
}

/// Judgements of a conversion that were not withdrawn, newest first, with their ids.
pub async fn judgements(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<(JudgementId, Judgement)>, Error> {
    let rows = sqlx::query!(
        r#"SELECT j.id AS "id: JudgementId", j.gate, j.check_key, j.aspect, j.fingerprint, j.reason, j.at, p.name AS "person"
           FROM judgement j JOIN person p ON p.id = j.person_id
           WHERE j.conversion_id = ?1 AND j.withdrawn_at IS NULL ORDER BY j.at DESC, j.id DESC"#,
        conversion
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|r| {
            let judgement = Judgement {
                gate: GateName::from_key(&r.gate)
                    .ok_or_else(|| corrupt("judgement", "gate", r.id, &r.gate))?,
                check: r.check_key,
                aspect: aspect(r.id, &r.aspect)?,
                person: r.person,
                reason: r.reason,
                at_ms: r.at,
                fingerprint: r.fingerprint,
            };
            Ok((r.id, judgement))
        })
        .collect()
}

/// Signs a judgement.
pub async fn judge(
    write: &mut Write,
    conversion: ConversionId,
    person: PersonId,
    (judgement, sentence): (&Judgement, &str),
) -> Result<JudgementId, Error> {
    let (id, j) = (JudgementId::new(), judgement);
    let (gate, aspect) = (j.gate.key(), j.aspect.word());
    sqlx::query!(
        "INSERT INTO judgement (id, conversion_id, gate, check_key, aspect, fingerprint, sentence, reason, at, person_id)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        id, conversion, gate, j.check, aspect, j.fingerprint, sentence, j.reason, j.at_ms, person
    )
    .execute(write.conn())
    .await?;
    note(write, conversion, id, Action::Added, j).await?;
    Ok(id)
}

/// Withdraws a judgement; it stays in the history.
pub async fn withdraw(
    write: &mut Write,
    conversion: ConversionId,
    id: JudgementId,
) -> Result<(), Error> {
    let (_, old) = judgements(write.conn(), conversion)
        .await?
        .into_iter()
        .find(|(found, _)| *found == id)
        .ok_or(Error::NotFound("judgement"))?;
    let at = write.at;
    let done = sqlx::query!(
        "UPDATE judgement SET withdrawn_at = ?2, version = version + 1 WHERE id = ?1 AND withdrawn_at IS NULL",
        id,
        at
    )
    .execute(write.conn())
    .await?;
    expect_one(done.rows_affected(), "judgement")?;
    note(write, conversion, id, Action::TakenBack, &old).await
}

async fn note(
    write: &mut Write,
    conversion: ConversionId,
    id: JudgementId,
    action: Action,
    record: &Judgement,
) -> Result<(), Error> {
    let before = (action == Action::TakenBack).then_some(record);
    let after = (action == Action::Added).then_some(record);
    let change =
        Change { noun: "judgement", id: id.0, conversion: Some(conversion), action, before, after };
    write.note(change).await
}

/// Gates passed, newest first.
pub async fn passings(
    conn: &mut SqliteConnection,
    conversion: ConversionId,
) -> Result<Vec<(PassingId, Passing)>, Error> {
    let rows = sqlx::query!(
        r#"SELECT g.id AS "id: PassingId", g.gate, g.at, p.name AS "person"
           FROM gate_passing g JOIN person p ON p.id = g.person_id
           WHERE g.conversion_id = ?1 AND g.taken_back_at IS NULL ORDER BY g.at DESC, g.id DESC"#,
        conversion
    )
    .fetch_all(conn)
    .await?;
    rows.into_iter()
        .map(|r| {
            let gate = GateName::from_key(&r.gate)
                .ok_or_else(|| corrupt("gate_passing", "gate", r.id, &r.gate))?;
            Ok((r.id, Passing { gate, at_ms: r.at, who: r.person }))
        })
        .collect()
}

/// Writes down that a gate was passed.
pub async fn pass(
    write: &mut Write,
    conversion: ConversionId,
    person: PersonId,
    (gate, shown, remark): (GateName, Aspect, &str),
) -> Result<PassingId, Error> {
    let (id, at) = (PassingId::new(), write.at);
    let (key, aspect) = (gate.key(), shown.word());
    sqlx::query!(
        "INSERT INTO gate_passing (id, conversion_id, gate, aspect, remark, at, person_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        id, conversion, key, aspect, remark, at, person
    )
    .execute(write.conn())
    .await?;
    let change = Change {
        noun: "gate_passing",
        id: id.0,
        conversion: Some(conversion),
        action: Action::Added,
        before: None,
        after: Some(&serde_json::json!({ "gate": key, "aspect": aspect, "remark": remark })),
    };
    write.note(change).await?;
    Ok(id)
}

/// Takes the passing of a gate back.
pub async fn take_passing_back(
    write: &mut Write,
    conversion: ConversionId,
    gate: GateName,
) -> Result<(), Error> {
    let (id, old) = passings(write.conn(), conversion)
        .await?
        .into_iter()
        .find(|(_, p)| p.gate == gate)
        .ok_or(Error::NotFound("passed gate"))?;
    let at = write.at;
    sqlx::query!("UPDATE gate_passing SET taken_back_at = ?2 WHERE id = ?1", id, at)
        .execute(write.conn())
        .await?;
    let change = Change {
        noun: "gate_passing",
        id: id.0,
        conversion: Some(conversion),
        action: Action::TakenBack,
        before: Some(&old),
        after: None,
    };
    write.note(change).await
}
