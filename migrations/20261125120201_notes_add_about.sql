-- A note may be about one record: a reading, part, snag, change, thing in stock or review.
ALTER TABLE note ADD COLUMN about_kind TEXT NOT NULL DEFAULT ''
    CONSTRAINT note_about_kind CHECK (about_kind IN ('', 'reading', 'part', 'snag', 'alteration', 'stock', 'review'));
ALTER TABLE note ADD COLUMN about_id BLOB
    CONSTRAINT note_about_whole CHECK ((about_kind = '') = (about_id IS NULL));
ALTER TABLE note ADD COLUMN about_no INTEGER NOT NULL DEFAULT 0;  -- its number as people say it; 0: it has none
CREATE INDEX note_by_about ON note (about_id) WHERE about_id IS NOT NULL;
