-- Heights and places measured before metal is cut, and again after it.
CREATE TABLE datum (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    no            INTEGER NOT NULL,              -- datum 1, 2, 3 … of this conversion
    what          TEXT    NOT NULL,              -- coupler_height, body_height, screw_place …
    name          TEXT    NOT NULL DEFAULT '',   -- its own name: screw under the cab
    at_end        TEXT    NOT NULL,              -- front, rear, neither
    measured_from TEXT    NOT NULL,              -- rail_top, chassis_underside …
    cut           TEXT    NOT NULL,              -- before, after cutting
    before_id     BLOB    REFERENCES datum (id), -- the datum from before that this one repeats
    value_um      INTEGER NOT NULL,              -- µm; of a place: x, back from where it is measured from
    y_um          INTEGER,                       -- µm, to the left; places only
    z_um          INTEGER,                       -- µm, up; places only
    typed         TEXT    NOT NULL,              -- as typed
    typed_y       TEXT    NOT NULL DEFAULT '',
    typed_z       TEXT    NOT NULL DEFAULT '',
    percent       REAL,                          -- accuracy at the time: percent of reading
    digits        REAL,
    resolution    REAL,                          -- mm
    tolerance_um  INTEGER,                       -- µm it may be off after cutting; NULL: the usual
    instrument_id BLOB    REFERENCES instrument (id),
    remark        TEXT    NOT NULL DEFAULT '',
    taken_at      INTEGER NOT NULL,              -- ms, UTC: when it was measured
    entered_at    INTEGER NOT NULL,              -- ms, UTC: when it was written down
    person_id     BLOB    REFERENCES person (id),
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,
    CONSTRAINT datum_no_positive CHECK (no >= 1),
    CONSTRAINT datum_end CHECK (at_end IN ('front', 'rear', 'neither')),
    CONSTRAINT datum_cut CHECK (cut IN ('before', 'after')),
    CONSTRAINT datum_before_only_after CHECK (before_id IS NULL OR cut = 'after'),
    CONSTRAINT datum_place_whole CHECK ((y_um IS NULL) = (z_um IS NULL) AND (y_um IS NOT NULL) = (what = 'screw_place')),
    CONSTRAINT datum_range CHECK (value_um BETWEEN -3000000 AND 3000000),
    CONSTRAINT datum_range_y CHECK (y_um IS NULL OR y_um BETWEEN -3000000 AND 3000000),
    CONSTRAINT datum_range_z CHECK (z_um IS NULL OR z_um BETWEEN -3000000 AND 3000000),
    CONSTRAINT datum_tolerance CHECK (tolerance_um IS NULL OR tolerance_um BETWEEN 1 AND 10000),
    CONSTRAINT datum_accuracy_whole CHECK ((percent IS NULL) = (digits IS NULL) AND (digits IS NULL) = (resolution IS NULL)),
    CONSTRAINT datum_name_length CHECK (length(name) <= 80),
    CONSTRAINT datum_remark_length CHECK (length(remark) <= 500),
    UNIQUE (conversion_id, no)
) STRICT;
CREATE INDEX datum_by_conversion ON datum (conversion_id, no);
CREATE INDEX datum_by_before ON datum (before_id) WHERE before_id IS NOT NULL;
