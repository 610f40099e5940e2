/* UTF-8 (RFC 3629): what is valid, and what may stand in a message of one line. */
#ifndef SP_REVIEW_UTF8_H
#define SP_REVIEW_UTF8_H

#include <stdbool.h>
#include <stddef.h>

/* Bytes of the valid character at `bytes`, of which `left` may be read; 0 when there is none. */
size_t sp_utf8_length(const char *bytes, size_t left);

/* The whole string is valid and holds no control characters but, when `lines`, those
 * of a text of several lines: line feed, carriage return and tab. */
bool sp_utf8_is_plain(const char *string, bool lines);

/* `from` in `to` of `size` bytes (at least 8), for a message: cut with "..." and with a question
 * mark for each control character, bad byte, and character that turns the direction of writing. */
const char *sp_utf8_show(char *to, size_t size, const char *from);

#endif
