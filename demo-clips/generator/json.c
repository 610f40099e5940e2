#include "json.h"

static void put_text(FILE *f, const char *text) {
    fputc('"', f);
    for (; *text; ++text) {
        if (*text == '"' || *text == '\\') fputc('\\', f);
        if ((unsigned char)*text < 0x20) {
            fprintf(f, "\\u%04x", (unsigned)(unsigned char)*text);
        } else {
            fputc(*text, f);
        }
    }
    fputc('"', f);
}

/* Outer members begin lines; what lies deeper stays on its line. */
static void begin(json *j, const char *key) {
    if (j->started) fputc(',', j->file);
    if (j->depth <= 2) {
        fputc('\n', j->file);
    } else if (j->started) {
        fputc(' ', j->file);
    }
    j->started = true;
    if (!key) return;
    put_text(j->file, key);
    fputs(": ", j->file);
}

void json_open(json *j, const char *key, char bracket) {
    if (j->depth > 0) begin(j, key);
    fputc(bracket, j->file);
    ++j->depth;
    j->started = false;
}

void json_close(json *j, char bracket) {
    --j->depth;
    j->started = true;
    fputc(bracket, j->file);
    if (j->depth == 0) fputc('\n', j->file);
}

void json_text(json *j, const char *key, const char *value) {
    begin(j, key);
    put_text(j->file, value);
}

static void put_number(FILE *f, double value) {
    if (isfinite(value)) {
        fprintf(f, "%.12g", value);
    } else {
        fputs("null", f);
    }
}

void json_number(json *j, const char *key, double value) {
    begin(j, key);
    put_number(j->file, value);
}

void json_truth(json *j, const char *key, bool value) {
    begin(j, key);
    fputs(value ? "true" : "false", j->file);
}

void json_spot(json *j, const char *key, spot value) {
    json_open(j, key, '[');
    json_number(j, NULL, value.x);
    json_number(j, NULL, value.y);
    json_close(j, ']');
}

void json_vector(json *j, const char *key, vector value) {
    json_open(j, key, '[');
    json_number(j, NULL, value.x);
    json_number(j, NULL, value.y);
    json_number(j, NULL, value.z);
    json_close(j, ']');
}
