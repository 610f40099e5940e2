/* Writes JSON step by step; a NULL key is for members of an array. */
#ifndef DEMO_JSON_H
#define DEMO_JSON_H

#include <stdbool.h>
#include <stdio.h>

#include "camera.h"

typedef struct {
    FILE *file;
    int depth;
    bool started; /* something stands before the next member */
} json;

void json_open(json *j, const char *key, char bracket);
void json_close(json *j, char bracket);
void json_text(json *j, const char *key, const char *value);
/* Not finite: null. */
void json_number(json *j, const char *key, double value);
void json_truth(json *j, const char *key, bool value);
void json_spot(json *j, const char *key, spot value);
void json_vector(json *j, const char *key, vector value);

#endif
