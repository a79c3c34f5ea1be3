-- Open problems; one may block a gate.
CREATE TABLE snag (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL UNIQUE,       -- snag 31, counted over the whole notebook
    what          TEXT    NOT NULL,              -- in the person's words
    severity      TEXT    NOT NULL,
    blocks        TEXT    NOT NULL DEFAULT '',   -- gate it blocks; empty: none
    opened_at     INTEGER NOT NULL,
    opened_by     BLOB    REFERENCES person (id),
    closed_at     INTEGER,
    closed_by     BLOB    REFERENCES person (id),
    how           TEXT    NOT NULL DEFAULT '',   -- how it was put right
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,
    CONSTRAINT snag_what_length CHECK (length(what) BETWEEN 1 AND 2000),
    CONSTRAINT snag_severity CHECK (severity IN ('small', 'must_fix', 'dangerous')),
    CONSTRAINT snag_blocks CHECK (blocks IN ('', 'order', 'cut', 'first_power', 'close', 'service')),
    CONSTRAINT snag_closed_has_how CHECK (closed_at IS NULL OR length(how) > 0)
) STRICT;
CREATE INDEX snag_by_conversion ON snag (conversion_id, no);
