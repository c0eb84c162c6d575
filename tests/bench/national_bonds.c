/* The lines of the made-up country, and the bonds along them. */
#include <math.h>
#include <stdio.h>

#include "national.h"
#include "derived/derive.h"
#include "store/record/inspection.h"
#include "store/record/work.h"

enum { SPACING_MM = 45000 };

/* A third of the lines was shortened once: their chainage jumps by 37 m half-way. */
static void make_map(struct national *n, int64_t line_id, size_t at)
{
	const int64_t end = (int64_t)(BONDS_OF_LINE + 2) * SPACING_MM, half = end / 2;
	const struct map_stretch gap[] = { { 0, 0, half, false }, { half, half + 37000, end + 37000,
		false } };
	struct problem why = { 0 };

	if (at % 3 == 0) {
		must(store_map_insert(n->store, line_id, 0, gap, 2, &n->act.origin, &why), &why);
	}
}

static void make_instruments(struct national *n)
{
	struct problem why = { 0 };

	for (int i = 0; i < INSTRUMENTS; i++) {
		char serial[24];
		struct instrument instrument = { .serial = serial, .name = "Microhmmeter" };
		struct calibration_row calibration = { .uncertainty_percent = 0.5,
			.uncertainty_uohm = 0.2 };

		snprintf(serial, sizeof serial, "MO-%04d", 100 + i);
		must(store_instrument_insert(n->store, &instrument, &n->act.origin, &why), &why);
		calibration.instrument_id = instrument.id;
		for (int year = 0; year < 14; year++) {
			calibration.calibrated_day = n->today - 100 - year * 365;
			calibration.due_day = calibration.calibrated_day + 365;
			must(store_calibration_insert(n->store, &calibration, &n->act.origin, &why), &why);
		}
	}
}

void make_lines(struct national *n)
{
	static const char *const names[] = { "Up", "Down" };
	struct problem why = { 0 };

	make_instruments(n);
	for (size_t i = 0; i < n->n_lines; i++) {
		struct line line = { .notation = i % 5 == 4 ? NOTATION_HM_M : NOTATION_KM_M,
			.electrification = i % 2 == 0 ? ELECTRIFICATION_AC : ELECTRIFICATION_DC };

		snprintf(line.code, sizeof line.code, "L%03zu", i + 1);
		snprintf(line.name, sizeof line.name, "Line %zu", i + 1);
		must(store_line_insert(n->store, &line, &n->act.origin, &why), &why);
		for (size_t t = 0; t < 2; t++) {
			struct track track = { .line_id = line.id };

			snprintf(track.name, sizeof track.name, "%s", names[t]);
			must(store_track_insert(n->store, &track, &n->act.origin, &why), &why);
		}
		make_map(n, line.id, i);
	}
}

/* Of a hundred bonds so many are of each kind. */
static enum bond_kind draw_kind(struct national *n)
{
	static const int per_cent[] = { [BOND_RAIL_JOINT] = 54, [BOND_TRACK_CROSS] = 8,
		[BOND_RAIL_CROSS] = 7, [BOND_STRUCTURE] = 14, [BOND_IMPEDANCE_LEAD] = 5,
		[BOND_FEEDER_LEAD] = 2, [BOND_TRACK_CIRCUIT_LEAD] = 7, [BOND_PROTECTIVE_EARTH] = 3 };
	int left = (int)draw(n, 100);
	int kind = 0;

	while (left >= per_cent[kind]) {
		left -= per_cent[kind++];
	}
	return (enum bond_kind)kind;
}

static void draw_bond(struct national *n, size_t i, struct bond *b)
{
	static const char short_kind[][3] = { "RJ", "TC", "RC", "ST", "IL", "FL", "TL", "PE" };
	uint64_t dice = draw(n, 100);
	size_t of_line = i % BONDS_OF_LINE;

	*b = (struct bond){ .line_id = (int64_t)(i / BONDS_OF_LINE + 1), .kind = draw_kind(n),
		.criticality = dice < 85 ? CRITICALITY_NORMAL : dice < 95 ? CRITICALITY_HIGH :
		CRITICALITY_SAFETY, .status = draw(n, 200) == 0 ? BOND_REMOVED : BOND_IN_SERVICE,
		.surveyed = draw(n, 50) != 0, .installed_day = n->today - 2500 - (int32_t)draw(n, 7000),
		.removed_day = DAY_NONE, .material = draw(n, 4) == 0 ? MATERIAL_ALUMINIUM : MATERIAL_COPPER,
		.area_mm2 = draw(n, 2) == 0 ? 70 : 120, .cables = 1,
		.latitude = NAN, .longitude = NAN };
	/* flexible; of aluminium the tables have solid and stranded alone, and what no table has is
	 * judged by no limit: its bonds would never be proved, and due since they were made */
	b->conductor_class = b->material == MATERIAL_COPPER ? 5 : 2;
	b->length_m = b->kind == BOND_RAIL_JOINT ? 0.9 : 2 + (double)draw(n, 60) / 10;
	if (b->status == BOND_REMOVED) {
		b->removed_day = n->today - (int32_t)draw(n, 300);
	}
	snprintf(b->label, sizeof b->label, "%03lld-%s%04zu", (long long)b->line_id,
		short_kind[b->kind], of_line + 1);
	for (int e = 0; e < 2; e++) {
		b->end[e] = (struct bond_end_fact){ .on = e == END_B && b->kind >= BOND_STRUCTURE ?
			END_ON_STRUCTURE : END_ON_RAIL, .track_id = b->line_id * 2 - (int64_t)(of_line & 1),
			.rail = (int)draw(n, 2), .face = FACE_WEB_FIELD,
			.distance_mm = (int64_t)(of_line + 1) * SPACING_MM + (int64_t)draw(n, 30000) };
	}
	b->end[END_B].distance_mm = b->end[END_A].distance_mm +
		(b->kind == BOND_RAIL_JOINT ? 700 : (int64_t)draw(n, 3000));
}

static void know(struct national *n, size_t i, const struct bond *b)
{
	const double resistivity = b->material == MATERIAL_COPPER ? 0.017241 : 0.028264;
	int64_t months = rulebook_interval_months(n->view.rulebook, b->kind, b->criticality);
	struct known_bond *k = &n->bonds[i];

	*k = (struct known_bond){ .distance_mm = b->end[END_A].distance_mm,
		.r20_uohm = resistivity * b->length_m / b->area_mm2 * 1e6 + 20,
		.line = (int32_t)b->line_id, .track = (int32_t)b->end[END_A].track_id,
		.rail = (uint8_t)b->end[END_A].rail, .kind = (uint8_t)b->kind,
		.material = (uint8_t)b->material };
	while (k->interval_class < CLASSES - 1 && class_months[k->interval_class] < months) {
		k->interval_class++;
	}
}

void make_bonds(struct national *n)
{
	struct problem why = { 0 };

	for (size_t i = 0; i < n->n_bonds; i++) {
		struct bond bond;

		draw_bond(n, i, &bond);
		must(store_bond_insert(n->store, &bond, &n->act.origin, &why), &why);
		know(n, i, &bond);
		wrote(n, 4);
	}
}
