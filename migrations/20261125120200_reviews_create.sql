-- What went wrong or right: symptom, causes with their evidence, what it cost, and the lesson for the next one.
CREATE TABLE review (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL UNIQUE,             -- review 3, counted over the whole notebook
    symptom       TEXT    NOT NULL,                    -- code of the closed list
    words         TEXT    NOT NULL DEFAULT '',         -- what was seen, in the person's words
    at            INTEGER NOT NULL,                    -- ms, UTC: when it was noticed
    changed_kind  TEXT    NOT NULL DEFAULT '',         -- record of what changed last; empty: none named
    changed_id    BLOB,
    changed_no    INTEGER NOT NULL DEFAULT 0,          -- its number as people say it; 0: it has none
    changed_label TEXT    NOT NULL DEFAULT '',         -- it in words, as it was offered
    changed_at    INTEGER,                             -- ms, UTC: when that was
    changed_words TEXT    NOT NULL DEFAULT '',         -- what changed last, in the person's words
    minutes       INTEGER,                             -- work it cost, minutes
    cost_cents    INTEGER,                             -- money it cost, hundredths of the currency
    currency      TEXT    NOT NULL DEFAULT '',         -- ISO 4217 code
    lesson        TEXT    NOT NULL DEFAULT '',
    written_at    INTEGER NOT NULL,                    -- ms, UTC
    person_id     BLOB    REFERENCES person (id),
    closed_at     INTEGER,                             -- ms, UTC; NULL: open
    closed_by     BLOB    REFERENCES person (id),
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,                             -- ms, UTC: put aside
    CONSTRAINT review_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT review_no_positive CHECK (no >= 1),
    CONSTRAINT review_words_length CHECK (length(words) <= 2000 AND length(changed_words) <= 2000),
    CONSTRAINT review_changed_kind CHECK (changed_kind IN ('', 'alteration', 'part', 'stock')),
    CONSTRAINT review_changed_whole CHECK ((changed_kind = '') = (changed_id IS NULL) AND (changed_id IS NULL) = (changed_at IS NULL)),
    CONSTRAINT review_minutes_range CHECK (minutes IS NULL OR minutes BETWEEN 0 AND 600000),
    CONSTRAINT review_cost_range CHECK (cost_cents IS NULL OR cost_cents BETWEEN 0 AND 1000000000),
    CONSTRAINT review_currency CHECK (currency = '' OR length(currency) = 3),
    CONSTRAINT review_cost_has_currency CHECK (currency <> '' OR cost_cents IS NULL),
    CONSTRAINT review_lesson_length CHECK (length(lesson) <= 400),
    CONSTRAINT review_closed_has_lesson CHECK (closed_at IS NULL OR length(lesson) > 0)
) STRICT;
CREATE INDEX review_by_conversion ON review (conversion_id, no);

CREATE TABLE review_cause (
    id        BLOB    NOT NULL PRIMARY KEY,            -- UUID v7
    review_id BLOB    NOT NULL REFERENCES review (id),
    position  INTEGER NOT NULL,                        -- order on the page
    cause     TEXT    NOT NULL,                        -- code of the closed list
    words     TEXT    NOT NULL DEFAULT '',             -- in the person's words
    sure      TEXT    NOT NULL,
    CONSTRAINT review_cause_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT review_cause_words_length CHECK (length(words) <= 500),
    CONSTRAINT review_cause_sure CHECK (sure IN ('ruled_out', 'possible', 'likely', 'proved')),
    UNIQUE (review_id, position)
) STRICT;

CREATE TABLE review_evidence (
    id         BLOB    NOT NULL PRIMARY KEY,           -- UUID v7
    cause_id   BLOB    NOT NULL REFERENCES review_cause (id),
    position   INTEGER NOT NULL,                       -- order on the page
    side       TEXT    NOT NULL,
    words      TEXT    NOT NULL DEFAULT '',            -- in the person's words
    about_kind TEXT    NOT NULL DEFAULT '',            -- record it stands on; empty: none named
    about_id   BLOB,
    about_no   INTEGER NOT NULL DEFAULT 0,             -- its number as people say it; 0: it has none
    CONSTRAINT review_evidence_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT review_evidence_side CHECK (side IN ('for', 'against')),
    CONSTRAINT review_evidence_words_length CHECK (length(words) <= 1000),
    CONSTRAINT review_evidence_about_kind CHECK (about_kind IN ('', 'reading', 'snag', 'alteration')),
    CONSTRAINT review_evidence_about_whole CHECK ((about_kind = '') = (about_id IS NULL)),
    CONSTRAINT review_evidence_says_something CHECK (about_id IS NOT NULL OR length(words) > 0),
    UNIQUE (cause_id, position)
) STRICT;

CREATE TABLE review_part (
    review_id BLOB NOT NULL REFERENCES review (id),
    part_id   BLOB NOT NULL REFERENCES part (id),      -- lost
    PRIMARY KEY (review_id, part_id)
) STRICT;
CREATE INDEX review_part_by_part ON review_part (part_id);

CREATE TABLE review_snag (
    review_id BLOB NOT NULL REFERENCES review (id),
    snag_id   BLOB NOT NULL REFERENCES snag (id),      -- it came from, or leaves open
    PRIMARY KEY (review_id, snag_id)
) STRICT;
CREATE INDEX review_snag_by_snag ON review_snag (snag_id);
