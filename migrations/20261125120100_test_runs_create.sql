-- Runs of the test cards. Never overwritten: a card is done again; a mistaken run is taken back and stays readable.
CREATE TABLE test_run (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL,              -- run 1, 2, 3 … of this conversion
    card          TEXT    NOT NULL,              -- isolation, pickup, … the key of the card
    shell         TEXT    NOT NULL,              -- off, on
    remark        TEXT    NOT NULL DEFAULT '',
    done_at       INTEGER NOT NULL,              -- ms, UTC: when it was done
    entered_at    INTEGER NOT NULL,              -- ms, UTC: when it was written down
    person_id     BLOB    REFERENCES person (id),
    taken_back_at INTEGER,
    version       INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT test_run_no_positive CHECK (no >= 1),
    CONSTRAINT test_run_card CHECK (length(card) BETWEEN 1 AND 40),
    CONSTRAINT test_run_shell CHECK (shell IN ('off', 'on')),
    CONSTRAINT test_run_remark_length CHECK (length(remark) <= 500),
    UNIQUE (conversion_id, no)
) STRICT;
CREATE INDEX test_run_newest ON test_run (conversion_id, done_at DESC, no DESC);

-- What was entered on a run. An ordinary reading stands in `reading` alone and is named here; the rest stands here alone.
CREATE TABLE test_run_value (
    test_run_id   BLOB    NOT NULL REFERENCES test_run (id),
    ask           TEXT    NOT NULL,              -- key of what the card asks
    reading_id    BLOB    REFERENCES reading (id),
    part          TEXT    NOT NULL DEFAULT '',   -- of the reading: value or volts (at the loco while reading); empty: no reading
    value         REAL,                          -- a number of the card's own, kept unit of the ask
    word          TEXT    NOT NULL DEFAULT '',   -- a choice or a few words
    typed         TEXT    NOT NULL DEFAULT '',   -- as typed
    CONSTRAINT test_run_value_once CHECK ((reading_id IS NOT NULL) + (value IS NOT NULL) + (word <> '') = 1),
    CONSTRAINT test_run_value_part CHECK ((reading_id IS NULL AND part = '') OR (reading_id IS NOT NULL AND part IN ('value', 'volts'))),
    CONSTRAINT test_run_value_word_length CHECK (length(word) <= 200),
    PRIMARY KEY (test_run_id, ask)
) STRICT;
CREATE INDEX test_run_value_by_reading ON test_run_value (reading_id) WHERE reading_id IS NOT NULL;
