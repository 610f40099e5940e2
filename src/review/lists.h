/* What the lists of the review hold, and where it stands in them: scales in the order in which they
 * were added, moments by frame and then by name, notes by frame, judgements and findings in the
 * order in which they were added. */
#ifndef SP_REVIEW_LISTS_H
#define SP_REVIEW_LISTS_H

#include <stdbool.h>
#include <stddef.h>

#include "review/list.h"
#include "serveplumb/review.h"

/* `kept`: the members that we do not know, as compact JSON; NULL when there are none. */
typedef struct {
    sp_scale_entry entry;
    char *kept;
    char *landmark_kept[SP_SCALE_LANDMARKS_MAX]; /* of each of the entry's landmarks */
} sp_kept_scale;

typedef struct {
    sp_moment moment;
    char *kept;
} sp_kept_moment;

typedef struct {
    sp_note note; /* its text is owned */
    char *kept;
} sp_kept_note;

typedef struct {
    sp_judgement judgement; /* its text is owned */
    char *kept;
} sp_kept_judgement;

typedef struct {
    sp_finding_entry entry; /* its text is owned */
    char *kept;
} sp_kept_finding;

/* NULL when there is none; `index` (may be NULL) gets where it stands or would stand. */
sp_kept_scale *sp_scales_find(const sp_list *scales, const char *id, size_t *index);
sp_kept_moment *sp_moments_find(const sp_list *moments, const char *name, size_t *index);
sp_kept_note *sp_notes_find(const sp_list *notes, int frame, size_t *index);
sp_kept_judgement *sp_judgements_find(const sp_list *judgements, const char *check, size_t *index);
sp_kept_finding *sp_finding_entries_find(const sp_list *findings, const char *check, size_t *index);

/* Each puts `*item` in for what has that name, and gives that out; NULL stands for none. False
 * without memory: nothing has changed. */
bool sp_scales_swap(sp_list *scales, const char *id, size_t index, sp_kept_scale **item);
bool sp_moments_swap(sp_list *moments, const char *name, sp_kept_moment **item);
bool sp_notes_swap(sp_list *notes, int frame, sp_kept_note **item);
bool sp_judgements_swap(sp_list *judgements, const char *check, size_t index,
                        sp_kept_judgement **item);
bool sp_finding_entries_swap(sp_list *findings, const char *check, size_t index,
                             sp_kept_finding **item);

void sp_kept_scale_free(void *item);
void sp_kept_moment_free(void *item);
void sp_kept_note_free(void *item);
void sp_kept_judgement_free(void *item);
void sp_kept_finding_free(void *item);

#endif
