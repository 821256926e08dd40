-- A device that has an entry of the hub's own chain that is not here: an older state was put back.

ALTER TABLE contact ADD COLUMN is_other boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN contact.is_other IS 'what it has last of the chain is not here; seq stays what it was';
GRANT UPDATE (is_other) ON contact TO triplog_ingest;
