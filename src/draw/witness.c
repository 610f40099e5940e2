#include "draw/witness.h"

#include <stddef.h>

static void (*asking)(const sp_witness_text *text, void *context);
static void *asked_for;

void sp_witness(void (*see)(const sp_witness_text *text, void *context), void *context) {
    asking = see;
    asked_for = context;
}

bool sp_witness_asks(void) { return asking != NULL; }

void sp_witness_tell(const sp_witness_text *text) { asking(text, asked_for); }
