-- What workers do: rows that are derived, the office told of what is late, each attempt kept.

-- Two may take rows of the queue at once; whoever has them keeps the other from them.
GRANT UPDATE ON to_derive TO triplog_worker;

-- An entry whose thing was not known when it came, because the one it follows had not come yet.
CREATE TABLE loose_follower (
    carrier text NOT NULL,
    followed text NOT NULL,
    hash text NOT NULL,
    PRIMARY KEY (carrier, followed, hash)
);

-- What no rows can be made of, and why; the rest goes on.
CREATE TABLE put_aside (
    carrier text NOT NULL,
    what text NOT NULL CHECK (what IN ('trip', 'thing')),
    about text NOT NULL,
    reason text NOT NULL,
    since timestamptz NOT NULL,
    PRIMARY KEY (carrier, what, about)
);

-- Whose clock the times of a trip under way are of: the device that wrote last.
CREATE TABLE last_writer (
    carrier text NOT NULL,
    trip text NOT NULL,
    device text NOT NULL,
    PRIMARY KEY (carrier, trip)
);
CREATE INDEX last_writer_device ON last_writer (device);
CREATE INDEX device_ahead ON device (clock_ahead_ms) WHERE clock_ahead_ms > 0;


CREATE TABLE outbox (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    carrier text NOT NULL REFERENCES carrier,
    due_key text NOT NULL,
    stage text NOT NULL,
    trip text NOT NULL,
    message text NOT NULL,
    offset_min int NOT NULL,
    written_at timestamptz NOT NULL,
    tries int NOT NULL DEFAULT 0,
    next_at timestamptz NOT NULL,
    told_at timestamptz,
    UNIQUE (carrier, due_key, stage)
);
CREATE INDEX outbox_waiting ON outbox (next_at) WHERE told_at IS NULL;
CREATE INDEX outbox_of_trip ON outbox (carrier, trip);
COMMENT ON COLUMN outbox.next_at IS 'not to be tried before; while it is tried, until when it is left to whoever does';

CREATE TABLE outbox_attempt (
    carrier text NOT NULL,
    message bigint NOT NULL REFERENCES outbox,
    number int NOT NULL,
    by text NOT NULL,
    repeated boolean NOT NULL,
    begun_at timestamptz NOT NULL,
    came text,
    ended_at timestamptz,
    PRIMARY KEY (carrier, message, number)
);
COMMENT ON COLUMN outbox_attempt.repeated IS 'the message said that it may have arrived before';
COMMENT ON COLUMN outbox_attempt.came IS 'what came of it; none: under way, or cut off';

-- When each worker was last heard of; of no carrier, and reached by workers alone.
CREATE TABLE worker_turn (
    worker text PRIMARY KEY,
    began_at timestamptz NOT NULL,
    turned_at timestamptz NOT NULL,
    derived bigint NOT NULL DEFAULT 0
);

DO $$
DECLARE one text;
BEGIN
    FOREACH one IN ARRAY ARRAY['loose_follower', 'put_aside', 'last_writer', 'outbox',
        'outbox_attempt'] LOOP
        EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', one);
        EXECUTE format(
            'CREATE POLICY own_carrier ON %I USING (carrier = (SELECT carrier_here()))', one);
        EXECUTE format('CREATE POLICY every_carrier ON %I TO triplog_worker USING (true)', one);
    END LOOP;
END $$;
ALTER TABLE worker_turn ENABLE ROW LEVEL SECURITY;
CREATE POLICY every_worker ON worker_turn TO triplog_worker USING (true);

GRANT INSERT ON loose_follower TO triplog_ingest;
GRANT SELECT ON loose_follower TO triplog_worker;
GRANT SELECT, INSERT, UPDATE, DELETE ON put_aside TO triplog_worker;
GRANT SELECT, INSERT, UPDATE, DELETE ON last_writer TO triplog_worker;
GRANT SELECT, INSERT, UPDATE ON outbox, outbox_attempt TO triplog_worker;
GRANT SELECT, INSERT, UPDATE, DELETE ON worker_turn TO triplog_worker;
GRANT SELECT ON put_aside, outbox, outbox_attempt TO triplog_office, triplog_auditor;

-- A hint that something waits, sent with the transaction that queued it; nothing rests on it.
CREATE FUNCTION say_that_it_waits() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NOTIFY hub_to_derive;
    RETURN NULL;
END $$;
CREATE TRIGGER it_waits AFTER INSERT ON to_derive
    FOR EACH STATEMENT EXECUTE FUNCTION say_that_it_waits();
REVOKE EXECUTE ON FUNCTION say_that_it_waits() FROM PUBLIC;
