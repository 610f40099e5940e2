#include "cli/how_far.h"

#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

#define EVERY_S 0.2

static volatile sig_atomic_t interrupted;

static void on_signal(int number) {
    (void)number;
    interrupted = 1;
}

static double now_s(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void cli_how_far_begin(cli_how_far *work, const char *what) {
    *work = (cli_how_far){.what = what, .started_s = now_s(), .shown = isatty(STDERR_FILENO) == 1};
    struct sigaction action = {.sa_handler = on_signal};
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    sigaction(SIGHUP, &action, NULL);
}

bool cli_how_far_tell(void *whom, double share) {
    cli_how_far *work = whom;
    if (interrupted) return false;
    const double now = now_s(), spent = now - work->started_s;
    if (!work->shown || now - work->told_s < EVERY_S) return true;
    work->told_s = now;
    fprintf(stderr, "\r%s %3.0f %%", work->what, 100.0 * share);
    if (share > 0.02 && spent > 0.5)
        fprintf(stderr, ", %.0f s left   ", ceil(spent * (1.0 - share) / share));
    return true;
}

void cli_how_far_end(cli_how_far *work) {
    if (work->shown) fprintf(stderr, "\r%*s\r", 48, "");
}
