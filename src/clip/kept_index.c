#include "clip/kept_index.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <libavcodec/avcodec.h>
#include <libavutil/crc.h>
#include <libavutil/mem.h>
#include <libavutil/sha.h>

#include "base/file.h"
#include "clip/index_bytes.h"

enum { VERSION = 2, KEY_BYTES = 32, PATH_BYTES = 4096, FILES_MAX = 128 };
static const size_t sample_bytes = (size_t)64 * 1024;
static const off_t pays_from = 1 << 20;

/* As it lies in the file, in the machine's own order of bytes: it never leaves the machine. */
typedef struct {
    char magic[8];
    uint8_t key[KEY_BYTES];
    uint32_t sum; /* of all, with 0 in this place */
    int32_t count;
    int32_t guessed;
    int32_t spare;
} header;

static const char magic[8] = {'S', 'P', 'I', 'N', 'D', 'E', 'X', '1'};

/* --- its name --- */

static bool add_sample(struct AVSHA *sha, int file, off_t from) {
    uint8_t *bytes = av_malloc(sample_bytes);
    const ssize_t got = bytes != NULL ? pread(file, bytes, sample_bytes, from) : -1;
    if (got >= 0) av_sha_update(sha, bytes, (size_t)got);
    av_free(bytes);
    return got >= 0;
}

static bool make_key(const sp_reader *reader, uint8_t key[KEY_BYTES]) {
    struct stat facts;
    struct AVSHA *sha = av_sha_alloc();
    bool good = sha != NULL && av_sha_init(sha, 256) >= 0 && fstat(reader->file, &facts) == 0;
    if (good) {
        const int64_t told[] = {
            VERSION,       avformat_version(),   avcodec_version(),    SP_INDEX_RECORD_BYTES,
            facts.st_size, facts.st_mtim.tv_sec, facts.st_mtim.tv_nsec};
        const off_t tail = facts.st_size - (off_t)sample_bytes;
        av_sha_update(sha, (const uint8_t *)told, sizeof told);
        good =
            add_sample(sha, reader->file, 0) && add_sample(sha, reader->file, tail > 0 ? tail : 0);
        av_sha_final(sha, key);
    }
    av_free(sha);
    return good;
}

/* False where the person has no cache folder. */
static bool find_folder(char folder[PATH_BYTES]) {
    const char *cache = getenv("XDG_CACHE_HOME"), *home = getenv("HOME");
    int length = -1;
    /* XDG Base Directory Specification: what is not absolute is ignored. */
    if (cache != NULL && cache[0] == '/') {
        length = snprintf(folder, PATH_BYTES, "%s/serveplumb/index", cache);
    } else if (home != NULL && home[0] == '/') {
        length = snprintf(folder, PATH_BYTES, "%s/.cache/serveplumb/index", home);
    }
    return length > 0 && length < PATH_BYTES - 2 * KEY_BYTES - 16;
}

static bool find_path(const uint8_t key[KEY_BYTES], char path[PATH_BYTES]) {
    if (!find_folder(path)) return false;
    char *end = path + strlen(path);
    *end++ = '/';
    for (int i = 0; i < KEY_BYTES; i++) end += sprintf(end, "%02x", key[i]);
    return true;
}

static void make_folders(char *path) {
    for (char *at = strchr(path + 1, '/'); at != NULL; at = strchr(at + 1, '/')) {
        *at = '\0';
        mkdir(path, 0700); /* most are there */
        *at = '/';
    }
}

bool sp_kept_index_pays(const sp_reader *reader) {
    struct stat facts;
    return fstat(reader->file, &facts) == 0 && facts.st_size >= pays_from;
}

/* --- reading --- */

static uint32_t sum_of(header head, const char *body, size_t length) {
    const AVCRC *table = av_crc_get_table(AV_CRC_32_IEEE_LE);
    head.sum = 0;
    const uint32_t first = av_crc(table, 0, (const uint8_t *)&head, sizeof head);
    return av_crc(table, first, (const uint8_t *)body, length);
}

static bool is_whole(const header *head, const uint8_t *key, const char *bytes, size_t length) {
    if (memcmp(head->magic, magic, sizeof magic) != 0 || memcmp(head->key, key, KEY_BYTES) != 0)
        return false;
    const size_t body = length - sizeof *head;
    return head->sum == sum_of(*head, bytes + sizeof *head, body);
}

bool sp_kept_index_read(sp_index *index, const sp_reader *reader) {
    char path[PATH_BYTES], *bytes = NULL;
    uint8_t key[KEY_BYTES];
    size_t length = 0;
    const size_t limit = sizeof(header) + SP_INDEX_BYTES_MAX;
    if (!make_key(reader, key) || !find_path(key, path) ||
        !sp_file_read(path, limit, &bytes, &length, NULL))
        return false;
    header head;
    bool good = length >= sizeof head;
    if (good) {
        memcpy(&head, bytes, sizeof head);
        const sp_index_bytes packed = {bytes + sizeof head, length - sizeof head};
        good = is_whole(&head, key, bytes, length) &&
               sp_index_unpack(index, &packed, head.count, head.guessed != 0);
    }
    free(bytes);
    if (!good) sp_index_clear(index);
    return good;
}

/* --- writing --- */

static void delete_oldest(const char *folder) {
    DIR *files = opendir(folder);
    char oldest[PATH_BYTES] = "", path[PATH_BYTES];
    struct stat facts;
    time_t when = 0;
    int count = 0;
    for (struct dirent *entry; files != NULL && (entry = readdir(files)) != NULL;) {
        if (entry->d_name[0] == '.') continue;
        const int length = snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (length >= PATH_BYTES || lstat(path, &facts) != 0 || !S_ISREG(facts.st_mode)) continue;
        count++;
        if (oldest[0] == '\0' || facts.st_mtime < when) {
            memcpy(oldest, path, (size_t)length + 1);
            when = facts.st_mtime;
        }
    }
    if (files != NULL) closedir(files);
    if (count > FILES_MAX) unlink(oldest);
}

void sp_kept_index_write(const sp_index *index, const sp_reader *reader) {
    char path[PATH_BYTES];
    header head = {.count = index->count, .guessed = index->guessed};
    if (!make_key(reader, head.key) || !find_path(head.key, path)) return;
    const size_t body = (size_t)index->count * SP_INDEX_RECORD_BYTES;
    char *bytes = malloc(sizeof head + body);
    if (bytes == NULL) return;
    sp_index_pack(index, bytes + sizeof head);
    memcpy(head.magic, magic, sizeof magic);
    head.sum = sum_of(head, bytes + sizeof head, body);
    memcpy(bytes, &head, sizeof head);
    make_folders(path);
    sp_file_write(path, bytes, sizeof head + body, NULL);
    free(bytes);
    *strrchr(path, '/') = '\0';
    delete_oldest(path);
}

void sp_kept_index_delete(const sp_reader *reader) {
    char path[PATH_BYTES];
    uint8_t key[KEY_BYTES];
    if (make_key(reader, key) && find_path(key, path)) unlink(path);
}
