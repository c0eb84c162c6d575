-- Spots are of the rail, not of the bond; and the renewal of a rail over a stretch.

-- Whether the spot was inside a clearance when it was recorded (rules/spot.h): that of an attachment
-- made until then, of whatever bond, or of a mark on the rail. NULL: not known.
ALTER TABLE attachment ADD COLUMN spot_taken INTEGER CHECK (spot_taken IN (0, 1));
-- the few that are for the planner to look at
CREATE INDEX attachment_taken ON attachment (made_day, id) WHERE spot_taken = 1;
-- whose ends are on a rail near a place
CREATE INDEX end_on_rail ON end_fact (track_id, rail, distance_mm) WHERE on_what = 0;

-- One act: the rails of a track were renewed over a stretch. What was attached to the old rail has
-- ended, and its spots, welds and holes are gone with it.
CREATE TABLE renewal (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),             -- made by the sender
	content_hash TEXT NOT NULL,                                      -- of what was sent
	line_id INTEGER NOT NULL REFERENCES line (id),
	track_id INTEGER NOT NULL REFERENCES track (id),
	rails INTEGER NOT NULL CHECK (rails BETWEEN 0 AND 2),            -- enum renewed_rails
	from_mm INTEGER NOT NULL,                                        -- from the line's datum
	to_mm INTEGER NOT NULL CHECK (to_mm >= from_mm),                 -- both counted in
	from_written TEXT NOT NULL,                                      -- the chainages as they were sent
	to_written TEXT NOT NULL,
	day INTEGER NOT NULL,
	person_name TEXT,                                                -- who is said to have done it
	reason TEXT NOT NULL,
	note TEXT,
	withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),          -- 1: what it replaces never was
	replaces_id INTEGER REFERENCES renewal (id),                     -- a correction of that one
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE UNIQUE INDEX renewal_replaced ON renewal (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX renewal_of_track ON renewal (track_id, from_mm, to_mm);

-- The ends that a renewal took off the old rail: what was attached there before its day has ended.
-- Rows of a renewal that was replaced count for nothing.
CREATE TABLE attachment_end (
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	bond_end INTEGER NOT NULL CHECK (bond_end IN (0, 1)),
	renewal_id INTEGER NOT NULL REFERENCES renewal (id),
	ended_day INTEGER NOT NULL,
	attachment_id INTEGER REFERENCES attachment (id),                -- NULL: none was on record
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (bond_id, bond_end, renewal_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX attachment_end_of_renewal ON attachment_end (renewal_id);

CREATE TRIGGER renewal_stays BEFORE DELETE ON renewal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER renewal_kept BEFORE UPDATE ON renewal
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER attachment_end_stays BEFORE DELETE ON attachment_end
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER attachment_end_kept BEFORE UPDATE ON attachment_end
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
