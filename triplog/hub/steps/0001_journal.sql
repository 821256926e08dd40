-- The journal of many devices: the same bytes as on the device, a chain each, by carrier.

CREATE TABLE carrier (
    id text PRIMARY KEY,
    label text NOT NULL UNIQUE,
    witness text NOT NULL UNIQUE,
    office text NOT NULL UNIQUE,
    opened text[] NOT NULL DEFAULT '{}',
    invented boolean NOT NULL,
    made_at timestamptz NOT NULL
);
COMMENT ON COLUMN carrier.witness IS 'the chain that says what was received; it stays here';
COMMENT ON COLUMN carrier.office IS 'the chain of what the office does here; it goes to every device';
COMMENT ON COLUMN carrier.opened IS 'which private fields may travel: none, some by name, * for all';

-- A login of its own (an auditor's, say) sees one carrier; the service sees the one it has named.
CREATE TABLE login (
    name text PRIMARY KEY,
    carrier text NOT NULL REFERENCES carrier
);

CREATE FUNCTION carrier_here() RETURNS text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
RETURN coalesce(
    (SELECT carrier FROM login WHERE name = session_user),
    CASE WHEN pg_has_role(session_user, 'triplog_service', 'MEMBER')
    THEN nullif(current_setting('hub.carrier', true), '') END
);

CREATE TABLE device (
    id text PRIMARY KEY,
    carrier text NOT NULL REFERENCES carrier,
    label text NOT NULL,
    is_office boolean NOT NULL,
    secret bytea NOT NULL CHECK (length(secret) = 32),
    key text NOT NULL,
    paired_at timestamptz NOT NULL,
    unpaired_at timestamptz,
    seen_at timestamptz,
    clock_ahead_ms bigint,
    is_behind boolean NOT NULL DEFAULT false
);
CREATE UNIQUE INDEX device_secret ON device (secret);
CREATE INDEX device_carrier ON device (carrier, id);
COMMENT ON COLUMN device.secret IS 'the SHA-256 of what the device shows with each batch';
COMMENT ON COLUMN device.is_office IS 'its chain goes to every device of the carrier';

CREATE TABLE pairing (
    code bytea PRIMARY KEY CHECK (length(code) = 32),
    carrier text NOT NULL REFERENCES carrier,
    label text NOT NULL,
    is_office boolean NOT NULL,
    ends_at timestamptz NOT NULL,
    used_at timestamptz
);

CREATE TABLE chain (
    device text PRIMARY KEY,
    carrier text NOT NULL REFERENCES carrier,
    brought_by text NOT NULL,
    seq bigint NOT NULL DEFAULT -1,
    hash text,
    peaks bytea NOT NULL DEFAULT '',
    key text,
    CHECK ((seq = -1) = (hash IS NULL))
);
CREATE INDEX chain_carrier ON chain (carrier, device);
COMMENT ON COLUMN chain.peaks IS 'the roots of the complete subtrees from the left (RFC 9162, 2.1.2)';

-- By the month it arrived in, by the hub's clock: that of a device may be years off. That a number
-- is given once is kept by the row of its chain, which every writer locks.
CREATE TABLE entry (
    carrier text NOT NULL,
    device text NOT NULL,
    seq bigint NOT NULL CHECK (seq >= 0),
    hash text NOT NULL CHECK (length(hash) = 64),
    kind text NOT NULL,
    trip text,
    thing text,
    entry_time text COLLATE "C" NOT NULL,
    received_on date NOT NULL,
    data bytea NOT NULL,
    PRIMARY KEY (device, seq, received_on)
) PARTITION BY RANGE (received_on);
CREATE TABLE entry_of_other_months PARTITION OF entry DEFAULT;
CREATE INDEX entry_hash ON entry (hash);
CREATE INDEX entry_of_trip ON entry (trip, device, seq) WHERE trip IS NOT NULL;
CREATE INDEX entry_of_thing ON entry (thing, device, seq) WHERE thing IS NOT NULL;

CREATE TABLE opening (
    carrier text NOT NULL,
    entry text NOT NULL,
    field text NOT NULL,
    salt text NOT NULL,
    value bytea NOT NULL,
    PRIMARY KEY (entry, field)
);

CREATE TABLE fork_evidence (
    carrier text NOT NULL,
    device text NOT NULL,
    seq bigint NOT NULL,
    hash text NOT NULL CHECK (length(hash) = 64),
    data bytea NOT NULL,
    brought_by text NOT NULL,
    taken_at timestamptz NOT NULL,
    PRIMARY KEY (carrier, device, seq, hash)
);

CREATE TABLE contact (
    carrier text NOT NULL,
    device text NOT NULL,
    chain text NOT NULL,
    seq bigint NOT NULL,
    PRIMARY KEY (device, chain)
);
COMMENT ON TABLE contact IS 'up to which entry of the office''s chains a device has them';

-- What is to be made of entries that came; rows of one trip are taken together.
CREATE TABLE to_derive (
    id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    carrier text NOT NULL,
    what text NOT NULL CHECK (what IN ('trip', 'thing')),
    about text NOT NULL
);
CREATE INDEX to_derive_about ON to_derive (about);

CREATE FUNCTION never_changed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what is recorded is never changed or removed (%)', TG_TABLE_NAME;
END $$;
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE OR DELETE ON entry
    FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER evidence_is_never_changed BEFORE UPDATE OR DELETE ON fork_evidence
    FOR EACH ROW EXECUTE FUNCTION never_changed();
CREATE TRIGGER opening_is_never_changed BEFORE UPDATE ON opening
    FOR EACH ROW EXECUTE FUNCTION never_changed();

-- The table of a month; whoever may add entries may ask for it.
CREATE FUNCTION make_month(day date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = hub, pg_temp AS $$
DECLARE
    first date := date_trunc('month', day)::date;
    name text := 'entry_' || to_char(first, 'YYYY_MM');
BEGIN
    IF to_regclass('hub.' || name) IS NOT NULL THEN
        RETURN;
    END IF;
    -- No table of entries is touched before the lock is held: whoever waits for it holds none.
    PERFORM pg_advisory_xact_lock(hashtext('hub.make_month'));
    IF to_regclass('hub.' || name) IS NULL
        AND NOT EXISTS (SELECT FROM entry_of_other_months
            WHERE received_on >= first AND received_on < first + interval '1 month') THEN
        EXECUTE format('CREATE TABLE %I PARTITION OF entry FOR VALUES FROM (%L) TO (%L)',
            name, first, (first + interval '1 month')::date);
    END IF;
END $$;

-- Who may do what. A row is seen and written by those of its carrier alone. The owner is held to
-- nothing, so the service is another login, or takes one of the roles in every transaction.
GRANT USAGE ON SCHEMA hub TO triplog_pairing, triplog_ingest, triplog_office, triplog_auditor, triplog_worker;

DO $$
DECLARE one text;
BEGIN
    FOREACH one IN ARRAY ARRAY['carrier', 'device', 'pairing', 'chain', 'entry', 'opening',
        'fork_evidence', 'contact', 'to_derive'] LOOP
        EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', one);
        EXECUTE format('CREATE POLICY own_carrier ON %I USING (%I = (SELECT carrier_here()))', one,
            CASE one WHEN 'carrier' THEN 'id' ELSE 'carrier' END);
        EXECUTE format('CREATE POLICY every_carrier ON %I TO triplog_worker USING (true)', one);
    END LOOP;
END $$;

GRANT SELECT ON carrier, chain, entry, device, pairing TO triplog_pairing;
GRANT INSERT ON device, entry, opening, to_derive TO triplog_pairing;
GRANT UPDATE ON device TO triplog_pairing;
GRANT UPDATE (used_at) ON pairing TO triplog_pairing;
GRANT UPDATE (seq, hash, peaks, key) ON chain TO triplog_pairing;
GRANT SELECT ON carrier, chain, entry, opening, device, contact, fork_evidence TO triplog_ingest;
GRANT INSERT ON chain, entry, opening, fork_evidence, contact, to_derive TO triplog_ingest;
GRANT UPDATE (seq, hash, peaks, key) ON chain TO triplog_ingest;
GRANT UPDATE (seq) ON contact TO triplog_ingest;
GRANT UPDATE (seen_at, clock_ahead_ms, is_behind) ON device TO triplog_ingest;
GRANT SELECT ON carrier, chain, entry, opening, fork_evidence, contact TO triplog_office;
GRANT SELECT (id, carrier, label, is_office, key, paired_at, unpaired_at, seen_at, clock_ahead_ms,
    is_behind) ON device TO triplog_office, triplog_auditor;
GRANT INSERT ON entry, opening, to_derive, pairing TO triplog_office;
GRANT UPDATE (seq, hash, peaks, key) ON chain TO triplog_office;
GRANT UPDATE (unpaired_at) ON device TO triplog_office;
GRANT SELECT ON carrier, chain, entry, opening, fork_evidence, contact TO triplog_auditor;
GRANT SELECT ON carrier, chain, entry, opening, device, contact TO triplog_worker;
GRANT SELECT, DELETE ON to_derive TO triplog_worker;

-- Whose secret or code it is has to be found before the carrier is known; nothing else is told.
CREATE FUNCTION device_with(shown bytea) RETURNS TABLE (id text, carrier text, is_office boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT id, carrier, is_office FROM device WHERE secret = shown AND unpaired_at IS NULL;
END;
CREATE FUNCTION pairing_with(shown bytea, now timestamptz) RETURNS TABLE (carrier text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT carrier FROM pairing WHERE code = shown AND used_at IS NULL AND ends_at > now;
END;
CREATE FUNCTION carrier_of_chain(asked text) RETURNS text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT carrier FROM chain WHERE device = asked
    UNION ALL SELECT carrier FROM device WHERE id = asked LIMIT 1;
END;
REVOKE EXECUTE ON ALL FUNCTIONS IN SCHEMA hub FROM PUBLIC;
GRANT EXECUTE ON FUNCTION carrier_here(), make_month(date)
    TO triplog_pairing, triplog_ingest, triplog_office, triplog_auditor, triplog_worker;
GRANT EXECUTE ON FUNCTION device_with(bytea) TO triplog_ingest;
GRANT EXECUTE ON FUNCTION pairing_with(bytea, timestamptz) TO triplog_pairing;
GRANT EXECUTE ON FUNCTION carrier_of_chain(text) TO triplog_pairing, triplog_ingest;
