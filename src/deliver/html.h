/* Text on its way into HTML: whoever wrote it, it stays text. */
#ifndef SP_DELIVER_HTML_H
#define SP_DELIVER_HTML_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

/* For element content and for values in double quotes: markup is escaped, bytes that are not UTF-8
 * become U+FFFD, and what would steer the reader (control characters, marks that turn the direction
 * of what follows) is left out. */
void sp_html_text(sp_text *html, const char *text);
/* The same in a <bdi>: a stranger's words keep their direction to themselves. */
void sp_html_stranger(sp_text *html, const char *text);
/* RFC 4648, section 4. */
/* A name of a file as an address beside the page. */
void sp_html_address(sp_text *html, const char *name);
void sp_html_base64(sp_text *html, const uint8_t *bytes, size_t length);

#endif
