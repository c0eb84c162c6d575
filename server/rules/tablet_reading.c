#include "rules/reading.h"
#include "rules/tablet.h"

struct question {
	int quantity, method, material;
	double forward_uv, reverse_uv, current_a, shown_uohm, lead_uohm, rail_uv, rail_m, joint_m;
	double temp_c;
};

struct answer {
	double r_uohm, r20_uohm, thermal_uv, equivalent_m, added_m;
	int remark, standing;
};

#define WORD(of, field, title_, words_) { .name = #field, .title = title_, .type = MEMBER_WORD, \
	.words = &words_, .offset = offsetof(struct of, field) }
#define REAL(of, field, title_, unit_) { .name = #field, .title = title_, .unit = unit_, \
	.type = MEMBER_REAL, .offset = offsetof(struct of, field) }

static const struct member question_members[] = {
	{ .name = "quantity", .title = "What was measured", .type = MEMBER_WORD, .required = true,
		.words = &quantity_words, .offset = offsetof(struct question, quantity) },
	{ .name = "method", .title = "Leads", .type = MEMBER_WORD, .required = true,
		.words = &reading_method_words, .offset = offsetof(struct question, method) },
	WORD(question, material, "Material of the cable", material_words),
	REAL(question, forward_uv, "Forward", "µV"),
	REAL(question, reverse_uv, "Reversed", "µV"),
	REAL(question, current_a, "Test current", "A"),
	REAL(question, shown_uohm, "Shown", "µΩ"),
	REAL(question, lead_uohm, "Leads alone", "µΩ"),
	REAL(question, rail_uv, "Over the rail", "µV"),
	REAL(question, rail_m, "Length of that rail", "m"),
	REAL(question, joint_m, "Rail between the clips", "m"),
	REAL(question, temp_c, "Cable temperature", "°C"),
	{ 0 }
};
static const struct form question_form = { "TabletReading", question_members,
	sizeof(struct question) };

static const struct member answer_members[] = {
	REAL(answer, r_uohm, "Resistance", "µΩ"),
	REAL(answer, r20_uohm, "Resistance at 20 °C", "µΩ"),
	REAL(answer, thermal_uv, "Thermal voltage", "µV"),
	REAL(answer, equivalent_m, "Equal length of rail", "m"),
	REAL(answer, added_m, "Length that the joint adds", "m"),
	WORD(answer, remark, "Remark", reading_remark_words),
	WORD(answer, standing, "Standing", reading_standing_words),
	{ 0 }
};
static const struct form answer_form = { "TabletReadingAnswer", answer_members,
	sizeof(struct answer) };

static struct reading_values values_of(const struct question *q)
{
	return (struct reading_values){ .quantity = (enum quantity)q->quantity,
		.method = (enum reading_method)q->method, .material = q->material,
		.forward_uv = q->forward_uv, .reverse_uv = q->reverse_uv, .current_a = q->current_a,
		.shown_uohm = q->shown_uohm, .lead_uohm = q->lead_uohm, .rail_uv = q->rail_uv,
		.rail_m = q->rail_m, .joint_m = q->joint_m, .temp_c = q->temp_c };
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *asked = in;
	const struct reading_values values = values_of(asked);
	struct answer *to = out;
	struct reading reading;

	(void)rulebook;
	reading_compute(&values, &reading);
	to->r_uohm = reading.r_uohm;
	to->r20_uohm = reading.r20_uohm;
	to->thermal_uv = reading.thermal_uv;
	to->equivalent_m = reading.equivalent_m;
	to->added_m = reading.added_m;
	to->remark = (int)reading.remark;
	to->standing = (int)reading.standing;
}

const struct tablet_rule tablet_reading = { "reading", &question_form, &answer_form, answer };
