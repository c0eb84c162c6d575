-- Bonds, lines, tracks and chainage maps are withdrawn too, while nothing stands on them. What was
-- withdrawn keeps its row; its code or name may be given again, so that these are one of a kind only
-- among those that stand (noun 14: a line, 15: a track, enum sent_noun). The tables are made anew with
-- the same rows and numbers: a constraint cannot be taken off one. (Foreign keys are not looked at
-- while the schema is changed, store/migrate.c.)

CREATE TABLE line_of_any (
	id INTEGER PRIMARY KEY,
	code TEXT NOT NULL CHECK (length(code) BETWEEN 1 AND 60),
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
	notation INTEGER NOT NULL CHECK (notation BETWEEN 0 AND 6),             -- enum notation
	electrification INTEGER NOT NULL CHECK (electrification BETWEEN 0 AND 2),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER                                                       -- import that brought it
) STRICT;
INSERT INTO line_of_any SELECT id, code, name, notation, electrification, recorded_at_ms,
	recorded_by, import_id FROM line;
DROP TABLE line;
ALTER TABLE line_of_any RENAME TO line;
CREATE INDEX line_code ON line (code);
CREATE INDEX line_code_small ON line (lower(code));
CREATE INDEX line_of_import ON line (import_id) WHERE import_id IS NOT NULL;

CREATE TABLE track_of_any (
	id INTEGER PRIMARY KEY,
	line_id INTEGER NOT NULL REFERENCES line (id),
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
	left_label TEXT,                          -- the railway's own word for the left rail, or NULL
	right_label TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
INSERT INTO track_of_any SELECT id, line_id, name, left_label, right_label, recorded_at_ms,
	recorded_by, import_id FROM track;
DROP TABLE track;
ALTER TABLE track_of_any RENAME TO track;
CREATE INDEX track_name ON track (line_id, name);
CREATE INDEX track_of_import ON track (import_id) WHERE import_id IS NOT NULL;

CREATE TRIGGER line_code_taken BEFORE INSERT ON line WHEN EXISTS (SELECT 1 FROM line l
	WHERE l.code = NEW.code AND NOT EXISTS (SELECT 1 FROM correction_open o
	WHERE o.noun = 14 AND o.row_id = l.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a line of that code stands'); END;
CREATE TRIGGER track_name_taken BEFORE INSERT ON track WHEN EXISTS (SELECT 1 FROM track t
	WHERE t.line_id = NEW.line_id AND t.name = NEW.name AND NOT EXISTS (SELECT 1
	FROM correction_open o WHERE o.noun = 15 AND o.row_id = t.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a track of that name stands'); END;
CREATE TRIGGER line_stays BEFORE DELETE ON line
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER line_kept BEFORE UPDATE ON line
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_stays BEFORE DELETE ON track
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_kept BEFORE UPDATE ON track
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- What an import brought, for who withdraws it as a whole.
CREATE INDEX bond_of_import ON bond (import_id) WHERE import_id IS NOT NULL;
CREATE INDEX line_map_of_import ON line_map (import_id) WHERE import_id IS NOT NULL;
