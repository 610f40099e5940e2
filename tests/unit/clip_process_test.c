#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdatomic.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include "clip/guard.h"
#include "clip/told.h"
#include "clip_maker.h"
#include "serveplumb/frame_service.h"

enum { FRAMES = 47 };

static const made_clip source = {.codec = "libx264", .frames = FRAMES, .group = 16, .b_frames = 2};

/* A wait that never ends ends the test. */
static int limit_time(void **state) {
    (void)state;
    alarm(60);
    return 0;
}

/* --- shut in --- */

enum {
    FILE_BIT = 1,
    SOCKET_BIT = 2,
    PROGRAM_BIT = 4,
    PROCESS_BIT = 8,
    CODE_BIT = 16,
    KILL_BIT = 32
};

/* What a shut-in process could do all the same, a bit each. */
static int try_all(void) {
    char *const words[] = {"true", NULL};
    int done = 0;
    if (open("/etc/passwd", O_RDONLY) >= 0) done |= FILE_BIT;
    if (open("/tmp/serveplumb-not-to-be-made", O_WRONLY | O_CREAT, 0600) >= 0) done |= FILE_BIT;
    if (socket(AF_INET, SOCK_STREAM, 0) >= 0) done |= SOCKET_BIT;
    if (socket(AF_UNIX, SOCK_STREAM, 0) >= 0) done |= SOCKET_BIT;
    if (execve("/bin/true", words, words) >= 0) done |= PROGRAM_BIT;
    const pid_t child = fork();
    if (child == 0) _exit(0);
    if (child > 0) done |= PROCESS_BIT;
    if (mmap(NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) != MAP_FAILED)
        done |= CODE_BIT;
    if (kill(getppid(), 0) == 0) done |= KILL_BIT;
    return done;
}

static void a_process_that_is_shut_in_opens_no_file_no_socket_and_no_program(void **state) {
    (void)state;
    enum { NOT_THERE = 64 };
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        const sp_guarded guarded = sp_guard_process();
        _exit(guarded.network ? try_all() : NOT_THERE);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    if (WEXITSTATUS(status) == NOT_THERE) {
        printf("skipped: this kernel has no seccomp\n");
        skip();
    }
    assert_int_equal(WEXITSTATUS(status), 0);
}

/* --- decoding there --- */

/* Started last: that of a clip that was closed just now may still be there. */
static long last_child(long process) {
    char path[64];
    long child = 0;
    snprintf(path, sizeof path, "/proc/%ld/task/%ld/children", process, process);
    FILE *file = fopen(path, "r");
    while (file != NULL && fscanf(file, "%ld", &child) == 1) continue;
    if (file != NULL) fclose(file);
    return child;
}

/* Of a file in /proc, the line that begins so; as a hexadecimal or decimal number. */
static long told_of(long process, const char *name, const char *head, int base) {
    char path[64], line[256];
    long value = -1;
    snprintf(path, sizeof path, "/proc/%ld/%s", process, name);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL)
        if (strncmp(line, head, strlen(head)) == 0) value = strtol(line + strlen(head), NULL, base);
    fclose(file);
    return value;
}

typedef struct {
    atomic_bool over;
    int asked;
} stopper;

/* Stops each process for decoding as it comes: it says nothing any more. */
static void *stop_decoders(void *context) {
    stopper *s = context;
    while (!atomic_load(&s->over)) {
        const long found = last_child(last_child(getpid()));
        if (found > 0) kill((pid_t)found, SIGSTOP);
    }
    return NULL;
}

static bool ask_twice(void *context) { return ++((stopper *)context)->asked > 2; }

