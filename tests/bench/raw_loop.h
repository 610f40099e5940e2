/* What all measure in the same way, and what there is to hold against: a plain loop over
 * libavcodec. */
#ifndef SP_BENCH_RAW_LOOP_H
#define SP_BENCH_RAW_LOOP_H

#include <dirent.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>

static inline double seconds(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* The processes that another one has started, at most `room`: those of decoders are among them. */
static inline int children_of(long process, long *list, int room) {
    char name[64];
    snprintf(name, sizeof name, "/proc/%ld/task/%ld/children", process, process);
    FILE *file = fopen(name, "r");
    int count = 0;
    while (file != NULL && count < room && fscanf(file, "%ld", &list[count]) == 1) count++;
    if (file != NULL) fclose(file);
    return count;
}

/* The clip's own process, 0: it is read in this one. */
static inline long decoder_process(void) {
    long source = 0, decoder = 0;
    if (children_of(getpid(), &source, 1) < 1 || children_of(source, &decoder, 1) < 1) return 0;
    return decoder;
}

/* Of all its threads: the first field of schedstat, nanoseconds (proc(5)); ticks are too coarse. */
static inline double cpu_of(long process) {
    char name[300];
    double seconds = 0;
    snprintf(name, sizeof name, "/proc/%ld/task", process);
    DIR *threads = process > 0 ? opendir(name) : NULL;
    for (struct dirent *thread; threads != NULL && (thread = readdir(threads)) != NULL;) {
        unsigned long long spent = 0;
        snprintf(name, sizeof name, "/proc/%ld/task/%s/schedstat", process, thread->d_name);
        FILE *file = thread->d_name[0] != '.' ? fopen(name, "r") : NULL;
        if (file == NULL) continue;
        if (fscanf(file, "%llu", &spent) == 1) seconds += 1e-9 * (double)spent;
        fclose(file);
    }
    if (threads != NULL) closedir(threads);
    return seconds;
}

static inline double cpu_seconds(void) {
    struct timespec used;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &used);
    return (double)used.tv_sec + 1e-9 * (double)used.tv_nsec + cpu_of(decoder_process());
}

static inline long status_kib(long process, const char *field) {
    char name[64], line[128], form[32];
    long value = 0;
    snprintf(name, sizeof name, "/proc/%ld/status", process);
    snprintf(form, sizeof form, "%s: %%ld", field);
    FILE *file = process > 0 ? fopen(name, "r") : NULL;
    while (file != NULL && fgets(line, sizeof line, file) != NULL)
        if (sscanf(line, form, &value) == 1) break;
    if (file != NULL) fclose(file);
    return value;
}

/* Of the memory that is there: what warm_memory gave back is still counted by getrusage. What two
 * processes have in common counts once. */
static inline long peak_kib(void) {
    const long own = status_kib(getpid(), "VmHWM"), shared = status_kib(getpid(), "RssShmem");
    const long decoder = decoder_process();
    return decoder > 0 ? own - shared + status_kib(decoder, "VmHWM") : own;
}

/* A virtual machine may have given free memory back to its host, and then the first touch of each
 * page takes its host's time. So everybody's memory is touched once before. */
static inline void warm_memory(void) {
    const size_t bytes = (size_t)1 << 30;
    char *memory = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (memory == MAP_FAILED) return;
    madvise(memory, bytes, MADV_HUGEPAGE);
    for (size_t i = 0; i < bytes; i += 4096) ((volatile char *)memory)[i] = 1;
    munmap(memory, bytes);
    FILE *file = fopen("/proc/self/clear_refs", "w"); /* 5: the peak begins anew (proc(5)) */
    if (file == NULL) return;
    fputs("5", file);
    fclose(file);
}

static inline void report(int frames, double wall, double cpu) {
    printf("{\"frames\": %d, \"wall\": %.6f, \"cpu\": %.6f, \"peak_kib\": %ld}\n", frames, wall,
           cpu, peak_kib());
}

/* Each of a peer's steps back costs it a group: ten of them tell what forty do. */
enum { VISITS = 12, BACK_STEPS = 40, BACK_STEPS_OF_PEERS = 10 };

/* The same frames for everyone: spread over the clip without an order. */
static inline int target(int i, int frames) {
    const uint32_t scattered = (uint32_t)i * 2654435761u + 1013904223u; /* golden ratio of 2^32 */
    return (int)((uint64_t)scattered * (uint64_t)frames >> 32);
}

static inline void print_list(const char *name, const double *values, int count) {
    printf("\"%s\": [", name);
    for (int i = 0; i < count; i++) printf("%s%.6f", i > 0 ? ", " : "", values[i]);
    printf("]");
}

typedef struct {
    AVFormatContext *file;
    AVCodecContext *codec;
    AVPacket *packet;
    AVFrame *frame;
    int stream;
} raw_loop;

static inline void raw_fail(const char *what, const char *path) {
    fprintf(stderr, "bench: cannot %s '%s'\n", what, path);
    exit(1);
}

static inline void raw_open(raw_loop *raw, const char *path, int threads, int thread_type) {
    *raw = (raw_loop){.packet = av_packet_alloc(), .frame = av_frame_alloc()};
    av_log_set_level(AV_LOG_QUIET);
    if (avformat_open_input(&raw->file, path, NULL, NULL) < 0 ||
        avformat_find_stream_info(raw->file, NULL) < 0)
        raw_fail("open", path);
    const AVCodec *kind = NULL;
    raw->stream = av_find_best_stream(raw->file, AVMEDIA_TYPE_VIDEO, -1, -1, &kind, 0);
    if (raw->stream < 0) raw_fail("find the pictures of", path);
    for (unsigned i = 0; i < raw->file->nb_streams; i++)
        if ((int)i != raw->stream) raw->file->streams[i]->discard = AVDISCARD_ALL;
    raw->codec = avcodec_alloc_context3(kind);
    avcodec_parameters_to_context(raw->codec, raw->file->streams[raw->stream]->codecpar);
    raw->codec->thread_count = threads;
    raw->codec->thread_type = thread_type;
    if (avcodec_open2(raw->codec, kind, NULL) < 0) raw_fail("decode", path);
}

/* Decodes to the end; gives the number of frames. */
static inline int raw_run(raw_loop *raw) {
    int count = 0;
    for (bool more = true; more;) {
        more = av_read_frame(raw->file, raw->packet) >= 0;
        if (more && raw->packet->stream_index != raw->stream) {
            av_packet_unref(raw->packet);
            continue;
        }
        avcodec_send_packet(raw->codec, more ? raw->packet : NULL);
        av_packet_unref(raw->packet);
        while (avcodec_receive_frame(raw->codec, raw->frame) >= 0) {
            count++;
            av_frame_unref(raw->frame);
        }
    }
    return count;
}

static inline void raw_close(raw_loop *raw) {
    av_frame_free(&raw->frame);
    av_packet_free(&raw->packet);
    avcodec_free_context(&raw->codec);
    avformat_close_input(&raw->file);
}

#endif
