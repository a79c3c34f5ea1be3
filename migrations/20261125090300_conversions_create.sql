-- One conversion: one model from survey to service.
CREATE TABLE conversion (
    id               BLOB    NOT NULL PRIMARY KEY,      -- UUID v7
    no               INTEGER NOT NULL UNIQUE,           -- number people say: № 7
    title            TEXT    NOT NULL,
    scale            TEXT    NOT NULL,                  -- designation: H0, OO, or free text
    ratio            REAL,                              -- scale 1:ratio
    gauge_um         INTEGER,                           -- track gauge, micrometres
    body             TEXT    NOT NULL,                  -- kind of body, drives the drawing
    wheels           TEXT    NOT NULL DEFAULT '',       -- wheel arrangement: 0-6-0, Bo-Bo
    length_um        INTEGER,                           -- over buffers, micrometres
    drive            TEXT    NOT NULL,
    motor            TEXT    NOT NULL,
    pickup           TEXT    NOT NULL,                  -- pickup scheme
    frame            TEXT    NOT NULL,
    goal_sound       INTEGER NOT NULL DEFAULT 0,
    goal_lights      INTEGER NOT NULL DEFAULT 0,
    goal_store       INTEGER NOT NULL DEFAULT 0,
    why              TEXT    NOT NULL DEFAULT '',       -- the owner's reason, in their words
    give_up_cents    INTEGER,                           -- money limit, hundredths of the currency
    give_up_currency TEXT    NOT NULL DEFAULT '',       -- ISO 4217 code
    give_up_minutes  INTEGER,                           -- time limit
    track_mv         INTEGER,                           -- track voltage it will run at, millivolts; NULL: household's
    governing        TEXT    NOT NULL DEFAULT 'held',   -- which load case governs the budget
    governing_why    TEXT    NOT NULL DEFAULT '',       -- the signed reason when it is slipping
    governing_by     BLOB    REFERENCES person (id),
    governing_at     INTEGER,                           -- ms, UTC
    stage            TEXT    NOT NULL DEFAULT 'survey',
    outcome          TEXT    NOT NULL DEFAULT 'in_work',
    outcome_why      TEXT    NOT NULL DEFAULT '',
    person_id        BLOB    REFERENCES person (id),    -- whose conversion
    started_at       INTEGER NOT NULL,                  -- ms, UTC
    stage_at         INTEGER NOT NULL,                  -- ms, UTC: since when in this stage
    created_at       INTEGER NOT NULL,
    version          INTEGER NOT NULL DEFAULT 1,
    aside_at         INTEGER,
    CONSTRAINT conversion_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT conversion_no_positive CHECK (no >= 1),
    CONSTRAINT conversion_title_length CHECK (length(title) BETWEEN 1 AND 120),
    CONSTRAINT conversion_scale_length CHECK (length(scale) BETWEEN 1 AND 40),
    CONSTRAINT conversion_ratio_range CHECK (ratio IS NULL OR ratio BETWEEN 1 AND 1000),
    CONSTRAINT conversion_gauge_range CHECK (gauge_um IS NULL OR gauge_um BETWEEN 1000 AND 500000),
    CONSTRAINT conversion_length_range CHECK (length_um IS NULL OR length_um BETWEEN 10000 AND 3000000),
    CONSTRAINT conversion_goals CHECK (goal_sound IN (0, 1) AND goal_lights IN (0, 1) AND goal_store IN (0, 1)),
    CONSTRAINT conversion_track_range CHECK (track_mv IS NULL OR track_mv BETWEEN 5000 AND 30000),
    CONSTRAINT conversion_governing CHECK (governing IN ('held', 'slipping')),
    CONSTRAINT conversion_stage CHECK (stage IN ('survey', 'bench_test', 'plan', 'order_and_wait', 'strip_and_isolate', 'wire_and_prove', 'close_up', 'set_up', 'learn')),
    CONSTRAINT conversion_outcome CHECK (outcome IN ('in_work', 'in_service', 'given_up', 'donor', 'swapped_chassis'))
) STRICT;

CREATE TABLE stage_change (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    stage         TEXT    NOT NULL,
    outcome       TEXT    NOT NULL,
    why           TEXT    NOT NULL DEFAULT '',
    at            INTEGER NOT NULL,
    person_id     BLOB    REFERENCES person (id)
) STRICT;
CREATE INDEX stage_change_by_conversion ON stage_change (conversion_id, at);
