-- A person's signed reason to pass a caution, and the days gates were passed. Aspects themselves are never stored.
CREATE TABLE judgement (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    gate          TEXT    NOT NULL,
    check_key     TEXT    NOT NULL,
    aspect        TEXT    NOT NULL,              -- what was judged: caution or danger
    fingerprint   TEXT    NOT NULL,              -- of the values judged; another value, another judgement
    sentence      TEXT    NOT NULL,              -- what the check said at the time
    reason        TEXT    NOT NULL,
    at            INTEGER NOT NULL,
    person_id     BLOB    NOT NULL REFERENCES person (id),
    withdrawn_at  INTEGER,
    version       INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT judgement_gate CHECK (gate IN ('order', 'cut', 'first_power', 'close', 'service')),
    CONSTRAINT judgement_aspect CHECK (aspect IN ('caution', 'danger')),
    CONSTRAINT judgement_reason_length CHECK (length(reason) BETWEEN 1 AND 2000)
) STRICT;
CREATE INDEX judgement_by_conversion ON judgement (conversion_id, gate);

CREATE TABLE gate_passing (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    gate          TEXT    NOT NULL,
    aspect        TEXT    NOT NULL,              -- what the gate showed when it was passed
    remark        TEXT    NOT NULL DEFAULT '',
    at            INTEGER NOT NULL,
    person_id     BLOB    NOT NULL REFERENCES person (id),
    taken_back_at INTEGER,
    CONSTRAINT gate_passing_gate CHECK (gate IN ('order', 'cut', 'first_power', 'close', 'service'))
) STRICT;
CREATE INDEX gate_passing_by_conversion ON gate_passing (conversion_id, gate);
