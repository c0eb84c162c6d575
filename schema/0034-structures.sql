-- A bond is found by the number of the mast or equipment at one of its ends.
CREATE INDEX end_structure ON end_fact (structure COLLATE NOCASE, bond_id) WHERE structure IS NOT NULL;
