-- What decides what a bond's resistance may be, beside the bond itself; and what the rules make of
-- each reading and each bond.

-- The railway's own conductors. They come before the published table, and for one material, class
-- and cross-section the newest (greatest id) is in force.
CREATE TABLE conductor (
	id INTEGER PRIMARY KEY,
	material INTEGER NOT NULL CHECK (material BETWEEN 0 AND 1),              -- enum material
	conductor_class INTEGER NOT NULL CHECK (conductor_class IN (1, 2, 5, 6)), -- IEC 60228
	area_mm2 REAL NOT NULL CHECK (area_mm2 > 0),                             -- of one cable
	uohm_per_m REAL NOT NULL CHECK (uohm_per_m > 0),                         -- at most, at 20 °C
	source TEXT NOT NULL CHECK (length(source) BETWEEN 1 AND 200),
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX conductor_in_force ON conductor (material, conductor_class, area_mm2, id);

-- The railway's own rail profiles, likewise: the newest of a code is in force.
CREATE TABLE rail_profile (
	id INTEGER PRIMARY KEY,
	code TEXT NOT NULL CHECK (length(code) BETWEEN 1 AND 30),
	mass_kg_m REAL CHECK (mass_kg_m > 0),
	area_cm2 REAL CHECK (area_cm2 > 0),
	uohm_per_m REAL NOT NULL CHECK (uohm_per_m > 0),          -- of one rail
	source TEXT NOT NULL CHECK (length(source) BETWEEN 1 AND 200),
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX rail_profile_in_force ON rail_profile (code, id);

-- What is said of a track now is the row with the highest version.
CREATE TABLE track_fact (
	track_id INTEGER NOT NULL REFERENCES track (id),
	version INTEGER NOT NULL CHECK (version >= 1),
	rail_profile TEXT,                                        -- its code; NULL: not known
	rail_between_joints_m REAL CHECK (rail_between_joints_m > 0),   -- NULL: welded, or not known
	reason TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (track_id, version)
) STRICT, WITHOUT ROWID;

-- What stands on the rail near an end, and is kept away from. Of one end, kind and offset the
-- newest row says whether it is there.
CREATE TABLE rail_mark (
	id INTEGER PRIMARY KEY,
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	bond_end INTEGER NOT NULL CHECK (bond_end IN (0, 1)),
	kind INTEGER NOT NULL CHECK (kind BETWEEN 2 AND 4),       -- enum mark_kind: rail end, weld, hole
	offset_mm INTEGER NOT NULL,                               -- from the end's reference mark
	there INTEGER NOT NULL CHECK (there IN (0, 1)),           -- 0: the earlier entry was wrong
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX rail_mark_of_end ON rail_mark (bond_id, bond_end, kind, offset_mm, id);

-- The verdicts that a reading had before the one kept now (reading_state), each with the rulebook
-- that it was made under. What a person was told once stays readable.
CREATE TABLE verdict_former (
	id INTEGER PRIMARY KEY,
	inspection_id INTEGER NOT NULL REFERENCES inspection (id),
	n INTEGER NOT NULL,
	rulebook_version INTEGER NOT NULL,
	verdict INTEGER NOT NULL,                                 -- enum verdict
	limit_kind INTEGER,                                       -- enum limit_kind
	limit_value REAL,                                         -- as in reading_state; so below
	value REAL,
	u95 REAL,
	replaced_at_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX verdict_former_of_reading ON verdict_former (inspection_id, n, id);

CREATE TRIGGER conductor_stays BEFORE DELETE ON conductor
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER conductor_kept BEFORE UPDATE ON conductor
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rail_profile_stays BEFORE DELETE ON rail_profile
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rail_profile_kept BEFORE UPDATE ON rail_profile
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_fact_stays BEFORE DELETE ON track_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER track_fact_kept BEFORE UPDATE ON track_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rail_mark_stays BEFORE DELETE ON rail_mark
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER rail_mark_kept BEFORE UPDATE ON rail_mark
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER verdict_former_stays BEFORE DELETE ON verdict_former
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER verdict_former_kept BEFORE UPDATE ON verdict_former
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- A bond's visits are judged from this index alone: the rows themselves are long and far apart.
DROP INDEX inspection_of_bond;
CREATE INDEX inspection_of_bond ON inspection (bond_id, day, id, purpose, outcome, seen_a, seen_b,
	recorded_at_ms);

-- Derived. The columns are added, not the tables made anew, so that no list is empty while the
-- rules are followed again.
-- What is given below of a reading is in µΩ at 20 °C, of a rail drop in metres of added rail.
ALTER TABLE reading_state ADD COLUMN u95 REAL;                    -- NULL: no evidence
ALTER TABLE reading_state ADD COLUMN limit_value REAL;            -- the lowest; NULL: none formed
ALTER TABLE reading_state ADD COLUMN limit_kind INTEGER;          -- enum limit_kind, which that is
ALTER TABLE reading_state ADD COLUMN verdict INTEGER NOT NULL DEFAULT 0;   -- enum verdict
ALTER TABLE reading_state ADD COLUMN p_within REAL;               -- probability, 0 to 1
ALTER TABLE reading_state ADD COLUMN meter INTEGER NOT NULL DEFAULT 1;     -- enum meter_standing
-- of the rulebook under which all this first came out as it stands here; 0: never judged
ALTER TABLE reading_state ADD COLUMN rulebook_version INTEGER NOT NULL DEFAULT 0;
-- the few to look at, of all lines
CREATE INDEX reading_state_over ON reading_state (inspection_id, n) WHERE verdict = 3;
CREATE INDEX reading_state_unproven ON reading_state (inspection_id, n) WHERE verdict = 2;

ALTER TABLE bond_state ADD COLUMN grade INTEGER NOT NULL DEFAULT 1;        -- enum grade
ALTER TABLE bond_state ADD COLUMN reasons INTEGER NOT NULL DEFAULT 0;      -- bits of grade_reason
ALTER TABLE bond_state ADD COLUMN evidence_until_day INTEGER;     -- what is sound then is unknown
ALTER TABLE bond_state ADD COLUMN act_since_day INTEGER;          -- of what is graded act
ALTER TABLE bond_state ADD COLUMN worst_quantity INTEGER;         -- of the last readings
ALTER TABLE bond_state ADD COLUMN worst_verdict INTEGER;          -- of that
ALTER TABLE bond_state ADD COLUMN limit_ppm INTEGER;              -- its value over its limit, 10^-6
ALTER TABLE bond_state ADD COLUMN crosses_day INTEGER;            -- earliest of the quantities
ALTER TABLE bond_state ADD COLUMN early_day INTEGER;
-- the due list of what is watched or must be acted on; nearest to the limit; crossing first
CREATE INDEX bond_state_act ON bond_state (due_day, bond_id) WHERE grade = 4;
CREATE INDEX bond_state_watch ON bond_state (due_day, bond_id) WHERE grade = 3;
CREATE INDEX bond_state_share ON bond_state (coalesce(limit_ppm, -1), bond_id);
CREATE INDEX bond_state_early ON bond_state (coalesce(early_day, 2147483647), bond_id);

-- The totals of the due list, by grade too. evidence_until_day counts only for what is sound.
DROP TABLE due_count;
CREATE TABLE due_count (
	line_id INTEGER NOT NULL,
	kind INTEGER NOT NULL,
	criticality INTEGER NOT NULL,
	surveyed INTEGER NOT NULL,
	due_day INTEGER NOT NULL,
	soon_from_day INTEGER NOT NULL,
	overdue_from_day INTEGER NOT NULL,
	deferred_to_day INTEGER NOT NULL,      -- -2147483648: not deferred
	grade INTEGER NOT NULL,
	evidence_until_day INTEGER NOT NULL,   -- -2147483648: not sound
	bonds INTEGER NOT NULL,
	PRIMARY KEY (line_id, kind, criticality, surveyed, due_day, soon_from_day, overdue_from_day,
		deferred_to_day, grade, evidence_until_day)
) STRICT, WITHOUT ROWID;
CREATE INDEX due_count_empty ON due_count (bonds) WHERE bonds = 0;
INSERT INTO due_count SELECT line_id, kind, criticality, surveyed, due_day, soon_from_day,
	overdue_from_day, coalesce(deferred_to_day, -2147483648), grade, -2147483648, count(*)
	FROM bond_state WHERE due_day IS NOT NULL GROUP BY 1, 2, 3, 4, 5, 6, 7, 8, 9;
INSERT INTO due_count SELECT 0, kind, criticality, surveyed, due_day, soon_from_day,
	overdue_from_day, coalesce(deferred_to_day, -2147483648), grade, -2147483648, count(*)
	FROM bond_state WHERE due_day IS NOT NULL GROUP BY 2, 3, 4, 5, 6, 7, 8, 9;

-- All that was derived before is to be made again: rulebook 0 in a row says so, and -1 in the mark.
UPDATE bond_state SET rulebook_version = 0;
INSERT INTO derived_mark (name, value) SELECT 'rulebook', -1 WHERE EXISTS (SELECT 1 FROM bond_state)
	ON CONFLICT (name) DO UPDATE SET value = -1;
