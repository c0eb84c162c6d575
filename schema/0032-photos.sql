-- Photos. The pictures themselves are files beside the register, in the folder photos/, each under
-- the SHA-256 of its bytes; a row is here only once both its files lay there, on disk.
CREATE TABLE photo (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	bond_id INTEGER REFERENCES bond (id),                     -- NULL: of a place
	bond_end INTEGER CHECK (bond_end BETWEEN 0 AND 1),        -- NULL: the bond as a whole
	line_id INTEGER REFERENCES line (id),                     -- of a place
	distance_mm INTEGER,
	place_written TEXT,
	entry_noun INTEGER,                                       -- enum sent_noun: what it was taken with
	entry_uuid TEXT CHECK ((entry_uuid IS NULL) = (entry_noun IS NULL)),
	round_id INTEGER REFERENCES round (id),
	taken_day INTEGER NOT NULL,
	done_at_ms INTEGER,                                       -- NULL: not noted
	note TEXT,
	sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
	small_sha256 TEXT NOT NULL CHECK (length(small_sha256) = 64),
	type INTEGER NOT NULL CHECK (type BETWEEN 0 AND 2),       -- enum picture_type
	small_type INTEGER NOT NULL CHECK (small_type BETWEEN 0 AND 2),
	width INTEGER NOT NULL CHECK (width > 0),                 -- pixels
	height INTEGER NOT NULL CHECK (height > 0),
	bytes INTEGER NOT NULL CHECK (bytes > 0),                 -- of the large one
	person_id INTEGER REFERENCES person (id),
	person_name TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	CHECK (bond_id IS NOT NULL OR (line_id IS NOT NULL AND distance_mm IS NOT NULL))
) STRICT;
CREATE INDEX photo_of_bond ON photo (bond_id, taken_day) WHERE bond_id IS NOT NULL;
CREATE INDEX photo_of_line ON photo (line_id, distance_mm) WHERE line_id IS NOT NULL;
CREATE INDEX photo_of_entry ON photo (entry_uuid) WHERE entry_uuid IS NOT NULL;
CREATE INDEX photo_of_round ON photo (round_id) WHERE round_id IS NOT NULL;
-- whether a file is of any photo
CREATE INDEX photo_by_file ON photo (sha256);
CREATE INDEX photo_by_small_file ON photo (small_sha256);
CREATE TRIGGER photo_stays BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER photo_kept BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
