-- What holds for the register as a whole; what meters can do and how calibrations found them.
-- What is said of a setting now is the row with the highest version.
CREATE TABLE register_setting (
	name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),        -- zone, began_day
	version INTEGER NOT NULL CHECK (version >= 1),
	value TEXT NOT NULL CHECK (length(value) BETWEEN 1 AND 200),
	reason TEXT,                                                     -- why it was changed
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),                      -- NULL: from the command line
	PRIMARY KEY (name, version)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER register_setting_stays BEFORE DELETE ON register_setting
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER register_setting_kept BEFORE UPDATE ON register_setting
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- What an instrument can do, once somebody has said it: the row with the highest version.
CREATE TABLE instrument_methods (
	instrument_id INTEGER NOT NULL REFERENCES instrument (id),
	version INTEGER NOT NULL CHECK (version >= 1),
	methods INTEGER NOT NULL CHECK (methods BETWEEN 1 AND 7),        -- bit n: enum reading_method n
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (instrument_id, version)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER instrument_methods_stays BEFORE DELETE ON instrument_methods
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER instrument_methods_kept BEFORE UPDATE ON instrument_methods
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;

-- enum as_found: how the calibration found the instrument, before it was adjusted
ALTER TABLE calibration ADD COLUMN as_found INTEGER NOT NULL DEFAULT 0 CHECK (as_found BETWEEN 0 AND 2);
-- enum figure_kind: what uncertainty_percent and uncertainty_uohm are, as they were entered
ALTER TABLE calibration ADD COLUMN figure_kind INTEGER NOT NULL DEFAULT 0 CHECK (figure_kind BETWEEN 0 AND 1);
