-- Not record: bonds of an import under way, which are withdrawn until it counts (correction_open). Its own
-- rows find them here, and nobody else gives their labels to another bond. One is taken out when it is
-- derived.
CREATE TABLE bond_coming (
	bond_id INTEGER PRIMARY KEY REFERENCES bond (id),
	import_id INTEGER NOT NULL,
	line_id INTEGER NOT NULL,
	label TEXT NOT NULL,
	track_id INTEGER,                         -- of end A
	rail INTEGER,
	distance_mm INTEGER NOT NULL
) STRICT;
CREATE INDEX bond_coming_label ON bond_coming (line_id, label);
CREATE INDEX bond_coming_place ON bond_coming (line_id, distance_mm);