static void a_decoder_that_says_nothing_can_be_given_up_while_it_opens(void **state) {
    (void)state;
    char *path = made_path("serve.mp4");
    made_write(path, &source);
    stopper s = {false, 0};
    pthread_t thread;
    assert_int_equal(pthread_create(&thread, NULL, stop_decoders, &s), 0);
    const sp_clip_options options = {.gives_up = ask_twice, .whom = &s};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, &options, &error);
    atomic_store(&s.over, true);
    pthread_join(thread, NULL);
    if (clip == NULL) assert_int_equal(error.code, SP_ERROR_CANCELLED);
    /* It was not stopped in time: that it is stopped is up to the machine. */
    if (clip != NULL) printf("skipped: the clip was open before its process was stopped\n");
    sp_clip_close(clip);
    clip = sp_clip_open(path, NULL, &error); /* the next one is none the worse */
    if (clip == NULL) fail_msg("%s", error.message);
    sp_clip_close(clip);
    made_remove(path);
}

/* The process of the one clip that is open. */
static long decoder(void) {
    const long found = last_child(last_child(getpid()));
    assert_true(found > 0);
    return found;
}

static char *make(made_hash hashes[FRAMES]) {
    char *path = made_path("serve.mp4");
    made_write(path, &source);
    assert_int_equal(made_decode(path, hashes, FRAMES), FRAMES);
    return path;
}

static void assert_frame(sp_frame *frame, const made_hash *hash) {
    char hex[33];
    assert_non_null(frame);
    assert_true(sp_frame_md5(frame, hex, NULL));
    assert_string_equal(hex, hash->hex);
    sp_frame_unref(frame);
}

static void frames_that_another_process_decodes_are_the_ones_named(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_error error = {0};
    const sp_clip_options few = {.cache_bytes = 1};
    sp_clip *clip = sp_clip_open(path, &few, &error);
    if (clip == NULL) fail_msg("%s", error.message);
    decoder();
    for (int n = 0; n < FRAMES; n++) assert_frame(sp_clip_frame(clip, n, &error), &hashes[n]);
    for (int n = FRAMES - 1; n >= 0; n--) assert_frame(sp_clip_frame(clip, n, &error), &hashes[n]);
    for (int i = 0; i < FRAMES; i++) {
        const int n = i * 29 % FRAMES;
        assert_frame(sp_clip_frame(clip, n, &error), &hashes[n]);
    }
    sp_clip_close(clip);
    made_remove(path);
}

static void a_clip_that_is_not_shut_in_says_so(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    const sp_clip_options here = {.in_this_process = true};
    sp_clip *shut_in = sp_clip_open(path, NULL, NULL), *plain = sp_clip_open(path, &here, NULL);
    assert_non_null(shut_in);
    assert_non_null(plain);
    /* Counted since Linux 5.9: proc(5). */
    const bool filtered = told_of(decoder(), "status", "Seccomp_filters:", 10) >
                          told_of(getpid(), "status", "Seccomp_filters:", 10);
    assert_int_equal(sp_clip_is_unguarded(shut_in), !filtered);
    assert_false(sp_clip_is_unguarded(plain)); /* as it was asked for */
    sp_clip_close(shut_in);
    sp_clip_close(plain);
    made_remove(path);
}

static void what_was_given_outlives_the_clip_and_its_process(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_clip *clip = sp_clip_open(path, NULL, NULL);
    assert_non_null(clip);
    sp_frame *frame = sp_clip_frame(clip, 31, NULL);
    sp_clip_close(clip);
    assert_frame(frame, &hashes[31]);
    made_remove(path);
}

/* All the memory of the other process is given out and in use. */
static void frames_that_somebody_holds_are_not_written_over(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    const sp_clip_options few = {.cache_bytes = 1};
    sp_clip *clip = sp_clip_open(path, &few, NULL);
    assert_non_null(clip);
    sp_frame *held[FRAMES];
    for (int n = 0; n < FRAMES; n++) held[n] = sp_clip_frame(clip, n, NULL);
    for (int n = FRAMES - 1; n >= 0; n -= 5) sp_frame_unref(sp_clip_frame(clip, n, NULL));
    for (int n = 0; n < FRAMES; n++) assert_frame(held[n], &hashes[n]);
    sp_clip_close(clip);
    made_remove(path);
}

