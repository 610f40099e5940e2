#include <stdio.h>

#include "cli/commands.h"

static void print_overview(void) {
    puts("Serveplumb: review a tennis serve from a phone clip, with exact frames and honest "
         "numbers.\n\n"
         "  serveplumb [CLIP|REVIEW]        opens the window; of two, one beside the other");
    for (int i = 0; cli_commands[i] != NULL; i++) {
        const cli_command *command = cli_commands[i];
        char usage[64];
        snprintf(usage, sizeof usage, "%s%s%s%s", command->name,
                 command->operand == NULL ? "" : " ",
                 command->operand == NULL ? "" : command->operand,
                 command->operand_repeats ? "..." : "");
        printf("  serveplumb %-20s %s\n", usage, command->summary);
    }
    puts("\n'serveplumb help COMMAND' shows its options; 'serveplumb --version' the version.\n"
         "Serveplumb measures visible positions. It is not medical advice: pain or trouble of the\n"
         "shoulder belongs to a physician or physiotherapist before any change of technique.");
}

static void print_command(const cli_command *command) {
    printf("serveplumb %s%s%s%s: %s\n", command->name, command->operand == NULL ? "" : " ",
           command->operand == NULL ? "" : command->operand, command->operand_repeats ? "..." : "",
           command->summary);
    for (int i = 0; i < CLI_OPTIONS_MAX && command->options[i].name != NULL; i++) {
        const cli_option *option = &command->options[i];
        char left[64];
        snprintf(left, sizeof left, "%c%c%s--%s%s%s", option->letter == 0 ? ' ' : '-',
                 option->letter == 0 ? ' ' : option->letter, option->letter == 0 ? "  " : ", ",
                 option->name, option->value == NULL ? "" : " ",
                 option->value == NULL ? "" : option->value);
        printf("  %-30s %s\n", left, option->about);
    }
}

static int run_help(const cli_call *call) {
    if (call->operand == NULL) {
        print_overview();
        return cli_done();
    }
    const cli_command *command = cli_command_find(call->operand);
    if (command == NULL) {
        sp_error error = {0};
        sp_fail(&error, SP_ERROR_ARGUMENT, "there is no command '%s'; 'serveplumb help' lists them",
                call->operand);
        return cli_fail(&error);
    }
    print_command(command);
    return cli_done();
}

const cli_command cli_help = {.name = "help",
                              .operand = "COMMAND",
                              .operand_optional = true,
                              .summary = "what there is, or the options of one command",
                              .run = run_help};
