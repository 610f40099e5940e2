/* One timing of one way to read a clip, as a line of JSON. A process each, so that every way begins
 * cold. Usage: clip_bench WAY CLIP [THREADS] [BUDGET-MIB] [here]
 * "here": decoded in this process, not in one of its own. */
#include <string.h>
#include <unistd.h>

#include "clip/access.h"
#include "clip/kept_index.h"
#include "limit.h"
#include "raw_loop.h"
#include "serveplumb/clip.h"
#include "serveplumb/frame_service.h"
#include "window/plate.h"

enum { STEPS = 120 };

static const char *path;
static int threads;
static size_t budget;
static bool here;

static sp_clip *open_clip(size_t bytes) {
    const sp_clip_options options = {
        .cache_bytes = bytes, .threads = threads, .in_this_process = here};
    sp_error error = {0};
    sp_clip *clip = sp_clip_open(path, &options, &error);
    if (clip == NULL) {
        fprintf(stderr, "bench: %s\n", error.message);
        exit(1);
    }
    return clip;
}

static void visit(sp_clip *clip, int n) {
    sp_error error = {0};
    sp_frame *frame = sp_clip_frame(clip, n, &error);
    if (frame == NULL) {
        fprintf(stderr, "bench: %s\n", error.message);
        exit(1);
    }
    sp_frame_unref(frame);
}

static void read_raw(int thread_type) {
    raw_loop raw;
    raw_open(&raw, path, threads, thread_type);
    const double wall = seconds(), cpu = cpu_seconds();
    const int frames = raw_run(&raw);
    report(frames, seconds() - wall, cpu_seconds() - cpu);
    raw_close(&raw);
}

static void raw_frames(void) { read_raw(FF_THREAD_FRAME | FF_THREAD_SLICE); }
static void raw_slices(void) { read_raw(FF_THREAD_SLICE); }

static void forward(void) {
    sp_clip *clip = open_clip(budget);
    const int frames = sp_clip_get_facts(clip)->frames;
    const double wall = seconds(), cpu = cpu_seconds();
    for (int n = 0; n < frames; n++) visit(clip, n);
    report(frames, seconds() - wall, cpu_seconds() - cpu);
    sp_clip_close(clip);
}

static void backward(void) {
    sp_clip *clip = open_clip(budget);
    const int frames = sp_clip_get_facts(clip)->frames;
    const double wall = seconds(), cpu = cpu_seconds();
    for (int n = frames - 1; n >= 0; n--) visit(clip, n);
    report(frames, seconds() - wall, cpu_seconds() - cpu);
    sp_clip_close(clip);
}

/* Forty steps back from the middle, the clip just opened. */
static void back_steps(void) {
    sp_clip *clip = open_clip(budget);
    const int middle = sp_clip_get_facts(clip)->frames * 5 / 8;
    visit(clip, middle);
    const double wall = seconds(), cpu = cpu_seconds();
    for (int n = middle - 1; n >= middle - BACK_STEPS; n--) visit(clip, n);
    report(BACK_STEPS, seconds() - wall, cpu_seconds() - cpu);
    sp_clip_close(clip);
}

static int compare(const void *a, const void *b) {
    const double one = *(const double *)a, other = *(const double *)b;
    return one < other ? -1 : one > other;
}

/* Each visit cold: the budget holds one frame. */
static void at_random(void) {
    sp_clip *clip = open_clip(1);
    const int frames = sp_clip_get_facts(clip)->frames;
    double walls[VISITS], cpus[VISITS], packets[VISITS];
    for (int i = 0; i < VISITS; i++) {
        const int n = target(i, frames);
        int needed = 0;
        sp_clip_group_begin(clip, n, &needed);
        packets[i] = needed;
        const double wall = seconds(), cpu = cpu_seconds();
        visit(clip, n);
        walls[i] = seconds() - wall;
        cpus[i] = cpu_seconds() - cpu;
    }
    printf("{");
    print_list("walls", walls, VISITS);
    printf(", ");
    print_list("cpus", cpus, VISITS);
    printf(", ");
    print_list("packets", packets, VISITS);
    printf(", \"peak_kib\": %ld}\n", peak_kib());
    sp_clip_close(clip);
}

