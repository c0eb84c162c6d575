-- A contact counts since its own end was attached, and what was found before the commissioning of
-- that day does not count: all that was derived before is to be made again, as in 0007.
UPDATE bond_state SET rulebook_version = 0;
INSERT INTO derived_mark (name, value) SELECT 'rulebook', -1 WHERE EXISTS (SELECT 1 FROM bond_state)
	ON CONFLICT (name) DO UPDATE SET value = -1;
