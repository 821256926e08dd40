-- A device that has more of the hub's own chain than the hub: an older state of it was put back.

ALTER TABLE contact ADD COLUMN told bigint;
COMMENT ON COLUMN contact.told IS 'up to which entry the device says it has them, where fewer are here';
GRANT UPDATE (told) ON contact TO triplog_ingest;
