-- Physical things with an identity: each sits in one conversion or in the drawer, each move is dated.
CREATE TABLE stock (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    no            INTEGER NOT NULL UNIQUE,             -- number people say, over the whole notebook
    kind          TEXT    NOT NULL,
    name          TEXT    NOT NULL,                    -- what it is, in the household's words
    mark          TEXT    NOT NULL DEFAULT '',         -- serial number or a mark scratched in
    mass_mg       INTEGER,                             -- milligrams, as weighed
    remark        TEXT    NOT NULL DEFAULT '',
    conversion_id BLOB    REFERENCES conversion (id),  -- NULL: in the drawer; that of its last move not taken back
    created_at    INTEGER NOT NULL,                    -- ms, UTC
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,                             -- ms, UTC: put aside; only from the drawer
    CONSTRAINT stock_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT stock_no_positive CHECK (no >= 1),
    CONSTRAINT stock_kind CHECK (kind IN ('chassis', 'shell', 'motor', 'bogie', 'donor', 'tender', 'other')),
    CONSTRAINT stock_name_length CHECK (length(name) BETWEEN 1 AND 120),
    CONSTRAINT stock_mark_length CHECK (length(mark) <= 80),
    CONSTRAINT stock_mass_range CHECK (mass_mg IS NULL OR mass_mg BETWEEN 1 AND 50000000),
    CONSTRAINT stock_remark_length CHECK (length(remark) <= 2000),
    CONSTRAINT stock_aside_from_drawer CHECK (aside_at IS NULL OR conversion_id IS NULL)
) STRICT;
CREATE INDEX stock_by_conversion ON stock (conversion_id);

CREATE TABLE stock_move (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    stock_id      BLOB    NOT NULL REFERENCES stock (id),
    no            INTEGER NOT NULL,                    -- move 1, 2, 3 … of this thing
    swap_id       BLOB    NOT NULL,                    -- moves made together share it
    conversion_id BLOB    REFERENCES conversion (id),  -- where it went; NULL: the drawer
    at            INTEGER NOT NULL,                    -- ms, UTC: when it was moved
    entered_at    INTEGER NOT NULL,                    -- ms, UTC: when it was written down
    person_id     BLOB    REFERENCES person (id),
    why           TEXT    NOT NULL DEFAULT '',
    taken_back_at INTEGER,                             -- ms, UTC
    CONSTRAINT stock_move_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT stock_move_swap_is_uuid CHECK (length(swap_id) = 16),
    CONSTRAINT stock_move_no_positive CHECK (no >= 1),
    CONSTRAINT stock_move_why_length CHECK (length(why) <= 2000),
    UNIQUE (stock_id, no)
) STRICT;
CREATE INDEX stock_move_by_conversion ON stock_move (conversion_id);
CREATE INDEX stock_move_by_swap ON stock_move (swap_id);

CREATE TABLE stock_alteration (
    swap_id       BLOB    NOT NULL,                    -- moves made together
    alteration_id BLOB    NOT NULL REFERENCES alteration (id),  -- what they changed on a model
    PRIMARY KEY (swap_id, alteration_id)
) STRICT;
CREATE INDEX stock_alteration_by_alteration ON stock_alteration (alteration_id);
