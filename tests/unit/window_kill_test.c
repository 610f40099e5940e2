/* kill -9 at random instants of a scripted session: what is on disk afterwards is a whole review
 * that holds every edit that had ended, and perhaps the one in flight. SERVEPLUMB_KILLS sets how
 * many instants; more in a long run. */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/wait.h>
#include <time.h>

#include <cmocka.h>

#include "serveplumb/draws.h"
#include "unit/window_desk.h"
#include "window/moments.h"

enum { EDITS = 160, KILLS = 50 };

/* What a coach does, one edit each; undo and redo among them. */
static void edit(window *w, int i) {
    w->frames.number = (7 * i) % 40;
    switch (i % 8) {
    case 0: act_name_moment(w, (i / 8) % MOMENT_COUNT); break;
    case 1: tool_tap(w, (sp_point){60.5 + i, 30.25 + i / 2.0}); break;
    case 2:
        edit_mark(w, w->frames.number, SP_POINT_RACQUET_TIP, (sp_point){200.1, 60.5 + i});
        break;
    case 3: act_nudge(w, ACT_RIGHT | ACT_FINE); break;
    case 4: act_hand(w, 0); break;
    case 5: act_guess(w, 0); break;
    case 6: act_undo(w, 0); break;
    default: act_shoulder(w, 0); break;
    }
}

/* The text of the review after each number of edits. */
static char *texts[EDITS + 1];

static void run_once(window *w) {
    for (int i = 0; i <= EDITS; i++) {
        if (i > 0) edit(w, i);
        texts[i] = sp_review_detach_text(w->session.review, NULL);
        assert_non_null(texts[i]);
    }
}

/* Never returns: it is killed, or has nothing left to do. */
static void work(int ended) {
    void *state = NULL;
    if (open_desk(&state) != 0) _exit(2);
    desk *d = state;
    if (write(ended, d->folder, sizeof d->folder) != sizeof d->folder) _exit(2);
    for (int i = 1; i <= EDITS; i++) {
        edit(d->w, i);
        const char one = 1;
        if (write(ended, &one, 1) != 1) _exit(2);
    }
    pause();
}

static int count_ended(int from) {
    int count = 0;
    char bytes[64];
    for (ssize_t had = read(from, bytes, sizeof bytes); had > 0;
         had = read(from, bytes, sizeof bytes))
        count += (int)had;
    return count;
}

/* Some edits change nothing and leave the same text: the first that fits, from `from` on. */
static int first_like(const char *text, int from) {
    for (int i = from; i <= EDITS; i++)
        if (strcmp(text, texts[i]) == 0) return i;
    return -1;
}

/* How many edits the file holds; -1: none that ever was. No file is the state before the first. */
static int edits_on_disk(const char *path, int from) {
    if (access(path, F_OK) != 0) return first_like(texts[0], from);
    sp_error error = {0};
    sp_review *review = sp_review_read(path, &error);
    if (review == NULL) fail_msg("after the kill: %s", error.message);
    char *text = sp_review_detach_text(review, NULL);
    const int found = first_like(text, from);
    free(text);
    sp_review_free(review);
    return found;
}

static void remove_folder(const char *folder) {
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    assert_int_equal(system(command), 0);
}

/* Returns how many edits had ended. */
static int kill_after(double wait_s) {
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]);
        work(ends[1]);
    }
    close(ends[1]);
    char folder[64], path[128];
    assert_int_equal(read(ends[0], folder, sizeof folder), sizeof folder);
    const struct timespec pause_for = {0, (long)(wait_s * 1e9)};
    nanosleep(&pause_for, NULL);
    assert_int_equal(kill(child, SIGKILL), 0);
    waitpid(child, NULL, 0);
    const int ended = count_ended(ends[0]);
    close(ends[0]);
    snprintf(path, sizeof path, "%s/serve.review.json", folder);
    const int kept = edits_on_disk(path, ended);
    remove_folder(folder);
    if (kept < ended || kept > ended + 1)
        fail_msg("%d edits had ended, the file is that after %d", ended, kept);
    return ended;
}

static void a_killed_window_loses_no_edit_that_had_ended(void **state) {
    run_once(((desk *)*state)->w);
    const char *wished = getenv("SERVEPLUMB_KILLS");
    const int kills = wished != NULL ? atoi(wished) : KILLS;
    sp_random *random = sp_random_new(20270314, NULL);
    assert_non_null(random);
    int amid = 0;
    for (int i = 0; i < kills; i++) {
        const int ended = kill_after(sp_random_uniform(random, 0, 0.06));
        if (ended > 0 && ended < EDITS) amid++;
    }
    sp_random_free(random);
    assert_true(amid > kills / 2); /* else the instants were not those of the session */
    for (int i = 0; i <= EDITS; i++) free(texts[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_killed_window_loses_no_edit_that_had_ended, open_desk,
                                        close_desk),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
