#include "review/list.h"

#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

void *sp_room_for(void *array, size_t *room, size_t count, size_t size) {
    assert(count > 0);
    if (count <= *room) return array;
    size_t wanted = *room == 0 ? 4 : *room * 2;
    if (wanted < count) wanted = count;
    if (wanted > SIZE_MAX / 2 / size) return NULL;
    void *grown = realloc(array, wanted * size);
    if (grown != NULL) *room = wanted;
    return grown;
}

size_t sp_list_place(const sp_list *list, const void *key,
                     int (*compare)(const void *item, const void *key)) {
    size_t low = 0, high = list->count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (compare(list->items[middle], key) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

bool sp_list_insert(sp_list *list, size_t index, void *item) {
    assert(index <= list->count);
    void **items = sp_room_for(list->items, &list->room, list->count + 1, sizeof *items);
    if (items == NULL) return false;
    list->items = items;
    void **at = &items[index];
    memmove(at + 1, at, (list->count - index) * sizeof *at);
    *at = item;
    list->count++;
    return true;
}

void *sp_list_remove(sp_list *list, size_t index) {
    assert(index < list->count);
    void **at = &list->items[index], *item = *at;
    list->count--;
    memmove(at, at + 1, (list->count - index) * sizeof *at);
    return item;
}

void sp_list_clear(sp_list *list, void (*free_item)(void *item)) {
    for (size_t i = 0; i < list->count; i++) free_item(list->items[i]);
    free(list->items);
    *list = (sp_list){0};
}
