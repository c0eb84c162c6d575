-- The few that a list is asked for among millions, each in an index that the others do not touch.
CREATE INDEX inspection_not_whole ON inspection (day, id, outcome, purpose) WHERE outcome <> 0;
CREATE INDEX reading_of_rail ON reading (inspection_id, n) WHERE quantity = 3;
-- (bits 16 to 18 of said are enum judge_status; 1 is evidence)
CREATE INDEX reading_state_aside ON reading_state (inspection_id, n) WHERE said >> 16 & 7 <> 1;
