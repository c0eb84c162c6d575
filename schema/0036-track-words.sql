-- What is said of a track later than its own row: the railway's own words for its rails. The newest version
-- holds.
CREATE TABLE track_word (
	track_id INTEGER NOT NULL REFERENCES track (id),
	version INTEGER NOT NULL CHECK (version >= 2),            -- 1 is the track's own row
	left_label TEXT,                                          -- NULL: none
	right_label TEXT,
	reason TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER,                                        -- import that brought it
	PRIMARY KEY (track_id, version)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER track_word_stays BEFORE DELETE ON track_word
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_word_kept BEFORE UPDATE ON track_word
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
