/* The checks as they are read. How to work on something is known to this folder only: see
 * check_advice.h for the one way out. */
#ifndef SP_READOUT_CHECKS_H
#define SP_READOUT_CHECKS_H

#include "serveplumb/check.h"

#define SP_CHECKS_FORMAT "serveplumb-checks"
#define SP_CHECKS_VERSION 1
#define SP_CHECKS_MAX 100
#define SP_CHECK_PUBLISHED_MAX 3
#define SP_CHECK_WEIGHT_MAX 10

/* A measure and what is looked for of it; without limits it is only shown. */
typedef struct {
    const sp_measure_kind *kind; /* NULL: none */
    bool has_low, has_high;
    double low, high;
} sp_check_limit;

typedef struct {
    sp_check_limit limit, instead; /* `instead` where the first has no number */
} sp_check_test;

/* A value as it was published. */
typedef struct {
    char name[96];
    double value, sd; /* sd 0: not known */
    sp_unit unit;
    double from; /* not 0: the measure is this less the value (180 less a flexion) */
    char among[160], source[300];
} sp_check_published;

struct sp_check {
    char id[SP_REVIEW_ID_MAX], moment[SP_REVIEW_ID_MAX];
    char title[120];
    unsigned views;
    int weight;
    bool of_measuring; /* of the measuring, not of the serve */
    sp_check_test tests[SP_FINDING_MEASURES_MAX];
    int test_count; /* 0: by eye */
    sp_check_published published[SP_CHECK_PUBLISHED_MAX];
    int published_count;
    char looked_for[400], source[500];
    char why[500], work[800], caution[400]; /* the caution may be empty */
};

/* Texts that no file of a coach's own changes. */
typedef struct {
    char drop_healthy[600], drop_otherwise[600], drop_source[300], all[600];
} sp_check_cautions;

struct sp_checks {
    sp_check *items; /* room for SP_CHECKS_MAX */
    size_t count;
    sp_check_cautions cautions;
};

/* What is done about the drop loads the shoulder, whatever a file says. */
bool sp_check_loads_shoulder(const sp_check *check);

/* assets/checks.json, ended by a zero byte. */
extern const char sp_checks_builtin[];

/* checks_read.c: fills `checks` from the built-in text; then changes it by the coach's own text.
 * After a failure `checks` is half changed: throw it away. */
bool sp_checks_read_builtin(sp_checks *checks, const char *text, size_t length, sp_error *error);
bool sp_cautions_read_builtin(sp_check_cautions *cautions, sp_error *error);
bool sp_checks_read_own(sp_checks *checks, const char *builtin, size_t builtin_length,
                        const char *text, size_t length, const char *name, sp_error *error);

#endif
