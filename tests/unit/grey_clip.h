/* A folder of its own with a grey clip of a second, "serve.mp4", as long as the tests of a program
 * run. Include after cmocka. */
#ifndef SP_TESTS_GREY_CLIP_H
#define SP_TESTS_GREY_CLIP_H

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static char folder[] = "/tmp/serveplumb-grey-XXXXXX";

/* Until the next call. */
static inline const char *path_of(const char *name) {
    static char path[320];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

/* `size`: "1080x1920". */
static inline int grey_folder_make(const char *size) {
    char command[512];
    assert_non_null(mkdtemp(folder));
    snprintf(command, sizeof command,
             "ffmpeg -nostdin -v error -y -f lavfi -i color=gray:s=%s:r=120:d=1 -threads 1 "
             "-pix_fmt yuv420p -c:v mpeg4 -q:v 4 -g 24 %s",
             size, path_of("serve.mp4"));
    assert_int_equal(system(command), 0);
    return 0;
}

/* With whatever the tests have put there. */
static inline int grey_folder_remove(void **state) {
    (void)state;
    DIR *files = opendir(folder);
    assert_non_null(files);
    for (struct dirent *entry = readdir(files); entry != NULL; entry = readdir(files))
        if (entry->d_name[0] != '.') unlink(path_of(entry->d_name));
    closedir(files);
    return rmdir(folder);
}

#endif
