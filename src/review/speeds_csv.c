/* Speeds from a table. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "base/text.h"
#include "review/speeds.h"

static const size_t BYTES_MAX = (size_t)16 << 20;
/* Each takes a hundred times the memory of the shortest row. */
static const size_t FAULTS_MAX = 1000;

typedef struct {
    const char *text, *name;
    size_t length;
    sp_speeds_options options;
    sp_speed_columns columns;
    int heads; /* columns of the head */
    sp_speeds *speeds;
} reading;

static const char *cell(const sp_table *t, int column) {
    return column < 0 || column >= t->count ? "" : t->cells[column];
}

static bool open_table(const reading *r, sp_table *t, sp_error *error) {
    if (!sp_table_open(t, r->text, r->length))
        return sp_fail(error, SP_ERROR_MEMORY, "no memory left to read '%s'", r->name);
    return true;
}

/* --- whose rows ---------------------------------------------------------------------------------
 */
static bool is_asked(const reading *r, const sp_table *t) {
    return r->columns.player < 0 || r->options.player == NULL ||
           strcasecmp(cell(t, r->columns.player), r->options.player) == 0;
}

/* Speeds of two players in one day's mean would be of neither. */
static bool find_player(reading *r, sp_table *t, sp_error *error) {
    char first[60] = "";
    bool found = false;
    if (r->columns.player < 0 && r->options.player != NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "%.80s has no column of players; leave out '--player %.40s'", r->name,
                       r->options.player);
    while (r->columns.player >= 0 && sp_table_next(t)) {
        const char *player = cell(t, r->columns.player);
        found = found || is_asked(r, t);
        if (player[0] == '\0' || r->options.player != NULL) continue;
        if (first[0] == '\0') sp_text_copy(first, sizeof first, player);
        if (strncasecmp(first, player, sizeof first - 1) != 0)
            return sp_fail(error, SP_ERROR_FORMAT,
                           "%.80s, line %d: speeds of '%.40s' and of '%.40s'; choose one with "
                           "--player",
                           r->name, t->line, first, player);
    }
    return found || r->options.player == NULL ||
           sp_fail(error, SP_ERROR_ARGUMENT, "%.80s has no row of '%.40s'; check '--player'",
                   r->name, r->options.player);
}

/* --- the order of dates ---------------------------------------------------------------------- */
typedef struct {
    int day_first, month_first, either; /* the first line of each; 0: none */
    char text[40];                      /* of `either` */
} orders;

static orders orders_of(const reading *r, sp_table *t) {
    orders o = {0, 0, 0, ""};
    while (sp_table_next(t)) {
        char date[SP_SPEED_DATE_SIZE];
        sp_date_order order;
        bool ambiguous;
        const char *text = cell(t, r->columns.date);
        if (sp_speed_date_read(text, SP_DATES_DAY_FIRST, date, &order, &ambiguous) == SP_DATE_NONE)
            continue;
        if (order == SP_DATES_DAY_FIRST && o.day_first == 0) o.day_first = t->line;
        if (order == SP_DATES_MONTH_FIRST && o.month_first == 0) o.month_first = t->line;
        if (ambiguous && o.either == 0) {
            o.either = t->line;
            sp_text_copy(o.text, sizeof o.text, text);
        }
    }
    return o;
}

/* What the table itself tells; asked of the person where it tells nothing, or both. */
static bool settle_order(reading *r, const orders *o, sp_error *error) {
    if (r->options.dates != SP_DATES_NOT_SAID) return true;
    if (o->day_first > 0 && o->month_first > 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "%.80s: line %d puts the day first, line %d the month; say which order is "
                       "right with --dates day-first or --dates month-first",
                       r->name, o->day_first, o->month_first);
    if (o->day_first == 0 && o->month_first == 0 && o->either > 0)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "%.80s, line %d: '%s' may be day and month or month and day; say --dates "
                       "day-first or --dates month-first",
                       r->name, o->either, o->text);
    r->options.dates = o->month_first > 0 ? SP_DATES_MONTH_FIRST : SP_DATES_DAY_FIRST;
    return true;
}

/* --- rows ------------------------------------------------------------------------------------ */
static bool take_date(const reading *r, const sp_table *t, sp_speed *speed, char *why,
                      size_t size) {
    sp_date_order order;
    bool ambiguous;
    const char *text = cell(t, r->columns.date);
    if (text[0] == '\0') {
        snprintf(why, size, "no date; fill it in or take the row out");
        return false;
    }
    switch (sp_speed_date_read(text, r->options.dates, speed->date, &order, &ambiguous)) {
    case SP_DATE_NONE:
        snprintf(why, size, "'%.40s' is no date; write 2027-03-14", text);
        return false;
    case SP_DATE_IMPOSSIBLE: snprintf(why, size, "there is no day '%.40s'", text); return false;
    case SP_DATE_GOOD: break;
    }
    if (order == SP_DATES_NOT_SAID || order == r->options.dates) return true;
    snprintf(why, size, "'%.40s' has the day and the month in another order than the others", text);
    return false;
}

