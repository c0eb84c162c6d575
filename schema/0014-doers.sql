-- Who found a failure and who made it good, beside who entered it (recorded_by): as with inspections
-- and attachments a person, or their name when they are not signed up. NULL both: not stated; so is
-- all that was recorded before.
ALTER TABLE failure ADD COLUMN person_id INTEGER REFERENCES person (id);
ALTER TABLE failure ADD COLUMN person_name TEXT;
ALTER TABLE repair ADD COLUMN person_id INTEGER REFERENCES person (id);
ALTER TABLE repair ADD COLUMN person_name TEXT;
