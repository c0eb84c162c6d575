#include "api/json/end_json.h"

void json_end_words(struct json *j, const struct end_words *ends, int end)
{
	json_word(j, "end", &bond_end_words, end);
	json_text(j, "short", end < 0 ? NULL : ends->brief[end]);
	json_text(j, "words", end < 0 ? NULL : ends->words[end]);
}

void json_quantity_words(struct json *j, const char *name, const struct end_words *ends,
	enum quantity quantity)
{
	char words[END_BRIEF_SIZE];

	end_words_quantity(ends, quantity, words, sizeof words);
	json_text(j, name, words);
}

void json_quantities_words(struct json *j, const struct end_words *ends)
{
	struct json all;

	json_name(j, "quantity_words");
	all = json_begin(j->to);
	for (int quantity = 0; quantity < quantity_words.n; quantity++) {
		json_quantity_words(&all, quantity_words.code[quantity], ends, (enum quantity)quantity);
	}
	json_end(&all);
}
