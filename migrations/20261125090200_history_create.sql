-- Every write leaves one line here, in the same transaction; a form sent twice is answered from form_seen.
CREATE TABLE change (
    seq           INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,  -- order of writing; never the clock
    at            INTEGER NOT NULL,                            -- ms, UTC
    person_id     BLOB    REFERENCES person (id),
    conversion_id BLOB,                                        -- NULL: household matters
    noun          TEXT    NOT NULL,                            -- table name
    record_id     BLOB    NOT NULL,
    action        TEXT    NOT NULL,
    before        TEXT,                                        -- JSON of the record before; NULL when added
    after         TEXT,                                        -- JSON of the record after
    CONSTRAINT change_action CHECK (action IN ('added', 'changed', 'put_aside', 'restored', 'taken_back')),
    CONSTRAINT change_before_json CHECK (before IS NULL OR json_valid(before)),
    CONSTRAINT change_after_json CHECK (after IS NULL OR json_valid(after))
) STRICT;
CREATE INDEX change_by_record ON change (record_id, seq);
CREATE INDEX change_by_conversion ON change (conversion_id, seq);

CREATE TABLE form_seen (
    token  BLOB    NOT NULL PRIMARY KEY,  -- UUID from the form's hidden field
    at     INTEGER NOT NULL,              -- ms, UTC
    answer TEXT    NOT NULL,              -- where the first sending led to
    CONSTRAINT form_seen_token_is_uuid CHECK (length(token) = 16)
) STRICT;
CREATE INDEX form_seen_by_age ON form_seen (at);
