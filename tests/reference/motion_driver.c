/* Answers of the library to lines of numbers on standard input, for test_motion.py:
 *   fit DEGREE T0 N  then N of: T X Y    -> x y, velocity, acceleration, gain
 *   along DEGREE T0 N  then N of: T X Y  -> speed
 *   weights DEGREE T0 N  then N of: T    -> N weights
 *   parabola N  then N of: T X           -> three coefficients, residual sum of squares
 *   draw SEED N                          -> N standard normal numbers */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kinematics/polynomial.h"
#include "serveplumb/draws.h"
#include "serveplumb/motion.h"

static double number(void) {
    double value;
    if (scanf("%lf", &value) != 1) exit(2);
    return value;
}

static size_t samples(sp_sample *list) {
    const size_t count = (size_t)number();
    if (count > SP_MOTION_SAMPLES_MAX) exit(2);
    for (size_t i = 0; i < count; i++) {
        list[i].time_s = number();
        list[i].at.x = number();
        list[i].at.y = number();
    }
    return count;
}

static void fit(void) {
    const int degree = (int)number();
    const double t0 = number();
    sp_sample list[SP_MOTION_SAMPLES_MAX];
    const size_t count = samples(list);
    sp_motion m;
    if (!sp_motion_fit(list, count, degree, t0, &m)) exit(3);
    printf("%.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", m.position.x, m.position.y, m.velocity.x,
           m.velocity.y, m.acceleration.x, m.acceleration.y, m.noise_gain);
}

static void along(void) {
    const int degree = (int)number();
    const double t0 = number();
    sp_sample list[SP_MOTION_SAMPLES_MAX];
    const size_t count = samples(list);
    double speed;
    if (!sp_motion_speed_along(list, count, degree, t0, &speed)) exit(3);
    printf("%.17g\n", speed);
}

static void weigh(void) {
    const int degree = (int)number();
    const double t0 = number();
    const size_t count = (size_t)number();
    double times[SP_MOTION_SAMPLES_MAX], weights[SP_MOTION_SAMPLES_MAX];
    if (count > SP_MOTION_SAMPLES_MAX) exit(2);
    for (size_t i = 0; i < count; i++) times[i] = number();
    if (!sp_motion_weights(times, count, degree, t0, weights)) exit(3);
    for (size_t i = 0; i < count; i++) printf("%.17g ", weights[i]);
    printf("\n");
}

static void parabola(void) {
    const size_t count = (size_t)number();
    double times[SP_POLYNOMIAL_SAMPLES_MAX], values[SP_POLYNOMIAL_SAMPLES_MAX];
    double c[SP_POLYNOMIAL_TERMS_MAX], rss;
    if (count > SP_POLYNOMIAL_SAMPLES_MAX) exit(2);
    for (size_t i = 0; i < count; i++) {
        times[i] = number();
        values[i] = number();
    }
    sp_polynomial polynomial;
    if (!sp_polynomial_prepare(&polynomial, times, count, 2)) exit(3);
    sp_polynomial_solve(&polynomial, values, c, &rss);
    printf("%.17g %.17g %.17g %.17g\n", c[0], c[1], c[2], rss);
}

static void draw(void) {
    sp_random *random = sp_random_new((uint64_t)number(), NULL);
    if (random == NULL) exit(3);
    const size_t count = (size_t)number();
    for (size_t i = 0; i < count; i++) printf("%.17g ", sp_random_normal(random));
    printf("\n");
    sp_random_free(random);
}

int main(void) {
    static const struct {
        const char *word;
        void (*answer)(void);
    } questions[] = {
        {"fit", fit}, {"along", along}, {"weights", weigh}, {"parabola", parabola}, {"draw", draw}};
    char word[16];
    while (scanf("%15s", word) == 1)
        for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
            if (strcmp(word, questions[i].word) == 0) questions[i].answer();
    return 0;
}
