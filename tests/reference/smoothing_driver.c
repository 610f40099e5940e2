/* Answers of the library to lines of numbers on standard input, for test_smoothing.py:
 *   design RATE CUTOFF PASSES                  -> a0 a1 a2 b1 b2
 *   smooth RATE CUTOFF PADDING N  then N of: X -> N values
 *   cutoff RATE N  then N of: X                -> cut-off, noise
 *   even N  then N of: T X                     -> rate, N values
 *   toss DRAG SD N  then N of: T X Y           -> acceleration x, y, its deviation, rms, plumb
 *     (DRAG 0: quadratics alone) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/smoothing.h"
#include "serveplumb/toss.h"

#define ROOM 2048

static double number(void) {
    double value;
    if (scanf("%lf", &value) != 1) exit(2);
    return value;
}

static size_t size(void) {
    const size_t count = (size_t)number();
    if (count > ROOM) exit(2);
    return count;
}

static void print(const double *values, size_t count) {
    for (size_t i = 0; i < count; i++) printf("%.17g ", values[i]);
    printf("\n");
}

static void design(void) {
    const double rate = number(), cutoff = number();
    sp_butterworth f;
    if (!sp_butterworth_design(rate, cutoff, (int)number(), &f, NULL)) exit(3);
    printf("%.17g %.17g %.17g %.17g %.17g\n", f.a0, f.a1, f.a2, f.b1, f.b2);
}

static void smooth(void) {
    const double rate = number(), cutoff = number(), padding = number();
    const size_t count = size();
    double values[ROOM];
    for (size_t i = 0; i < count; i++) values[i] = number();
    if (!sp_smooth(values, count, rate, cutoff, (size_t)padding, values, NULL)) exit(3);
    print(values, count);
}

static void choose(void) {
    const double rate = number();
    const size_t count = size();
    double values[ROOM];
    for (size_t i = 0; i < count; i++) values[i] = number();
    sp_cutoff found;
    if (!sp_smoothing_cutoff(values, count, rate, &found, NULL)) exit(3);
    printf("%.17g %.17g\n", found.cutoff_hz, found.noise);
}

static void even(void) {
    const size_t count = size();
    double times[ROOM], values[ROOM], out[ROOM], rate;
    for (size_t i = 0; i < count; i++) {
        times[i] = number();
        values[i] = number();
    }
    if (!sp_resample(times, values, count, out, &rate, NULL)) exit(3);
    printf("%.17g ", rate);
    print(out, count);
}

static void toss(void) {
    const double drag = number(), sd = number();
    const size_t count = size();
    sp_sample samples[ROOM];
    for (size_t i = 0; i < count; i++) {
        samples[i].time_s = number();
        samples[i].at.x = number();
        samples[i].at.y = number();
    }
    const sp_toss_options options = {.plain = drag == 0, .sd_px = sd};
    sp_toss t;
    if (!sp_toss_fit(samples, count, &options, &t, NULL)) exit(3);
    printf("%.17g %.17g %.17g %.17g %.17g\n", t.acceleration.x, t.acceleration.y,
           t.acceleration_sd_px, t.rms_px, t.plumb.angle_deg);
}

int main(void) {
    static const struct {
        const char *word;
        void (*answer)(void);
    } questions[] = {
        {"design", design}, {"smooth", smooth}, {"cutoff", choose}, {"even", even}, {"toss", toss}};
    char word[16];
    while (scanf("%15s", word) == 1)
        for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
            if (strcmp(word, questions[i].word) == 0) questions[i].answer();
    return 0;
}
