#include "encoder.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { WORDS_MAX = 64 };

typedef struct {
    const char *word[WORDS_MAX];
    int count;
} command;

static void say(command *c, const char *const *words) {
    while (*words && c->count < WORDS_MAX - 1) c->word[c->count++] = *words++;
}
#define SAY(c, ...) say(c, (const char *const[]){__VA_ARGS__, NULL})

static void compose(command *c, const encoder_job *job, const char *size, const char *rate) {
    SAY(c, "ffmpeg", "-hide_banner", "-loglevel", "error", "-y", "-f", "rawvideo", "-pixel_format",
        "bgr0", "-video_size", size, "-framerate", rate, "-i", "pipe:0");
    if (job->sound) SAY(c, "-i", job->sound, "-c:a", "aac", "-b:a", "96k", "-shortest");
    SAY(c, "-vf", "scale=out_color_matrix=bt709:out_range=tv", "-pix_fmt", "yuv420p", "-c:v",
        "libx264", "-preset", "veryfast", "-crf", "20", "-bf", "3", "-colorspace", "bt709",
        "-color_primaries", "bt709", "-color_trc", "bt709", "-color_range", "tv");
    SAY(c, "-metadata", "comment=Invented demo data: a drawn serve, no real person", "-fflags",
        "+bitexact", "-movflags", "+faststart", job->path);
}

static void become_ffmpeg(const encoder_job *job, int input) {
    char size[32], rate[32];
    command c = {.count = 0};
    snprintf(size, sizeof size, "%dx%d", job->width, job->height);
    snprintf(rate, sizeof rate, "%.9g", job->rate);
    compose(&c, job, size, rate);
    c.word[c.count] = NULL;
    dup2(input, STDIN_FILENO);
    close(input);
    execvp(c.word[0], (char *const *)(const void *)c.word);
    fprintf(stderr, "ffmpeg cannot be started (%s): install it.\n", strerror(errno));
    _exit(127);
}

bool encoder_start(encoder *e, const encoder_job *job) {
    int ends[2];
    e->frame_bytes = (size_t)job->width * (size_t)job->height * 4;
    signal(SIGPIPE, SIG_IGN);
    if (pipe(ends) != 0) {
        perror("no pipe to ffmpeg");
        return false;
    }
    fcntl(ends[1], F_SETFD, FD_CLOEXEC);
    e->child = fork();
    if (e->child == 0) become_ffmpeg(job, ends[0]);
    close(ends[0]);
    e->pipe = ends[1];
    if (e->child > 0) return true;
    perror("ffmpeg cannot be started");
    close(e->pipe);
    return false;
}

bool encoder_add(encoder *e, const uint8_t *frame) {
    size_t done = 0;
    while (done < e->frame_bytes) {
        ssize_t n = write(e->pipe, frame + done, e->frame_bytes - done);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) {
            fputs("ffmpeg stopped before the clip was complete; its message stands above.\n",
                  stderr);
            return false;
        }
        done += (size_t)n;
    }
    return true;
}

bool encoder_finish(encoder *e) {
    int status = 0;
    close(e->pipe);
    while (waitpid(e->child, &status, 0) < 0) {
        if (errno != EINTR) return false;
    }
    if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return true;
    fputs("ffmpeg failed; its message stands above.\n", stderr);
    return false;
}
