-- An import that is taken beside the crews, in pieces. What its file brings counts for nothing until its
-- own row (import) is there, which is its last piece.
CREATE TABLE import_begun (
	import_id INTEGER PRIMARY KEY,                            -- what import.id will be
	kind TEXT NOT NULL,
	file_name TEXT NOT NULL,
	file_hash TEXT NOT NULL,                                  -- SHA-256 of the bytes
	kept_as TEXT NOT NULL,                                    -- the file's name beside the register
	settings TEXT NOT NULL,                                   -- JSON
	rows_read INTEGER NOT NULL,                               -- when it was tried
	stated_by INTEGER REFERENCES person (id),                 -- whose word the settings have
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

-- One that was begun and never will count.
CREATE TABLE import_ended (
	import_id INTEGER PRIMARY KEY REFERENCES import_begun (import_id),
	reason TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL
) STRICT;

CREATE TRIGGER import_begun_stays BEFORE DELETE ON import_begun
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_begun_kept BEFORE UPDATE ON import_begun
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_ended_stays BEFORE DELETE ON import_ended
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER import_ended_kept BEFORE UPDATE ON import_ended
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- What an import under way brought is left out by the same look as what was withdrawn, until the import's
-- own row is there. 0: whatever else leaves it out.
ALTER TABLE correction_open ADD COLUMN import_id INTEGER NOT NULL DEFAULT 0;

-- Whose bonds an import brought something of: they are made again when it counts.
DROP INDEX inspection_of_import;
CREATE INDEX inspection_of_import ON inspection (import_id, bond_id) WHERE import_id IS NOT NULL;
DROP INDEX failure_of_import;
CREATE INDEX failure_of_import ON failure (import_id, bond_id) WHERE import_id IS NOT NULL;
