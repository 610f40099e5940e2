/* A growing string. Never NULL to read, also when empty. The first failed allocation is kept: later
 * appends do nothing, and `detach` then gives NULL. */
#ifndef SP_BASE_TEXT_H
#define SP_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    char *bytes;
    size_t length, room;
    bool failed;
} sp_text;

void sp_text_append(sp_text *text, const char *string);
void sp_text_append_bytes(sp_text *text, const char *bytes, size_t count);
void sp_text_format(sp_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
const char *sp_text_get(const sp_text *text);
/* A JSON string (RFC 8259) with its quotes; bytes that are not UTF-8 become U+FFFD. */
void sp_text_append_json_string(sp_text *text, const char *string);
/* The caller now owns the string and frees it; the text is empty again. */
char *sp_text_detach(sp_text *text);
void sp_text_clear(sp_text *text);

/* `from` into `to` of `size` bytes, always ended; false when it had to be cut (at a whole UTF-8
 * character). */
bool sp_text_copy(char *to, size_t size, const char *from);

#endif
