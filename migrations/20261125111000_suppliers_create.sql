-- Where parts come from, by the household's own names.
CREATE TABLE supplier (
    id       BLOB    NOT NULL PRIMARY KEY,       -- UUID v7
    name     TEXT    NOT NULL UNIQUE,            -- the household's own name for it
    lane     TEXT    NOT NULL DEFAULT '',        -- how things come from there: by letter, far away by air
    remark   TEXT    NOT NULL DEFAULT '',
    version  INTEGER NOT NULL DEFAULT 1,
    aside_at INTEGER,                            -- ms, UTC: put aside
    CONSTRAINT supplier_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT supplier_name_length CHECK (length(name) BETWEEN 1 AND 80),
    CONSTRAINT supplier_lane_length CHECK (length(lane) <= 80),
    CONSTRAINT supplier_remark_length CHECK (length(remark) <= 500)
) STRICT;
