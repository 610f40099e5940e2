#include "window/findings.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "window/actions.h"
#include "window/state.h"

void findings_load(window *w) {
    char path[PATH_MAX];
    sp_error fault = {0}, error = {0};
    const bool own = sp_checks_own_path(path, sizeof path);
    w->findings.checks = sp_checks_new(own ? path : NULL, &fault, &error);
    if (w->findings.checks == NULL) message_problem(w, &error);
    if (fault.code != SP_ERROR_NONE) message_problem(w, &fault);
}

void findings_free(window *w) {
    sp_findings_free(w->findings.now);
    sp_checks_free(w->findings.checks);
    sp_last_time_free(&w->findings.last);
    w->findings = (findings){.open = ""};
}

/* Looked for once for each review, its day and its player, not after every edit. */
static void look_back(window *w) {
    const session *s = &w->session;
    char of[sizeof w->findings.last_of];
    snprintf(of, sizeof of, "%d %s %s", (int)sp_review_get_player(s->review)->hand,
             sp_review_get_reviewed(s->review), s->review_path);
    if (strcmp(of, w->findings.last_of) == 0) return;
    memcpy(w->findings.last_of, of, sizeof of);
    sp_last_time_free(&w->findings.last);
    w->findings.last = sp_last_time_read(s->review, s->review_path);
}

void findings_refresh(window *w) {
    sp_error error = {0};
    sp_findings_free(w->findings.now);
    w->findings.now = NULL;
    if (w->findings.checks == NULL || !window_is_open(w)) return;
    w->findings.now = sp_findings_new(w->findings.checks, w->session.review, w->session.readout,
                                      w->units, &error);
    look_back(w);
    if (w->findings.now == NULL || !sp_last_time_ask(&w->findings.last, w->findings.now, &error))
        message_problem(w, &error);
}

static const sp_finding *unfolded(const window *w) {
    if (w->findings.now == NULL || w->findings.open[0] == '\0') return NULL;
    return sp_findings_find(w->findings.now, w->findings.open);
}

/* To its frame, so that the words and the picture are read together. */
void act_finding(window *w, int index) {
    const sp_finding *finding = sp_findings_at(w->findings.now, (size_t)index);
    const char *id = sp_check_get_id(finding->check);
    const bool close = strcmp(w->findings.open, id) == 0;
    const int frame = finding->frame;
    snprintf(w->findings.open, sizeof w->findings.open, "%s", close ? "" : id);
    if (!close && frame >= 0) act_go_frame(w, frame);
    window_touch(w, PART_SHEET);
}

void act_judge(window *w, int verdict) {
    const sp_finding *finding = unfolded(w);
    if (finding == NULL || !edit_allowed(w)) return;
    const sp_judgement judgement = {.verdict = (sp_verdict)verdict, .frame = w->frames.number};
    sp_error error = {0};
    const bool good = sp_review_set_judgement(w->session.review, sp_check_get_id(finding->check),
                                              &judgement, &error);
    edit_end(w, good, &error);
}

void act_seen(window *w, int seen) {
    const sp_finding *finding = unfolded(w);
    if (finding == NULL || !edit_allowed(w)) return;
    sp_error error = {0};
    edit_end(w, sp_finding_mark_seen(w->session.review, finding, seen != 0, &error), &error);
}

void act_order(window *w, int by) {
    const sp_finding *finding = unfolded(w);
    if (finding == NULL || !edit_allowed(w)) return;
    if (finding->place + by < 1) {
        message_say(w, "It stands first already.");
        return;
    }
    sp_error error = {0};
    edit_end(w,
             sp_finding_move(w->session.review, w->findings.now, sp_check_get_id(finding->check),
                             finding->place + by, &error),
             &error);
}

static void begin_words(const window *w, char *text, size_t size) {
    const sp_finding_entry *entry = sp_review_finding_find(w->session.review, w->findings.open);
    text[0] = '\0';
    if (entry != NULL && entry->text != NULL) sp_text_copy(text, size, entry->text);
}

static bool accept_words(window *w, const char *text, sp_error *error) {
    if (!sp_finding_say(w->session.review, w->findings.open, text, error)) return false;
    return edit_end(w, true, error);
}

static const card_line words_line = {
    "In your words: what to work on, and how?",
    "They stand in place of the program's advice; its caution stays. Empty: the program's again.",
    begin_words, accept_words};

void act_say(window *w, int unused) {
    (void)unused;
    if (unfolded(w) != NULL && edit_allowed(w)) card_show_line(w, &words_line);
}

/* The words that ask the student for the next clip, to be pasted into a message. */
void act_copy_request(window *w, int unused) {
    (void)unused;
    const char *text = w->findings.now == NULL ? "" : sp_findings_next_clip(w->findings.now, NULL);
    if (text[0] == '\0')
        message_say(w, "Nothing is left unseen: no other clip is needed.");
    else if (SDL_SetClipboardText(text) == 0)
        message_say(w, "Copied, to be pasted into a message: %s", text);
}
