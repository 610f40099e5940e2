/* Marks as CSV (RFC 4180). */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "review/json.h"
#include "review/words.h"
#include "serveplumb/marks_exchange.h"

static void add_number(sp_text *csv, double value) {
    char text[SP_JSON_NUMBER_SIZE];
    sp_json_number_text(value, text);
    sp_text_format(csv, ",%s", text);
}

static void add_marks(sp_text *csv, const sp_review *review, sp_frame_times times, int frame) {
    const double slowdown = sp_review_get_clip(review)->slowdown;
    for (int name = 0; name < SP_POINT_COUNT; name++) {
        sp_mark mark;
        if (!sp_review_mark(review, frame, (sp_point_name)name, &mark)) continue;
        sp_text_format(csv, "%d", frame);
        if (frame < times.count) {
            add_number(csv, times.seconds[frame]);
            add_number(csv, times.seconds[frame] / slowdown);
        } else {
            sp_text_append(csv, ",,");
        }
        sp_text_format(csv, ",%s", sp_point_id((sp_point_name)name));
        add_number(csv, mark.at.x);
        add_number(csv, mark.at.y);
        add_number(csv, mark.sd_px);
        sp_text_format(csv, ",%s\r\n", sp_words_at(&sp_words_by, mark.by));
    }
}

