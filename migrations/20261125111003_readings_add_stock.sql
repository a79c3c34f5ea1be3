-- A reading taken on a motor stays with that motor when it moves to another conversion.
ALTER TABLE reading ADD COLUMN stock_id BLOB REFERENCES stock (id);  -- the motor it was taken on; NULL: not known
CREATE INDEX reading_by_stock ON reading (stock_id) WHERE stock_id IS NOT NULL;
