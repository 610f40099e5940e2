/* Launch speed against the closed formula of drag and a step-by-step flight; sources beside each.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "serveplumb/flight.h"
#include "serveplumb/toss.h"

/* k = rho Cd A / (2 m) for 66.7 mm, 57.7 g and 1.204 kg/m^3, computed elsewhere (NumPy). */
static void drag_per_metre_is_the_tabled_one(void **state) {
    (void)state;
    assert_near(sp_flight_drag_per_m(0.45), 0.016404944, 1e-9);
    assert_near(sp_flight_drag_per_m(0.507), 0.018482903, 1e-9);
    assert_near(sp_flight_drag_per_m(0.55), 0.020050487, 1e-9);
    assert_near(sp_flight_drag_per_m(0.65), 0.023696030, 1e-9);
    assert_near(sp_flight_drag_per_m(SP_FLIGHT_CD), SP_DRAG_PER_M, 1e-9);
    /* terminal speed sqrt(g / k) */
    assert_near(sqrt(SP_GRAVITY / sp_flight_drag_per_m(0.507)), 23.0343, 1e-4);
}

static sp_flight solved(sp_flight_path path) {
    sp_flight flight;
    sp_error error = {0};
    if (!sp_flight_solve(&path, &flight, &error)) fail_msg("%s", error.message);
    return flight;
}

/* Same table: mean over 2 m / v0 = 0.981631; v after 18.288 m = 0.713184 v0. Without drop, and so
 * short or fast that the arc is none, the formula is all there is. */
static void formula_of_drag_alone_is_kept(void **state) {
    (void)state;
    const double v0 = 80;
    const sp_flight near = solved((sp_flight_path){.distance_m = 2, .time_s = 2 / (0.981631 * v0)});
    assert_digits(near.launch.value, v0, 3e-6);
    const double k = 0.018482903, x = 18.288;
    assert_near(exp(-k * x), 0.713184, 1e-6);
    const double time = expm1(k * x) / (k * v0);
    const sp_flight far = solved((sp_flight_path){.distance_m = x, .time_s = time});
    const double arc = far.arc_sd; /* 4e-4 here */
    assert_digits(far.launch.value, v0 * (1 + arc), 5e-4);
    assert_true(arc < 5e-4);
}

/* A serve by steps of 10 us under gravity and drag in height and length; no outside code. */
static sp_flight_path serve(double speed, double down_deg, double height, double drag) {
    double x = 0, z = height, t = 0;
    double vx = speed * cos(down_deg / 57.295779513), vz = -speed * sin(down_deg / 57.295779513);
    const double h = 1e-5;
    while (z > 0) {
        const double v = hypot(vx, vz);
        vx -= h * drag * v * vx;
        vz -= h * (SP_GRAVITY + drag * v * vz);
        x += h * vx;
        z += h * vz;
        t += h;
    }
    return (sp_flight_path){.distance_m = hypot(x, height), .drop_m = height, .time_s = t};
}

static void serves_step_by_step_give_back_their_launch_speed(void **state) {
    (void)state;
    const struct {
        double speed, down_deg, height;
    } rows[] = {{60, 5.4, 2.85}, {45, 4.1, 2.6}, {33, 1.3, 2.45}, {52, 6.2, 2.7}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const sp_flight flight = solved(
            serve(rows[i].speed, rows[i].down_deg, rows[i].height, sp_flight_drag_per_m(0.507)));
        assert_digits(flight.launch.value, rows[i].speed, 4e-3);
        assert_true(flight.launch.low < rows[i].speed && flight.launch.high > rows[i].speed);
        assert_true(flight.mean.value < flight.launch.value);
    }
}

/* Cd 0.45 and 0.65 are inside the interval that was had for 0.507. */
static void interval_covers_the_range_of_drag_coefficients(void **state) {
    (void)state;
    const double drags[] = {0.45, 0.507, 0.65};
    for (size_t i = 0; i < 3; i++) {
        const sp_flight flight = solved(serve(49, 5, 2.7, sp_flight_drag_per_m(drags[i])));
        assert_true(flight.launch.low <= 49 && 49 <= flight.launch.high);
        /* lopsided, as the range is */
        assert_true(flight.drag_high > 1.5 * flight.drag_low);
        assert_true(flight.launch.high - flight.launch.value >
                    flight.launch.value - flight.launch.low);
    }
}

/* GUM, law of propagation: relative deviations of length and time in quadrature, at 1.96. */
static void length_and_time_widen_as_the_law_of_propagation_says(void **state) {
    (void)state;
    const sp_flight_path path = {.distance_m = 17.3,
                                 .distance_sd_m = 0.26,
                                 .time_s = 0.412,
                                 .time_sd_s = 1.0 / 60 / sqrt(6)};
    const sp_flight flight = solved(path);
    const double expected =
        1.96 * sqrt(pow(0.26 / 17.3, 2) + pow(path.time_sd_s / 0.412, 2) + pow(flight.arc_sd, 2));
    assert_digits(log(flight.mean.high / flight.mean.value), expected, 1e-3);
    assert_digits(log(flight.mean.value / flight.mean.low), expected, 1e-3);
    /* a longer path also had more drag: k x / 2 more of it */
    assert_near(flight.distance_sd, 0.26 / 17.3 * (1 + 0.0185 * 17.3 / 2), 1e-3);
    assert_near(flight.time_sd, path.time_sd_s / 0.412, 1e-3);
}

static void what_is_no_serve_is_refused(void **state) {
    (void)state;
    sp_flight flight;
    const sp_flight_path wrong[] = {
        {.distance_m = 0, .time_s = 0.4},
        {.distance_m = 18, .time_s = 0},
        {.distance_m = NAN, .time_s = 0.4},
        {.distance_m = 18, .time_s = 0.4, .distance_sd_m = -1},
        {.distance_m = 2, .time_s = 0.1, .drop_m = 2.7},
        {.distance_m = 18, .time_s = 3.6}, /* eight times slowed down */
        {.distance_m = 18, .time_s = 0.11},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        sp_error error = {0};
        assert_false(sp_flight_solve(&wrong[i], &flight, &error));
        assert_int_equal(error.code, SP_ERROR_ARGUMENT);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drag_per_metre_is_the_tabled_one),
        cmocka_unit_test(formula_of_drag_alone_is_kept),
        cmocka_unit_test(serves_step_by_step_give_back_their_launch_speed),
        cmocka_unit_test(interval_covers_the_range_of_drag_coefficients),
        cmocka_unit_test(length_and_time_widen_as_the_law_of_propagation_says),
        cmocka_unit_test(what_is_no_serve_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
