/* Checks: measures held against what is looked for, and the findings that follow from a readout.
 *
 * The built-in checks are data (assets/checks.json, compiled in); a coach's own file adds to them
 * or changes them. The words on how to work on something are handed out with their caution in the
 * same text and in no other way, so that no output can show the one without the other. */
#ifndef SERVEPLUMB_CHECK_H
#define SERVEPLUMB_CHECK_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"

/* --- the checks ------------------------------------------------------------------------------ */
typedef struct sp_checks sp_checks;
typedef struct sp_check sp_check;

/* The built-in checks, and those of the coach's own file (NULL, or a file that is not there: none).
 * An own file that cannot be used is left out whole: `own_fault` (may be NULL) then says in one
 * line which member is wrong, and the checks are the built-in ones. NULL only without memory. */
sp_checks *sp_checks_new(const char *own_path, sp_error *own_fault, sp_error *error);
void sp_checks_free(sp_checks *checks);

/* "$XDG_CONFIG_HOME/serveplumb/checks.json", else "~/.config/serveplumb/checks.json" (XDG Base
 * Directory Specification). False when neither variable is set or the path does not fit. */
bool sp_checks_own_path(char *path, size_t size);

/* In the order of the files. */
size_t sp_checks_count(const sp_checks *checks);
const sp_check *sp_checks_at(const sp_checks *checks, size_t index);
const sp_check *sp_checks_find(const sp_checks *checks, const char *id);

const char *sp_check_get_id(const sp_check *check);
const char *sp_check_get_title(const sp_check *check);      /* in plain words */
const char *sp_check_get_moment(const sp_check *check);     /* "" when it spans several */
const char *sp_check_get_looked_for(const sp_check *check); /* a sentence */
const char *sp_check_get_source(const sp_check *check);     /* "common practice, no source" */
unsigned sp_check_get_views(const sp_check *check);         /* SP_VIEW_BIT */
int sp_check_get_weight(const sp_check *check);             /* 0 (never proposed) to 10 */
bool sp_check_is_by_eye(const sp_check *check);             /* no measure tells */
/* The points that its measures need at their moments, of a player of this hand. */
size_t sp_check_points(const sp_check *check, sp_hand hand, sp_point_name points[SP_POINT_COUNT]);
/* Those of them that are tapped in `moment`: of a contact, the ground's in the trophy. */
size_t sp_check_points_in(const sp_check *check, const char *moment, sp_hand hand,
                          sp_point_name points[SP_POINT_COUNT]);
/* The measures that decide it, each once; returns how many, at most `room` are written. */
size_t sp_check_measures(const sp_check *check, const sp_measure_kind **list, size_t room);

/* --- what came of them ----------------------------------------------------------------------- */
typedef enum {
    SP_CHECK_MET,
    SP_CHECK_NOT_MET,
    SP_CHECK_WITHIN_ERROR, /* the interval straddles the limit */
    SP_CHECK_FOR_THE_EYE,  /* no measure tells, and the coach has not judged, or is unsure */
    SP_CHECK_NOT_FROM_THIS_VIEW,
    SP_CHECK_TOO_COARSE,     /* frames too few a second */
    SP_CHECK_POINTS_MISSING, /* or a moment, or the scale */
} sp_check_status;
const char *sp_check_status_id(sp_check_status status);    /* "within_error" */
const char *sp_check_status_title(sp_check_status status); /* "too close to tell", for people */

/* Where a finding stands for people, in this order. */
typedef enum {
    SP_FINDINGS_MEASURING, /* of the measuring itself, not of the serve: for the coach */
    SP_FINDINGS_GOOD,
    SP_FINDINGS_FIRST,   /* to work on first: at most two */
    SP_FINDINGS_CAREFUL, /* its advice is held back for the shoulder's sake */
    SP_FINDINGS_LATER,
    SP_FINDINGS_CLOSE,
    SP_FINDINGS_EYE,
    SP_FINDINGS_UNSEEN,
    SP_FINDINGS_MISSING,
} sp_findings_group;
const char *sp_findings_group_title(sp_findings_group group);

/* A measure of a check against its limits, where it has any. */
typedef struct {
    sp_measure measure;
    bool has_low, has_high;
    double low, high; /* in the unit of the measure */
    sp_check_status status;
} sp_finding_measure;
#define SP_FINDING_MEASURES_MAX 4

