-- Which inspections and attachments of some bonds were corrected, asked once for all of them
-- (store/record.c) and not once for each row.
CREATE INDEX inspection_corrections ON inspection (bond_id, replaces_id)
	WHERE replaces_id IS NOT NULL;
CREATE INDEX attachment_corrections ON attachment (bond_id, replaces_id)
	WHERE replaces_id IS NOT NULL;
