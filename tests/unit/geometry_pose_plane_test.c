/* Lens, turns, projection and planes: inverses and derivatives. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "court_camera.h"
#include "geometry/camera.h"
#include "geometry/lens.h"
#include "geometry/matrix3.h"
#include "serveplumb/plane.h"

static sp_camera bent_camera(double radial) {
    sp_camera camera = camera_a();
    camera.radial = radial;
    return camera;
}

/* --- lens ------------------------------------------------------------------------------------ */

static void straightening_undoes_bending_up_to_the_fold(void **state) {
    (void)state;
    const double terms[] = {-0.31, -0.087, 0, 0.02, 0.63};
    for (size_t k = 0; k < sizeof terms / sizeof terms[0]; k++)
        for (double r = 0; r < 1.1; r += 0.0371) {
            const sp_point straight = {-0.6 * r, 0.8 * r};
            sp_point back;
            if (!sp_lens_reaches(terms[k], straight)) continue;
            assert_true(sp_lens_straighten(terms[k], sp_lens_bend(terms[k], straight), &back));
            /* just before the fold the curve is flat, and digits are lost with its slope */
            const double slope = 1 + 3 * terms[k] * r * r;
            assert_near(sp_point_distance(back, straight), 0, 1e-14 / slope);
        }
}

static void nothing_is_seen_beyond_the_fold(void **state) {
    (void)state;
    /* k1 = -0.3: the curve turns at r = 1.0541, where r_d = 0.7027 */
    sp_point straight = {7, 7};
    assert_false(sp_lens_reaches(-0.3, (sp_point){1.06, 0}));
    assert_true(sp_lens_straighten(-0.3, (sp_point){0, 0.7026}, &straight));
    assert_false(sp_lens_straighten(-0.3, (sp_point){0, 0.7028}, &straight));
}

/* --- turns ----------------------------------------------------------------------------------- */

static void turn_keeps_lengths_and_turns_by_its_angle(void **state) {
    (void)state;
    const double angle[3] = {0.31, -1.12, 0.57}, axis_square = 0.31 * 0.31 + 1.12 * 1.12 + 0.3249;
    double turn[9], back[9], product[9];
    sp_turn_matrix(angle, turn);
    sp_turn_matrix((const double[3]){-0.31, 1.12, -0.57}, back);
    sp_matrix3_multiply(turn, back, product);
    for (int k = 0; k < 9; k++) assert_near(product[k], k % 4 == 0, 1e-15);
    /* trace = 1 + 2 cos(angle) */
    assert_near(turn[0] + turn[4] + turn[8], 1 + 2 * cos(sqrt(axis_square)), 1e-14);
}

static void turn_jacobian_is_the_derivative_by_differences(void **state) {
    (void)state;
    const double sizes[] = {1e-7, 0.0003, 0.4, 2.3};
    for (size_t s = 0; s < 4; s++) {
        const double angle[3] = {0.48 * sizes[s], -0.6 * sizes[s], 0.64 * sizes[s]};
        double turn[9], jacobian[9];
        sp_turn_matrix(angle, turn);
        sp_turn_jacobian(angle, jacobian);
        for (int axis = 0; axis < 3; axis++) {
            const double h = 1e-6;
            double more[3] = {angle[0], angle[1], angle[2]}, less[3];
            memcpy(less, angle, sizeof less);
            more[axis] += h;
            less[axis] -= h;
            double ahead[9], behind[9], slope[9], transposed[9], spin[9];
            sp_turn_matrix(more, ahead);
            sp_turn_matrix(less, behind);
            for (int k = 0; k < 9; k++) {
                slope[k] = (ahead[k] - behind[k]) / (2 * h);
                transposed[k] = turn[3 * (k % 3) + k / 3];
            }
            sp_matrix3_multiply(slope, transposed, spin); /* the cross matrix of J's column */
            assert_near(spin[7], jacobian[axis], 1e-8);
            assert_near(spin[2], jacobian[3 + axis], 1e-8);
            assert_near(spin[3], jacobian[6 + axis], 1e-8);
        }
    }
}

/* --- projection ------------------------------------------------------------------------------ */

