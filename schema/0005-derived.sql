-- What the rules make of the record. Every row here can be dropped and computed again
-- ("bondbook rebuild"); "bondbook check" proves that what stands here equals what they give.

-- One row a bond: what lists show and sort by.
CREATE TABLE bond_state (
	bond_id INTEGER PRIMARY KEY REFERENCES bond (id),
	version INTEGER NOT NULL,              -- of bond_fact
	line_id INTEGER NOT NULL,
	label TEXT NOT NULL,
	kind INTEGER NOT NULL,
	criticality INTEGER NOT NULL,
	status INTEGER NOT NULL,
	surveyed INTEGER NOT NULL,
	track_id INTEGER,                      -- of end A; so are the next three
	rail INTEGER,
	distance_mm INTEGER NOT NULL,
	chainage TEXT NOT NULL,                -- in the line's notation
	last_inspection_day INTEGER,           -- the newest complete one
	due_day INTEGER,                       -- NULL: never due (out of service)
	soon_from_day INTEGER,
	overdue_from_day INTEGER,
	due_basis INTEGER NOT NULL,            -- enum due_basis
	deferred_to_day INTEGER,               -- of a deferral that no later inspection has ended
	deferral_id INTEGER,
	failures_open INTEGER NOT NULL,        -- not made good
	rulebook_version INTEGER NOT NULL
) STRICT;
-- no two bonds of a line have the same label
CREATE UNIQUE INDEX bond_state_label ON bond_state (line_id, label);
-- the due list of all lines (with the days that make its state), and of one
CREATE INDEX bond_state_due ON bond_state (due_day, bond_id, soon_from_day, overdue_from_day,
	deferred_to_day);
CREATE INDEX bond_state_line_due ON bond_state (line_id, due_day, bond_id);
-- along the line: the list, the nearest bond to a place
CREATE INDEX bond_state_place ON bond_state (line_id, distance_mm, bond_id);
-- search by the beginning of a label
CREATE INDEX bond_state_search ON bond_state (label, bond_id);
-- the few that are put off, by day
CREATE INDEX bond_state_deferred ON bond_state (due_day, bond_id) WHERE deferred_to_day IS NOT NULL;

-- How many bonds in service share a line, a kind, a criticality, whether they were surveyed, and
-- their days: the due list's totals are added up from here, so that they need not count a million
-- rows. Line 0 is all lines.
CREATE TABLE due_count (
	line_id INTEGER NOT NULL,
	kind INTEGER NOT NULL,
	criticality INTEGER NOT NULL,
	surveyed INTEGER NOT NULL,
	due_day INTEGER NOT NULL,
	soon_from_day INTEGER NOT NULL,
	overdue_from_day INTEGER NOT NULL,
	deferred_to_day INTEGER NOT NULL,      -- -2147483648: not deferred
	bonds INTEGER NOT NULL,
	PRIMARY KEY (line_id, kind, criticality, surveyed, due_day, soon_from_day, overdue_from_day,
		deferred_to_day)
) STRICT, WITHOUT ROWID;
-- those that no bond is left in, to be deleted
CREATE INDEX due_count_empty ON due_count (bonds) WHERE bonds = 0;

CREATE TABLE reading_state (
	inspection_id INTEGER NOT NULL,
	n INTEGER NOT NULL,
	r_uohm REAL,                           -- NULL: no resistance follows from what was measured
	r20_uohm REAL,                         -- at 20 °C
	thermal_uv REAL,
	equivalent_m REAL,                     -- metres of rail, voltage-drop ratio only
	remark INTEGER NOT NULL,               -- enum reading_remark
	PRIMARY KEY (inspection_id, n)
) STRICT, WITHOUT ROWID;

CREATE TABLE repeat_place (
	id INTEGER PRIMARY KEY,                -- the failure that was found first there
	line_id INTEGER NOT NULL,
	track_id INTEGER,
	rail INTEGER,
	from_mm INTEGER NOT NULL,
	to_mm INTEGER NOT NULL,
	chainage_from TEXT NOT NULL,
	chainage_to TEXT NOT NULL,
	failures INTEGER NOT NULL,
	first_day INTEGER NOT NULL,
	last_day INTEGER NOT NULL,
	rulebook_version INTEGER NOT NULL
) STRICT;
CREATE INDEX repeat_place_line ON repeat_place (line_id, track_id, rail);
CREATE INDEX repeat_place_worst ON repeat_place (failures, id);

CREATE TABLE failure_state (
	failure_id INTEGER PRIMARY KEY REFERENCES failure (id),
	chainage TEXT NOT NULL,
	place_id INTEGER                       -- repeat_place that counts it
) STRICT;
CREATE INDEX failure_state_place ON failure_state (place_id, failure_id);

-- Marks of the whole: rulebook_version that the derived rows were made under.
CREATE TABLE derived_mark (
	name TEXT PRIMARY KEY,
	value INTEGER NOT NULL
) STRICT;
