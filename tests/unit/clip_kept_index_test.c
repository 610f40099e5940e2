#include <sys/stat.h>

#include "clip/kept_index.h"
#include "clip_maker.h"
#include "serveplumb/clip.h"

enum { FRAMES = 61 };

static const made_clip source = {.codec = "libx264", .frames = FRAMES, .group = 16, .b_frames = 2};

typedef struct {
    char *path, folder[64];
    sp_reader reader;
    sp_index index;
} fixture;

static int set_up(void **state) {
    fixture *f = calloc(1, sizeof *f);
    f->path = made_path("serve.mp4");
    made_write(f->path, &source);
    snprintf(f->folder, sizeof f->folder, "/tmp/serveplumb-kept-XXXXXX");
    assert_non_null(mkdtemp(f->folder));
    setenv("XDG_CACHE_HOME", f->folder, 1);
    assert_true(sp_reader_open(&f->reader, f->path, NULL));
    assert_true(sp_index_build(&f->index, &f->reader, NULL));
    *state = f;
    return 0;
}

static int tear_down(void **state) {
    fixture *f = *state;
    sp_kept_index_delete(&f->reader);
    sp_index_clear(&f->index);
    sp_reader_close(&f->reader);
    char path[128];
    static const char *const parts[] = {"/serveplumb/index", "/serveplumb", ""};
    for (int i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s%s", f->folder, parts[i]);
        rmdir(path);
    }
    made_remove(f->path);
    free(f);
    return 0;
}

/* The one file in the folder. */
static void find_kept(const fixture *f, char path[512]) {
    char command[256];
    snprintf(command, sizeof command, "ls %s/serveplumb/index/*", f->folder);
    FILE *list = popen(command, "r");
    assert_non_null(list);
    assert_non_null(fgets(path, 512, list));
    path[strcspn(path, "\n")] = '\0';
    pclose(list);
}

static void a_kept_index_equals_the_one_that_was_built(void **state) {
    fixture *f = *state;
    sp_index kept = {0};
    assert_false(sp_kept_index_read(&kept, &f->reader));
    sp_kept_index_write(&f->index, &f->reader);
    assert_true(sp_kept_index_read(&kept, &f->reader));
    assert_int_equal(kept.count, f->index.count);
    assert_int_equal(kept.frames, f->index.frames);
    assert_int_equal(kept.depth, f->index.depth);
    assert_int_equal(kept.key_count, f->index.key_count);
    assert_memory_equal(kept.serials, f->index.serials, sizeof(int) * (size_t)kept.frames);
    for (int i = 0; i < kept.count; i++) {
        assert_int_equal(kept.packets[i].pos, f->index.packets[i].pos);
        assert_int_equal(kept.packets[i].pts, f->index.packets[i].pts);
        assert_int_equal(kept.packets[i].key, f->index.packets[i].key);
        assert_int_equal(kept.packets[i].number, f->index.packets[i].number);
    }
    sp_index_clear(&kept);
}

static void any_changed_byte_and_any_cut_is_noticed(void **state) {
    fixture *f = *state;
    char path[512];
    size_t length;
    sp_kept_index_write(&f->index, &f->reader);
    find_kept(f, path);
    char *bytes = made_read(path, &length);
    for (size_t at = 0; at < length; at += at < 80 ? 1 : 97) {
        sp_index kept = {0};
        bytes[at] = (char)(bytes[at] ^ 0x55);
        made_store(path, bytes, length);
        if (sp_kept_index_read(&kept, &f->reader)) fail_msg("byte %zu", at);
        bytes[at] = (char)(bytes[at] ^ 0x55);
        made_store(path, bytes, at);
        assert_false(sp_kept_index_read(&kept, &f->reader));
    }
    free(bytes);
}

/* Sums that hold say nothing of who made them: then the bounds count. */
static void an_index_with_right_sums_and_wrong_places_is_refused(void **state) {
    fixture *f = *state;
    const int orders[] = {-1, FRAMES, 1 << 30, 7};
    for (int i = 0; i < 4; i++) {
        sp_index kept = {0};
        const int right = f->index.packets[5].order;
        assert_int_not_equal(right, orders[i]);
        f->index.packets[5].order = orders[i];
        sp_kept_index_write(&f->index, &f->reader);
        f->index.packets[5].order = right;
        assert_false(sp_kept_index_read(&kept, &f->reader));
        assert_null(kept.packets);
    }
    f->index.packets[9].size = -4;
    sp_kept_index_write(&f->index, &f->reader);
    sp_index kept = {0};
    assert_false(sp_kept_index_read(&kept, &f->reader));
}

static void a_clip_that_has_changed_has_another_index(void **state) {
    fixture *f = *state;
    sp_index kept = {0};
    sp_kept_index_write(&f->index, &f->reader);
    size_t length;
    char *bytes = made_read(f->path, &length);
    bytes[length / 2] = (char)(bytes[length / 2] ^ 1);
    usleep(20000);
    made_store(f->path, bytes, length);
    free(bytes);
    assert_false(sp_kept_index_read(&kept, &f->reader));
    char path[512];
    find_kept(f, path);
    assert_int_equal(unlink(path), 0); /* under the name of the clip as it was */
}

static void nothing_is_kept_where_there_is_no_folder_for_it(void **state) {
    fixture *f = *state;
    sp_index kept = {0};
    setenv("XDG_CACHE_HOME", "/proc/no/such/folder", 1);
    sp_kept_index_write(&f->index, &f->reader);
    assert_false(sp_kept_index_read(&kept, &f->reader));
    setenv("XDG_CACHE_HOME", f->folder, 1);
}

#define WITH_INDEX(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void) {
    const struct CMUnitTest tests[] = {
        WITH_INDEX(a_kept_index_equals_the_one_that_was_built),
        WITH_INDEX(any_changed_byte_and_any_cut_is_noticed),
        WITH_INDEX(an_index_with_right_sums_and_wrong_places_is_refused),
        WITH_INDEX(a_clip_that_has_changed_has_another_index),
        WITH_INDEX(nothing_is_kept_where_there_is_no_folder_for_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
