#include <locale.h>
#include <signal.h>

#include "serveplumb/cli.h"
#include "serveplumb/clip.h"
#include "serveplumb/window.h"

int main(int argc, char **argv) {
    sp_decoders_start(); /* while there are no threads */
    /* Texts in the person's language settings, numbers always with a point: files depend on it. */
    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C");
    /* A limit on file size is an error to be told, not a death. */
    signal(SIGXFSZ, SIG_IGN);
    if (sp_cli_wants(argc - 1, argv + 1)) return sp_cli_run(argc - 1, argv + 1);
    return sp_window_run(argc > 1 ? argv[1] : NULL, argc > 2 ? argv[2] : NULL);
}
