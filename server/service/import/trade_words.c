#include "service/import/trade_words.h"

#include <ctype.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

enum { FOLDED = 200 };

/* Names of a field, parted by bars, as trade_fold has them. */
struct trade_word {
	const char *fields;           /* parted by spaces */
	const char *names;
};

static const struct trade_word table[] = {
	{ "line code", "line|line code|line no|line number|route|route code|strecke|strecke nr|"
		"strecken nr|streckennummer|streckennr|ligne|code ligne|no ligne|numero de ligne|"
		"code de ligne|linea|codice linea|codigo linea|numero linea|lijn|lijnnummer|linje|linjenr|"
		"bane|linia|nr linii|linje nr" },
	{ TRADE_SECTION, "rang|rang troncon|rg troncon|rang du troncon|no troncon|code troncon" },
	{ "label bond", "label|bond|bond no|bond number|bond id|asset|asset id|asset no|"
		"asset number|id|no|nr|number|nummer|numero|n|plate|tag|kuerzel|kennung|kennzeichen|"
		"objekt nr|verbinder|verbinder nr|code|matricule|identifiant|repere|connexion|"
		"collegamento|codice|matricola|codigo|identificador|kenmerk|objectnummer|littera|"
		"oznaczenie" },
	{ "a_chainage chainage", "chainage|km|kilometre|kilometer|km l|km lage|streckenkilometer|"
		"bahnkilometer|lage|lage km|position|position km|pk|p k|point kilometrique|kilometrage|"
		"milepost|mile post|mp|mileage|progressiva|progressiva km|punto kilometrico|kilometrering|"
		"kilometraz|pikietaz|place|location|station km" },
	{ "from", "from|from km|from chainage|von|von km|von km l|km von|anfang|de|pk debut|debut|da|"
		"da km|desde|van|fra|fran|od|od km" },
	{ "to", "to|to km|to chainage|bis|bis km|bis km l|km bis|ende|pk fin|fin|a km|hasta|tot|til|"
		"till|do|do km" },
	{ "length_m", "length|laenge|kabellaenge|longueur|longueur cable|lunghezza|lengte|laengd|"
		"laengde|dlugosc" },
	{ "a_track track", "track|track no|track name|gleis|gleis nr|gleisnummer|voie|no voie|binario|"
		"via|spoor|spaar|spor|tor|nr toru" },
	{ "a_rail rail", "rail|schiene|rail side|file|file de rail|rotaia|carril|spoorstaaf|skena|"
		"szyna" },
	{ "kind", "kind|type|bond type|art|typ|bauart|verbinderart|type de connexion|genre|tipo|soort|"
		"rodzaj" },
	{ "installed_day", "installed|installation|installation date|date installed|install date|"
		"einbau|eingebaut|eingebaut am|einbaudatum|date de pose|pose|pose le|"
		"data di posa|fecha de instalacion|ingebouwd|installerad|data montazu" },
	{ "removed_day", "removed|date removed|ausgebaut|ausgebaut am|ausbaudatum|date de depose" },
	{ "day", "day|date|datum|inspected|inspected on|inspection date|measured on|pruefdatum|"
		"messdatum|geprueft am|gemessen am|date de mesure|date mesure|date du controle|visite le|"
		"data|data misura|fecha|dato|maetdatum" },
	{ "found_day", "found|found on|date|date found|incident date|datum|gefunden am|stoerungsdatum|"
		"festgestellt am|date de constat|constate le|data|fecha|dato" },
	{ "made_good_day", "made good|repaired|repaired on|repair date|behoben|behoben "
		"am|instandgesetzt|repare le|date de reparation|riparato|reparado" },
	{ "inspector found_by", "inspector|inspected by|measured by|found by|by|name|pruefer|"
		"gemessen von|geprueft von|monteur|agent|operateur|controleur|releve par|operatore|"
		"operador|door|av" },
	{ "note", "note|notes|remark|remarks|comment|comments|bemerkung|bemerkungen|anmerkung|hinweis|"
		"bezeichnung|remarque|remarques|observation|observations|commentaire|libelle|osservazioni|"
		"observaciones|opmerking|opmerkingen|anmaerkning|uwagi" },
	{ "shown_uohm", "resistance|reading|r|value|widerstand|uebergangswiderstand|messwert|r mess|"
		"resistance "
		"mesuree|valeur|resistenza|resistencia|weerstand|motstaand|modstand|rezystancja" },
	{ "temp_c", "temperature|temp|rail temperature|temperatur|schienentemperatur|temperature rail|"
		"temperatura|temperatuur" },
	{ "instrument", "instrument|meter|meter no|messgeraet|geraet|geraete nr|appareil|"
		"no appareil|strumento|equipo|meetinstrument|miernik" },
	{ "area_mm2", "cross section|area|querschnitt|leiterquerschnitt|section|section cable|"
		"sezione|seccion|doorsnede|tvaersnitt|przekroj" },
	{ "cables", "cables|no of cables|anzahl|anzahl kabel|kabelzahl|nombre|nombre de cables|cavi" },
	{ "latitude", "latitude|lat|breite|geogr breite|geographische breite|y wgs84|latitudine|"
		"latitud" },
	{ "longitude", "longitude|lon|lng|long|geogr laenge|geographische laenge|x wgs84|longitudine|"
		"longitud" },
	{ "cause", "cause|cause code|ursache|grund|causa|oorzaak|orsak|przyczyna" },
	{ "reference", "reference|ref|report no|order no|work order|incident no|auftrag|auftragsnummer|"
		"meldung|meldungsnummer|no constat|ordre|referentie" },
	{ "name", "name|line name|route name|track name|streckenname|bezeichnung|libelle|nom|nome|"
		"nombre|naam|namn|nazwa" },
};

