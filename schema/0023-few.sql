-- The few that a list is asked for among millions, each in an index that most inspections do not touch.
CREATE INDEX bond_state_not_within ON bond_state (due_day, bond_id, worst_verdict)
	WHERE worst_verdict IS NOT 1;                               -- enum verdict: within
CREATE INDEX inspection_not_routine ON inspection (day, id, purpose, outcome)
	WHERE purpose <> 1;                                         -- enum purpose: routine
