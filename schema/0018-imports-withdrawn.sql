-- What an import brought, for who withdraws it as a whole.
CREATE INDEX inspection_of_import ON inspection (import_id) WHERE import_id IS NOT NULL;
CREATE INDEX failure_of_import ON failure (import_id) WHERE import_id IS NOT NULL;
CREATE INDEX repair_of_import ON repair (import_id) WHERE import_id IS NOT NULL;
CREATE INDEX attachment_of_import ON attachment (import_id) WHERE import_id IS NOT NULL;
