/* Numbers within a tolerance; a failure prints got, expected and tolerance. Include after cmocka.
 */
#ifndef SP_TESTS_NEAR_H
#define SP_TESTS_NEAR_H

#include <math.h>

#define assert_near(got, expected, tolerance)                                                      \
    near_at(got, expected, tolerance, #got, __FILE__, __LINE__)

static inline void near_at(double got, double expected, double tolerance, const char *what,
                           const char *file, int line) {
    if (fabs(got - expected) <= tolerance) return;
    print_error("%s = %.17g, expected %.17g within %.3g\n", what, got, expected, tolerance);
    _fail(file, line);
}

/* Relative: 1e-9 means nine digits. */
#define assert_digits(got, expected, relative)                                                     \
    assert_near(got, expected, fabs(expected) * (relative))

#define assert_none(got) assert_true(isnan(got))

#endif
