/* The plain words beside a number, or in its place. */
#ifndef SP_READOUT_NOTES_H
#define SP_READOUT_NOTES_H

#include <stdbool.h>

#include "readout/door.h"

/* Adds a sentence to the note. */
void sp_note_add(sp_measure *measure, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* The measure cannot be had: status and note; false, so that `return sp_note_absent(...)` reads
 * well. */
bool sp_note_absent(sp_measure *measure, sp_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* "from behind"; "from behind or from the front" of several views (SP_VIEW_BIT). */
const char *sp_seen_from(sp_view view);
void sp_seen_from_any(unsigned views, char *text, size_t size);

bool sp_note_wrong_view(sp_measure *measure, sp_view view);
bool sp_note_moment_missing(sp_measure *measure, const char *moment);
/* What the picture hides of a measure that it shows in part. */
void sp_note_hidden(sp_measure *measure, sp_seen seen);

#endif
