-- Parts bought or made, with every step from wanted to fitted, dead or returned.
CREATE TABLE part (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    no            INTEGER NOT NULL UNIQUE,             -- number people say, over the whole notebook
    conversion_id BLOB    REFERENCES conversion (id),  -- NULL: in the drawer
    name          TEXT    NOT NULL,
    kind          TEXT    NOT NULL,
    quantity      INTEGER NOT NULL DEFAULT 1,          -- pieces
    state         TEXT    NOT NULL,                    -- that of its last event not taken back
    supplier_id   BLOB    REFERENCES supplier (id),
    instead_of    BLOB    REFERENCES part (id),        -- this or that: the part it may stand in for
    blocks        TEXT    NOT NULL DEFAULT '',         -- gate it holds up; empty: none
    promised_at   INTEGER,                             -- ms, UTC: day the supplier named
    price_cents   INTEGER,                             -- all pieces together, hundredths of the currency
    postage_cents INTEGER,                             -- hundredths of the currency
    currency      TEXT    NOT NULL DEFAULT '',         -- ISO 4217 code
    length_um     INTEGER,                             -- micrometres
    width_um      INTEGER,                             -- micrometres
    height_um     INTEGER,                             -- micrometres
    diameter_um   INTEGER,                             -- micrometres; round things have it in place of width and height
    size_basis    TEXT    NOT NULL DEFAULT '',         -- where the sizes come from
    mass_mg       INTEGER,                             -- milligrams, one piece
    mass_basis    TEXT    NOT NULL DEFAULT '',         -- where the mass comes from
    remark        TEXT    NOT NULL DEFAULT '',
    created_at    INTEGER NOT NULL,                    -- ms, UTC
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,                             -- ms, UTC: put aside
    CONSTRAINT part_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT part_no_positive CHECK (no >= 1),
    CONSTRAINT part_name_length CHECK (length(name) BETWEEN 1 AND 120),
    CONSTRAINT part_kind CHECK (kind IN ('decoder', 'speaker', 'store', 'lamp', 'resistor', 'wire', 'motor', 'gear', 'wheel', 'other')),
    CONSTRAINT part_quantity_range CHECK (quantity BETWEEN 1 AND 999),
    CONSTRAINT part_state CHECK (state IN ('wanted', 'tried_in_paper', 'ordered', 'shipped', 'arrived', 'proved', 'fitted', 'dead', 'returned')),
    CONSTRAINT part_not_instead_of_itself CHECK (instead_of IS NULL OR instead_of <> id),
    CONSTRAINT part_blocks CHECK (blocks IN ('', 'order', 'cut', 'first_power', 'close', 'service')),
    CONSTRAINT part_money_range CHECK (
        (price_cents IS NULL OR price_cents BETWEEN 0 AND 1000000000)
        AND (postage_cents IS NULL OR postage_cents BETWEEN 0 AND 1000000000)),
    CONSTRAINT part_currency CHECK (currency = '' OR length(currency) = 3),
    CONSTRAINT part_money_has_currency CHECK (currency <> '' OR (price_cents IS NULL AND postage_cents IS NULL)),
    CONSTRAINT part_size_range CHECK (
        (length_um IS NULL OR length_um BETWEEN 10 AND 3000000)
        AND (width_um IS NULL OR width_um BETWEEN 10 AND 3000000)
        AND (height_um IS NULL OR height_um BETWEEN 10 AND 3000000)
        AND (diameter_um IS NULL OR diameter_um BETWEEN 10 AND 3000000)),
    CONSTRAINT part_size_shape CHECK (diameter_um IS NULL OR (width_um IS NULL AND height_um IS NULL)),
    CONSTRAINT part_size_basis CHECK (size_basis IN ('', 'measured', 'data_sheet', 'guess')),
    CONSTRAINT part_mass_range CHECK (mass_mg IS NULL OR mass_mg BETWEEN 1 AND 50000000),
    CONSTRAINT part_mass_basis CHECK (mass_basis IN ('', 'measured', 'data_sheet', 'guess')),
    CONSTRAINT part_remark_length CHECK (length(remark) <= 2000)
) STRICT;
CREATE INDEX part_by_conversion ON part (conversion_id);
CREATE INDEX part_by_supplier ON part (supplier_id) WHERE supplier_id IS NOT NULL;
CREATE INDEX part_by_instead_of ON part (instead_of) WHERE instead_of IS NOT NULL;

CREATE TABLE part_event (
    id            BLOB    NOT NULL PRIMARY KEY,        -- UUID v7
    part_id       BLOB    NOT NULL REFERENCES part (id),
    no            INTEGER NOT NULL,                    -- event 1, 2, 3 … of this part
    state         TEXT    NOT NULL,                    -- state from then on
    conversion_id BLOB    REFERENCES conversion (id),  -- where it was from then on; NULL: the drawer
    at            INTEGER NOT NULL,                    -- ms, UTC: when it happened
    entered_at    INTEGER NOT NULL,                    -- ms, UTC: when it was written down
    person_id     BLOB    REFERENCES person (id),
    remark        TEXT    NOT NULL DEFAULT '',
    taken_back_at INTEGER,                             -- ms, UTC
    CONSTRAINT part_event_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT part_event_no_positive CHECK (no >= 1),
    CONSTRAINT part_event_state CHECK (state IN ('wanted', 'tried_in_paper', 'ordered', 'shipped', 'arrived', 'proved', 'fitted', 'dead', 'returned')),
    CONSTRAINT part_event_remark_length CHECK (length(remark) <= 2000),
    UNIQUE (part_id, no)
) STRICT;
CREATE INDEX part_event_by_conversion ON part_event (conversion_id) WHERE conversion_id IS NOT NULL;

CREATE TABLE part_rating (
    id       BLOB    NOT NULL PRIMARY KEY,             -- UUID v7
    part_id  BLOB    NOT NULL REFERENCES part (id),
    position INTEGER NOT NULL,                         -- order on the page
    name     TEXT    NOT NULL,                         -- motor, continuous
    value    REAL    NOT NULL,                         -- in `unit`
    typed    TEXT    NOT NULL,                         -- the number as typed
    unit     TEXT    NOT NULL DEFAULT '',              -- as people write it: A, mF, Ω
    basis    TEXT    NOT NULL,                         -- where the value comes from
    CONSTRAINT part_rating_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT part_rating_name_length CHECK (length(name) BETWEEN 1 AND 60),
    CONSTRAINT part_rating_unit_length CHECK (length(unit) <= 12),
    CONSTRAINT part_rating_basis CHECK (basis IN ('measured', 'data_sheet', 'guess')),
    UNIQUE (part_id, position)
) STRICT;
