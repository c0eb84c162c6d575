/* What an import brought, in SQL. Internal to the store. */
#ifndef STORE_RECORD_IMPORTED_H
#define STORE_RECORD_IMPORTED_H

#include "store/sql.h"

/* Entries of an import as (noun, row_id, bond_id). */
#define IMPORTED(import) "SELECT " NOUN_INSPECTION " AS noun, id AS row_id, bond_id FROM inspection " \
	"WHERE import_id = " import " UNION ALL SELECT " NOUN_FAILURE ", id, coalesce(bond_id, 0) " \
	"FROM failure WHERE import_id = " import " UNION ALL SELECT " NOUN_REPAIR ", r.id, " \
	"coalesce(f.bond_id, 0) FROM repair r JOIN failure f ON f.id = r.failure_id " \
	"WHERE r.import_id = " import " UNION ALL SELECT " NOUN_ATTACHMENT ", id, bond_id " \
	"FROM attachment WHERE import_id = " import

#endif
