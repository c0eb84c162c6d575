-- Lines, their tracks, and how chainage runs along them.

CREATE TABLE line (
	id INTEGER PRIMARY KEY,
	code TEXT NOT NULL UNIQUE CHECK (length(code) BETWEEN 1 AND 60),
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
	notation INTEGER NOT NULL CHECK (notation BETWEEN 0 AND 6),             -- enum notation
	electrification INTEGER NOT NULL CHECK (electrification BETWEEN 0 AND 2),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER                                                       -- import that brought it
) STRICT;

CREATE TABLE track (
	id INTEGER PRIMARY KEY,
	line_id INTEGER NOT NULL REFERENCES line (id),
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
	left_label TEXT,                          -- the railway's own word for the left rail, or NULL
	right_label TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER,
	UNIQUE (line_id, name)
) STRICT;

-- A map of one track, or (track_id NULL) of all tracks of the line that have none of their own.
-- The one in force is the newest (greatest id) for its line and track.
CREATE TABLE line_map (
	id INTEGER PRIMARY KEY,
	line_id INTEGER NOT NULL REFERENCES line (id),
	track_id INTEGER REFERENCES track (id),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
CREATE INDEX line_map_in_force ON line_map (line_id, track_id, id);

CREATE TABLE map_stretch (
	map_id INTEGER NOT NULL REFERENCES line_map (id),
	n INTEGER NOT NULL CHECK (n >= 0),
	distance_mm INTEGER NOT NULL,             -- where it starts, from the line's datum
	start_mm INTEGER NOT NULL,                -- chainage there
	end_mm INTEGER NOT NULL CHECK (end_mm >= start_mm),   -- chainage at its end, counted on
	is_long INTEGER NOT NULL CHECK (is_long IN (0, 1)),   -- counted past the one post at its start
	PRIMARY KEY (map_id, n)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER line_stays BEFORE DELETE ON line
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER line_kept BEFORE UPDATE ON line
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_stays BEFORE DELETE ON track
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_kept BEFORE UPDATE ON track
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER line_map_stays BEFORE DELETE ON line_map
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER line_map_kept BEFORE UPDATE ON line_map
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER map_stretch_stays BEFORE DELETE ON map_stretch
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER map_stretch_kept BEFORE UPDATE ON map_stretch
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