static void what_is_no_clip_is_refused_as_always(void **state) {
    (void)state;
    char *path = made_path("serve.mp4");
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs("not a clip, but a few words that are long enough to be looked at", file);
    fclose(file);
    sp_error here = {0}, there = {0};
    assert_null(sp_clip_open(path, NULL, &there));
    const sp_clip_options options = {.in_this_process = true};
    assert_null(sp_clip_open(path, &options, &here));
    assert_int_equal(there.code, here.code);
    assert_string_equal(there.message, here.message);
    made_remove(path);
}

/* --- its end --- */

static void a_killed_decoder_is_told_and_the_clip_can_be_opened_again(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, NULL, &error);
    assert_non_null(clip);
    const double *times = sp_clip_times(clip);
    assert_frame(sp_clip_frame(clip, 3, &error), &hashes[3]);
    assert_int_equal(kill((pid_t)decoder(), SIGKILL), 0);
    assert_null(sp_clip_frame(clip, 40, &error));
    assert_int_equal(error.code, SP_ERROR_DECODER);
    assert_non_null(strstr(error.message, path));
    assert_null(strchr(error.message, '\n'));
    assert_frame(sp_clip_frame(clip, 3, NULL), &hashes[3]); /* what is there stays */
    assert_true(sp_clip_reopen(clip, &error));
    assert_ptr_equal(sp_clip_times(clip), times);
    assert_frame(sp_clip_frame(clip, 40, NULL), &hashes[40]);
    sp_clip_close(clip);
    made_remove(path);
}

static void a_service_whose_decoder_is_killed_says_so_and_goes_on_when_reopened(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_error error = {0};
    const sp_clip_options few = {.cache_bytes = 1};
    sp_frame_service *service =
        sp_frame_service_open(sp_clip_open(path, &few, &error), NULL, &error);
    assert_non_null(service);
    assert_frame(sp_frame_service_wait(service, 20, &error), &hashes[20]);
    assert_int_equal(kill((pid_t)decoder(), SIGKILL), 0);
    assert_null(sp_frame_service_wait(service, 45, &error));
    assert_int_equal(error.code, SP_ERROR_DECODER);
    assert_true(sp_frame_service_reopen(service, &error));
    for (int n = FRAMES - 1; n >= 0; n--)
        assert_frame(sp_frame_service_wait(service, n, &error), &hashes[n]);
    sp_frame_service_close(service);
    made_remove(path);
}

