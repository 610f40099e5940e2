#include "serveplumb/cli.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "cli/commands.h"

const cli_command *const cli_commands[] = {
    &cli_facts,   &cli_frames, &cli_new,      &cli_validate, &cli_measure, &cli_repeat, &cli_check,
    &cli_still,   &cli_clip,   &cli_talk,     &cli_report,   &cli_export,  &cli_import, &cli_carry,
    &cli_compare, &cli_speeds, &cli_progress, &cli_help,     NULL,
};

const cli_command *cli_command_find(const char *name) {
    for (int i = 0; cli_commands[i] != NULL; i++)
        if (strcmp(cli_commands[i]->name, name) == 0) return cli_commands[i];
    return NULL;
}

static bool is_word(const char *word, const char *a, const char *b) {
    return strcmp(word, a) == 0 || strcmp(word, b) == 0;
}

bool sp_cli_wants(int count, char **words) {
    if (count == 0) return false;
    if (words[0][0] == '-' || cli_command_find(words[0]) != NULL) return true;
    /* A word that is no file either is a command mistyped, or a file mistyped: say it here. */
    if (access(words[0], F_OK) != 0) return true;
    return count > 2 || (count == 2 && access(words[1], F_OK) != 0);
}

/* The first word is a file; the last is one too many, or not there. */
static int fail_files(const char *last) {
    sp_error error = {0};
    if (access(last, F_OK) != 0)
        sp_fail(&error, SP_ERROR_FILE, "'%s' is not there; check the name", last);
    else
        sp_fail(&error, SP_ERROR_ARGUMENT,
                "at most two clips or reviews open in the window, one beside the other; "
                "'serveplumb help' lists the commands");
    return cli_fail(&error);
}

static int fail_unknown(const char *word) {
    sp_error error = {0};
    if (word[0] == '-') {
        sp_fail(&error, SP_ERROR_ARGUMENT,
                "unknown option '%s'; 'serveplumb help' lists what there is", word);
    } else {
        sp_fail(&error, SP_ERROR_ARGUMENT,
                "'%s' is neither a command nor a file that is there; check the name, or see "
                "'serveplumb help'",
                word);
    }
    return cli_fail(&error);
}

int sp_cli_run(int count, char **words) {
    if (is_word(words[0], "--version", "-V")) {
        printf("serveplumb %s\n", SP_VERSION);
        return cli_done();
    }
    const char *name = is_word(words[0], "--help", "-h") ? "help" : words[0];
    const cli_command *command = cli_command_find(name);
    if (command == NULL && words[0][0] != '-' && access(words[0], F_OK) == 0)
        return fail_files(words[count - 1]);
    if (command == NULL) return fail_unknown(words[0]);
    if (count > 1 && is_word(words[1], "--help", "-h")) {
        const cli_call call = {.command = &cli_help, .operand = name};
        return cli_help.run(&call);
    }
    sp_error error = {0};
    cli_call call;
    if (!cli_call_parse(command, count - 1, words + 1, &call, &error)) return cli_fail(&error);
    return command->run(&call);
}
