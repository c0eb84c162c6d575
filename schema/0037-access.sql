-- How people and machines come in. Not record, but for the last table: what has ended may go, and
-- secrets that are replaced must. Instants are UTC milliseconds since 1970.

-- A session as its person is shown it, and its end when nothing is asked for a while.
CREATE TABLE session_of_person (
	id INTEGER PRIMARY KEY AUTOINCREMENT,                        -- what its person calls it by
	token_hash TEXT NOT NULL UNIQUE,                             -- hash of the cookie's value
	person_id INTEGER NOT NULL REFERENCES person (id),
	began_at_ms INTEGER NOT NULL,
	seen_at_ms INTEGER NOT NULL,                                 -- within five minutes
	idle_ms INTEGER NOT NULL,                                    -- nothing asked for so long: ended
	ends_at_ms INTEGER NOT NULL,
	device TEXT NOT NULL,                                        -- of the device's cookie; '' unknown
	agent TEXT NOT NULL CHECK (length(agent) <= 200),            -- what its browser calls itself
	lacks_factor INTEGER NOT NULL CHECK (lacks_factor IN (0, 1)) -- may set a second factor, no more
) STRICT;
CREATE INDEX session_of_person_person ON session_of_person (person_id);
CREATE INDEX session_of_person_end ON session_of_person (ends_at_ms);
INSERT INTO session_of_person (token_hash, person_id, began_at_ms, seen_at_ms, idle_ms, ends_at_ms, device,
	agent, lacks_factor) SELECT token_hash, person_id, began_at_ms, began_at_ms, 50400000, ends_at_ms, '', '', 0
	FROM session;
DROP TABLE session;

-- The key that somebody's telephone makes six figures of (RFC 6238).
CREATE TABLE second_factor (
	person_id INTEGER PRIMARY KEY REFERENCES person (id),
	secret BLOB NOT NULL CHECK (length(secret) = 20),
	is_set INTEGER NOT NULL CHECK (is_set IN (0, 1)),            -- 0: no figures of it were sent yet
	last_step INTEGER NOT NULL,                                  -- figures of it and before are used up
	made_at_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE recovery_code (
	code_hash TEXT PRIMARY KEY,
	person_id INTEGER NOT NULL REFERENCES person (id)
) STRICT;

-- What an administrator hands over to somebody who is to choose a password.
CREATE TABLE reset_code (
	person_id INTEGER PRIMARY KEY REFERENCES person (id),
	code_hash TEXT NOT NULL,
	ends_at_ms INTEGER NOT NULL,
	made_by INTEGER NOT NULL REFERENCES person (id)
) STRICT;

-- What a machine shows instead of a session.
CREATE TABLE machine_token (
	id INTEGER PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
	token_hash TEXT NOT NULL UNIQUE,
	scope INTEGER NOT NULL CHECK (scope BETWEEN 0 AND 1),        -- enum token_scope
	made_at_ms INTEGER NOT NULL,
	made_by INTEGER NOT NULL REFERENCES person (id),
	ends_day INTEGER NOT NULL,                                   -- the last day on which it is good
	ended_at_ms INTEGER,
	ended_by INTEGER REFERENCES person (id)
) STRICT;

-- Record: who let whom in, or shut them out, beside what person_fact says.
CREATE TABLE access_act (
	id INTEGER PRIMARY KEY,
	what INTEGER NOT NULL,                                       -- enum access_what
	person_id INTEGER REFERENCES person (id),                    -- of whom; NULL: of no person
	name TEXT NOT NULL,                                          -- of the token, the role; ''
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE TRIGGER access_act_stays BEFORE DELETE ON access_act
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER access_act_kept BEFORE UPDATE ON access_act
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