/* The same visits by a plain loop that knows the key packets; -1 where it finds none. */
static void at_limit(void) {
    sp_footage footage;
    raw_loop raw;
    limit_open_index(&footage, path, threads);
    raw_open(&raw, path, threads, FF_THREAD_FRAME | FF_THREAD_SLICE);
    double walls[VISITS], cpus[VISITS];
    for (int i = 0; i < VISITS; i++) {
        const int n = target(i, footage.facts.frames);
        const double wall = seconds(), cpu = cpu_seconds();
        const bool found = limit_visit(&raw, &footage.index, n);
        walls[i] = found ? seconds() - wall : -1;
        cpus[i] = cpu_seconds() - cpu;
    }
    printf("{");
    print_list("walls", walls, VISITS);
    printf(", ");
    print_list("cpus", cpus, VISITS);
    printf("}\n");
    raw_close(&raw);
    sp_footage_close(&footage);
}

static void pause_until(double when) {
    const double left = when - seconds();
    if (left > 0) usleep((useconds_t)(left * 1e6));
}

/* Steps back at 30 frames/s through the service, from the end; how long each was waited for. */
static void steps_at_30(void) {
    sp_error error = {0};
    sp_frame_service *service = sp_frame_service_open(open_clip(budget), NULL, &error);
    if (service == NULL) exit(1);
    const int last = sp_frame_service_facts(service)->frames - 1;
    sp_frame_unref(sp_frame_service_wait(service, last, &error));
    sp_frame_service_request(service, last, -30);
    usleep(300000);
    const int count = last < STEPS ? last : STEPS;
    double waits[STEPS];
    double due = seconds();
    for (int i = 0; i < count; i++) {
        pause_until(due += 1.0 / 30);
        const double asked = seconds();
        sp_frame_unref(sp_frame_service_wait(service, last - 1 - i, &error));
        waits[i] = seconds() - asked;
    }
    qsort(waits, (size_t)count, sizeof *waits, compare);
    printf("{\"median\": %.6f, \"p99\": %.6f, \"most\": %.6f, \"peak_kib\": %ld}\n",
           waits[count / 2], waits[count * 99 / 100], waits[count - 1], peak_kib());
    sp_frame_service_close(service);
}

/* Waits until nothing is left to do; gives how long that took without the pause before it. */
static double settle(sp_frame_service *service) {
    const double begun = seconds();
    while (!sp_frame_service_get_state(service).idle) usleep(1000);
    return seconds() - begun;
}

/* After the background pass: dragging at random speeds, and the exact frame when the hand rests. */
static void scrub(void) {
    sp_error error = {0};
    sp_clip *clip = open_clip(budget);
    sp_frame_service *service = sp_frame_service_open(clip, NULL, &error);
    if (service == NULL) exit(1);
    const int frames = sp_frame_service_facts(service)->frames;
    const double cpu = cpu_seconds(), pass = settle(service), pass_cpu = cpu_seconds() - cpu;
    double waits[STEPS], rests[STEPS];
    int missing = 0, reduced = 0, rested = 0;
    for (int i = 0; i < STEPS; i++) {
        const int n = target(i, frames);
        const double asked = seconds();
        sp_frame_service_request(service, n, 0);
        sp_frame *frame = sp_frame_service_get(service, n, NULL);
        waits[i] = seconds() - asked;
        missing += frame == NULL;
        reduced += frame != NULL && sp_frame_is_reduced(frame);
        sp_frame_unref(frame);
        usleep(16000);
        if (i % 20 != 19) continue;
        int packets = 1;
        sp_clip_group_begin(clip, n, &packets); /* of the index, which stands still */
        sp_frame_unref(sp_frame_service_wait(service, n, &error));
        rests[rested++] = (seconds() - asked) / packets;
        usleep(50000);
    }
    qsort(waits, STEPS, sizeof *waits, compare);
    qsort(rests, (size_t)rested, sizeof *rests, compare);
    printf("{\"pass\": %.6f, \"pass_cpu\": %.6f, \"p95\": %.6f, \"missing\": %d, \"reduced\": %d, "
           "\"rest\": %.6f, \"peak_kib\": %ld}\n",
           pass, pass_cpu, waits[STEPS * 95 / 100], missing, reduced, rests[rested / 2],
           peak_kib());
    sp_frame_service_close(service);
}

