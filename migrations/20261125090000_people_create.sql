-- People are names only; a device remembers which one is writing. Accounts can be added beside.
CREATE TABLE person (
    id         BLOB    NOT NULL PRIMARY KEY,            -- UUID v7
    name       TEXT    NOT NULL COLLATE NOCASE UNIQUE,  -- as shown beside entries
    created_at INTEGER NOT NULL,                        -- ms since 1970, UTC
    version    INTEGER NOT NULL DEFAULT 1,
    aside_at   INTEGER,                                 -- put aside (ms, UTC); NULL: in use
    CONSTRAINT person_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT person_name_length CHECK (length(name) BETWEEN 1 AND 60)
) STRICT;
