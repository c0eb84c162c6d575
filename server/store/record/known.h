/*
 * What judging asks for again and again: calibrations, conductors, rails of tracks. Read once, and
 * kept by the connection until one of them is registered anew, by whomever.
 */
#ifndef STORE_RECORD_KNOWN_H
#define STORE_RECORD_KNOWN_H

#include "rules/uncertainty.h"
#include "store/store.h"

struct known;

/* What the connection keeps: good until the transaction ends, or one of these is registered in it.
 * NULL: *why is set. */
struct known *store_known(struct store *store, struct problem *why);

/* To be called with each row that is written of these. */
bool store_known_changed(struct store *store, struct problem *why);

/* The day on which the register began. */
int32_t store_known_began(const struct known *known);

/* The standing and figures of an instrument (0: none recorded) on a day. */
bool store_known_meter(struct store *store, struct known *known, int64_t instrument_id,
	int32_t day, struct meter *to, struct problem *why);

/* What an engineer has stated, on record, of the meters of an import (0: none): the standing of its
 * readings that name no instrument. */
bool store_known_stated(struct store *store, struct known *known, int64_t import_id,
	struct meter *to, struct problem *why);

/* What an engineer has stated that the rows of an import (0: none) meant; -1: nothing. */
bool store_known_meant(struct store *store, struct known *known, int64_t import_id, int *meant,
	struct problem *why);

/* µΩ for 1 m of one cable at 20 °C: the railway's own row, else the published table's; NAN. */
bool store_known_cable(struct store *store, struct known *known, int material,
	int64_t conductor_class, double area_mm2, double *uohm_per_m, struct problem *why);

/* The rail of a track (0: not stated): µΩ for 1 m of one rail by its profile, the railway's own
 * row before the table's; length between joints. NAN: not known. */
struct known_rail {
	double uohm_per_m, between_joints_m;
};
bool store_known_rail(struct store *store, struct known *known, int64_t track_id,
	struct known_rail *to, struct problem *why);

#endif
