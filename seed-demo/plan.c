#include "plan.h"

#define KM INT64_C(1000000)
#define M INT64_C(1000)
#define MILE_M 1609.344
#define COUNT(a) (sizeof (a) / sizeof (a)[0])

/* The main line: realigned past km 18.4 (320 m shorter), and kilometre 35 of the Up, 36 of the Down
 * are 1,184 m long since the Tollowby curve was eased. */
static const struct map_stretch main_stretches[] = {
	{ 0, 0, 18400 * M, false },
	{ 18400 * M, 18720 * M, 35 * KM, false },
	{ 34680 * M, 35 * KM, 36184 * M, true },
	{ 35864 * M, 36 * KM, 62400 * M, false },
};
static const struct map_stretch main_down_stretches[] = {
	{ 0, 0, 18400 * M, false },
	{ 18400 * M, 18720 * M, 36 * KM, false },
	{ 35680 * M, 36 * KM, 37184 * M, true },
	{ 36864 * M, 37 * KM, 62400 * M, false },
};
static const struct line_map main_down_map = {
	NOTATION_KM_M, main_down_stretches, COUNT(main_down_stretches)
};

static const struct plan_spot main_stations[] = {
	{ "Kelderwick", 420 }, { "Osterlow", 7900 }, { "Brannick", 14600 },
	{ "Fennick Junction", 22850 }, { "Tollowby", 31100 }, { "Quarneside", 40050 },
	{ "Hollinshaw", 47300 }, { "Sedderby", 54800 }, { "Vossmere", 61600 }, { 0 }
};
static const struct plan_spot main_substations[] = {
	{ "Osterlow feeder station", 9200 }, { "Tollowby feeder station", 32400 },
	{ "Sedderby feeder station", 53300 }, { 0 }
};
static const struct plan_spot branch_stations[] = {
	{ "Thrushlow", 0.3 * MILE_M }, { "Dunmarrow", 6.1 * MILE_M }, { "Pellick Halt", 11.4 * MILE_M },
	{ "Carrowby", 15.8 * MILE_M }, { "Ennickmoor", 21.9 * MILE_M },
	{ "Port Ennick", 27.7 * MILE_M }, { 0 }
};
static const struct plan_spot branch_crossings[] = {
	{ "Saltpan Lane", 2.4 * MILE_M }, { "Dunmarrow Gate", 5.7 * MILE_M },
	{ "Heronfold", 9.2 * MILE_M }, { "Mill Lane", 14.3 * MILE_M }, { "Priory Drove", 18.5 * MILE_M },
	{ "Cinder Bank", 24.8 * MILE_M }, { 0 }
};
static const struct plan_spot suburban_stations[] = {
	{ "Sallow Quay", 250 }, { "Ropewalk", 1750 }, { "Tannery Road", 3300 }, { "Orrenfield", 5100 },
	{ "Larkmead", 6900 }, { "Cutlers Green", 8600 }, { "Wenlow", 10500 }, { "Harrowmere", 12400 },
	{ "Bracken Heath", 14300 }, { "Ellenfold", 16500 }, { "Hexbury", 18800 }, { 0 }
};
static const struct plan_spot suburban_substations[] = {
	{ "Quay substation", 600 }, { "Tannery substation", 3600 }, { "Larkmead substation", 6600 },
	{ "Wenlow substation", 10200 }, { "Heath substation", 14000 }, { "Hexbury substation", 18300 },
	{ 0 }
};
static const struct plan_spot none[] = { { 0 } };

static const struct plan_conductor joint_ac = { MATERIAL_COPPER, 5, 70, 0.35, 0.9, 1 };
static const struct plan_conductor joint_dc = { MATERIAL_COPPER, 5, 150, 0.3, 0.6, 2 };
static const struct plan_conductor joint_signal = { MATERIAL_COPPER, 5, 50, 0.4, 1.2, 1 };
static const struct plan_conductor cross_ac = { MATERIAL_ALUMINIUM, 2, 120, 1.8, 2.3, 1 };
static const struct plan_conductor track_ac = { MATERIAL_ALUMINIUM, 2, 185, 4.2, 7.5, 1 };
static const struct plan_conductor cross_dc = { MATERIAL_COPPER, 5, 185, 1.7, 2.2, 1 };
static const struct plan_conductor track_dc = { MATERIAL_ALUMINIUM, 2, 240, 4.0, 9.5, 2 };
static const struct plan_conductor mast = { MATERIAL_ALUMINIUM, 2, 95, 2.4, 5.5, 1 };
static const struct plan_conductor bridge = { MATERIAL_COPPER, 2, 95, 3.0, 11.0, 1 };
static const struct plan_conductor impedance = { MATERIAL_COPPER, 5, 120, 1.4, 3.8, 1 };
static const struct plan_conductor impedance_dc = { MATERIAL_COPPER, 5, 240, 1.4, 4.2, 2 };
static const struct plan_conductor feeder_ac = { MATERIAL_COPPER, 2, 185, 7.0, 12.0, 2 };
static const struct plan_conductor feeder_dc = { MATERIAL_COPPER, 2, 240, 6.0, 12.0, 4 };
static const struct plan_conductor circuit = { MATERIAL_COPPER, 5, 50, 1.5, 6.0, 1 };
static const struct plan_conductor earth = { MATERIAL_COPPER, 2, 50, 2.0, 12.0, 1 };

