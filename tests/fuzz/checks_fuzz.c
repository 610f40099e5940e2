/* Any bytes as a coach's own checks: refused with one line that says that the built-in checks are
 * used, or taken; then a serve has one finding for each check, and what is said of the drop is said
 * with its caution. For libFuzzer, and for replay.c. */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "readout/checks.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* In failing.c: whether an allocation was made to fail. */
bool failing_has_failed(void) __attribute__((weak));

static void require(bool holds, const char *what) {
    if (holds) return;
    fprintf(stderr, "checks_fuzz: does not hold: %s\n", what);
    abort();
}

static bool has_memory(void) { return failing_has_failed == NULL || !failing_has_failed(); }

static sp_review *serve(sp_shoulder shoulder) {
    sp_review_clip clip = {.file = "a", .frames = 9, .width = 640, .height = 480, .slowdown = 1};
    memset(clip.sha256, 'a', 64);
    const sp_player player = {.shoulder = shoulder};
    const sp_mark elbow = {.at = {300, 200}}, hand = {.at = {250, 120}};
    const sp_judgement not_met = {.verdict = SP_VERDICT_NOT_MET, .frame = -1};
    sp_review *review = sp_review_new(&clip, NULL);
    if (review != NULL && sp_review_set_player(review, &player, NULL) &&
        sp_review_set_moment(review, "drop", 4, NULL) &&
        sp_review_set_mark(review, 4, SP_POINT_RIGHT_ELBOW, &elbow, NULL) &&
        sp_review_set_mark(review, 4, SP_POINT_RIGHT_HAND, &hand, NULL) &&
        sp_review_set_judgement(review, "tip_low_in_drop", &not_met, NULL))
        return review;
    sp_review_free(review);
    return NULL;
}

static void check_cautions(const sp_findings *findings, const char *caution) {
    for (size_t i = 0; i < sp_findings_count(findings); i++) {
        const sp_finding *finding = sp_findings_at(findings, i);
        require(finding->status != SP_CHECK_NOT_MET || !sp_check_loads_shoulder(finding->check) ||
                    strstr(finding->advice, caution) != NULL,
                "what is said of the drop holds its caution");
    }
}

static void check_findings(const sp_checks *checks, sp_shoulder shoulder) {
    static const double seconds[] = {0, .1, .2, .3, .4, .5, .6, .7, .8};
    const sp_readout_options options = {.draws = 3};
    sp_review *review = serve(shoulder);
    sp_readout *readout =
        review == NULL ? NULL
                       : sp_readout_new(review, (sp_frame_times){seconds, 9}, &options, NULL);
    sp_findings *findings =
        readout == NULL ? NULL : sp_findings_new(checks, review, readout, SP_UNITS_METRIC, NULL);
    require(findings != NULL || !has_memory(), "findings are had");
    if (findings != NULL) {
        require(sp_findings_count(findings) == sp_checks_count(checks), "one finding a check");
        check_cautions(findings,
                       shoulder == SP_SHOULDER_HEALTHY ? "Warm up first" : "physician first");
        free(sp_findings_detach_json(findings, review, "fuzz", NULL));
    }
    sp_findings_free(findings);
    sp_readout_free(readout);
    sp_review_free(review);
}

static bool read_own(sp_checks *checks, const uint8_t *data, size_t size) {
    sp_error fault = {0};
    char *text = malloc(size + 1);
    if (text == NULL) return false;
    memcpy(text, data, size);
    text[size] = '\0';
    const bool taken = sp_checks_read_own(checks, sp_checks_builtin, strlen(sp_checks_builtin),
                                          text, size, "input", &fault);
    if (!taken) {
        require(fault.message[0] != '\0' && strchr(fault.message, '\n') == NULL,
                "a fault is one line");
        require(fault.code != SP_ERROR_MEMORY || !has_memory(),
                "memory is missing when it is said");
    }
    free(text);
    return taken;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    sp_checks *checks = sp_checks_new(NULL, NULL, NULL);
    require(checks != NULL || !has_memory(), "the built-in checks are there");
    if (checks == NULL) return 0;
    if (read_own(checks, data, size)) {
        check_findings(checks, SP_SHOULDER_HEALTHY);
        check_findings(checks, SP_SHOULDER_UNKNOWN);
    }
    sp_checks_free(checks);
    return 0;
}