/* A frame that is there, to the texture of a window without a display. */
static void to_texture(void) {
    sp_error error = {0};
    setenv("SDL_VIDEODRIVER", "dummy", 1);
    if (SDL_Init(SDL_INIT_VIDEO) != 0) exit(1);
    SDL_Surface *screen = SDL_CreateRGBSurfaceWithFormat(0, 640, 360, 32, SDL_PIXELFORMAT_ARGB8888);
    SDL_Renderer *renderer = screen != NULL ? SDL_CreateSoftwareRenderer(screen) : NULL;
    sp_frame_service *service = sp_frame_service_open(open_clip(budget), NULL, &error);
    if (service == NULL || renderer == NULL) exit(1);
    const sp_clip_facts *facts = sp_frame_service_facts(service);
    plate shown = {0};
    double waits[STEPS];
    enum { THERE = 24 };
    for (int n = 0; n < THERE; n++) sp_frame_unref(sp_frame_service_wait(service, n, &error));
    for (int i = 0; i < STEPS; i++) {
        const int n = i / THERE % 2 == 0 ? i % THERE : THERE - 1 - i % THERE;
        const double asked = seconds();
        sp_frame_service_request(service, n, 0);
        sp_frame *frame = sp_frame_service_get(service, n, &error);
        if (frame == NULL || !plate_take(&shown, renderer, facts, frame, &error)) exit(1);
        waits[i] = seconds() - asked;
        sp_frame_unref(frame);
    }
    qsort(waits, STEPS, sizeof *waits, compare);
    printf("{\"median\": %.6f, \"p95\": %.6f}\n", waits[STEPS / 2], waits[STEPS * 95 / 100]);
    sp_frame_service_close(service);
    plate_forget(&shown);
    SDL_DestroyRenderer(renderer);
    SDL_FreeSurface(screen);
    SDL_Quit();
}

static void print_hash(sp_clip *clip, int n) {
    char hex[33] = "-";
    sp_frame *frame = sp_clip_frame(clip, n, NULL);
    if (frame != NULL) sp_frame_md5(frame, hex, NULL);
    sp_frame_unref(frame);
    printf("%d %s\n", n, hex);
}

/* Numbers and hashes: at random, then backward. */
static void hashes(void) {
    sp_clip *clip = open_clip(budget);
    const int frames = sp_clip_get_facts(clip)->frames;
    for (int i = 0; i < VISITS; i++) print_hash(clip, target(i, frames));
    for (int n = frames * 5 / 8; n > frames * 5 / 8 - VISITS / 2 && n >= 0; n--)
        print_hash(clip, n);
    sp_clip_close(clip);
}

static void index_only(void) {
    const double wall = seconds(), cpu = cpu_seconds();
    sp_clip *clip = open_clip(budget);
    report(sp_clip_get_facts(clip)->frames, seconds() - wall, cpu_seconds() - cpu);
    sp_clip_close(clip);
}

/* The index alone, as it was kept when the clip was opened before. */
static void kept_index(void) {
    sp_reader reader;
    sp_index index = {0};
    if (!sp_reader_open(&reader, path, NULL)) exit(1);
    const double wall = seconds(), cpu = cpu_seconds();
    if (!sp_kept_index_read(&index, &reader)) exit(1);
    report(index.frames, seconds() - wall, cpu_seconds() - cpu);
    sp_index_clear(&index);
    sp_reader_close(&reader);
}

static const struct {
    const char *name;
    void (*run)(void);
} ways[] = {
    {"raw", raw_frames},        {"raw-slices", raw_slices}, {"forward", forward},
    {"backward", backward},     {"random", at_random},      {"limit", at_limit},
    {"back-steps", back_steps}, {"kept-index", kept_index}, {"steps-at-30", steps_at_30},
    {"open", index_only},       {"hashes", hashes},         {"scrub", scrub},
    {"texture", to_texture},
};

int main(int count, char **words) {
    if (count < 3) return 2;
    path = words[2];
    here = count > 5 && strcmp(words[5], "here") == 0;
    if (!here) sp_decoders_start();
    warm_memory();
    threads = count > 3 ? atoi(words[3]) : 2;
    budget = (size_t)(count > 4 ? atoi(words[4]) : 512) << 20;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (strcmp(ways[i].name, words[1]) != 0) continue;
        ways[i].run();
        return 0;
    }
    return 2;
}
