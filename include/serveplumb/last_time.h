/* The reviews of the last day before that of a review, of the same player, in the same folder. */
#ifndef SERVEPLUMB_LAST_TIME_H
#define SERVEPLUMB_LAST_TIME_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/check.h"
#include "serveplumb/review.h"

#define SP_LAST_TIME_MAX 32

typedef struct {
    sp_review *reviews[SP_LAST_TIME_MAX];
    size_t count; /* 0: this is the first, or it has no day */
} sp_last_time;

/* Of the same hand and, where both have one, the same name. What cannot be read is passed over: it
 * is not this review's fault. */
sp_last_time sp_last_time_read(const sp_review *review, const char *review_path);
void sp_last_time_free(sp_last_time *last);

/* Asks back what they asked. */
bool sp_last_time_ask(const sp_last_time *last, sp_findings *findings, sp_error *error);

#endif
