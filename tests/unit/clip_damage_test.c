#include "clip_maker.h"
#include "serveplumb/clip.h"

enum { FRAMES = 53, GROUP = 13, HURT = 18 }; /* frame 18 lies in the group of frames 13 to 25 */

static const made_clip source = {.codec = "libx264", .frames = FRAMES, .group = GROUP};

/* Without frames that are predicted from later ones, frame n is packet n. */
static void find_packet(const char *path, int n, size_t *at, size_t *size) {
    AVFormatContext *file = NULL;
    AVPacket *packet = av_packet_alloc();
    assert_true(avformat_open_input(&file, path, NULL, NULL) >= 0);
    for (int i = 0; i <= n; i++) {
        av_packet_unref(packet);
        assert_true(av_read_frame(file, packet) >= 0);
    }
    *at = (size_t)packet->pos;
    *size = (size_t)packet->size;
    av_packet_free(&packet);
    avformat_close_input(&file);
}

typedef struct {
    char *path;
    made_hash hashes[FRAMES];
} made;

/* Makes a clip, and then overwrites part of packet HURT: its header, or its slices. */
static void make_hurt(made *clip, bool header) {
    clip->path = made_path("hurt.mp4");
    made_write(clip->path, &source);
    assert_int_equal(made_decode(clip->path, clip->hashes, FRAMES), FRAMES);
    size_t at, size, length;
    find_packet(clip->path, HURT, &at, &size);
    char *bytes = made_read(clip->path, &length);
    if (header) {
        memset(bytes + at + 4, 0xFF, 8);
    } else {
        uint32_t state = 88172645u;
        for (size_t i = size / 4; i < size; i++) {
            state ^= state << 13, state ^= state >> 17, state ^= state << 5;
            bytes[at + i] = (char)(state >> 11);
        }
    }
    made_store(clip->path, bytes, length);
    free(bytes);
}

static sp_clip *open_clip(const char *path, size_t cache_bytes, int threads) {
    const sp_clip_options options = {.cache_bytes = cache_bytes, .threads = threads};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, &options, &error);
    if (clip == NULL) fail_msg("%s", error.message);
    return clip;
}

/* Clean frames equal those of the whole clip; those after the damage say that they are damaged, up
 * to the next key. */
static void check_visit(sp_clip *clip, int n, const made *expected, bool lost) {
    sp_error error = {0};
    char hex[33];
    sp_frame *frame = sp_clip_frame(clip, n, &error);
    if (n == HURT && lost) {
        assert_null(frame);
        assert_int_equal(error.code, SP_ERROR_DAMAGED);
        assert_non_null(strstr(error.message, "frame 18"));
        return;
    }
    if (frame == NULL) fail_msg("frame %d: %s", n, error.message);
    const bool behind = n >= HURT && n < 2 * GROUP;
    if (sp_frame_damaged(frame) != behind) fail_msg("frame %d: damaged is told wrongly", n);
    assert_true(sp_frame_md5(frame, hex, NULL));
    if (!behind) assert_string_equal(hex, expected->hashes[n].hex);
    sp_frame_unref(frame);
}

static void check_all(bool header, size_t cache_bytes, int threads) {
    made expected;
    make_hurt(&expected, header);
    sp_clip *clip = open_clip(expected.path, cache_bytes, threads);
    assert_int_equal(sp_clip_get_facts(clip)->frames, FRAMES);
    for (int n = FRAMES - 1; n >= 0; n--) check_visit(clip, n, &expected, header);
    for (int n = 0; n < FRAMES; n++) check_visit(clip, n, &expected, header);
    for (int i = 0; i < FRAMES; i++) check_visit(clip, i * 20 % FRAMES, &expected, header);
    sp_clip_close(clip);
    made_remove(expected.path);
}

static void a_frame_without_a_picture_is_an_error_in_its_place(void **state) {
    (void)state;
    check_all(true, 0, 1);
    check_all(true, 1, 4);
}

static void frames_behind_damage_say_so_up_to_the_next_key(void **state) {
    (void)state;
    check_all(false, 0, 1);
    check_all(false, 1, 4);
}