static void projection_derivatives_are_those_of_differences(void **state) {
    (void)state;
    const sp_camera camera = bent_camera(-0.11);
    const sp_world place = {1.37, 2.91, 0.83};
    sp_projection seen;
    sp_camera_derive(&camera, place, &seen);
    for (int k = 0; k < SP_POSE_PARAMETERS; k++) {
        double change[SP_POSE_PARAMETERS] = {0};
        sp_point ahead, behind;
        change[k] = 1e-6;
        const sp_camera more = sp_camera_changed(&camera, change);
        change[k] = -1e-6;
        const sp_camera less = sp_camera_changed(&camera, change);
        assert_true(sp_camera_project(&more, place, &ahead));
        assert_true(sp_camera_project(&less, place, &behind));
        const sp_point slope = sp_point_times(sp_point_subtract(ahead, behind), 0.5e6);
        assert_near(seen.by_parameters[0][k], slope.x, 1e-5 * (1 + fabs(slope.x)));
        assert_near(seen.by_parameters[1][k], slope.y, 1e-5 * (1 + fabs(slope.y)));
    }
}

static void places_behind_the_camera_are_not_seen(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_point at = {1, 2};
    assert_false(sp_camera_project(&camera, (sp_world){-12, -4, 1}, &at));
    assert_near(at.x, 1, 0);
    const sp_world position = sp_camera_position(&camera);
    assert_near(position.x, -9, 1e-12);
    assert_near(position.y, -2.5, 1e-12);
    assert_near(position.z, 1.6, 1e-12);
}

/* --- ground and plane ------------------------------------------------------------------------ */

static void ground_is_the_inverse_of_the_projection_with_its_jacobian(void **state) {
    (void)state;
    const sp_camera camera = bent_camera(0.043);
    for (double x = -3.7; x < 5; x += 2.3)
        for (double y = -0.9; y < 9; y += 3.1) {
            sp_point at, ground, beside;
            sp_jacobian j;
            assert_true(sp_camera_project(&camera, (sp_world){x, y, 0}, &at));
            assert_true(sp_ground_from_picture(&camera, at, &ground, &j, NULL));
            assert_near(ground.x, x, 1e-9);
            assert_near(ground.y, y, 1e-9);
            const double h = 1e-3;
            assert_true(
                sp_ground_from_picture(&camera, (sp_point){at.x + h, at.y}, &beside, NULL, NULL));
            assert_near((beside.x - x) / h, j.xx, 1e-4 * (1 + fabs(j.xx)));
            assert_near((beside.y - y) / h, j.yx, 1e-4 * (1 + fabs(j.yx)));
        }
}

static void above_the_horizon_there_is_no_ground(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_point ground;
    sp_error error = {0};
    assert_false(sp_ground_from_picture(&camera, (sp_point){900, 100}, &ground, NULL, &error));
    assert_non_null(strstr(error.message, "above the horizon"));
    sp_point far_place;
    assert_true(sp_camera_project(&camera, (sp_world){80, 95, 0}, &far_place));
    assert_false(sp_ground_from_picture(&camera, far_place, &ground, NULL, &error));
    assert_non_null(strstr(error.message, "too flat"));
    const sp_camera bent = bent_camera(-0.9);
    assert_false(sp_ground_from_picture(&bent, (sp_point){5, 1075}, &ground, NULL, &error));
    assert_non_null(strstr(error.message, "lens"));
}

static void plane_maps_are_inverse_with_inverse_jacobians(void **state) {
    (void)state;
    const sp_camera camera = bent_camera(-0.067);
    sp_plane plane;
    assert_true(
        sp_plane_through(&camera, (sp_point){0.3, 0.1}, (sp_point){0.4, 3.1}, &plane, NULL));
    assert_near(sp_point_length(plane.direction), 1, 1e-15);
    for (double u = -1.1; u < 1.6; u += 0.53)
        for (double w = 0.05; w < 3.1; w += 0.61) {
            sp_point at, back, beside;
            sp_jacobian down, up;
            assert_true(sp_plane_to_picture(&plane, (sp_point){u, w}, &at, &down));
            assert_true(sp_plane_from_picture(&plane, at, &back, &up, NULL));
            assert_near(back.x, u, 1e-10);
            assert_near(back.y, w, 1e-10);
            assert_near(down.xx * up.xx + down.xy * up.yx, 1, 1e-9);
            assert_near(down.xx * up.xy + down.xy * up.yy, 0, 1e-9);
            const double h = 1e-3;
            assert_true(
                sp_plane_from_picture(&plane, (sp_point){at.x, at.y + h}, &beside, NULL, NULL));
            assert_near((beside.x - u) / h, up.xy, 1e-6);
            assert_near((beside.y - w) / h, up.yy, 1e-6);
        }
}

