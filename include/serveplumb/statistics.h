/* Few numbers against few: means, Welch's test, regroupings, effect size, repeatability. Pure
 * functions of doubles; every value finite.
 *
 * Two-sided throughout. What is not independent (serves of one session, taps of one clip) makes
 * each of these too sure: whoever shows them says so. */
#ifndef SERVEPLUMB_STATISTICS_H
#define SERVEPLUMB_STATISTICS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"

/* --- one group ------------------------------------------------------------------------------- */
typedef struct {
    size_t count;
    double mean;        /* NAN of none */
    double sd;          /* n - 1 below; NAN of fewer than two */
    double least, most; /* NAN of none */
} sp_summary;
sp_summary sp_summary_of(const double *values, size_t count);
/* The mean with its 95 % interval by Student's t; ends NAN of fewer than two. */
sp_interval sp_summary_mean(sp_summary summary);

/* --- Student's t ----------------------------------------------------------------------------- */
/* `df` above 0 and not necessarily whole; INFINITY: the normal distribution. */
double sp_t_quantile(double share, double df); /* share below it, 0..1 */
double sp_t_two_sided(double t, double df);    /* P(|T| >= |t|) */

/* Variances added, each with its own degrees of freedom (INFINITY: known): those of the sum, by
 * Welch and Satterthwaite (JCGM 100:2008, G.4). INFINITY when all variances are 0. */
double sp_effective_df(const double *variances, const double *dfs, size_t count);

/* --- two groups ------------------------------------------------------------------------------ */
typedef struct {
    sp_interval difference; /* second mean - first mean, 95 % */
    double t, df, p;
} sp_welch;
/* Welch (1947) Biometrika 34:28-35. False when a group has fewer than two, or nothing varies. */
bool sp_welch_test(sp_summary first, sp_summary second, sp_welch *welch);

/* How often a regrouping of all values, or of the signs of the differences, gives a difference of
 * means at least as large as the one seen, which counts itself (Fisher 1935, The Design of
 * Experiments; methods of Efron and Tibshirani 1993, ch. 15). */
typedef struct {
    double p;
    double p_least;   /* the smallest that so many values can give, were there no ties */
    double p_error;   /* half of the 95 % interval of p itself by the random draws; 0: exact */
    double regrouped; /* how many were looked at */
    bool exact;       /* every one of them */
} sp_permutation;
/* Exact up to this many, else so many at random by the seed. */
#define SP_REGROUPINGS_MAX 3000000
#define SP_REGROUPINGS_DRAWN 100000
/* SP_ERROR_ARGUMENT when a group is empty; SP_ERROR_MEMORY. Ties within 1e-12 of the values' size
 * count as ties. seed 0: SP_DRAWS_SEED. */
bool sp_permutation_test(const double *first, size_t first_count, const double *second,
                         size_t second_count, uint64_t seed, sp_permutation *permutation,
                         sp_error *error);
bool sp_permutation_paired(const double *differences, size_t count, uint64_t seed,
                           sp_permutation *permutation, sp_error *error);

/* Hedges' g: the difference second - first by the pooled deviation, its small-sample bias taken off
 * by the gamma functions (Hedges 1981, J Educ Stat 6:107-128); the 95 % interval from those of the
 * noncentral t distribution (Steiger and Fouladi 1997, from memory), the same factor on its ends.
 * NAN when a group has fewer than two or nothing varies. */
sp_interval sp_hedges_g(sp_summary first, sp_summary second);
/* P(T <= t) of the noncentral t distribution, by quadrature; to 1e-8 for df of 1 and more. */
double sp_noncentral_t(double t, double df, double noncentrality);

/* --- repeatability --------------------------------------------------------------------------- */
/* Typical error of one measurement from `count` things measured twice: SD of the differences over
 * sqrt(2); interval by chi square (Hopkins 2000, Sports Med 30:1-15). NAN of fewer than two. The
 * mean difference is no part of it: a change between the first time and the second. */
sp_interval sp_typical_error(const double *first, const double *second, size_t count);
/* The same from `rows` things measured `times` each, row by row: root of the mean square within
 * things once the means of things and of times are taken off (Hopkins 2000; the MSE of Shrout and
 * Fleiss 1979). */
sp_interval sp_typical_error_of(const double *values, size_t rows, size_t times);
/* MDC95 = 1.96 sqrt(2) TE (Weir 2005, J Strength Cond Res 19:231-240): two single measurements of
 * the same thing differ by more one time in twenty. */
double sp_detectable_change(double typical_error);

/* --- several at once ------------------------------------------------------------------------- */
/* Holm (1979) Scand J Stat 6:65-70: adjusted[i] <= 0.05 for those that may be called different, so
 * that the chance of any false one among all is at most 0.05, whatever ties them together. */
void sp_holm_adjust(const double *p, size_t count, double *adjusted);

#endif
