-- What the chosen decoder is rated for, and what will hang on it.
CREATE TABLE decoder (
    id                  BLOB    NOT NULL PRIMARY KEY,
    conversion_id       BLOB    NOT NULL UNIQUE REFERENCES conversion (id),
    name                TEXT    NOT NULL,         -- the household's own name for it
    motor_continuous_ma INTEGER,                  -- milliamps
    motor_peak_ma       INTEGER,
    motor_peak_ms       INTEGER,                  -- how long the peak may last, milliseconds
    total_continuous_ma INTEGER,
    function_ma         INTEGER,                  -- each function output, unless told apart below
    basis               TEXT    NOT NULL,         -- where the ratings come from
    rated_for           TEXT    NOT NULL DEFAULT '',  -- remark: which sheet, which issue
    changed_at          INTEGER NOT NULL,
    version             INTEGER NOT NULL DEFAULT 1,
    aside_at            INTEGER,
    CONSTRAINT decoder_name_length CHECK (length(name) BETWEEN 1 AND 80),
    CONSTRAINT decoder_basis CHECK (basis IN ('measured', 'data_sheet', 'guess')),
    CONSTRAINT decoder_ratings CHECK (
        (motor_continuous_ma IS NULL OR motor_continuous_ma BETWEEN 1 AND 50000)
        AND (motor_peak_ma IS NULL OR motor_peak_ma BETWEEN 1 AND 100000)
        AND (motor_peak_ms IS NULL OR motor_peak_ms BETWEEN 1 AND 600000)
        AND (total_continuous_ma IS NULL OR total_continuous_ma BETWEEN 1 AND 50000)
        AND (function_ma IS NULL OR function_ma BETWEEN 1 AND 20000))
) STRICT;

CREATE TABLE planned_load (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    name          TEXT    NOT NULL,               -- front lamp, amplifier
    kind          TEXT    NOT NULL,
    each_ua       INTEGER NOT NULL,               -- microamps, each
    count         INTEGER NOT NULL DEFAULT 1,
    output        TEXT    NOT NULL DEFAULT '',    -- function output it hangs on: F0 front; empty: none
    typed         TEXT    NOT NULL DEFAULT '',    -- current as typed
    basis         TEXT    NOT NULL,
    position      INTEGER NOT NULL DEFAULT 0,
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,
    CONSTRAINT planned_load_name_length CHECK (length(name) BETWEEN 1 AND 80),
    CONSTRAINT planned_load_kind CHECK (kind IN ('lamp', 'led', 'sound', 'smoke', 'store', 'other')),
    CONSTRAINT planned_load_each_range CHECK (each_ua BETWEEN 1 AND 20000000),
    CONSTRAINT planned_load_count_range CHECK (count BETWEEN 1 AND 99),
    CONSTRAINT planned_load_basis CHECK (basis IN ('measured', 'data_sheet', 'guess'))
) STRICT;
CREATE INDEX planned_load_by_conversion ON planned_load (conversion_id);