#define RJ BOND_RAIL_JOINT, CRITICALITY_NORMAL
#define RX BOND_RAIL_CROSS, CRITICALITY_NORMAL
#define TX BOND_TRACK_CROSS, CRITICALITY_NORMAL
#define SB BOND_STRUCTURE, CRITICALITY_NORMAL
#define TC BOND_TRACK_CIRCUIT_LEAD, CRITICALITY_NORMAL
#define IL BOND_IMPEDANCE_LEAD, CRITICALITY_NORMAL

static const struct plan_layout main_layouts[] = {
	{ STATIONS, RJ, -1, -1, .spacing_m = 22, .count = 24, .conductor = &joint_ac, .prefix = "RJ",
	  .failures_a_year = 0.016 },
	{ STATIONS, BOND_RAIL_JOINT, CRITICALITY_HIGH, -1, -1, 22000, 23700, 18, 28, &joint_ac, "RJ",
	  NULL, 0.018 },
	{ EVERY, RX, -1, -1, .spacing_m = 350, .count = 1, .conductor = &cross_ac, .prefix = "RX",
	  .failures_a_year = 0.010 },
	{ EVERY, TX, 0, 1, .spacing_m = 800, .count = 1, .conductor = &track_ac, .prefix = "TX",
	  .failures_a_year = 0.010 },
	{ MASTS, SB, -1, -1, 14600, 22850, 55, 1, &mast, "SB", "Mast", 0.004 },
	{ MASTS, BOND_STRUCTURE, CRITICALITY_HIGH, -1, -1, 40050, 47300, 55, 1, &mast, "SB", "Mast",
	  0.005 },
	{ SIGNALS, TC, -1, -1, .spacing_m = 1500, .count = 2, .conductor = &circuit, .prefix = "TC",
	  .structure = "Location case", .failures_a_year = 0.011 },
	{ SIGNALS, IL, -1, -1, .spacing_m = 3000, .count = 2, .conductor = &impedance, .prefix = "IB",
	  .structure = "Impedance bond", .failures_a_year = 0.010 },
	{ SUBSTATIONS, BOND_FEEDER_LEAD, CRITICALITY_HIGH, -1, -1, .count = 2,
	  .conductor = &feeder_ac, .prefix = "RF", .structure = "Return busbar",
	  .failures_a_year = 0.012 },
	{ STATIONS, BOND_PROTECTIVE_EARTH, CRITICALITY_SAFETY, -1, -1, .spacing_m = 30, .count = 3,
	  .conductor = &earth, .prefix = "PE", .structure = "Canopy column", .failures_a_year = 0.004 },
	{ 0 }
};
static const struct plan_layout branch_layouts[] = {
	{ STATIONS, RJ, -1, -1, .spacing_m = 18.3, .count = 26, .conductor = &joint_signal,
	  .prefix = "J", .failures_a_year = 0.019 },
	{ EVERY, RJ, 0, -1, .spacing_m = 150, .count = 1, .conductor = &joint_signal, .prefix = "J",
	  .failures_a_year = 0.016 },
	{ CROSSINGS, RJ, 0, -1, .spacing_m = 18.3, .count = 8, .conductor = &joint_signal,
	  .prefix = "J", .failures_a_year = 0.02 },
	{ CROSSINGS, TC, 0, -1, .spacing_m = 60, .count = 4, .conductor = &circuit, .prefix = "T",
	  .structure = "Crossing case", .failures_a_year = 0.012 },
	{ SIGNALS, TC, 0, -1, .spacing_m = 1400, .count = 2, .conductor = &circuit, .prefix = "T",
	  .structure = "Location case", .failures_a_year = 0.012 },
	{ STATIONS, BOND_PROTECTIVE_EARTH, CRITICALITY_HIGH, 0, -1, .spacing_m = 25, .count = 4,
	  .conductor = &earth, .prefix = "E", .structure = "Footbridge", .failures_a_year = 0.004 },
	{ 0 }
};
static const struct plan_layout suburban_layouts[] = {
	{ STATIONS, RJ, -1, -1, .spacing_m = 19, .count = 14, .conductor = &joint_dc, .prefix = "J",
	  .failures_a_year = 0.014 },
	{ EVERY, RX, -1, -1, .spacing_m = 260, .count = 1, .conductor = &cross_dc, .prefix = "X",
	  .failures_a_year = 0.009 },
	{ EVERY, TX, 0, 1, .spacing_m = 260, .count = 1, .conductor = &track_dc, .prefix = "X",
	  .failures_a_year = 0.009 },
	{ EVERY, TX, 1, 2, .spacing_m = 260, .count = 1, .conductor = &track_dc, .prefix = "X",
	  .failures_a_year = 0.009 },
	{ EVERY, TX, 2, 3, .spacing_m = 260, .count = 1, .conductor = &track_dc, .prefix = "X",
	  .failures_a_year = 0.009 },
	{ SIGNALS, IL, -1, -1, .spacing_m = 800, .count = 2, .conductor = &impedance_dc,
	  .prefix = "B", .structure = "Impedance bond", .failures_a_year = 0.010 },
	{ SIGNALS, TC, -1, -1, .spacing_m = 800, .count = 1, .conductor = &circuit, .prefix = "T",
	  .structure = "Location case", .failures_a_year = 0.010 },
	{ SUBSTATIONS, BOND_FEEDER_LEAD, CRITICALITY_HIGH, -1, -1, .count = 2,
	  .conductor = &feeder_dc, .prefix = "F", .structure = "Negative busbar",
	  .failures_a_year = 0.014 },
	{ STATIONS, SB, 0, -1, .spacing_m = 45, .count = 3, .conductor = &bridge, .prefix = "S",
	  .structure = "Bridge", .failures_a_year = 0.004 },
	{ STATIONS, BOND_PROTECTIVE_EARTH, CRITICALITY_SAFETY, 3, -1, .spacing_m = 35, .count = 4,
	  .conductor = &earth, .prefix = "E", .structure = "Platform canopy",
	  .failures_a_year = 0.004 },
	{ 0 }
};

