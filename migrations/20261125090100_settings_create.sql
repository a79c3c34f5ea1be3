-- Household settings: limits and defaults that a club may set for itself. A missing row is the default.
CREATE TABLE setting (
    key        TEXT    NOT NULL PRIMARY KEY,  -- name of the setting, see features/settings/model.rs
    value      TEXT    NOT NULL,              -- as kept, in the unit the key's name ends in
    version    INTEGER NOT NULL DEFAULT 1,
    changed_at INTEGER NOT NULL,              -- ms, UTC
    person_id  BLOB    REFERENCES person (id)
) STRICT;
