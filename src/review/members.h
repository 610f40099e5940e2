/* Members of a JSON object, with their type checked. Each leaves `*value` alone where the member is
 * absent: who needs it asks sp_members_need first. */
#ifndef SP_REVIEW_MEMBERS_H
#define SP_REVIEW_MEMBERS_H

#include <stdbool.h>
#include <stddef.h>

#include <cjson/cJSON.h>

#include "review/place.h"
#include "review/words.h"
#include "serveplumb/point.h"

/* `names` end with NULL. */
bool sp_members_need(const cJSON *object, const char *const *names, const sp_place *at,
                     sp_error *error);

bool sp_member_number(const cJSON *object, const char *name, double *value, const sp_place *at,
                      sp_error *error);
bool sp_member_whole(const cJSON *object, const char *name, int *value, const sp_place *at,
                     sp_error *error);
bool sp_member_text(const cJSON *object, const char *name, char *value, size_t size,
                    const sp_place *at, sp_error *error);
/* The index in `words`. */
bool sp_member_word(const cJSON *object, const char *name, const sp_words *words, unsigned *value,
                    const sp_place *at, sp_error *error);
bool sp_member_point(const cJSON *object, const char *name, sp_point *value, const sp_place *at,
                     sp_error *error);
/* An item of an array. */
bool sp_read_point(const cJSON *value, sp_point *to, const sp_place *at, sp_error *error);
/* Borrowed from the tree; NULL where it is absent. */
bool sp_member_object(const cJSON *object, const char *name, const cJSON **value,
                      const sp_place *at, sp_error *error);
bool sp_member_array(const cJSON *object, const char *name, const cJSON **value, const sp_place *at,
                     sp_error *error);
bool sp_is_object(const cJSON *value, const sp_place *at, sp_error *error);

/* All members but those `known` (ended by NULL), as compact JSON to be freed; NULL for none. */
bool sp_members_keep(const cJSON *object, const char *const *known, char **kept, sp_error *error);

#endif
