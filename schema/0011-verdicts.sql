-- What verdicts that cannot be wrongly good rest on. Columns are added, not tables made anew: what
-- was recorded before has no more to say than it had.

-- of a visit
ALTER TABLE inspection ADD COLUMN cables_whole INTEGER CHECK (cables_whole BETWEEN 0 AND 20);  -- how
	-- many cables were seen whole; NULL: not recorded, so below
ALTER TABLE inspection ADD COLUMN alone INTEGER CHECK (alone IN (0, 1));   -- 1: something was opened,
ALTER TABLE inspection ADD COLUMN opened TEXT;                             -- this, for the readings
ALTER TABLE inspection ADD COLUMN strength_a INTEGER CHECK (strength_a IN (0, 1));  -- test passed
ALTER TABLE inspection ADD COLUMN strength_b INTEGER CHECK (strength_b IN (0, 1));
ALTER TABLE inspection ADD COLUMN why_not_seen TEXT;                       -- an end
ALTER TABLE inspection ADD COLUMN failed INTEGER CHECK (failed IN (0, 1)); -- asked at a defect word
ALTER TABLE inspection ADD COLUMN surroundings INTEGER CHECK (surroundings BETWEEN 0 AND 1);
ALTER TABLE inspection ADD COLUMN reason TEXT;                             -- of a correction
-- of a reading
ALTER TABLE reading ADD COLUMN probed INTEGER CHECK (probed BETWEEN 0 AND 1);         -- enum probed
ALTER TABLE reading ADD COLUMN temp_carried INTEGER CHECK (temp_carried IN (0, 1));
ALTER TABLE reading ADD COLUMN round_temp_c REAL;    -- median of the round as it stood on arrival
-- when it was done, where that was noted: what was attached when something was read goes by this;
-- without it by the day
ALTER TABLE inspection ADD COLUMN done_at_ms INTEGER;
ALTER TABLE failure ADD COLUMN done_at_ms INTEGER;
ALTER TABLE repair ADD COLUMN done_at_ms INTEGER;
ALTER TABLE attachment ADD COLUMN done_at_ms INTEGER;
-- of other corrections
ALTER TABLE failure ADD COLUMN reason TEXT;
ALTER TABLE repair ADD COLUMN reason TEXT;
ALTER TABLE attachment ADD COLUMN reason TEXT;
-- the reasons to act that a deferral names: bits of enum act_key; NULL: of before they were named
ALTER TABLE deferral ADD COLUMN named INTEGER;

-- An engineer's word on record.
CREATE TABLE ruling (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),      -- made by the sender
	content_hash TEXT NOT NULL,                               -- of what was sent
	kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 3),       -- enum ruling_kind
	bond_id INTEGER REFERENCES bond (id),
	quantity INTEGER CHECK (quantity BETWEEN 0 AND 3),        -- that is cleared
	noun INTEGER,                                             -- enum sent_noun, and number, of the
	row_id INTEGER,                                           -- entry that is accepted or confirmed
	import_id INTEGER REFERENCES import (id),                 -- whose meter is stated:
	percent REAL CHECK (percent >= 0),                        -- of the reading, k = 2
	uohm REAL CHECK (uohm >= 0),                              -- added to it, k = 2
	decided_day INTEGER NOT NULL,
	person_id INTEGER NOT NULL REFERENCES person (id),
	reason TEXT NOT NULL CHECK (length(reason) BETWEEN 1 AND 2000),
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX ruling_of_bond ON ruling (bond_id, kind, id) WHERE bond_id IS NOT NULL;
CREATE INDEX ruling_of_import ON ruling (import_id, id) WHERE import_id IS NOT NULL;
CREATE INDEX ruling_by_day ON ruling (decided_day, id);

