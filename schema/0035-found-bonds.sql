-- A bond that a crew found and that is not in the book: where and what it is, what was seen and measured. It
-- is no bond of the register: a planner says which bond it is, or registers it, or says why it is none.
CREATE TABLE found_bond (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	round_id INTEGER REFERENCES round (id),
	line_id INTEGER NOT NULL REFERENCES line (id),
	near_bond_id INTEGER REFERENCES bond (id),                -- of the book, that it was found near
	place TEXT NOT NULL,                                      -- as it was read or paced
	track_id INTEGER REFERENCES track (id),                   -- NULL: not said
	rail INTEGER CHECK (rail BETWEEN 0 AND 1),
	kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 8),       -- enum bond_kind
	joins TEXT NOT NULL,                                      -- what to what
	seen TEXT NOT NULL,
	measured_uohm REAL,                                       -- as the meter showed it
	measured_how TEXT,
	found_day INTEGER NOT NULL,
	done_at_ms INTEGER,
	note TEXT,
	person_id INTEGER REFERENCES person (id),                 -- who found it, or
	person_name TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX found_bond_on ON found_bond (line_id, found_day);
CREATE INDEX found_bond_of_round ON found_bond (round_id) WHERE round_id IS NOT NULL;

-- What it turned out to be.
CREATE TABLE found_answer (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	found_id INTEGER NOT NULL REFERENCES found_bond (id),
	bond_id INTEGER REFERENCES bond (id),                     -- NULL: no bond, and
	said TEXT,                                                -- why
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	CHECK (bond_id IS NOT NULL OR said IS NOT NULL)
) STRICT;
CREATE INDEX found_answer_of ON found_answer (found_id);
CREATE INDEX found_answer_bond ON found_answer (bond_id) WHERE bond_id IS NOT NULL;

CREATE TRIGGER found_bond_stays BEFORE DELETE ON found_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER found_bond_kept BEFORE UPDATE ON found_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER found_answer_stays BEFORE DELETE ON found_answer
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER found_answer_kept BEFORE UPDATE ON found_answer
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
