-- The pickup map: wheels by rail side and axle.
CREATE TABLE wheel (
    id             BLOB    NOT NULL PRIMARY KEY,
    conversion_id  BLOB    NOT NULL REFERENCES conversion (id),
    side           TEXT    NOT NULL,                     -- rail side, looking forward
    axle           INTEGER NOT NULL,                     -- 1 is the front axle
    vehicle        TEXT    NOT NULL,                     -- what shares a collector: engine, tender, front bogie
    position_um    INTEGER,                              -- from the front axle back, micrometres
    traction_tyre  INTEGER NOT NULL DEFAULT 0,
    dead_by_design INTEGER NOT NULL DEFAULT 0,           -- never meant to pick up
    version        INTEGER NOT NULL DEFAULT 1,
    aside_at       INTEGER,
    CONSTRAINT wheel_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT wheel_side CHECK (side IN ('left', 'right')),
    CONSTRAINT wheel_axle_range CHECK (axle BETWEEN 1 AND 24),
    CONSTRAINT wheel_vehicle_length CHECK (length(vehicle) BETWEEN 1 AND 40),
    CONSTRAINT wheel_flags CHECK (traction_tyre IN (0, 1) AND dead_by_design IN (0, 1))
) STRICT;
CREATE UNIQUE INDEX wheel_place ON wheel (conversion_id, side, axle) WHERE aside_at IS NULL;
