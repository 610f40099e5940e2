#include <locale.h>
#include <signal.h>

#include "serveplumb/cli.h"
#include "serveplumb/window.h"

int main(int argc, char **argv) {
    /* Texts in the person's language settings, numbers always with a point: files depend on it. */
    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C");
    /* A full disk, a limit on file size and a closed pipe are errors to be told, not deaths. */
    signal(SIGXFSZ, SIG_IGN);
    signal(SIGPIPE, SIG_IGN);
    if (sp_cli_wants(argc - 1, argv + 1)) return sp_cli_run(argc - 1, argv + 1);
    return sp_window_run(argc > 1 ? argv[1] : NULL);
}
