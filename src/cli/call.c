#include "cli/call.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int option_index(const cli_command *command, const char *name, size_t length) {
    for (int i = 0; i < CLI_OPTIONS_MAX && command->options[i].name != NULL; i++) {
        const cli_option *option = &command->options[i];
        if (strlen(option->name) == length && strncmp(option->name, name, length) == 0) return i;
    }
    return -1;
}

static int letter_index(const cli_command *command, const char *word) {
    for (int i = 0; i < CLI_OPTIONS_MAX && command->options[i].name != NULL; i++)
        if (command->options[i].letter != 0 && word[0] == command->options[i].letter &&
            word[1] == '\0')
            return i;
    return -1;
}

static bool unknown_option(const cli_command *command, const char *word, sp_error *error) {
    return sp_fail(error, SP_ERROR_ARGUMENT,
                   "unknown option '%s' for '%s'; 'serveplumb help %s' lists its options", word,
                   command->name, command->name);
}

static bool take_option(const cli_command *command, int count, char **words, int *at,
                        cli_call *call, sp_error *error) {
    const char *word = words[*at];
    const bool long_form = word[1] == '-';
    const char *name = word + (long_form ? 2 : 1);
    const char *equals = long_form ? strchr(name, '=') : NULL;
    const size_t length = equals == NULL ? strlen(name) : (size_t)(equals - name);
    const int index = long_form ? option_index(command, name, length) : letter_index(command, name);
    if (index < 0) return unknown_option(command, word, error);
    const cli_option *option = &command->options[index];
    if (call->values[index] != NULL)
        return sp_fail(error, SP_ERROR_ARGUMENT, "option '--%s' is given twice; give it once",
                       option->name);
    if (option->value == NULL) {
        if (equals != NULL)
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "option '--%s' takes no value; leave out '=%s'", option->name,
                           equals + 1);
        call->values[index] = "";
        return true;
    }
    if (equals == NULL && *at + 1 >= count)
        return sp_fail(error, SP_ERROR_ARGUMENT, "option '%s' needs a value: %s %s", word, word,
                       option->value);
    call->values[index] = equals != NULL ? equals + 1 : words[++*at];
    return true;
}

static int operands_most(const cli_command *command) {
    if (command->operand == NULL) return 0;
    if (command->operand_most > 0) return command->operand_most;
    return command->operand_repeats ? CLI_OPERANDS_MAX : 1;
}

static bool take_operand(const cli_command *command, char *word, cli_call *call, sp_error *error) {
    const int most = operands_most(command);
    if (call->operand_count == most)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%s' has no place for '%s'; 'serveplumb help %s' shows what it takes",
                       command->name, word, command->name);
    if (call->operand_count == 0) call->operand = word;
    call->operands[call->operand_count++] = word;
    return true;
}

bool cli_call_parse(const cli_command *command, int count, char **words, cli_call *call,
                    sp_error *error) {
    *call = (cli_call){.command = command, .operands = words};
    bool options_ended = false;
    for (int i = 0; i < count; i++) {
        char *word = words[i];
        if (!options_ended && strcmp(word, "--") == 0) {
            options_ended = true;
        } else if (!options_ended && word[0] == '-' && word[1] != '\0') {
            if (!take_option(command, count, words, &i, call, error)) return false;
        } else if (!take_operand(command, word, call, error)) {
            return false;
        }
    }
    if (command->operand != NULL && call->operand == NULL && !command->operand_optional)
        return sp_fail(error, SP_ERROR_ARGUMENT, "'%s' needs a %s; 'serveplumb help %s' shows how",
                       command->name, command->operand, command->name);
    return true;
}

const char *cli_value(const cli_call *call, const char *option) {
    const int index = option_index(call->command, option, strlen(option));
    return index < 0 ? NULL : call->values[index];
}

bool cli_given(const cli_call *call, const char *option) { return cli_value(call, option) != NULL; }

bool cli_number(const cli_call *call, const char *option, double low, double high, double *number,
                sp_error *error) {
    const char *word = cli_value(call, option);
    if (word == NULL) return true;
    char *end = NULL;
    const double value = strtod(word, &end);
    if (end == word || *end != '\0' || !isfinite(value) || value < low || value > high)
        return sp_fail(error, SP_ERROR_ARGUMENT, "'--%s %s': expected a number from %g to %g",
                       option, word, low, high);
    *number = value;
    return true;
}

bool cli_integer(const cli_call *call, const char *option, long long low, long long high,
                 long long *number, sp_error *error) {
    const char *word = cli_value(call, option);
    if (word == NULL) return true;
    char *end = NULL;
    errno = 0;
    const long long value = strtoll(word, &end, 10);
    if (end == word || *end != '\0' || errno != 0 || value < low || value > high)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'--%s %s': expected a whole number from %lld to %lld", option, word, low,
                       high);
    *number = value;
    return true;
}

int cli_fail(const sp_error *error) {
    fflush(stdout);
    fprintf(stderr, "serveplumb: %s\n", error->message);
    return error->code == SP_ERROR_ARGUMENT ? 2 : 1;
}

int cli_done(void) {
    if (fflush(stdout) == 0 && !ferror(stdout)) return 0;
    sp_error error = {0};
    sp_fail(&error, SP_ERROR_FILE, "the output could not be written: %s; is the disk full?",
            strerror(errno));
    return cli_fail(&error);
}
