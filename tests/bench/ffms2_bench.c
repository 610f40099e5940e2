/* The same ways through libffms2, each in a process of its own, as a line of JSON.
 * Usage: ffms2_bench WAY CLIP [THREADS] */
#include <ffms.h>
#include <string.h>

#include <libavutil/imgutils.h>
#include <libavutil/md5.h>

#include "raw_loop.h"

static const char *path;
static FFMS_VideoSource *video;
static int frames;
static char message[512];
static FFMS_ErrorInfo fault = {.Buffer = message, .BufferSize = sizeof message};

static void give_up(void) {
    fprintf(stderr, "bench: libffms2: %s\n", message);
    exit(1);
}

static void open_source(int threads) {
    FFMS_Init(0, 0);
    FFMS_Indexer *indexer = FFMS_CreateIndexer(path, &fault);
    FFMS_Index *index = indexer != NULL ? FFMS_DoIndexing2(indexer, FFMS_IEH_IGNORE, &fault) : NULL;
    if (index == NULL) give_up();
    const int track = FFMS_GetFirstTrackOfType(index, FFMS_TYPE_VIDEO, &fault);
    video = FFMS_CreateVideoSource(path, track, index, threads, FFMS_SEEK_NORMAL, &fault);
    FFMS_DestroyIndex(index);
    if (video == NULL) give_up();
    frames = FFMS_GetVideoProperties(video)->NumFrames;
}

static const FFMS_Frame *visit(int n) { return FFMS_GetFrame(video, n, &fault); }

static void forward(void) {
    const double wall = seconds(), cpu = cpu_seconds();
    for (int n = 0; n < frames; n++)
        if (visit(n) == NULL) give_up();
    report(frames, seconds() - wall, cpu_seconds() - cpu);
}

static void back_steps(void) {
    const int middle = frames * 5 / 8;
    visit(middle);
    const double wall = seconds(), cpu = cpu_seconds();
    for (int n = middle - 1; n >= middle - BACK_STEPS_OF_PEERS && n >= 0; n--) visit(n);
    const double times = (double)BACK_STEPS / BACK_STEPS_OF_PEERS;
    report(BACK_STEPS, times * (seconds() - wall), times * (cpu_seconds() - cpu));
}

static void at_random(void) {
    double walls[VISITS], cpus[VISITS];
    for (int i = 0; i < VISITS; i++) {
        const double wall = seconds(), cpu = cpu_seconds();
        visit(target(i, frames));
        walls[i] = seconds() - wall;
        cpus[i] = cpu_seconds() - cpu;
    }
    printf("{");
    print_list("walls", walls, VISITS);
    printf(", ");
    print_list("cpus", cpus, VISITS);
    printf("}\n");
}

static void print_hash(int n) {
    const FFMS_Frame *frame = visit(n);
    uint8_t digest[16], *packed = NULL;
    int size = -1;
    if (frame != NULL) {
        const enum AVPixelFormat format = (enum AVPixelFormat)frame->EncodedPixelFormat;
        size = av_image_get_buffer_size(format, frame->EncodedWidth, frame->EncodedHeight, 1);
        packed = size > 0 ? malloc((size_t)size) : NULL;
        if (packed != NULL)
            av_image_copy_to_buffer(packed, size, frame->Data, frame->Linesize, format,
                                    frame->EncodedWidth, frame->EncodedHeight, 1);
    }
    if (packed == NULL) {
        printf("%d -\n", n);
        return;
    }
    av_md5_sum(digest, packed, (size_t)size);
    printf("%d ", n);
    for (int i = 0; i < 16; i++) printf("%02x", digest[i]);
    printf("\n");
    free(packed);
}

static void hashes(void) {
    for (int i = 0; i < VISITS; i++) print_hash(target(i, frames));
    for (int n = frames * 5 / 8; n > frames * 5 / 8 - VISITS / 2 && n >= 0; n--) print_hash(n);
}

static const struct {
    const char *name;
    void (*run)(void);
} ways[] = {
    {"forward", forward}, {"random", at_random}, {"back-steps", back_steps}, {"hashes", hashes}};

int main(int count, char **words) {
    if (count < 3) return 2;
    path = words[2];
    warm_memory();
    open_source(count > 3 ? atoi(words[3]) : 2);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if (strcmp(ways[i].name, words[1]) == 0) ways[i].run();
    FFMS_DestroyVideoSource(video);
    return 0;
}
