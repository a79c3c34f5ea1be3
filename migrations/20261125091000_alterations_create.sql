-- Something was changed on the model: what was measured before may no longer hold.
CREATE TABLE alteration (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    kind          TEXT    NOT NULL,
    what          TEXT    NOT NULL DEFAULT '',   -- in the person's words
    at            INTEGER NOT NULL,              -- ms, UTC: when it was done
    person_id     BLOB    REFERENCES person (id),
    taken_back_at INTEGER,
    version       INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT alteration_what_length CHECK (length(what) <= 2000)
) STRICT;
CREATE INDEX alteration_by_conversion ON alteration (conversion_id, at);
