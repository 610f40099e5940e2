#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "../marked_review.h"
#include "base/file.h"
#include "serveplumb/overlay.h"
#include "serveplumb/still.h"

static char folder[] = "/tmp/serveplumb-still-XXXXXX";

static const char *path_of(const char *name) {
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void film(const char *name, const char *size) {
    char command[512];
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -y -f lavfi -i testsrc2=s=%s:r=25:d=0.4 -threads 1 "
             "-pix_fmt yuv420p -c:v mpeg4 -q:v 4 -g 4 %s",
             size, path_of(name));
    assert_int_equal(system(command), 0);
}

static int make_clips(void **state) {
    (void)state;
    assert_non_null(mkdtemp(folder));
    film("upright.mp4", "1080x1920");
    film("small.mp4", "320x180");
    return 0;
}

static int remove_clips(void **state) {
    (void)state;
    static const char *const names[] = {"upright.mp4", "small.mp4", "broken.mp4", "still.png"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) unlink(path_of(names[i]));
    return rmdir(folder);
}

typedef struct {
    sp_clip *clip;
    sp_review *review;
    sp_readout *readout;
} desk;

static desk desk_new(const char *name) {
    desk made;
    sp_error error = {0};
    made.clip = sp_clip_open(path_of(name), NULL, &error);
    if (made.clip == NULL) fail_msg("%s", error.message);
    const sp_clip_facts *facts = sp_clip_get_facts(made.clip);
    made.review =
        marked_review(facts->width, facts->height, facts->frames, SP_VIEW_BACK, SP_HAND_RIGHT);
    made.readout =
        sp_readout_new(made.review, (sp_frame_times){sp_clip_times(made.clip), facts->frames},
                       &(sp_readout_options){.draws = 200}, NULL);
    assert_non_null(made.readout);
    return made;
}

static void desk_free(desk *used) {
    sp_readout_free(used->readout);
    sp_review_free(used->review);
    sp_clip_close(used->clip);
}

static sp_picture draw(desk *on, int frame, const char *moment) {
    sp_picture picture;
    sp_error error = {0};
    const sp_still_options options = {.frame = frame, .moment = moment};
    if (!sp_still_draw(on->clip, on->review, on->readout, &options, &picture, &error))
        fail_msg("%s", error.message);
    return picture;
}

static int height_of(desk *on, int frame, const char *moment) {
    sp_picture picture = draw(on, frame, moment);
    const int height = picture.height;
    sp_picture_clear(&picture);
    return height;
}

static void a_still_keeps_the_frame_whole_with_the_caption_below(void **state) {
    (void)state;
    desk on = desk_new("upright.mp4");
    sp_picture still = draw(&on, 0, NULL), frame;
    assert_int_equal(still.width, 1080);
    assert_true(still.height > 1920 + 60 && still.height < 1920 * 1.4);
    assert_true(sp_picture_init(&frame, 1080, 1920, NULL));
    sp_frame *decoded = sp_clip_frame(on.clip, 0, NULL);
    assert_true(sp_frame_to_picture(decoded, &frame, NULL));
    /* frame 0 has no points: only the scale bar lies on it, bottom left */
    for (int y = 0; y < 1600; y++)
        assert_memory_equal(still.pixels + (size_t)y * still.stride,
                            frame.pixels + (size_t)y * frame.stride, 1080 * 4);
    sp_frame_unref(decoded);
    sp_picture_clear(&still);
    sp_picture_clear(&frame);
    desk_free(&on);
}

static void a_caption_tells_frame_time_and_view_and_no_more(void **state) {
    (void)state;
    desk on = desk_new("upright.mp4");
    const sp_still_options options = {.frame = 7};
    char *text = sp_still_detach_text(on.clip, on.review, on.readout, &options, NULL);
    assert_non_null(text);
    char *facts = strchr(text, '\n');
    assert_non_null(facts);
    *facts++ = '\0';
    assert_string_equal(text, "Frame 7");
    *strchr(facts, '\n') = '\0';
    assert_non_null(strstr(facts, " s  \xc2\xb7  back view"));
    assert_string_equal(strstr(facts, "back view"), "back view");
    free(text);
    desk_free(&on);
}

