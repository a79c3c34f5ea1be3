-- What is decided about each wire, and what was found: which terminal, which colour, from where to where.
CREATE TABLE wire (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL,                    -- wire 1, 2, 3 … of this conversion
    terminal      TEXT    NOT NULL,                    -- lead of the decoder it begins at; free: none
    from_place    TEXT    NOT NULL DEFAULT '',         -- kind of place a free wire begins at; empty: the terminal
    from_name     TEXT    NOT NULL DEFAULT '',         -- which one, in the person's words
    to_place      TEXT    NOT NULL,                    -- kind of place it ends at
    to_name       TEXT    NOT NULL DEFAULT '',
    colour        TEXT    NOT NULL DEFAULT '',         -- colour found; empty: not looked at
    awg           INTEGER,                             -- American wire gauge
    area_um2      INTEGER,                             -- copper area, µm²; one of gauge and area, or none
    length_um     INTEGER,                             -- length, µm
    sleeved       INTEGER NOT NULL DEFAULT 0,          -- 1: both ends sleeved
    joint         TEXT    NOT NULL,
    why           TEXT    NOT NULL DEFAULT '',
    state         TEXT    NOT NULL,
    altered_at    INTEGER,                             -- ms, UTC: put in, altered or taken out last; NULL: only planned
    proved_at     INTEGER,                             -- ms, UTC: proved with the meter; NULL: not, or no longer
    person_id     BLOB    REFERENCES person (id),      -- who altered or proved it last
    created_at    INTEGER NOT NULL,                    -- ms, UTC
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,                             -- ms, UTC: put aside as written by mistake
    CONSTRAINT wire_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT wire_no_positive CHECK (no >= 1),
    CONSTRAINT wire_from CHECK ((terminal = 'free') = (from_place <> '')),
    CONSTRAINT wire_names_length CHECK (length(from_name) <= 60 AND length(to_name) <= 60),
    CONSTRAINT wire_awg_range CHECK (awg IS NULL OR awg BETWEEN 10 AND 40),
    CONSTRAINT wire_area_range CHECK (area_um2 IS NULL OR area_um2 BETWEEN 5000 AND 5300000),
    CONSTRAINT wire_one_size CHECK (awg IS NULL OR area_um2 IS NULL),
    CONSTRAINT wire_length_range CHECK (length_um IS NULL OR length_um BETWEEN 1000 AND 3000000),
    CONSTRAINT wire_sleeved CHECK (sleeved IN (0, 1)),
    CONSTRAINT wire_why_length CHECK (length(why) <= 2000),
    CONSTRAINT wire_state CHECK (state IN ('planned', 'done', 'proved', 'changed', 'removed')),
    CONSTRAINT wire_altered CHECK ((state = 'planned') = (altered_at IS NULL)),
    CONSTRAINT wire_proved CHECK ((state = 'proved') = (proved_at IS NOT NULL)),
    UNIQUE (conversion_id, no)
) STRICT;
