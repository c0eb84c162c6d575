-- What reports and lists count of each bond, kept beside its state.

-- How many rows each thing that looks wrong gives (rules/odd.h, odd_pack): ten bits each, by enum
-- odd. Below 0: not counted yet, or more than fits; any may be there.
ALTER TABLE bond_state ADD COLUMN odd INTEGER NOT NULL DEFAULT -1;
-- the few of a line that have any, along it
CREATE INDEX bond_state_odd ON bond_state (line_id, distance_mm, bond_id, odd) WHERE odd <> 0;

-- Its complete inspections by day and order of arrival, and whether each was on time: four bytes
-- each, the day times four and enum timely (store/visit_count.h). Nothing while odd is not counted.
ALTER TABLE bond_state ADD COLUMN visits BLOB NOT NULL DEFAULT x'';
-- Added up over the bonds that stand on a line now.
CREATE TABLE visit_count (
	day INTEGER NOT NULL,
	line_id INTEGER NOT NULL,
	timely INTEGER NOT NULL,               -- enum timely
	visits INTEGER NOT NULL,               -- 0: those that there were are on others now
	PRIMARY KEY (day, line_id, timely)
) STRICT, WITHOUT ROWID;

-- Where there are bonds the server counts them: what is derived is followed again.
INSERT INTO derived_mark (name, value) SELECT n.name, n.value FROM
	(SELECT 'rulebook' AS name, -1 AS value UNION ALL SELECT 'recomputed', 0) n
	WHERE EXISTS (SELECT 1 FROM bond_state)
	ON CONFLICT (name) DO UPDATE SET value = excluded.value;
