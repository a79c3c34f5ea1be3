-- Readings are never overwritten: a newer one supersedes, a mistaken one is taken back and stays readable.
CREATE TABLE load_test (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL,              -- load test 1, 2, 3 … of this conversion
    at            INTEGER NOT NULL,              -- ms, UTC
    person_id     BLOB    REFERENCES person (id),
    taken_back_at INTEGER,
    CONSTRAINT load_test_no_positive CHECK (no >= 1),
    UNIQUE (conversion_id, no)
) STRICT;

CREATE TABLE reading (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL,              -- reading 1, 2, 3 … of this conversion
    kind          TEXT    NOT NULL,              -- free, slipping, held, winding, pickup, isolation, observation …
    point_a       TEXT    NOT NULL DEFAULT '',   -- isolation: one end; observation: its key
    point_b       TEXT    NOT NULL DEFAULT '',   -- isolation: the other end
    wheel_id      BLOB    REFERENCES wheel (id),
    load_test_id  BLOB    REFERENCES load_test (id),
    outcome       TEXT    NOT NULL,              -- value, open, joined, yes, no, not_reached (could not make it stall)
    value         REAL,                          -- in the kept unit of `dimension`
    dimension     TEXT    NOT NULL DEFAULT '',   -- kind of quantity; empty where the outcome is a word
    typed         TEXT    NOT NULL,              -- as typed
    steady        INTEGER,                       -- 1 steady, 0 comes and goes, NULL not said
    percent       REAL,                          -- accuracy at the time: percent of reading
    digits        REAL,                          -- digits
    resolution    REAL,                          -- step of the last digit, kept unit
    volts         REAL,                          -- at the loco while reading, V
    volts_typed   TEXT    NOT NULL DEFAULT '',
    volts_percent REAL,                          -- accuracy of the voltmeter at the time
    volts_digits  REAL,
    volts_resolution REAL,                       -- V
    method        TEXT    NOT NULL DEFAULT '',
    position      TEXT    NOT NULL DEFAULT '',   -- bare, in_frame, bogies_swung, shell_on; empty: does not matter
    shell         TEXT    NOT NULL DEFAULT '',   -- on, off, empty: not said
    decoder       TEXT    NOT NULL DEFAULT '',   -- in, out, unplugged, empty
    warmth        TEXT    NOT NULL DEFAULT '',   -- cold, warm, empty
    instrument_id BLOB    REFERENCES instrument (id),
    remark        TEXT    NOT NULL DEFAULT '',
    taken_at      INTEGER NOT NULL,              -- ms, UTC: when it was read
    entered_at    INTEGER NOT NULL,              -- ms, UTC: when it was written down
    person_id     BLOB    REFERENCES person (id),
    taken_back_at INTEGER,
    version       INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT reading_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT reading_outcome CHECK (outcome IN ('value', 'open', 'joined', 'yes', 'no', 'not_reached')),
    CONSTRAINT reading_value_given CHECK ((outcome = 'value') = (value IS NOT NULL)),
    CONSTRAINT reading_steady CHECK (steady IS NULL OR steady IN (0, 1)),
    CONSTRAINT reading_accuracy_whole CHECK ((percent IS NULL) = (digits IS NULL) AND (digits IS NULL) = (resolution IS NULL)),
    CONSTRAINT reading_volts_accuracy_whole CHECK ((volts_percent IS NULL) = (volts_digits IS NULL) AND (volts_digits IS NULL) = (volts_resolution IS NULL)),
    CONSTRAINT reading_position CHECK (position IN ('', 'bare', 'in_frame', 'bogies_swung', 'shell_on')),
    CONSTRAINT reading_shell CHECK (shell IN ('', 'on', 'off')),
    CONSTRAINT reading_decoder CHECK (decoder IN ('', 'in', 'out', 'unplugged')),
    CONSTRAINT reading_warmth CHECK (warmth IN ('', 'cold', 'warm')),
    UNIQUE (conversion_id, no)
) STRICT;
CREATE INDEX reading_newest ON reading (conversion_id, taken_at DESC, no DESC);
CREATE INDEX reading_by_load_test ON reading (load_test_id) WHERE load_test_id IS NOT NULL;
CREATE INDEX reading_by_wheel ON reading (wheel_id, taken_at) WHERE wheel_id IS NOT NULL;
