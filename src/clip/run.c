#include "clip/run.h"

#include "clip/refusal.h"
#include "clip/remote.h"

static bool open_decoder(sp_run *run, sp_decoder *decoder, int threads, sp_error *error) {
    const sp_decoder_ways ways = {.threads = threads,
                                  .depth = run->index->depth,
                                  .pool = run->pool,
                                  .complaints = &run->complaints};
    return sp_decoder_open(decoder, run->reader, &ways, error);
}

bool sp_run_init(sp_run *run, sp_reader *reader, sp_index *index, int threads, sp_pool *pool,
                 sp_error *error) {
    *run = (sp_run){.reader = reader, .index = index, .pool = pool, .start = -1, .last = -1};
    run->packet = av_packet_alloc();
    run->picture = av_frame_alloc();
    if (run->packet == NULL || run->picture == NULL) return sp_refuse_memory(reader->path, error);
    return open_decoder(run, &run->decoder, threads, error);
}

void sp_run_take_care(sp_run *run) {
    if (run->remote != NULL) {
        sp_remote_take_care(run);
        return;
    }
    sp_decoder single = {0};
    run->start = -1; /* also makes the new decoder begin without a flush */
    run->troubled = false;
    run->careful = true;
    if (!open_decoder(run, &single, 1, NULL)) return; /* goes on with the one there is */
    sp_decoder_close(&run->decoder);
    run->decoder = single;
}

void sp_run_clear(sp_run *run) {
    sp_remote_close(run->remote);
    sp_decoder_close(&run->decoder);
    av_packet_free(&run->packet);
    av_frame_free(&run->picture);
    *run = (sp_run){.start = -1};
}

/* --- where the reader is --- */

static void release(sp_run *run) {
    av_packet_unref(run->packet);
    run->held = false;
}

/* Reads on up to packet `serial`, told by place, size and time; it is then held. */
static bool read_until(sp_run *run, int serial) {
    const int64_t dts = run->index->packets[serial].dts;
    for (int i = 0; i <= serial && sp_reader_next(run->reader, run->packet); i++) {
        if (sp_index_matches(run->index, serial, run->packet, true)) return run->held = true;
        const bool past = run->packet->dts != AV_NOPTS_VALUE && run->packet->dts > dts;
        release(run);
        if (past) break;
    }
    return false;
}

/* From the start of the file, where nothing depends on the container's own index. */
static bool count_until(sp_run *run, int serial) {
    if (!sp_reader_rewind(run->reader, NULL)) return false;
    for (int i = 0; i <= serial; i++) {
        release(run);
        if (!sp_reader_next(run->reader, run->packet)) return false;
        if (!sp_index_matches(run->index, i, run->packet, false)) break;
        run->held = i == serial;
    }
    if (!run->held) release(run);
    return run->held;
}

/* A container may take us too far; then to a key before, and in the end to the start. */
static bool seek(sp_run *run, int serial) {
    enum { TRIES = 3 };
    int from = serial;
    for (int i = 0; i < TRIES; i++) {
        if (sp_reader_seek(run->reader, run->index->packets[from].dts) && read_until(run, serial))
            return true;
        if (from == 0) break;
        from = sp_index_start(run->index, from - 1);
    }
    return count_until(run, serial);
}

bool sp_run_begin(sp_run *run, int start) {
    if (run->remote != NULL) return sp_remote_begin(run, start);
    const bool there = run->held && run->next == start;
    if (!there) release(run);
    if (run->start >= 0) avcodec_flush_buffers(run->decoder.codec);
    run->start = run->next = start;
    run->last = -1;
    run->draining = run->done = run->misled = run->troubled = false;
    run->heard = atomic_load(&run->complaints);
    run->astray = !there && !seek(run, start);
    return !run->astray;
}

bool sp_run_reaches(const sp_run *run, int number, int start) {
    /* Fewer packets than this are decoded sooner than a seek is done. */
    enum { NEAR = 16 };
    if (run->start < 0 || run->done || run->astray || run->gone || run->misled || run->troubled)
        return false;
    return run->start <= start && number > run->last && start - run->next <= NEAR;
}

/* --- errors --- */

