-- A version of the rulebook that was found to be wrong: from then on it counts for nothing, on no
-- day, and stays readable.
CREATE TABLE rulebook_withdrawal (
	version INTEGER PRIMARY KEY REFERENCES rulebook (version),
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

-- The grades that a bond had before the one kept now (bond_state), where not an entry but another
-- rulebook or another edition of the rules made the difference. What a person was told once stays
-- readable, as in verdict_former.
CREATE TABLE grade_former (
	id INTEGER PRIMARY KEY,
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	grade INTEGER NOT NULL,                -- enum grade, as it was on the day
	reasons INTEGER NOT NULL,              -- bits of enum grade_reason
	rulebook_version INTEGER,              -- NULL: not known
	edition INTEGER NOT NULL,
	replaced_at_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX grade_former_of_bond ON grade_former (bond_id, id);

CREATE TRIGGER rulebook_withdrawal_stays BEFORE DELETE ON rulebook_withdrawal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rulebook_withdrawal_kept BEFORE UPDATE ON rulebook_withdrawal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER grade_former_stays BEFORE DELETE ON grade_former
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER grade_former_kept BEFORE UPDATE ON grade_former
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- The edition of the rules (rules/edition.h) by which a verdict was said, and by which a bond's
-- state and the states of its readings were made. What there was before is of the first.
ALTER TABLE verdict_former ADD COLUMN edition INTEGER NOT NULL DEFAULT 1;
ALTER TABLE bond_state ADD COLUMN edition INTEGER NOT NULL DEFAULT 1;
-- bond_state.rulebook_version: 0 or below, it is to be made again; below, it was made under that one