/* The cell's own unit, else the column's, the head's, the options'. */
static bool take_speed(const reading *r, const sp_table *t, sp_speed *speed, bool *no_unit,
                       char *why, size_t size) {
    const char *said = cell(t, r->columns.unit);
    double value;
    speed->unit = r->columns.head_unit != SP_SPEED_NO_UNIT ? r->columns.head_unit : r->options.unit;
    if (said[0] != '\0' && !sp_speed_unit_find(said, &speed->unit)) {
        snprintf(why, size, "'%.40s' is no unit of speed; expected km/h, mph or m/s", said);
        return false;
    }
    if (!sp_speed_cell_read(cell(t, r->columns.speed), &value, &speed->unit, why, size))
        return false;
    *no_unit = speed->unit == SP_SPEED_NO_UNIT;
    if (!*no_unit) return sp_speed_value_take(value, speed->unit, &speed->m_per_s, why, size);
    snprintf(why, size, "no unit; say --unit km/h, mph or m/s, or write it beside the number");
    return false;
}

static bool has_its_cells(const reading *r, const sp_table *t, char *why, size_t size) {
    if (t->open_quote) {
        snprintf(why, size, "a quotation mark is opened and not closed: all after it is one cell");
        return false;
    }
    if (t->count <= r->heads && !t->too_many) return true;
    snprintf(why, size,
             "%d cells where the head has %d; a decimal comma between commas needs quotation marks",
             t->count, r->heads);
    return false;
}

typedef struct {
    size_t rows, without_unit;
    int first; /* line without a unit */
} census;

static bool take_row(reading *r, const sp_table *t, census *c, sp_error *error) {
    sp_speed speed = {.line = t->line};
    char why[220];
    bool no_unit = false;
    if (!is_asked(r, t)) return true;
    c->rows++;
    if (has_its_cells(r, t, why, sizeof why) && take_date(r, t, &speed, why, sizeof why) &&
        take_speed(r, t, &speed, &no_unit, why, sizeof why)) {
        sp_text_copy(speed.device, sizeof speed.device, cell(t, r->columns.device));
        return sp_speeds_put(r->speeds, &speed, error);
    }
    if (no_unit && c->without_unit++ == 0) c->first = t->line;
    return sp_speeds_add_fault(r->speeds, r->name, t->line, error, "%s", why);
}

static bool take_rows(reading *r, sp_table *t, sp_error *error) {
    const size_t before = r->speeds->count;
    census c = {0, 0, 0};
    const size_t faults = r->speeds->fault_count;
    bool good = true;
    while (good && r->speeds->fault_count - faults <= FAULTS_MAX && sp_table_next(t))
        good = take_row(r, t, &c, error);
    if (!good) return false;
    if (c.rows == 0)
        return sp_fail(error, SP_ERROR_FORMAT, "'%.80s' has heads but no row; nothing to read",
                       r->name);
    if (c.without_unit > 0 && r->speeds->count == before)
        return sp_fail(error, SP_ERROR_FORMAT,
                       "%.80s: neither the head, a column nor the cells say the unit (from line %d "
                       "on); say --unit km/h, --unit mph or --unit m/s",
                       r->name, c.first);
    return r->speeds->fault_count - faults <= FAULTS_MAX ||
           sp_fail(error, SP_ERROR_FORMAT,
                   "%.80s: more than %zu rows up to line %d cannot be read; is it a table of serve "
                   "speeds?",
                   r->name, FAULTS_MAX, t->line);
}

/* --- in and out ------------------------------------------------------------------------------ */
static bool read_heads(reading *r, sp_table *t, sp_error *error) {
    if (!sp_table_next(t))
        return sp_fail(error, SP_ERROR_FORMAT,
                       "'%.80s' is empty; it needs a line of heads such as 'date,speed km/h'",
                       r->name);
    r->heads = t->count;
    return sp_speed_columns_find(t, r->name, r->options.column, &r->columns, error);
}

static bool in_one_pass(reading *r, bool (*pass)(reading *, sp_table *, sp_error *),
                        sp_error *error) {
    sp_table t;
    if (!open_table(r, &t, error)) return false;
    const bool good = read_heads(r, &t, error) && pass(r, &t, error);
    sp_table_close(&t);
    return good;
}

static bool find_order(reading *r, sp_table *t, sp_error *error) {
    const orders o = orders_of(r, t);
    return settle_order(r, &o, error);
}

/* UTF-16 has a mark of its own, or every second byte of its letters is zero. */
static bool is_wide(const char *text, size_t length) {
    if (length < 2) return false;
    return memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0 ||
           text[0] == '\0' || text[1] == '\0';
}

bool sp_speeds_parse_csv(sp_speeds *speeds, const char *text, size_t length, const char *name,
                         const sp_speeds_options *options, sp_error *error) {
    reading r = {.text = text, .name = name, .length = length, .speeds = speeds};
    if (options != NULL) r.options = *options;
    if (is_wide(text, length))
        return sp_fail(error, SP_ERROR_FORMAT, "'%.80s' is UTF-16; save it as CSV in UTF-8", name);
    return in_one_pass(&r, find_player, error) && in_one_pass(&r, find_order, error) &&
           in_one_pass(&r, take_rows, error);
}

bool sp_speeds_read_csv(sp_speeds *speeds, const char *path, const sp_speeds_options *options,
                        sp_error *error) {
    char *text;
    size_t length;
    if (!sp_file_read(path, BYTES_MAX, &text, &length, error)) return false;
    const bool good = sp_speeds_parse_csv(speeds, text, length, path, options, error);
    free(text);
    return good;
}
