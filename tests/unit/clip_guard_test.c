#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <sys/socket.h>

#include "clip/guard.h"
#include "clip_maker.h"
#include "serveplumb/frame_service.h"

enum { FRAMES = 47 };

static const made_clip source = {.codec = "libx264", .frames = FRAMES, .group = 16, .b_frames = 2};

typedef struct {
    const char *clip;
    sp_guarded guarded;
    int clip_errno, other_errno, made_errno, socket_errno, program_errno, inherited_errno;
} attempt;

static int open_errno(const char *path, int flags) {
    const int file = open(path, flags, 0600);
    if (file < 0) return errno;
    close(file);
    return 0;
}

static void *open_other(void *context) {
    ((attempt *)context)->inherited_errno = open_errno("/etc/passwd", O_RDONLY);
    return NULL;
}

static void *try_all(void *context) {
    attempt *a = context;
    char *const words[] = {"true", NULL};
    a->guarded = sp_guard_thread(a->clip, NULL);
    a->clip_errno = open_errno(a->clip, O_RDONLY);
    a->other_errno = open_errno("/etc/passwd", O_RDONLY);
    a->made_errno = open_errno("/tmp/serveplumb-not-to-be-made", O_WRONLY | O_CREAT);
    const int made = socket(AF_INET, SOCK_STREAM, 0);
    a->socket_errno = made < 0 ? errno : 0;
    a->program_errno = execve("/bin/true", words, words) < 0 ? errno : 0;
    pthread_t inheritor;
    assert_int_equal(pthread_create(&inheritor, NULL, open_other, a), 0);
    pthread_join(inheritor, NULL);
    return NULL;
}

static void a_guarded_thread_reads_the_clip_and_nothing_else(void **state) {
    (void)state;
    attempt a = {.clip = made_path("serve.mp4")};
    made_write(a.clip, &source);
    pthread_t thread;
    assert_int_equal(pthread_create(&thread, NULL, try_all, &a), 0);
    pthread_join(thread, NULL);
    made_remove((char *)a.clip);
    assert_int_equal(a.clip_errno, 0);
    if (!a.guarded.files || !a.guarded.network) {
        printf("skipped: this kernel has no Landlock or no seccomp\n");
        skip();
    }
    assert_int_equal(a.other_errno, EACCES);
    assert_int_equal(a.made_errno, EACCES);
    assert_int_equal(a.socket_errno, EPERM);
    assert_int_equal(a.program_errno, EPERM);
    assert_int_equal(a.inherited_errno, EACCES);
    /* The others keep their rights. */
    assert_int_equal(open_errno("/etc/passwd", O_RDONLY), 0);
}

static void a_guarded_service_gives_the_frames_named(void **state) {
    (void)state;
    static made_hash hashes[FRAMES];
    char *path = made_path("serve.mp4");
    made_write(path, &source);
    assert_int_equal(made_decode(path, hashes, FRAMES), FRAMES);
    sp_error error = {0};
    sp_frame_service *service = sp_frame_service_open_guarded(path, NULL, NULL, &error);
    if (service == NULL) fail_msg("%s", error.message);
    for (int i = 0; i < FRAMES; i++) {
        const int n = i * 29 % FRAMES;
        char hex[33];
        sp_frame *frame = sp_frame_service_wait(service, n, &error);
        assert_non_null(frame);
        assert_true(sp_frame_md5(frame, hex, NULL));
        assert_string_equal(hex, hashes[n].hex);
        sp_frame_unref(frame);
    }
    sp_frame_service_close(service);
    made_remove(path);
}

static void what_cannot_be_opened_is_told_as_always(void **state) {
    (void)state;
    sp_error error = {0};
    assert_null(sp_frame_service_open_guarded("/no/such/clip.mp4", NULL, NULL, &error));
    assert_int_equal(error.code, SP_ERROR_FILE);
    assert_non_null(strstr(error.message, "/no/such/clip.mp4"));
}

int main(void) {
    sp_decoders_start();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_guarded_thread_reads_the_clip_and_nothing_else),
        cmocka_unit_test(a_guarded_service_gives_the_frames_named),
        cmocka_unit_test(what_cannot_be_opened_is_told_as_always),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