const struct plan_line plan_lines[PLAN_LINES] = {
	[LINE_MAIN] = { "KVM", "Kelderwick to Vossmere main line", NOTATION_KM_M, ELECTRIFICATION_AC,
		{ { "Down", "cess", "six-foot", 0, 62264, &main_down_map },
		{ "Up", "six-foot", "cess", 0, 62264, NULL } }, 2,
		{ NOTATION_KM_M, main_stretches, COUNT(main_stretches) }, 62264,
		main_stations, main_substations, none, main_layouts, { 62, 8, 14, 12, 4 }, 0, 2 },
	[LINE_BRANCH] = { "TPB", "Thrushlow to Port Ennick branch", NOTATION_MILES_CHAINS,
		ELECTRIFICATION_NONE,
		{ { "Single", "coast side", "hill side", 0, 28 * MILE_M, NULL },
		{ "Dunmarrow Loop", "coast side", "hill side", 5.8 * MILE_M, 6.4 * MILE_M, NULL },
		{ "Carrowby Loop", "coast side", "hill side", 15.5 * MILE_M, 16.1 * MILE_M, NULL } }, 3,
		{ NOTATION_MILES_CHAINS, NULL, 0 }, 28 * MILE_M,
		branch_stations, none, branch_crossings, branch_layouts, { 30, 0, 5, 55, 10 }, 2, 1 },
	[LINE_SUBURBAN] = { "SHS", "Sallow Quay to Hexbury suburban line", NOTATION_KM,
		ELECTRIFICATION_DC,
		{ { "Down Slow", "cess", "ten-foot", 0, 19100, NULL },
		{ "Down Fast", "ten-foot", "six-foot", 0, 19100, NULL },
		{ "Up Fast", "six-foot", "ten-foot", 0, 19100, NULL },
		{ "Up Slow", "ten-foot", "cess", 0, 19100, NULL } }, 4,
		{ NOTATION_KM, NULL, 0 }, 19100,
		suburban_stations, suburban_substations, none, suburban_layouts, { 40, 22, 28, 6, 4 }, 3, 3 },
};

