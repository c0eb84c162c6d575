-- Rounds: the bonds that one crew visits in one shift, in walking order, and what became of each.
-- What is said of a round after it was made is a row of its own (round_step). (Nothing could be kept in
-- the two tables before: they had no way in.)
DROP TABLE round_bond;
DROP TABLE round;
CREATE TABLE round (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	work INTEGER NOT NULL CHECK (work BETWEEN 0 AND 1),       -- enum round_work
	crew TEXT NOT NULL,
	shift_day INTEGER NOT NULL,                               -- the day on which the shift begins
	begins TEXT NOT NULL CHECK (length(begins) = 5),          -- HH:MM, the register's zone
	ends TEXT NOT NULL CHECK (length(ends) = 5),              -- not after begins: on the next day
	shift_minutes INTEGER NOT NULL CHECK (shift_minutes BETWEEN 1 AND 1439),
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX round_by_day ON round (shift_day, id);

-- n: place in the order of walking, from 0; minutes: of the work there, when the round was made
CREATE TABLE round_bond (
	round_id INTEGER NOT NULL REFERENCES round (id),
	n INTEGER NOT NULL CHECK (n >= 0),
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	minutes INTEGER NOT NULL CHECK (minutes BETWEEN 0 AND 1440),
	PRIMARY KEY (round_id, n),
	UNIQUE (bond_id, round_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE round_person (
	round_id INTEGER NOT NULL REFERENCES round (id),
	n INTEGER NOT NULL CHECK (n >= 0),
	person_id INTEGER REFERENCES person (id),                 -- or
	person_name TEXT,                                         -- the name of somebody not signed up
	PRIMARY KEY (round_id, n),
	CHECK ((person_id IS NULL) <> (person_name IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX round_of_person ON round_person (person_id, round_id);

CREATE TABLE round_step (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	round_id INTEGER NOT NULL REFERENCES round (id),
	step INTEGER NOT NULL CHECK (step BETWEEN 0 AND 4),       -- enum round_step
	said TEXT,                                                -- why, or what is wished
	kit TEXT,                                                 -- what the crew began with
	instrument TEXT,
	possession TEXT,                                          -- confirmed by whom, and so on
	isolation TEXT,
	done_at_ms INTEGER,                                       -- NULL: not noted
	person_id INTEGER REFERENCES person (id),                 -- whose word it is, or
	person_name TEXT,                                         -- their name
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX round_step_of ON round_step (round_id, step, id);

-- A temporary bridge that was put on, until it is said that it was taken off.
CREATE TABLE bridge (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	bond_id INTEGER NOT NULL REFERENCES bond (id),            -- the bond that it stands in for
	round_id INTEGER REFERENCES round (id),
	on_day INTEGER NOT NULL,
	done_at_ms INTEGER,
	place TEXT NOT NULL,                                      -- from where to where it was put
	note TEXT,
	person_id INTEGER REFERENCES person (id),
	person_name TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX bridge_of_bond ON bridge (bond_id, on_day);

CREATE TABLE bridge_off (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	bridge_id INTEGER NOT NULL REFERENCES bridge (id),
	round_id INTEGER REFERENCES round (id),
	off_day INTEGER NOT NULL,
	done_at_ms INTEGER,
	note TEXT,
	person_id INTEGER REFERENCES person (id),
	person_name TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX bridge_off_of ON bridge_off (bridge_id);

-- The railway's own minutes for a kind of bond and a kind of work: the row with the highest version.
CREATE TABLE round_minutes (
	kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 8),       -- enum bond_kind
	work INTEGER NOT NULL CHECK (work BETWEEN 0 AND 1),
	version INTEGER NOT NULL CHECK (version >= 1),
	minutes INTEGER NOT NULL CHECK (minutes BETWEEN 0 AND 1440),
	reason TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (kind, work, version)
) STRICT, WITHOUT ROWID;

-- The service of a kit, and the day on which the next one is due.
CREATE TABLE kit_service (
	id INTEGER PRIMARY KEY,
	kit_id INTEGER NOT NULL REFERENCES kit (id),
	serviced_day INTEGER NOT NULL,
	due_day INTEGER NOT NULL CHECK (due_day > serviced_day),
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX kit_service_of ON kit_service (kit_id, id);

-- The round in which it was recorded.
ALTER TABLE inspection ADD COLUMN round_id INTEGER REFERENCES round (id);
ALTER TABLE failure ADD COLUMN round_id INTEGER REFERENCES round (id);
ALTER TABLE repair ADD COLUMN round_id INTEGER REFERENCES round (id);
CREATE INDEX inspection_of_round ON inspection (round_id, bond_id) WHERE round_id IS NOT NULL;
CREATE INDEX failure_of_round ON failure (round_id, bond_id) WHERE round_id IS NOT NULL;
CREATE INDEX repair_of_round ON repair (round_id) WHERE round_id IS NOT NULL;
-- what was not reached goes back to the due list with its reason
CREATE INDEX inspection_not_reached ON inspection (bond_id, day, id) WHERE outcome = 2;

CREATE TRIGGER round_stays BEFORE DELETE ON round
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_kept BEFORE UPDATE ON round
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_bond_stays BEFORE DELETE ON round_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_bond_kept BEFORE UPDATE ON round_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_person_stays BEFORE DELETE ON round_person
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_person_kept BEFORE UPDATE ON round_person
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_step_stays BEFORE DELETE ON round_step
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_step_kept BEFORE UPDATE ON round_step
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bridge_stays BEFORE DELETE ON bridge
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bridge_kept BEFORE UPDATE ON bridge
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bridge_off_stays BEFORE DELETE ON bridge_off
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bridge_off_kept BEFORE UPDATE ON bridge_off
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_minutes_stays BEFORE DELETE ON round_minutes
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_minutes_kept BEFORE UPDATE ON round_minutes
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_service_stays BEFORE DELETE ON kit_service
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_service_kept BEFORE UPDATE ON kit_service
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
