#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "base/file.h"
#include "near.h"
#include "serveplumb/preferences.h"

/* A home of its own, so that no test meets the preferences of whoever runs it. */
static char home[64], file[4096];

static int move_in(void **state) {
    (void)state;
    strcpy(home, "/tmp/serveplumb-home-XXXXXX");
    if (mkdtemp(home) == NULL) return -1;
    setenv("XDG_CONFIG_HOME", home, 1);
    return sp_xdg_path(SP_XDG_CONFIG, "preferences.json", file, sizeof file) ? 0 : -1;
}

static int move_out(void **state) {
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", home);
    return system(command);
}

static void put(const char *text) {
    assert_true(sp_xdg_make_room(file, NULL));
    assert_true(sp_file_write(file, text, strlen(text), NULL));
}

static void what_is_written_is_read_back(void **state) {
    (void)state;
    const sp_preferences to = {.imperial = true,
                               .light = true,
                               .text_factor = 1.21,
                               .hand = SP_HAND_LEFT,
                               .view = SP_VIEW_BACK,
                               .points_sd_px = 2.37,
                               .cache_mb = 193,
                               .guided = true,
                               .microphone = "M\u00fcller's \"USB\" 2",
                               .voiceless = true};
    sp_preferences back;
    assert_true(sp_preferences_write(file, &to, NULL));
    assert_true(sp_preferences_read(file, &back, NULL));
    assert_true(back.imperial && back.light && back.guided && back.voiceless);
    assert_string_equal(back.microphone, to.microphone);
    assert_int_equal(back.hand, SP_HAND_LEFT);
    assert_int_equal(back.view, SP_VIEW_BACK);
    assert_int_equal(back.cache_mb, 193);
    assert_near(back.text_factor, 1.21, 1e-12);
    assert_near(back.points_sd_px, 2.37, 1e-12);
}

static void no_file_gives_the_defaults(void **state) {
    (void)state;
    sp_preferences p;
    assert_true(sp_preferences_read(file, &p, NULL));
    assert_false(p.imperial || p.light || p.guided || p.voiceless);
    assert_string_equal(p.microphone, "");
    assert_near(p.text_factor, 1, 0);
    assert_near(p.points_sd_px, 1.5, 0);
}

static void a_wrong_member_is_named_and_changes_nothing(void **state) {
    (void)state;
    static const char *const wrong[][2] = {
        {"{\"units\": \"imperial\", \"theme\": \"pink\"}", "theme"},
        {"{\"units\": 7}", "units"},
        {"{\"units\": \"imperial\", \"view\": \"above\"}", "view"},
        {"{\"units\": \"imperial\", \"text\": 9}", "text"},
        {"{\"units\": \"imperial\", \"points_sd_px\": 0}", "points_sd_px"},
        {"{\"units\": \"imperial\", \"cache_mb\": 1e99}", "cache_mb"},
        {"{\"units\": \"imperial\", \"guided\": 1}", "guided"},
        {"{\"units\": \"imperial\", \"microphone\": 2}", "microphone"},
        {"{\"units\": \"imperial\", \"voice\": \"loud\"}", "voice"},
        {"[]", "preferences.json"},
        {"{\"units\": ", "preferences.json"}};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        put(wrong[i][0]);
        sp_preferences p;
        sp_error error = {0};
        assert_false(sp_preferences_read(file, &p, &error));
        assert_non_null(strstr(error.message, wrong[i][1]));
        assert_null(strchr(error.message, '\n'));
        assert_false(p.imperial);
    }
}

static void members_that_are_not_known_are_kept(void **state) {
    (void)state;
    put("{\"later\": {\"x\": [1, 2]}, \"units\": \"metric\"}");
    sp_preferences p;
    assert_true(sp_preferences_read(file, &p, NULL));
    p.imperial = true;
    assert_true(sp_preferences_write(file, &p, NULL));
    char *text;
    size_t length;
    assert_true(sp_file_read(file, 4096, &text, &length, NULL));
    assert_non_null(strstr(text, "\"later\""));
    assert_non_null(strstr(text, "imperial"));
    free(text);
}

static void a_file_that_cannot_be_read_is_not_written_over(void **state) {
    (void)state;
    put("{\"units\": \"imperial\" and more");
    const sp_preferences p = sp_preferences_default();
    sp_error error = {0};
    assert_false(sp_preferences_write(file, &p, &error));
    char *text;
    size_t length;
    assert_true(sp_file_read(file, 4096, &text, &length, NULL));
    assert_string_equal(text, "{\"units\": \"imperial\" and more");
    free(text);
}

static void the_folders_follow_the_specification(void **state) {
    (void)state;
    char path[4096];
    setenv("HOME", "/home/coach", 1);
    setenv("XDG_STATE_HOME", "relative/is/not/to/be/used", 1);
    unsetenv("XDG_CACHE_HOME");
    assert_true(sp_xdg_path(SP_XDG_STATE, "recent.json", path, sizeof path));
    assert_string_equal(path, "/home/coach/.local/state/serveplumb/recent.json");
    assert_true(sp_xdg_path(SP_XDG_CACHE, "a.ppm", path, sizeof path));
    assert_string_equal(path, "/home/coach/.cache/serveplumb/a.ppm");
    assert_false(sp_xdg_path(SP_XDG_CACHE, "a.ppm", path, 12));
    struct stat facts;
    snprintf(path, sizeof path, "%s/serveplumb", home);
    put("{}");
    assert_int_equal(stat(path, &facts), 0);
    assert_int_equal(facts.st_mode & 0777, 0700);
}

static void the_newest_clip_comes_first_and_each_is_there_once(void **state) {
    (void)state;
    sp_recent recent = {.count = 0}, back;
    for (int i = 0; i < SP_RECENT_MAX + 7; i++) {
        sp_recent_clip clip = {.real_time = i == 20};
        snprintf(clip.path, sizeof clip.path, "/clips/%d.mp4", i);
        snprintf(clip.sha256, sizeof clip.sha256, "%064d", i);
        sp_recent_put(&recent, &clip);
    }
    assert_int_equal(recent.count, SP_RECENT_MAX);
    sp_recent_clip again = recent.at[10];
    strcpy(again.path, "/moved/20.mp4");
    sp_recent_put(&recent, &again);
    assert_int_equal(recent.count, SP_RECENT_MAX);
    assert_true(sp_recent_write(file, &recent, NULL));
    sp_recent_read(file, &back);
    assert_int_equal(back.count, SP_RECENT_MAX);
    assert_string_equal(back.at[0].path, "/moved/20.mp4");
    assert_true(back.at[0].real_time);
    assert_string_equal(back.at[1].path, "/clips/30.mp4");
    assert_false(back.at[1].real_time);
    assert_ptr_equal(sp_recent_find(&back, recent.at[3].sha256), &back.at[3]);
    put("{\"clips\": [7, {\"clip\": \"relative\"}, null]}");
    sp_recent_read(file, &back);
    assert_int_equal(back.count, 0);
}

#define AT_HOME(name) cmocka_unit_test_setup_teardown(name, move_in, move_out)

int main(void) {
    const struct CMUnitTest tests[] = {
        AT_HOME(what_is_written_is_read_back),
        AT_HOME(no_file_gives_the_defaults),
        AT_HOME(a_wrong_member_is_named_and_changes_nothing),
        AT_HOME(members_that_are_not_known_are_kept),
        AT_HOME(a_file_that_cannot_be_read_is_not_written_over),
        AT_HOME(the_folders_follow_the_specification),
        AT_HOME(the_newest_clip_comes_first_and_each_is_there_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
