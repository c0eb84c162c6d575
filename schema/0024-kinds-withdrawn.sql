-- What many bonds are judged by is withdrawn too: a calibration, a conductor, a rail profile, an
-- engineer's word on an import; each by its number.

-- One withdrawal may make many bonds better, each of which is listed.
CREATE TABLE correction_better_of_each (
	id INTEGER PRIMARY KEY,
	noun INTEGER NOT NULL,                                    -- enum sent_noun
	row_id INTEGER NOT NULL,                                  -- of the correction
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	grade_before INTEGER NOT NULL,                            -- enum grade
	grade_after INTEGER NOT NULL,
	waits INTEGER NOT NULL CHECK (waits IN (0, 1)),           -- 1: needs confirming
	reason TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	UNIQUE (noun, row_id, bond_id)
) STRICT;
INSERT INTO correction_better_of_each SELECT id, noun, row_id, bond_id, grade_before, grade_after,
	waits, reason, recorded_at_ms, recorded_by FROM correction_better;
DROP TABLE correction_better;
ALTER TABLE correction_better_of_each RENAME TO correction_better;

CREATE TRIGGER correction_better_stays BEFORE DELETE ON correction_better
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER correction_better_kept BEFORE UPDATE ON correction_better
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- Not record: bonds that a withdrawal may have made better, with the grade that they had, until they
-- are judged again.
CREATE TABLE better_watch (
	bond_id INTEGER NOT NULL,
	withdrawal_id INTEGER NOT NULL,
	grade_before INTEGER NOT NULL,
	PRIMARY KEY (bond_id, withdrawal_id)
) STRICT, WITHOUT ROWID;
