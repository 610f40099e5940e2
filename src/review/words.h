/* The words that stand in the file for the enumerations, each in the order of its enumeration. */
#ifndef SP_REVIEW_WORDS_H
#define SP_REVIEW_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#define SP_WORDS_MAX 7

typedef struct {
    size_t count;
    const char *words[SP_WORDS_MAX];
} sp_words;

extern const sp_words sp_words_view, sp_words_net, sp_words_hand, sp_words_shoulder, sp_words_by,
    sp_words_scale, sp_words_plumb, sp_words_verdict, sp_words_ink, sp_words_hue;

const char *sp_words_at(const sp_words *words, unsigned index);
bool sp_words_find(const sp_words *words, const char *word, unsigned *index);

/* "side, back, front or oblique" */
#define SP_WORDS_LIST_SIZE 128
void sp_words_list(const sp_words *words, char list[SP_WORDS_LIST_SIZE]);

#endif
