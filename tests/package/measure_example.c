/* Measures a review as a program elsewhere would: through the installed headers only. */
#include <serveplumb/review_clip.h>
#include <stdio.h>

static void print(const sp_measure *measure) {
    const sp_measure_kind *kind = measure->kind;
    printf("%s\t%s\t%d\t%.17g\t%.17g\t%.17g\n", kind->id, kind->moment, (int)measure->status,
           measure->value.value, measure->value.low, measure->value.high);
}

static int measure(const char *path, sp_error *error) {
    sp_review *review = sp_review_read(path, error);
    if (review == NULL) return 1;
    sp_clip *clip = sp_review_open_clip(review, path, NULL, error);
    sp_readout *readout =
        clip == NULL ? NULL : sp_readout_new(review, sp_clip_frame_times(clip), NULL, error);
    for (size_t i = 0; readout != NULL && i < sp_readout_count(readout); i++)
        print(sp_readout_at(readout, i));
    const int status = readout == NULL;
    sp_readout_free(readout);
    sp_clip_close(clip);
    sp_review_free(review);
    return status;
}

int main(int count, char **words) {
    sp_error error = {0};
    if (count != 2) return 2;
    const int status = measure(words[1], &error);
    if (status != 0) fprintf(stderr, "%s\n", error.message);
    return status;
}
