-- Derived: what is kept of readings in few columns. Judging reads all of a register, and a row costs it
-- by its columns. The bits of `said` have names below; figures are taken out of their bytes by the
-- program (store/judgement.h): figure(figures, 'u95').
ALTER TABLE reading_state RENAME TO reading_stated;
CREATE TABLE reading_state (
	inspection_id INTEGER NOT NULL,
	n INTEGER NOT NULL,
	said INTEGER NOT NULL,
	figures BLOB NOT NULL,
	asked INTEGER AS (said & 65535) VIRTUAL,               -- bits of enum asked
	status INTEGER AS (said >> 16 & 7) VIRTUAL,            -- enum judge_status
	parallel INTEGER AS (said >> 19 & 1) VIRTUAL,          -- 1: another path is shown
	told INTEGER AS (said >> 20 & 7) VIRTUAL,              -- enum verdict under the rulebook of its day
	verdict INTEGER AS (said >> 24 & 7) VIRTUAL,           -- enum verdict
	remark INTEGER AS (said >> 27 & 63) VIRTUAL,           -- enum reading_remark
	meter INTEGER AS (said >> 33 & 15) VIRTUAL,            -- enum meter_standing
	limit_kind INTEGER AS (nullif(said >> 37 & 15, 0) - 1) VIRTUAL,   -- enum limit_kind; NULL: none
	PRIMARY KEY (inspection_id, n)
) STRICT, WITHOUT ROWID;
INSERT INTO reading_state (inspection_id, n, said, figures)
	SELECT inspection_id, n, (said & 8388607) | (verdict << 24) | (remark << 27) | (meter << 33) |
	((coalesce(limit_kind, -1) + 1) << 37), reading_figures(rulebook_version, said >> 24, r_uohm,
	r20_uohm, thermal_uv, equivalent_m, limit_value, u95, p_within)
	FROM reading_stated ORDER BY inspection_id, n;
DROP TABLE reading_stated;
-- the few to look at, of all lines
CREATE INDEX reading_state_over ON reading_state (inspection_id, n) WHERE verdict = 3;
CREATE INDEX reading_state_unproven ON reading_state (inspection_id, n) WHERE verdict = 2;
CREATE INDEX reading_state_open ON reading_state (inspection_id, n) WHERE status = 2;
CREATE INDEX reading_state_aside ON reading_state (inspection_id, n) WHERE status <> 1;
-- A cell that no bond is left in is deleted where it becomes empty, and not looked for afterwards.
DELETE FROM due_cell WHERE bonds = 0;
DROP INDEX due_cell_empty;
