#include "readout/check_rank.h"

#include <stdio.h>
#include <stdlib.h>

static int compare_numbers(double a, double b) { return (a > b) - (a < b); }

/* Whatever order the coach gives, so that a move shifts no other finding. */
static bool is_fit(const sp_ranked *item) {
    const sp_finding *finding = item->finding;
    return finding->own_words || (finding->check->weight > 0 && !finding->held_back);
}

/* What is fit to be proposed first; then heavier, clearer, and as the files have it. */
static int compare_weights(const void *one, const void *other) {
    const sp_ranked *a = one, *b = other;
    const int weight_a = a->finding->check->weight, weight_b = b->finding->check->weight;
    if (is_fit(a) != is_fit(b)) return is_fit(a) ? -1 : 1;
    if (weight_a != weight_b) return weight_a > weight_b ? -1 : 1;
    const int clearer = compare_numbers(b->clearness, a->clearness);
    return clearer != 0 ? clearer : (a->nth > b->nth) - (a->nth < b->nth);
}

static int compare_keys(const void *one, const void *other) {
    const sp_ranked *a = one, *b = other;
    const int keys = compare_numbers(a->key, b->key);
    return keys != 0 ? keys : compare_weights(one, other);
}

void sp_rank(sp_ranked *items, size_t count) {
    qsort(items, count, sizeof *items, compare_weights);
    for (size_t i = 0; i < count; i++)
        items[i].key = items[i].order > 0 ? items[i].order : (double)(i + 1);
    qsort(items, count, sizeof *items, compare_keys);
    size_t proposed = 0;
    for (size_t i = 0; i < count; i++) {
        items[i].finding->place = (int)(i + 1);
        items[i].proposed = proposed < SP_PROPOSED_MAX && (items[i].order > 0 || is_fit(&items[i]));
        if (items[i].proposed) proposed++;
    }
}

/* Another of the same weight stands by its weight, too. */
static bool ties(const sp_ranked *items, size_t count, size_t index) {
    for (size_t i = 0; i < count; i++)
        if (i != index && !(items[i].order > 0) &&
            items[i].finding->check->weight == items[index].finding->check->weight)
            return true;
    return false;
}

void sp_rank_why(const sp_ranked *items, size_t count, size_t index, char *text, size_t size) {
    const sp_ranked *item = &items[index];
    const sp_finding *finding = item->finding;
    const char *waits =
        item->proposed ? "" : " At most two are proposed at a time; this one waits.";
    if (item->order > 0)
        snprintf(text, size, "Number %d because the coach put it there.%s", finding->place, waits);
    else if (!is_fit(item))
        snprintf(text, size, "Number %d, after what is proposed: %s.", finding->place,
                 finding->held_back ? "its advice is held back for the shoulder's sake"
                                    : "its weight is 0");
    else
        snprintf(text, size, "Number %d by its weight, %d of %d%s.%s", finding->place,
                 finding->check->weight, SP_CHECK_WEIGHT_MAX,
                 ties(items, count, index)
                     ? "; among equal weights the one clearest beyond its limit, against its own "
                       "error, comes first"
                     : "",
                 waits);
}
