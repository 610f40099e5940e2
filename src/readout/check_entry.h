/* One check of a checks file. */
#ifndef SP_READOUT_CHECK_ENTRY_H
#define SP_READOUT_CHECK_ENTRY_H

#include <cjson/cJSON.h>

#include "readout/checks.h"
#include "review/place.h"

/* A whole entry: members that are missing, unknown or do not fit together are told. */
bool sp_check_read_entry(const cJSON *object, sp_check *check, const sp_place *at, sp_error *error);

/* No members but those `known` (ended by NULL). */
bool sp_members_only(const cJSON *object, const char *const *known, const sp_place *at,
                     sp_error *error);
/* One line of text, not empty; `value` becomes empty where the member is absent. */
bool sp_member_line(const cJSON *object, const char *name, char *value, size_t size,
                    const sp_place *at, sp_error *error);

#endif