static void a_clip_is_not_reopened_when_another_lies_in_its_place(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, NULL, &error);
    assert_non_null(clip);
    const made_clip other = {.codec = "libx264", .frames = FRAMES - 6, .group = 9};
    made_write(path, &other);
    assert_false(sp_clip_reopen(clip, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    sp_clip_close(clip);
    made_remove(path);
}

static void closing_does_not_wait_for_a_decoder_that_stands_still(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_clip *clip = sp_clip_open(path, NULL, NULL);
    assert_non_null(clip);
    assert_int_equal(kill((pid_t)decoder(), SIGSTOP), 0);
    sp_clip_close(clip);
    made_remove(path);
}

static void closing_a_service_does_not_wait_for_a_decoder_that_stands_still(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    const sp_clip_options few = {.cache_bytes = 1};
    sp_frame_service *service = sp_frame_service_open(sp_clip_open(path, &few, NULL), NULL, NULL);
    assert_non_null(service);
    assert_frame(sp_frame_service_wait(service, 20, NULL), &hashes[20]);
    const pid_t stopped = (pid_t)decoder();
    assert_int_equal(kill(stopped, SIGSTOP), 0);
    sp_frame_service_request(service, 3, 0);
    usleep(300 * 1000); /* so that it is waited for */
    struct timespec before, after;
    clock_gettime(CLOCK_MONOTONIC, &before);
    sp_frame_service_close(service);
    clock_gettime(CLOCK_MONOTONIC, &after);
    assert_true(after.tv_sec - before.tv_sec < 5);
    for (int i = 0; i < 50 && kill(stopped, 0) == 0; i++) usleep(100 * 1000);
    assert_int_equal(kill(stopped, 0), -1);
    made_remove(path);
}

static void a_decoder_has_no_rights_and_gives_way_when_memory_runs_out(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = make(hashes);
    sp_clip *clip = sp_clip_open(path, NULL, NULL);
    assert_non_null(clip);
    assert_int_equal(told_of(decoder(), "status", "CapEff:", 16), 0);
    assert_int_equal(told_of(decoder(), "status", "CapPrm:", 16), 0);
    assert_int_equal(told_of(decoder(), "oom_score_adj", "", 10), 1000);
    sp_clip_close(clip);
    made_remove(path);
}

/* --- what it may say --- */

static sp_clip_facts plain_facts(void) {
    return (sp_clip_facts){.container = "mov/mp4",
                           .width = 112,
                           .height = 80,
                           .coded_width = 112,
                           .coded_height = 80,
                           .aspect_num = 1,
                           .aspect_den = 1,
                           .frames = 3};
}

static void facts_that_do_not_hold_together_are_not_taken(void **state) {
    (void)state;
    static const double times[] = {0, 0.04, 0.09}, back[] = {0, 0.09, 0.04};
    sp_clip_facts taken, told = plain_facts();
    assert_true(sp_told_facts(&told, 3, times, &taken));
    assert_false(sp_told_facts(&told, 3, back, &taken));
    assert_false(sp_told_facts(&told, 4, times, &taken));
    told.rotation_deg = 45;
    assert_false(sp_told_facts(&told, 3, times, &taken));
    told = plain_facts();
    told.width = 1 << 20;
    assert_false(sp_told_facts(&told, 3, times, &taken));
    told = plain_facts();
    memset(told.codec, 'x', sizeof told.codec);
    assert_false(sp_told_facts(&told, 3, times, &taken));
    told = plain_facts();
    told.step_max_frame = 3;
    assert_false(sp_told_facts(&told, 3, times, &taken));
    told = plain_facts();
    told.rate = 1e300;
    assert_false(sp_told_facts(&told, 3, times, &taken));
    told = plain_facts();
    memset(&told.sound, 7, sizeof told.sound);
    assert_false(sp_told_facts(&told, 3, times, &taken));
}

static void pictures_outside_of_the_common_memory_are_not_taken(void **state) {
    (void)state;
    const size_t bytes = SP_ARENA_HEAD + ((size_t)2 << 20);
    const int file = sp_arena_file(-1, bytes);
    sp_arena_view *view = sp_arena_view_new(file, bytes);
    assert_non_null(view);
    close(file);
    AVFrame *picture = av_frame_alloc();
    const sp_told_picture good = {.place = {5, SP_ARENA_HEAD, 112 * 80 * 3 / 2},
                                  .width = 112,
                                  .height = 80,
                                  .format = AV_PIX_FMT_YUV420P,
                                  .strides = {112, 56, 56},
                                  .offsets = {0, 112 * 80, 112 * 80 * 5 / 4}};
    assert_true(sp_told_picture_take(&good, view, picture));
    av_frame_unref(picture);
    sp_told_picture told = good;
    told.offsets[2]++;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.place.offset = bytes - 100;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.place.offset = 0; /* the counts */
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.place.slot = SP_ARENA_SLOTS_MAX;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.height = 81;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.strides[0] = -112;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.format = AV_PIX_FMT_VAAPI;
    assert_false(sp_told_picture_take(&told, view, picture));
    told = good;
    told.format = 1 << 20;
    assert_false(sp_told_picture_take(&told, view, picture));
    av_frame_free(&picture);
    sp_arena_view_unref(view);
}

/* Converters count in integers: rows this far apart would be sought before the picture. */
static void rows_too_far_apart_to_be_counted_are_not_taken(void **state) {
    (void)state;
    const size_t bytes = (size_t)3 << 30;
    const int file = sp_arena_file(-1, bytes);
    sp_arena_view *view = sp_arena_view_new(file, bytes);
    assert_non_null(view);
    close(file);
    AVFrame *picture = av_frame_alloc();
    sp_told_picture told = {.place = {5, SP_ARENA_HEAD, bytes - SP_ARENA_HEAD},
                            .width = 16,
                            .height = 3,
                            .format = AV_PIX_FMT_GRAY8,
                            .strides = {(1 << 30) - 16}};
    assert_true(sp_told_picture_take(&told, view, picture));
    told.strides[0] = 1 << 30;
    assert_false(sp_told_picture_take(&told, view, picture));
    av_frame_free(&picture);
    sp_arena_view_unref(view);
}

static void behind_the_common_memory_lies_some_that_may_be_read(void **state) {
    (void)state;
    const size_t bytes = SP_ARENA_HEAD * 2;
    const int file = sp_arena_file(-1, bytes);
    sp_arena arena;
    assert_true(sp_arena_map(&arena, file, bytes, false));
    close(file);
    const volatile uint8_t *end = arena.memory + bytes;
    assert_int_equal(end[0] + end[SP_ARENA_TAIL - 1], 0);
    sp_arena_unmap(&arena);
}

static void an_error_is_told_without_what_terminals_obey(void **state) {
    (void)state;
    sp_error taken, told = {.code = SP_ERROR_FORMAT};
    snprintf(told.message, sizeof told.message,
             "a\x1b[2J b\xc2\x9b"
             "2J \xc3\x9b \xc2\xb0");
    sp_told_error(&told, &taken);
    assert_string_equal(taken.message, "a?[2J b??2J \xc3\x9b \xc2\xb0");
}

static void a_file_that_may_shrink_under_its_reader_is_not_shared(void **state) {
    (void)state;
    const size_t bytes = SP_ARENA_HEAD * 2;
    const int file = sp_arena_file(-1, bytes);
    assert_true(file >= 0);
    assert_int_equal(ftruncate(file, 4096), -1);
    assert_int_equal(errno, EPERM);
    assert_null(sp_arena_view_new(file, bytes * 2));
    close(file);
}

#define TIMED(test) cmocka_unit_test_setup(test, limit_time)

int main(void) {
    if (!sp_decoders_start()) {
        printf("no process can be started here\n");
        return 1;
    }
    const struct CMUnitTest tests[] = {
        TIMED(a_decoder_that_says_nothing_can_be_given_up_while_it_opens),
        TIMED(a_process_that_is_shut_in_opens_no_file_no_socket_and_no_program),
        TIMED(frames_that_another_process_decodes_are_the_ones_named),
        TIMED(a_clip_that_is_not_shut_in_says_so),
        TIMED(what_was_given_outlives_the_clip_and_its_process),
        TIMED(frames_that_somebody_holds_are_not_written_over),
        TIMED(what_is_no_clip_is_refused_as_always),
        TIMED(a_killed_decoder_is_told_and_the_clip_can_be_opened_again),
        TIMED(a_service_whose_decoder_is_killed_says_so_and_goes_on_when_reopened),
        TIMED(a_clip_is_not_reopened_when_another_lies_in_its_place),
        TIMED(closing_does_not_wait_for_a_decoder_that_stands_still),
        TIMED(closing_a_service_does_not_wait_for_a_decoder_that_stands_still),
        TIMED(a_decoder_has_no_rights_and_gives_way_when_memory_runs_out),
        TIMED(facts_that_do_not_hold_together_are_not_taken),
        TIMED(pictures_outside_of_the_common_memory_are_not_taken),
        TIMED(rows_too_far_apart_to_be_counted_are_not_taken),
        TIMED(behind_the_common_memory_lies_some_that_may_be_read),
        TIMED(an_error_is_told_without_what_terminals_obey),
        TIMED(a_file_that_may_shrink_under_its_reader_is_not_shared),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
