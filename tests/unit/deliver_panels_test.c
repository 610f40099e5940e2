#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "../near.h"
#include "base/file.h"
#include "deliver/panels_layout.h"
#include "filmed.h"
#include "grey_clip.h"
#include "serveplumb/plumb.h"

static int make_clip(void **state) {
    (void)state;
    return grey_folder_make("1080x1920");
}

typedef struct {
    filmed film;
    sp_readout *readout;
} take;

static take take_new(film how) {
    take t = {.film = filmed_serve(how)};
    t.readout = filmed_read(&t.film, 150, 0);
    return t;
}

static void take_free(take *t) {
    sp_readout_free(t->readout);
    filmed_free(&t->film);
}

static sp_panel panel_of(const take *t, const char *moment, int frame) {
    return (sp_panel){
        .review = t->film.review, .readout = t->readout, .frame = frame, .moment = moment};
}

/* A place in the plane of motion (metres) on the panel. */
static sp_point on_panel(const take *t, const sp_panel_view *view, double u, double w) {
    const sp_point p = filmed_pixel(&t->film, u, w);
    const double turn = view->turn_deg / 57.295779513082320876798;
    return (sp_point){view->origin.x + view->zoom * (p.x * cos(turn) - p.y * sin(turn)),
                      view->origin.y + view->zoom * (p.x * sin(turn) + p.y * cos(turn))};
}

static void the_plumb_is_upright_and_levels_are_level_in_each_panel(void **state) {
    (void)state;
    take t = take_new((film){.tilt_deg = 6.3});
    const sp_panel panels[] = {panel_of(&t, "trophy", TROPHY), panel_of(&t, "drop", DROP)};
    sp_panels_layout l;
    sp_panels_lay_out(panels, 2, false, &l);
    assert_int_equal(l.scale, SP_PANELS_SAME_CAMERA);
    for (int i = 0; i < 2; i++) {
        const sp_point foot = on_panel(&t, &l.views[i], 0.17, 0.0);
        const sp_point above = on_panel(&t, &l.views[i], 0.17, 2.1);
        const sp_point aside = on_panel(&t, &l.views[i], 0.93, 0.0);
        assert_near(above.x, foot.x, 1e-9);
        assert_near(aside.y, foot.y, 1e-9);
        assert_true(above.y < foot.y && aside.x > foot.x);
    }
    /* one camera: the same place of the court lies at the same place of both panels */
    const sp_point a = on_panel(&t, &l.views[0], 0.4, 1.3), b = on_panel(&t, &l.views[1], 0.4, 1.3);
    assert_near(a.x, b.x, 1e-9);
    assert_near(a.y, b.y, 1e-9);
    take_free(&t);
}

static void a_metre_is_as_long_in_both_reviews_and_the_hips_are_level(void **state) {
    (void)state;
    take near = take_new((film){.m_per_px = 0.0041, .tilt_deg = -2.7});
    take far =
        take_new((film){.m_per_px = 0.0063, .tilt_deg = 4.1, .shift_x = -71, .shift_y = 140});
    const sp_panel panels[] = {panel_of(&near, "drop", DROP), panel_of(&far, "drop", DROP)};
    sp_panels_layout l;
    sp_panels_lay_out(panels, 2, false, &l);
    assert_int_equal(l.scale, SP_PANELS_SAME_SCALE);
    const take *takes[] = {&near, &far};
    double metre[2], hips[2];
    for (int i = 0; i < 2; i++) {
        metre[i] = sp_point_distance(on_panel(takes[i], &l.views[i], 0.1, 0.2),
                                     on_panel(takes[i], &l.views[i], 0.1, 1.2));
        hips[i] = on_panel(takes[i], &l.views[i], 0.16, 1.065).y;
    }
    assert_near(metre[0], metre[1], 0.002 * metre[0]);
    assert_near(hips[0], hips[1], 0.01);
    take_free(&near);
    take_free(&far);
}

static void reviews_without_a_scale_are_not_said_to_be_at_one(void **state) {
    (void)state;
    take one = take_new((film){0}), other = take_new((film){.m_per_px = 0.006});
    assert_true(sp_review_set_scale(other.film.review, "baseline", NULL, NULL));
    sp_readout_free(other.readout);
    other.readout = filmed_read(&other.film, 150, 0);
    const sp_panel panels[] = {panel_of(&one, "drop", DROP), panel_of(&other, "drop", DROP)};
    assert_int_equal(sp_panels_scale_of(panels, 2), SP_PANELS_EACH_ITS_OWN);
    take_free(&one);
    take_free(&other);
}

