-- A kit's check is sent as all that crews send, and says of each part how it was found. (Nothing could
-- be kept in the table before: it had no way in.)
DROP TABLE kit_check;
CREATE TABLE kit_check (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	kit_id INTEGER NOT NULL REFERENCES kit (id),
	checked_day INTEGER NOT NULL,
	battery INTEGER NOT NULL CHECK (battery BETWEEN 0 AND 2),        -- enum kit_found, and so on
	leads INTEGER NOT NULL CHECK (leads BETWEEN 0 AND 2),
	gun INTEGER NOT NULL CHECK (gun BETWEEN 0 AND 2),
	clamp INTEGER NOT NULL CHECK (clamp BETWEEN 0 AND 2),
	pins INTEGER NOT NULL CHECK (pins BETWEEN 0 AND 2),
	eye_shields INTEGER NOT NULL CHECK (eye_shields BETWEEN 0 AND 2),
	passed INTEGER NOT NULL CHECK (passed = (battery + leads + gun + clamp + pins + eye_shields = 0)),
	person_id INTEGER REFERENCES person (id),
	person_name TEXT CHECK (person_name IS NULL OR person_id IS NULL),
	note TEXT,
	replaces_id INTEGER UNIQUE REFERENCES kit_check (id),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX kit_check_of_kit ON kit_check (kit_id, checked_day);
CREATE TRIGGER kit_check_stays BEFORE DELETE ON kit_check
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_check_kept BEFORE UPDATE ON kit_check
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
