#include "serveplumb/voice.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"

#define HEAD 44
#define CHUNK 2048
#define BYTES_MAX ((int64_t)0x7FFFFFFF - HEAD)

static void put_32(uint8_t *to, uint32_t value) {
    for (int i = 0; i < 4; i++) to[i] = (uint8_t)(value >> (8 * i));
}

static void put_16(uint8_t *to, uint16_t value) {
    to[0] = (uint8_t)value;
    to[1] = (uint8_t)(value >> 8);
}

static uint32_t get_32(const uint8_t *from) {
    return (uint32_t)from[0] | (uint32_t)from[1] << 8 | (uint32_t)from[2] << 16 |
           (uint32_t)from[3] << 24;
}

static uint16_t get_16(const uint8_t *from) { return (uint16_t)(from[0] | from[1] << 8); }

static void make_head(uint8_t head[HEAD], uint32_t bytes) {
    static const uint8_t start[16] = {'R', 'I', 'F', 'F', 0,   0,   0,   0,
                                      'W', 'A', 'V', 'E', 'f', 'm', 't', ' '};
    memcpy(head, start, sizeof start);
    put_32(head + 4, bytes + HEAD - 8);
    put_32(head + 16, 16);
    put_16(head + 20, 1); /* PCM */
    put_16(head + 22, 1);
    put_32(head + 24, SP_VOICE_RATE);
    put_32(head + 28, SP_VOICE_RATE * 2);
    put_16(head + 32, 2);
    put_16(head + 34, 16);
    memcpy(head + 36, (const uint8_t[]){'d', 'a', 't', 'a'}, 4);
    put_32(head + 40, bytes);
}

/* --- writing --------------------------------------------------------------------------------- */

struct sp_voice_writer {
    FILE *file;
    int64_t count;
    char shown[600];
};

static bool fail_write(const sp_voice_writer *w, int reason, sp_error *error) {
    return sp_fail(error, SP_ERROR_FILE,
                   "the voice cannot be written to '%s': %s; what was recorded before is kept; "
                   "choose a folder you may write to, with free space",
                   w->shown, strerror(reason));
}

sp_voice_writer *sp_voice_create(const char *path, sp_error *error) {
    sp_voice_writer *w = calloc(1, sizeof *w);
    if (w == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to record with");
        return NULL;
    }
    sp_text_copy(w->shown, sizeof w->shown, path);
    const int handle = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    w->file = handle < 0 ? NULL : fdopen(handle, "wb");
    uint8_t head[HEAD];
    make_head(head, 0);
    if (w->file != NULL && fwrite(head, HEAD, 1, w->file) == 1 && fflush(w->file) == 0) return w;
    fail_write(w, errno, error);
    if (w->file != NULL) {
        fclose(w->file);
        unlink(path);
    } else if (handle >= 0) {
        close(handle);
    }
    free(w);
    return NULL;
}

bool sp_voice_add(sp_voice_writer *w, const float *samples, size_t count, sp_error *error) {
    uint8_t bytes[2 * CHUNK];
    while (count > 0) {
        const size_t now = count < CHUNK ? count : CHUNK;
        if ((w->count + (int64_t)now) * 2 > BYTES_MAX)
            return sp_fail(error, SP_ERROR_LIMIT, "a take is at most six hours long; end it here");
        for (size_t i = 0; i < now; i++) {
            const float kept = fmaxf(-1.0f, fminf(samples[i], 1.0f));
            put_16(bytes + 2 * i, (uint16_t)(int16_t)lrintf(kept * 32767.0f));
        }
        if (fwrite(bytes, 2, now, w->file) != now) return fail_write(w, errno, error);
        w->count += (int64_t)now;
        samples += now;
        count -= now;
    }
    return true;
}

bool sp_voice_flush(sp_voice_writer *w, sp_error *error) {
    uint8_t head[HEAD];
    if (fflush(w->file) != 0) return fail_write(w, errno, error);
    make_head(head, (uint32_t)(w->count * 2));
    if (pwrite(fileno(w->file), head, HEAD, 0) != HEAD) return fail_write(w, errno, error);
    return true;
}

int64_t sp_voice_added(const sp_voice_writer *w) { return w->count; }