static void invented_data_say_so_where_the_name_is_not_shown(void **state) {
    (void)state;
    desk on = desk_new("upright.mp4");
    sp_player player = *sp_review_get_player(on.review);
    snprintf(player.name, sizeof player.name, "Ada (invented)");
    assert_true(sp_review_set_player(on.review, &player, NULL));
    const sp_still_options options = {.frame = 7};
    char *text = sp_still_detach_text(on.clip, on.review, on.readout, &options, NULL);
    assert_non_null(text);
    assert_null(strstr(text, "Ada"));
    assert_non_null(strstr(text, "demo: invented data"));
    free(text);
    desk_free(&on);
}

static void a_window_at_zoom_1_shows_the_pixels_of_the_still(void **state) {
    (void)state;
    desk on = desk_new("upright.mp4");
    sp_picture still = draw(&on, MARKED_DROP, "drop"), window;
    assert_true(sp_picture_init(&window, 1080, 1920, NULL));
    sp_frame *decoded = sp_clip_frame(on.clip, MARKED_DROP, NULL);
    assert_true(sp_frame_to_picture(decoded, &window, NULL));
    sp_paint *paint = sp_paint_new(&window, 1.0, NULL);
    const sp_overlay overlay = {.review = on.review,
                                .readout = on.readout,
                                .theme = sp_theme_light(), /* data look alike in both */
                                .frame = MARKED_DROP,
                                .zoom = 1.0,
                                .area = {0, 0, 1080, 1920},
                                .selected = -1,
                                .numbers = true,
                                .scale_bar = true};
    assert_true(sp_overlay_draw(paint, &overlay).numbers);
    assert_true(sp_paint_finish(paint, NULL));
    for (int y = 0; y < 1920; y++)
        assert_memory_equal(still.pixels + (size_t)y * still.stride,
                            window.pixels + (size_t)y * window.stride, 1080 * 4);
    sp_paint_free(paint);
    sp_frame_unref(decoded);
    sp_picture_clear(&still);
    sp_picture_clear(&window);
    desk_free(&on);
}

static void a_small_clip_is_enlarged_to_1080_on_its_shorter_side(void **state) {
    (void)state;
    desk on = desk_new("small.mp4");
    sp_picture still = draw(&on, MARKED_TROPHY, "trophy");
    assert_int_equal(still.width, 1920);
    assert_true(still.height > 1080);
    sp_picture_clear(&still);
    desk_free(&on);
}

static void the_drop_alone_carries_the_cautions_of_the_drop(void **state) {
    (void)state;
    desk on = desk_new("upright.mp4");
    const int trophy = height_of(&on, MARKED_TROPHY, "trophy");
    assert_true(height_of(&on, MARKED_DROP, "drop") > trophy + 60);
    /* also where the coach names the frame by its number, or by another name */
    assert_true(height_of(&on, MARKED_DROP, NULL) > trophy + 60);
    assert_true(height_of(&on, MARKED_DROP, "lowest") > trophy + 60);
    desk_free(&on);
}

