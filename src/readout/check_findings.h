/* The finished findings. */
#ifndef SP_READOUT_CHECK_FINDINGS_H
#define SP_READOUT_CHECK_FINDINGS_H

#include "readout/checks.h"

/* Those of the readout, and that of the drop where it was asked for only. */
#define SP_FINDINGS_CAUTIONS_MAX 9

typedef struct {
    sp_finding shown;
    char *says, *published, *advice, *place_why; /* owned; `shown` borrows them */
    char stamp[40];
    double key;    /* of the order of work, where it has a place */
    bool proposed; /* of the first two */
} sp_kept_item;

typedef struct {
    const sp_finding *finding;
    char day[16];
    char *words; /* owned */
} sp_kept_asked;

struct sp_findings {
    sp_kept_item *items;
    size_t *order; /* of the items, for people */
    size_t count;
    char *cautions[SP_FINDINGS_CAUTIONS_MAX]; /* owned */
    size_t caution_count;
    char *next_clip; /* owned */
    sp_view next_view;
    const sp_checks *checks;
    sp_shoulder shoulder;
    sp_kept_asked asked[SP_ASKED_MAX];
    size_t asked_count;
};

bool sp_findings_add_caution(sp_findings *findings, const char *text);

/* check_next_clip.c: the text, to be freed; NULL without memory. */
char *sp_next_clip_detach(const sp_findings *findings, const sp_review *review,
                          const sp_readout *readout, sp_units units, sp_view *view);

#endif
