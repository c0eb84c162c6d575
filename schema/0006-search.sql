-- Ways to find: lines by what is typed, repeat places without the rows of their failures.

-- What a search for a line is held against, in small letters: its code, its name, and its name from
-- each further word on. Written with the line (store/line.c).
CREATE TABLE line_word (
	word TEXT NOT NULL,
	line_id INTEGER NOT NULL REFERENCES line (id),
	PRIMARY KEY (word, line_id)
) STRICT, WITHOUT ROWID;
INSERT INTO line_word (word, line_id)
WITH RECURSIVE rest (id, words) AS (
	SELECT id, lower(name) FROM line
	UNION ALL SELECT id, substr(words, instr(words, ' ') + 1) FROM rest WHERE instr(words, ' ') > 0)
SELECT words, id FROM rest WHERE words <> ''
UNION SELECT lower(code), id FROM line;

-- those of codes alone: a line and chainage is tried with every beginning of what is typed
CREATE INDEX line_code_small ON line (lower(code));

-- with the day of the failure, so that the places of the whole network are found from the index
DROP INDEX failure_at_place;
CREATE INDEX failure_at_place ON failure (line_id, track_id, rail, distance_mm, found_day);
