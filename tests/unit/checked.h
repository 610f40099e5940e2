/* Findings of a filmed serve. Include after cmocka. */
#ifndef SP_TESTS_CHECKED_H
#define SP_TESTS_CHECKED_H

#include "filmed.h"
#include "serveplumb/check.h"

typedef struct {
    sp_checks *checks;
    sp_readout *readout;
    sp_findings *findings;
} checked;

static inline checked checked_by(const filmed *f, sp_checks *checks, sp_units units) {
    sp_error error = {0};
    checked c = {.checks = checks, .readout = filmed_read(f, 400, 0)};
    c.findings = sp_findings_new(checks, f->review, c.readout, units, &error);
    if (c.findings == NULL) fail_msg("%s", error.message);
    return c;
}

static inline checked checked_serve(const filmed *f) {
    sp_error error = {0};
    sp_checks *checks = sp_checks_new(NULL, NULL, &error);
    if (checks == NULL) fail_msg("%s", error.message);
    return checked_by(f, checks, SP_UNITS_METRIC);
}

static inline void checked_free(checked *c) {
    sp_findings_free(c->findings);
    sp_readout_free(c->readout);
    sp_checks_free(c->checks);
}

static inline const sp_finding *checked_find(const checked *c, const char *id) {
    const sp_finding *finding = sp_findings_find(c->findings, id);
    if (finding == NULL) fail_msg("no finding of %s", id);
    return finding;
}

static inline void checked_shoulder(filmed *f, sp_shoulder shoulder) {
    sp_player player = *sp_review_get_player(f->review);
    player.shoulder = shoulder;
    assert_true(sp_review_set_player(f->review, &player, NULL));
}

#define assert_holds(text, words) holds_at(text, words, __FILE__, __LINE__)

static inline void holds_at(const char *text, const char *words, const char *file, int line) {
    if (strstr(text, words) != NULL) return;
    print_error("'%s'\n  does not hold '%s'\n", text, words);
    _fail(file, line);
}

#endif
