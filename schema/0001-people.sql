-- Who signs in, what they may do, what they know.
-- Record tables only grow: a change is a further row. Triggers at the end of each file refuse
-- UPDATE and DELETE. Instants are UTC milliseconds since 1970, days are days since 1970-01-01.

CREATE TABLE person (
	id INTEGER PRIMARY KEY,
	login TEXT NOT NULL UNIQUE CHECK (length(login) BETWEEN 1 AND 60),  -- lower case
	recorded_at_ms INTEGER NOT NULL
) STRICT;

-- What is said of a person now is the row with the highest version.
CREATE TABLE person_fact (
	person_id INTEGER NOT NULL REFERENCES person (id),
	version INTEGER NOT NULL CHECK (version >= 1),
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
	role INTEGER NOT NULL CHECK (role BETWEEN 0 AND 4),          -- enum role
	active INTEGER NOT NULL CHECK (active IN (0, 1)),
	password_hash TEXT,                                          -- Argon2id; NULL: cannot sign in
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),                  -- NULL: from the command line
	PRIMARY KEY (person_id, version)
) STRICT;

CREATE TABLE competence (
	id INTEGER PRIMARY KEY,
	person_id INTEGER NOT NULL REFERENCES person (id),
	what TEXT NOT NULL CHECK (length(what) BETWEEN 1 AND 120),
	expires_day INTEGER,                                         -- NULL: does not expire
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX competence_of_person ON competence (person_id, expires_day);

-- Not record: ended sessions are deleted.
CREATE TABLE session (
	token_hash TEXT PRIMARY KEY,                                 -- hash of the cookie's value
	person_id INTEGER NOT NULL REFERENCES person (id),
	began_at_ms INTEGER NOT NULL,
	ends_at_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX session_end ON session (ends_at_ms);

CREATE TRIGGER person_stays BEFORE DELETE ON person
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER person_kept BEFORE UPDATE ON person
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER person_fact_stays BEFORE DELETE ON person_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER person_fact_kept BEFORE UPDATE ON person_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER competence_stays BEFORE DELETE ON competence
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER competence_kept BEFORE UPDATE ON competence
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
