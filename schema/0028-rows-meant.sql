-- What a row of a file of inspections meant may be stated of an import that lies there (ruling.kind 4),
-- as its meters may. The table is made anew with the same rows and numbers: a constraint cannot be taken
-- off one. (Foreign keys are not looked at while the schema is changed, store/migrate.c.)
CREATE TABLE ruling_of_any (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 4),       -- enum ruling_kind
	bond_id INTEGER REFERENCES bond (id),
	quantity INTEGER CHECK (quantity BETWEEN 0 AND 3),        -- that is cleared
	noun INTEGER,                                             -- enum sent_noun, and number, of the
	row_id INTEGER,                                           -- entry that is accepted or confirmed
	import_id INTEGER REFERENCES import (id),                 -- whose meter, or rows, are stated:
	percent REAL CHECK (percent >= 0),                        -- of the reading, k = 2
	uohm REAL CHECK (uohm >= 0),                              -- added to it, k = 2
	decided_day INTEGER NOT NULL,
	person_id INTEGER NOT NULL REFERENCES person (id),
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	row_meant INTEGER CHECK (row_meant BETWEEN 0 AND 2)       -- enum row_meant
) STRICT;
INSERT INTO ruling_of_any SELECT id, uuid, content_hash, kind, bond_id, quantity, noun, row_id,
	import_id, percent, uohm, decided_day, person_id, reason, recorded_at_ms, recorded_by, NULL
	FROM ruling;
DROP TABLE ruling;
ALTER TABLE ruling_of_any RENAME TO ruling;
CREATE INDEX ruling_of_bond ON ruling (bond_id, kind, id) WHERE bond_id IS NOT NULL;
CREATE INDEX ruling_of_import ON ruling (import_id, id) WHERE import_id IS NOT NULL;
CREATE INDEX ruling_by_day ON ruling (decided_day, id);
CREATE TRIGGER ruling_stays BEFORE DELETE ON ruling
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER ruling_kept BEFORE UPDATE ON ruling
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
