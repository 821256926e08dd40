-- What a monitoring system asks: since when something waits, and which of these steps was the last.

ALTER TABLE to_derive ADD COLUMN queued_at timestamptz NOT NULL DEFAULT now();

CREATE FUNCTION last_step() RETURNS int
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = hub, pg_temp
BEGIN ATOMIC
    SELECT max(number) FROM step;
END;
REVOKE EXECUTE ON FUNCTION last_step() FROM PUBLIC;
GRANT EXECUTE ON FUNCTION last_step() TO triplog_worker;
