-- Derived: the totals of the due list in fewer columns. A rulebook that moves all due days writes them
-- twice for each bond, and a row costs by its columns.
ALTER TABLE due_count RENAME TO due_counted;
CREATE TABLE due_cell (
	line_id INTEGER NOT NULL,              -- 0: all lines
	due_day INTEGER NOT NULL,              -- of what it counts as
	alike INTEGER NOT NULL,                -- bits, as the view below takes them apart
	deferred_to_day INTEGER NOT NULL,      -- -2147483648: not deferred
	evidence_until_day INTEGER NOT NULL,   -- -2147483648: neither sound nor watched
	bonds INTEGER NOT NULL,
	PRIMARY KEY (line_id, due_day, alike, deferred_to_day, evidence_until_day)
) STRICT, WITHOUT ROWID;
CREATE INDEX due_cell_empty ON due_cell (bonds) WHERE bonds = 0;
INSERT INTO due_cell SELECT line_id, due_day, kind | (criticality << 5) | (surveyed << 8) |
	(counts_as << 9) | (asked << 12) | (grade << 13) | ((due_day - soon_from_day) << 16) |
	((overdue_from_day - due_day) << 32), deferred_to_day, evidence_until_day, bonds
	FROM due_counted WHERE bonds > 0;
DROP TABLE due_counted;
CREATE VIEW due_count AS SELECT line_id, alike & 31 AS kind, alike >> 5 & 7 AS criticality,
	alike >> 8 & 1 AS surveyed,
	alike >> 9 & 7 AS counts_as,           -- bits: 1 what is due first, 2 inspection, 4 mending
	alike >> 12 & 1 AS asked,              -- 1: a reading waits for an answer
	alike >> 13 & 7 AS grade, due_day, due_day - (alike >> 16 & 65535) AS soon_from_day,
	due_day + (alike >> 32) AS overdue_from_day, deferred_to_day, evidence_until_day, bonds
	FROM due_cell;
