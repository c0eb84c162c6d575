-- What crews saw, measured and did; what planners decided.

CREATE TABLE inspection (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	day INTEGER NOT NULL,
	purpose INTEGER NOT NULL CHECK (purpose BETWEEN 0 AND 3),
	outcome INTEGER NOT NULL CHECK (outcome BETWEEN 0 AND 2), -- only 0 (complete) moves the due day
	seen_a INTEGER CHECK (seen_a BETWEEN 0 AND 6),            -- enum seen; NULL: not recorded
	seen_b INTEGER CHECK (seen_b BETWEEN 0 AND 6),
	person_id INTEGER REFERENCES person (id),                 -- who inspected, or
	person_name TEXT,                                         -- their name, when not signed up
	note TEXT,
	replaces_id INTEGER REFERENCES inspection (id),           -- a correction of that one
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
CREATE UNIQUE INDEX inspection_replaced ON inspection (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX inspection_of_bond ON inspection (bond_id, day, id);
-- (with what the list filters by, so that rare ones are found without reading every row)
CREATE INDEX inspection_by_day ON inspection (day, id, outcome, purpose);

CREATE TABLE reading (
	inspection_id INTEGER NOT NULL REFERENCES inspection (id),
	n INTEGER NOT NULL CHECK (n >= 0),                        -- order within the inspection
	quantity INTEGER NOT NULL CHECK (quantity BETWEEN 0 AND 3),
	method INTEGER NOT NULL CHECK (method BETWEEN 0 AND 2),
	forward_uv REAL,            -- voltage with the current one way, µV
	reverse_uv REAL,            -- and the other way; with its sign
	current_a REAL CHECK (current_a > 0),
	shown_uohm REAL,            -- or the resistance that the meter showed, µΩ
	lead_uohm REAL CHECK (lead_uohm >= 0),   -- of the leads, two-wire only
	rail_uv REAL,               -- voltage over the length of rail compared with, µV
	rail_m REAL CHECK (rail_m > 0),          -- that length
	joint_m REAL CHECK (joint_m >= 0),       -- rail between the clips over the joint
	temp_c REAL CHECK (temp_c BETWEEN -60 AND 120),          -- of the conductor
	instrument_id INTEGER REFERENCES instrument (id),
	PRIMARY KEY (inspection_id, n)
) STRICT, WITHOUT ROWID;

CREATE TABLE failure (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	bond_end INTEGER CHECK (bond_end IN (0, 1)),              -- NULL: the bond as a whole
	found_day INTEGER NOT NULL,
	mode INTEGER NOT NULL CHECK (mode BETWEEN 0 AND 8),       -- enum failure_mode
	cause TEXT,
	line_id INTEGER NOT NULL REFERENCES line (id),            -- where it was found:
	track_id INTEGER REFERENCES track (id),                   -- NULL: not stated
	rail INTEGER CHECK (rail BETWEEN 0 AND 1),                -- NULL: not stated
	distance_mm INTEGER NOT NULL,                             -- from the line's datum
	place_written TEXT,                                       -- the chainage as it was sent
	reference TEXT,                                           -- number in the log it came from
	note TEXT,
	inspection_id INTEGER REFERENCES inspection (id),         -- the visit that found it
	replaces_id INTEGER REFERENCES failure (id),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
CREATE UNIQUE INDEX failure_replaced ON failure (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX failure_of_bond ON failure (bond_id, found_day, id);
CREATE INDEX failure_at_place ON failure (line_id, track_id, rail, distance_mm);
CREATE INDEX failure_by_day ON failure (found_day, id);

-- What made a failure good.
CREATE TABLE repair (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	failure_id INTEGER NOT NULL REFERENCES failure (id),
	day INTEGER NOT NULL,
	how TEXT NOT NULL CHECK (length(how) BETWEEN 1 AND 2000),
	replaces_id INTEGER REFERENCES repair (id),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
CREATE UNIQUE INDEX repair_replaced ON repair (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX repair_of_failure ON repair (failure_id, day, id);
CREATE INDEX repair_by_day ON repair (day, id);

CREATE TABLE deferral (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	content_hash TEXT NOT NULL,
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	decided_day INTEGER NOT NULL,
	until_day INTEGER NOT NULL CHECK (until_day > decided_day),
	person_id INTEGER NOT NULL REFERENCES person (id),
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	replaces_id INTEGER REFERENCES deferral (id),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE UNIQUE INDEX deferral_replaced ON deferral (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX deferral_of_bond ON deferral (bond_id, id);
CREATE INDEX deferral_by_day ON deferral (decided_day, id);

-- The railway's intervals, limits and tolerances. A verdict names the version.
CREATE TABLE rulebook (
	version INTEGER PRIMARY KEY CHECK (version >= 1),
	holds_from_day INTEGER NOT NULL,
	body TEXT NOT NULL,                                       -- JSON
	reason TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

CREATE TABLE round (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),
	title TEXT NOT NULL CHECK (length(title) BETWEEN 1 AND 120),
	day INTEGER NOT NULL,
	person_id INTEGER REFERENCES person (id),                 -- whose crew
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

CREATE TABLE round_bond (
	round_id INTEGER NOT NULL REFERENCES round (id),
	n INTEGER NOT NULL CHECK (n >= 0),                        -- order of the visit
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	PRIMARY KEY (round_id, n),
	UNIQUE (round_id, bond_id)
) STRICT;

CREATE TABLE import (
	id INTEGER PRIMARY KEY,
	kind TEXT NOT NULL,                                       -- lines, maps, bonds ...
	file_name TEXT NOT NULL,
	file_hash TEXT NOT NULL,                                  -- SHA-256 of the bytes
	settings TEXT NOT NULL,                                   -- JSON: encoding, mapping ...
	rows_read INTEGER NOT NULL,
	rows_added INTEGER NOT NULL,
	rows_already INTEGER NOT NULL,                            -- there before: nothing added
	rows_left_out INTEGER NOT NULL,                           -- by the mapping's own condition
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

CREATE TABLE import_mapping (
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
	version INTEGER NOT NULL CHECK (version >= 1),
	kind TEXT NOT NULL,
	settings TEXT NOT NULL,                                   -- JSON
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (name, version)
) STRICT;

CREATE TRIGGER inspection_stays BEFORE DELETE ON inspection
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER inspection_kept BEFORE UPDATE ON inspection
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER reading_stays BEFORE DELETE ON reading
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER reading_kept BEFORE UPDATE ON reading
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER failure_stays BEFORE DELETE ON failure
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER failure_kept BEFORE UPDATE ON failure
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER repair_stays BEFORE DELETE ON repair
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER repair_kept BEFORE UPDATE ON repair
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER deferral_stays BEFORE DELETE ON deferral
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER deferral_kept BEFORE UPDATE ON deferral
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rulebook_stays BEFORE DELETE ON rulebook
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rulebook_kept BEFORE UPDATE ON rulebook
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_stays BEFORE DELETE ON round
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_kept BEFORE UPDATE ON round
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_bond_stays BEFORE DELETE ON round_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER round_bond_kept BEFORE UPDATE ON round_bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_stays BEFORE DELETE ON import
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_kept BEFORE UPDATE ON import
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_mapping_stays BEFORE DELETE ON import_mapping
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_mapping_kept BEFORE UPDATE ON import_mapping
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
