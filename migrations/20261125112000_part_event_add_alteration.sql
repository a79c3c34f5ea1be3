-- Fitting a part or taking it out alters the model: the step leads to the alteration it wrote, so that both are taken back together.
ALTER TABLE part_event ADD COLUMN alteration_id BLOB REFERENCES alteration (id);  -- alteration this step wrote; NULL: none
CREATE INDEX part_event_by_alteration ON part_event (alteration_id) WHERE alteration_id IS NOT NULL;
