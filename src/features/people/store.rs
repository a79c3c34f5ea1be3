//! Every query on `person`.

use super::model::Person;
use crate::db::{Action, Change, Error, PersonId, Write};
use sqlx::SqliteConnection;

/// The person of that id, unless put aside.
pub async fn find(conn: &mut SqliteConnection, id: PersonId) -> Result<Option<Person>, Error> {
    Ok(sqlx::query_as!(
        Person,
        r#"SELECT id AS "id: PersonId", name, created_at FROM person WHERE id = ?1 AND aside_at IS NULL"#,
        id
    )
    .fetch_optional(conn)
    .await?)
}

/// Everybody, by name.
pub async fn list(conn: &mut SqliteConnection) -> Result<Vec<Person>, Error> {
    Ok(sqlx::query_as!(
        Person,
        r#"SELECT id AS "id: PersonId", name, created_at FROM person WHERE aside_at IS NULL ORDER BY name"#
    )
    .fetch_all(conn)
    .await?)
}

/// Adds a name. `Taken` when it is there already.
pub async fn add(write: &mut Write, name: &str) -> Result<Person, Error> {
    let person = Person { id: PersonId::new(), name: name.to_owned(), created_at: write.at };
    sqlx::query!(
        "INSERT INTO person (id, name, created_at) VALUES (?1, ?2, ?3)",
        person.id,
        person.name,
        person.created_at
    )
    .execute(write.conn())
    .await
    .map_err(|e| taken(Error::from(e), name))?;
    write
        .note(Change {
            noun: "person",
            id: person.id.0,
            conversion: None,
            action: Action::Added,
            before: None,
            after: Some(&person),
        })
        .await?;
    Ok(person)
}

fn taken(e: Error, name: &str) -> Error {
    if e.is_taken("person.name") {
        let message = format!("{name} is there already. Choose the name from the list.");
        return Error::Taken { field: "name", message };
    }
    e
}
