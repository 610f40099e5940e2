#include "review/lists.h"

#include <stdlib.h>
#include <string.h>

static bool has_id(const sp_kept_scale *scale, const char *id) {
    return strcmp(scale->entry.id, id) == 0;
}

sp_kept_scale *sp_scales_find(const sp_list *scales, const char *id, size_t *index) {
    size_t i = 0;
    while (i < scales->count && !has_id(scales->items[i], id)) i++;
    if (index != NULL) *index = i;
    return i < scales->count ? scales->items[i] : NULL;
}

static bool has_name(const sp_kept_moment *moment, const char *name) {
    return strcmp(moment->moment.name, name) == 0;
}

sp_kept_moment *sp_moments_find(const sp_list *moments, const char *name, size_t *index) {
    size_t i = 0;
    while (i < moments->count && !has_name(moments->items[i], name)) i++;
    if (index != NULL) *index = i;
    return i < moments->count ? moments->items[i] : NULL;
}

static bool judges(const sp_kept_judgement *item, const char *check) {
    return strcmp(item->judgement.check, check) == 0;
}

sp_kept_judgement *sp_judgements_find(const sp_list *judgements, const char *check, size_t *index) {
    size_t i = 0;
    while (i < judgements->count && !judges(judgements->items[i], check)) i++;
    if (index != NULL) *index = i;
    return i < judgements->count ? judgements->items[i] : NULL;
}

static bool is_of_check(const sp_kept_finding *item, const char *check) {
    return strcmp(item->entry.check, check) == 0;
}

sp_kept_finding *sp_finding_entries_find(const sp_list *findings, const char *check,
                                         size_t *index) {
    size_t i = 0;
    while (i < findings->count && !is_of_check(findings->items[i], check)) i++;
    if (index != NULL) *index = i;
    return i < findings->count ? findings->items[i] : NULL;
}

static int compare_note(const void *item, const void *key) {
    const int frame = ((const sp_kept_note *)item)->note.frame, wanted = *(const int *)key;
    return (frame > wanted) - (frame < wanted);
}

sp_kept_note *sp_notes_find(const sp_list *notes, int frame, size_t *index) {
    const size_t i = sp_list_place(notes, &frame, compare_note);
    if (index != NULL) *index = i;
    if (i == notes->count) return NULL;
    sp_kept_note *found = notes->items[i];
    return found->note.frame == frame ? found : NULL;
}

/* `there`: the item at `index` is the one that goes out. */
static bool swap_at(sp_list *list, size_t index, bool there, void *in, void **out) {
    *out = NULL;
    if (there && in != NULL) {
        *out = list->items[index];
        list->items[index] = in;
        return true;
    }
    if (there) *out = sp_list_remove(list, index);
    return in == NULL || sp_list_insert(list, index, in);
}

bool sp_scales_swap(sp_list *scales, const char *id, size_t index, sp_kept_scale **item) {
    size_t found;
    const bool there = sp_scales_find(scales, id, &found) != NULL;
    void *out;
    if (!swap_at(scales, there ? found : index, there, *item, &out)) return false;
    *item = out;
    return true;
}

bool sp_judgements_swap(sp_list *judgements, const char *check, size_t index,
                        sp_kept_judgement **item) {
    size_t found;
    const bool there = sp_judgements_find(judgements, check, &found) != NULL;
    void *out;
    if (!swap_at(judgements, there ? found : index, there, *item, &out)) return false;
    *item = out;
    return true;
}

bool sp_finding_entries_swap(sp_list *findings, const char *check, size_t index,
                             sp_kept_finding **item) {
    size_t found;
    const bool there = sp_finding_entries_find(findings, check, &found) != NULL;
    void *out;
    if (!swap_at(findings, there ? found : index, there, *item, &out)) return false;
    *item = out;
    return true;
}

bool sp_notes_swap(sp_list *notes, int frame, sp_kept_note **item) {
    size_t index;
    const bool there = sp_notes_find(notes, frame, &index) != NULL;
    void *out;
    if (!swap_at(notes, index, there, *item, &out)) return false;
    *item = out;
    return true;
}

static int compare_moment(const void *item, const void *key) {
    const sp_moment *a = &((const sp_kept_moment *)item)->moment;
    const sp_moment *b = &((const sp_kept_moment *)key)->moment;
    if (a->frame != b->frame) return a->frame < b->frame ? -1 : 1;
    return strcmp(a->name, b->name);
}

bool sp_moments_swap(sp_list *moments, const char *name, sp_kept_moment **item) {
    size_t index;
    sp_kept_moment *out = sp_moments_find(moments, name, &index);
    /* Another frame is another place; after the removal there is room for certain. */
    if (out != NULL) sp_list_remove(moments, index);
    if (*item != NULL) {
        index = sp_list_place(moments, *item, compare_moment);
        if (!sp_list_insert(moments, index, *item)) return false;
    }
    *item = out;
    return true;
}

void sp_kept_scale_free(void *item) {
    sp_kept_scale *scale = item;
    if (scale != NULL) {
        free(scale->kept);
        for (size_t i = 0; i < SP_SCALE_LANDMARKS_MAX; i++) free(scale->landmark_kept[i]);
    }
    free(scale);
}

void sp_kept_moment_free(void *item) {
    sp_kept_moment *moment = item;
    if (moment != NULL) free(moment->kept);
    free(moment);
}

void sp_kept_note_free(void *item) {
    sp_kept_note *note = item;
    if (note != NULL) {
        free(note->note.text);
        free(note->kept);
    }
    free(note);
}

void sp_kept_judgement_free(void *item) {
    sp_kept_judgement *judgement = item;
    if (judgement != NULL) {
        free(judgement->judgement.text);
        free(judgement->kept);
    }
    free(judgement);
}

void sp_kept_finding_free(void *item) {
    sp_kept_finding *finding = item;
    if (finding != NULL) {
        free(finding->entry.text);
        free(finding->kept);
    }
    free(finding);
}