static void every_point_of_every_player_lies_in_its_panel(void **state) {
    (void)state;
    take t = take_new((film){.tilt_deg = -3.3});
    const sp_panel panels[] = {panel_of(&t, "trophy", TROPHY), panel_of(&t, "drop", DROP),
                               panel_of(&t, "contact", CONTACT)};
    sp_panels_layout l;
    sp_panels_lay_out(panels, 3, false, &l);
    assert_int_equal(l.columns, 3);
    assert_int_equal(l.rows, 1);
    static const place *const places[] = {filmed_trophy, filmed_drop};
    static const size_t counts[] = {sizeof filmed_trophy / sizeof filmed_trophy[0],
                                    sizeof filmed_drop / sizeof filmed_drop[0]};
    for (int i = 0; i < 2; i++)
        for (size_t k = 0; k < counts[i]; k++) {
            const sp_point at = on_panel(&t, &l.views[i], places[i][k].u, places[i][k].w);
            assert_true(at.x > 0 && at.x < l.panel_width && at.y > 0 && at.y < l.panel_height);
        }
    take_free(&t);
}

static void panels_without_points_show_whole_pictures(void **state) {
    (void)state;
    filmed bare = filmed_new((film){0});
    const take t = {.film = bare, .readout = filmed_read(&bare, 150, 0)};
    const sp_panel panels[] = {panel_of(&t, NULL, 3), panel_of(&t, NULL, 4)};
    sp_panels_layout l;
    sp_panels_lay_out(panels, 2, false, &l);
    assert_near(l.views[0].zoom * 1080, l.panel_width, 1e-6);
    assert_near(l.panel_height, l.panel_width * 1920 / 1080, 0.51);
    assert_near(l.views[0].origin.x, 0, 1e-9);
    sp_readout_free(t.readout);
    filmed_free(&bare);
}

static uint32_t pixel_at(const sp_picture *picture, sp_point at) {
    uint32_t pixel;
    memcpy(&pixel, picture->pixels + (size_t)at.y * picture->stride + (size_t)at.x * 4, 4);
    return pixel & 0xFFFFFF;
}

static void the_racquets_path_has_its_hue_where_the_tip_was_marked(void **state) {
    (void)state;
    take t = take_new((film){0});
    sp_clip *clip = sp_clip_open(path_of("serve.mp4"), NULL, NULL);
    assert_non_null(clip);
    sp_panel panels[] = {panel_of(&t, "trophy", TROPHY), panel_of(&t, "drop", DROP),
                         panel_of(&t, "contact", CONTACT)};
    for (int i = 0; i < 3; i++) panels[i].clip = clip;
    sp_picture with, without;
    assert_true(
        sp_panels_draw(panels, 3, &(sp_panels_options){.path = SP_PATH_TO_CONTACT}, &with, NULL));
    assert_true(sp_panels_draw(panels, 3, &(sp_panels_options){.path = SP_PATH_SO_FAR}, &without,
                               NULL)); /* nothing of it up to the drop */
    sp_panels_layout l;
    sp_panels_lay_out(panels, 3, true, &l);
    const double contact_s = filmed_real_time(&t.film, CONTACT);
    for (int frame = CONTACT - 7; frame < CONTACT; frame++) {
        const sp_point tip = filmed_swing(filmed_real_time(&t.film, frame) - contact_s);
        const sp_point at = on_panel(&t, &l.views[1], tip.x, tip.y);
        const sp_point there = {at.x + l.panel_width + l.gap, at.y};
        assert_int_equal(pixel_at(&with, there), 0xCC79A7);
        assert_int_not_equal(pixel_at(&without, there), 0xCC79A7);
    }
    sp_picture_clear(&with);
    sp_picture_clear(&without);
    sp_clip_close(clip);
    take_free(&t);
}

static void a_row_is_written_as_one_page_of_pdf(void **state) {
    (void)state;
    take t = take_new((film){0});
    sp_clip *clip = sp_clip_open(path_of("serve.mp4"), NULL, NULL);
    sp_panel panels[] = {panel_of(&t, "trophy", TROPHY), panel_of(&t, "drop", DROP)};
    for (int i = 0; i < 2; i++) panels[i].clip = clip;
    assert_true(sp_panels_write(panels, 2, &(sp_panels_options){0}, path_of("row.pdf"), NULL));
    char *bytes;
    size_t length;
    assert_true(sp_file_read(path_of("row.pdf"), 1u << 26, &bytes, &length, NULL));
    assert_memory_equal(bytes, "%PDF-1.", 7);
    assert_non_null(memmem(bytes, length, "%%EOF", 5));
    free(bytes);
    panels[1].frame = 7000;
    sp_error error = {0};
    assert_false(sp_panels_write(panels, 2, &(sp_panels_options){0}, path_of("row.pdf"), &error));
    assert_non_null(strstr(error.message, "frames 0 to 119"));
    sp_clip_close(clip);
    take_free(&t);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plumb_is_upright_and_levels_are_level_in_each_panel),
        cmocka_unit_test(a_metre_is_as_long_in_both_reviews_and_the_hips_are_level),
        cmocka_unit_test(reviews_without_a_scale_are_not_said_to_be_at_one),
        cmocka_unit_test(every_point_of_every_player_lies_in_its_panel),
        cmocka_unit_test(panels_without_points_show_whole_pictures),
        cmocka_unit_test(the_racquets_path_has_its_hue_where_the_tip_was_marked),
        cmocka_unit_test(a_row_is_written_as_one_page_of_pdf),
    };
    return cmocka_run_group_tests_name("deliver: panels", tests, make_clip, grey_folder_remove);
}
