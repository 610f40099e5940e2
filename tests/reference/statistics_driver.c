/* Answers of the library to lines of numbers on standard input, for test_statistics.py. A list is
 * its count and its numbers.
 *   summary LIST            -> mean sd least most low high
 *   welch LIST LIST         -> difference low high t df p
 *   regroup LIST LIST       -> p p_least p_error regrouped exact
 *   signs LIST              -> the same
 *   g LIST LIST             -> g low high
 *   quantile SHARE DF       -> t; DF 0: infinite
 *   tail T DF               -> p
 *   noncentral T DF DELTA   -> share
 *   repeat ROWS TIMES LIST  -> typical error low high
 *   holm LIST               -> adjusted */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "serveplumb/statistics.h"

enum { ROOM = 4096 };

static double number(void) {
    double value;
    if (scanf("%lf", &value) != 1) exit(2);
    return value;
}

static size_t list(double *values) {
    const size_t count = (size_t)number();
    if (count > ROOM) exit(2);
    for (size_t i = 0; i < count; i++) values[i] = number();
    return count;
}

static double freedom(void) {
    const double df = number();
    return df > 0 ? df : (double)INFINITY;
}

static double one[ROOM], two[ROOM];

static void summary(void) {
    const sp_summary s = sp_summary_of(one, list(one));
    const sp_interval mean = sp_summary_mean(s);
    printf("%.17g %.17g %.17g %.17g %.17g %.17g\n", s.mean, s.sd, s.least, s.most, mean.low,
           mean.high);
}

static void welch(void) {
    const sp_summary a = sp_summary_of(one, list(one)), b = sp_summary_of(two, list(two));
    sp_welch w;
    if (!sp_welch_test(a, b, &w)) exit(3);
    printf("%.17g %.17g %.17g %.17g %.17g %.17g\n", w.difference.value, w.difference.low,
           w.difference.high, w.t, w.df, w.p);
}

static void tell(const sp_permutation *p) {
    printf("%.17g %.17g %.17g %.17g %d\n", p->p, p->p_least, p->p_error, p->regrouped, p->exact);
}

static void regroup(void) {
    const size_t first = list(one), second = list(two);
    sp_permutation p;
    if (!sp_permutation_test(one, first, two, second, 0, &p, NULL)) exit(3);
    tell(&p);
}

static void signs(void) {
    const size_t count = list(one);
    sp_permutation p;
    if (!sp_permutation_paired(one, count, 0, &p, NULL)) exit(3);
    tell(&p);
}

static void effect(void) {
    const sp_summary a = sp_summary_of(one, list(one)), b = sp_summary_of(two, list(two));
    const sp_interval g = sp_hedges_g(a, b);
    printf("%.17g %.17g %.17g\n", g.value, g.low, g.high);
}

static void quantile(void) {
    const double share = number();
    printf("%.17g\n", sp_t_quantile(share, freedom()));
}

static void tail(void) {
    const double t = number();
    printf("%.17g\n", sp_t_two_sided(t, freedom()));
}

static void noncentral(void) {
    const double t = number(), df = number();
    printf("%.17g\n", sp_noncentral_t(t, df, number()));
}

static void repeat(void) {
    const size_t rows = (size_t)number(), times = (size_t)number();
    if (list(one) != rows * times) exit(2);
    const sp_interval error = sp_typical_error_of(one, rows, times);
    printf("%.17g %.17g %.17g\n", error.value, error.low, error.high);
}

static void holm(void) {
    const size_t count = list(one);
    sp_holm_adjust(one, count, two);
    for (size_t i = 0; i < count; i++) printf("%.17g ", two[i]);
    printf("\n");
}

int main(void) {
    static const struct {
        const char *word;
        void (*answer)(void);
    } questions[] = {{"summary", summary}, {"welch", welch},
                     {"regroup", regroup}, {"signs", signs},
                     {"g", effect},        {"quantile", quantile},
                     {"tail", tail},       {"noncentral", noncentral},
                     {"repeat", repeat},   {"holm", holm}};
    char word[16];
    while (scanf("%15s", word) == 1)
        for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
            if (strcmp(word, questions[i].word) == 0) questions[i].answer();
    return 0;
}