static void a_hostile_name_of_a_moment_is_written_bounded(void **state) {
    (void)state;
    desk on = desk_new("small.mp4");
    char name[9001];
    memset(name, 'W', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    assert_true(height_of(&on, 4, name) < 1080 * 3);
    assert_true(height_of(&on, 4,
                          "\xff\xc0\xaf\n\n\n\xe2\x80\xae"
                          "drop\x1b[2J") < 1080 * 2);
    assert_true(height_of(&on, 4, "") > 1080);
    desk_free(&on);
}

static void a_frame_that_is_not_there_is_refused_with_the_frames_that_are(void **state) {
    (void)state;
    desk on = desk_new("small.mp4");
    static const int frames[] = {-1, 10, 2147483647};
    for (size_t i = 0; i < sizeof frames / sizeof frames[0]; i++) {
        sp_picture picture;
        sp_error error = {0};
        const sp_still_options options = {.frame = frames[i]};
        assert_false(sp_still_draw(on.clip, on.review, on.readout, &options, &picture, &error));
        assert_int_equal(error.code, SP_ERROR_ARGUMENT);
        assert_non_null(strstr(error.message, "0 to 9"));
        assert_null(picture.pixels);
    }
    desk_free(&on);
}

static uint32_t big_endian(const char *at) {
    const unsigned char *b = (const unsigned char *)at;
    return (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
}

static void a_still_is_written_as_a_png_of_its_size_or_not_at_all(void **state) {
    (void)state;
    desk on = desk_new("small.mp4");
    const sp_still_options options = {.frame = MARKED_DROP, .moment = "drop"};
    const int height = height_of(&on, MARKED_DROP, "drop");
    assert_true(
        sp_still_write(on.clip, on.review, on.readout, &options, path_of("still.png"), NULL));
    char *bytes;
    size_t length;
    assert_true(sp_file_read(path_of("still.png"), 1u << 26, &bytes, &length, NULL));
    assert_memory_equal(bytes, "\x89PNG\r\n\x1a\n", 8);
    assert_int_equal(big_endian(bytes + 16), 1920);
    assert_int_equal(big_endian(bytes + 20), height);
    assert_int_equal(bytes[25], 2); /* opaque */
    free(bytes);
    sp_error error = {0};
    assert_false(sp_still_write(on.clip, on.review, on.readout, &options,
                                path_of("nowhere/still.png"), &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    desk_free(&on);
}

/* Bytes in the middle of the pictures' data are overwritten; the index of the file is kept. */
static void break_clip(void) {
    char *bytes;
    size_t length;
    assert_true(sp_file_read(path_of("upright.mp4"), 1u << 28, &bytes, &length, NULL));
    memset(bytes + length * 2 / 5, 0x5A, length / 9);
    assert_true(sp_file_write(path_of("broken.mp4"), bytes, length, NULL));
    free(bytes);
}

static void a_damaged_frame_says_so_in_its_caption(void **state) {
    (void)state;
    break_clip();
    desk whole = desk_new("upright.mp4"), broken = desk_new("broken.mp4");
    int damaged = 0;
    for (int n = 5; n < 10; n++) { /* no points on them: captions differ by the damage alone */
        sp_frame *frame = sp_clip_frame(broken.clip, n, NULL);
        if (frame == NULL) continue;
        const bool is_damaged = sp_frame_damaged(frame);
        sp_frame_unref(frame);
        const int more = height_of(&broken, n, NULL) - height_of(&whole, n, NULL);
        assert_int_equal(more > 0, is_damaged);
        damaged += is_damaged;
    }
    assert_true(damaged > 0);
    desk_free(&whole);
    desk_free(&broken);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_still_keeps_the_frame_whole_with_the_caption_below),
        cmocka_unit_test(a_caption_tells_frame_time_and_view_and_no_more),
        cmocka_unit_test(invented_data_say_so_where_the_name_is_not_shown),
        cmocka_unit_test(a_window_at_zoom_1_shows_the_pixels_of_the_still),
        cmocka_unit_test(a_small_clip_is_enlarged_to_1080_on_its_shorter_side),
        cmocka_unit_test(the_drop_alone_carries_the_cautions_of_the_drop),
        cmocka_unit_test(a_hostile_name_of_a_moment_is_written_bounded),
        cmocka_unit_test(a_frame_that_is_not_there_is_refused_with_the_frames_that_are),
        cmocka_unit_test(a_still_is_written_as_a_png_of_its_size_or_not_at_all),
        cmocka_unit_test(a_damaged_frame_says_so_in_its_caption),
    };
    return cmocka_run_group_tests_name("deliver: still", tests, make_clips, remove_clips);
}
