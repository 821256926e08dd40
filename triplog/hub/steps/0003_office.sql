-- Who may open the office's pages: browsers, by the digest of their secret, and what an auditor's
-- has opened.

CREATE TABLE browser (
    id text PRIMARY KEY,
    carrier text NOT NULL REFERENCES carrier,
    label text NOT NULL,
    person text NOT NULL,
    role text NOT NULL CHECK (role IN ('office', 'auditor')),
    secret bytea NOT NULL CHECK (length(secret) = 32),
    choices text NOT NULL DEFAULT '{}',
    paired_at timestamptz NOT NULL,
    seen_at timestamptz NOT NULL,
    ended_at timestamptz
);
CREATE UNIQUE INDEX browser_secret ON browser (secret);
CREATE INDEX browser_carrier ON browser (carrier, label);
COMMENT ON COLUMN browser.label IS 'what people call who sits at it';
COMMENT ON COLUMN browser.person IS 'their card, in the office''s own chain; an auditor has none';
COMMENT ON COLUMN browser.secret IS 'the SHA-256 of what the browser shows with each request';

CREATE TABLE browser_code (
    code bytea PRIMARY KEY CHECK (length(code) = 32),
    carrier text NOT NULL REFERENCES carrier,
    label text NOT NULL,
    role text NOT NULL CHECK (role IN ('office', 'auditor')),
    ends_at timestamptz NOT NULL,
    used_at timestamptz
);

-- One entry for each thing an auditor's browser opens within an hour, whichever hub it asks.
CREATE TABLE looked (
    carrier text NOT NULL REFERENCES carrier,
    browser text NOT NULL,
    about text NOT NULL,
    since timestamptz NOT NULL,
    PRIMARY KEY (carrier, browser, about)
);

DO $$
DECLARE one text;
BEGIN
    FOREACH one IN ARRAY ARRAY['browser', 'browser_code', 'looked'] LOOP
        EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', one);
        EXECUTE format(
            'CREATE POLICY own_carrier ON %I USING (carrier = (SELECT carrier_here()))', one);
    END LOOP;
END $$;

GRANT SELECT, INSERT ON browser TO triplog_pairing;
GRANT UPDATE (seen_at, ended_at, choices) ON browser TO triplog_pairing;
GRANT SELECT ON browser_code TO triplog_pairing;
GRANT UPDATE (used_at) ON browser_code TO triplog_pairing;
GRANT SELECT (id, carrier, label, person, role, paired_at, seen_at, ended_at) ON browser TO triplog_office;
GRANT UPDATE (ended_at) ON browser TO triplog_office;
GRANT INSERT ON browser_code TO triplog_office;
GRANT SELECT, INSERT ON looked TO triplog_office;
GRANT UPDATE (since) ON looked TO triplog_office;

CREATE FUNCTION browser_with(shown bytea) RETURNS TABLE (carrier text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT carrier FROM browser WHERE secret = shown AND ended_at IS NULL;
END;
CREATE FUNCTION browser_code_with(shown bytea, now timestamptz) RETURNS TABLE (carrier text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT carrier FROM browser_code WHERE code = shown AND used_at IS NULL AND ends_at > now;
END;
REVOKE EXECUTE ON FUNCTION browser_with(bytea), browser_code_with(bytea, timestamptz) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION browser_with(bytea), browser_code_with(bytea, timestamptz)
    TO triplog_pairing;

-- Whoever only reads makes no tables.
REVOKE EXECUTE ON FUNCTION make_month(date) FROM triplog_auditor;

-- A trip is looked at with the carrier's card; nothing else of its kind is asked for by kind.
CREATE INDEX entry_of_carrier ON entry (device) WHERE kind = 'carrier_recorded';
CREATE INDEX entry_of_opening ON entry (carrier) WHERE kind = 'trip_opened';
