-- A correction that was withdrawn counts for nothing, so what it replaced may be corrected again: one
-- alone stands for an entry, but several may have been.
DROP INDEX inspection_replaced;
CREATE INDEX inspection_replaced ON inspection (replaces_id) WHERE replaces_id IS NOT NULL;
DROP INDEX failure_replaced;
CREATE INDEX failure_replaced ON failure (replaces_id) WHERE replaces_id IS NOT NULL;
DROP INDEX repair_replaced;
CREATE INDEX repair_replaced ON repair (replaces_id) WHERE replaces_id IS NOT NULL;

CREATE TRIGGER inspection_replaced_once BEFORE INSERT ON inspection WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM inspection c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM correction_open o WHERE o.noun = 0 AND o.row_id = c.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER failure_replaced_once BEFORE INSERT ON failure WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM failure c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM correction_open o WHERE o.noun = 1 AND o.row_id = c.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER repair_replaced_once BEFORE INSERT ON repair WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM repair c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM correction_open o WHERE o.noun = 2 AND o.row_id = c.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;

-- What is said of a line later than its own row: the newest version holds. How its places are written
-- is no part of that: they were read by it.
CREATE TABLE line_fact (
	line_id INTEGER NOT NULL REFERENCES line (id),
	version INTEGER NOT NULL CHECK (version >= 2),            -- 1 is the line's own row
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
	electrification INTEGER NOT NULL CHECK (electrification BETWEEN 0 AND 2),
	reason TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER,                                        -- import that brought it
	PRIMARY KEY (line_id, version)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER line_fact_stays BEFORE DELETE ON line_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER line_fact_kept BEFORE UPDATE ON line_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
