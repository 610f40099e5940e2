#include "cli/coding.h"

#include <string.h>
#include <strings.h>

static bool ends_in(const char *path, const char *ending) {
    const size_t length = strlen(path), tail = strlen(ending);
    return length > tail && strcasecmp(path + length - tail, ending) == 0;
}

bool cli_coding(const cli_call *call, sp_coding *coding, sp_error *error) {
    const char *path = cli_value(call, "output");
    if (path == NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "say where the clip goes: -o serve.mp4");
    *coding = ends_in(path, ".webm") ? SP_CODING_VP9 : SP_CODING_H264;
    return ends_in(path, ".mp4") || ends_in(path, ".webm") ||
           sp_fail(error, SP_ERROR_ARGUMENT,
                   "'-o %s': expected a name that ends in .mp4 (for phones) or .webm", path);
}