bool sp_voice_close(sp_voice_writer *w, sp_error *error) {
    if (w == NULL) return true;
    bool good = sp_voice_flush(w, error);
    if (fclose(w->file) != 0 && good) good = fail_write(w, errno, error);
    free(w);
    return good;
}

/* --- reading --------------------------------------------------------------------------------- */

struct sp_voice {
    FILE *file;
    long start; /* of the samples in the file, bytes */
    int64_t count;
};

static bool fail_kind(const char *path, sp_error *error) {
    return sp_fail(error, SP_ERROR_FORMAT,
                   "'%s' is not a voice recorded here (WAV, 16 bit, one channel, %d a second); put "
                   "the recorded file back",
                   path, SP_VOICE_RATE);
}

static bool is_ours(const uint8_t *format) {
    return get_16(format) == 1 && get_16(format + 2) == 1 && get_32(format + 4) == SP_VOICE_RATE &&
           get_16(format + 14) == 16;
}

/* Walks the chunks to the samples; chunks of other kinds are passed over. */
static bool find_samples(sp_voice *voice) {
    uint8_t head[12], format[16];
    bool known = false;
    if (fread(head, 12, 1, voice->file) != 1 || memcmp(head, "RIFF", 4) != 0 ||
        memcmp(head + 8, "WAVE", 4) != 0)
        return false;
    for (int i = 0; i < 64 && fread(head, 8, 1, voice->file) == 1; i++) {
        const uint32_t length = get_32(head + 4);
        const long here = ftell(voice->file);
        if (memcmp(head, "data", 4) == 0) {
            voice->start = here;
            voice->count = length / 2;
            return known && here > 0;
        }
        if (memcmp(head, "fmt ", 4) == 0)
            known = length >= 16 && fread(format, 16, 1, voice->file) == 1 && is_ours(format);
        if (length > 0x7FFFFFFF ||
            fseek(voice->file, here + (long)(length + (length & 1)), SEEK_SET))
            return false;
    }
    return false;
}

sp_voice *sp_voice_open(const char *path, sp_error *error) {
    sp_voice *voice = calloc(1, sizeof *voice);
    if (voice == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to read the voice");
        return NULL;
    }
    voice->file = fopen(path, "rbe");
    if (voice->file == NULL) {
        sp_fail(error, SP_ERROR_FILE, "the voice '%s' cannot be read: %s; put it back there", path,
                strerror(errno));
    } else if (!find_samples(voice)) {
        fail_kind(path, error);
    } else if (fseek(voice->file, 0, SEEK_END) == 0) {
        const int64_t there = (ftell(voice->file) - voice->start) / 2;
        if (there < voice->count) voice->count = there;
        return voice;
    }
    sp_voice_free(voice);
    return NULL;
}

void sp_voice_free(sp_voice *voice) {
    if (voice == NULL) return;
    if (voice->file != NULL) fclose(voice->file);
    free(voice);
}

int64_t sp_voice_count(const sp_voice *voice) { return voice->count; }

bool sp_voice_copy(sp_voice *voice, int64_t from, size_t count, float *samples, sp_error *error) {
    for (size_t i = 0; i < count; i++) samples[i] = 0.0f;
    const int64_t first = from < 0 ? 0 : from;
    const int64_t last =
        from + (int64_t)count < voice->count ? from + (int64_t)count : voice->count;
    if (last <= first) return true;
    if (fseek(voice->file, voice->start + (long)(first * 2), SEEK_SET) != 0)
        return sp_fail(error, SP_ERROR_FILE, "the voice cannot be read: %s", strerror(errno));
    uint8_t bytes[2 * CHUNK];
    for (int64_t at = first; at < last;) {
        const size_t now = (size_t)(last - at < CHUNK ? last - at : CHUNK);
        if (fread(bytes, 2, now, voice->file) != now)
            return sp_fail(error, SP_ERROR_FILE,
                           "the voice ends too early: its file was changed while it was read");
        for (size_t i = 0; i < now; i++)
            samples[at - from + (int64_t)i] = (float)(int16_t)get_16(bytes + 2 * i) / 32767.0f;
        at += (int64_t)now;
    }
    return true;
}
