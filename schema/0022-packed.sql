-- A cell that no bond is left in is deleted where it becomes empty, and not looked for afterwards.
DELETE FROM due_cell WHERE bonds = 0;
DROP INDEX due_cell_empty;