/* Groups that lean on the group before: only the first picture is clean by its kind. */
static void damage_is_told_the_same_in_every_order_also_without_clean_keys(void **state) {
    (void)state;
    const made_clip open_groups = {.codec = "libx264",
                                   .frames = FRAMES,
                                   .group = GROUP,
                                   .b_frames = 2,
                                   .more_x264 = "open-gop=1:b-adapt=0"};
    char *path = made_path("open.mp4");
    made_write(path, &open_groups);
    size_t at, size, length;
    find_packet(path, 1, &at, &size);
    char *bytes = made_read(path, &length);
    memset(bytes + at + size / 2, 0xFF, size / 3);
    made_store(path, bytes, length);
    free(bytes);
    made_hash hashes[FRAMES];
    bool damaged[FRAMES];
    int count = 0;
    for (int order = 0; order < 3; order++) {
        sp_clip *clip = open_clip(path, (size_t)order, 4);
        for (int i = 0; i < FRAMES; i++) {
            const int n = order == 0 ? i : order == 1 ? FRAMES - 1 - i : i * 20 % FRAMES;
            char hex[33];
            sp_frame *frame = sp_clip_frame(clip, n, NULL);
            assert_non_null(frame);
            assert_true(sp_frame_md5(frame, hex, NULL));
            if (order == 0) {
                damaged[n] = sp_frame_damaged(frame);
                count += damaged[n];
                strcpy(hashes[n].hex, hex);
            } else {
                if (sp_frame_damaged(frame) != damaged[n]) fail_msg("frame %d differs", n);
                assert_string_equal(hex, hashes[n].hex);
            }
            sp_frame_unref(frame);
        }
        sp_clip_close(clip);
    }
    assert_in_range(count, 1, 2 * GROUP + 2);
    made_remove(path);
}

static void a_lost_frame_is_not_decoded_for_again(void **state) {
    (void)state;
    made expected;
    make_hurt(&expected, true);
    sp_clip *clip = open_clip(expected.path, 0, 1);
    assert_null(sp_clip_frame(clip, HURT, NULL));
    /* The file is gone from under the clip: only what is remembered can be told now. */
    assert_int_equal(truncate(expected.path, 0), 0);
    sp_error error = {0};
    assert_null(sp_clip_frame(clip, HURT, &error));
    assert_int_equal(error.code, SP_ERROR_DAMAGED);
    sp_clip_close(clip);
    made_remove(expected.path);
}

static void a_file_cut_while_it_is_open_is_told(void **state) {
    (void)state;
    made expected;
    make_hurt(&expected, false);
    sp_clip *clip = open_clip(expected.path, 1, 1);
    assert_int_equal(truncate(expected.path, 4096), 0);
    sp_error error = {0};
    assert_null(sp_clip_frame(clip, FRAMES - 2, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_non_null(strstr(error.message, "has changed"));
    sp_clip_close(clip);
    made_remove(expected.path);
}

static void a_clip_whose_tail_was_not_copied_gives_what_is_there(void **state) {
    (void)state;
    made expected = {.path = made_path("short.mp4")};
    const made_clip table_first = {.codec = "libx264",
                                   .frames = FRAMES,
                                   .group = GROUP,
                                   .muxer_option = "strict",
                                   .muxer_value = "movflags=faststart"};
    made_write(expected.path, &table_first);
    assert_int_equal(made_decode(expected.path, expected.hashes, FRAMES), FRAMES);
    sp_clip *whole = open_clip(expected.path, 0, 0);
    assert_false(sp_clip_get_facts(whole)->cut_short);
    sp_clip_close(whole);
    size_t at, size;
    find_packet(expected.path, 30, &at, &size);
    assert_int_equal(truncate(expected.path, (off_t)at), 0);
    sp_clip *clip = open_clip(expected.path, 0, 0);
    assert_int_equal(sp_clip_get_facts(clip)->frames, 30);
    assert_true(sp_clip_get_facts(clip)->cut_short);
    for (int n = 29; n >= 0; n--) {
        char hex[33];
        sp_frame *frame = sp_clip_frame(clip, n, NULL);
        assert_non_null(frame);
        assert_true(sp_frame_md5(frame, hex, NULL));
        assert_string_equal(hex, expected.hashes[n].hex);
        sp_frame_unref(frame);
    }
    sp_clip_close(clip);
    made_remove(expected.path);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frame_without_a_picture_is_an_error_in_its_place),
        cmocka_unit_test(frames_behind_damage_say_so_up_to_the_next_key),
        cmocka_unit_test(damage_is_told_the_same_in_every_order_also_without_clean_keys),
        cmocka_unit_test(a_lost_frame_is_not_decoded_for_again),
        cmocka_unit_test(a_file_cut_while_it_is_open_is_told),
        cmocka_unit_test(a_clip_whose_tail_was_not_copied_gives_what_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
