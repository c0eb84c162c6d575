-- A correction of an attachment or a deferral that was withdrawn replaces nothing, so what it replaced may
-- be corrected again, as an inspection may: one alone stands for an entry, but several may have been.
DROP INDEX attachment_replaced;
CREATE INDEX attachment_replaced ON attachment (replaces_id) WHERE replaces_id IS NOT NULL;
DROP INDEX deferral_replaced;
CREATE INDEX deferral_replaced ON deferral (replaces_id) WHERE replaces_id IS NOT NULL;

CREATE TRIGGER attachment_replaced_once BEFORE INSERT ON attachment WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM attachment c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM correction_open o WHERE o.noun = 4 AND o.row_id = c.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;
CREATE TRIGGER deferral_replaced_once BEFORE INSERT ON deferral WHEN NEW.replaces_id IS NOT NULL
	AND EXISTS (SELECT 1 FROM deferral c WHERE c.replaces_id = NEW.replaces_id AND NOT EXISTS
	(SELECT 1 FROM correction_open o WHERE o.noun = 3 AND o.row_id = c.id AND o.withdrawn = 1))
BEGIN SELECT RAISE(ABORT, 'a correction of it stands'); END;

-- How many bonds a file of failures makes, as it was tried: should it be more when it is taken, a bond that
-- was there is not any more. NULL: begun before that was asked.
ALTER TABLE import_begun ADD COLUMN bonds_made INTEGER;
