/* JSON (RFC 8259) as the review needs it: read more strictly than cJSON does, written so that it
 * reads back equal, whatever the locale says about decimal points. */
#ifndef SP_REVIEW_JSON_H
#define SP_REVIEW_JSON_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cjson/cJSON.h>

#include "base/text.h"
#include "serveplumb/error.h"
#include "serveplumb/review.h"

#define SP_JSON_BYTES_MAX SP_REVIEW_BYTES_MAX
#define SP_JSON_VALUES_MAX ((size_t)6 << 20) /* some 100 bytes of memory each */
#define SP_JSON_DEPTH_MAX 64

/* Where the numbers of a text stand, in order. */
typedef struct {
    uint32_t *offsets;
    size_t count, room;
} sp_json_numbers;

/* Checks the grammar of `text` (ended by a zero byte at `length`) by the letter, and overwrites
 * each number by 0 and spaces: what is left for cJSON holds nothing that it or the locale could
 * read otherwise. `name` stands for the file in messages. The caller frees `numbers->offsets`. */
bool sp_json_scan(char *text, size_t length, const char *name, sp_json_numbers *numbers,
                  sp_error *error);

/* The tree of `text`; each number also keeps its own text in `valuestring`. Refuses what
 * sp_json_scan does, duplicate members, and numbers that are not finite. cJSON_Delete frees it. */
cJSON *sp_json_parse(const char *text, size_t length, const char *name, sp_error *error);

/* --- numbers --------------------------------------------------------------------------------- */
#define SP_JSON_NUMBER_SIZE 40
/* The shortest of 15, 16 or 17 digits that reads back to the same (finite) double. */
void sp_json_number_text(double value, char text[SP_JSON_NUMBER_SIZE]);

/* --- compact writing: commas come by themselves ---------------------------------------------- */
void sp_json_open(sp_text *text, const char *member, char bracket); /* member NULL: in an array */
void sp_json_close(sp_text *text, char bracket);
void sp_json_string(sp_text *text, const char *member, const char *value);
void sp_json_number(sp_text *text, const char *member, double value);
/* null for a number that could not be had: what is not finite. */
void sp_json_number_or_null(sp_text *text, const char *member, double value);
/* A whole value that is JSON already. */
void sp_json_raw(sp_text *text, const char *member, const char *value);
/* Members that are JSON already ("\"a\":1,\"b\":2"); NULL: none. */
void sp_json_members(sp_text *text, const char *members);
void sp_json_tree(sp_text *text, const char *member, const cJSON *value);

/* Compact JSON laid out to be read: what fits on a line stands on one, the rest is broken and
 * indented. Counts the values. */
void sp_json_layout(sp_text *text, const char *compact, size_t *values);

/* What was written compactly, laid out; `compact` is cleared. The caller owns it; NULL without
 * memory, and the error names `what` it was for ("the readout's text"). */
char *sp_json_detach_laid(sp_text *compact, const char *what, sp_error *error);

#endif
