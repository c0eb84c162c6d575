-- Bonds, their two ends, and each act of fixing an end; instruments and kits.

CREATE TABLE bond (
	id INTEGER PRIMARY KEY,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;

-- What is said of a bond now is the row with the highest version.
CREATE TABLE bond_fact (
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	version INTEGER NOT NULL CHECK (version >= 1),
	line_id INTEGER NOT NULL REFERENCES line (id),
	label TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 60),
	kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 8),              -- enum bond_kind
	criticality INTEGER NOT NULL CHECK (criticality BETWEEN 0 AND 2),
	status INTEGER NOT NULL CHECK (status BETWEEN 0 AND 1),          -- enum bond_status
	surveyed INTEGER NOT NULL CHECK (surveyed IN (0, 1)),            -- 0: known from a log only
	installed_day INTEGER,
	removed_day INTEGER,
	material INTEGER CHECK (material BETWEEN 0 AND 1),               -- enum material
	conductor_class INTEGER CHECK (conductor_class IN (1, 2, 5, 6)), -- IEC 60228
	area_mm2 REAL CHECK (area_mm2 > 0),                              -- of one cable
	length_m REAL CHECK (length_m > 0),                              -- of one cable
	cables INTEGER CHECK (cables BETWEEN 1 AND 20),                  -- in parallel
	latitude REAL CHECK (latitude BETWEEN -90 AND 90),               -- degrees, WGS 84
	longitude REAL CHECK (longitude BETWEEN -180 AND 180),
	place_written TEXT,                                              -- the chainage as it was sent
	note TEXT,
	reason TEXT,                                                     -- why it was changed
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	PRIMARY KEY (bond_id, version),
	CHECK (removed_day >= installed_day)
) STRICT, WITHOUT ROWID;

CREATE TABLE end_fact (
	bond_id INTEGER NOT NULL,
	version INTEGER NOT NULL,
	bond_end INTEGER NOT NULL CHECK (bond_end IN (0, 1)),            -- enum bond_end
	on_what INTEGER NOT NULL CHECK (on_what BETWEEN 0 AND 2),        -- enum end_on
	track_id INTEGER REFERENCES track (id),                          -- NULL: not stated
	rail INTEGER CHECK (rail BETWEEN 0 AND 1),                       -- enum rail; NULL: not stated
	face INTEGER CHECK (face BETWEEN 0 AND 2),                       -- enum rail_face
	distance_mm INTEGER NOT NULL,                                    -- from the line's datum
	structure TEXT,                                                  -- mast or equipment, its number
	PRIMARY KEY (bond_id, version, bond_end),
	FOREIGN KEY (bond_id, version) REFERENCES bond_fact (bond_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE instrument (
	id INTEGER PRIMARY KEY,
	serial TEXT NOT NULL UNIQUE CHECK (length(serial) BETWEEN 1 AND 60),
	name TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

CREATE TABLE calibration (
	id INTEGER PRIMARY KEY,
	instrument_id INTEGER NOT NULL REFERENCES instrument (id),
	calibrated_day INTEGER NOT NULL,
	due_day INTEGER NOT NULL CHECK (due_day > calibrated_day),
	uncertainty_percent REAL NOT NULL CHECK (uncertainty_percent >= 0),  -- of the reading, k = 2
	uncertainty_uohm REAL NOT NULL CHECK (uncertainty_uohm >= 0),        -- added to it, k = 2
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX calibration_of_instrument ON calibration (instrument_id, calibrated_day);

CREATE TABLE kit (
	id INTEGER PRIMARY KEY,
	code TEXT NOT NULL UNIQUE CHECK (length(code) BETWEEN 1 AND 60),
	name TEXT NOT NULL,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;

-- The check before a shift.
CREATE TABLE kit_check (
	id INTEGER PRIMARY KEY,
	kit_id INTEGER NOT NULL REFERENCES kit (id),
	checked_day INTEGER NOT NULL,
	person_id INTEGER REFERENCES person (id),
	passed INTEGER NOT NULL CHECK (passed IN (0, 1)),
	note TEXT,
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX kit_check_of_kit ON kit_check (kit_id, checked_day);

-- The live attachment of an end is the newest that no other replaces.
CREATE TABLE attachment (
	id INTEGER PRIMARY KEY,
	uuid TEXT NOT NULL UNIQUE CHECK (length(uuid) = 36),             -- made by the sender
	content_hash TEXT NOT NULL,                                      -- of what was sent
	bond_id INTEGER NOT NULL REFERENCES bond (id),
	bond_end INTEGER NOT NULL CHECK (bond_end IN (0, 1)),
	made_day INTEGER NOT NULL,
	method INTEGER NOT NULL CHECK (method BETWEEN 0 AND 5),          -- enum attach_method
	person_id INTEGER REFERENCES person (id),                        -- who made it, or
	person_name TEXT,                                                -- their name, when not signed up
	kit_id INTEGER REFERENCES kit (id),
	batch TEXT,                                                      -- of pins, solder or powder
	offset_mm INTEGER,                            -- along the rail from the end's reference mark
	ground_bright INTEGER CHECK (ground_bright IN (0, 1)),           -- NULL: not recorded; so below
	battery_charged INTEGER CHECK (battery_charged IN (0, 1)),
	gun_flush INTEGER CHECK (gun_flush IN (0, 1)),
	arc_s REAL CHECK (arc_s >= 0),                                   -- seconds
	hold_s REAL CHECK (hold_s >= 0),                                 -- held still after, seconds
	hammer_passed INTEGER CHECK (hammer_passed IN (0, 1)),
	solder_all_round INTEGER CHECK (solder_all_round IN (0, 1)),
	stub_mm REAL CHECK (stub_mm >= 0),                               -- left standing proud
	note TEXT,
	replaces_id INTEGER REFERENCES attachment (id),                  -- a correction of that one
	recorded_at_ms INTEGER NOT NULL,
	recorded_by INTEGER REFERENCES person (id),
	import_id INTEGER
) STRICT;
CREATE UNIQUE INDEX attachment_replaced ON attachment (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX attachment_of_end ON attachment (bond_id, bond_end, made_day, id);
CREATE INDEX attachment_by_day ON attachment (made_day, id);

CREATE TRIGGER bond_stays BEFORE DELETE ON bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bond_kept BEFORE UPDATE ON bond
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bond_fact_stays BEFORE DELETE ON bond_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER bond_fact_kept BEFORE UPDATE ON bond_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER end_fact_stays BEFORE DELETE ON end_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER end_fact_kept BEFORE UPDATE ON end_fact
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER attachment_stays BEFORE DELETE ON attachment
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER attachment_kept BEFORE UPDATE ON attachment
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER calibration_stays BEFORE DELETE ON calibration
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER calibration_kept BEFORE UPDATE ON calibration
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER instrument_stays BEFORE DELETE ON instrument
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER instrument_kept BEFORE UPDATE ON instrument
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_stays BEFORE DELETE ON kit
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_kept BEFORE UPDATE ON kit
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_check_stays BEFORE DELETE ON kit_check
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
CREATE TRIGGER kit_check_kept BEFORE UPDATE ON kit_check
BEGIN SELECT RAISE(ABORT, 'the record only grows'); END;