static void scale_and_plumb_are_those_of_two_points_close_together(void **state) {
    (void)state;
    const sp_camera camera = bent_camera(0.02);
    sp_plane plane;
    assert_true(sp_plane_through(&camera, (sp_point){0.3, 0.1}, (sp_point){0, 1}, &plane, NULL));
    const sp_point here = {0.41, 1.73};
    sp_point at, above, aside;
    assert_true(sp_plane_to_picture(&plane, here, &at, NULL));
    assert_true(sp_plane_to_picture(&plane, (sp_point){here.x, here.y + 1e-4}, &above, NULL));
    assert_true(sp_plane_to_picture(&plane, (sp_point){here.x + 1e-4, here.y}, &aside, NULL));
    sp_plumb plumb;
    assert_true(sp_plumb_from_hang(at, above, 1, &plumb));
    assert_near(sp_plane_plumb_deg(&plane, here), plumb.angle_deg, 1e-2);
    const double area =
        fabs(sp_point_cross(sp_point_subtract(above, at), sp_point_subtract(aside, at)));
    assert_digits(sp_plane_m_per_px(&plane, here), 1e-4 / sqrt(area), 1e-3);
    assert_near(sp_plane_distance_m(&plane, here),
                sqrt(9.3 * 9.3 + (0.1 + 0.41 + 2.5) * (0.1 + 0.41 + 2.5) + 0.13 * 0.13), 1e-12);
}

static void planes_seen_along_or_behind_are_refused(void **state) {
    (void)state;
    const sp_camera camera = camera_a();
    sp_plane plane;
    sp_error error = {0};
    assert_false(
        sp_plane_through(&camera, (sp_point){0.3, 0.1}, (sp_point){9.3, 2.6}, &plane, &error));
    assert_non_null(strstr(error.message, "looks along the plane"));
    assert_false(sp_plane_through(&camera, (sp_point){-14, -4}, (sp_point){0, 1}, &plane, &error));
    assert_non_null(strstr(error.message, "behind the camera"));
    assert_false(sp_plane_through(&camera, (sp_point){0, 0}, (sp_point){0, 0}, &plane, &error));
    assert_non_null(strstr(error.message, "direction"));
    /* slanting away to the left: met at 29 degrees in the middle, along it at the left edge */
    assert_true(sp_plane_through(&camera, (sp_point){0, 0}, (sp_point){0.75, 1}, &plane, &error));
    sp_point at;
    assert_true(sp_plane_from_picture(&plane, (sp_point){1900, 540}, &at, NULL, &error));
    assert_false(sp_plane_from_picture(&plane, (sp_point){20, 540}, &at, NULL, &error));
}

/* Twenty degrees is the limit, on both sides of it. */
static void limit_of_the_plane_is_where_the_header_says(void **state) {
    (void)state;
    const sp_camera camera = looking((sp_world){-10, 0, 1.0}, (sp_world){0, 0, 1.0}, 0, 1500);
    sp_plane plane;
    const double radians = acos(-1) / 180;
    for (double angle = 18.5; angle < 22; angle += 1) {
        /* the ray to a foot on the ground dips, so its angle to the plane is a little smaller */
        const sp_point direction = {cos(angle * radians), sin(angle * radians)};
        const double ray = sin(angle * radians) * 10 / hypot(10, 1);
        const bool expected = asin(ray) / radians >= SP_PLANE_ANGLE_MIN_DEG;
        assert_int_equal(sp_plane_through(&camera, (sp_point){0, 0}, direction, &plane, NULL),
                         expected);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straightening_undoes_bending_up_to_the_fold),
        cmocka_unit_test(nothing_is_seen_beyond_the_fold),
        cmocka_unit_test(turn_keeps_lengths_and_turns_by_its_angle),
        cmocka_unit_test(turn_jacobian_is_the_derivative_by_differences),
        cmocka_unit_test(projection_derivatives_are_those_of_differences),
        cmocka_unit_test(places_behind_the_camera_are_not_seen),
        cmocka_unit_test(ground_is_the_inverse_of_the_projection_with_its_jacobian),
        cmocka_unit_test(above_the_horizon_there_is_no_ground),
        cmocka_unit_test(plane_maps_are_inverse_with_inverse_jacobians),
        cmocka_unit_test(scale_and_plumb_are_those_of_two_points_close_together),
        cmocka_unit_test(planes_seen_along_or_behind_are_refused),
        cmocka_unit_test(limit_of_the_plane_is_where_the_header_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
