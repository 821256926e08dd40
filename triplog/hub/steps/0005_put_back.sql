-- After a back-up was put back the hub's own chains go on under new names; these were theirs before.

ALTER TABLE carrier
    ADD COLUMN former_witnesses text[] NOT NULL DEFAULT '{}',
    ADD COLUMN former_offices text[] NOT NULL DEFAULT '{}';
