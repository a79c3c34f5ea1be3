-- What a person wants to remember, in their own words (Markdown, shown safely).
CREATE TABLE note (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    text          TEXT    NOT NULL,
    at            INTEGER NOT NULL,
    person_id     BLOB    REFERENCES person (id),
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,
    CONSTRAINT note_text_length CHECK (length(text) BETWEEN 1 AND 20000)
) STRICT;
CREATE INDEX note_by_conversion ON note (conversion_id, at);
