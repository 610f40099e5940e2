/* Growing arrays, and lists of pointers kept in order. */
#ifndef SP_REVIEW_LIST_H
#define SP_REVIEW_LIST_H

#include <stdbool.h>
#include <stddef.h>

/* The array with room for `count` (at least 1) items of `size` bytes, where it lies now; `room`
 * says for how many. NULL without memory: the array is as it was. Room is never given back, so that
 * what was undone can be done again. */
void *sp_room_for(void *array, size_t *room, size_t count, size_t size);

typedef struct {
    void **items;
    size_t count, room;
} sp_list;

/* Index of the first item that does not compare below `key`, by halving. */
size_t sp_list_place(const sp_list *list, const void *key,
                     int (*compare)(const void *item, const void *key));
bool sp_list_insert(sp_list *list, size_t index, void *item);
void *sp_list_remove(sp_list *list, size_t index);
void sp_list_clear(sp_list *list, void (*free_item)(void *item));

#endif