const struct plan_repeat plan_repeats[PLAN_REPEATS] = {
	{ REASON_CURRENT, LINE_MAIN, 1, RAIL_LEFT, 655, 3, 3, 7, BOND_RAIL_JOINT, &joint_ac, "RJ",
	  { FAILURE_BURNT, FAILURE_HIGH_RESISTANCE },
	  { "traction return of four roads meets here", "lug overheated", NULL } },
	{ REASON_WATER, LINE_MAIN, 0, RAIL_LEFT, 26912, 2, 4, 6, BOND_RAIL_CROSS, &cross_ac, "RX",
	  { FAILURE_CORRODED, FAILURE_CORRODED },
	  { "water from the portal of Hollin Tunnel runs over the lug", "strands eaten through", NULL } },
	{ REASON_ROAD, LINE_BRANCH, 0, RAIL_RIGHT, 14.3 * MILE_M + 4, 3, 2, 6, BOND_RAIL_JOINT,
	  &joint_signal, "J", { FAILURE_CABLE_BROKEN, FAILURE_LUG_CRACKED },
	  { "struck by a road vehicle at Mill Lane crossing", "crossing panel lies on the cable", NULL } },
	{ REASON_THEFT, LINE_SUBURBAN, 3, RAIL_RIGHT, 11240, 3, 2, 8, BOND_RAIL_CROSS, &cross_dc, "X",
	  { FAILURE_CUT_OR_STOLEN, FAILURE_CUT_OR_STOLEN },
	  { "stolen, fence open at the allotments", "cut at both ends", NULL } },
	{ REASON_BATCH, LINE_SUBURBAN, 1, RAIL_LEFT, 8712, 5, 2, 6, BOND_RAIL_JOINT, &joint_dc, "J",
	  { FAILURE_DETACHED, FAILURE_DETACHED },
	  { "solder did not wet the web", NULL, NULL } },
	{ REASON_SAME_SPOT, LINE_MAIN, 1, RAIL_RIGHT, 23018, 1, 1, 6, BOND_RAIL_JOINT, &joint_ac, "RJ",
	  { FAILURE_DETACHED, FAILURE_DETACHED },
	  { "pin pulled off with a skin of rail steel", "came off again", NULL } },
	{ REASON_MOVEMENT, LINE_BRANCH, 0, RAIL_LEFT, 20.4 * MILE_M, 2, 3, 5, BOND_RAIL_JOINT,
	  &joint_signal, "J", { FAILURE_CABLE_BROKEN, FAILURE_CABLE_BROKEN },
	  { "dipped joint on wet bed, cable fatigued", NULL, NULL } },
};

const struct plan_person plan_people[PLAN_PEOPLE] = {
	{ "viewer", "Ida Lornholt", ROLE_VIEWER, "demo-viewer-2026" },
	{ "crew", "Sami Okonre", ROLE_CREW, "demo-crew-2026" },
	{ "planner", "Marit Veldane", ROLE_PLANNER, "demo-planner-2026" },
	{ "manager", "Tomas Halebrook", ROLE_MANAGER, "demo-manager-2026" },
	{ "admin", "Rena Ashcombe", ROLE_ADMINISTRATOR, "demo-admin-2026" },
	{ "dele.farrow", "Dele Farrow", ROLE_CREW, NULL },
	{ "hanna.brix", "Hanna Brix", ROLE_CREW, NULL },
	{ "soren.hald", "Søren Hald", ROLE_CREW, NULL },
	{ "nora.tillan", "Nora Tillan", ROLE_CREW, NULL },
	{ "ravi.pendry", "Ravi Pendry", ROLE_CREW, NULL },
	{ "jonas.eckel", "Jonas Eckel", ROLE_CREW, NULL },
};
const char *const plan_names_only[PLAN_NAMES_ONLY] = {
	"W. Garthwen", "L. Sorbery", "P. Anderlow", "A. Mossop"
};

const struct plan_instrument plan_instruments[PLAN_INSTRUMENTS] = {
	{ "MO-1182", "Micro-ohmmeter, 100 A", 0.5, 0.5, 100, 140, READING_FOUR_WIRE },
	{ "MO-1190", "Micro-ohmmeter, 100 A", 0.5, 0.5, 100, 251, READING_FOUR_WIRE },
	{ "MO-2044", "Micro-ohmmeter, 10 A", 1.0, 2.0, 10, 452, READING_FOUR_WIRE },
	{ "RM-0613", "Two-wire resistance meter", 1.5, 20, 1, 77, READING_TWO_WIRE },
	{ "VD-0307", "Voltage-drop set", 1.0, 1.0, 50, 203, READING_VOLTAGE_DROP },
};
const struct plan_kit plan_kits[PLAN_KITS] = {
	{ "BK-01", "Pin brazing kit, Kelderwick" }, { "BK-02", "Pin brazing kit, Tollowby" },
	{ "BK-03", "Pin brazing kit, Carrowby" }, { "BK-04", "Pin brazing kit, Sallow Quay" },
	{ "BK-05", "Pin brazing kit, Wenlow" }, { "BK-06", "Direct brazing kit, Hexbury" },
};

const struct line_map *plan_map(int line, int track)
{
	const struct plan_line *l = &plan_lines[line];

	return track >= 0 && l->track[track].map != NULL ? l->track[track].map : &l->map;
}
