-- An entry is taken back by an entry: it stays readable and counts for nothing.
CREATE TABLE withdrawal (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	noun INTEGER NOT NULL,                                    -- enum sent_noun, and number, of the
	row_id INTEGER NOT NULL,                                  -- entry that is taken back
	bond_id INTEGER REFERENCES bond (id),                     -- whose that is
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	UNIQUE (noun, row_id)
) STRICT;
CREATE INDEX withdrawal_of_bond ON withdrawal (bond_id, id);
CREATE INDEX withdrawal_newest ON withdrawal (recorded_at_ms, id);

CREATE TRIGGER withdrawal_stays BEFORE DELETE ON withdrawal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER withdrawal_kept BEFORE UPDATE ON withdrawal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- What is withdrawn is left out by the same look as a correction that waits.
ALTER TABLE correction_open ADD COLUMN withdrawn INTEGER NOT NULL DEFAULT 0
	CHECK (withdrawn IN (0, 1));