char *sp_marks_detach_csv(const sp_review *review, sp_frame_times times, sp_error *error) {
    sp_text csv = {0};
    sp_text_append(&csv, "frame,clip_s,real_s,point,x_px,y_px,sd_px,by\r\n");
    for (size_t i = 0; i < sp_review_marked_count(review); i++)
        add_marks(&csv, review, times, sp_review_marked_frame(review, i));
    char *text = sp_text_detach(&csv);
    if (text == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory for the points");
    return text;
}

/* --- back in -----------------------------------------------------------------------------------
 */

typedef enum {
    COLUMN_FRAME,
    COLUMN_POINT,
    COLUMN_X,
    COLUMN_Y,
    COLUMN_SD,
    COLUMN_BY,
    COLUMNS
} column;
static const char *const column_names[COLUMNS] = {"frame", "point", "x_px", "y_px", "sd_px", "by"};
#define COLUMNS_NEEDED COLUMN_SD
#define FIELD_MAX 64

typedef struct {
    const char *at, *name;
    int row;             /* from 1, the head */
    int places[COLUMNS]; /* where each column stands; -1: nowhere */
    bool cut;            /* the field read last was longer than FIELD_MAX */
    char fields[COLUMNS][FIELD_MAX];
    sp_error *error;
} reader;

/* One field, cut at FIELD_MAX; gives what ends it: ',' or '\n', 0 at the end of the text, and '"'
 * where a quote is not closed. */
static char read_field(reader *r, char field[FIELD_MAX]) {
    const bool quoted = *r->at == '"';
    size_t length = 0;
    r->cut = false;
    if (quoted) r->at++;
    for (; *r->at != '\0'; r->at++) {
        if (quoted && *r->at == '"' && *++r->at != '"') break;
        if (!quoted && strchr(",\r\n", *r->at) != NULL) break;
        r->cut = length + 1 == FIELD_MAX;
        if (!r->cut) field[length++] = *r->at;
    }
    field[length] = '\0';
    if (quoted && r->at[-1] != '"') return '"';
    if (*r->at == '\r') r->at++;
    const char end = *r->at;
    if (end == '\0') return end;
    r->at++;
    return end == ',' ? ',' : end == '\n' ? '\n' : '"';
}

static bool fail_row(const reader *r, const char *what) {
    return sp_fail(r->error, SP_ERROR_FORMAT, "%s: row %d: %s", r->name, r->row, what);
}

static bool read_head(reader *r) {
    char field[FIELD_MAX];
    for (int c = 0; c < COLUMNS; c++) r->places[c] = -1;
    r->row = 1;
    char end = ',';
    for (int place = 0; end == ','; place++) {
        end = read_field(r, field);
        for (int c = 0; c < COLUMNS; c++)
            if (strcmp(field, column_names[c]) == 0 && r->places[c] < 0) r->places[c] = place;
    }
    if (end == '"') return fail_row(r, "a quote is not closed");
    for (int c = 0; c < (int)COLUMNS_NEEDED; c++)
        if (r->places[c] < 0)
            return sp_fail(
                r->error, SP_ERROR_FORMAT,
                "%s: the first row names no column '%s'; expected frame, point, x_px and "
                "y_px among its names",
                r->name, column_names[c]);
    return true;
}

/* `more` is false at the end of the text. */
static bool read_row(reader *r, bool *more) {
    char field[FIELD_MAX];
    memset(r->fields, 0, sizeof r->fields);
    *more = *r->at != '\0';
    if (!*more) return true;
    r->row++;
    char end = ',';
    for (int place = 0; end == ','; place++) {
        end = read_field(r, field);
        for (int c = 0; c < COLUMNS; c++) {
            if (r->places[c] != place) continue;
            if (r->cut) return fail_row(r, "a number or word is longer than any that is known");
            memcpy(r->fields[c], field, sizeof field);
        }
    }
    return end != '"' || fail_row(r, "a quote stands in the middle of a field, or is not closed");
}

static bool to_number(const char *text, double *number) {
    char *end;
    *number = strtod(text, &end);
    return end != text && *end == '\0' && isfinite(*number);
}

static bool set_mark(reader *r, sp_review *review) {
    sp_mark mark = {.by = SP_BY_TAP};
    double frame, sd = 0.0;
    sp_point_name point;
    unsigned by = SP_BY_TAP;
    if (!to_number(r->fields[COLUMN_FRAME], &frame) || frame != floor(frame) || frame < 0 ||
        frame >= sp_review_get_clip(review)->frames)
        return fail_row(r, "'frame' is not the number of a frame of the clip");
    if (!sp_point_find(r->fields[COLUMN_POINT], &point))
        return fail_row(r, "'point' is none that a review knows, such as right_elbow");
    if (!to_number(r->fields[COLUMN_X], &mark.at.x) || !to_number(r->fields[COLUMN_Y], &mark.at.y))
        return fail_row(r, "'x_px' and 'y_px' are to be numbers");
    if (r->fields[COLUMN_SD][0] != '\0' && !to_number(r->fields[COLUMN_SD], &sd))
        return fail_row(r, "'sd_px' is to be a number, or empty");
    if (r->fields[COLUMN_BY][0] != '\0' && !sp_words_find(&sp_words_by, r->fields[COLUMN_BY], &by))
        return fail_row(r, "'by' is to be tap, carry or guess, or empty");
    /* the deviation of all points is not written at each */
    mark.sd_px = sd == sp_review_get_points_sd(review) ? 0.0 : sd;
    mark.by = (sp_mark_by)by;
    return sp_review_set_mark(review, (int)frame, point, &mark, r->error);
}

bool sp_marks_take_csv(sp_review *review, const char *text, size_t length, const char *name,
                       size_t *count, sp_error *error) {
    static const char mark_of_order[] = "\xEF\xBB\xBF"; /* spreadsheets put it first */
    reader r = {.at = text, .name = name, .error = error};
    if (memchr(text, '\0', length) != NULL)
        return sp_fail(error, SP_ERROR_FORMAT, "%s holds zero bytes; save it as CSV in UTF-8",
                       name);
    if (strncmp(text, mark_of_order, 3) == 0) r.at += 3;
    size_t set = 0;
    bool more = true;
    if (!read_head(&r)) return false;
    while (true) {
        if (!read_row(&r, &more)) return false;
        if (!more) break;
        if (r.fields[COLUMN_FRAME][0] == '\0' && r.fields[COLUMN_POINT][0] == '\0') continue;
        if (!set_mark(&r, review)) return false;
        set++;
    }
    if (count != NULL) *count = set;
    return true;
}
