/* The one error type, and the rules that hold for every function of the library.
 *
 * - A function that can fail takes `sp_error *error` last; NULL is allowed. It is filled where the
 *   fault is found and handed up unchanged. On success it is left alone.
 * - The message is one line: what is wrong, why, what to do. It is never printed by the library.
 * - A comment names the errors that a caller may want to tell apart. Where it names none, what can
 *   fail is memory (SP_ERROR_MEMORY), a file named in the call (SP_ERROR_FILE) and what is in it
 *   (SP_ERROR_FORMAT, SP_ERROR_LIMIT). What is filled is undefined after a failure, unless said.
 * - `_free` and `_close` accept NULL. What a `_new`, `_open`, `_read` or `_detach` gives is owned
 * by the caller; a pointer returned under any other verb is borrowed.
 * - Wrong arguments from our own code are programming errors and are asserted.
 */
#ifndef SERVEPLUMB_ERROR_H
#define SERVEPLUMB_ERROR_H

#include <stdbool.h>

typedef enum {
    SP_ERROR_NONE = 0,
    SP_ERROR_ARGUMENT,  /* what the person asked for makes no sense */
    SP_ERROR_FILE,      /* a file cannot be found, read or written */
    SP_ERROR_FORMAT,    /* a file is read, but is not what it should be */
    SP_ERROR_MISMATCH,  /* two things do not belong together (review and clip) */
    SP_ERROR_LIMIT,     /* larger than the program accepts */
    SP_ERROR_DAMAGED,   /* a picture cannot be decoded cleanly */
    SP_ERROR_END,       /* past the last frame; not a failure */
    SP_ERROR_CANCELLED, /* given up because something newer was asked for; not a failure */
    SP_ERROR_MEMORY,
    SP_ERROR_DECODER, /* the process that decodes the clip has ended; opening anew may help */
} sp_error_code;

typedef struct {
    sp_error_code code;
    char message[600];
} sp_error;

/* Fills `error` (when not NULL) and returns false, so that `return sp_fail(...)` reads well. */
bool sp_fail(sp_error *error, sp_error_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

#endif
