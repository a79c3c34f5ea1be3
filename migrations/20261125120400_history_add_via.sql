-- A change that an import wrote says which archive it came from.
ALTER TABLE change ADD COLUMN via TEXT NOT NULL DEFAULT '';  -- archive an import wrote it from; empty: written by hand
