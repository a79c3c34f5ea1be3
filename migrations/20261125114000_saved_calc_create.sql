-- What a person wrote into a calculation of a conversion, over what the notebook knows itself.
CREATE TABLE saved_calc (
    id            BLOB    NOT NULL PRIMARY KEY,
    conversion_id BLOB    NOT NULL REFERENCES conversion (id),
    name          TEXT    NOT NULL,               -- name of the calculation: heat, gap, holdup
    input         TEXT    NOT NULL,               -- JSON object: the fields that differ from what the notebook knows
    at            INTEGER NOT NULL,               -- ms, UTC: when it was kept last
    person_id     BLOB    REFERENCES person (id), -- who kept it last
    version       INTEGER NOT NULL DEFAULT 1,
    aside_at      INTEGER,                        -- ms, UTC: forgotten; keeping one again brings it back
    CONSTRAINT saved_calc_id_is_uuid CHECK (length(id) = 16),
    CONSTRAINT saved_calc_name_length CHECK (length(name) BETWEEN 1 AND 40),
    CONSTRAINT saved_calc_input_is_object CHECK (json_valid(input) AND json_type(input) = 'object'),
    CONSTRAINT saved_calc_input_length CHECK (length(input) <= 4000000),
    UNIQUE (conversion_id, name)
) STRICT;
