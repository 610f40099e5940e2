#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "serveplumb/theme.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

static const sp_theme *themes[2];

static int find_themes(void **state) {
    (void)state;
    themes[0] = sp_theme_dark();
    themes[1] = sp_theme_light();
    return 0;
}

static void at_least(double limit, sp_color a, sp_color b, const char *what, const char *theme) {
    const double ratio = sp_color_contrast(a, b);
    if (ratio < limit) fail_msg("%s of %s: %.2f:1, expected %.1f:1", what, theme, ratio, limit);
}

/* WCAG 2.1: black on white is 21:1; #777777 on white is 4.48:1, the well-known near miss. */
static void contrast_is_that_of_wcag(void **state) {
    (void)state;
    const sp_color white = {1, 1, 1, 1}, black = {0, 0, 0, 1};
    const sp_color grey = {0x77 / 255.0, 0x77 / 255.0, 0x77 / 255.0, 1};
    assert_true(fabs(sp_color_contrast(white, black) - 21.0) < 1e-9);
    assert_true(fabs(sp_color_contrast(grey, white) - 4.48) < 0.005);
    assert_true(fabs(sp_color_contrast(grey, grey) - 1.0) < 1e-12);
}

static void text_is_read_on_every_ground_of_both_themes(void **state) {
    (void)state;
    for (size_t i = 0; i < COUNT(themes); i++) {
        const sp_theme *t = themes[i];
        const sp_color grounds[] = {t->room, t->sheet, t->raised};
        for (size_t g = 0; g < COUNT(grounds); g++) {
            at_least(7.0, t->text, grounds[g], "text", t->id);
            at_least(4.5, t->faint, grounds[g], "faint text", t->id);
        }
        at_least(7.0, t->text, t->sheet, "text on the sheet", t->id);
        at_least(4.5, t->on_accent, t->accent, "text on the accent", t->id);
        at_least(4.5, t->done, t->sheet, "done", t->id);
        at_least(4.5, t->warn, t->sheet, "warning", t->id);
        at_least(4.5, t->accent, t->sheet, "accent", t->id); /* 3:1 would do for a ring */
        assert_true(t->small_px >= 13.0 && t->text_px >= t->small_px && t->title_px > t->text_px);
    }
}

static void numbers_in_the_picture_are_read_on_snow_and_at_night(void **state) {
    (void)state;
    for (size_t i = 0; i < COUNT(themes); i++) {
        const sp_color ground = themes[i]->label_ground;
        for (int white = 0; white < 2; white++) {
            const double under = white * (1.0 - ground.a);
            const sp_color mixed = {ground.r * ground.a + under, ground.g * ground.a + under,
                                    ground.b * ground.a + under, 1.0};
            at_least(7.0, themes[i]->label_text, mixed, "label", themes[i]->id);
        }
    }
}

static void hues_of(const sp_theme *theme, sp_color hues[6]) {
    const sp_color all[] = {theme->hitting_arm, theme->body,  theme->racquet,
                            theme->ball,        theme->plumb, theme->scale};
    for (int i = 0; i < 6; i++) hues[i] = all[i];
}

static bool same(sp_color a, sp_color b) { return a.r == b.r && a.g == b.g && a.b == b.b; }

static void each_thing_keeps_one_hue_of_okabe_and_ito_in_both_themes(void **state) {
    (void)state;
    /* Okabe & Ito 2008, "Color Universal Design", as R, G, B of 255, without black. */
    static const double published[][3] = {{230, 159, 0},  {86, 180, 233}, {0, 158, 115},
                                          {240, 228, 66}, {0, 114, 178},  {213, 94, 0},
                                          {204, 121, 167}};
    sp_color dark[6], light[6];
    hues_of(themes[0], dark);
    hues_of(themes[1], light);
    for (int i = 0; i < 6; i++) {
        assert_true(same(dark[i], light[i]));
        for (int j = 0; j < i; j++) assert_false(same(dark[i], dark[j]));
        bool found = false;
        for (size_t k = 0; k < COUNT(published); k++) {
            const sp_color hue = {published[k][0] / 255, published[k][1] / 255,
                                  published[k][2] / 255, 1};
            found = found || same(hue, dark[i]);
        }
        assert_true(found);
    }
}

/* A line is drawn in its hue over a dark outline: one of the two must stand off from any court. The
 * darkest hue (vermilion) has 5.6:1 to its outline, so 2.3:1 is the worst that any ground can do.
 */
static void a_line_with_its_outline_stands_off_from_every_court(void **state) {
    (void)state;
    static const struct {
        const char *name;
        sp_color color;
    } grounds[] = {{"clay in the sun", {0.76, 0.42, 0.28, 1}},
                   {"wet clay", {0.48, 0.24, 0.16, 1}},
                   {"grass", {0.35, 0.49, 0.22, 1}},
                   {"dry grass", {0.62, 0.60, 0.36, 1}},
                   {"blue hard court", {0.20, 0.37, 0.60, 1}},
                   {"green hard court", {0.23, 0.44, 0.33, 1}},
                   {"violet hard court", {0.38, 0.30, 0.55, 1}},
                   {"grey sky", {0.80, 0.82, 0.85, 1}},
                   {"white wall", {1, 1, 1, 1}},
                   {"dark hall", {0.10, 0.10, 0.11, 1}}};
    sp_color hues[6];
    hues_of(themes[0], hues);
    const sp_color outline = {themes[0]->label_ground.r, themes[0]->label_ground.g,
                              themes[0]->label_ground.b, 1};
    for (int i = 0; i < 6; i++) {
        at_least(4.5, hues[i], outline, "hue against its outline", "both");
        for (size_t g = 0; g < COUNT(grounds); g++) {
            const double of_hue = sp_color_contrast(hues[i], grounds[g].color);
            const double of_outline = sp_color_contrast(outline, grounds[g].color);
            if (fmax(of_hue, of_outline) < 2.25)
                fail_msg("hue %d on %s: %.2f and %.2f", i, grounds[g].name, of_hue, of_outline);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contrast_is_that_of_wcag),
        cmocka_unit_test(text_is_read_on_every_ground_of_both_themes),
        cmocka_unit_test(numbers_in_the_picture_are_read_on_snow_and_at_night),
        cmocka_unit_test(each_thing_keeps_one_hue_of_okabe_and_ito_in_both_themes),
        cmocka_unit_test(a_line_with_its_outline_stands_off_from_every_court),
    };
    return cmocka_run_group_tests_name("draw: theme", tests, find_themes, NULL);
}