/* The plain letters of a letter with a mark; NULL: it is none that is known. */
static const char *plain(uint32_t c)
{
	static const struct { uint32_t first, last; const char *plain; } letters[] = {
		{ 0xE4, 0xE4, "ae" }, { 0xE5, 0xE5, "aa" }, { 0xE6, 0xE6, "ae" }, { 0xE0, 0xE3, "a" },
		{ 0xE7, 0xE7, "c" }, { 0xE8, 0xEB, "e" }, { 0xEC, 0xEF, "i" }, { 0xF1, 0xF1, "n" },
		{ 0xF6, 0xF6, "oe" }, { 0xF8, 0xF8, "oe" }, { 0xF2, 0xF5, "o" }, { 0xFC, 0xFC, "ue" },
		{ 0xF9, 0xFB, "u" }, { 0xFD, 0xFD, "y" }, { 0xDF, 0xDF, "ss" }, { 0x101, 0x105, "a" },
		{ 0x107, 0x10D, "c" }, { 0x113, 0x11B, "e" }, { 0x142, 0x142, "l" }, { 0x144, 0x148, "n" },
		{ 0x151, 0x151, "oe" }, { 0x159, 0x159, "r" }, { 0x15B, 0x161, "s" },
		{ 0x171, 0x171, "ue" },
		{ 0x17A, 0x17E, "z" } };
	uint32_t small = c >= 0xC0 && c < 0xDF ? c + 0x20 : c;

	for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++) {
		if ((small >= letters[i].first && small <= letters[i].last)) {
			return letters[i].plain;
		}
	}
	return NULL;
}

/* The code point of the character at text, of two bytes; 0 of any other. */
static uint32_t of_two(const char *text, size_t step)
{
	return step == 2 ? (uint32_t)((unsigned char)text[0] & 0x1F) << 6 |
		((unsigned char)text[1] & 0x3F) : 0;
}

void trade_fold(const char *text, size_t len, char *to, size_t size)
{
	size_t n = 0;

	for (size_t at = 0; at < len && n + 3 < size;) {
		size_t step = utf8_step(text + at, len - at);
		const char *letters = step > 1 ? plain(of_two(text + at, step)) : NULL;

		if (step == 1 && isalnum((unsigned char)text[at])) {
			to[n++] = (char)tolower((unsigned char)text[at]);
		} else if (letters != NULL) {
			n += (size_t)snprintf(to + n, size - n, "%s", letters);
		} else if (n > 0 && to[n - 1] != ' ') {
			to[n++] = ' ';
		}
		at += step > 0 ? step : 1;
	}
	n -= n > 0 && to[n - 1] == ' ';
	to[n] = '\0';
}

static bool is_listed(const char *list, const char *name)
{
	size_t len = strlen(name);

	for (const char *at = list; (at = strstr(at, name)) != NULL; at += len) {
		if ((at == list || at[-1] == ' ') && (at[len] == '\0' || at[len] == ' ')) {
			return true;
		}
	}
	return false;
}

/* Whole words of the heading; one of two letters or fewer is too little to go by. */
static int score_name(const char *folded, const char *name, size_t len)
{
	size_t all = strlen(folded);

	if (all == len && memcmp(folded, name, len) == 0) {
		return 100 + (int)len;
	}
	for (size_t at = 0; len > 2 && at + len <= all; at++) {
		if (memcmp(folded + at, name, len) == 0 && (at == 0 || folded[at - 1] == ' ') &&
			(at + len == all || folded[at + len] == ' ')) {
			return 10 + (int)len;
		}
	}
	/* "ID_IF", "KM_L": a short one begins it */
	return len <= 2 && all > len && memcmp(folded, name, len) == 0 && folded[len] == ' ' ? 10 : 0;
}

int trade_word_score(const char *field, const char *heading, size_t len)
{
	char folded[FOLDED];
	int best = 0;

	trade_fold(heading, len, folded, sizeof folded);
	for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
		const char *name = table[i].names;

		while (is_listed(table[i].fields, field) && *name != '\0') {
			size_t n = strcspn(name, "|");
			int score = score_name(folded, name, n);

			best = score > best ? score : best;
			name += n + (name[n] == '|');
		}
	}
	return best;
}