-- A correction that made the grade of a bond better. Where another than the author of the entry made
-- it, it counts once an engineer has confirmed it.
CREATE TABLE correction_better (
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
	UNIQUE (noun, row_id)
) STRICT;
-- Not record: those that wait still, so that they are left out at one look.
CREATE TABLE correction_open (
	noun INTEGER NOT NULL,
	row_id INTEGER NOT NULL,
	bond_id INTEGER NOT NULL,
	PRIMARY KEY (noun, row_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX correction_open_bond ON correction_open (noun, bond_id);

CREATE TRIGGER ruling_stays BEFORE DELETE ON ruling
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER ruling_kept BEFORE UPDATE ON ruling
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER correction_better_stays BEFORE DELETE ON correction_better
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER correction_better_kept BEFORE UPDATE ON correction_better
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- A bond's visits are judged from this index alone.
DROP INDEX inspection_of_bond;
CREATE INDEX inspection_of_bond ON inspection (bond_id, day, id, purpose, outcome, seen_a, seen_b,
	recorded_at_ms, cables_whole, alone, strength_a, strength_b, import_id, done_at_ms);

-- Derived.
-- what else is said of a reading, in one number (judging reads all of a register, and each column of
-- a row costs it as much as the verdict): bits 0 to 15 enum asked, 16 to 18 enum judge_status, 19
-- another path is shown, 20 to 22 enum verdict under the rulebook of its day, from 24 on its version
ALTER TABLE reading_state ADD COLUMN said INTEGER NOT NULL DEFAULT 0;
CREATE INDEX reading_state_open ON reading_state (inspection_id, n) WHERE said >> 16 & 7 = 2;

ALTER TABLE bond_state ADD COLUMN asked INTEGER NOT NULL DEFAULT 0;        -- readings that wait
ALTER TABLE bond_state ADD COLUMN inspect_day INTEGER;                     -- next inspection due
ALTER TABLE bond_state ADD COLUMN mend_day INTEGER;                        -- mending due
ALTER TABLE bond_state ADD COLUMN notice_days INTEGER NOT NULL DEFAULT 0;  -- before either
ALTER TABLE bond_state ADD COLUMN own_months INTEGER NOT NULL DEFAULT 12;  -- the bond's interval
ALTER TABLE bond_state ADD COLUMN commissioning_day INTEGER;               -- as in struct due_facts;
ALTER TABLE bond_state ADD COLUMN lacks_since_day INTEGER;                 -- so below
ALTER TABLE bond_state ADD COLUMN wants_reading INTEGER NOT NULL DEFAULT 1;
ALTER TABLE bond_state ADD COLUMN ever_proved INTEGER NOT NULL DEFAULT 0;
ALTER TABLE bond_state ADD COLUMN is_watched INTEGER NOT NULL DEFAULT 0;
ALTER TABLE bond_state ADD COLUMN judged_again INTEGER NOT NULL DEFAULT 1;  -- 1: its day does not
	-- follow from these alone
CREATE INDEX bond_state_asked ON bond_state (due_day, bond_id) WHERE asked > 0;
-- what is to be mended, by its own day
CREATE INDEX bond_state_mend ON bond_state (mend_day, bond_id) WHERE mend_day IS NOT NULL;
-- what is over its limit crosses none (bits REASON_OVER, REASON_OPEN_CIRCUIT)
DROP INDEX bond_state_early;
CREATE INDEX bond_state_early ON bond_state (
	CASE WHEN reasons & 6 THEN 2147483647 ELSE coalesce(early_day, 2147483647) END, bond_id);
-- the due list of all lines, with all that its worst are picked by
DROP INDEX bond_state_due;
CREATE INDEX bond_state_due ON bond_state (due_day, bond_id, soon_from_day, overdue_from_day,
	deferred_to_day, inspect_day, mend_day, notice_days, act_since_day, own_months, criticality,
	grade, evidence_until_day, reasons, limit_ppm, kind, surveyed);

-- The totals of the due list, inspections and mendings apart. A bond of which both are due has two
-- rows: one for what is due first, one for the other.
DROP TABLE due_count;
CREATE TABLE due_count (
	line_id INTEGER NOT NULL,
	kind INTEGER NOT NULL,
	criticality INTEGER NOT NULL,
	surveyed INTEGER NOT NULL,
	counts_as INTEGER NOT NULL,            -- bits: 1 what is due first, 2 inspection, 4 mending
	asked INTEGER NOT NULL,                -- 1: a reading waits for an answer
	due_day INTEGER NOT NULL,              -- of what it counts as; so are the next three
	soon_from_day INTEGER NOT NULL,
	overdue_from_day INTEGER NOT NULL,
	deferred_to_day INTEGER NOT NULL,      -- -2147483648: not deferred
	grade INTEGER NOT NULL,
	evidence_until_day INTEGER NOT NULL,   -- -2147483648: neither sound nor watched
	bonds INTEGER NOT NULL,
	PRIMARY KEY (line_id, kind, criticality, surveyed, counts_as, asked, due_day, soon_from_day,
		overdue_from_day, deferred_to_day, grade, evidence_until_day)
) STRICT, WITHOUT ROWID;
CREATE INDEX due_count_empty ON due_count (bonds) WHERE bonds = 0;
-- until the rules have told what is due, all is an inspection
INSERT INTO due_count SELECT l.id, s.kind, s.criticality, s.surveyed, 3, 0, s.due_day,
	s.soon_from_day, s.overdue_from_day, coalesce(s.deferred_to_day, -2147483648), s.grade,
	CASE WHEN s.grade IN (2, 3) THEN coalesce(s.evidence_until_day, -2147483648)
	ELSE -2147483648 END, count(*) FROM bond_state s
	JOIN (SELECT id FROM line UNION ALL SELECT 0) l ON l.id IN (0, s.line_id)
	WHERE s.due_day IS NOT NULL GROUP BY 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12;
UPDATE bond_state SET inspect_day = due_day, notice_days = coalesce(due_day - soon_from_day, 0);