bool sp_run_is_exact(const sp_run *run, int serial) {
    return run->start <= sp_index_start(run->index, serial);
}

/* What is displayed before the start, or before all, lacks what it is predicted from. */
static bool is_excused(const sp_run *run, int serial) {
    const sp_packet *packets = run->index->packets;
    if (sp_index_precedes_all(run->index, serial)) return true;
    return run->start > 0 && packets[serial].order < packets[run->start].order;
}

/* Errors after a recovery point make what it promises doubtful. */
static void note_error(sp_run *run, int serial) {
    if (run->start > 0 && run->index->packets[run->start].key != SP_KEY_CLEAN) {
        run->misled = true;
    } else {
        sp_index_set_error(run->index, serial);
    }
}

/* Decoding in threads tells the error of a packet when later ones have been sent already. */
static void note_late_error(sp_run *run) {
    const int last = run->next - 1, lag = sp_decoder_lag(&run->decoder);
    const int first = last - lag > run->start ? last - lag : run->start;
    for (int i = first; i <= last; i++)
        if (is_excused(run, i)) return;
    if (last < run->start) return;
    if (lag > 0 && !run->careful) {
        run->troubled = true;
    } else {
        note_error(run, first);
    }
}

static void listen(sp_run *run) {
    const unsigned complaints = atomic_load(&run->complaints);
    if (complaints != run->heard) note_late_error(run);
    run->heard = complaints;
}

/* --- decoding --- */

static bool hold_next(sp_run *run) {
    if (run->held) return true;
    run->held = sp_reader_next(run->reader, run->packet);
    if (run->held && sp_index_matches(run->index, run->next, run->packet, false)) return true;
    release(run);
    return count_until(run, run->next);
}

/* False when the file is astray. */
static bool feed(sp_run *run) {
    if (run->next == run->index->count) {
        avcodec_send_packet(run->decoder.codec, NULL);
        run->draining = true;
        return true;
    }
    if (!hold_next(run)) {
        run->astray = true;
        return false;
    }
    run->packet->pts = run->next;
    run->packet->dts = AV_NOPTS_VALUE;
    const int status = avcodec_send_packet(run->decoder.codec, run->packet);
    if (status == AVERROR(EAGAIN)) return true; /* it first wants to give pictures */
    run->next++;
    release(run);
    listen(run);
    if (status < 0) note_late_error(run);
    return true;
}

static int take(sp_run *run) {
    const AVFrame *picture = run->picture;
    if (picture->pts < 0 || picture->pts >= run->index->count) return -1;
    const int serial = (int)picture->pts;
    const int number = run->index->packets[serial].number;
    if (number > run->last) run->last = number;
    const bool flagged =
        picture->decode_error_flags != 0 || (picture->flags & AV_FRAME_FLAG_CORRUPT) != 0;
    if (flagged && !is_excused(run, serial)) note_error(run, serial);
    return serial;
}

int sp_run_next(sp_run *run, int limit) {
    enum { ERRORS_WHILE_DRAINING = 64 };
    for (int errors = 0; errors < ERRORS_WHILE_DRAINING && !run->done;) {
        const int status = avcodec_receive_frame(run->decoder.codec, run->picture);
        listen(run);
        if (status >= 0) {
            const int serial = take(run);
            if (serial >= 0) return serial;
        } else if (status == AVERROR_EOF) {
            run->done = true;
        } else if (status != AVERROR(EAGAIN)) {
            note_late_error(run);
        }
        if (status >= 0) continue;
        if (run->draining) {
            errors++;
        } else if (run->next > limit || !feed(run)) {
            return -1;
        }
    }
    return -1;
}

/* Packets to send after a picture's own before it must have come. */
static int delay(const sp_run *run) {
    enum { MARGIN = 32 };
    return run->decoder.codec->has_b_frames + run->index->depth + sp_decoder_lag(&run->decoder) +
           MARGIN;
}

int sp_run_picture(sp_run *run, int n) {
    if (run->remote != NULL) return sp_remote_picture(run, n);
    return sp_run_next(run, run->index->serials[n] + delay(run));
}

void sp_run_give_up(sp_run *run) {
    if (run->remote != NULL) sp_remote_give_up(run);
}
