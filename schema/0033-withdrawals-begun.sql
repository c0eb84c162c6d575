-- An import of many entries is withdrawn in pieces. This is on record first; then each of its entries is
-- made ready (correction_open with the import's number), which changes nothing while the import counts; by
-- one row more (withdrawal, under the same uuid) all of them count for nothing.
CREATE TABLE withdrawal_begun (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	import_id INTEGER NOT NULL UNIQUE REFERENCES import (id),
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE TRIGGER withdrawal_begun_stays BEFORE DELETE ON withdrawal_begun
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER withdrawal_begun_kept BEFORE UPDATE ON withdrawal_begun
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- Of an import's entries those that wait for an engineer, when it is withdrawn.
CREATE INDEX correction_waits ON correction_open (noun, row_id) WHERE withdrawn = 0;

-- What is only made ready is not withdrawn yet, and stands.
DROP TRIGGER inspection_replaced_once;
DROP TRIGGER failure_replaced_once;
DROP TRIGGER repair_replaced_once;
DROP TRIGGER attachment_replaced_once;
DROP TRIGGER deferral_replaced_once;
CREATE VIEW withdrawn_entry AS SELECT o.noun, o.row_id FROM correction_open o WHERE o.withdrawn = 1
	AND (o.import_id NOT IN (SELECT id FROM import) OR EXISTS (SELECT 1 FROM withdrawal w
	WHERE w.noun = 8 AND w.row_id = o.import_id));
CREATE TRIGGER inspection_replaced_once BEFORE INSERT ON inspection WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM inspection c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM withdrawn_entry o WHERE o.noun = 0 AND o.row_id = c.id))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER failure_replaced_once BEFORE INSERT ON failure WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM failure c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM withdrawn_entry o WHERE o.noun = 1 AND o.row_id = c.id))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER repair_replaced_once BEFORE INSERT ON repair WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM repair c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM withdrawn_entry o WHERE o.noun = 2 AND o.row_id = c.id))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER attachment_replaced_once BEFORE INSERT ON attachment WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM attachment c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM withdrawn_entry o WHERE o.noun = 4 AND o.row_id = c.id))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER deferral_replaced_once BEFORE INSERT ON deferral WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM deferral c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM withdrawn_entry o WHERE o.noun = 3 AND o.row_id = c.id))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
