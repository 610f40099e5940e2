/* Which column is what, by its head. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "review/speeds.h"

/* The trade's words for it in the languages in which coaches keep lists. */
static const char *const DATES[] = {"date", "day",      "datum",     "tag",    "fecha",
                                    "data", "dato",     "jour",      "giorno", "dia",
                                    "when", "datetime", "timestamp", NULL};
static const char *const SPEEDS[] = {"speed",   "velocity", "velocidad",       "velocidade",
                                     "vitesse", "velocita", "velocit\303\240", "geschwindigkeit",
                                     "tempo",   "snelheid", "hastighet",       NULL};
static const char *const UNITS[] = {"unit",    "units",  "einheit", "unit\303\251",
                                    "unite",   "unidad", "unidade", "unit\303\240",
                                    "eenheid", "enhet",  NULL};
static const char *const DEVICES[] = {"device",   "radar",        "gun",       "sensor",
                                      "source",   "ger\303\244t", "geraet",    "appareil",
                                      "apparaat", "aparato",      "strumento", NULL};

static const char *const PLAYERS[] = {
    "player",  "name",     "student",   "athlete",    "spieler", "spielerin", "joueur",  "joueuse",
    "jugador", "jugadora", "giocatore", "giocatrice", "speler",  "spelare",   "jogador", NULL};

typedef enum { OF_NOTHING, OF_DATE, OF_SPEED, OF_UNIT, OF_DEVICE, OF_PLAYER } column_of;

static bool is_among(const char *word, const char *const *words) {
    for (; *words != NULL; words++)
        if (strcasecmp(word, *words) == 0) return true;
    return false;
}

/* "Speed_[km/h]" has the words "speed" and "km/h", "Date/Time" has two: a stroke belongs to units
 * alone. */
static const char *next_word(const char *head, char *word, size_t size) {
    static const char between[] = " \t()[]{}_:;,-.\"/";
    static const char units[] = " \t()[]{}_:;,-.\"";
    sp_speed_unit unit;
    head += strspn(head, between);
    const size_t longest = strcspn(head, units);
    if (longest < size) {
        memcpy(word, head, longest);
        word[longest] = '\0';
        if (sp_speed_unit_find(word, &unit)) return head + longest;
    }
    const size_t length = strcspn(head, between), kept = length < size ? length : size - 1;
    memcpy(word, head, kept);
    word[kept] = '\0';
    return head + length;
}

/* A head that is nothing but a unit is of speeds; "ms" alone is more often milliseconds. */
static column_of column_by(const char *head, sp_speed_unit *unit) {
    char word[64];
    bool unit_said = false, speed_said = false, device_said = false, date_said = false;
    bool player_said = false;
    *unit = SP_SPEED_NO_UNIT;
    for (;;) {
        head = next_word(head, word, sizeof word);
        if (word[0] == '\0') break;
        if (is_among(word, UNITS)) return OF_UNIT;
        date_said = date_said || is_among(word, DATES);
        speed_said = speed_said || is_among(word, SPEEDS);
        player_said = player_said || is_among(word, PLAYERS);
        device_said = device_said || is_among(word, DEVICES);
        unit_said = (sp_speed_unit_find(word, unit) && strcasecmp(word, "ms") != 0) || unit_said;
    }
    if (date_said) return OF_DATE;
    if (speed_said || unit_said) return OF_SPEED;
    return device_said ? OF_DEVICE : player_said ? OF_PLAYER : OF_NOTHING;
}

static void list_heads(const sp_table *t, char *text, size_t size) {
    text[0] = '\0';
    for (int i = 0; i < t->count; i++) {
        const size_t used = strlen(text);
        snprintf(text + used, size - used, "%s'%.30s'", i == 0 ? "" : ", ", t->cells[i]);
    }
}

static bool fail_no_column(const sp_table *t, const char *name, const char *what,
                           const char *advice, sp_error *error) {
    char heads[240];
    list_heads(t, heads, sizeof heads);
    return sp_fail(error, SP_ERROR_FORMAT, "%.80s, line %d: no column of %s among %s; %s", name,
                   t->line, what, heads, advice);
}

static int column_called(const sp_table *t, const char *head) {
    for (int i = 0; i < t->count; i++)
        if (strcasecmp(t->cells[i], head) == 0) return i;
    return -1;
}

static bool take_speed(const sp_table *t, const char *name, int i, sp_speed_unit unit,
                       sp_speed_columns *c, sp_error *error) {
    if (c->speed >= 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "%.80s, line %d: '%.40s' and '%.40s' are both columns of speeds; choose one "
                       "with --column",
                       name, t->line, t->cells[c->speed], t->cells[i]);
    c->speed = i;
    c->head_unit = unit;
    return true;
}

static bool take_column(const sp_table *t, const char *name, int i, bool said, sp_speed_columns *c,
                        sp_error *error) {
    sp_speed_unit unit;
    const column_of of = column_by(t->cells[i], &unit);
    if (of == OF_DATE && c->date < 0) c->date = i;
    if (of == OF_UNIT && c->unit < 0) c->unit = i;
    if (of == OF_DEVICE && c->device < 0) c->device = i;
    if (of == OF_PLAYER && c->player < 0) c->player = i;
    return of != OF_SPEED || said || take_speed(t, name, i, unit, c, error);
}

bool sp_speed_columns_find(const sp_table *t, const char *name, const char *column,
                           sp_speed_columns *c, sp_error *error) {
    *c = (sp_speed_columns){-1, -1, -1, -1, -1, SP_SPEED_NO_UNIT};
    if (column != NULL) {
        c->speed = column_called(t, column);
        if (c->speed < 0) return fail_no_column(t, name, "that name", "check '--column'", error);
        column_by(column, &c->head_unit);
    }
    for (int i = 0; i < t->count; i++)
        if (!take_column(t, name, i, column != NULL, c, error)) return false;
    if (c->speed < 0)
        return fail_no_column(t, name, "speeds", "call it 'speed km/h', or name it with --column",
                              error);
    if (c->date < 0)
        return fail_no_column(t, name, "dates", "call it 'date', and write 2027-03-14", error);
    return true;
}
