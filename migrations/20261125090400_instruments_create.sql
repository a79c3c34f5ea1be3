-- What readings are taken with, and how far each range may be off.
CREATE TABLE instrument (
    id         BLOB    NOT NULL PRIMARY KEY,
    name       TEXT    NOT NULL COLLATE NOCASE UNIQUE,  -- the household's own name: multimeter 1
    kind       TEXT    NOT NULL,
    fuse       TEXT    NOT NULL DEFAULT '',             -- fuse of the current jack, as printed on it
    remark     TEXT    NOT NULL DEFAULT '',
    created_at INTEGER NOT NULL,
    version    INTEGER NOT NULL DEFAULT 1,
    aside_at   INTEGER,
    CONSTRAINT instrument_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT instrument_name_length CHECK (length(name) BETWEEN 1 AND 60),
    CONSTRAINT instrument_kind CHECK (kind IN ('multimeter', 'bench_supply', 'thermometer', 'caliper', 'balance', 'gauge', 'other'))
) STRICT;

CREATE TABLE instrument_range (
    id            BLOB    NOT NULL PRIMARY KEY,
    instrument_id BLOB    NOT NULL REFERENCES instrument (id),
    dimension     TEXT    NOT NULL,              -- kind of quantity: current, voltage, resistance …
    up_to         REAL    NOT NULL,              -- end of the range, in the kept unit of the dimension
    percent       REAL    NOT NULL,              -- accuracy: percent of reading …
    digits        REAL    NOT NULL,              -- … plus this many steps …
    resolution    REAL    NOT NULL,              -- … of this size, kept unit
    jack          TEXT    NOT NULL DEFAULT '',   -- where the red lead goes
    CONSTRAINT instrument_range_up_to CHECK (up_to > 0),
    CONSTRAINT instrument_range_percent CHECK (percent BETWEEN 0 AND 50),
    CONSTRAINT instrument_range_digits CHECK (digits BETWEEN 0 AND 100),
    CONSTRAINT instrument_range_resolution CHECK (resolution > 0),
    UNIQUE (instrument_id, dimension, up_to)
) STRICT;