typedef struct {
    const sp_check *check;
    sp_check_status status;
    sp_findings_group group;
    bool by_eye; /* the status is a judgement of the coach */
    int frame;   /* -1: none */
    int measure_count;
    sp_finding_measure measures[SP_FINDING_MEASURES_MAX];
    int place; /* in the order of work, from 1; 0: nothing to work on */
    bool held_back;
    bool own_words; /* the advice is in the coach's own words */
    bool seen;      /* by the coach, word by word as it stands now: else it must not be sent */
    /* Never NULL, perhaps empty; as long as the findings live. */
    const char *says;      /* what was found, with number and interval, or why nothing was */
    const char *published; /* "Among tournament players ...": never a norm for everyone */
    const char *advice;    /* why it matters, how to work on it, and the caution: one text */
    const char *place_why; /* why it stands where it does in the order of work */
    const char *stamp;     /* names what is seen: other words give another */
} sp_finding;

typedef struct sp_findings sp_findings;

/* One finding for each check, sorted by group and, within it, by the order of work or of the files.
 * The readout is that of the review; nothing of it is kept, but `checks` must outlive the
 * findings. */
sp_findings *sp_findings_new(const sp_checks *checks, const sp_review *review,
                             const sp_readout *readout, sp_units units, sp_error *error);
void sp_findings_free(sp_findings *findings);

size_t sp_findings_count(const sp_findings *findings); /* = sp_checks_count() */
const sp_finding *sp_findings_at(const sp_findings *findings, size_t index);
const sp_finding *sp_findings_find(const sp_findings *findings, const char *check);

/* What may go to the student: good and to work on first, of which the coach has seen all. The
 * cautions below go with it. Returns how many there are, at most `room` are written. */
size_t sp_findings_to_send(const sp_findings *findings, const sp_finding **list, size_t room);

/* What must be said wherever findings are shown: what the readout says of scale and slowdown, the
 * caution of the drop where it is seen, and that this is no medical advice. */
size_t sp_findings_caution_count(const sp_findings *findings);
const char *sp_findings_caution_at(const sp_findings *findings, size_t index);

/* --- what was asked last time ---------------------------------------------------------------- */
/* The checks that were sent with this review to be worked on: seen by the coach as not met. In its
 * order of work; returns how many there are, at most `room` are written. */
size_t sp_checks_asked(const sp_checks *checks, const sp_review *review, const sp_check **list,
                       size_t room);
/* "met", "not met yet", "within error", "not seen": the answer that a finding gives. */
const char *sp_asked_answer(sp_check_status now);

typedef struct {
    const sp_finding *finding; /* as it is now */
    const char *day;           /* "2027-03-14", when it was asked */
    const char *words;         /* "Asked on 2027-03-14: ... Now: within error. ..." */
} sp_asked;
#define SP_ASKED_MAX 16

/* Asks back what an earlier review asked; what was asked twice is asked once, as of the later day.
 * The caution of the drop joins those of the findings when it was the drop. */
bool sp_findings_ask(sp_findings *findings, const sp_review *earlier, sp_error *error);
size_t sp_findings_asked_count(const sp_findings *findings);
sp_asked sp_findings_asked_at(const sp_findings *findings, size_t index);

/* A text ready to send that asks for the clip in which most of what is unseen can be seen; "" when
 * nothing is unseen. `view` (may be NULL) gets where from. */
const char *sp_findings_next_clip(const sp_findings *findings, sp_view *view);

/* `check --json`; freed by the caller. */
char *sp_findings_detach_json(const sp_findings *findings, const sp_review *review,
                              const char *review_name, sp_error *error);

/* --- what the coach makes of them: each is one edit of the review ---------------------------- */

/* To place 1, 2, ... of the order of work. SP_ERROR_ARGUMENT when the finding has no place, or
 * there is no such place; else as the setters of review.h. */
bool sp_finding_move(sp_review *review, const sp_findings *findings, const char *check, int place,
                     sp_error *error);
/* NULL or empty: the program's words again. The caution stays with either. */
bool sp_finding_say(sp_review *review, const char *check, const char *words, sp_error *error);
/* As it stands now. */
bool sp_finding_mark_seen(sp_review *review, const sp_finding *finding, bool seen, sp_error *error);

#endif
